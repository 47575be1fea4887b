//! Dusts that carving frees, their limits, and what a respirator takes off them.
//!
//! Glass is amorphous and stone is not: crystalline silica comes from granite, slate and sand, not
//! from the SiO₂ of window glass.

use language::say;
use quantity::{Fraction, Quantity, Time};
use reference::{Abrasive, Concentration, DustClass, Family, Limit, Material, Respirator, Span, tables};

/// A dust that carving frees, with the limits that it falls under.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dust {
    /// What the limit is about.
    pub agent: Agent,
    /// Where it comes from.
    pub origin: Origin,
    /// Share of the agent in the dust of its origin, by mass. Absent when it is not known.
    pub share: Option<Span<Fraction>>,
    /// The limit of the agent itself, over 8 hours.
    pub limit: &'static Limit<Concentration>,
    /// The level from which an employer must act, where there is one.
    pub action: Option<&'static Limit<Concentration>>,
}

/// What a limit is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Agent {
    /// Respirable crystalline silica.
    CrystallineSilica,
    /// Lead.
    Lead,
    /// Alumina, its respirable part.
    Alumina,
    /// Silicon carbide, its respirable part.
    SiliconCarbide,
    /// Dust without a limit of its own, its respirable part.
    Nuisance,
}

/// Where a dust comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The blank itself.
    Blank,
    /// The coating on the back of the blank.
    Backing,
    /// The abrasive.
    Abrasive,
}

/// Why an exposure cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DustError {
    /// The spans of a day are longer than a day.
    #[error("{}", say!("the spans add up to {hours:.1} h; a day has 24: leave out what belongs to another day"))]
    LongerThanADay {
        /// Sum of the spans.
        hours: f64,
    },
    /// The average is beyond any dust in air.
    #[error("{}", say!("the average exposure is beyond what air can carry: check the concentrations"))]
    TooDense,
    /// A limit of zero cannot be divided by.
    #[error("{}", say!("a limit of zero cannot be compared with: give the limit of each dust"))]
    ZeroLimit,
}

/// The dusts that carving this material with this abrasive frees, the blank's first.
///
/// How blank and abrasive mix in the air is not known: compare all of the dust with each
/// ([`Dust::carrying`]), as if it were all from there. Free silica of an abrasive counts above the
/// share that a label must name. The back of a mirror counts as if it were carved: leave
/// [`Origin::Backing`] out when only the face is.
#[must_use]
pub fn freed(material: &Material, abrasive: &Abrasive) -> Vec<Dust> {
    let limits = &tables().limits;
    let lead = |origin, share| Dust {
        agent: Agent::Lead,
        origin,
        share,
        limit: &limits.lead_pel,
        action: Some(&limits.lead_action),
    };
    let mut dusts = Vec::new();
    dusts.extend(material.crystalline_silica.as_ref().map(|share| silica(Origin::Blank, share.value)));
    dusts.extend(material.lead_oxide.as_ref().map(|oxide| {
        let share = lead_share(oxide.value);
        lead(Origin::Blank, Some(Span { low: share, high: share }))
    }));
    if material.family == Family::Glass {
        dusts.push(bare(Agent::Nuisance, Origin::Blank, &limits.nuisance_respirable));
    }
    dusts.extend(material.backing.as_ref().map(|_| lead(Origin::Backing, None)));
    dusts.push(own_dust(abrasive));
    if abrasive.dust != DustClass::Silica && abrasive.free_silica_max.value > limits.silica_label.value {
        dusts.push(silica(Origin::Abrasive, Span { low: NONE, high: abrasive.free_silica_max.value }));
    }
    dusts
}

const NONE: Fraction = quantity::known(Fraction::ratio(0.0));
const ALL: Fraction = quantity::known(Fraction::ratio(1.0));

fn own_dust(abrasive: &Abrasive) -> Dust {
    let limits = &tables().limits;
    match abrasive.dust {
        DustClass::Alumina => bare(Agent::Alumina, Origin::Abrasive, &limits.alumina_respirable),
        DustClass::SiliconCarbide => bare(Agent::SiliconCarbide, Origin::Abrasive, &limits.silicon_carbide_respirable),
        DustClass::Nuisance => bare(Agent::Nuisance, Origin::Abrasive, &limits.nuisance_respirable),
        DustClass::Silica => silica(Origin::Abrasive, Span { low: NONE, high: abrasive.free_silica_max.value }),
    }
}

fn silica(origin: Origin, share: Span<Fraction>) -> Dust {
    let limits = &tables().limits;
    let (limit, action) = (&limits.rcs_pel, Some(&limits.rcs_action));
    Dust { agent: Agent::CrystallineSilica, origin, share: Some(share), limit, action }
}

/// A dust that is its agent through and through.
fn bare(agent: Agent, origin: Origin, limit: &'static Limit<Concentration>) -> Dust {
    Dust { agent, origin, share: Some(Span { low: ALL, high: ALL }), limit, action: None }
}

impl Dust {
    /// The least dust of this origin that carries `level` of the agent: [`carrying`] at the highest
    /// share. `None` when the share is not known, or when no dust in air carries so much.
    #[must_use]
    pub fn carrying(&self, level: Concentration) -> Option<Concentration> {
        carrying(level, self.share?.high)
    }
}

/// The dust whose limit is reached first as the air gets thicker; dust of unknown share comes first
/// of all.
#[must_use]
pub fn governing(dusts: &[Dust]) -> Option<&Dust> {
    let reached = |dust: &Dust| match dust.share {
        None => 0.0,
        Some(_) => dust.carrying(dust.limit.value).map_or(f64::INFINITY, Quantity::to_base),
    };
    dusts.iter().min_by(|a, b| reached(a).total_cmp(&reached(b)))
}

/// Dust that reaches a limit of one of its parts: `C = L / w`.
///
/// * `limit`: L, of the part. * `share`: w, of the part in the dust, by mass.
///
/// Respirable dust goes with respirable limits, all of the dust with total ones.
/// Source: a mass balance. Checked: 25 µg/m³ at 30 % quartz is 83.3 µg/m³.
/// `None` when the answer is above 1 kg/m³: no dust in air carries so much.
#[must_use]
pub fn carrying(limit: Concentration, share: Fraction) -> Option<Concentration> {
    Concentration::mg_per_m3(limit.to_mg_per_m3() / share.to_ratio()).ok()
}

/// Lead in a glass by mass: `w(Pb) = w(PbO) * 207.2 / 223.2`, the ratio of the molar masses.
///
/// Source: stoichiometry. Checked: 24 % PbO holds 22.28 % lead.
#[must_use]
pub fn lead_share(oxide: Fraction) -> Fraction {
    Fraction::clamped(oxide.to_ratio() * 207.2 / 223.2)
}

/// Eight-hour average exposure of a day: `E = Σ C T / 8 h`, divided by 8 h however long the shift.
///
/// * `spans`: concentration where one breathes, and how long; what is left out counts as clean.
///
/// Source: 29 CFR 1915.1000(d)(1), read; 1910.1000(d)(1) has the same form, from memory.
/// Checked: 1.5 h at 120, 2 h at 30 and 4.5 h at 5 µg/m³ are 32.8 µg/m³.
///
/// # Errors
/// [`DustError::LongerThanADay`] when the spans exceed 24 h; [`DustError::TooDense`] above 1 kg/m³.
pub fn eight_hour_average(spans: &[(Concentration, Time)]) -> Result<Concentration, DustError> {
    let hours: f64 = spans.iter().map(|(_, time)| time.to_hours()).sum();
    if hours > 24.0 {
        return Err(DustError::LongerThanADay { hours });
    }
    let dose: f64 = spans.iter().map(|(dust, time)| dust.to_mg_per_m3() * time.to_hours()).sum();
    Concentration::mg_per_m3(dose / 8.0).map_err(|_| DustError::TooDense)
}

/// Limit of lead for a shift longer than 8 h: `400 / h` in µg/m³; for others the 8-hour limit.
///
/// Source: 29 CFR 1910.1025(c)(2), second-hand from a state health department.
/// Checked: 40 µg/m³ for 10 h.
#[must_use]
pub fn lead_limit(shift: Time) -> Concentration {
    let eight_hours = tables().limits.lead_pel.value;
    let hours = shift.to_hours();
    if hours <= 8.0 { eight_hours } else { Concentration::clamped(0.4 / hours) }
}

/// Exposure to several dusts that harm alike, over their limits: `Σ C_i / L_i`, to be 1 or less.
///
/// * `parts`: concentration and limit of each.
///
/// Source: 29 CFR 1910.1000(d)(2), from memory. Checked: alumina 2 of 5 mg/m³ with silica 20 of
/// 50 µg/m³ is 0.8.
///
/// # Errors
/// [`DustError::ZeroLimit`] when a limit is zero.
pub fn mixture_ratio(parts: &[(Concentration, Concentration)]) -> Result<f64, DustError> {
    if parts.iter().any(|(_, limit)| limit.to_mg_per_m3() == 0.0) {
        return Err(DustError::ZeroLimit);
    }
    Ok(parts.iter().map(|(dust, limit)| dust.to_mg_per_m3() / limit.to_mg_per_m3()).sum())
}

/// Maximum use concentration of a respirator, `MUC = APF * limit`.
///
/// Source: 29 CFR 1910.134(d)(3)(i)(A), second-hand. Checked: 25 at 50 µg/m³ is 1250 µg/m³.
#[must_use]
pub fn maximum_use(respirator: Respirator, limit: Concentration) -> Concentration {
    Concentration::clamped(limit.to_mg_per_m3() * respirator.factor())
}

/// Least protection factor that brings `dust` down to `limit`: `APF = C / L`.
///
/// Source: the definition of the factor. Checked: 3 mg/m³ at a limit of 0.05 mg/m³ needs 60.
///
/// # Errors
/// [`DustError::ZeroLimit`] when the limit is zero.
pub fn factor_needed(dust: Concentration, limit: Concentration) -> Result<f64, DustError> {
    mixture_ratio(&[(dust, limit)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ug(value: f64) -> Concentration {
        Concentration::ug_per_m3(value).unwrap()
    }

    fn percent(value: f64) -> Fraction {
        Fraction::percent(value).unwrap()
    }

    #[track_caller]
    fn check(have: f64, want: f64, tolerance: f64) {
        assert!((have / want - 1.0).abs() <= tolerance, "{have} is not {want}");
    }

    fn average(spans: &[(f64, f64)]) -> f64 {
        let spans: Vec<_> = spans.iter().map(|&(dust, minutes)| (ug(dust), Time::minutes(minutes).unwrap())).collect();
        eight_hour_average(&spans).unwrap().to_ug_per_m3()
    }

    #[test]
    fn a_days_average_is_that_of_29_cfr_1915_1000_d_1() {
        check(average(&[(120.0, 90.0), (30.0, 120.0), (5.0, 270.0)]), 32.8125, 1e-3); // TWA-1
        check(average(&[(40.0, 600.0)]), 50.0, 1e-3); // TWA-2: 10 h, still over 8
        check(average(&[(1500.0, 20.0), (3.0, 460.0)]), 65.375, 1e-3); // TWA-4
    }

    #[test]
    fn a_day_of_25_hours_is_refused() {
        let fault = eight_hour_average(&[(ug(1.0), Time::hours(25.0).unwrap())]).unwrap_err();
        assert_eq!(fault, DustError::LongerThanADay { hours: 25.0 });
    }

    #[test]
    fn dust_that_carries_a_limit_follows_from_the_share() {
        let rcs_action = tables().limits.rcs_action.value; // 29 CFR 1910.1053(b)
        check(carrying(rcs_action, percent(30.0)).unwrap().to_ug_per_m3(), 83.3333, 1e-3); // STN-2
        check(carrying(rcs_action, percent(70.0)).unwrap().to_ug_per_m3(), 35.7143, 1e-3); // STN-3
        let limits = &tables().limits; // beryllium: 29 CFR 1910.1024
        check(carrying(limits.beryllium_pel.value, percent(10e-4)).unwrap().to_mg_per_m3(), 20.0, 1e-3); // BE-1
        check(carrying(limits.beryllium_action.value, percent(1e-4)).unwrap().to_mg_per_m3(), 100.0, 1e-3); // BE-2
        assert_eq!(carrying(rcs_action, NONE), None);
    }

    #[test]
    fn lead_in_crystal_follows_29_cfr_1910_1025() {
        let share = lead_share(percent(24.0));
        check(share.to_ratio(), 0.222_796, 2e-3); // PBC-1
        let limits = &tables().limits;
        check(carrying(limits.lead_pel.value, share).unwrap().to_mg_per_m3(), 0.224_421, 3e-3); // PBC-2
        check(carrying(limits.lead_action.value, share).unwrap().to_mg_per_m3(), 0.134_653, 3e-3); // PBC-3
        check(lead_limit(Time::hours(10.0).unwrap()).to_ug_per_m3(), 40.0, 1e-12); // PBC-4
        check(lead_limit(Time::hours(6.0).unwrap()).to_ug_per_m3(), 50.0, 1e-12);
    }

    #[test]
    fn a_mixture_is_judged_as_29_cfr_1910_1000_d_2_does() {
        let mg = |value| Concentration::mg_per_m3(value).unwrap();
        check(mixture_ratio(&[(mg(2.0), mg(5.0)), (ug(20.0), ug(50.0))]).unwrap(), 0.8, 1e-12); // MIX-1
        assert_eq!(mixture_ratio(&[(mg(1.0), mg(0.0))]), Err(DustError::ZeroLimit));
    }

    #[test]
    fn respirators_protect_as_29_cfr_1910_134_table_1_assigns() {
        let rcs = tables().limits.rcs_pel.value;
        check(maximum_use(Respirator::Hood, rcs).to_ug_per_m3(), 1250.0, 1e-12); // APF-2
        check(maximum_use(Respirator::FullFace, rcs).to_ug_per_m3(), 2500.0, 1e-12); // APF-3
        check(maximum_use(Respirator::FullFaceAirline, rcs).to_ug_per_m3(), 50_000.0, 1e-12); // APF-4
        let needed = factor_needed(Concentration::mg_per_m3(3.0).unwrap(), rcs).unwrap();
        check(needed, 60.0, 1e-12); // APF-5
        let enough: Vec<_> = Respirator::ALL.into_iter().filter(|mask| mask.factor() >= needed).collect();
        assert_eq!(enough, [Respirator::HoodTested, Respirator::FullFaceAirline]);
    }

    fn agents(material: &str, abrasive: &str) -> Vec<(Agent, Origin)> {
        let t = tables();
        let dusts = freed(t.material(material).unwrap(), t.abrasive(abrasive).unwrap());
        dusts.iter().map(|dust| (dust.agent, dust.origin)).collect()
    }

    #[test]
    fn stone_frees_silica_and_window_glass_does_not() {
        use Agent::{Alumina, CrystallineSilica, Nuisance};
        use Origin::{Abrasive, Blank};
        assert_eq!(agents("granite", "white_alumina"), [(CrystallineSilica, Blank), (Alumina, Abrasive)]);
        assert_eq!(agents("float_glass", "white_alumina"), [(Nuisance, Blank), (Alumina, Abrasive)]);
        assert!(agents("float_glass", "garnet").contains(&(CrystallineSilica, Abrasive)));
        assert_eq!(agents("granite", "silica_sand"), [(CrystallineSilica, Blank), (CrystallineSilica, Abrasive)]);
    }

    #[test]
    fn crystal_frees_lead_and_a_mirrors_back_may() {
        assert!(agents("lead_crystal", "white_alumina").contains(&(Agent::Lead, Origin::Blank)));
        assert!(agents("mirror", "white_alumina").contains(&(Agent::Lead, Origin::Backing)));
        assert!(!agents("borosilicate", "white_alumina").iter().any(|(agent, _)| *agent == Agent::Lead));
    }

    fn governed(material: &str, abrasive: &str) -> Agent {
        let t = tables();
        governing(&freed(t.material(material).unwrap(), t.abrasive(abrasive).unwrap())).unwrap().agent
    }

    #[test]
    fn the_dust_that_reaches_its_limit_first_governs() {
        assert_eq!(governed("granite", "white_alumina"), Agent::CrystallineSilica); // 125 of 5000 µg/m³
        assert_eq!(governed("lead_crystal", "white_alumina"), Agent::Lead); // 224 of 5000 µg/m³
        assert_eq!(governed("mirror", "white_alumina"), Agent::Lead); // not known, so first
        assert_eq!(governed("float_glass", "brown_alumina"), Agent::Nuisance); // silica only at 10 mg/m³
        assert_eq!(governing(&[]), None);
    }

    proptest! {
        #[test]
        fn more_of_the_agent_in_the_dust_never_allows_more_dust(a in 0.001..1.0, b in 0.001..1.0) {
            let at = |share: f64| carrying(ug(25.0), Fraction::ratio(share).unwrap()).unwrap();
            prop_assert!(at(f64::max(a, b)) <= at(f64::min(a, b)));
        }

        #[test]
        fn an_average_does_not_depend_on_the_order_or_on_how_a_span_is_cut(
            dust in 0.0..5000.0, other in 0.0..5000.0, minutes in 0.0..600.0, cut in 0.0..1.0,
        ) {
            let whole = average(&[(dust, minutes), (other, 60.0)]);
            let cut = average(&[(other, 60.0), (dust, minutes * cut), (dust, minutes * (1.0 - cut))]);
            prop_assert!((whole - cut).abs() <= 1e-9 * whole.max(1.0));
        }
    }
}
