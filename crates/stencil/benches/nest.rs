//! Nesting: moves in a second, and what they save beside a layout that is not searched for.
//!
//! The peer is the first layout, the largest piece first and each as far back as it goes: what a quick program does.

use artwork::grid::Point;
use artwork::region::Ring;
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::Length;
use std::time::Duration;
use stencil::nest::{NestOptions, Nested, Piece, Stock, Turns, nest};

/// Pieces of 6 to 14 corners on a wobbling circle: neither convex nor alike.
fn pieces(turns: &Turns) -> Vec<Piece> {
    let piece = |k: u32| {
        let corners = 6 + 2 * (k % 5);
        let corner = |i: u32| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / f64::from(corners)).sin_cos();
            let radius = (20.0 + 3.0 * f64::from(k % 4)) * if i.is_multiple_of(2) { 1.0 } else { 0.55 };
            Point { x: 1.4 * radius * cos, y: radius * sin }
        };
        Piece {
            name: k.to_string(),
            outline: Ring((0..corners).map(corner).collect()),
            quantity: 5,
            turns: turns.clone(),
        }
    };
    (0..10).map(piece).collect()
}

fn searched(pieces: &[Piece], moves: u64) -> Nested {
    let length = |mm| Length::mm(mm).expect("a length");
    let stock = Stock { rolls: vec![length(380.0)], ..Stock::default() };
    let options = NestOptions { gap: length(1.0), edge: length(2.0), seed: 1, workers: 1 };
    nest(pieces, &stock, &options, &|done| done as f64 / moves as f64).expect("pieces that can be laid")
}

fn moves(c: &mut Criterion) {
    let mut group = c.benchmark_group("nest 50 pieces on a roll");
    group.sample_size(10).measurement_time(Duration::from_secs(8));
    for (name, turns) in [("quarter turns", Turns::Quarter), ("any angle", Turns::Any)] {
        let pieces = pieces(&turns);
        let (first, after) = (searched(&pieces, 1).roll_mm(), searched(&pieces, 10_000).roll_mm());
        println!("{name}: {first:.1} mm at first, {after:.1} mm after 10,000 moves: {:.3} of it", after / first);
        group.bench_function(format!("first layout, {name}"), |b| b.iter(|| searched(&pieces, 1).roll_mm()));
        group.bench_function(format!("1000 moves, {name}"), |b| b.iter(|| searched(&pieces, 1000).roll_mm()));
    }
    group.finish();
}

criterion_group!(benches, moves);
criterion_main!(benches);
