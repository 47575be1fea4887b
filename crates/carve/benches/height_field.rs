//! The height-field solver against a plain single-threaded version of the same equation in double
//! precision (first-order upwind, no tiles), on the same openings and to the same depth.

use artwork::grid::{Field, Grid, Mask, Point};
use carve::distance_rule::DistanceRule;
use carve::height_field::{Opening, SolveOptions, carry_on, carve};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::Length;
use std::hint::black_box;

const K: f64 = 7.0 / 3.0;
const DEPTH_MM: f64 = 1.5;

/// Rings 4 mm wide, 20 mm apart: a fifth is open, every stroke has walls in all directions.
fn rings(width: usize, height: usize) -> Field<f32> {
    let grid = Grid { origin: Point::default(), cell: 0.1, width, height };
    let distance = |i: usize| {
        let p = grid.centre(i % width, i / width);
        let radius = (p.x - 0.45 * width as f64 * 0.1).hypot(p.y - 0.4 * height as f64 * 0.1);
        (2.0 - (radius.rem_euclid(20.0) - 10.0).abs()) as f32
    };
    Field { grid, values: (0..grid.len()).map(distance).collect() }
}

fn mask_of(distance: &Field<f32>) -> Mask {
    Field { grid: distance.grid, values: distance.values.iter().map(|&d| d > 0.0).collect() }
}

fn solver(mask: &Mask) -> Field<f32> {
    let opening = Opening { mask, edge: None, dose: Length::mm(DEPTH_MM).expect("a depth") };
    carve(&[opening], &SolveOptions::new(K), &carry_on).expect("a depth field")
}

/// The peer: what one writes first.
fn plain(mask: &Mask) -> Vec<f64> {
    let Grid { width, height, cell, .. } = mask.grid;
    let mut z = vec![0.0f64; width * height];
    let fastest = K / (K + 1.0f64).sqrt() * (1.0 + 1.0 / (K + 1.0)).powf(-0.5 * K - 1.0);
    let steps = (DEPTH_MM / cell * 2f64.sqrt() * fastest / 0.5).ceil();
    for _ in 0..steps as usize {
        let before = z.clone();
        let slope = |own: f64, at: Option<usize>| match at {
            Some(i) if mask.values[i] => (own - before[i]) / cell,
            _ => 2.0 * own / cell,
        };
        for y in 0..height {
            for x in 0..width {
                let i = y * width + x;
                if mask.values[i] {
                    let own = before[i];
                    let left = slope(own, (x > 0).then(|| i - 1));
                    let right = slope(own, (x + 1 < width).then(|| i + 1));
                    let up = slope(own, (y > 0).then(|| i - width));
                    let down = slope(own, (y + 1 < height).then(|| i + width));
                    let (across, along) = (left.max(right).max(0.0), up.max(down).max(0.0));
                    z[i] += DEPTH_MM / steps * (1.0 + across * across + along * along).powf(-0.5 * K);
                }
            }
        }
    }
    z
}

fn bench(c: &mut Criterion) {
    let rule = DistanceRule::new(K).expect("an exponent in range");
    for (width, height) in [(1000, 750), (4000, 3000)] {
        let distance = rings(width, height);
        let mask = mask_of(&distance);
        let mut group = c.benchmark_group(format!("{width} x {height}, 1.5 mm"));
        group.sample_size(10);
        group.bench_function("solver", |b| b.iter(|| solver(black_box(&mask))));
        group.bench_function("closed form", |b| {
            b.iter(|| rule.depths(black_box(&distance), Length::mm(DEPTH_MM).expect("a depth")))
        });
        if width < 2000 {
            group.bench_function("plain peer", |b| b.iter(|| plain(black_box(&mask))));
            print_errors(&rule, &distance, &mask);
        }
        group.finish();
    }
    print_ratio(&mask_of(&rings(4000, 3000)));
}

/// One run of each at full size: the ratio.
fn print_ratio(mask: &Mask) {
    let timed = |work: &dyn Fn() -> f64| {
        let start = std::time::Instant::now();
        black_box(work());
        start.elapsed().as_secs_f64()
    };
    let ours = (0..3).map(|_| timed(&|| f64::from(solver(mask).values[0]))).fold(f64::INFINITY, f64::min);
    let theirs = timed(&|| plain(mask)[0]);
    println!("4000 x 3000: solver {:.0} ms, plain peer {:.0} ms, ratio {:.1}", ours * 1e3, theirs * 1e3, theirs / ours);
}

fn print_errors(rule: &DistanceRule, distance: &Field<f32>, mask: &Mask) {
    let mean = |depth: &dyn Fn(usize) -> f64| {
        let open: Vec<usize> = (0..mask.values.len()).filter(|&i| mask.values[i]).collect();
        let error =
            |&i: &usize| (depth(i) - DEPTH_MM * rule.share_exact(f64::from(distance.values[i]) / DEPTH_MM)).abs();
        open.iter().map(error).sum::<f64>() / open.len() as f64 / DEPTH_MM * 100.0
    };
    let (ours, theirs) = (solver(mask), plain(mask));
    println!(
        "mean error at 0.1 mm cells: solver {:.2} %, plain peer {:.2} % of the depth",
        mean(&|i| f64::from(ours.values[i])),
        mean(&|i| theirs[i])
    );
}

criterion_group!(benches, bench);
criterion_main!(benches);
