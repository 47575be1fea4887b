//! Whole jobs, as a user waits for them: a drawing of 5,000 paths analysed and mended, a batch of 1,000 names, a
//! page traced, a large DXF read, regions of 100,000 points combined.
//!
//! Peers are timed by tests/oracles/artwork_distance.py on the same input.

use artwork::analysis::{AnalysisLimits, FaultKind, analyse};
use artwork::batch::{BatchOptions, Fit, batch};
use artwork::bounds::Bounds;
use artwork::depth::DepthLayer;
use artwork::dxf::{DxfLayer, DxfOptions, read_dxf, write_dxf};
use artwork::grid::{Field, Grid, Point};
use artwork::photo::{TraceOptions, trace};
use artwork::region::{FillRule, Region, Ring, Rounding};
use artwork::repair::{IslandRemedy, Left, OpeningRemedy, Remedies, WallRemedy, Why, repair};
use artwork::svg::{ReadOptions, read_svg};
use quantity::{Area, Length};
use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Instant;

/// Best of a few, in milliseconds.
fn best<T>(times: usize, mut work: impl FnMut() -> T) -> f64 {
    let once = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..times).map(once).fold(f64::INFINITY, f64::min)
}

/// Processor time of all threads so far, in seconds; what a busy machine's clock does not tell. Linux only, else 0.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // After the name in brackets the 12th and 13th fields, in hundredths.
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace().skip(11).take(2);
    fields.filter_map(|field| field.parse::<f64>().ok()).sum::<f64>() * 0.01
}

fn mm(mm: f64) -> Length {
    Length::mm(mm).expect("the bench's lengths are in range")
}

fn limits() -> AnalysisLimits {
    AnalysisLimits {
        opening: mm(0.4),
        wall: mm(0.5),
        holding: Area::square_mm(2.0).expect("an area"),
        neck: mm(1.0),
        corner_degrees: 20.0,
        margin: mm(2.0),
    }
}

/// 5,000 paths: flowers with a hole each, leaves, and letters' thin strokes, on 400 x 400 mm.
fn garden() -> String {
    let mut svg =
        String::from("<svg xmlns='http://www.w3.org/2000/svg' width='400mm' height='400mm' viewBox='0 0 400 400'>");
    for i in 0..5_000_u32 {
        let (x, y) = (f64::from(i % 71) * 5.6 + 2.8, f64::from(i / 71) * 5.6 + 2.8);
        let d = match i % 3 {
            0 => "m-2.2 0c0-3 4.4-3 4.4 0c0 3-4.4 3-4.4 0zm1.5 0c0 1 1.4 1 1.4 0c0-1-1.4-1-1.4 0z",
            1 => "m-2.4 0q2.4-2.2 4.8 0q-2.4 2.2-4.8 0z",
            _ => "m-2.2-2.2h4.4v.35h-4.05v1.4h2.5v.3h-2.5v2h-.35z",
        };
        let _ = write!(svg, "<path d='M{x:.2} {y:.2}{d}'/>");
    }
    svg + "</svg>"
}

/// Star-like rings: `count` of `points` corners.
fn stars(count: u32, points: u32, seed: f64) -> Region {
    let ring = |i: u32| {
        let (x, y) = (f64::from(i % 20) * 18.0 + seed, f64::from(i / 20) * 18.0 + seed);
        let corner = |k: u32| {
            let angle = f64::from(k) / f64::from(points) * std::f64::consts::TAU;
            let r = 9.0 + 2.0 * (angle * 7.0 + seed).sin() + 0.4 * (angle * 61.0).cos();
            Point { x: x + r * angle.cos(), y: y + r * angle.sin() }
        };
        Ring((0..points).map(corner).collect())
    };
    Region::from_rings(&(0..count).map(ring).collect::<Vec<_>>(), FillRule::NonZero)
}

fn main() {
    // `cargo test --benches` runs this too: then one look at each is enough.
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let times = if arguments.iter().any(|argument| argument == "--bench") { 3 } else { 1 };
    let asked: Vec<&String> = arguments.iter().filter(|argument| !argument.starts_with('-')).collect();
    let run = |name: &str, bench: fn(usize)| {
        if asked.is_empty() || asked.iter().any(|asked| *asked == name) {
            bench(times);
        }
    };
    run("drawing", drawing);
    run("names", names);
    run("booleans", booleans);
    run("page", page);
    run("dxf", dxf);
}

fn drawing(times: usize) {
    let svg = garden();
    let read = best(times, || read_svg(svg.as_bytes(), &ReadOptions::default()).map(|d| d.shapes.len()));
    let drawing = read_svg(svg.as_bytes(), &ReadOptions::default()).expect("the bench's own drawing");
    let open = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let blank = Bounds::from_size(400.0, 400.0);
    let before = processor_s();
    let analysed = best(times, || analyse(&open, blank, &limits()));
    let processor = (processor_s() - before) * 1e3 / times as f64;
    let found = analyse(&open, blank, &limits());
    println!(
        "5,000 paths, {} points: read {read:.0} ms, analysed {analysed:.0} ms, {processor:.0} ms of processor time ({} faults, {} islands, {} peninsulas)",
        open.vertex_count(),
        found.faults.len(),
        found.islands.len(),
        found.peninsulas.len()
    );
    let layers = [DepthLayer { name: "all".to_owned(), depth: mm(1.0), region: open }];
    let remedies = Remedies {
        openings: OpeningRemedy::Thicken,
        walls: WallRemedy::Thicken,
        islands: IslandRemedy::Bridge { width: mm(0.6), count: 1 },
    };
    let (start, before) = (Instant::now(), processor_s());
    let mended = repair(&layers, blank, &limits(), &remedies);
    println!(
        "  mended in {:.0} ms, {:.0} ms of processor time: {} changes, {} faults left, least scale {:.3}",
        start.elapsed().as_secs_f64() * 1e3,
        (processor_s() - before) * 1e3,
        mended.changes.len(),
        mended.left.len(),
        mended.least_scale.unwrap_or(0.0)
    );
    for (kind, why, count, worst) in classes(&mended.left) {
        println!("    left {count} {kind:?}, {why}: worst {worst:.3} of its limit");
    }
}

/// What was left, by kind and reason: how many, and the worst of them as a share of its limit.
fn classes(left: &[Left]) -> Vec<(FaultKind, Why, usize, f64)> {
    let mut classes: Vec<(FaultKind, Why, usize, f64)> = Vec::new();
    for Left { fault, why } in left {
        match classes.iter_mut().find(|(kind, known, ..)| (kind, known) == (&fault.kind, why)) {
            Some((_, _, count, worst)) => (*count, *worst) = (*count + 1, worst.min(fault.share())),
            None => classes.push((fault.kind, *why, 1, fault.share())),
        }
    }
    classes
}

fn names(times: usize) {
    let crest = include_str!("../../../examples/crest/crest.svg").replace(
        "</svg>",
        "<text id='name' x='35' y='82' text-anchor='middle' font-family='Cinzel' font-size='5'>name</text></svg>",
    );
    let plain = "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='40mm' viewBox='0 0 80 40'>\
        <text id='name' x='40' y='25' text-anchor='middle' font-family='Cinzel' font-size='9'>name</text></svg>";
    for (what, template) in [("name alone", plain), ("name under a crest", &crest)] {
        for rows in [250, 1_000] {
            let mut table = String::from("name\n");
            for i in 0..rows {
                let given = ["Ann", "Bartholomew", "Cy", "Dorothea", "Éloïse"][i % 5];
                let _ = writeln!(table, "{given} Number {i}");
            }
            let fits = vec![Fit { column: "name".to_owned(), width: mm(60.0), least_scale: 0.2 }];
            let options = BatchOptions { read: ReadOptions::default(), fits, limits: limits(), rows_max: 10_000 };
            let mut made = 0;
            let before = processor_s();
            let took = best(times.min(1), || {
                made = batch(template.as_bytes(), table.as_bytes(), &options).map_or(0, |batch| batch.made.len());
            });
            let processor = processor_s() - before;
            println!("{rows} rows, {what}: {:.2} s, {processor:.2} s of processor time, {made} made", took * 1e-3);
        }
    }
}

fn booleans(times: usize) {
    let (a, b) = (stars(200, 500, 0.0), stars(200, 500, 4.0));
    let points = a.vertex_count() + b.vertex_count();
    let union = best(times, || a.union(&b));
    let cut = best(times, || a.subtract(&b));
    let out = best(times, || a.outset(0.25, 0.005, Rounding::Grow));
    let inn = best(times, || a.inset(0.25, 0.005, Rounding::Grow));
    println!(
        "{points} points: union {union:.0} ms, difference {cut:.0} ms; 100,000: +0.25 {out:.0} ms, -0.25 {inn:.0} ms"
    );
}

fn page(times: usize) {
    // A4 at 300 dpi, with 600 rings.
    let grid = Grid { origin: Point::default(), cell: 25.4 / 300.0, width: 2480, height: 3508 };
    let value = |i: usize| {
        let (x, y) = ((i % 2480) as f64, (i / 2480) as f64);
        let (dx, dy) = (x % 120.0 - 60.0, y % 120.0 - 60.0);
        -(((dx.hypot(dy) - 40.0).abs() - 12.0).clamp(-0.5, 0.5) as f32)
    };
    let ink = Field { grid, values: (0..grid.len()).map(value).collect() };
    let took = best(times, || trace(&ink, &TraceOptions::default()).nodes);
    println!("A4 at 300 dpi traced in {took:.0} ms, {} nodes", trace(&ink, &TraceOptions::default()).nodes);
}

fn dxf(times: usize) {
    let region = stars(200, 500, 0.0);
    let text = write_dxf(&[DxfLayer { name: "stars", colour: 1, region: &region }], 400.0);
    let read =
        best(times, || read_dxf(text.as_bytes(), &DxfOptions::default()).map(|found| found.drawing.shapes.len()));
    println!("DXF of {:.1} MB read in {read:.0} ms", text.len() as f64 * 1e-6);
}
