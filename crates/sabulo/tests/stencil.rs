//! Stencils on the command line, read back by other libraries than wrote them.

mod common;

use common::{code, complaint, examples, filled, sabulo, said};
use kurbo::Shape as _;
use serde_json::Value;
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::Path;
use std::process::Command;

fn run(arguments: &[&str]) -> (i32, Value) {
    let output = sabulo(["stencil"].into_iter().chain(arguments.iter().copied()).chain(["--json"]));
    let document = serde_json::from_slice(&output.stdout);
    (code(&output), document.unwrap_or_else(|_| panic!("{arguments:?}: {}", complaint(&output))))
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The openings of a file as usvg reads them, in the page's millimetres.
fn openings(path: &Path) -> kurbo::BezPath {
    let mut outline = kurbo::BezPath::new();
    filled(&fs::read(path).unwrap()).iter().for_each(|one| outline.extend(one));
    outline.apply_affine(kurbo::Affine::scale(25.4 / 96.0));
    outline
}

#[test]
fn every_example_goes_to_every_form_in_one_command() {
    for example in ["heron", "crest", "marker"] {
        let folder = tempfile::tempdir().unwrap();
        let piece = examples().join(example).join("piece.toml");
        let forms = "svg,dxf,plt,pdf,tiff";
        let arguments = [text(&piece), "--out", text(folder.path()), "--as", forms, "--dpi", "300"];
        let (code, document) = run(&arguments);
        let stops = document["stops"].as_array().unwrap().len();
        assert_eq!(code, if stops == 0 { 0 } else { 3 }, "{example}");
        for layer in document["layers"].as_array().unwrap() {
            let number = |key: &str| layer[key].as_f64().unwrap();
            let files = layer["files"].as_array().unwrap();
            assert!(files.len() >= 5, "{example}: {files:?}");
            for file in files {
                let path = folder.path().join(file["path"].as_str().unwrap());
                let bytes = fs::read(&path).unwrap();
                let digest: String = Sha256::digest(&bytes).iter().map(|byte| format!("{byte:02x}")).collect();
                assert_eq!(file["sha256"], digest, "{}", path.display());
                match file["form"].as_str().unwrap() {
                    "svg" => {
                        let area = openings(&path).area().abs();
                        assert!((area / number("open_area_mm2") - 1.0).abs() < 2e-3, "{area} in {}", path.display());
                    }
                    "tif" => assert!(image::open(&path).unwrap().width() > 100),
                    "pdf" => {
                        let info = Command::new("pdfinfo").arg(&path).output().expect("poppler is installed");
                        assert!(String::from_utf8_lossy(&info.stdout).contains("Pages:           1"));
                    }
                    "plt" => assert!(bytes.starts_with(b"IN;SP1;")),
                    "dxf" => assert!(bytes.ends_with(b"EOF\n")),
                    _ => {}
                }
            }
            let cut = &layer["cut"];
            let ratio = cut["travel_ratio"].as_f64().unwrap();
            assert!(ratio >= 1.0 && cut["travel_mm"].as_f64() <= cut["travel_before_mm"].as_f64(), "{cut}");
        }
        assert!(document["masking"]["tape_mm"].as_f64().unwrap() > 0.0);
    }
}

#[test]
fn a_piece_carved_from_the_back_is_mirrored_and_one_from_the_front_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let copy = |from: &str, name: &str| fs::copy(examples().join(from), folder.path().join(name)).unwrap();
    copy("heron/heron.svg", "heron.svg");
    copy("shop.toml", "shop.toml");
    let piece = fs::read_to_string(examples().join("heron/piece.toml")).unwrap();
    let outline = |side: &str| {
        let path = folder.path().join(format!("{side}.toml"));
        fs::write(&path, piece.replace("carve_from = \"back\"", &format!("carve_from = \"{side}\""))).unwrap();
        let out = folder.path().join(side);
        // Whole, not in strips as wide as the film.
        let (_, document) = run(&[text(&path), "--out", text(&out), "--cutter", "600mm"]);
        assert_eq!(document["carve_from"], side);
        (openings(&out.join("stencil-1.svg")), document["layers"][0]["width_mm"].as_f64().unwrap())
    };
    let ((front, width), (back, _)) = (outline("front"), outline("back"));
    // Every tenth corner's mirror image is on the other.
    let flipped = kurbo::Affine::new([-1.0, 0.0, 0.0, 1.0, width, 0.0]) * front.clone();
    let corners = |path: &kurbo::BezPath| {
        let mut all: Vec<(i64, i64)> = path
            .elements()
            .iter()
            .filter_map(|element| element.end_point())
            .map(|p| ((50.0 * p.x).round() as i64, (50.0 * p.y).round() as i64))
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    let [plain, flipped, back] = [&front, &flipped, &back].map(corners);
    let shared = |a: &[(i64, i64)]| {
        let near =
            |p: &&(i64, i64)| (-1..=1).any(|dx| (-1..=1).any(|dy| back.binary_search(&(p.0 + dx, p.1 + dy)).is_ok()));
        a.iter().filter(near).count() as f64 / a.len() as f64
    };
    assert!(shared(&flipped) > 0.99 && shared(&plain) < 0.5, "{} {}", shared(&flipped), shared(&plain));
}

#[test]
fn on_a_tumbler_the_film_is_longer_by_its_own_thickness_and_on_a_taper_it_bends() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(examples().join("crest/crest.svg"), folder.path().join("crest.svg")).unwrap();
    fs::copy(examples().join("shop.toml"), folder.path().join("shop.toml")).unwrap();
    let piece = fs::read_to_string(examples().join("crest/piece.toml")).unwrap();
    let width = |name: &str, from: &str, to: &str| {
        let path = folder.path().join(format!("{name}.toml"));
        fs::write(&path, piece.replace(from, to)).unwrap();
        let (_, document) = run(&[text(&path)]);
        (document["unrolled_from"].as_str().unwrap().to_owned(), document["layers"][1]["width_mm"].as_f64().unwrap())
    };
    let (kind, straight) = width("straight", "", "");
    // The crest is 70 mm wide; marks and margins add 14 mm at each side. Film of 4 mil on 80 mm: 1 + 0.1016 / 80.
    assert_eq!(kind, "cylinder");
    let (drawn, film) = (straight - 28.0, 70.0 * (1.0 + 0.1016 / 80.0));
    assert!(drawn <= film + 1e-6 && drawn > 60.0, "{drawn} {film}");
    let (kind, tapered) = width("tapered", "diameter = \"80mm\"", "diameter = \"80mm\"\nfoot_diameter = \"60mm\"");
    assert!(kind == "cone" && tapered != straight, "{kind} {tapered} {straight}");
    // A handle in the way stops the plan, and the remedy is a width.
    let handle = "diameter = \"80mm\"\nhandle = { width = \"180mm\", from = \"10mm\", to = \"120mm\" }";
    let path = folder.path().join("handle.toml");
    fs::write(&path, piece.replace("diameter = \"80mm\"", handle)).unwrap();
    let (code, document) = run(&[text(&path)]);
    assert_eq!(code, 3);
    assert!(document["stops"].to_string().contains("handle"), "{}", document["stops"]);
}

#[test]
fn a_bowls_film_comes_in_gores_and_too_few_stop_with_how_many_hold() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(examples().join("crest/crest.svg"), folder.path().join("crest.svg")).unwrap();
    fs::copy(examples().join("shop.toml"), folder.path().join("shop.toml")).unwrap();
    let piece = fs::read_to_string(examples().join("crest/piece.toml")).unwrap().replace("30mm", "10mm");
    let tumbler = "shape = \"tumbler\"\ndiameter = \"80mm\"\nheight = \"140mm\"";
    assert!(piece.contains(tumbler), "nothing to replace");
    let write = |name: &str, more: &str| {
        let bowl = "shape = \"bowl\"\ndiameter = \"220mm\"\nfoot_diameter = \"90mm\"\nheight = \"80mm\"";
        let path = folder.path().join(name);
        fs::write(&path, piece.replace(tumbler, &format!("{bowl}\n{more}"))).unwrap();
        path
    };
    let (path, out) = (write("bowl.toml", ""), folder.path().join("out"));
    let (_, document) = run(&[text(&path), "--out", text(&out), "--cutter", "600mm"]);
    assert_eq!(document["unrolled_from"], "bowl");
    // The ball through both circles, by hand: z 103.0 mm, radius 112.4, the foot at 23.6 degrees from the pole. Its
    // gores are strained by sqrt(1 + (π/n)² cos² 23.6°) - 1: 2.03 % for 14, 1.78 % for 15.
    let z = (110.0_f64.powi(2) - 45.0_f64.powi(2) + 80.0_f64.powi(2)) / 160.0;
    let strain = |n: f64| (1.0 + (std::f64::consts::PI / n * z / 45.0_f64.hypot(z)).powi(2)).sqrt() - 1.0;
    assert!(strain(14.0) > 0.02 && strain(15.0) < 0.02, "{} {}", strain(14.0), strain(15.0));
    // So three gores of 15, each 46.1 mm at its widest, gaps of 4 mm, marks and margins of 14 mm.
    let wide = |layer: &Value| layer["width_mm"].as_f64().unwrap();
    let layers = document["layers"].as_array().unwrap();
    let wanted = 3.0 * 2.0 * std::f64::consts::PI / 15.0 * 110.05 + 2.0 * 4.0 + 28.0;
    assert!(layers.iter().all(|layer| (wide(layer) - wanted).abs() < 0.2), "{layers:?} {wanted}");
    let area = openings(&out.join("stencil-1.svg")).area().abs();
    assert!((area / layers[0]["open_area_mm2"].as_f64().unwrap() - 1.0).abs() < 2e-3, "{area}");
    let stops = |document: &Value| {
        document["stops"].as_array().unwrap().iter().filter(|s| s.to_string().contains("fold")).count()
    };
    assert_eq!(stops(&document), 0);
    let few = write("few.toml", "gores = 8");
    let (code, document) = run(&[text(&few)]);
    assert_eq!((code, stops(&document)), (3, 1), "{}", document["stops"]);
    let plan = sabulo(["plan", text(&few), "--json"]);
    let plan: Value = serde_json::from_slice(&plan.stdout).unwrap();
    let findings = plan["findings"].as_array().unwrap();
    let folds = findings.iter().find(|finding| finding["id"] == "gores").unwrap();
    assert!(folds.to_string().contains("15 gores"), "{folds}");
}

const BAND: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="20mm" viewBox="0 0 60 20">
<path d="M0 0h60v20h-60zM10 5v10h40v-10z" fill-rule="evenodd"/></svg>"##;

#[test]
fn a_cones_film_has_the_published_sector_and_the_artworks_area() {
    let folder = tempfile::tempdir().unwrap();
    let (art, out) = (folder.path().join("band.svg"), folder.path().join("out"));
    fs::write(&art, BAND).unwrap();
    // The process checks' case 2: R 42, r 30, H 120.
    let cone = ["develop", "--cone", "84mm,60mm,120mm", text(&art), "--out", text(&out), "--as", "svg,plt"];
    let (code, document) = run(&cone);
    assert_eq!(code, 0);
    for (key, wanted) in [
        ("outer_radius_mm", 422.095),
        ("inner_radius_mm", 301.496),
        ("sector_deg", 35.8213),
        ("sheet_width_mm", 259.617),
        ("sheet_height_mm", 135.21),
    ] {
        let found = document[key].as_f64().unwrap();
        assert!((found / wanted - 1.0).abs() < 1e-4, "{key}: {found}");
    }
    // Laid along the rim the band keeps its area to second order: wider above than below by as much.
    let area = openings(&out.join("film-1.svg")).area().abs();
    assert!((area / (1200.0 - 400.0) - 1.0).abs() < 2e-3, "{area}");
    let picture = fs::read_to_string(out.join("on-vessel.svg")).unwrap();
    assert!(usvg::Tree::from_str(&picture, &usvg::Options::default()).is_ok());
}

#[test]
fn sizes_of_film_are_told_in_inches_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let art = folder.path().join("band.svg");
    fs::write(&art, BAND).unwrap();
    let told = |units: &[&str]| {
        let cone = ["stencil", "develop", "--cone", "84mm,60mm,120mm", text(&art)];
        said(&sabulo(cone.iter().chain(units)))
    };
    // The process checks' case 2 again: radii 422.095 and 301.496 mm, sheet 259.617 x 135.21 mm, over 25.4.
    let (metric, us) = (told(&[]), told(&["--units", "us"]));
    assert!(metric.contains("between radii 422.10 mm and 301.50 mm") && !metric.contains(" in "), "{metric}");
    for inches in ["between radii 16.618 in and 11.870 in", "sheet 10.221 in x 5.3232 in"] {
        assert!(us.contains(inches) && !us.contains(" mm"), "{us}");
    }
    let photo = folder.path().join("grey.png");
    image::GrayImage::from_pixel(40, 20, image::Luma([128])).save(&photo).unwrap();
    let dots = ["stencil", "halftone", "--width", "100mm", "--least", "0.2mm", "--units", "us", text(&photo)];
    let told = said(&sabulo(dots));
    // 100 x 50 mm; 65 lines an inch are 25.4 / 65 = 0.3908 mm, 15.4 mil, from dot to dot.
    assert!(told.contains("3.937 in x 1.969 in") && told.contains("65.0 lines an inch, 15.4 mil"), "{told}");
    assert!(told.contains("a smallest dot of 7.87 mil") && !told.contains(" mm"), "{told}");
}

#[test]
fn gores_that_strain_the_film_stop_and_the_count_that_is_named_holds() {
    let folder = tempfile::tempdir().unwrap();
    let art = folder.path().join("band.svg");
    fs::write(&art, BAND).unwrap();
    let bowl = ["develop", "--bowl", "160mm,60mm,70mm", text(&art), "--strain", "1%"];
    let (code, few) = run(&[&bowl[..], &["--gores", "6"]].concat());
    assert_eq!(code, 3);
    let least = few["gores"]["count_least"].as_u64().unwrap();
    // Closed form: sqrt(1 + (π/n)² cos² θ) - 1 at the end nearest to a pole, here the foot.
    let z: f64 = (80.0_f64 * 80.0 - 30.0 * 30.0 + 70.0 * 70.0) / 140.0;
    let cosine = z / 30_f64.hypot(z);
    let strain = |n: f64| (1.0 + (std::f64::consts::PI / n * cosine).powi(2)).sqrt() - 1.0;
    assert!((few["gores"]["strain_largest"].as_f64().unwrap() / strain(6.0) - 1.0).abs() < 1e-9);
    assert!(strain(least as f64) <= 0.01 && strain(least as f64 - 1.0) > 0.01);
    let (code, enough) = run(&[&bowl[..], &["--gores", &least.to_string()]].concat());
    assert_eq!((code, enough["gores"]["holds"].as_bool()), (0, Some(true)));
}

/// A wedge of five greys, each 20 x 40 mm at 100 dots an inch.
fn wedge(path: &Path) {
    let wide = 79;
    let grey = |x: u32| [230_u8, 191, 128, 64, 26][(x / wide).min(4) as usize];
    image::GrayImage::from_fn(5 * wide, 2 * wide, |x, _| image::Luma([grey(x)])).save(path).unwrap();
}

#[test]
fn a_photographs_greys_come_out_as_shares_of_black_in_every_method() {
    let folder = tempfile::tempdir().unwrap();
    let (photo, film) = (folder.path().join("wedge.png"), folder.path().join("film.tif"));
    wedge(&photo);
    for method in
        [&["clustered", "--ruling", "45lpi"][..], &["blue-noise"], &["diffusion"], &["diffusion", "--one-way"]]
    {
        let base = ["halftone", text(&photo), "--width", "100mm", "--dpi", "600", "--ink-up", "--out", text(&film)];
        let (code, document) = run(&[&base[..], &["--method"], method].concat());
        assert_eq!(code, 0, "{document}");
        let dots = image::open(&film).unwrap().to_luma8();
        let per_mm = 600.0 / 25.4;
        for (i, grey) in [230.0, 191.0, 128.0, 64.0, 26.0].iter().enumerate() {
            // The picture begins 14 mm from the film's edge; its patches' middles are looked at.
            let left = ((14.0 + 20.0 * i as f64 + 3.0) * per_mm) as u32;
            let (mut black, mut all) = (0.0, 0.0);
            for x in left..left + (14.0 * per_mm) as u32 {
                for y in (17.0 * per_mm) as u32..(50.0 * per_mm) as u32 {
                    black += f64::from(u8::from(dots.get_pixel(x, y).0[0] < 128));
                    all += 1.0;
                }
            }
            let wanted = 1.0 - grey / 255.0;
            assert!((black / all - wanted).abs() < 0.01, "{method:?}: {} where {wanted} was asked", black / all);
        }
    }
}

#[test]
fn a_ruling_that_the_film_cannot_hold_stops_with_one_that_it_can() {
    let folder = tempfile::tempdir().unwrap();
    let photo = folder.path().join("wedge.png");
    wedge(&photo);
    // HLF-R10-0.2: 45.3168 lpi holds 10 to 90 % with a smallest dot of 0.2 mm.
    let (code, document) = run(&["halftone", text(&photo), "--ruling", "65lpi", "--least", "0.2mm"]);
    assert_eq!(code, 3);
    assert!((document["ruling_lpi_max"].as_f64().unwrap() / 45.3168 - 1.0).abs() < 1e-4);
    let (code, _) = run(&["halftone", text(&photo), "--ruling", "45lpi", "--least", "0.2mm"]);
    assert_eq!(code, 0);
}

#[test]
fn three_hundred_names_go_to_files_in_one_command() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let template = r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="20mm" viewBox="0 0 80 20">
        <text x="40" y="14" text-anchor="middle" font-family="EB Garamond" font-size="9">{name}</text></svg>"#;
    fs::write(path("template.svg"), template).unwrap();
    let names: String = (0..300).map(|n| format!("Guest {n}\n")).collect();
    fs::write(path("names.csv"), format!("name\n{names}")).unwrap();
    let (template, names, out) = (path("template.svg"), path("names.csv"), path("out"));
    let (code, document) =
        run(&["names", &template, "--names", &names, "--resist", "vinyl_thin", "--as", "svg,plt", "--out", &out]);
    assert_eq!((code, document["made"].as_array().unwrap().len()), (0, 300), "{}", document["bad"]);
    // A drawing, cutter vectors and the picture of weeding for each.
    assert_eq!(fs::read_dir(&out).unwrap().count(), 900);
}

#[test]
fn bad_input_is_named_and_bad_usage_is_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let art = folder.path().join("band.svg");
    fs::write(&art, BAND).unwrap();
    let refused = |arguments: &[&str], wanted: i32, word: &str| {
        let output = sabulo(["stencil"].into_iter().chain(arguments.iter().copied()));
        assert_eq!(code(&output), wanted, "{arguments:?}");
        assert!(complaint(&output).contains(word), "{arguments:?}: {}", complaint(&output));
    };
    refused(&["nowhere.toml"], 1, "shop.toml");
    refused(&[], 2, "PIECE");
    refused(&["develop", text(&art)], 1, "--cone");
    refused(&["develop", text(&art), "--cone", "80mm,60mm"], 1, "--cone");
    refused(&["develop", text(&art), "--cone", "20mm,18mm,30mm", "--down", "20mm"], 1, "side");
    refused(&["develop", text(&art), "--cylinder", "10mm,50mm"], 1, "turns");
    refused(&["develop", text(&art), "--cylinder", "80,110"], 1, "unit");
    refused(&["develop", text(&art), "--as", "gif"], 2, "gif");
    refused(&["halftone", text(&art)], 1, "band.svg");
    refused(&["halftone", "photo.png", "--ruling", "fine"], 1, "--ruling");
    refused(&["names", text(folder.path()), "--resist", "wax", "--out", "x"], 1, "wax");
}

#[test]
fn drawings_are_laid_on_a_roll_and_what_finds_no_room_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let crest = format!("{}=4", text(&examples().join("crest/crest.svg")));
    let out = text(folder.path());
    let (code, laid) = run(&["nest", &crest, "--width", "15in", "--gap", "3mm", "--seconds", "1", "--out", out]);
    let length_mm = laid["length_mm"].as_f64().unwrap();
    let density = laid["density"].as_f64().unwrap();
    assert_eq!((code, laid["left_over"].as_array().map_or(0, Vec::len)), (0, 0), "{laid}");
    assert!(length_mm > 50.0 && (0.3..1.0).contains(&density), "{length_mm} {density}");
    // The sheet is as long as was told and as wide as the roll, by another reader, at 96 dots an inch.
    let drawn = fs::read(folder.path().join("sheet-1.svg")).unwrap();
    let tree = usvg::Tree::from_data(&drawn, &usvg::Options::default()).unwrap();
    let sheet = tree.node_by_id("sheet").unwrap().abs_bounding_box();
    let mm = |dots: f32| f64::from(dots) * 25.4 / 96.0;
    assert!((mm(sheet.width()) - length_mm).abs() < 0.1 && (mm(sheet.height()) - 381.0).abs() < 0.1, "{sheet:?}");
    let (code, none) = run(&["nest", &crest, "--width", "20mm", "--seconds", "1"]);
    assert_eq!(code, 1);
    assert_eq!(none["left_over"].as_array().unwrap().len(), 1, "{none}");
    assert_eq!(none["length_mm"].to_string(), "0.0");
}
