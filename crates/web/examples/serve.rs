//! Serves the demonstration pieces from memory: `cargo run -p web --example serve [PORT]`.

use std::error::Error;
use std::fs;
use store::{Demo, Store};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");

#[tokio::main]
async fn main() -> Result<(), Box<dyn Error>> {
    let shop_toml = fs::read_to_string(format!("{FOLDER}/shop.toml"))?;
    let store = Store::in_memory()?;
    let mut files = Vec::new();
    for name in ["heron", "crest", "marker"] {
        let piece = fs::read_to_string(format!("{FOLDER}/{name}/piece.toml"))?;
        files.push((name, piece, fs::read(format!("{FOLDER}/{name}/{name}.svg"))?));
    }
    let names = ["Heron among reeds", "Merrowby tumblers", "Bramble’s marker"];
    let demos: Vec<Demo<'_>> = files
        .iter()
        .zip(names)
        .map(|((file, piece_toml, artwork), name)| Demo {
            name,
            piece_toml,
            shop_toml: &shop_toml,
            artwork_name: file,
            artwork,
        })
        .collect();
    store.seed(&demos)?;
    let port: u16 = std::env::args().nth(1).map_or(Ok(8017), |port| port.parse())?;
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await?;
    println!("http://{}/", listener.local_addr()?);
    Ok(web::serve(listener, web::App::new(store), std::future::pending()).await?)
}
