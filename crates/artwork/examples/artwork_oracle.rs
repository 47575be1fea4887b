//! What this crate makes of files, as JSON, for the scripts in tests/oracles to check against other libraries.
//!
//! `artwork_oracle shapes [TOLERANCE_MM] < LIST` reads a path a line and prints an object a line: shapes with area
//! and perimeter, page, repairs, notes, or an error. `artwork_oracle rewrite IN OUT` writes what it read as DXF.

use artwork::distance::{Beyond, Side, distance};
use artwork::drawing::Drawing;
use artwork::dxf::{DxfLayer, DxfOptions, Repair, read_dxf, write_dxf};
use artwork::grid::{Grid, Mask, Point};
use artwork::region::{FillRule, Region, Ring, Rounding};
use artwork::svg::{ReadOptions, read_svg};
use serde_json::{Value, json};
use std::io::{BufRead as _, Read as _, Write as _};
use std::path::Path;
use std::time::Instant;

const USAGE: &str = "usage: artwork_oracle shapes [TOLERANCE_MM] | painted | rings | rewrite IN OUT | combine | \
                     distance W H | time A B | offsets RINGS BY...";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words[..] {
        ["shapes"] => list(0.005),
        ["shapes", tolerance] => list(tolerance.parse()?),
        ["rewrite", from, to] => rewrite(from, to),
        ["painted"] => painted(),
        ["combine"] => combine(),
        ["rings"] => rings(),
        ["distance", width, height] => distances(width.parse()?, height.parse()?),
        ["time", a, b] => time(a, b),
        ["offsets", rings, ref distances @ ..] => offsets(rings, distances),
        _ => Err(USAGE.into()),
    }
}

fn list(tolerance_mm: f64) -> Result<(), Box<dyn std::error::Error>> {
    for line in std::io::stdin().lock().lines() {
        println!("{}", described(&line?, tolerance_mm));
    }
    Ok(())
}

fn described(path: &str, tolerance_mm: f64) -> Value {
    let start = Instant::now();
    let mut found = match read(path, tolerance_mm) {
        Err(error) => json!({ "error": error.to_string() }),
        Ok((drawing, repairs)) => json!({
            "width_mm": drawing.width_mm,
            "height_mm": drawing.height_mm,
            "shapes": drawing.shapes.iter().map(|shape| json!({
                "id": shape.id,
                "paint": shape.paint.to_string(),
                "area_mm2": shape.region.area().to_square_mm(),
                "perimeter_mm": shape.region.perimeter_mm(),
                "points": shape.region.vertex_count(),
            })).collect::<Vec<_>>(),
            "repairs": repairs.iter().map(|repair| json!({
                "kind": format!("{:?}", repair.kind),
                "gap_mm": repair.gap.to_mm(),
            })).collect::<Vec<_>>(),
            "notes": drawing.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
        }),
    };
    found["path"] = json!(path);
    found["ms"] = json!(start.elapsed().as_secs_f64() * 1e3);
    found
}

fn read(path: &str, tolerance_mm: f64) -> Result<(Drawing, Vec<Repair>), Box<dyn std::error::Error>> {
    let bytes = std::fs::read(path)?;
    if Path::new(path).extension().is_some_and(|extension| extension == "dxf") {
        let found = read_dxf(&bytes, &DxfOptions { tolerance_mm, ..DxfOptions::default() })?;
        return Ok((found.drawing, found.repairs));
    }
    Ok((read_svg(&bytes, &ReadOptions { tolerance_mm, ..ReadOptions::default() })?, Vec::new()))
}

fn rewrite(from: &str, to: &str) -> Result<(), Box<dyn std::error::Error>> {
    let (drawing, _) = read(from, 0.005)?;
    let layer = |(index, shape): (usize, &artwork::drawing::Shape)| {
        (format!("{}-{index}", shape.id), index, shape.region.clone())
    };
    let owned: Vec<_> = drawing.shapes.iter().enumerate().map(layer).collect();
    let layers: Vec<DxfLayer<'_>> =
        owned.iter().map(|(name, index, region)| DxfLayer { name, colour: (index % 6 + 1) as u8, region }).collect();
    Ok(std::fs::write(to, write_dxf(&layers, drawing.height_mm))?)
}

fn painted() -> Result<(), Box<dyn std::error::Error>> {
    let lines: Vec<String> = std::io::stdin().lock().lines().collect::<Result<_, _>>()?;
    for found in lines.iter().map(|path| painted_of(path)) {
        println!("{found}");
    }
    Ok(())
}

fn painted_of(path: &str) -> Value {
    let start = Instant::now();
    let ours = read(path, 0.005).map(|(drawing, _)| {
        let opened = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
        let page = artwork::bounds::Bounds::from_size(drawing.width_mm, drawing.height_mm);
        opened.intersect(&Region::rectangle(page)).area().to_square_mm()
    });
    let ms = start.elapsed().as_secs_f64() * 1e3;
    let theirs = rendered(path);
    match (ours, theirs) {
        (Ok(ours), Ok(theirs)) => json!({ "path": path, "ours_mm2": ours, "painted_mm2": theirs, "ms": ms }),
        (Err(error), _) | (_, Err(error)) => json!({ "path": path, "error": error.to_string(), "ms": ms }),
    }
}

/// Area under paint, alpha counting as coverage, at about a million cells.
fn rendered(path: &str) -> Result<f64, Box<dyn std::error::Error>> {
    let tree = resvg::usvg::Tree::from_data(&std::fs::read(path)?, &resvg::usvg::Options::default())?;
    let (width, height) = (tree.size().width(), tree.size().height());
    let scale = (1e6 / (width * height)).sqrt();
    let mut pixmap = resvg::tiny_skia::Pixmap::new((width * scale).round() as u32, (height * scale).round() as u32)
        .ok_or("the page is no picture")?;
    resvg::render(&tree, resvg::tiny_skia::Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    let alpha: f64 = pixmap.data().iter().skip(3).step_by(4).map(|&alpha| f64::from(alpha) / 255.0).sum();
    Ok(alpha * (25.4 / 96.0 / f64::from(scale)).powi(2))
}

/// The rings of each drawing, all shapes together.
fn rings() -> Result<(), Box<dyn std::error::Error>> {
    for line in std::io::stdin().lock().lines() {
        let (drawing, _) = read(&line?, 0.005)?;
        let open = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
        let rings = open.rings().map(|ring| ring.0.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>());
        println!("{}", json!(rings.collect::<Vec<_>>()));
    }
    Ok(())
}

fn region(rings: &Value) -> Region {
    let point =
        |pair: &Value| Point { x: pair[0].as_f64().unwrap_or(f64::NAN), y: pair[1].as_f64().unwrap_or(f64::NAN) };
    let all = rings.as_array().into_iter().flatten();
    let rings: Vec<Ring> = all.map(|ring| Ring(ring.as_array().into_iter().flatten().map(point).collect())).collect();
    Region::from_rings(&rings, FillRule::EvenOdd)
}

fn combine() -> Result<(), Box<dyn std::error::Error>> {
    for line in std::io::stdin().lock().lines() {
        let given: Value = serde_json::from_str(&line?)?;
        let (a, b) = (region(&given["a"]), region(&given["b"]));
        let area = |region: &Region| region.area().to_square_mm();
        println!(
            "{}",
            json!({
                "a": area(&a), "b": area(&b), "union": area(&a.union(&b)), "both": area(&a.intersect(&b)),
                "less": area(&a.subtract(&b)), "perimeter": a.perimeter_mm(),
                "out": area(&a.outset(0.5, 1e-4, Rounding::Shrink)), "in": area(&a.inset(0.5, 1e-4, Rounding::Grow)),
            })
        );
    }
    Ok(())
}

/// Best of five, in milliseconds.
fn best<T>(mut work: impl FnMut() -> T) -> f64 {
    let once = |_| {
        let start = Instant::now();
        std::hint::black_box(work());
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..5).map(once).fold(f64::INFINITY, f64::min)
}

/// Processor time of all threads so far, in milliseconds; what a busy machine's clock does not tell. Linux only, else 0.
fn processor_ms() -> f64 {
    let threads = std::fs::read_dir("/proc/self/task").into_iter().flatten().flatten();
    let nanoseconds = threads.filter_map(|thread| {
        let times = std::fs::read_to_string(thread.path().join("schedstat")).ok()?;
        times.split_whitespace().next()?.parse::<f64>().ok()
    });
    nanoseconds.sum::<f64>() * 1e-6
}

/// Best of five: by the clock and by the processor's time, in milliseconds.
fn best_of_both<T>(mut work: impl FnMut() -> T) -> [f64; 2] {
    let once = |_| {
        let (start, used) = (Instant::now(), processor_ms());
        std::hint::black_box(work());
        [start.elapsed().as_secs_f64() * 1e3, processor_ms() - used]
    };
    (0..5).map(once).fold([f64::INFINITY; 2], |best, took| [best[0].min(took[0]), best[1].min(took[1])])
}

fn distances(width: usize, height: usize) -> Result<(), Box<dyn std::error::Error>> {
    let mut cells = Vec::new();
    std::io::stdin().read_to_end(&mut cells)?;
    let grid = Grid { origin: Point::default(), cell: 1.0, width, height };
    let mask = Mask { grid, values: cells.iter().map(|&cell| cell != 0).collect() };
    let field = distance(&mask, Side::Open, Beyond::Nothing);
    eprintln!("{:.1}", best(|| distance(&mask, Side::Open, Beyond::Nothing)));
    // Half a cell was taken off, to measure from the edge and not from the next centre.
    let squared = field.values.iter().map(|&d| if d == 0.0 { 0.0 } else { (d + 0.5) * (d + 0.5) });
    let bytes: Vec<u8> = squared.flat_map(f32::to_le_bytes).collect();
    Ok(std::io::stdout().write_all(&bytes)?)
}

fn time(a: &str, b: &str) -> Result<(), Box<dyn std::error::Error>> {
    let read =
        |path: &str| Ok::<_, Box<dyn std::error::Error>>(region(&serde_json::from_slice(&std::fs::read(path)?)?));
    let (a, b) = (read(a)?, read(b)?);
    println!(
        "{}",
        json!({
            "points": a.vertex_count() + b.vertex_count(), "union_ms": best(|| a.union(&b)),
            "difference_ms": best(|| a.subtract(&b)),
        })
    );
    Ok(())
}

/// A region drawn out and in by each of some distances, with the areas that come of it.
fn offsets(rings: &str, distances: &[&str]) -> Result<(), Box<dyn std::error::Error>> {
    let drawing = region(&serde_json::from_slice(&std::fs::read(rings)?)?);
    let area = |region: &Region| region.area().to_square_mm();
    let measured = |text: &&str| {
        let by: f64 = text.parse()?;
        let tolerance = 0.005 * by;
        let out = || drawing.outset(by, tolerance, Rounding::Shrink);
        let inn = || drawing.inset(by, tolerance, Rounding::Grow);
        let ([out_ms, out_cpu_ms], [in_ms, in_cpu_ms]) = (best_of_both(out), best_of_both(inn));
        Ok::<_, Box<dyn std::error::Error>>(json!({
            "by": by, "out_ms": out_ms, "out_cpu_ms": out_cpu_ms, "out_mm2": area(&out()),
            "in_ms": in_ms, "in_cpu_ms": in_cpu_ms, "in_mm2": area(&inn()),
        }))
    };
    let found = distances.iter().map(measured).collect::<Result<Vec<_>, _>>()?;
    let rings: Vec<Vec<[f64; 2]>> = drawing.rings().map(|ring| ring.0.iter().map(|p| [p.x, p.y]).collect()).collect();
    println!("{}", json!({ "points": drawing.vertex_count(), "rings": rings, "found": found }));
    Ok(())
}
