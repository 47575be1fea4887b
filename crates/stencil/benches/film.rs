//! A film of 300 x 200 mm at 1440 dpi, 193 million dots, from tones to a TIFF that was read back; and the order
//! of 600 cuts.
//!
//! Aim: 5 s and 500 MB on two cores. The peak of memory is printed where the system tells it.

use artwork::bounds::Bounds;
use artwork::grid::{Field, Grid, Point};
use artwork::region::{FillRule, Region, Ring};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::Length;
use stencil::cut::order::order;
use stencil::film::{Emulsion, FilmSheet, tiff};
use stencil::halftone::clustered::{Clustered, Dot};
use stencil::halftone::diffusion::Kernel;
use stencil::halftone::limits::pitch_mm;
use stencil::halftone::screen::{Halftone, Screening};
use stencil::layers::{Side, StencilLayer};
use stencil::strokes::outlines;

fn length(mm: f64) -> Length {
    Length::mm(mm).expect("a length")
}

fn rings(count: u32) -> Region {
    let ring = |i: u32| {
        let (x, y) = (8.0 + 9.3 * f64::from(i % 31), 8.0 + 9.1 * f64::from(i / 31));
        let at = |k: u32| (f64::from(k) * std::f64::consts::TAU / 64.0).sin_cos();
        Ring((0..64).map(at).map(|(sin, cos)| Point { x: x + 3.0 * cos, y: y + 3.0 * sin }).collect())
    };
    Region::from_rings(&(0..count).map(ring).collect::<Vec<_>>(), FillRule::NonZero)
}

fn sheet() -> FilmSheet {
    let layer = StencilLayer {
        stage: 1,
        stages: 1,
        name: "rings".into(),
        side: Side::Front,
        openings: rings(200),
        marks: Vec::new(),
        // The tablet's foot is 23 mm high.
        cuts: Vec::new(),
        weed_box: Bounds::from_size(300.0, 177.0),
    };
    FilmSheet::of(&layer, Emulsion::TowardsLamp)
}

fn film(c: &mut Criterion) {
    let sheet = sheet();
    let grid = Grid { origin: Point::default(), cell: 0.25, width: 1200, height: 708 };
    let value = |i: usize| 0.5 + 0.5 * ((i % 1200) as f32 * 0.01).sin() * ((i / 1200) as f32 * 0.013).cos();
    let tone = Field { grid, values: (0..grid.len()).map(value).collect() };
    let clustered = Clustered { pitch_mm: pitch_mm(60.0), angle_degrees: 45.0, dot: Dot::RoundBothWays };
    let screens = [
        ("clustered", Screening::Clustered(clustered), 0.0),
        ("blue noise, 0.1 mm", Screening::BlueNoise, 0.1),
        ("diffusion, 0.1 mm", Screening::Diffusion { kernel: Kernel::FLOYD_STEINBERG, serpentine: true }, 0.1),
        ("diffusion, every dot", Screening::Diffusion { kernel: Kernel::FLOYD_STEINBERG, serpentine: true }, 0.0),
    ];
    let mut group = c.benchmark_group("film 300 x 200 mm, 1440 dpi");
    group.sample_size(10);
    for (name, screening, least_mm) in screens {
        let halftone = Halftone { tone: &tone, screening, curve: None, least: length(least_mm) };
        group.bench_function(name, |b| {
            b.iter(|| tiff::verified(&sheet, 1440.0, Some(&halftone)).map(|f| f.bytes().len()))
        });
        if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
            println!("{name}: {}", status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or_default());
        }
    }
    group.bench_function("lines only", |b| b.iter(|| tiff::verified(&sheet, 1440.0, None).map(|f| f.bytes().len())));
    group.finish();
}

fn cuts(c: &mut Criterion) {
    let strokes = outlines(&rings(600));
    let mut group = c.benchmark_group("cut");
    group.sample_size(10);
    group.bench_function("order of 600 rings", |b| b.iter(|| order(&strokes, Point::default()).travel_mm));
    group.finish();
}

criterion_group!(benches, film, cuts);
criterion_main!(benches);
