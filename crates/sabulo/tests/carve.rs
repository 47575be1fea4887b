//! The carving model on the command line: its answers read back, and questions that have none.

mod common;

use common::{code, complaint, examples, sabulo};
use serde_json::Value;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::process::Output;

/// A small panel: a square of 20 mm, 2 mm deep, with a line of 0.8 mm beside it, on a blank of 100 x 60 mm.
const DRAWING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="deep" fill="#204060"><rect x="5" y="5" width="20" height="20"/></g>
<g id="fine" fill="#a0c8d8"><rect x="35" y="5" width="0.8" height="20"/></g>
</svg>"##;

const PIECE: &str = r#"sabulo = "piece 1"
name = "Square and line"
[artwork]
file = "square.svg"
left = "20mm"
top = "10mm"
[blank]
material = "float_glass"
width = "100mm"
height = "60mm"
thickness = "8mm"
[[depth]]
layer = "deep"
depth = "2mm"
[[depth]]
layer = "fine"
depth = "1mm"
[recipe]
resist = "rubber_medium"
abrasive = "white_alumina"
grit = "F150"
nozzle = "carver"
pressure = "2.5bar"
standoff = "120mm"
"#;

struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
        put("square.svg", DRAWING);
        put("piece.toml", PIECE);
        put("shop.toml", &std::fs::read_to_string(examples().join("shop.toml")).unwrap());
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        self.path(name).display().to_string()
    }

    /// `sabulo carve` on the piece with some more words.
    fn carve(&self, more: &[&str]) -> Output {
        let piece = self.text("piece.toml");
        sabulo(["carve", &piece, "--grid", "0.1mm"].iter().chain(more).copied())
    }

    fn carved(&self, more: &[&str]) -> Value {
        json(&self.carve(&[more, &["--json"]].concat()))
    }
}

fn json(output: &Output) -> Value {
    assert_eq!(code(output), 0, "{}", complaint(output));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn depths_at_points_come_with_the_model_s_range() {
    let bench = Bench::new();
    let carved = bench.carved(&["--at", "35,25", "--at", "55.4mm,25mm", "--at", "10,10"]);
    let depth = |i: usize, key: &str| number(&carved["points"][i]["depth_mm"][key]);
    // The square's middle is flat ground on its target; the resist carves nothing.
    assert!((depth(0, "value") - 2.0).abs() < 0.02, "{}", carved["points"]);
    assert!(depth(0, "low") < 1.0 && depth(0, "high") > 4.0, "before any coupon a factor of three either way");
    assert_eq!((depth(2, "value"), depth(2, "high")), (0.0, 0.0));
    // carving-physics.md 7.2, k = 7/3: a half-width of 0.4 mm under a dose of 1 mm, T = 2.5, is about 1.8 half-widths
    // deep; a faster jet deepens it by less than in proportion.
    assert!((0.65..0.85).contains(&depth(1, "value")), "{}", carved["points"][1]);
    let widths = [0, 1].map(|i| depth(i, "high") / depth(i, "value"));
    assert!(widths[1] < 0.8 * widths[0], "{widths:?}");
    assert_eq!((&carved["points"][0]["layer"], &carved["points"][2]["layer"]), (&"deep".into(), &Value::Null));
    // 20 x 20 mm, 2 mm deep, but for the slopes at its walls, and the line's 8 to 16 mm³.
    let whole = number(&carved["carved_mm3"]);
    assert!(whole > 0.85 * 800.0 && whole < 816.0, "{whole}");
}

#[test]
fn a_section_goes_to_a_table_and_a_picture() {
    let bench = Bench::new();
    let (csv, svg) = (bench.text("cut.csv"), bench.text("cut.svg"));
    let output = bench.carve(&["--section", "20,25,60,25", "--csv", &csv, "--svg", &svg]);
    assert_eq!(code(&output), 0, "{}", complaint(&output));
    let table = std::fs::read_to_string(bench.path("cut.csv")).unwrap();
    let mut rows = table.lines();
    assert_eq!(rows.next(), Some("along_mm,x_mm,y_mm,layer,depth_mm,depth_mm_low,depth_mm_high"));
    let rows: Vec<Vec<&str>> = rows.map(|row| row.split(',').collect()).collect();
    let value = |row: &[&str], at: usize| row[at].parse::<f64>().unwrap();
    assert!(rows.len() > 800 && (value(rows.last().unwrap(), 0) - 40.0).abs() < 1e-9);
    // The square spans x 25 to 45: flat at 35, nothing outside.
    let at = |x: f64| rows.iter().find(|row| value(row, 1) >= x - 1e-9).unwrap();
    assert!((value(at(35.0), 4) - 2.0).abs() < 0.02 && at(35.0)[3] == "deep");
    assert!(value(at(48.0), 4) == 0.0 && at(48.0)[3].is_empty());
    for row in &rows {
        assert!(value(row, 5) <= value(row, 4) && value(row, 4) <= value(row, 6), "{row:?}");
    }
    usvg::Tree::from_data(&std::fs::read(bench.path("cut.svg")).unwrap(), &usvg::Options::default()).unwrap();
    let printed = bench.carve(&["--section", "20,25,60,25", "--csv"]);
    assert_eq!(String::from_utf8(printed.stdout).unwrap(), table, "without a name it goes to the output");
}

/// A binary STL by its published layout, its equal corners joined.
fn read_stl(bytes: &[u8]) -> (Vec<[f32; 3]>, Vec<[usize; 3]>) {
    let count = u32::from_le_bytes(bytes[80..84].try_into().unwrap()) as usize;
    assert_eq!(bytes.len(), 84 + 50 * count);
    let (mut numbers, mut places) = (HashMap::new(), Vec::new());
    let triangle = |i: usize| {
        std::array::from_fn(|corner| {
            let from = 84 + 50 * i + 12 * (corner + 1);
            let place: [[u8; 4]; 3] = std::array::from_fn(|axis| bytes[from + 4 * axis..][..4].try_into().unwrap());
            *numbers.entry(place).or_insert_with(|| {
                places.push(place.map(f32::from_le_bytes));
                places.len() - 1
            })
        })
    };
    let triangles = (0..count).map(triangle).collect();
    (places, triangles)
}

#[test]
fn the_relief_is_a_closed_solid_of_the_blank_less_what_was_carved() {
    let bench = Bench::new();
    let told = bench.carved(&["--relief", &bench.text("piece.stl")]);
    let (places, triangles) = read_stl(&std::fs::read(bench.path("piece.stl")).unwrap());
    let mut sides: HashMap<[usize; 2], usize> = HashMap::new();
    for [a, b, c] in &triangles {
        for side in [[*a, *b], [*b, *c], [*c, *a]] {
            *sides.entry(side).or_default() += 1;
        }
    }
    assert!(sides.iter().all(|([a, b], count)| *count == 1 && sides.contains_key(&[*b, *a])), "the solid is open");
    let volume = |[a, b, c]: &[usize; 3]| {
        let [a, b, c] = [a, b, c].map(|&i| places[i].map(f64::from));
        (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]))
            / 6.0
    };
    let volume: f64 = triangles.iter().map(volume).sum();
    let (blank, carved) = (100.0 * 60.0 * 8.0, number(&told["carved_mm3"]));
    println!("{} triangles, {volume:.1} mm³; carved {:.2} of {carved:.2}", triangles.len(), blank - volume);
    assert!((volume / (blank - carved) - 1.0).abs() < 1e-3);
    assert!(((blank - volume) / carved - 1.0).abs() < 5e-3);
    assert_eq!(number(&told["relief"]["triangles"]) as usize, triangles.len());
    for (axis, most) in [100.0f32, 60.0, 8.0].into_iter().enumerate() {
        let ends = places.iter().map(|place| place[axis]).fold((f32::MAX, f32::MIN), |e, v| (e.0.min(v), e.1.max(v)));
        assert_eq!(ends, (0.0, most));
    }
}

#[test]
fn a_binary_gltf_and_a_depth_map_are_read_by_others() {
    let bench = Bench::new();
    bench.carved(&["--relief", &bench.text("piece.glb")]);
    let glb = std::fs::read(bench.path("piece.glb")).unwrap();
    assert_eq!((&glb[..4], u32::from_le_bytes(glb[8..12].try_into().unwrap()) as usize), (&b"glTF"[..], glb.len()));
    let length = u32::from_le_bytes(glb[12..16].try_into().unwrap()) as usize;
    let head: Value = serde_json::from_slice(&glb[20..20 + length]).unwrap();
    assert_eq!(head["accessors"][0]["max"], serde_json::json!([100, 60, 8]));
    assert_eq!((number(&head["nodes"][0]["scale"][0]), number(&head["accessors"][0]["min"][2])), (0.001, 0.0));
    let told = bench.carved(&["--relief", &bench.text("depth.png")]);
    let image = image::open(bench.path("depth.png")).unwrap().into_luma16();
    let step = number(&told["relief"]["depth_um_per_step"]) * 1e-3;
    let deepest = image.pixels().map(|pixel| f64::from(pixel.0[0]) * step).fold(0.0, f64::max);
    assert!((deepest - number(&told["deepest_mm"])).abs() < 1e-3, "{deepest}");
}

#[test]
fn what_cannot_be_asked_is_refused_with_the_mend() {
    let bench = Bench::new();
    let refused = |more: &[&str], words: &str| {
        let output = bench.carve(more);
        assert_eq!(code(&output), 1, "{more:?}: {}", complaint(&output));
        assert!(complaint(&output).contains(words), "{more:?}: {}", complaint(&output));
    };
    refused(&["--at", "120,20"], "100.0 mm wide");
    refused(&["--at", "-1,20"], "not on the blank");
    refused(&["--at", "12"], "give x,y");
    refused(&["--at", "nan,5"], "give x,y");
    refused(&["--at", "12 parsec,5"], "parsec");
    refused(&["--section", "10,10,10,10"], "no length");
    refused(&["--section", "10,10,200,10"], "not on the blank");
    refused(&["--section", "10,10,20"], "give x1,y1,x2,y2");
    refused(&["--relief", "piece.obj"], ".stl, .glb or .png");
    refused(&["--relief", "piece"], ".stl, .glb or .png");
    refused(&["--svg"], "--section");
    let piece = bench.text("piece.toml");
    for (grid, words) in [("0.1", "--grid"), ("0.001mm", "0.02 mm"), ("5mm", "0.02 mm")] {
        let output = sabulo(["carve", &piece, "--grid", grid]);
        assert!(code(&output) == 1 && complaint(&output).contains(words), "{grid}: {}", complaint(&output));
    }
    for usage in [&["--csv"][..], &["--nonsense"]] {
        assert_eq!(code(&bench.carve(usage)), 2, "{usage:?}");
    }
    assert_eq!(code(&sabulo(["carve"])), 2);
}

#[test]
fn a_rate_has_a_range_and_names_what_it_hangs_on() {
    let rate = |more: &[&str]| json(&sabulo(["carve", "rate", "--json"].iter().chain(more).copied()));
    let usual = rate(&[]);
    let removal = |rate: &Value, key: &str| number(&rate["removal_mm3_s"][key]);
    assert!(removal(&usual, "high") / removal(&usual, "low") > 5.0, "{usual}");
    assert_eq!(usual["sensitivity"][0]["constant"], "erosion_ref", "no level was measured: it matters most");
    // Depth over an area is volume over that area.
    let minute = number(&usual["depth_mm_per_min"]["value"]);
    assert!((minute * number(&usual["swept_mm2"]) / 60.0 / removal(&usual, "value") - 1.0).abs() < 1e-9);
    let twice = rate(&["--area", "100cm2"]);
    assert!((number(&twice["depth_mm_per_min"]["value"]) * 2.0 / minute - 1.0).abs() < 1e-9);
    // Air of choked flow by hand, as in the sizing test: 2.4 mm, 0.97 / (1 + 0.185), 2.5 bar gauge, 20 °C.
    let by_hand =
        0.040_415 * 0.97 / 1.185 * (std::f64::consts::PI * 0.0012f64.powi(2)) * 351_325.0 / 293.15f64.sqrt() / 1.185
            * 60e3;
    let air = number(&usual["air_l_min_anr"]);
    assert!((air / by_hand - 1.0).abs() < 2e-3, "{air} against {by_hand}");
    assert!(removal(&rate(&["--pressure", "4bar"]), "value") > removal(&usual, "value"));
    for (bad, words) in [
        (["--abrasive", "sand_castle"], "--abrasive"),
        (["--grit", "F7"], "--grit"),
        (["--bore", "0mm"], "--bore"),
        (["--pressure", "0bar"], "above zero"),
        (["--loading", "9"], "3"),
        (["--area", "0cm2"], "area"),
    ] {
        let output = sabulo(["carve", "rate"].iter().chain(&bad).copied());
        assert!(code(&output) == 1 && complaint(&output).contains(words), "{bad:?}: {}", complaint(&output));
    }
}

#[test]
fn depths_become_stages_deepest_first() {
    let asked = "carve stages --depth 1.5mm --area 40cm2 --depth 3mm --area 10cm2 --json";
    let stages = json(&sabulo(asked.split(' ')));
    let stage = |i: usize, key: &str| stages["stages"][i][key].clone();
    assert_eq!(
        (stage(0, "opens"), stage(1, "opens")),
        (serde_json::json!(["layer 2"]), serde_json::json!(["layer 1"]))
    );
    assert!((number(&stage(0, "dose_mm")) - 1.5).abs() < 1e-9 && (number(&stage(1, "dose_mm")) - 1.5).abs() < 1e-9);
    // By hand: seconds = dose x swept / removal / on target; swept is the open square and a footprint of 12.06 mm.
    let rate = json(&sabulo(["carve", "rate", "--json"]));
    let removal = number(&rate["removal_mm3_s"]["value"]);
    for (i, open) in [1000.0f64, 5000.0].into_iter().enumerate() {
        let swept = (open.sqrt() + 2.0 * number(&rate["footprint_mm"]["value"])).powi(2);
        let seconds = 1.5 * swept / removal / 0.75;
        let told = number(&stage(i, "blast_s")["value"]);
        assert!((told / seconds - 1.0).abs() < 1e-9, "{told} against {seconds}");
    }
    let bench = Bench::new();
    let piece = bench.text("piece.toml");
    let of_piece = json(&sabulo(["carve", "stages", &piece, "--json"]));
    assert_eq!(of_piece["stages"][0]["opens"], serde_json::json!(["deep"]));
    for (bad, words) in [
        ("carve stages --depth 3mm", "one --area for each --depth"),
        ("carve stages --depth 0mm --area 1cm2", "above zero"),
        ("carve stages --depth 3mm --area 0cm2", "above zero"),
        ("carve stages --depth 3mm --area 1cm2 --on-target 0%", "above zero"),
    ] {
        let output = sabulo(bad.split(' '));
        assert!(code(&output) == 1 && complaint(&output).contains(words), "{bad}: {}", complaint(&output));
    }
}

const COUPONS: &str = "material,abrasive,grit,nozzle,pressure,standoff,opening,time,depth,gauge\n\
    float_glass,white_alumina,F150,carver,2.5bar,120mm,25mm,60s,0.9mm,0.01mm\n\
    float_glass,white_alumina,F150,carver,4bar,120mm,25mm,60s,1.5mm,0.01mm\n";

fn blast_range(bench: &Bench) -> f64 {
    // A finding that stops is told by its exit code and changes nothing here.
    let output = sabulo(["plan", &bench.text("piece.toml"), "--cell", "0.25mm", "--json"]);
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", complaint(&output)));
    number(&plan["time_s"]["blast_high"]) / number(&plan["time_s"]["blast_low"])
}

#[test]
fn coupons_narrow_the_range_and_are_appended_to_the_shop_file() {
    let bench = Bench::new();
    let (csv, shop) = (bench.text("coupons.csv"), bench.text("shop.toml"));
    std::fs::write(&csv, COUPONS).unwrap();
    let before = std::fs::read_to_string(&shop).unwrap();
    let asked = ["carve", "calibrate", &csv, "--shop", &shop];
    let answer = json(&sabulo(asked.iter().chain(&["--json"]).copied()));
    for coupon in answer["coupons"].as_array().unwrap() {
        let [wide, narrow] = ["width_before", "width_after"].map(|key| number(&coupon[key]));
        assert!(wide > 5.0 && narrow < 1.6, "{coupon}");
    }
    let narrows = number(&answer["next"]["narrows_to"]);
    assert!(narrows > 0.0 && narrows < 1.0 && number(&answer["next"]["width"]) > 1.0, "{}", answer["next"]);
    assert_eq!(std::fs::read_to_string(&shop).unwrap(), before, "nothing is written unasked");
    let wide = blast_range(&bench);
    let output = sabulo(asked.iter().chain(&["--write"]).copied());
    assert_eq!(code(&output), 0, "{}", complaint(&output));
    let after = std::fs::read_to_string(&shop).unwrap();
    assert!(after.starts_with(&before), "every line that was there stays");
    assert_eq!(after[before.len()..].matches("[[coupon]]").count(), 2);
    let narrow = blast_range(&bench);
    println!("highest over lowest blasting time: {wide:.2} before, {narrow:.2} with two coupons");
    assert!(wide > 5.0 && narrow < 1.6);
    // Told again, they are neither counted nor written twice.
    let output = sabulo(asked.iter().chain(&["--write"]).copied());
    assert_eq!((code(&output), std::fs::read_to_string(&shop).unwrap()), (0, after));
    // And a rate of that shop is as sure.
    let rate = json(&sabulo(["carve", "rate", "--shop", &shop, "--json"]));
    assert!(number(&rate["removal_mm3_s"]["high"]) / number(&rate["removal_mm3_s"]["low"]) < 2.0, "{rate}");
}

#[test]
fn a_table_of_bad_coupons_is_complained_about_row_by_row_and_nothing_is_written() {
    let bench = Bench::new();
    let (csv, shop) = (bench.text("coupons.csv"), bench.text("shop.toml"));
    let before = std::fs::read_to_string(&shop).unwrap();
    let complain = |text: &str| {
        std::fs::write(&csv, text).unwrap();
        let output = sabulo(["carve", "calibrate", &csv, "--shop", &shop, "--write"]);
        assert_eq!(code(&output), 1, "{}", String::from_utf8_lossy(&output.stdout));
        complaint(&output)
    };
    let told = complain(&COUPONS.replace("2.5bar", "2.5").replace("1.5mm", "0mm"));
    assert!(told.contains("line 2, column 5 (pressure)") && told.contains("line 3, column 9 (depth)"), "{told}");
    assert!(complain("depth\n1mm\n").contains("no column \"material\""));
    assert!(complain("").contains("no column"));
    let none = COUPONS.lines().next().unwrap();
    assert!(complain(none).contains("no coupon"));
    assert_eq!(std::fs::read_to_string(Path::new(&shop)).unwrap(), before);
}
