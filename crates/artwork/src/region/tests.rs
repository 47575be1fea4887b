use super::*;
use proptest::prelude::*;
use std::f64::consts::PI;

fn ring(points: &[(f64, f64)]) -> Ring {
    Ring(points.iter().map(|&(x, y)| Point { x, y }).collect())
}

fn square(x: f64, y: f64, side: f64) -> Region {
    Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + side, y: y + side } })
}

fn mm2(region: &Region) -> f64 {
    region.area().to_square_mm()
}

fn close(found: f64, want: f64, by: f64) {
    assert!((found - want).abs() < by, "{found} is not {want}");
}

#[test]
fn squares_combine_as_sets() {
    let (a, b) = (square(0.0, 0.0, 10.0), square(6.0, 6.0, 10.0));
    close(mm2(&a.union(&b)), 184.0, 1e-6);
    close(mm2(&a.intersect(&b)), 16.0, 1e-6);
    close(mm2(&a.subtract(&b)), 84.0, 1e-6);
    close(a.subtract(&square(2.0, 2.0, 3.0)).perimeter_mm(), 40.0 + 12.0, 1e-6);
    assert_eq!(a.union(&square(20.0, 0.0, 5.0)).parts().count(), 2);
    assert!(a.subtract(&a).is_empty());
}

#[test]
fn holes_turn_against_their_outer_ring() {
    let frame = square(0.0, 0.0, 10.0).subtract(&square(2.0, 2.0, 3.0));
    let polygon = &frame.polygons()[0];
    assert!(polygon.outer.signed_area_mm2() > 0.0 && polygon.holes[0].signed_area_mm2() < 0.0);
    assert!(frame.contains(Point { x: 1.0, y: 1.0 }) && !frame.contains(Point { x: 3.0, y: 3.0 }));
}

#[test]
fn an_outset_square_has_round_corners_on_the_side_asked_for() {
    // Steiner: area + perimeter d + pi d².
    let want = 100.0 + 40.0 * 2.0 + PI * 4.0;
    let grown = mm2(&square(0.0, 0.0, 10.0).outset(2.0, 0.01, Rounding::Grow));
    let shrunk = mm2(&square(0.0, 0.0, 10.0).outset(2.0, 0.01, Rounding::Shrink));
    assert!(shrunk <= want && want <= grown, "{shrunk} {want} {grown}");
    close(grown, shrunk, 0.01 * 60.0);
    close(mm2(&square(0.0, 0.0, 10.0).inset(2.0, 0.01, Rounding::Grow)), 36.0, 1e-3);
    assert!(square(0.0, 0.0, 10.0).inset(6.0, 0.01, Rounding::Grow).is_empty());
}

#[test]
fn a_bow_tie_is_two_triangles_by_either_rule() {
    let tie = [ring(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)])];
    for rule in [FillRule::NonZero, FillRule::EvenOdd] {
        close(mm2(&Region::from_rings(&tie, rule)), 50.0, 1e-6);
    }
}

#[test]
fn coordinates_that_are_no_numbers_or_out_of_reach_do_no_harm() {
    let nan = ring(&[(0.0, f64::NAN), (1.0, 0.0), (1.0, 1.0)]);
    assert!(Region::from_rings(&[nan], FillRule::NonZero).is_empty());
    let far = ring(&[(0.0, 0.0), (1e12, 0.0), (1e12, 1.0), (0.0, 1.0)]);
    close(Region::from_rings(&[far], FillRule::NonZero).bounds().unwrap().max.x, REACH_MM, 1e-6);
    assert!(square(0.0, 0.0, 1.0).transform(Affine::scale(f64::INFINITY)).is_empty());
}

#[test]
fn chords_lie_inside_a_circle_by_less_than_the_tolerance() {
    let circle = kurbo::Shape::to_path(&kurbo::Circle::new((50.0, 50.0), 30.0), 1e-6);
    for tolerance in [0.1, 0.01, 0.001] {
        let found = mm2(&Region::from_path(&circle, Affine::IDENTITY, FillRule::NonZero, tolerance));
        let most = PI * 900.0 * (4.0 / 3.0) * tolerance / 30.0;
        assert!(found < PI * 900.0 && PI * 900.0 - found < most, "{found} at {tolerance}");
    }
}

/// A ring of up to 9 corners that may cross itself.
fn tangle() -> impl Strategy<Value = Region> {
    proptest::collection::vec((-50.0..50.0, -50.0..50.0), 3..9)
        .prop_map(|points| Region::from_rings(&[ring(&points)], FillRule::NonZero))
}

proptest! {
    #[test]
    fn areas_add_up(a in tangle(), b in tangle()) {
        let (union, both) = (mm2(&a.union(&b)), mm2(&a.intersect(&b)));
        prop_assert!(union <= mm2(&a) + mm2(&b) + 1e-3);
        prop_assert!((union + both - mm2(&a) - mm2(&b)).abs() < 1e-2);
        prop_assert!((mm2(&a.subtract(&b)) + both - mm2(&a)).abs() < 1e-2);
    }

    #[test]
    fn mirrored_twice_is_the_same(region in tangle(), x in -100..100_i32) {
        let x = f64::from(x) / 4.0;
        let once = region.mirrored(x);
        prop_assert_eq!(once.mirrored(x), region.clone());
        prop_assert!((mm2(&once) - mm2(&region)).abs() < 1e-9);
    }

    #[test]
    fn a_turn_keeps_the_area(region in tangle(), turn in 0.0..6.0) {
        let turned = region.transform(Affine::rotate(turn));
        prop_assert!((mm2(&turned) - mm2(&region)).abs() < 0.1);
    }

    #[test]
    fn outset_then_inset_never_loses_ground(region in tangle(), by in 0.1..3.0) {
        let closed = region.outset(by, 0.01, Rounding::Grow).inset(by, 0.01, Rounding::Grow);
        prop_assert!(mm2(&region.subtract(&closed)) < 0.05, "{}", mm2(&region.subtract(&closed)));
    }
}

/// A ring of teeth, many of whose edges are shorter than what it is drawn by.
fn jagged() -> impl Strategy<Value = Region> {
    proptest::collection::vec(4.0..12.0, 12..60).prop_map(|radii| {
        let corner = |(i, r): (usize, &f64)| {
            let angle = 2.0 * PI * i as f64 / radii.len() as f64;
            (r * angle.cos(), r * angle.sin())
        };
        let corners: Vec<(f64, f64)> = radii.iter().enumerate().map(corner).collect();
        let hole = ring(&[(-1.0, -1.0), (-1.0, 1.3), (1.2, 1.0), (0.4, -0.7)]);
        Region::from_rings(&[ring(&corners), hole], FillRule::EvenOdd)
    })
}

/// A ring of waves upon waves in short chords: pockets within pockets, and discs that come to rest on edges.
fn waves() -> impl Strategy<Value = Region> {
    let wave = (2..40_u32, 0.0..1.0, 0.0..7.0);
    (100..500_u32, proptest::collection::vec(wave, 1..4)).prop_map(|(corners, waves)| {
        let corner = |i: u32| {
            let angle = 2.0 * PI * f64::from(i) / f64::from(corners);
            let wave = |&(n, share, phase): &(u32, f64, f64)| {
                3.0 * share / f64::from(n).sqrt() * (f64::from(n) * angle + phase).sin()
            };
            let r = 9.0 + waves.iter().map(wave).sum::<f64>();
            (r * angle.cos(), r * angle.sin())
        };
        let corners: Vec<(f64, f64)> = (0..corners).map(corner).collect();
        Region::from_rings(&[ring(&corners)], FillRule::EvenOdd)
    })
}

/// How far a place lies outside a region, negative within, by looking at every edge.
fn outside_mm(region: &Region, p: Point) -> f64 {
    let away = |(a, b): (Point, Point)| {
        let q = crate::edges::Edge { a, b, ring: None }.nearest(p);
        (q.x - p.x).hypot(q.y - p.y)
    };
    let nearest = region.rings().flat_map(Ring::edges).map(away).fold(f64::INFINITY, f64::min);
    if region.contains(p) { -nearest } else { nearest }
}

/// Whether a region drawn out by a signed distance holds just the places that it should, on a lattice of places.
fn reaches(region: &Region, by: f64, rounding: Rounding) -> Result<(), TestCaseError> {
    const TOLERANCE: f64 = 0.02;
    // The engine's grid, and what a place on the very edge is worth.
    const GRID: f64 = 5e-4;
    let drawn = if by > 0.0 { region.outset(by, TOLERANCE, rounding) } else { region.inset(-by, TOLERANCE, rounding) };
    let (within, beyond) = match rounding {
        Rounding::Grow => (by - GRID, by + TOLERANCE + GRID),
        Rounding::Shrink => (by - TOLERANCE - GRID, by + GRID),
    };
    let around = region.bounds().unwrap_or(Bounds::from_size(1.0, 1.0)).grown(by.abs() + 1.0);
    for i in 0..40_u32 {
        for k in 0..40_u32 {
            let share = |n: u32| (f64::from(n) + 0.37) / 40.0;
            let p = Point {
                x: around.min.x + share(i) * around.width_mm(),
                y: around.min.y + share(k) * around.height_mm(),
            };
            let outside = outside_mm(region, p);
            prop_assert!(outside >= within || drawn.contains(p), "{p:?} is {outside} outside and lost");
            prop_assert!(outside <= beyond || !drawn.contains(p), "{p:?} is {outside} outside and held");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn what_is_drawn_out_or_in_holds_the_places_that_near(
        tangle in tangle(), teeth in jagged(), waves in waves(), by in 0.02..6.0, grow in proptest::bool::ANY, out in proptest::bool::ANY,
    ) {
        let rounding = if grow { Rounding::Grow } else { Rounding::Shrink };
        for region in [tangle, teeth, waves] {
            reaches(&region, if out { by } else { -by }, rounding)?;
        }
    }
}

#[test]
fn shapes_apart_are_drawn_out_into_one_another_and_holes_close() {
    let pair = square(0.0, 0.0, 4.0).union(&square(5.0, 0.0, 4.0)).union(&square(40.0, 0.0, 4.0));
    let grown = pair.outset(0.6, 0.001, Rounding::Grow);
    assert_eq!(grown.polygons().len(), 2);
    // Each alone by Steiner's formula; two of them share a strip 0.2 wide, 4 tall and a little more at its ends.
    let apart = 3.0 * (16.0 + 0.6 * 16.0 + PI * 0.36);
    let shared = apart - mm2(&grown);
    assert!((0.75..1.05).contains(&shared), "{shared}");
    let frame = square(0.0, 0.0, 10.0).subtract(&square(4.0, 4.0, 2.0));
    assert_eq!(frame.outset(0.9, 0.01, Rounding::Shrink).polygons()[0].holes.len(), 1);
    assert_eq!(frame.outset(1.1, 0.01, Rounding::Shrink).polygons()[0].holes.len(), 0);
    // What is far out is drawn on a coarser grid.
    let far = square(REACH_MM - 20.0, 0.0, 10.0).outset(900.0, 0.5, Rounding::Grow);
    close(mm2(&far) / (100.0 + 36_000.0 + PI * 810_000.0), 1.0, 2e-3);
}
