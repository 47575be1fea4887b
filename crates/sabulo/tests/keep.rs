//! `sabulo keep`: the file copied and put back, pieces handed on.

mod common;

use common::{code, complaint, examples, sabulo};
use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use store::{Demo, PieceId, Store};

/// A folder with the heron and the marker kept in it, as the app would.
struct Kept {
    folder: tempfile::TempDir,
}

impl Kept {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let text = |name: &str| fs::read_to_string(examples().join(name)).unwrap();
        let (shop, piece) = (text("shop.toml"), text("marker/piece.toml"));
        let artwork = fs::read(examples().join("marker/marker.svg")).unwrap();
        let demo = Demo {
            name: "Bramble's marker",
            piece_toml: &piece,
            shop_toml: &shop,
            artwork_name: "marker.svg",
            artwork: &artwork,
        };
        Store::open(&folder.path().join("pieces.db")).unwrap().seed(&[demo]).unwrap();
        Self { folder }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn store(&self) -> Store {
        Store::open(&self.at("pieces.db")).unwrap()
    }

    /// Runs `sabulo keep` on its file.
    fn keep(&self, arguments: &[&dyn AsRef<Path>]) -> std::process::Output {
        let mut all = vec![PathBuf::from("keep")];
        all.extend(arguments.iter().map(|argument| argument.as_ref().to_owned()));
        all.extend([PathBuf::from("--data"), self.at("pieces.db")]);
        sabulo(all)
    }

    fn kept(&self, arguments: &[&dyn AsRef<Path>]) -> String {
        let output = self.keep(arguments);
        assert_eq!(code(&output), 0, "{}", complaint(&output));
        String::from_utf8(output.stdout).unwrap()
    }

    fn refused(&self, arguments: &[&dyn AsRef<Path>], says: &[&str]) {
        let output = self.keep(arguments);
        let words = complaint(&output);
        assert_eq!(code(&output), 1, "{words}");
        assert!(says.iter().all(|say| words.contains(say)), "{says:?} in: {words}");
    }
}

#[test]
fn a_backup_is_put_back_while_somebody_has_the_file_open() {
    let kept = Kept::new();
    let open = kept.store();
    let said = kept.kept(&[&"backup", &kept.at("copy.db")]);
    assert!(said.contains("checked copy"), "{said}");
    open.shelve(PieceId(1), true).unwrap();
    let said = kept.kept(&[&"restore", &kept.at("copy.db"), &"--json"]);
    let said: serde_json::Value = serde_json::from_str(&said).unwrap();
    let before = Store::open(Path::new(said["kept"].as_str().unwrap())).unwrap();
    assert!(before.pieces().unwrap()[0].away && !open.pieces().unwrap()[0].away);
    kept.refused(&[&"backup", &kept.at("copy.db")], &["copy.db: is there already"]);
    fs::write(kept.at("text.db"), "buy resist").unwrap();
    kept.refused(&[&"restore", &kept.at("text.db")], &["text.db: is damaged", "nothing was replaced"]);
}

#[test]
fn an_exported_piece_comes_in_elsewhere_and_unpacked_it_can_be_planned() {
    let (from, to) = (Kept::new(), Kept::new());
    from.store().save_run(PieceId(1), "k1", LOG).unwrap();
    let zip = from.at("marker.zip");
    let said = from.kept(&[&"export", &zip, &"--piece", &"Bramble's marker"]);
    assert!(said.contains("1 piece and 1 shop"), "{said}");
    let said = to.kept(&[&"import", &zip]);
    assert!(said.contains("is now piece 2, with 1 log; piece 1 of that name is untouched"), "{said}");
    assert_eq!(to.store().runs(PieceId(2)).unwrap()[0].log, LOG);
    let unpacked = from.at("unpacked");
    zip::ZipArchive::new(Cursor::new(fs::read(&zip).unwrap())).unwrap().extract(&unpacked).unwrap();
    let piece = unpacked.join("shop-1/1-bramble-s-marker/piece.toml");
    let planned = sabulo([Path::new("plan"), &piece, Path::new("--out"), &from.at("out")]);
    assert!([0, 3].contains(&code(&planned)), "{}", complaint(&planned));
    assert!(from.at("out/plan.json").exists());
    let logs = fs::read_to_string(unpacked.join("shop-1/1-bramble-s-marker/logs.csv")).unwrap();
    assert!(logs.starts_with("key,received_utc,log,told\nk1,20"), "{logs}");
}

const LOG: &str = r#"{"key":"k1","started_utc":"","ended_utc":"","stages":[],"events":[],"depths":[],"resist":null}"#;

#[test]
fn what_cannot_be_done_is_said() {
    let kept = Kept::new();
    kept.refused(&[&"export", &kept.at("a.zip"), &"--piece", &"Heron"], &["no one piece", "1 Bramble's marker"]);
    kept.refused(&[&"export", &kept.at("a.zip"), &"--piece", &"9"], &["there is no piece 9"]);
    kept.refused(&[&"export", &kept.at("a.zip"), &"--shop", &"9"], &["there is no shop 9"]);
    assert!(!kept.at("a.zip").exists());
    fs::write(kept.at("b.zip"), "PK").unwrap();
    kept.refused(&[&"import", &kept.at("b.zip")], &["b.zip", "not an exported file"]);
    let nowhere = sabulo(["keep", "backup", "x.db", "--data", "/no/such/pieces.db"]);
    assert!(code(&nowhere) == 1 && complaint(&nowhere).contains("/no/such/pieces.db: is not there"));
}
