//! The look of the ground, and grades.

use carve::coverage::{frosted, grit_for_g_m2, roughness};
use carve::grain::Grain;
use carve::inverse::shade::transmission;
use carve::model::Prior;
use quantity::{Density, Diameter, Fraction};

fn alumina() -> Grain {
    Grain { size: Diameter::um(30.0).unwrap(), density: Density::kg_per_cubic_metre(3950.0).unwrap() }
}

/// Derived, section 5: n A = 3.9 frosts 0.980; 0.31 kg/m² of 30 µm alumina.
#[test]
fn poisson_coverage() {
    let grams = grit_for_g_m2(alumina(), Fraction::ratio(1.0 - (-3.9f64).exp()).unwrap()).unwrap();
    assert!((grams / 310.0 - 1.0).abs() < 0.01, "{grams}");
    assert!((frosted(alumina(), grams).to_ratio() - 0.980).abs() < 1e-3);
}

/// Wensink et al. 2002, J. Micromech. Microeng. 12:616, abstract (seen): Ra 1 to 2.5 µm at about 30 µm alumina.
#[test]
fn roughness_of_blasted_glass() {
    let ra = roughness(Diameter::um(30.0).unwrap(), &Prior::default().samples(200)).unwrap();
    assert!((1.0..=2.5).contains(&ra.mid().to_um()), "{}", ra.mid().to_um());
}

/// Impact-angle study of soda-lime glass, abstract (seen): transmission falls to about half and stays there; ±15 %.
#[test]
fn transmission_after_long_blasting() {
    assert!((transmission(frosted(alumina(), 5000.0)) / 0.5 - 1.0).abs() < 0.15);
}

/// FEPA 42 and ISO 8486, from memory (limits of F220 second-hand): medians within a tenth.
#[test]
fn grades() {
    for (name, low, high) in [("F220", 53.0, 58.0), ("F320", 29.2, 29.2), ("F400", 17.3, 17.3)] {
        let median = reference::tables().grit(name).unwrap().d50.value.mid().to_um();
        assert!((0.9 * low..=1.1 * high).contains(&median), "{name}: {median}");
    }
}
