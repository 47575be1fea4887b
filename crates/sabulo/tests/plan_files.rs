//! `sabulo plan` on every example: all files written, and read back by something that did not write them.

mod common;

use common::{code, complaint, examples, sabulo};
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

const EXAMPLES: [&str; 3] = ["heron", "crest", "marker"];

struct Planned {
    folder: PathBuf,
    plan: Value,
    code: i32,
}

/// Each example planned once, at the usual cell, into a folder that the tests share.
fn planned(example: &str) -> &'static Planned {
    static ALL: OnceLock<Vec<(String, Planned)>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let root = tempfile::tempdir().unwrap().keep();
        EXAMPLES.iter().map(|example| (example.to_string(), plan(example, &root.join(example)))).collect()
    });
    &all.iter().find(|(name, _)| name == example).unwrap().1
}

fn plan(example: &str, folder: &Path) -> Planned {
    plan_file(&examples().join(example).join("piece.toml"), folder)
}

fn plan_file(piece: &Path, folder: &Path) -> Planned {
    let output = sabulo([Path::new("plan"), piece, Path::new("--out"), folder]);
    let code = code(&output);
    assert!(code == 0 || code == 3, "{}: {}", piece.display(), complaint(&output));
    let plan = serde_json::from_slice(&fs::read(folder.join("plan.json")).unwrap()).unwrap();
    Planned { folder: folder.to_owned(), plan, code }
}

#[test]
fn plan_json_validates_against_its_own_schema() {
    let schema: Value = serde_json::from_slice(&sabulo(["schema", "plan"]).stdout).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for example in EXAMPLES {
        let faults: Vec<String> =
            validator.iter_errors(&planned(example).plan).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{example}: {faults:?}");
    }
    // A plan that lacks its recipe does not pass: the schema says something.
    let mut broken = planned("heron").plan.clone();
    broken.as_object_mut().unwrap().remove("recipe");
    assert!(!validator.is_valid(&broken));
}

#[test]
fn the_example_files_validate_against_their_schemas() {
    for (kind, files) in
        [("shop", vec!["shop.toml"]), ("piece", vec!["heron/piece.toml", "crest/piece.toml", "marker/piece.toml"])]
    {
        let schema: Value = serde_json::from_slice(&sabulo(["schema", kind]).stdout).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        for file in files {
            let text = fs::read_to_string(examples().join(file)).unwrap();
            let value = serde_json::to_value(toml::from_str::<toml::Table>(&text).unwrap()).unwrap();
            let faults: Vec<String> = validator.iter_errors(&value).map(|fault| fault.to_string()).collect();
            assert!(faults.is_empty(), "{file}: {faults:?}");
        }
    }
}

#[test]
fn every_file_named_in_the_plan_is_there_with_its_digest() {
    for example in EXAMPLES {
        let planned = planned(example);
        let files = planned.plan["files"].as_array().unwrap();
        let kinds: Vec<&str> = files.iter().map(|file| file["kind"].as_str().unwrap()).collect();
        let stages = planned.plan["stages"].as_array().unwrap().len();
        assert_eq!(kinds.iter().filter(|kind| **kind == "stencil").count(), stages);
        for kind in ["preview", "run_strip", "job_sheet"] {
            assert!(kinds.contains(&kind), "{example} has no {kind}");
        }
        for file in files {
            let bytes = fs::read(planned.folder.join(file["path"].as_str().unwrap())).unwrap();
            let digest: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
            assert_eq!(file["sha256"], digest, "{}", file["path"]);
        }
        // Nothing else lies in the folder.
        assert_eq!(fs::read_dir(&planned.folder).unwrap().count(), files.len() + 1);
    }
}

#[test]
fn the_exit_code_tells_whether_something_stops_it() {
    for example in EXAMPLES {
        let planned = planned(example);
        let findings = planned.plan["findings"].as_array().unwrap();
        let stops = findings.iter().any(|finding| finding["level"] == "stop");
        assert_eq!(planned.code == 3, stops, "{example}");
    }
}

/// Area in mm² that an SVG opens, read by `kurbo` alone: the path data, even-odd by signed area of the
/// rings, in the units of the viewBox, which are millimetres when width and height say the same.
fn open_area(svg: &str) -> f64 {
    let number = |text: &str| text.trim_end_matches("mm").parse::<f64>().unwrap();
    let attribute = |name: &str| {
        let start = svg.find(&format!(" {name}=\"")).unwrap() + name.len() + 3;
        svg[start..].split('"').next().unwrap().to_owned()
    };
    let view: Vec<f64> = attribute("viewBox").split_whitespace().map(number).collect();
    assert!((number(&attribute("width")) - view[2]).abs() < 1e-6, "one unit is one millimetre");
    assert!((number(&attribute("height")) - view[3]).abs() < 1e-6);
    let openings = svg.split("id=\"openings\"").nth(1).expect("a group of openings").split("</g>").next().unwrap();
    let paths = openings.split(" d=\"").skip(1).map(|rest| rest.split('"').next().unwrap());
    // Outer rings and holes run in opposite directions, so their signed areas add up to what is open.
    let area = |data: &str| kurbo::Shape::area(&kurbo::BezPath::from_svg(data).unwrap());
    paths.map(area).sum::<f64>().abs()
}

#[test]
fn the_stencils_open_what_the_artwork_opens() {
    for example in EXAMPLES {
        let planned = planned(example);
        let layers = planned.plan["layers"].as_array().unwrap();
        let mut worst: f64 = 0.0;
        let number = |part: &str, key: &str| planned.plan[part][key].as_f64().unwrap();
        // Around a vessel the film's middle lies further out than the glass: 1 + t / D of the artwork.
        let longer = match planned.plan["piece"]["shape"].as_str() {
            Some("tumbler") => {
                let diameter_mm = number("piece", "width_mm") / std::f64::consts::PI;
                1.0 + 1e-3 * number("recipe", "resist_thickness_um") / diameter_mm
            }
            _ => 1.0,
        };
        for stage in planned.plan["stages"].as_array().unwrap() {
            let opens = stage["opens"].as_array().unwrap();
            let area = |layer: &&Value| opens.contains(&layer["name"]);
            let want: f64 = layers.iter().filter(area).map(|layer| layer["area_mm2"].as_f64().unwrap()).sum();
            let file = planned.folder.join(format!("stencil-{}.svg", stage["order"]));
            let have = open_area(&fs::read_to_string(file).unwrap());
            worst = worst.max((have / (longer * want) - 1.0).abs());
        }
        println!("{example}: worst stencil area {:.4} % off", worst * 100.0);
        assert!(worst < 1e-3, "{example}");
    }
}

/// The artwork's own area, from its file by another rasteriser: coverage of a group drawn alone.
#[test]
fn the_artworks_area_is_that_of_its_drawing() {
    let svg = fs::read_to_string(examples().join("heron/heron.svg")).unwrap();
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
    const SCALE: f32 = 4.0;
    let size = tree.size();
    let mut pixels =
        resvg::tiny_skia::Pixmap::new((size.width() * SCALE) as u32, (size.height() * SCALE) as u32).unwrap();
    resvg::render(&tree, resvg::tiny_skia::Transform::from_scale(SCALE, SCALE), &mut pixels.as_mut());
    let covered: f64 = pixels.pixels().iter().map(|pixel| f64::from(pixel.alpha()) / 255.0).sum();
    let mm_per_pixel = 25.4 / 96.0 / f64::from(SCALE);
    let drawn = covered * mm_per_pixel * mm_per_pixel;
    let layers = planned("heron").plan["layers"].as_array().unwrap();
    let planned: f64 = layers.iter().map(|layer| layer["area_mm2"].as_f64().unwrap()).sum();
    println!("drawn {drawn:.1} mm², planned {planned:.1} mm²");
    assert!((planned / drawn - 1.0).abs() < 1e-3);
}

#[test]
fn a_stencil_for_the_back_is_mirrored_and_one_for_the_front_is_not() {
    let says = |example: &str| {
        let svg = fs::read_to_string(planned(example).folder.join("stencil-1.svg")).unwrap();
        svg.contains("Mirrored for carving from the back")
    };
    assert!(says("heron"), "the heron is carved from the back");
    assert!(!says("marker"), "the marker is carved from the front");
    // The heron's deep layer lies to one side of the blank's middle: mirrored, it lies to the other.
    let middle = |svg: &str| {
        let data =
            svg.split("id=\"openings\"").nth(1).unwrap().split(" d=\"").nth(1).unwrap().split('"').next().unwrap();
        kurbo::Shape::bounding_box(&kurbo::BezPath::from_svg(data).unwrap()).center().x
    };
    let folder = tempfile::tempdir().unwrap();
    for name in ["shop.toml", "heron/heron.svg"] {
        fs::copy(examples().join(name), folder.path().join(name.rsplit('/').next().unwrap())).unwrap();
    }
    let text = fs::read_to_string(examples().join("heron/piece.toml")).unwrap();
    let front = folder.path().join("piece.toml");
    fs::write(&front, text.replace("carve_from = \"back\"", "carve_from = \"front\"")).unwrap();
    let unmirrored = plan_file(&front, &folder.path().join("out"));
    let svg = |folder: &Path| fs::read_to_string(folder.join("stencil-1.svg")).unwrap();
    let sum = middle(&svg(&unmirrored.folder)) + middle(&svg(&planned("heron").folder));
    assert!(
        (sum - 400.0).abs() < 0.01,
        "mirrored about the middle of a 400 mm blank, the two middles add to 400: {sum}"
    );
}

#[test]
fn the_job_sheet_opens_at_its_size_and_its_text_can_be_taken_out() {
    for example in EXAMPLES {
        let planned = planned(example);
        let sheet = planned.folder.join("job-sheet.pdf");
        let poppler = |tool: &str, more: &[&str]| {
            let output = Command::new(tool).arg(&sheet).args(more).output();
            let output = output.expect("./check installs poppler-utils");
            assert!(output.status.success(), "{tool}: {}", String::from_utf8_lossy(&output.stderr));
            String::from_utf8_lossy(&output.stdout).into_owned()
        };
        let info = poppler("pdfinfo", &[]);
        assert!(info.contains("595.276 x 841.89 pts (A4)"), "{info}");
        let text = poppler("pdftotext", &["-layout", "-"]);
        for word in [planned.plan["piece"]["name"].as_str().unwrap(), "Lantern Yard", "espirator"] {
            assert!(text.contains(word), "{example}: the job sheet does not say \"{word}\":\n{text}");
        }
    }
}

#[test]
fn letter_paper_is_letter() {
    let folder = tempfile::tempdir().unwrap();
    let piece = examples().join("crest/piece.toml");
    let output = sabulo([
        Path::new("plan"),
        &piece,
        Path::new("--out"),
        folder.path(),
        Path::new("--paper"),
        Path::new("letter"),
        Path::new("--cell"),
        Path::new("0.2mm"),
    ]);
    assert!([0, 3].contains(&code(&output)), "{}", complaint(&output));
    let info = Command::new("pdfinfo").arg(folder.path().join("job-sheet.pdf")).output().unwrap();
    assert!(String::from_utf8_lossy(&info.stdout).contains("612 x 792 pts (letter)"));
}

#[test]
fn the_preview_is_a_picture_of_something() {
    for example in EXAMPLES {
        let picture = image::open(planned(example).folder.join("preview.png")).unwrap().to_luma8();
        assert!(picture.width().max(picture.height()) >= 1000);
        let (mut dark, mut light) = (0u32, 0u32);
        for pixel in picture.pixels() {
            dark += u32::from(pixel.0[0] < 60);
            light += u32::from(pixel.0[0] > 150);
        }
        let all = picture.width() * picture.height();
        assert!(dark > all / 20 && light > all / 200, "{example}: {dark} dark and {light} light of {all}");
    }
}

#[test]
fn the_run_strip_is_an_svg_that_another_reader_takes() {
    for example in EXAMPLES {
        let svg = fs::read_to_string(planned(example).folder.join("run-strip.svg")).unwrap();
        let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
        assert!(tree.size().width() > tree.size().height());
    }
}

/// The marker's piece with another file as its artwork, of one layer.
fn planned_from(folder: &Path, name: &str, bytes: &[u8], layer: &str) -> Value {
    fs::copy(examples().join("shop.toml"), folder.join("shop.toml")).unwrap();
    fs::write(folder.join(name), bytes).unwrap();
    let text = format!(
        "sabulo = \"piece 1\"\nname = \"Plate\"\nquantity = 1\n[artwork]\nfile = \"{name}\"\nwidth = \"200mm\"\n\
         [blank]\nmaterial = \"granite\"\nwidth = \"300mm\"\nheight = \"300mm\"\nthickness = \"50mm\"\n\
         carve_from = \"front\"\nprice = \"50.00\"\n[[depth]]\nlayer = \"{layer}\"\ndepth = \"1mm\"\n[recipe]\n\
         resist = \"rubber_thick\"\nabrasive = \"silicon_carbide\"\ngrit = \"F120\"\n"
    );
    fs::write(folder.join("piece.toml"), text).unwrap();
    plan_file(&folder.join("piece.toml"), &folder.join("out")).plan
}

#[test]
fn a_plan_is_made_of_dxf_and_of_a_scan_and_tells_what_their_readers_did() {
    let words = |plan: &Value| -> Vec<String> {
        plan["notes"].as_array().unwrap().iter().map(|note| format!("{} {}", note["level"], note["what"])).collect()
    };
    // A square of 100 units a side, its last corner 0.03 short, and a line by itself, in a file that says no unit.
    let line = |x0, y0, x1, y1| format!("0\nLINE\n8\nplate\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n");
    let square = [
        line("0", "0", "100", "0"),
        line("100", "0", "100", "100"),
        line("100", "100", "0", "100"),
        line("0", "100", "0", "0.03"),
        line("10", "120", "60", "120"),
    ];
    let dxf = format!("0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n", square.concat());
    let folder = tempfile::tempdir().unwrap();
    let plan = planned_from(folder.path(), "plate.dxf", dxf.as_bytes(), "plate");
    assert!((plan["layers"][0]["area_mm2"].as_f64().unwrap() - 40_000.0).abs() < 20.0, "{}", plan["layers"]);
    let notes = words(&plan);
    assert!(notes.len() == 2 && notes[0].contains("watch") && notes[0].contains("a chain left out"), "{notes:?}");
    // The width is given: whatever unit was assumed does not matter.
    assert!(notes[1].contains("holds") && notes[1].contains("a gap of 0.030 mm closed"), "{notes:?}");

    let mut pixels = resvg::tiny_skia::Pixmap::new(400, 400).unwrap();
    pixels.fill(resvg::tiny_skia::Color::WHITE);
    let disc = resvg::tiny_skia::PathBuilder::from_circle(200.0, 200.0, 150.0).unwrap();
    let black = resvg::tiny_skia::Paint { anti_alias: true, ..Default::default() };
    pixels.fill_path(&disc, &black, resvg::tiny_skia::FillRule::Winding, resvg::tiny_skia::Transform::identity(), None);
    let folder = tempfile::tempdir().unwrap();
    let plan = planned_from(folder.path(), "scan.png", &pixels.encode_png().unwrap(), "traced");
    // The page becomes 200 mm wide, the disc 75 mm in radius.
    let area = plan["layers"][0]["area_mm2"].as_f64().unwrap();
    assert!((area / (std::f64::consts::PI * 75.0 * 75.0) - 1.0).abs() < 5e-3, "{area}");
    let notes = words(&plan);
    assert!(notes.len() == 1 && notes[0].contains("traced at 300 dpi: 1 outlines"), "{notes:?}");
}
