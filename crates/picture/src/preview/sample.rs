//! An invented relief to look at and to test with: leaves on a stem, a letter-like ring, a shaded field.

use artwork::grid::{Field, Grid, Point};
use piece::{Body, Side};
use plan::Relief;
use quantity::{Length, Quantity as _};

/// A relief on `body`: depth grows from each edge with the wall's slope to the layer's floor.
pub(crate) fn relief(body: Body, side: Side, cell_mm: f64, size_mm: (f64, f64)) -> Relief {
    let (width, height) = size_mm;
    let (sheet_width, sheet_height) = (body.sheet_width_mm(), body.sheet_height_mm());
    let origin = Point { x: 0.5 * (sheet_width - width), y: 0.5 * (sheet_height - height) };
    let cells = |mm: f64| (mm / cell_mm).round() as usize;
    let grid = Grid { origin, cell: cell_mm, width: cells(width), height: cells(height) };
    let at = |i: usize| {
        let u = ((i % grid.width) as f64 + 0.5) / grid.width as f64 - 0.5;
        let v = ((i / grid.width) as f64 + 0.5) / grid.height as f64 - 0.5;
        place(u * width / height.min(width), v * height / height.min(width), height.min(width))
    };
    let (depth, layer): (Vec<f32>, Vec<u8>) = (0..grid.len()).map(at).unzip();
    Relief {
        depth_mm: Field { grid, values: depth },
        layer: Field { grid, values: layer },
        body,
        thickness: Length::clamped(0.01),
        side,
        roughness: Length::clamped(3e-6),
    }
}

/// Depth and layer at a place, in units of `unit_mm`.
fn place(x: f64, y: f64, unit_mm: f64) -> (f32, u8) {
    let carved = |inside: f64, floor: f64| {
        let d = inside * unit_mm;
        // The wall: about 60 degrees above, easing into the floor.
        (d > 0.0).then(|| (floor * (1.0 - (-1.5 * d / floor).exp())) as f32)
    };
    for i in 0..7 {
        let (side, rise) = (if i % 2 == 0 { 1.0 } else { -1.0 }, 0.36 - 0.115 * f64::from(i));
        let (dx, dy) = (side * (x - stem(rise)), rise - y);
        let (along, aside) = (0.82 * dx + 0.57 * dy, -0.57 * dx + 0.82 * dy);
        let length = 0.27 - 0.014 * f64::from(i);
        let t = along / length;
        if !(0.0..1.0).contains(&t) {
            continue;
        }
        let half = 0.26 * length * (std::f64::consts::PI * t.powf(0.8)).sin();
        let inside = half - aside.abs();
        let vein = (0.006 - (aside - 0.0).abs()).max(0.004 - ((aside.abs() - 0.6 * (along % 0.05)).abs() * 0.8));
        if inside > 0.0 && vein < 0.0 {
            let floor = if aside > 0.0 { 1.6 } else { 0.8 };
            let edge = inside.min(-vein);
            if let Some(depth) = carved(edge, floor) {
                return (depth, if aside > 0.0 { 1 } else { 2 });
            }
        }
    }
    let thick = 0.011 - (x - stem(y)).abs();
    if let Some(depth) = carved(thick, 1.6).filter(|_| y.abs() < 0.46) {
        return (depth, 1);
    }
    let ring = 0.022 - ((x - 0.27).hypot(y - 0.33) - 0.09).abs();
    let bar = (0.012 - (x + 0.3).abs()).min(0.12 - (y - 0.3).abs());
    let foot = (0.01 - (y - 0.40).abs()).min(0.05 - (x + 0.3).abs());
    if let Some(depth) = carved(ring.max(bar).max(foot), 1.2) {
        return (depth, 2);
    }
    let pond = 0.06 - (y - 0.47 - 0.012 * (x * 18.0).sin()).abs();
    carved(pond, 0.12).map_or((0.0, 0), |depth| (depth, 3))
}

fn stem(y: f64) -> f64 {
    0.05 * (5.0 * y).sin()
}
