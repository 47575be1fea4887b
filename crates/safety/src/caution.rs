//! Cautions as data: the hazard, the harm, the act, in few words, each with its source and its step.

mod catalogue;

use crate::dust;
use crate::glazing::{Asked, asked};
use crate::handling::people;
use language::say;
use piece::PlaceKind;
use quantity::{Mass, Time};
use reference::{Abrasive, Family, Material, SoundLevel, Source};
use std::borrow::Cow;

/// One caution: what can hurt, how, and what to do.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Caution {
    /// Which caution it is; the words may differ with material and shop.
    pub kind: CautionKind,
    /// What can hurt.
    pub hazard: Cow<'static, str>,
    /// What it does to people.
    pub harm: Cow<'static, str>,
    /// What to do.
    pub act: Cow<'static, str>,
    /// Where it comes from.
    pub source: Source,
    /// When it matters.
    pub step: Step,
}

/// Every caution that there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum CautionKind {
    /// Crystalline silica in the blank.
    SilicaDust,
    /// Lead in the blank.
    LeadDust,
    /// Coating on the back of a mirror.
    Backing,
    /// Fine dust of any kind.
    FineDust,
    /// Nothing draws the dust off.
    NoCollector,
    /// Dust still in the cabinet when the blast stops.
    Door,
    /// Noise of the blast.
    Noise,
    /// Abrasive under pressure.
    Jet,
    /// Receiver and hoses under pressure.
    PressureVessel,
    /// Shop air led to a hood.
    BreathingAir,
    /// Static charge.
    Static,
    /// Cut edges of glass.
    GlassEdges,
    /// Lamp of the exposure unit.
    Uv,
    /// Washing out photo resist.
    Washout,
    /// Compressed air used for cleaning.
    CleaningAir,
    /// A carved pane where it can fall on people.
    WeakenedGlass,
    /// Blasting from inside a booth or tent.
    Booth,
    /// A blank that one person does not carry.
    HeavyBlank,
    /// A pane of a sealed unit.
    SealedUnit,
    /// A carved pane where safety glazing or a licensed professional is asked for.
    SafetyGlazing,
}

/// The step of the work that a caution belongs to, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Exposing photo resist.
    Expose,
    /// Washing it out.
    Washout,
    /// Handling and masking the blank.
    Prepare,
    /// Before the blast begins.
    BeforeBlast,
    /// While blasting.
    Blast,
    /// Opening the door.
    OpenDoor,
    /// Cleaning piece and cabinet.
    Clean,
    /// When the piece leaves the shop.
    HandOver,
}

impl Step {
    /// Every step, in the order of the work.
    pub const ALL: [Self; 8] = [
        Self::Expose,
        Self::Washout,
        Self::Prepare,
        Self::BeforeBlast,
        Self::Blast,
        Self::OpenDoor,
        Self::Clean,
        Self::HandOver,
    ];

    /// The step as a heading.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Expose => say!("At the exposure lamp"),
            Self::Washout => say!("At the washout"),
            Self::Prepare => say!("Handling the blank"),
            Self::BeforeBlast => say!("Before the blast"),
            Self::Blast => say!("While blasting"),
            Self::OpenDoor => say!("Before the door opens"),
            Self::Clean => say!("Cleaning"),
            Self::HandOver => say!("When it leaves the shop"),
        }
    }

    /// Whether its cautions are read and acknowledged before the nozzle opens for the first time.
    #[must_use]
    pub fn is_before_start(self) -> bool {
        matches!(self, Self::BeforeBlast | Self::Blast | Self::OpenDoor)
    }
}

/// Cautions under the steps that they belong to, in the order of the work: for a page, a sheet, the cabinet.
#[must_use]
pub fn by_step(cautions: &[Caution]) -> Vec<(Step, Vec<&Caution>)> {
    let at = |step: Step| (step, cautions.iter().filter(|caution| caution.step == step).collect::<Vec<_>>());
    Step::ALL.into_iter().map(at).filter(|(_, cautions)| !cautions.is_empty()).collect()
}

/// Cautions that somebody at the cabinet acknowledges before the first blast.
#[must_use]
pub fn before_start(cautions: &[Caution]) -> Vec<&Caution> {
    cautions.iter().filter(|caution| caution.step.is_before_start()).collect()
}

/// What cautions depend on.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The blank's material.
    pub material: &'a Material,
    /// The abrasive.
    pub abrasive: &'a Abrasive,
    /// Whether a collector draws on the cabinet.
    pub collector: bool,
    /// How long the door stays shut ([`crate::clearing::Clearing::door_wait`]); absent without a collector.
    pub door_wait: Option<Time>,
    /// Whether the resist is a film, exposed and washed out.
    pub photo_resist: bool,
    /// Whether a receiver or a pressure pot stands in the shop.
    pub pressure_vessel: bool,
    /// Whether the one who blasts breathes air led to a hood.
    pub supplied_air: bool,
    /// Noise at the one who blasts, as measured; absent: taken to be above the action level.
    pub noise: Option<SoundLevel>,
    /// Whether the one who blasts stands inside a booth or tent.
    pub entered: bool,
    /// What the blank weighs; absent: not known.
    pub mass: Option<Mass>,
    /// Whether the blank is a pane of a sealed unit.
    pub sealed: bool,
    /// Where the piece will stand; absent: not known.
    pub place: Option<PlaceKind>,
}

/// The caution of an exposure lamp, for those who only expose.
#[must_use]
pub fn lamp() -> Caution {
    catalogue::uv()
}

/// The cautions for these facts, in the order of the steps, dust first within a step.
#[must_use]
pub fn cautions(facts: &Facts<'_>) -> Vec<Caution> {
    let glass = facts.material.family == Family::Glass;
    let dusts = dust::freed(facts.material, facts.abrasive);
    let chosen = [
        dusts.iter().find_map(|dust| catalogue::silica_in_blank(dust, facts.material)),
        dusts.iter().find_map(|dust| catalogue::lead_in_blank(dust, facts.material)),
        facts.material.backing.as_ref().map(|backing| catalogue::behind_mirror(&backing.source)),
        facts.entered.then(catalogue::booth),
        Some(catalogue::fine_dust(facts.collector)),
        (!facts.collector).then(catalogue::no_collector),
        Some(catalogue::door(facts.door_wait)),
        catalogue::loud(facts.noise),
        Some(catalogue::jet()),
        facts.pressure_vessel.then(catalogue::pressure_vessel),
        facts.supplied_air.then(catalogue::breathing_air),
        Some(catalogue::charge()),
        glass.then(catalogue::glass_edges),
        facts.mass.filter(|mass| people(*mass) > 1).map(catalogue::heavy_blank),
        facts.sealed.then(catalogue::sealed_unit),
        facts.photo_resist.then(catalogue::uv),
        facts.photo_resist.then(catalogue::washout),
        Some(catalogue::cleaning_air()),
        glass.then(|| at_its_place(facts.place)),
    ];
    let mut cautions: Vec<Caution> = chosen.into_iter().flatten().collect();
    cautions.sort_by_key(|caution| caution.step);
    cautions
}

/// One caution for the pane where it will stand: of its place when that is one of those that law or code names.
fn at_its_place(place: Option<PlaceKind>) -> Caution {
    match place.map(|place| (place, asked(place))) {
        Some((place, Asked::Licensed(source))) => catalogue::safety_glazing(place, source),
        _ => catalogue::weakened_glass(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words;
    use language::Language;
    use reference::tables;
    use std::collections::BTreeSet;

    const QUIET: SoundLevel = quantity::known(SoundLevel::dba(80.0));

    fn facts<'a>(material: &str, abrasive: &str) -> Facts<'a> {
        Facts {
            material: tables().material(material).unwrap(),
            abrasive: tables().abrasive(abrasive).unwrap(),
            collector: true,
            door_wait: Some(Time::seconds(62.2).unwrap()),
            photo_resist: false,
            pressure_vessel: true,
            supplied_air: false,
            noise: Some(QUIET),
            entered: false,
            mass: None,
            sealed: false,
            place: None,
        }
    }

    fn kinds(facts: &Facts<'_>) -> BTreeSet<CautionKind> {
        cautions(facts).iter().map(|caution| caution.kind).collect()
    }

    fn one(facts: &Facts<'_>, kind: CautionKind) -> Caution {
        cautions(facts).into_iter().find(|caution| caution.kind == kind).unwrap()
    }

    fn plain(text: &str) -> String {
        text.replace('\u{202f}', " ")
    }

    /// Every combination of material, abrasive and shop.
    fn all() -> Vec<Caution> {
        let mut all = Vec::new();
        for material in &tables().materials {
            for abrasive in &tables().abrasives {
                for bits in 0..64 {
                    let has = |bit: u32| bits & (1 << bit) != 0;
                    all.extend(cautions(&Facts {
                        collector: has(0),
                        door_wait: has(0).then(|| Time::seconds(190.0).unwrap()),
                        photo_resist: has(1),
                        pressure_vessel: has(2),
                        supplied_air: has(3),
                        noise: has(4).then(|| SoundLevel::dba(112.0).unwrap()),
                        entered: has(3),
                        mass: has(5).then(|| Mass::kilograms(60.0).unwrap()),
                        sealed: has(5),
                        place: has(5).then_some(PlaceKind::Door),
                        ..facts(&material.id, &abrasive.id)
                    }));
                }
            }
        }
        all
    }

    #[test]
    fn stone_warns_of_silica_crystal_of_lead_and_plain_glass_of_neither() {
        use CautionKind::{Backing, LeadDust, SilicaDust};
        let of = |material| {
            let kinds = kinds(&facts(material, "white_alumina"));
            [SilicaDust, LeadDust, Backing].map(|kind| kinds.contains(&kind))
        };
        assert_eq!(of("granite"), [true, false, false]);
        assert_eq!(of("slate"), [true, false, false]);
        assert_eq!(of("lead_crystal"), [false, true, false]);
        assert_eq!(of("mirror"), [false, false, true]);
        assert_eq!(of("float_glass"), [false; 3]);
        assert_eq!(of("borosilicate"), [false; 3]);
    }

    #[test]
    fn the_dust_that_is_enough_is_worked_out_from_the_table() {
        // 25 µg/m³ (29 CFR 1910.1053) over 40 % quartz; process-checks.csv PBC-2 for lead: 0.224 mg/m³.
        let silica = one(&facts("granite", "white_alumina"), CautionKind::SilicaDust);
        assert!(plain(&silica.act).starts_with("62.5 µg/m³"), "{}", silica.act);
        assert_eq!(silica.hazard, "Carving granite frees crystalline silica (20 to 40 % of its dust).");
        let lead = one(&facts("lead_crystal", "white_alumina"), CautionKind::LeadDust);
        assert!(plain(&lead.act).starts_with("224 µg/m³"), "{}", lead.act);
        assert_eq!(lead.hazard, "Carving lead crystal (24 % PbO) frees lead (22 % of its dust).");
    }

    #[test]
    fn the_shop_chooses_its_cautions() {
        use CautionKind::{BreathingAir, NoCollector, Noise, PressureVessel, Uv, Washout};
        let base = facts("float_glass", "white_alumina");
        let has = |facts: Facts<'_>, kind| kinds(&facts).contains(&kind);
        assert!(!has(base, NoCollector) && has(Facts { collector: false, ..base }, NoCollector));
        assert!(!has(base, Uv) && has(Facts { photo_resist: true, ..base }, Uv));
        assert!(!has(base, Washout) && has(Facts { photo_resist: true, ..base }, Washout));
        assert!(has(base, PressureVessel) && !has(Facts { pressure_vessel: false, ..base }, PressureVessel));
        assert!(!has(base, BreathingAir) && has(Facts { supplied_air: true, ..base }, BreathingAir));
        assert!(!has(base, Noise) && has(Facts { noise: None, ..base }, Noise));
    }

    #[test]
    fn noise_that_was_not_measured_counts_as_loud_and_loud_noise_asks_for_more() {
        let act = |dba: f64| {
            let noise = SoundLevel::dba(dba).ok();
            one(&Facts { noise, ..facts("float_glass", "garnet") }, CautionKind::Noise).act
        };
        assert_eq!(act(85.0), "Wear ear protection.");
        assert_eq!(act(112.0), "Wear ear plugs and ear muffs together.");
        assert!(act(f64::NAN).contains("have the level measured"));
    }

    #[test]
    fn stone_has_no_glass_edges() {
        use CautionKind::{GlassEdges, WeakenedGlass};
        let (stone, glass) = (kinds(&facts("slate", "garnet")), kinds(&facts("float_glass", "garnet")));
        for kind in [GlassEdges, WeakenedGlass] {
            assert!(glass.contains(&kind) && !stone.contains(&kind));
        }
    }

    #[test]
    fn the_wait_at_the_door_is_rounded_up_to_the_second() {
        let base = facts("float_glass", "garnet");
        let act = one(&base, CautionKind::Door).act;
        assert_eq!(plain(&act), "Blast off, exhaust on: keep the door shut for 1 min 3 s.");
        let unknown = one(&Facts { door_wait: None, ..base }, CautionKind::Door).act;
        assert!(unknown.contains("not known"), "{unknown}");
    }

    #[test]
    fn booth_weight_sealed_unit_and_place_bring_their_own() {
        use CautionKind::{Booth, HeavyBlank, SafetyGlazing, SealedUnit, WeakenedGlass};
        let base = facts("float_glass", "garnet");
        let has = |facts: Facts<'_>, kind| kinds(&facts).contains(&kind);
        let kg = |kg| Mass::kilograms(kg).ok();
        assert!(!has(base, Booth) && has(Facts { entered: true, ..base }, Booth));
        assert!(
            !has(Facts { mass: kg(22.0), ..base }, HeavyBlank) && has(Facts { mass: kg(24.0), ..base }, HeavyBlank)
        );
        assert!(!has(base, SealedUnit) && has(Facts { sealed: true, ..base }, SealedUnit));
        let door = Facts { place: Some(PlaceKind::Door), ..base };
        assert!(has(door, SafetyGlazing) && !has(door, WeakenedGlass));
        let wall = Facts { place: Some(PlaceKind::Wall), ..base };
        assert!(has(wall, WeakenedGlass) && !has(wall, SafetyGlazing));
        let act = one(&Facts { mass: kg(60.0), ..base }, HeavyBlank).act;
        assert!(act.starts_with("3 people"), "{act}");
    }

    #[test]
    fn each_caution_stands_under_one_step_and_the_start_waits_for_some() {
        let cautions = cautions(&Facts { photo_resist: true, entered: true, ..facts("granite", "garnet") });
        let grouped = by_step(&cautions);
        assert_eq!(grouped.iter().map(|(_, of_step)| of_step.len()).sum::<usize>(), cautions.len());
        assert!(grouped.is_sorted_by_key(|(step, _)| *step));
        let waits: Vec<CautionKind> = before_start(&cautions).iter().map(|caution| caution.kind).collect();
        for kind in [CautionKind::SilicaDust, CautionKind::Booth, CautionKind::Jet, CautionKind::Door] {
            assert!(waits.contains(&kind), "{kind:?}");
        }
        assert!(!waits.contains(&CautionKind::Uv) && !waits.contains(&CautionKind::CleaningAir));
    }

    #[test]
    fn cautions_come_in_the_order_of_the_work() {
        let cautions = cautions(&Facts { photo_resist: true, ..facts("lead_crystal", "garnet") });
        assert!(cautions.is_sorted_by_key(|caution| caution.step));
        assert_eq!(cautions[0].kind, CautionKind::Uv);
    }

    #[test]
    fn every_caution_is_reachable_short_and_whole() {
        let all = all();
        assert_eq!(all.iter().map(|caution| caution.kind).collect::<BTreeSet<_>>().len(), 20);
        for caution in &all {
            for part in [&caution.hazard, &caution.harm, &caution.act] {
                assert!(part.ends_with('.') && !part.contains("  ") && !part.contains('!'), "{part}");
            }
            assert!(caution.hazard.chars().count() <= 100 && caution.harm.chars().count() <= 90, "{caution:?}");
            assert!(caution.act.chars().count() <= 200, "{}", caution.act);
        }
    }

    #[test]
    fn every_word_of_a_caution_comes_through_the_catalogue() {
        let none_outside = |text: &str| assert_eq!(words::outside_the_marks(text), "", "{text}");
        Language::Marked.scope(|| {
            for caution in all() {
                for part in [&caution.hazard, &caution.harm, &caution.act] {
                    none_outside(part);
                }
            }
            Step::ALL.into_iter().for_each(|step| none_outside(step.name()));
        });
    }

    #[test]
    fn a_caution_in_german_says_the_materials_german_name() {
        // The tables hold English names; a row whose dust is named in a caution is missed here, not by a reader.
        Language::German.scope(|| {
            for material in &tables().materials {
                let said = cautions(&facts(&material.id, "white_alumina"));
                let name = material.name.english().to_lowercase();
                let english = said.iter().find(|caution| caution.hazard.to_lowercase().contains(&format!(" {name} ")));
                assert_eq!(english, None, "{}", material.id);
            }
        });
        let granite = Language::German.scope(|| one(&facts("granite", "white_alumina"), CautionKind::SilicaDust));
        assert_eq!(plain(&granite.hazard), "Beim Strahlen von Granit wird Quarzstaub frei (20 bis 40 % des Staubs).");
        assert!(plain(&granite.act).starts_with("Schon 62,5 µg/m³"), "{}", granite.act);
    }

    #[test]
    fn no_caution_promises_what_cannot_be_promised() {
        for caution in all() {
            let text = format!("{} {} {} {}", caution.hazard, caution.harm, caution.act, caution.source);
            assert_eq!(words::promise_in(&text), None, "{text}");
        }
    }
}
