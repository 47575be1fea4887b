//! Checks against the tables of the derivation: characteristics and concave hull, computed in double
//! precision with a root finder independent of this code.

use super::*;
use quantity::known;

fn rule(k: f64) -> DistanceRule {
    DistanceRule::new(k).unwrap()
}

const THREE_K: [f64; 3] = [2.0, 7.0 / 3.0, 3.0];

#[test]
fn the_foot_of_the_wall_agrees_with_the_table() {
    // k, s*, σ, 1/σ
    const ROWS: [(f64, f64, f64, f64); 6] = [
        (1.5, 1.11265, 0.40757, 2.45358),
        (2.0, 1.0, 0.5, 2.0),
        (7.0 / 3.0, 0.94110, 0.55561, 1.79982),
        (2.5, 0.91522, 0.58195, 1.71836),
        (3.0, 0.84856, 0.65607, 1.52424),
        (4.0, 0.74937, 0.78720, 1.27032),
    ];
    for (k, slope, sigma, lost) in ROWS {
        let rule = rule(k);
        assert!((rule.foot_slope() - slope).abs() < 6e-6 && (rule.sigma() - sigma).abs() < 6e-6, "k {k}");
        assert!((1.0 / rule.sigma() - lost).abs() < 2e-5, "k {k}");
        // The jump to the flat ground moves at the speed of the slope that feeds it.
        let jump = (1.0 - (1.0 + slope * slope).powf(-0.5 * k)) / slope;
        assert!((rule.sigma() - jump).abs() < 1e-4, "k {k}");
    }
}

#[test]
fn the_wall_agrees_with_the_table() {
    const XI: [f64; 7] = [0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.45];
    const ROWS: [[f64; 7]; 3] = [
        [0.13706, 0.24896, 0.38781, 0.59585, 0.75732, 0.88983, 0.94749],
        [0.11668, 0.21807, 0.34701, 0.54483, 0.70179, 0.83319, 0.89137],
        [0.09039, 0.17616, 0.28927, 0.46888, 0.61588, 0.74224, 0.79936],
    ];
    for (k, row) in THREE_K.into_iter().zip(ROWS) {
        for (xi, want) in XI.into_iter().zip(row) {
            assert!((rule(k).share_exact(xi) - want).abs() < 6e-6, "k {k}, {xi}");
        }
    }
}

#[test]
fn the_depth_of_a_groove_agrees_with_the_table() {
    const T: [f64; 11] = [1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 8.0, 10.0, 20.0, 50.0, 100.0];
    const ROWS: [[f64; 11]; 3] = [
        [1.0, 2.0, 2.22456, 2.41277, 2.72355, 2.97924, 3.56938, 3.87806, 4.97926, 6.85293, 8.68570],
        [1.0, 1.89026, 2.08298, 2.24409, 2.50845, 2.72417, 3.21603, 3.47015, 4.36145, 5.83417, 7.23458],
        [1.0, 1.70594, 1.85560, 1.97991, 2.18176, 2.34438, 2.70824, 2.89271, 3.52322, 4.51943, 5.42665],
    ];
    for (k, row) in THREE_K.into_iter().zip(ROWS) {
        for (t, want) in T.into_iter().zip(row) {
            assert!((t * rule(k).share_exact(1.0 / t) - want).abs() < 6e-6, "k {k}, T {t}");
        }
    }
}

#[test]
fn the_table_is_within_one_in_ten_thousand_of_the_closed_form() {
    let mut worst: f64 = 0.0;
    for k in [1.2, 1.5, 2.0, 7.0 / 3.0, 3.0, 4.0, 4.5] {
        let rule = rule(k);
        for i in 0..20_000 {
            let xi = (f64::from(i) / 20_000.0).powi(3);
            worst = worst.max((f64::from(rule.share(xi as f32)) - rule.share_exact(xi)).abs());
        }
    }
    println!("worst error of the table: {worst:.1e}");
    assert!(worst < 1e-4);
}

#[test]
fn the_dose_for_a_depth_gives_that_depth() {
    for k in THREE_K {
        for depth in [0.05, 0.4, 1.0, 3.0] {
            let (depth, distance) = (Length::mm(depth).unwrap(), Length::mm(0.5).unwrap());
            let dose = rule(k).dose_for(depth, distance).unwrap();
            let reached = dose.to_mm() * rule(k).share_exact(0.5 / dose.to_mm());
            assert!((reached - depth.to_mm()).abs() < 1e-9, "k {k}: {reached}");
        }
    }
    assert_eq!(rule(2.0).dose_for(known(Length::mm(1.0)), known(Length::mm(0.0))), None);
}

#[test]
fn a_ramp_of_flux_makes_the_plane_wall_of_the_table() {
    const T: [f64; 8] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    const ROWS: [(f64, [f64; 8]); 2] = [
        (2.0, [0.46622, 0.81773, 1.28791, 2.06496, 2.78667, 3.65982, 5.12517, 6.54497]),
        (7.0 / 3.0, [0.46141, 0.79729, 1.23091, 1.91959, 2.53706, 3.26324, 4.44413, 5.55490]),
    ];
    for (k, row) in ROWS {
        for (t, want) in T.into_iter().zip(row) {
            let wall = rule(k).ramped(known(Length::mm(1.0)), Length::mm(t).unwrap());
            assert!((wall.plane_slope() - want).abs() < 6e-6, "k {k}, t {t}: {}", wall.plane_slope());
        }
    }
}

#[test]
fn a_ramp_of_flux_makes_the_profile_of_the_table() {
    let wall = |k, t| rule(k).ramped(known(Length::mm(1.0)), Length::mm(t).unwrap());
    for (k, t, foot) in [
        (2.0, 2.0, 1.72076),
        (2.0, 5.0, 3.18879),
        (2.0, 10.0, 5.67777),
        (2.0, 20.0, 10.67222),
        (7.0 / 3.0, 10.0, 6.21494),
    ] {
        assert!((wall(k, t).foot().to_mm() - foot).abs() < 2e-5, "k {k}, t {t}: {}", wall(k, t).foot().to_mm());
    }
    let ten = wall(2.0, 10.0);
    for (d, want) in [
        (0.5, 1.3933),
        (1.0, 2.7867),
        (2.0, 5.0607),
        (3.0, 6.7679),
        (4.0, 8.1598),
        (5.0, 9.3229),
        (5.5, 9.8307),
        (5.7, 10.0),
    ] {
        let got = ten.depth(Length::mm(d).unwrap()).to_mm();
        assert!((got - want).abs() < 1e-4, "{d}: {got}");
    }
}

#[test]
fn a_vanishing_ramp_is_a_sharp_edge() {
    let wall = rule(2.0).ramped(known(Length::mm(1e-4)), known(Length::mm(1.0)));
    for (d, want) in [(0.1, 0.38781), (0.3, 0.75732), (0.6, 1.0)] {
        assert!((wall.depth(Length::mm(d).unwrap()).to_mm() - want).abs() < 2e-4, "{d}");
    }
}

#[test]
fn an_exponent_outside_the_range_is_refused() {
    assert!(DistanceRule::new(0.9).is_err() && DistanceRule::new(f64::NAN).is_err());
}
