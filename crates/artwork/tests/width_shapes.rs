//! Rings, wedges, stars and gratings at all angles: measured widths within 1 % or 5 µm of those drawn.

use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring, Rounding};
use artwork::width::{WidthLimits, Widths, widths};
use quantity::Length;
use std::f64::consts::TAU;

fn ring(points: impl IntoIterator<Item = (f64, f64)>) -> Region {
    let points = points.into_iter().map(|(x, y)| Point { x, y }).collect();
    Region::from_rings(&[Ring(points)], FillRule::NonZero)
}

/// Chords within 5 µm, as a curve is flattened in reading.
fn disc(radius: f64) -> Region {
    let path = kurbo::Shape::to_path(&kurbo::Circle::new((50.0, 40.0), radius), 1e-6);
    Region::from_path(&path, Affine::IDENTITY, FillRule::NonZero, 0.005)
}

fn turned(region: &Region, degrees: f64) -> Region {
    region.transform(Affine::rotate_about(degrees.to_radians(), kurbo::Point::new(50.0, 40.0)))
}

fn measured(region: &Region, limit: f64) -> Widths {
    let limit = Length::mm(limit).unwrap();
    widths(region, Bounds::from_size(100.0, 80.0), WidthLimits { opening: limit, wall: limit })
}

#[track_caller]
fn close(what: &str, degrees: f64, found: Option<artwork::width::Spot>, want: f64) {
    let found = found.unwrap_or_else(|| panic!("{what} at {degrees}°: nothing found")).width.to_mm();
    let within = (0.01 * want).max(0.005);
    assert!((found - want).abs() <= within, "{what} at {degrees}°: {found} is not {want}");
}

fn angles() -> impl Iterator<Item = f64> {
    (0..26).map(|i| f64::from(i) * 7.0 + 0.3)
}

#[test]
fn rings_are_as_wide_as_drawn_as_openings_and_as_walls() {
    for want in [0.12, 0.3, 0.47] {
        for inner in [1.0, 4.0, 20.0] {
            let band = disc(inner + want).subtract(&disc(inner));
            close("ring", inner, measured(&band, 0.6).narrowest_opening, want);
            let wall = disc(30.0).subtract(&band);
            close("ring of resist", inner, measured(&wall, 0.6).narrowest_wall, want);
        }
    }
}

#[test]
fn gratings_are_as_wide_as_drawn_at_all_angles() {
    for degrees in angles() {
        let bar = |i: i32| {
            let y = 30.0 + 0.75 * f64::from(i);
            ring([(30.0, y), (70.0, y), (70.0, y + 0.4), (30.0, y + 0.4)])
        };
        let bars: Vec<Region> = (0..24).map(bar).collect();
        let found = measured(&turned(&Region::union_of(&bars), degrees), 0.6);
        close("bars", degrees, found.narrowest_opening, 0.4);
        close("walls between bars", degrees, found.narrowest_wall, 0.35);
        assert_eq!((found.parts, found.thin_openings.len()), (24, 24));
    }
}

#[test]
fn wedges_that_meet_in_a_neck_are_as_wide_as_the_neck_at_all_angles() {
    for degrees in angles() {
        let neck = ring([(40.0, 39.5), (50.0, 39.85), (60.0, 39.5), (60.0, 40.5), (50.0, 40.15), (40.0, 40.5)]);
        close("neck", degrees, measured(&turned(&neck, degrees), 0.6).narrowest_opening, 0.3);
    }
}

#[test]
fn a_wedge_cut_off_square_is_as_wide_as_the_circle_in_its_end_at_all_angles() {
    for degrees in angles() {
        let wedge = ring([(40.0, 39.85), (60.0, 39.5), (60.0, 40.5), (40.0, 40.15)]);
        // The circle that touches both sides and the end has its middle half a width inside.
        close("wedge", degrees, measured(&turned(&wedge, degrees), 0.6).narrowest_opening, 0.3053);
    }
}

#[test]
fn the_band_around_a_star_is_as_wide_as_drawn_at_all_angles() {
    for degrees in angles() {
        let corner = |i: u32| {
            let r = if i.is_multiple_of(2) { 20.0 } else { 9.0 };
            let angle = TAU * f64::from(i) / 10.0;
            (50.0 + r * angle.cos(), 40.0 + r * angle.sin())
        };
        let star = ring((0..10).map(corner));
        let band = turned(&star.outset(0.4, 1e-4, Rounding::Shrink).subtract(&star), degrees);
        close("band", degrees, measured(&band, 0.6).narrowest_opening, 0.4);
        let gap = turned(
            &star.outset(3.0, 0.005, Rounding::Shrink).subtract(&star.outset(0.4, 1e-4, Rounding::Shrink)).union(&star),
            degrees,
        );
        close("gap", degrees, measured(&gap, 0.6).narrowest_wall, 0.4);
    }
}
