//! The words of each caution.

use super::{Caution, CautionKind, Step};
use crate::dust::{Agent, Dust, Origin};
use crate::glazing::in_place;
use crate::handling::people;
use piece::PlaceKind;
use quantity::Mass;
use quantity::show::{clock, significant};
use quantity::{Fraction, Quantity, Time};
use reference::{Material, SoundLevel, Source, Span, tables};

pub(super) fn silica_in_blank(dust: &Dust, material: &Material) -> Option<Caution> {
    if dust.agent != Agent::CrystallineSilica || dust.origin != Origin::Blank {
        return None;
    }
    let act = match dust.carrying(dust.action?.value) {
        Some(enough) => format!(
            "{enough} of its respirable dust already carries silica at the action level. Collector on, respirator \
             on, have the air measured."
        ),
        None => "Collector on, respirator on, have the air measured.".to_owned(),
    };
    Some(Caution {
        kind: CautionKind::SilicaDust,
        hazard: format!("Carving {} frees crystalline silica{}.", named(material), of_dust(dust.share)).into(),
        harm: "It scars lungs for good.".into(),
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
    Some(Caution {
        kind: CautionKind::LeadDust,
        hazard: format!("Carving {} frees lead{}.", named(material), of_dust(dust.share)).into(),
        harm: "Lead harms nerves, blood and the unborn.".into(),
        act: format!(
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
        hazard: "The back of a mirror holds silver, sometimes copper, and paint that may hold lead.".into(),
        harm: "Lead harms nerves, blood and the unborn.".into(),
        act: "Carving the back: treat the paint as lead until it is tested.".into(),
        source: source.clone(),
        step: Step::BeforeBlast,
    }
}

pub(super) fn fine_dust(collector: bool) -> Caution {
    Caution {
        kind: CautionKind::FineDust,
        hazard: "Fine dust of blank and grit hangs in the air for hours.".into(),
        harm: "It irritates eyes and lungs.".into(),
        act: if collector {
            "Collector on before the blast; gloves and sleeves tight; eye protection.".into()
        } else {
            "Gloves and sleeves tight; eye protection.".into()
        },
        source: Source::computed("Stokes' law: 1 µm of glass falls 1.5 m in 5.5 h"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn no_collector() -> Caution {
    Caution {
        kind: CautionKind::NoCollector,
        hazard: "Nothing draws the dust off.".into(),
        harm: "The blast blows it out of every gap, into the room.".into(),
        act: "Do not blast before a collector draws on the cabinet.".into(),
        source: Source::second_hand("29 CFR 1910.94(a)", "Mich. R 325.50255, the same rule"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn door(wait: Option<Time>) -> Caution {
    let act = match wait {
        Some(wait) => format!("Blast off, exhaust on: keep the door shut for {}.", clock(rounded_up(wait))),
        None => "Keep the door shut until the exhaust has cleared the cabinet; how long is not known without its flow."
            .to_owned(),
    };
    Caution {
        kind: CautionKind::Door,
        hazard: "Dust stays in the cabinet after the blast; a clear view is not clean air.".into(),
        harm: "An open door lets it out at your face.".into(),
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
        Some(level) => format!("The blast was measured at {level}."),
        None => format!("No noise level was measured here: take it to be above {action}."),
    };
    Some(Caution {
        kind: CautionKind::Noise,
        hazard: hazard.into(),
        harm: "Noise at this level takes hearing for good.".into(),
        act: act_on_noise(measured).into(),
        source: Source::seen("29 CFR 1910.95", "App A"),
        step: Step::Blast,
    })
}

/// Above this level one protector is not enough. Source: a naval coatings manual, read.
const DOUBLE_PROTECTION: SoundLevel = quantity::known(SoundLevel::dba(108.0));

fn act_on_noise(measured: Option<SoundLevel>) -> &'static str {
    match measured {
        Some(level) if level > DOUBLE_PROTECTION => "Wear ear plugs and ear muffs together.",
        Some(_) => "Wear ear protection.",
        None => "Wear ear protection; have the level measured.",
    }
}

pub(super) fn jet() -> Caution {
    Caution {
        kind: CautionKind::Jet,
        hazard: "The nozzle throws grit faster than you can move.".into(),
        harm: "It goes through skin and eyes.".into(),
        act: "Never point it at anyone. The valve shuts by itself when let go: never tie it open.".into(),
        source: Source::second_hand("29 CFR 1910.244(b)", "OSHA letter of 3 April 2000"),
        step: Step::Blast,
    }
}

pub(super) fn pressure_vessel() -> Caution {
    Caution {
        kind: CautionKind::PressureVessel,
        hazard: "Receiver, pot and hoses hold air under pressure.".into(),
        harm: "A part that bursts or a hose that whips can kill.".into(),
        act:
            "Let the pressure off before opening. No valve between receiver and its relief valve; drain it; no welding \
              or drilling; lashings on hoses."
                .into(),
        source: Source::second_hand("29 CFR 1910.169(b)(3)", "OSHA letter of 6 April 1981; lashings: EM 385-1-1 13.G"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn breathing_air() -> Caution {
    Caution {
        kind: CautionKind::BreathingAir,
        hazard: "Shop air is not breathing air: it may carry oil and carbon monoxide.".into(),
        harm: "Carbon monoxide kills without a smell.".into(),
        act: "Feed a hood with air of Grade D (CO at most 10 ppm), tested, from a line of its own.".into(),
        source: Source::seen("WAC 296-307-61605", "Grade D, CGA G-7.1"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn charge() -> Caution {
    Caution {
        kind: CautionKind::Static,
        hazard: "Dry blasting charges hose, film and hands.".into(),
        harm: "The spark makes you start with the nozzle in hand; it can light dust that burns.".into(),
        act: "Ground nozzle, cabinet and collector; use a conductive hose; no grit that burns.".into(),
        source: Source::CommonPractice,
        step: Step::BeforeBlast,
    }
}

pub(super) fn glass_edges() -> Caution {
    Caution {
        kind: CautionKind::GlassEdges,
        hazard: "Edges of cut glass are sharp, and a pane can break in the hand.".into(),
        harm: "They cut to the bone.".into(),
        act: "Wear cut-resistant gloves; take the edge off first; carry a pane upright.".into(),
        source: Source::CommonPractice,
        step: Step::Prepare,
    }
}

pub(super) fn uv() -> Caution {
    Caution {
        kind: CautionKind::Uv,
        hazard: "The exposure lamp gives ultraviolet light.".into(),
        harm: "It burns eyes and skin before you feel it.".into(),
        act: "Close the lid before the lamp lights; do not look at it; cover skin.".into(),
        source: Source::CommonPractice,
        step: Step::Expose,
    }
}

pub(super) fn washout() -> Caution {
    Caution {
        kind: CautionKind::Washout,
        hazard: "Washed-out film and spray get on skin; the floor gets wet.".into(),
        harm: "Film that is not cured irritates skin; a wet floor throws you; water meets the mains.".into(),
        act: "Wear gloves and eye protection; wipe up; keep lamp, plugs and washout apart.".into(),
        source: Source::CommonPractice,
        step: Step::Washout,
    }
}

pub(super) fn cleaning_air() -> Caution {
    let limit = tables().limits.cleaning_air.value;
    Caution {
        kind: CautionKind::CleaningAir,
        hazard: "Blowing off with compressed air throws chips and dust.".into(),
        harm: "Chips blind; air under the skin can kill.".into(),
        act: format!(
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
        hazard: "Carved glass is weaker, and no published table covers it.".into(),
        harm: "A pane that breaks cuts whoever is under or beside it.".into(),
        act: "Doors, baths, guards, stairs, floors, overhead, aquaria, heat: stop, and ask a licensed professional; \
              local code decides."
            .into(),
        source: Source::second_hand("ASTM E1300, scope", "course slides on E1300: etched and blasted glass left out"),
        step: Step::HandOver,
    }
}

pub(super) fn booth() -> Caution {
    Caution {
        kind: CautionKind::Booth,
        hazard: "You breathe the booth's air while you blast in it.".into(),
        harm: "Its dust is far denser than at a cabinet, and you cannot see the door.".into(),
        act: "Wear a blast hood on an airline of Grade D; exhaust on before you go in; somebody outside watches."
            .into(),
        source: Source::second_hand("29 CFR 1910.94(a)", "training slides: blast respirators inside rooms"),
        step: Step::BeforeBlast,
    }
}

pub(super) fn heavy_blank(mass: Mass) -> Caution {
    Caution {
        kind: CautionKind::HeavyBlank,
        hazard: format!("The blank weighs {mass}.").into(),
        harm: "It crushes feet, and a back gives way before an arm does.".into(),
        act: format!("{} people, or a lift; upright, way cleared, gloves and shoes on.", people(mass)).into(),
        source: tables().limits.lift_one_person.source.clone(),
        step: Step::Prepare,
    }
}

pub(super) fn sealed_unit() -> Caution {
    Caution {
        kind: CautionKind::SealedUnit,
        hazard: "A sealed unit bends its panes with every change of weather.".into(),
        harm: "A carved pane of it can burst without a touch.".into(),
        act: "Carve a single pane before the unit is made, with its maker's word.".into(),
        source: Source::CommonPractice,
        step: Step::Prepare,
    }
}

pub(super) fn safety_glazing(place: PlaceKind, source: Source) -> Caution {
    Caution {
        kind: CautionKind::SafetyGlazing,
        hazard: format!("This glass is meant to stand {}.", in_place(place)).into(),
        harm: "Carved annealed glass breaks into blades, under less than it bore before.".into(),
        act: "Stop: ask a licensed professional and local code. Safety glazing that was tested and then carved is no \
              longer what was tested."
            .into(),
        source,
        step: Step::HandOver,
    }
}

/// The name inside a sentence: `lead crystal (24 % PbO)`.
fn named(material: &Material) -> String {
    material.name.to_lowercase().replace("pbo", "PbO")
}

/// ` (20 to 40 % of its dust)`, or nothing when the share is not known.
fn of_dust(share: Option<Span<Fraction>>) -> String {
    let Some(Span { low, high }) = share else { return String::new() };
    let percent = |share: Fraction| significant(share.to_base() * 100.0, 2);
    let (low, high) = (percent(low), percent(high));
    if low == high { format!(" ({high} % of its dust)") } else { format!(" ({low} to {high} % of its dust)") }
}
