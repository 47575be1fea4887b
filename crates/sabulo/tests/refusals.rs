//! What is refused: a message that names the file, the place and the mend; exit code 1; nothing written.

mod common;

use common::{code, complaint, examples, sabulo};
use std::fs;
use std::path::Path;
use std::time::Duration;

struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// The heron in a folder of its own, with the shop beside it.
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (from, to) in
            [("shop.toml", "shop.toml"), ("heron/piece.toml", "piece.toml"), ("heron/heron.svg", "heron.svg")]
        {
            fs::copy(examples().join(from), folder.path().join(to)).unwrap();
        }
        Self { folder }
    }

    fn at(&self, name: &str) -> std::path::PathBuf {
        self.folder.path().join(name)
    }

    fn change(&self, file: &str, from: &str, to: &str) -> &Self {
        let text = fs::read_to_string(self.at(file)).unwrap();
        assert!(text.contains(from), "{file} has no {from}");
        fs::write(self.at(file), text.replacen(from, to, 1)).unwrap();
        self
    }

    /// Plans, and wants a refusal that says all of these.
    fn refused(&self, says: &[&str]) {
        let out = self.at("out");
        let output = sabulo([Path::new("plan"), &self.at("piece.toml"), Path::new("--out"), &out]);
        let words = complaint(&output);
        assert_eq!(code(&output), 1, "{words}");
        for say in says {
            assert!(words.contains(say), "\"{say}\" is not said in: {words}");
        }
        assert!(!out.exists(), "something was written");
        assert!(output.stdout.is_empty(), "something was printed as if it had worked");
        assert!(!words.contains("panicked"), "{words}");
    }
}

#[test]
fn tempered_glass() {
    Bench::new().change("piece.toml", "temper = \"annealed\"", "temper = \"tempered\"").refused(&[
        "piece.toml",
        "empered",
        "carve",
    ]);
}

#[test]
fn missing_artwork() {
    Bench::new().change("piece.toml", "heron.svg", "egret.svg").refused(&["egret.svg", "cannot be read"]);
}

#[test]
fn malformed_svg() {
    let bench = Bench::new();
    fs::write(bench.at("heron.svg"), "<svg xmlns='http://www.w3.org/2000/svg'><g></svg>").unwrap();
    bench.refused(&["heron.svg", "line 1"]);
}

#[test]
fn artwork_larger_than_the_blank() {
    Bench::new().change("piece.toml", "top = \"75mm\"", "width = \"700mm\"").refused(&["piece.toml", "artwork", "400"]);
}

#[test]
fn a_quantity_without_a_unit() {
    let says = ["piece.toml:", "blank.thickness", "10mm"];
    Bench::new().change("piece.toml", "thickness = \"10mm\"", "thickness = \"10\"").refused(&says);
    Bench::new().change("piece.toml", "thickness = \"10mm\"", "thickness = 10").refused(&says);
}

#[test]
fn not_a_number() {
    let says = ["piece.toml:", "blank.thickness", "not finite"];
    Bench::new().change("piece.toml", "thickness = \"10mm\"", "thickness = \"NaN mm\"").refused(&says);
    Bench::new().change("piece.toml", "thickness = \"10mm\"", "thickness = nan").refused(&says);
    Bench::new().change("shop.toml", "altitude_m = 120", "altitude_m = nan").refused(&[
        "shop.toml:",
        "altitude_m",
        "-500",
    ]);
}

#[test]
fn a_negative_thickness() {
    let bench = Bench::new();
    bench.change("piece.toml", "thickness = \"10mm\"", "thickness = \"-10mm\"").refused(&[
        "piece.toml:",
        "blank.thickness",
        "0 to 100",
    ]);
}

#[test]
fn an_unknown_key() {
    Bench::new().change("piece.toml", "thickness =", "thicknes =").refused(&[
        "piece.toml:",
        "thicknes",
        "nearest is \"thickness\"",
    ]);
    Bench::new().change("shop.toml", "cut_out =", "cutout =").refused(&["shop.toml:", "nearest is \"cut_out\""]);
}

#[test]
fn a_billion_fold_use() {
    let mut svg = String::from(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='300mm' height='300mm'><defs><rect id='a0' width='1' height='1'/>",
    );
    for level in 1..=9 {
        let uses = format!("<use xlink:href='#a{}'/>", level - 1).repeat(10);
        svg += &format!("<g id='a{level}'>{uses}</g>");
    }
    svg += "</defs><g id='deep'><use xlink:href='#a9'/></g></svg>";
    let bench = Bench::new();
    fs::write(bench.at("heron.svg"), svg).unwrap();
    let begun = std::time::Instant::now();
    bench.refused(&["heron.svg", "limit is 200000", "remove copies"]);
    // A guard that expands first would run for hours: this is a hang, not a speed.
    assert!(begun.elapsed() < Duration::from_secs(120), "it was expanded before it was refused");
}

#[test]
fn a_viewbox_of_four_gigabytes() {
    let bench = Bench::new();
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='300mm' height='300mm' viewBox='0 0 4294967296 4294967296'><g id='deep'><rect width='4294967296' height='4294967296'/></g></svg>";
    fs::write(bench.at("heron.svg"), svg).unwrap();
    bench.refused(&["heron.svg", "viewBox"]);
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='4294967296' height='4294967296'><g id='deep'><rect width='4294967296' height='4294967296'/></g></svg>";
    fs::write(bench.at("heron.svg"), svg).unwrap();
    bench.refused(&["heron.svg"]);
}

#[test]
fn an_abrasive_with_free_silica() {
    let bench = Bench::new();
    let text = fs::read_to_string(bench.at("shop.toml")).unwrap();
    fs::write(
        bench.at("shop.toml"),
        text.replace("white_alumina", "silica_sand").replace("silicon_carbide", "silica_sand"),
    )
    .unwrap();
    bench.refused(&["silica"]);
}
