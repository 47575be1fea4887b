//! Widths of slots, rings, walls, necks and tips against what they were drawn with.

use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use artwork::width::{Spot, WidthAt, WidthLimits, Widths, width_at, widths};
use quantity::Length;
use std::f64::consts::PI;

fn ring(points: &[(f64, f64)]) -> Ring {
    Ring(points.iter().map(|&(x, y)| Point { x, y }).collect())
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Region {
    Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } })
}

fn disc(x: f64, y: f64, radius: f64) -> Region {
    let points = (0..720).map(|i| (f64::from(i) * PI / 360.0).sin_cos());
    let ring = Ring(points.map(|(sin, cos)| Point { x: x + radius * cos, y: y + radius * sin }).collect());
    Region::from_rings(&[ring], FillRule::NonZero)
}

fn measured(region: &Region, opening_mm: f64, wall_mm: f64) -> Widths {
    let length = |mm| Length::mm(mm).unwrap();
    let limits = WidthLimits { opening: length(opening_mm), wall: length(wall_mm) };
    widths(region, Bounds::from_size(100.0, 80.0), limits)
}

fn close(found: Option<Spot>, width_mm: f64) -> Spot {
    let spot = found.expect("nothing found");
    assert!((spot.width.to_mm() - width_mm).abs() < 2e-3, "{} is not {width_mm}", spot.width.to_mm());
    spot
}

#[test]
fn a_slot_is_as_wide_as_drawn_and_listed_once_with_its_length() {
    let found = measured(&rectangle(20.0, 30.0, 30.0, 0.4), 0.5, 0.5);
    close(found.narrowest_opening, 0.4);
    assert_eq!(found.thin_openings.len(), 1, "{:?}", found.thin_openings);
    assert!((found.thin_openings[0].length.to_mm() - 30.0).abs() < 1.0, "{:?}", found.thin_openings);
    assert!(found.opening_tips.is_empty() && found.thin_walls.is_empty());
}

#[test]
fn a_slot_at_any_angle_is_as_wide_as_drawn() {
    for degrees in [7.0_f64, 30.0, 45.0, 81.0] {
        let turn = Affine::rotate_about(degrees.to_radians(), kurbo::Point::new(50.0, 40.0));
        let found = measured(&rectangle(40.0, 39.0, 20.0, 0.37).transform(turn), 0.5, 0.5);
        close(found.narrowest_opening, 0.37);
    }
}

#[test]
fn a_hairline_that_a_raster_would_lose_is_found() {
    let found = measured(&rectangle(20.0, 30.0, 30.0, 0.01), 0.5, 0.5);
    close(found.narrowest_opening, 0.01);
}

#[test]
fn a_disc_is_as_wide_as_its_diameter() {
    close(measured(&disc(50.0, 40.0, 0.3), 1.0, 0.5).narrowest_opening, 0.6);
    // Above the limit as well: then it is looked for. 720 edges of 0.05 mm, each turned a little by
    // rounding, cost it 0.12 %.
    let spot = measured(&disc(50.0, 40.0, 6.0), 1.0, 0.5).narrowest_opening.unwrap();
    assert!((spot.width.to_mm() / 12.0 - 1.0).abs() < 2e-3, "{spot:?}");
}

#[test]
fn a_ring_is_as_wide_as_its_radii_differ_and_holds_an_island() {
    let found = measured(&disc(50.0, 40.0, 10.3).subtract(&disc(50.0, 40.0, 10.0)), 0.5, 0.5);
    close(found.narrowest_opening, 0.3);
    assert_eq!((found.parts, found.islands.len()), (1, 1));
    assert!((found.islands[0].area.to_square_mm() - PI * 100.0).abs() < 0.1);
    let length = found.thin_openings[0].length.to_mm();
    assert!((length / (2.0 * PI * 10.15) - 1.0).abs() < 0.05, "{length}");
}

#[test]
fn a_wall_between_two_openings_is_as_wide_as_the_gap() {
    let both = rectangle(20.0, 20.0, 10.0, 10.0).union(&rectangle(30.25, 22.0, 10.0, 10.0));
    let spot = close(measured(&both, 0.5, 0.5).narrowest_wall, 0.25);
    assert!((spot.at.x - 30.125).abs() < 0.01 && (22.0..=30.0).contains(&spot.at.y), "{spot:?}");
}

#[test]
fn a_wall_between_two_corners_is_measured_corner_to_corner() {
    let both = rectangle(20.0, 20.0, 10.0, 10.0).union(&rectangle(30.3, 30.4, 10.0, 10.0));
    let spot = close(measured(&both, 0.5, 1.0).narrowest_wall, 0.5);
    assert!((spot.at.x - 30.15).abs() < 1e-2 && (spot.at.y - 30.2).abs() < 1e-2, "{spot:?}");
}

#[test]
fn a_wall_between_a_corner_and_an_edge_is_measured_square_to_the_edge() {
    let diamond = ring(&[(30.4, 35.0), (35.0, 30.0), (40.0, 35.0), (35.0, 40.0)]);
    let both = rectangle(20.0, 30.0, 10.0, 10.0).union(&Region::from_rings(&[diamond], FillRule::NonZero));
    close(measured(&both, 0.5, 1.0).narrowest_wall, 0.4);
}

#[test]
fn a_wall_to_the_blanks_edge_counts() {
    let spot = close(measured(&rectangle(0.7, 20.0, 10.0, 10.0), 0.5, 1.0).narrowest_wall, 0.7);
    assert!((spot.at.x - 0.35).abs() < 1e-3, "{spot:?}");
}

#[test]
fn corners_are_not_thin_places() {
    let found = measured(&rectangle(20.0, 20.0, 30.0, 30.0), 2.0, 2.0);
    assert!(found.thin_openings.is_empty() && found.opening_tips.is_empty(), "{found:?}");
    close(found.narrowest_opening, 30.0);
}

#[test]
fn a_wedge_is_a_tip_and_not_a_narrow_line() {
    // 20 mm long, 4 mm wide at the base: 11.4°, narrower than 0.5 mm over the last 2.5 mm.
    let wedge = Region::from_rings(&[ring(&[(20.0, 30.0), (40.0, 32.0), (20.0, 34.0)])], FillRule::NonZero);
    let found = measured(&wedge, 0.5, 0.5);
    assert!(found.thin_openings.is_empty(), "{:?}", found.thin_openings);
    assert_eq!(found.opening_tips.len(), 1);
    let tip = found.opening_tips[0];
    assert!((tip.length.to_mm() - 2.5).abs() < 0.3 && tip.at.x > 37.0, "{tip:?}");
}

#[test]
fn a_neck_between_two_discs_is_found_at_its_place() {
    // Two discs of 5 mm joined by a bar of 0.6 mm.
    let body = disc(30.0, 40.0, 5.0).union(&disc(50.0, 40.0, 5.0)).union(&rectangle(30.0, 39.7, 20.0, 0.6));
    let found = measured(&body, 1.0, 0.5);
    let spot = close(found.narrowest_opening, 0.6);
    assert!((34.0..=46.0).contains(&spot.at.x) && (spot.at.y - 40.0).abs() < 0.01, "{spot:?}");
    assert_eq!(found.thin_openings.len(), 1, "{:?}", found.thin_openings);
}

#[test]
fn an_island_with_an_opening_inside_counts_only_its_own_resist() {
    let target = disc(50.0, 40.0, 20.0)
        .subtract(&disc(50.0, 40.0, 15.0))
        .union(&disc(50.0, 40.0, 10.0).subtract(&disc(50.0, 40.0, 5.0)));
    let areas: Vec<f64> = measured(&target, 0.5, 0.5).islands.iter().map(|i| i.area.to_square_mm()).collect();
    let want = [PI * 25.0, PI * (225.0 - 100.0)];
    assert!(areas.len() == 2 && areas.iter().zip(want).all(|(a, b)| (a / b - 1.0).abs() < 1e-3), "{areas:?}");
}

#[test]
fn nothing_open_has_no_width() {
    let found = measured(&Region::default(), 0.5, 0.5);
    assert_eq!((found.narrowest_opening, found.narrowest_wall, found.parts), (None, None, 0));
}

#[test]
fn the_width_under_a_pointer_is_that_of_its_line_or_wall() {
    let slots = rectangle(20.0, 20.0, 30.0, 2.0).union(&rectangle(20.0, 25.0, 30.0, 2.0));
    let at = |x, y| width_at(&slots, Bounds::from_size(100.0, 80.0), Point { x, y });
    let mm = |width: Option<WidthAt>| match width {
        Some(WidthAt::Opening(w)) => w.to_mm(),
        Some(WidthAt::Wall(w)) => -w.to_mm(),
        None => 0.0,
    };
    assert!((mm(at(35.0, 20.7)) - 2.0).abs() < 1e-3, "{:?}", at(35.0, 20.7));
    assert!((mm(at(35.0, 23.0)) + 3.0).abs() < 1e-3, "{:?}", at(35.0, 23.0));
    assert_eq!(at(-1.0, 5.0), None);
}
