//! The height-field solver against a plain single-threaded version of the same equation in double
//! precision (first-order upwind, no tiles), on the same openings and to the same depth; against the machine's
//! memory bandwidth, measured in the same run; and a whole job of 16 million cells in three stages.

use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Grid, Mask, Point};
use carve::distance_rule::DistanceRule;
use carve::height_field::{Opening, SolveOptions, carry_on, carve, carve_counted};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::Length;
use rayon::prelude::*;
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
    let opening = Opening { mask, edge: None, dose: Length::mm(DEPTH_MM).expect("a depth"), flux: None };
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
    // First, so that the largest resident size is its own.
    print_job();
    print_bandwidth();
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

/// Cell updates each second where every cell is at work, and the bytes that the machine moves.
///
/// A step reads and writes depth and fitted depth: 16 bytes a cell at the least.
fn print_bandwidth() {
    let triad = {
        let n = 1usize << 24;
        let (b, c) = (vec![1.5f32; n], vec![2.5f32; n]);
        let mut a = vec![0.0f32; n];
        let mut best = f64::INFINITY;
        for _ in 0..8 {
            let start = std::time::Instant::now();
            a.par_chunks_mut(1 << 16).zip(b.par_chunks(1 << 16)).zip(c.par_chunks(1 << 16)).for_each(|((a, b), c)| {
                a.iter_mut().zip(b).zip(c).for_each(|((a, b), c)| *a = b + 0.5 * c);
            });
            best = best.min(start.elapsed().as_secs_f64());
            black_box(&a);
        }
        12.0 * n as f64 / best
    };
    // Strokes 3.2 mm wide: walls everywhere, nothing still.
    let grid = Grid { origin: Point::default(), cell: 0.1, width: 2048, height: 2048 };
    let open = |i: usize| grid.centre(i % grid.width, i / grid.width).x.rem_euclid(3.6) < 3.2;
    let mask = Mask { grid, values: (0..grid.len()).map(open).collect() };
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let opening = Opening { mask: &mask, edge: None, dose: Length::mm(3.0).expect("a depth"), flux: None };
        let mut best = f64::INFINITY;
        let mut updates = 0;
        for _ in 0..5 {
            let start = std::time::Instant::now();
            let (_, work) =
                pool.install(|| carve_counted(&[opening], &SolveOptions::new(K), &carry_on)).expect("a depth field");
            best = best.min(start.elapsed().as_secs_f64());
            updates = work.cell_updates();
        }
        updates as f64 / best
    };
    let (one, two) = (run(1), run(2));
    println!(
        "triad {:.1} GB/s; solver {:.0} M cell updates/s on one thread, {:.0} M on two: {:.1} GB/s of 16 bytes, {:.0} % of the triad",
        triad * 1e-9,
        one * 1e-6,
        two * 1e-6,
        two * 16e-9,
        two * 16.0 / triad * 100.0
    );
}

/// 4096 x 4096 cells of 0.1 mm: rings, strokes in them and discs, to 0.5, 1.0 and 1.5 mm.
fn print_job() {
    let side = 4096;
    let field = rings(side, side);
    let at = |i: usize| field.grid.centre(i % side, i / side);
    let strokes = |i: usize| at(i).y.rem_euclid(25.0) < 2.0 && field.values[i] > 0.8;
    let discs = |i: usize| {
        let p = at(i);
        (p.x.rem_euclid(40.0) - 20.0).hypot(p.y.rem_euclid(40.0) - 20.0) < 6.0
    };
    let layer = |inside: &(dyn Fn(usize) -> bool + Sync)| -> Mask {
        Mask { grid: field.grid, values: (0..field.grid.len()).into_par_iter().map(inside).collect() }
    };
    let masks = [
        layer(&discs),
        layer(&|i| discs(i) || strokes(i)),
        layer(&|i| discs(i) || strokes(i) || field.values[i] > 0.0),
    ];
    let dose = Length::mm(0.5).expect("a depth");
    for closed_form in [true, false] {
        let start = std::time::Instant::now();
        let edges: Vec<Field<f32>> = masks.iter().map(|mask| distance(mask, Side::Open, Beyond::Edge)).collect();
        let stages: Vec<Opening> =
            masks.iter().zip(&edges).map(|(mask, edge)| Opening { mask, edge: Some(edge), dose, flux: None }).collect();
        let options = SolveOptions { closed_form, ..SolveOptions::new(K) };
        let (depth, work) = carve_counted(&stages, &options, &carry_on).expect("a depth field");
        let seconds = start.elapsed().as_secs_f64();
        let open = masks[2].values.iter().filter(|&&open| open).count() as f64 / masks[2].values.len() as f64;
        println!(
            "16 Mpx, three stages, {:.0} % open, closed form {closed_form}: {seconds:.2} s, {} MB at most; {work:?}; deepest {:.3} mm",
            open * 100.0,
            peak_megabytes(),
            depth.values.iter().copied().fold(0.0, f32::max)
        );
    }
}

/// The largest resident size so far, where the system tells it.
fn peak_megabytes() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").trim().parse::<u64>().ok())
        .map_or_else(|| "unknown".to_owned(), |kb| (kb / 1024).to_string())
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
