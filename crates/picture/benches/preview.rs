//! Time of a preview at the page's size, and of its PNG.

use artwork::grid::{Field, Grid, Point};
use criterion::{Criterion, criterion_group, criterion_main};
use picture::preview::{PreviewOptions, png};
use picture::{Look, preview};
use piece::{Body, Side};
use plan::Relief;
use quantity::{Diameter, Length, Quantity as _};
use std::hint::black_box;

/// Rows of lens-shaped pits of three depths over the whole blank.
fn relief(body: Body, side: Side) -> Relief {
    let cell = 0.1;
    let (width, height) = (body.sheet_width_mm(), body.sheet_height_mm());
    let cells = |mm: f64| (mm / cell) as usize;
    let grid = Grid { origin: Point { x: 0.0, y: 0.0 }, cell, width: cells(width), height: cells(height) };
    let depth = |i: usize| {
        let (x, y) = ((i % grid.width) as f64 * cell, (i / grid.width) as f64 * cell);
        let inside = 7.0 - (x % 18.0 - 9.0).hypot(y % 18.0 - 9.0);
        (1.2 * inside).clamp(0.0, 0.5 + 0.5 * ((x / 18.0) as usize % 3) as f64) as f32
    };
    Relief {
        depth_mm: Field { grid, values: (0..grid.len()).map(depth).collect() },
        layer: Field::filled(grid, 0),
        body,
        thickness: Length::clamped(0.01),
        side,
        roughness: Length::clamped(3e-6),
    }
}

fn previews(bench: &mut Criterion) {
    let mm = |v: f64| Length::clamped(1e-3 * v);
    let options = PreviewOptions { width_px: 1200, height_px: Some(1600), ..PreviewOptions::default() };
    let panel = relief(Body::Panel { width: mm(300.0), height: mm(400.0) }, Side::Back);
    let tumbler = relief(
        Body::Tumbler { diameter: Diameter::clamped(0.08), foot: Diameter::clamped(0.08), height: mm(95.0) },
        Side::Front,
    );
    let mut group = bench.benchmark_group("1200 x 1600 px");
    group.sample_size(20);
    group.bench_function("float panel", |b| b.iter(|| preview(black_box(&panel), Look::Float, &options)));
    group.bench_function("granite", |b| b.iter(|| preview(black_box(&panel), Look::Granite, &options)));
    group.bench_function("marble", |b| b.iter(|| preview(black_box(&panel), Look::Marble, &options)));
    group.bench_function("tumbler", |b| b.iter(|| preview(black_box(&tumbler), Look::Clear, &options)));
    for (name, look) in [("png of float", Look::Float), ("png of granite", Look::Granite)] {
        let picture = preview(&panel, look, &options);
        println!("{name}: {} bytes", png(&picture).map_or(0, |bytes| bytes.len()));
        group.bench_function(name, |b| b.iter(|| png(black_box(&picture))));
    }
    group.finish();
}

criterion_group!(benches, previews);
criterion_main!(benches);
