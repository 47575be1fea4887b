use super::*;
use crate::plates::{self, BLANK, box_at, millimetres};
use crate::region::{FillRule, Ring, Rounding};
use kurbo::Affine;
use std::f64::consts::PI;

/// Those of the plates, and limits for corners and the blank's edge.
fn limits() -> AnalysisLimits {
    AnalysisLimits { corner_degrees: 25.0, margin: millimetres(3.0), ..plates::LIMITS }
}

fn ring(points: &[(f64, f64)]) -> Region {
    Region::from_rings(&[Ring(points.iter().map(|&(x, y)| Point { x, y }).collect())], FillRule::NonZero)
}

fn kinds(region: &Region) -> Vec<FaultKind> {
    analyse(region, BLANK, &limits()).faults.iter().map(|fault| fault.kind).collect()
}

#[test]
fn a_plain_square_has_its_numbers_and_no_fault() {
    let found = analyse(&box_at(20.0, 20.0, 30.0, 10.0), BLANK, &limits());
    assert!((found.opened.to_square_mm() - 300.0).abs() < 1e-6);
    assert!((found.covered.to_square_mm() - 7700.0).abs() < 1e-6);
    assert!((found.perimeter_mm - 80.0).abs() < 1e-6);
    assert_eq!((found.parts, found.points), (1, 4));
    assert!((found.min_opening.unwrap().width.to_mm() - 10.0).abs() < 0.01);
    assert!(found.faults.is_empty() && found.islands.is_empty() && found.peninsulas.is_empty());
}

#[test]
fn each_fault_is_found_once_with_place_value_and_limit() {
    let slit = box_at(20.0, 20.0, 30.0, 0.3);
    let pair = box_at(20.0, 30.0, 10.0, 5.0).union(&box_at(20.0, 35.4, 10.0, 5.0));
    let frame = box_at(60.0, 20.0, 10.0, 10.0).subtract(&box_at(64.0, 24.0, 1.5, 1.5));
    let edge = box_at(99.0, 60.0, 5.0, 5.0);
    let wedge = ring(&[(20.0, 60.0), (40.0, 58.0), (40.0, 62.0)]);
    let all = Region::union_of([&slit, &pair, &frame, &edge, &wedge]);
    let found = analyse(&all, BLANK, &limits()).faults;
    let of = |kind| found.iter().filter(|fault| fault.kind == kind).collect::<Vec<_>>();
    let near = |fault: &Fault, x: f64, y: f64| (fault.at.x - x).abs() < 16.0 && (fault.at.y - y).abs() < 1.0;
    assert_eq!(found.len(), 5, "{found:?}");
    let [thin] = of(FaultKind::ThinOpening)[..] else { panic!("{found:?}") };
    assert!(near(thin, 35.0, 20.15) && (thin.share() - 0.6).abs() < 0.01, "{thin:?}");
    let [wall] = of(FaultKind::ThinWall)[..] else { panic!("{found:?}") };
    assert!(near(wall, 25.0, 35.2) && (wall.share() - 0.4 / 0.6).abs() < 0.01, "{wall:?}");
    let [island] = of(FaultKind::SmallIsland)[..] else { panic!("{found:?}") };
    assert!(near(island, 64.75, 24.75) && (island.share() - 2.25 / 4.0).abs() < 1e-3, "{island:?}");
    assert!((island.scale().unwrap() - (4.0_f64 / 2.25).sqrt()).abs() < 1e-3);
    let [edge] = of(FaultKind::NearEdge)[..] else { panic!("{found:?}") };
    assert!(edge.share() == 0.0 && edge.scale().is_none(), "{edge:?}");
    let [corner] = of(FaultKind::AcuteCorner)[..] else { panic!("{found:?}") };
    let want = 2.0 * (0.1_f64).atan().to_degrees();
    assert!(matches!(corner.value, Measure::Degrees(d) if (d - want).abs() < 0.1), "{corner:?} {want}");
    // Worst first, and every picture on the blank.
    assert!(found.windows(2).all(|pair| pair[0].share() <= pair[1].share()));
    assert!(found.iter().filter(|f| f.kind != FaultKind::NearEdge).all(|f| BLANK.holds(&f.view, 1e-9)));
}

#[test]
fn resist_on_a_narrow_neck_is_a_peninsula_and_on_a_wide_one_is_not() {
    // A 6 x 6 window with a tongue of resist: a 1.2 mm disc-like block on a stalk.
    let tongue = |stalk: f64| {
        let window = box_at(40.0, 40.0, 8.0, 8.0);
        let block = box_at(43.0, 42.0, 1.9, 2.0);
        window.subtract(&block).subtract(&box_at(43.95 - 0.5 * stalk, 40.0, stalk, 2.5))
    };
    let found = analyse(&tongue(1.0), BLANK, &limits());
    assert_eq!(found.peninsulas.len(), 1, "{:?}", found.peninsulas);
    let peninsula = &found.peninsulas[0];
    // Drawn in and let out again the block loses its corners, r² (4 - π) of 3.8, and keeps a little of its stalk.
    let want = 3.8 - 0.75_f64.powi(2) * (4.0 - PI);
    assert!((peninsula.area.to_square_mm() - want).abs() < 0.25, "{} is not {want}", peninsula.area.to_square_mm());
    assert!((peninsula.neck.to_mm() - 1.0).abs() < 0.02, "{:?}", peninsula.neck);
    assert_eq!(kinds(&tongue(1.0)), [FaultKind::WeakPeninsula]);
    assert!(kinds(&tongue(1.7)).is_empty());
}

#[test]
fn letters_whose_counters_open_wide_have_no_peninsulas() {
    let c = box_at(20.0, 20.0, 20.0, 20.0).subtract(&box_at(25.0, 25.0, 20.0, 10.0));
    assert!(analyse(&c, BLANK, &limits()).peninsulas.is_empty());
}

#[test]
fn at_the_least_scale_all_holds_and_just_below_it_does_not() {
    let drawing = box_at(20.0, 20.0, 10.0, 0.3)
        .union(&box_at(20.0, 22.0, 10.0, 2.0))
        .union(&box_at(20.0, 24.25, 10.0, 2.0))
        .union(&box_at(40.0, 20.0, 8.0, 8.0).subtract(&box_at(43.0, 23.0, 1.2, 1.2)));
    let blank = Bounds::from_size(60.0, 40.0);
    let scale = least_scale(&analyse(&drawing, blank, &limits()), &drawing, blank, &limits()).unwrap();
    // The wall of 0.25 mm wants 2.4; the opening of 0.3 mm 1.67; the island of 1.44 mm² 1.67.
    assert!((scale - 2.4).abs() < 0.02, "{scale}");
    let holds = |scale: f64| {
        let blank = Bounds::from_size(60.0 * scale, 40.0 * scale);
        let found = analyse(&drawing.transform(Affine::scale(scale)), blank, &limits());
        found.faults.iter().all(|fault| fault.scale().is_none())
    };
    assert!(holds(scale * 1.001) && !holds(scale * 0.98));
}

#[test]
fn a_rounded_corner_is_no_acute_corner() {
    let wedge = ring(&[(20.0, 60.0), (40.0, 58.0), (40.0, 62.0)]).inset(0.3, 0.001, Rounding::Grow).outset(
        0.3,
        0.001,
        Rounding::Grow,
    );
    assert!(analyse(&wedge, BLANK, &limits()).corners.is_empty());
}
