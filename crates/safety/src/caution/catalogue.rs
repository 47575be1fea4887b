//! The words of each caution.

use super::{Caution, CautionKind, Step};
use crate::dust::{Agent, Dust, Origin};
use crate::glazing::in_place;
use crate::handling::people;
use language::say;
use piece::PlaceKind;
use quantity::Mass;
use quantity::show::{clock, significant};
use quantity::{Fraction, Quantity, Time};
use reference::{Material, SoundLevel, Source, Span, tables};
use std::borrow::Cow;

pub(super) fn silica_in_blank(dust: &Dust, material: &Material) -> Option<Caution> {
    if dust.agent != Agent::CrystallineSilica || dust.origin != Origin::Blank {
        return None;
    }
    let act = match dust.carrying(dust.action?.value) {
        Some(enough) => say!(
            "{enough} of its respirable dust already carries silica at the action level. Collector on, respirator \
             on, have the air measured."
        ),
        None => say!("Collector on, respirator on, have the air measured.").to_owned(),
    };
    let material = named(material);
    let hazard = match percent(dust.share) {
        Some(share) => say!("Carving {material} frees crystalline silica ({share} % of its dust)."),
        None => say!("Carving {material} frees crystalline silica."),
    };
    Some(Caution {
        kind: CautionKind::SilicaDust,
        hazard: hazard.into(),
        harm: say!("It scars lungs for good.").into(),
        act: act.into(),
        source: Source::second_hand("29 CFR 1910.1053", "enforcement memorandum of 25 June 2018"),
        step: Step::BeforeBlast,
    })
}

pub(super) fn lead_in_blank(dust: &Dust, material: &Material) -> Option<Caution> {
    if dust.agent != Agent::Lead || dust.origin != Origin::Blank {
        return None;
    }
    let enough = dust.carrying(dust.limit.value)?;
    let material = named(material);
    let hazard = match percent(dust.share) {
        Some(share) => say!("Carving {material} frees lead ({share} % of its dust)."),
        None => say!("Carving {material} frees lead."),
    };
    Some(Caution {
        kind: CautionKind::LeadDust,
        hazard: hazard.into(),
        harm: say!("Lead harms nerves, blood and the unborn.").into(),
        act: say!(
            "{enough} of this dust already carries lead at its limit. Collector and respirator on; no food near; wash \
             hands; wash and wipe ware before use. Children and pregnant workers stay out."
        )
        .into(),
        source: Source::second_hand("29 CFR 1910.1025", "a state health department"),
        step: Step::BeforeBlast,
    })
}

pub(super) fn behind_mirror(source: &Source) -> Caution {
    Caution {
        kind: CautionKind::Backing,
        hazard: say!("The back of a mirror holds silver, sometimes copper, and paint that may hold lead.").into(),
        harm: say!("Lead harms nerves, blood and the unborn.").into(),
        act: say!("Carving the back: treat the paint as lead until it is tested.").into(),
        source: source.clone(),
        step: Step::BeforeBlast,
    }
}

pub(super) fn fine_dust(collector: bool) -> Caution {
    Caution {
        kind: CautionKind::FineDust,
        hazard: say!("Fine dust of blank and grit hangs in the air for hours.").into(),
        harm: say!("It irritates eyes and lungs.").into(),
        act: if collector {
            say!("Collector on before the blast; gloves and sleeves tight; eye protection.").into()
        } else {
            say!("Gloves and sleeves tight; eye protection.").into()
        },
        source: Source::computed("Stokes' law: 1 µm of glass falls 1.5 m in 5.5 h"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn no_collector() -> Caution {
    Caution {
        kind: CautionKind::NoCollector,
        hazard: say!("Nothing draws the dust off.").into(),
        harm: say!("The blast blows it out of every gap, into the room.").into(),
        act: say!("Do not blast before a collector draws on the cabinet.").into(),
        source: Source::second_hand("29 CFR 1910.94(a)", "Mich. R 325.50255, the same rule"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn door(wait: Option<Time>) -> Caution {
    let act = match wait {
        Some(wait) => say!("Blast off, exhaust on: keep the door shut for {}.", clock(rounded_up(wait))),
        None => say!(
            "Keep the door shut until the exhaust has cleared the cabinet; how long is not known without its flow."
        )
        .to_owned(),
    };
    Caution {
        kind: CautionKind::Door,
        hazard: say!("Dust stays in the cabinet after the blast; a clear view is not clean air.").into(),
        harm: say!("An open door lets it out at your face.").into(),
        act: act.into(),
        source: Source::seen("MMWR 28 Oct 1994", "Table S3-1, with a mixing factor of 3 by common practice"),
        step: Step::OpenDoor,
    }
}

/// A wait is told to the second, never shorter than it is.
fn rounded_up(wait: Time) -> Time {
    Time::clamped(wait.to_seconds().ceil())
}

pub(super) fn loud(measured: Option<SoundLevel>) -> Option<Caution> {
    let action = tables().limits.noise_action.value;
    if measured.is_some_and(|level| level < action) {
        return None;
    }
    let hazard = match measured {
        Some(level) => say!("The blast was measured at {level}."),
        None => say!("No noise level was measured here: take it to be above {action}."),
    };
    Some(Caution {
        kind: CautionKind::Noise,
        hazard: hazard.into(),
        harm: say!("Noise at this level takes hearing for good.").into(),
        act: act_on_noise(measured).into(),
        source: Source::seen("29 CFR 1910.95", "App A"),
        step: Step::Blast,
    })
}

/// Above this level one protector is not enough. Source: a naval coatings manual, read.
const DOUBLE_PROTECTION: SoundLevel = quantity::known(SoundLevel::dba(108.0));

fn act_on_noise(measured: Option<SoundLevel>) -> &'static str {
    match measured {
        Some(level) if level > DOUBLE_PROTECTION => say!("Wear ear plugs and ear muffs together."),
        Some(_) => say!("Wear ear protection."),
        None => say!("Wear ear protection; have the level measured."),
    }
}

pub(super) fn jet() -> Caution {
    Caution {
        kind: CautionKind::Jet,
        hazard: say!("The nozzle throws grit faster than you can move.").into(),
        harm: say!("It goes through skin and eyes.").into(),
        act: say!("Never point it at anyone. The valve shuts by itself when let go: never tie it open.").into(),
        source: Source::second_hand("29 CFR 1910.244(b)", "OSHA letter of 3 April 2000"),
        step: Step::Blast,
    }
}

pub(super) fn pressure_vessel() -> Caution {
    Caution {
        kind: CautionKind::PressureVessel,
        hazard: say!("Receiver, pot and hoses hold air under pressure.").into(),
        harm: say!("A part that bursts or a hose that whips can kill.").into(),
        act: say!(
            "Let the pressure off before opening. No valve between receiver and its relief valve; drain it; no welding \
              or drilling; lashings on hoses."
        )
        .into(),
        source: Source::second_hand("29 CFR 1910.169(b)(3)", "OSHA letter of 6 April 1981; lashings: EM 385-1-1 13.G"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn breathing_air() -> Caution {
    Caution {
        kind: CautionKind::BreathingAir,
        hazard: say!("Shop air is not breathing air: it may carry oil and carbon monoxide.").into(),
        harm: say!("Carbon monoxide kills without a smell.").into(),
        act: say!("Feed a hood with air of Grade D (CO at most 10 ppm), tested, from a line of its own.").into(),
        source: Source::seen("WAC 296-307-61605", "Grade D, CGA G-7.1"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn charge() -> Caution {
    Caution {
        kind: CautionKind::Static,
        hazard: say!("Dry blasting charges hose, film and hands.").into(),
        harm: say!("The spark makes you start with the nozzle in hand; it can light dust that burns.").into(),
        act: say!("Ground nozzle, cabinet and collector; use a conductive hose; no grit that burns.").into(),
        source: Source::CommonPractice,
        step: Step::BeforeBlast,
    }
}

pub(super) fn glass_edges() -> Caution {
    Caution {
        kind: CautionKind::GlassEdges,
        hazard: say!("Edges of cut glass are sharp, and a pane can break in the hand.").into(),
        harm: say!("They cut to the bone.").into(),
        act: say!("Wear cut-resistant gloves; take the edge off first; carry a pane upright.").into(),
        source: Source::CommonPractice,
        step: Step::Prepare,
    }
}

pub(super) fn uv() -> Caution {
    Caution {
        kind: CautionKind::Uv,
        hazard: say!("The exposure lamp gives ultraviolet light.").into(),
        harm: say!("It burns eyes and skin before you feel it.").into(),
        act: say!("Close the lid before the lamp lights; do not look at it; cover skin.").into(),
        source: Source::CommonPractice,
        step: Step::Expose,
    }
}

pub(super) fn washout() -> Caution {
    Caution {
        kind: CautionKind::Washout,
        hazard: say!("Washed-out film and spray get on skin; the floor gets wet.").into(),
        harm: say!("Film that is not cured irritates skin; a wet floor throws you; water meets the mains.").into(),
        act: say!("Wear gloves and eye protection; wipe up; keep lamp, plugs and washout apart.").into(),
        source: Source::CommonPractice,
        step: Step::Washout,
    }
}

pub(super) fn cleaning_air() -> Caution {
    let limit = tables().limits.cleaning_air.value;
    Caution {
        kind: CautionKind::CleaningAir,
        hazard: say!("Blowing off with compressed air throws chips and dust.").into(),
        harm: say!("Chips blind; air under the skin can kill.").into(),
        act: say!(
            "Below {} ({} psi) at a blocked nozzle, with a chip guard; never at people or clothes. Better: vacuum.",
            limit,
            significant(limit.to_psi(), 2)
        )
        .into(),
        source: tables().limits.cleaning_air.source.clone(),
        step: Step::Clean,
    }
}

pub(super) fn weakened_glass() -> Caution {
    Caution {
        kind: CautionKind::WeakenedGlass,
        hazard: say!("Carved glass is weaker, and no published table covers it.").into(),
        harm: say!("A pane that breaks cuts whoever is under or beside it.").into(),
        act: say!(
            "Doors, baths, guards, stairs, floors, overhead, aquaria, heat: stop, and ask a licensed professional; \
              local code decides."
        )
        .into(),
        source: Source::second_hand("ASTM E1300, scope", "course slides on E1300: etched and blasted glass left out"),
        step: Step::HandOver,
    }
}

pub(super) fn booth() -> Caution {
    Caution {
        kind: CautionKind::Booth,
        hazard: say!("You breathe the booth's air while you blast in it.").into(),
        harm: say!("Its dust is far denser than at a cabinet, and you cannot see the door.").into(),
        act: say!("Wear a blast hood on an airline of Grade D; exhaust on before you go in; somebody outside watches.")
            .into(),
        source: Source::second_hand("29 CFR 1910.94(a)", "training slides: blast respirators inside rooms"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn heavy_blank(mass: Mass) -> Caution {
    Caution {
        kind: CautionKind::HeavyBlank,
        hazard: say!("The blank weighs {mass}.").into(),
        harm: say!("It crushes feet, and a back gives way before an arm does.").into(),
        act: say!("{} people, or a lift; upright, way cleared, gloves and shoes on.", people(mass)).into(),
        source: tables().limits.lift_one_person.source.clone(),
        step: Step::Prepare,
    }
}

pub(super) fn sealed_unit() -> Caution {
    Caution {
        kind: CautionKind::SealedUnit,
        hazard: say!("A sealed unit bends its panes with every change of weather.").into(),
        harm: say!("A carved pane of it can burst without a touch.").into(),
        act: say!("Carve a single pane before the unit is made, with its maker's word.").into(),
        source: Source::CommonPractice,
        step: Step::Prepare,
    }
}

pub(super) fn safety_glazing(place: PlaceKind, source: Source) -> Caution {
    Caution {
        kind: CautionKind::SafetyGlazing,
        hazard: say!("This glass is meant to stand {}.", in_place(place)).into(),
        harm: say!("Carved annealed glass breaks into blades, under less than it bore before.").into(),
        act: say!(
            "Stop: ask a licensed professional and local code. Safety glazing that was tested and then carved is no \
              longer what was tested."
        )
        .into(),
        source,
        step: Step::HandOver,
    }
}

/// The name inside a sentence: `lead crystal (24 % PbO)`.
///
/// Within a sentence an English name begins small: the names of these are sentences of their own.
fn named(material: &Material) -> Cow<'static, str> {
    match material.id.as_str() {
        "granite" => say!("granite").into(),
        "marble" => say!("marble").into(),
        "slate" => say!("slate").into(),
        "lead_crystal" => say!("lead crystal (24 % PbO)").into(),
        _ => material.name.english().to_lowercase().into(),
    }
}

/// `20 to 40`, or nothing when the share is not known.
fn percent(share: Option<Span<Fraction>>) -> Option<String> {
    let Span { low, high } = share?;
    let [low, high] = [low, high].map(|share| significant(share.to_base() * 100.0, 2));
    Some(if low == high { high } else { say!("{low} to {high}") })
}
