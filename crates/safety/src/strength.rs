//! Strength figures that a carved pane's stress is set beside: a screening, never a design.
//!
//! Every published table leaves blasted glass out (ASTM E1300, by course slides; EN 1863-1 and EN 13024-1 for
//! glass blasted after toughening), so the figure for evenly frosted glass is the nearest there is. It is meant
//! for frosting, not for relief.

use quantity::{Fraction, Length, Quantity as _, Time};
use reference::{Stress, TemperatureStep, Toughness, tables};

/// How long a load acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Duration {
    /// This long.
    Of(Time),
    /// For good: own weight, what stands on a shelf.
    Lasting,
}

/// Share of its strength that glass keeps under a load of a duration.
///
/// `k = 0.663 h^(-1/16)`, h in hours, no more than 1; 0.29 for good.
///
/// Source: EN 16612, formula from memory; 0.89 at 30 s and 0.69 at 30 min seen in a page that quotes it.
/// Checked: 30 s is 0.894.
#[must_use]
pub fn duration_factor(duration: Duration) -> f64 {
    match duration {
        Duration::Lasting => tables().limits.glass_lasting.value,
        // A second is the shortest that the formula is asked for.
        Duration::Of(time) => (0.663 * (time.to_seconds().max(1.0) / 3600.0).powf(-1.0 / 16.0)).min(1.0),
    }
}

/// What annealed glass is allowed under a load: `f = k_mod k_sp 45 MPa / 1.8`.
///
/// * `factor`: [`duration_factor`]. * `surface`: k_sp, 1 as made, 0.6 evenly frosted by blasting.
///
/// Source: EN 16612; k_sp and 1.8 from memory, nations differ. Checked: 0.29 blasted is 4.35 MPa.
#[must_use]
pub fn allowed(factor: f64, surface: Fraction) -> Stress {
    let limits = &tables().limits;
    let strength = limits.glass_strength.value.to_pascals();
    Stress::clamped(factor * surface.to_ratio() * strength / limits.glass_partial_factor.value)
}

/// A load's stress in the pane as it was before carving, with how long it acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadStress {
    /// Greatest stress in the uncarved pane.
    pub stress: Stress,
    /// How long.
    pub duration: Duration,
}

/// Stress of a carved pane beside the figure for frosted glass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screened {
    /// Stress as if all of it were carved to the depth, all loads brought to the duration of the one that
    /// uses most.
    pub stress: Stress,
    /// What evenly frosted glass is allowed under that load.
    pub allowed: Stress,
    /// The first over the second.
    pub used: f64,
    /// The deepest even carving at which they are equal; zero when the uncarved pane is over it.
    pub deepest: Length,
}

/// Screens a pane carved to a depth.
///
/// `used = Σ σ_i / f_i · (t/(t - d))²`, and `deepest = t (1 - √(Σ σ_i / f_i))`.
///
/// * σ: stress of each load in the uncarved pane. * f: [`allowed`], blasted. * t: thickness. * d: depth.
///
/// Range: all of the face at one depth, which is worse than lines of it; corners and V bottoms are worse still
/// ([`notch`]) and not in it. Adding the shares of loads of unlike duration is our judgement.
/// `None` when nothing is left of the pane, or no load was given.
#[must_use]
pub fn screen(loads: &[LoadStress], depth: Length, thickness: Length) -> Option<Screened> {
    let multiplier = crate::thickness::stress_multiplier(depth, thickness)?;
    let allowed_for = |load: &LoadStress| allowed(duration_factor(load.duration), tables().limits.glass_blasted.value);
    let share = |load: &LoadStress| load.stress.to_pascals() / allowed_for(load).to_pascals();
    let most = loads.iter().max_by(|a, b| share(a).total_cmp(&share(b)))?;
    let uncarved: f64 = loads.iter().map(share).sum();
    let (used, allowed) = (uncarved * multiplier, allowed_for(most));
    Some(Screened {
        stress: Stress::clamped(used * allowed.to_pascals()),
        allowed,
        used,
        deepest: Length::clamped(thickness.to_metres() * (1.0 - uncarved.sqrt())),
    })
}

/// How many times a sharp groove multiplies stress: `K = 1 + 2 √(d/ρ)`.
///
/// * d: depth. * ρ: radius of its root.
///
/// Range: a shallow notch in tension; an upper bound in bending. A warning's size, not a factor to design with:
/// the root of a blasted groove is round and its radius is not known.
/// Source: Inglis 1913, from memory. Checked: 3 mm deep with 0.5 mm is 5.9.
#[must_use]
pub fn notch(depth: Length, root: Length) -> f64 {
    1.0 + 2.0 * (depth.to_metres() / root.to_metres().max(1e-6)).sqrt()
}

/// Stress at which a surface crack runs: `σ = K_IC / (Y √(πa))`.
///
/// * `flaw`: a, its depth. * `shape`: Y, 1.12 for a long edge crack, 0.713 for a half-penny.
///
/// Range: short, dry loading; measured strengths of blasted glass lie under it (9.6 MPa for a defect of 468 µm,
/// Faci et al., Pramana 96, 2022, abstract read). Source: fracture mechanics, K_IC seen, Y from memory.
/// Checked: 0.75 MPa√m and 100 µm are 37.8 MPa.
#[must_use]
pub fn flaw_strength(toughness: Toughness, flaw: Length, shape: f64) -> Stress {
    let metres = flaw.to_metres().max(1e-9);
    Stress::clamped(toughness.to_mpa_root_metre() * 1e6 / (shape * (std::f64::consts::PI * metres).sqrt()))
}

/// Sudden difference of temperature that brings a surface to a stress: `ΔT = σ (1 - ν) / (E α)`.
///
/// * `expansion_per_k`: α, for each kelvin.
///
/// Range: a surface chilled at once; slower is milder. Source: thermal stress, from memory.
/// Checked: soda-lime glass at 45 MPa is 57 K.
#[must_use]
pub fn shock(stress: Stress, modulus: Stress, poisson: f64, expansion_per_k: f64) -> TemperatureStep {
    let strain = stress.to_pascals() * (1.0 - poisson) / modulus.to_pascals().max(1.0);
    TemperatureStep::clamped(strain / expansion_per_k.max(1e-12))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn load(mpa: f64, duration: Duration) -> LoadStress {
        LoadStress { stress: Stress::mpa(mpa).unwrap(), duration }
    }

    #[test]
    fn a_shelf_of_a_metre_is_over_what_frosted_glass_is_allowed() {
        // PL2-1 against FGD-S-prm: 5.625 MPa over 4.35 MPa, before anything is carved.
        let screened = screen(&[load(5.625, Duration::Lasting)], mm(0.0), mm(10.0)).unwrap();
        assert!((screened.used - 5.625 / 4.35).abs() < 1e-9);
        assert_eq!(screened.deepest, mm(0.0));
    }

    #[test]
    fn shares_of_unlike_loads_are_added() {
        let push = Duration::Of(Time::seconds(30.0).unwrap());
        let both = screen(&[load(2.0, push), load(1.0, Duration::Lasting)], mm(2.0), mm(10.0)).unwrap();
        let alone = |l| screen(&[l], mm(2.0), mm(10.0)).unwrap().used;
        assert!((both.used - alone(load(2.0, push)) - alone(load(1.0, Duration::Lasting))).abs() < 1e-12);
        assert_eq!(screen(&[], mm(2.0), mm(10.0)), None);
        assert_eq!(screen(&[load(1.0, push)], mm(10.0), mm(10.0)), None);
    }

    proptest! {
        #[test]
        fn at_the_deepest_carving_stress_meets_what_is_allowed(mpa in 0.05..4.3, thickness in 3.0..25.0) {
            let loads = [load(mpa, Duration::Lasting)];
            let deepest = screen(&loads, mm(0.0), mm(thickness)).unwrap().deepest;
            let there = screen(&loads, deepest, mm(thickness)).unwrap();
            prop_assert!((there.used - 1.0).abs() < 1e-9);
            prop_assert!((there.stress.to_mpa() / there.allowed.to_mpa() - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_longer_load_is_never_allowed_more(a in 1.0..1e7, b in 1.0..1e7) {
            let factor = |s: f64| duration_factor(Duration::Of(Time::seconds(s).unwrap()));
            prop_assert!(factor(f64::max(a, b)) <= factor(f64::min(a, b)));
        }
    }
}
