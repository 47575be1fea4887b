//! The app on a second address, over real connections: what another computer meets.
//! On Linux every address of 127.0.0.0/8 is this computer's, so that one stands for the network here.
#![cfg(target_os = "linux")]

mod common;

use common::server::{Answer, Server, ask};
use std::net::{SocketAddr, TcpStream};

struct Devices {
    server: Server,
    network: SocketAddr,
    _data: tempfile::TempDir,
}

fn devices() -> Devices {
    let data = tempfile::tempdir().unwrap();
    let server = Server::start(&data.path().join("pieces.db"), &["--lan=127.0.0.2"]);
    let network = SocketAddr::new("127.0.0.2".parse().unwrap(), server.here.port());
    Devices { server, network, _data: data }
}

impl Devices {
    fn device(&self, method: &str, path: &str, cookie: &str, form: &str) -> Answer {
        let network = self.network;
        let headers = format!(
            "Origin: http://{network}\r\nCookie: {cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
        );
        ask(network, method, path, &headers, form).unwrap()
    }

    fn here(&self, method: &str, path: &str, form: &str) -> Answer {
        ask(self.server.here, method, path, "Content-Type: application/x-www-form-urlencoded\r\n", form).unwrap()
    }

    fn code(&self, role: &str) -> String {
        assert_eq!(self.here("POST", "/pair/code", &format!("role={role}")).status, 303);
        let page = self.here("GET", "/pair", "").body;
        let shown = page.split("class=\"digits\">").nth(1).unwrap().split('<').next().unwrap();
        assert!(page.contains(&format!("http://{}/enter", self.network)), "the address to open stands on the page");
        shown.replace(' ', "")
    }
}

#[test]
fn without_the_option_no_other_address_answers() {
    let data = tempfile::tempdir().unwrap();
    let server = Server::start(&data.path().join("pieces.db"), &[]);
    assert!(TcpStream::connect(("127.0.0.2", server.here.port())).is_err());
    let page = ask(server.here, "GET", "/pair", "", "").unwrap().body;
    assert!(page.contains("sabulo serve --lan"), "it says how");
}

#[test]
fn a_tablet_is_paired_works_at_the_cabinet_and_is_shut_out() {
    let devices = devices();
    assert_eq!(devices.device("GET", "/cabinet", "", "").status, 401);
    let code = devices.code("helper");
    let entered = devices.device("POST", "/enter", "", &format!("code={code}&name=Tablet"));
    assert_eq!((entered.status, entered.header("location")), (303, Some("/cabinet")));
    let cookie = entered.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
    let list = devices.device("GET", "/cabinet", &cookie, "");
    assert!(list.status == 200 && list.body.contains("Heron"), "{}", list.status);
    assert_eq!(devices.device("GET", "/cabinet/3", &cookie, "").status, 200);
    assert_eq!(devices.device("GET", "/pieces", &cookie, "").status, 403);
    // The cookie of a device opens nothing more at this computer's own door than anybody there has.
    assert_eq!(devices.here("POST", "/pair/withdraw", "device=1").status, 303);
    assert_eq!(devices.device("GET", "/cabinet", &cookie, "").status, 401);
    assert_eq!(devices.device("POST", "/enter", "", &format!("code={code}")).status, 403, "used up");
}

#[test]
fn an_owners_pairing_outlives_the_program() {
    let data = tempfile::tempdir().unwrap();
    let file = data.path().join("pieces.db");
    let first = Server::start(&file, &["--lan=127.0.0.2"]);
    let network = SocketAddr::new("127.0.0.2".parse().unwrap(), first.here.port());
    let devices = Devices { server: first, network, _data: data };
    let entered = devices.device("POST", "/enter", "", &format!("code={}&name=Laptop", devices.code("owner")));
    let cookie = entered.header("set-cookie").unwrap().split(';').next().unwrap().to_owned();
    let Devices { server, _data, .. } = devices;
    drop(server);
    let server = Server::start(&file, &["--lan=127.0.0.2"]);
    let network = SocketAddr::new("127.0.0.2".parse().unwrap(), server.here.port());
    let devices = Devices { server, network, _data };
    assert_eq!(devices.device("GET", "/pieces", &cookie, "").status, 200);
    assert_eq!(devices.device("GET", "/pair", &cookie, "").status, 403);
}
