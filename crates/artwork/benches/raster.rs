//! Raster and distance at the size of a whole piece (12 million cells), against plain ways to do the same.
//!
//! The peers are what one would write first: a point-in-polygon test along each row with sorted
//! crossings, and the lower envelope of parabolas over all columns and all rows in 64-bit numbers.

use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Grid, Mask, Point};
use artwork::label::{Neighbours, label};
use artwork::raster::rasterise;
use artwork::region::{FillRule, Region, Ring};
use artwork::width::{WidthLimits, widths};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::Length;
use std::hint::black_box;
use std::time::Instant;

/// 300 x 400 mm at 0.1 mm.
const GRID: Grid = Grid { origin: Point { x: 0.0, y: 0.0 }, cell: 0.1, width: 3000, height: 4000 };

/// 300 flowers of five curved petals, 20 chords a curve.
fn artwork() -> Region {
    let mut rings = Vec::new();
    for flower in 0..300_u32 {
        let (column, row) = (f64::from(flower % 15), f64::from(flower / 15));
        let points = (0..400).map(|i| f64::from(i) * std::f64::consts::TAU / 400.0).map(|angle| {
            let r = 6.0 + 2.5 * (5.0 * angle).cos();
            Point { x: 10.0 + 20.0 * column + r * angle.cos(), y: 10.0 + 20.0 * row + r * angle.sin() }
        });
        rings.push(Ring(points.collect()));
    }
    Region::from_rings(&rings, FillRule::NonZero).transform(Affine::IDENTITY)
}

fn plain_raster(region: &Region, grid: Grid) -> Mask {
    let mut mask = Mask::filled(grid, false);
    let edges: Vec<(Point, Point)> = region.rings().flat_map(Ring::edges).collect();
    for row in 0..grid.height {
        let y = grid.centre(0, row).y;
        let crossing = edges.iter().filter(|(a, b)| (a.y > y) != (b.y > y));
        let mut xs: Vec<f64> = crossing.map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)).collect();
        xs.sort_by(f64::total_cmp);
        for pair in xs.chunks_exact(2) {
            let column = |x: f64| ((x - grid.origin.x) / grid.cell - 0.5).ceil().clamp(0.0, grid.width as f64) as usize;
            mask.values[row * grid.width..][column(pair[0])..column(pair[1])].fill(true);
        }
    }
    mask
}

/// P. F. Felzenszwalb and D. P. Huttenlocher's one-dimensional transform, over columns, then rows.
fn plain_distance(mask: &Mask) -> Vec<f32> {
    let Grid { width, height, cell, .. } = mask.grid;
    let mut squared: Vec<f64> = mask.values.iter().map(|&open| if open { 1e20 } else { 0.0 }).collect();
    for column in 0..width {
        let line: Vec<f64> = (0..height).map(|row| squared[row * width + column]).collect();
        for (row, value) in envelope(&line).into_iter().enumerate() {
            squared[row * width + column] = value;
        }
    }
    for row in squared.chunks_exact_mut(width) {
        let line = envelope(row);
        row.copy_from_slice(&line);
    }
    squared.iter().map(|&s| if s > 0.0 { ((s.sqrt() - 0.5) * cell) as f32 } else { 0.0 }).collect()
}

fn envelope(f: &[f64]) -> Vec<f64> {
    let n = f.len();
    let (mut v, mut z, mut k) = (vec![0_usize; n], vec![0.0; n + 1], 0_usize);
    (z[0], z[1]) = (f64::NEG_INFINITY, f64::INFINITY);
    for q in 1..n {
        let meet = |p: usize| ((f[q] + (q * q) as f64) - (f[p] + (p * p) as f64)) / (2 * (q - p)) as f64;
        let mut s = meet(v[k]);
        while s <= z[k] && k > 0 {
            k -= 1;
            s = meet(v[k]);
        }
        k += 1;
        (v[k], z[k], z[k + 1]) = (q, s, f64::INFINITY);
    }
    k = 0;
    (0..n)
        .map(|q| {
            while z[k + 1] < q as f64 {
                k += 1;
            }
            (q as f64 - v[k] as f64).powi(2) + f[v[k]]
        })
        .collect()
}

/// Best of five, in milliseconds.
fn best<T>(mut work: impl FnMut() -> T) -> f64 {
    let once = |_| {
        let start = Instant::now();
        black_box(work());
        start.elapsed().as_secs_f64() * 1e3
    };
    (0..5).map(once).fold(f64::INFINITY, f64::min)
}

fn benches(criterion: &mut Criterion) {
    let region = artwork();
    let mask = rasterise(&region, GRID);
    assert_eq!(mask, plain_raster(&region, GRID), "the two rasters differ");
    let field = distance(&mask, Side::Open, Beyond::Nothing);
    let worst = field.values.iter().zip(plain_distance(&mask)).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    assert!(worst < 1e-5, "the two distances differ by {worst}");
    let raster = (best(|| rasterise(&region, GRID)), best(|| plain_raster(&region, GRID)));
    println!("raster:   {:6.1} ms, plain {:7.1} ms, ratio {:.1}", raster.0, raster.1, raster.1 / raster.0);
    let spread = (best(|| distance(&mask, Side::Open, Beyond::Nothing)), best(|| plain_distance(&mask)));
    println!("distance: {:6.1} ms, plain {:7.1} ms, ratio {:.1}", spread.0, spread.1, spread.1 / spread.0);

    let mut group = criterion.benchmark_group("12 Mpx");
    group.sample_size(10);
    group.bench_function("rasterise", |b| b.iter(|| rasterise(&region, GRID)));
    group.bench_function("distance in openings", |b| b.iter(|| distance(&mask, Side::Open, Beyond::Nothing)));
    group.bench_function("distance on resist", |b| b.iter(|| distance(&mask, Side::Closed, Beyond::Edge)));
    group.bench_function("label", |b| b.iter(|| label(&mask, Neighbours::Eight)));
    let half = Length::mm(0.5).expect("half a millimetre is a length");
    let limits = WidthLimits { opening: half, wall: half };
    group.bench_function("widths", |b| b.iter(|| widths(&region, Bounds::from_size(300.0, 400.0), limits)));
    group.finish();
}

criterion_group!(raster, benches);
criterion_main!(raster);
