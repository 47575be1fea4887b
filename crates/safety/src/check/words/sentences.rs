//! What was found, in a sentence, and why it matters, in two or three.

use super::{agent, air_test, key, name, told};
use crate::check::{About, Checked, Hazard, Standing};
use crate::glazing::in_place;
use language::say;
use piece::OtherDust;
use quantity::show::Show as _;
use quantity::{Length, UnitSystem};

fn about_agent(checked: &Checked) -> &'static str {
    match checked.about {
        Some(About::Agent(of)) => agent(of),
        _ => say!(in "a dust", "dust"),
    }
}

fn other(other: OtherDust) -> &'static str {
    match other {
        OtherDust::Wood => say!(in "a dust", "wood dust"),
        OtherDust::OrganicGrit => say!(in "a dust", "grit that burns"),
        OtherDust::Sparks => say!(in "a dust", "sparks"),
        OtherDust::LightMetal => say!(in "a dust", "dust of light metal"),
    }
}

/// What was found, in a sentence.
pub(super) fn title(checked: &Checked, units: UnitSystem) -> String {
    let (found, limit) = (told(checked.value, units), told(checked.limit, units));
    let standing = checked.standing;
    if standing == Standing::NotTold {
        return say!("Not told: {}", name(checked.hazard));
    }
    let good = standing < Standing::NotTold;
    match checked.hazard {
        Hazard::FreeSilica => say!("The abrasive holds {found} free silica; from {limit} on it is not accepted"),
        Hazard::SilicaExposure | Hazard::LeadExposure | Hazard::DustExposure => exposure(checked, &found, &limit),
        Hazard::Respirator | Hazard::BreathingAir | Hazard::GradeD => breathing(checked, &found, &limit),
        Hazard::NoCollector if good => say!("A collector draws on the cabinet").to_owned(),
        Hazard::NoCollector => say!("Nothing draws the dust off").to_owned(),
        Hazard::BlastOut if good => say!("The nozzle gives {found}; the collector takes {limit}"),
        Hazard::BlastOut => {
            say!("The nozzle blows {found} in and the collector takes {limit} out: dust leaves by every gap")
        }
        Hazard::Inflow => say!("Air goes in through the openings at {found}, wanted {limit}"),
        Hazard::AirChanges => say!("The cabinet's air changes at {found}, wanted {limit}"),
        Hazard::DuctSpeed => say!("Air moves in the duct at {found}; dust settles below {limit}"),
        Hazard::FilterArea => say!("Air passes the filter at {found}, wanted at most {limit}"),
        Hazard::FilterClass => filter_class(checked),
        Hazard::DoorWait => say!("The door is kept shut for {found}; the dust wants {limit}"),
        Hazard::Interlock if good => say!("The blast waits for the collector").to_owned(),
        Hazard::Interlock => say!("The blast can start before the collector runs").to_owned(),
        Hazard::SharedCollector => match checked.about {
            Some(About::Other(what)) => say!("The collector also takes {}", other(what)),
            _ => say!("The collector takes other dust too").to_owned(),
        },
        Hazard::Static if good => say!("Nozzle, hose, cabinet and collector are grounded").to_owned(),
        Hazard::Static => say!("Something in the blast is not grounded").to_owned(),
        Hazard::NoiseDose => say!("Noise of the day is {found} of the dose (OSHA), against {limit}"),
        Hazard::NoiseRecommended => say!("Noise of the day is {found} of the recommended dose (NIOSH)"),
        Hazard::NoiseCeiling => say!("The blast was measured at {found}; nobody is exposed above {limit}"),
        Hazard::Hearing if good => say!("What is worn on the ears is enough for the level").to_owned(),
        Hazard::Hearing => say!("More belongs on the ears from {limit}"),
        Hazard::Edges | Hazard::Lifting | Hazard::Lamp => handling(checked, &found, &limit),
        Hazard::Place
        | Hazard::SealedUnit
        | Hazard::Laminate
        | Hazard::Supports
        | Hazard::Strength
        | Hazard::Sinking
        | Hazard::EdgeDistance => of_blank(checked, &found, &limit),
        _ => pressure(checked, &found, &limit),
    }
}

fn exposure(checked: &Checked, found: &str, limit: &str) -> String {
    let what = about_agent(checked);
    match (checked.value, checked.standing) {
        (None, _) => say!("Exposure to {what} was not measured"),
        (Some(_), Standing::Within) => say!("Over the shift {what} comes to {found}, under {limit}"),
        _ => say!("Over the shift {what} comes to {found}, against {limit}"),
    }
}

fn breathing(checked: &Checked, found: &str, limit: &str) -> String {
    let good = checked.standing == Standing::Within;
    let entered = checked.about == Some(About::Entered);
    match checked.hazard {
        Hazard::Respirator if good => say!("The respirator's factor is {found}; {limit} is needed"),
        Hazard::Respirator if entered => say!("Inside the booth air has to be led to a hood").to_owned(),
        Hazard::Respirator if checked.standing == Standing::Ask => {
            say!("A respirator with a factor of {limit} is needed")
        }
        Hazard::Respirator => say!("The respirator's factor is {found}; {limit} is needed"),
        Hazard::BreathingAir if good => say!("Breathing air has a line of its own").to_owned(),
        Hazard::BreathingAir if checked.standing == Standing::Stop => say!("Shop air is led to the hood").to_owned(),
        Hazard::BreathingAir => say!("It is not told where the hood's air comes from").to_owned(),
        _ => match checked.about {
            Some(About::Test(test)) => {
                let what = air_test(test);
                say!("Breathing air, {what}: {found} against {limit}")
            }
            _ => say!("The last test of the breathing air is within Grade D").to_owned(),
        },
    }
}

fn filter_class(checked: &Checked) -> String {
    match (checked.standing, checked.about) {
        (Standing::Within, _) => say!("The collector's air goes outdoors, or through a HEPA filter last").to_owned(),
        (_, Some(About::Agent(of))) => say!("Air that held {} goes back into the room", agent(of)),
        _ => say!("Air goes back into the room without a HEPA filter last").to_owned(),
    }
}

fn handling(checked: &Checked, found: &str, limit: &str) -> String {
    let good = checked.standing == Standing::Within;
    match (checked.hazard, checked.about) {
        (Hazard::Edges, _) if good => say!("The edges were taken off").to_owned(),
        (Hazard::Edges, _) => say!("The edges are as cut: sharp").to_owned(),
        (Hazard::Lamp, _) if good => say!("The exposure lamp is out while its lid is open").to_owned(),
        (Hazard::Lamp, _) => say!("The exposure lamp can burn with its lid open").to_owned(),
        (_, Some(About::People(people))) if !good => {
            say!("The blank weighs {found}: {people} people, or a lift; one carries up to {limit}")
        }
        _ => say!("The blank weighs {found}; one person carries up to {limit}"),
    }
}

fn of_blank(checked: &Checked, found: &str, limit: &str) -> String {
    match (checked.hazard, checked.about) {
        (Hazard::Place, Some(About::Place(place))) => match checked.standing {
            Standing::Stop => say!("Carved glass {}: a licensed professional has the word", in_place(place)),
            Standing::Ask => say!("Carved glass {}: ask what local code wants", in_place(place)),
            _ => say!("Glass {}: no rule is known here that asks for safety glazing", in_place(place)),
        },
        (Hazard::SealedUnit, _) => say!("A pane of a sealed unit: the air inside bends it with the weather").to_owned(),
        (Hazard::Laminate, _) => say!("Only the carved ply counts: {found} deep in {limit}"),
        (Hazard::Supports, _) => say!("How the pane is held cannot be worked out here").to_owned(),
        (Hazard::Strength, _) if checked.standing == Standing::Stop => {
            say!("Stress {found}, over the {limit} of evenly frosted glass")
        }
        (Hazard::Strength, _) => say!("Screening only: stress {found} beside {limit} of evenly frosted glass"),
        (Hazard::Sinking, _) if checked.standing == Standing::Ask => {
            say!("The pane sinks {found}; beyond {limit} this theory does not hold")
        }
        (Hazard::Sinking, _) => say!("Screening only: the pane sinks {found}; the theory holds to {limit}"),
        _ => say!("Deep carving comes within {found} of the edge; {limit} is kept"),
    }
}

fn pressure(checked: &Checked, found: &str, limit: &str) -> String {
    let good = checked.standing == Standing::Within;
    match checked.hazard {
        Hazard::Relief => say!("The relief valve is set to {found}; the receiver's plate says {limit}"),
        Hazard::CutOut => say!("The compressor stops at {found}; the relief valve opens at {limit}"),
        Hazard::ValveBeforeRelief if good => say!("Nothing stands between receiver and relief valve").to_owned(),
        Hazard::ValveBeforeRelief => say!("A valve stands between the receiver and its relief valve").to_owned(),
        Hazard::PotRating => say!("The pot sees up to {found}; its plate says {limit}"),
        Hazard::HoseRating => say!("The blast hose sees up to {found}; its print says {limit}"),
        Hazard::Couplings if good => say!("The hose's couplings are lashed").to_owned(),
        Hazard::Couplings => say!("The hose's couplings are not lashed").to_owned(),
        Hazard::BlastValve if good => say!("The blast is held by hand and shuts when let go").to_owned(),
        Hazard::BlastValve if checked.standing == Standing::Ask => {
            say!("The blast is held by a foot, not by a hand").to_owned()
        }
        Hazard::BlastValve => say!("The blast goes on when the nozzle is let go").to_owned(),
        Hazard::TiedValve if good => say!("Nothing ties the blast valve open").to_owned(),
        Hazard::TiedValve => say!("The blast valve is tied open").to_owned(),
        Hazard::NozzleRest if good => say!("The nozzle has a rest").to_owned(),
        Hazard::NozzleRest => say!("The nozzle has no rest to hang in").to_owned(),
        Hazard::CleaningAir => say!("The cleaning gun gives {found} dead-ended; below {limit} is the rule"),
        Hazard::ChipGuard if good => say!("The cleaning gun has a chip guard").to_owned(),
        _ => say!("The cleaning gun has no chip guard").to_owned(),
    }
}

/// What it means, and what is not in it.
pub(super) fn why(checked: &Checked, units: UnitSystem) -> String {
    let limit = told(checked.limit, units);
    if checked.standing == Standing::NotTold {
        let held = checked.limit.map(|_| say!("It would be held against {limit}."));
        let tells = key(checked.hazard).map(|key| say!("Write {key}."));
        let plain = say!("The files do not say, and nothing takes it for granted.").to_owned();
        return [Some(plain), held, tells].into_iter().flatten().collect::<Vec<_>>().join(" ");
    }
    match checked.hazard {
        Hazard::SilicaExposure | Hazard::LeadExposure | Hazard::DustExposure => match (checked.value, checked.limit) {
            (None, Some(_)) => say!(
                "{limit} of this dust where one breathes already carries {what} at its level of action. Only a measurement \
                 tells what is breathed.",
                what = about_agent(checked)
            ),
            (None, None) => say!("How much of it the dust holds is not known: treat it as the worst until it is tested.").to_owned(),
            _ => say!("Average over 8 h of what was measured, as if all of that dust were of the kind that reaches its limit \
                  first. An employer has duties from the level of action on; a respirator comes after exhaust.").to_owned(),
        },
        Hazard::Respirator => say!("Outside over inside. The factor holds only in a programme with fit tests, led by a \
                               competent person.").to_owned(),
        Hazard::BreathingAir | Hazard::GradeD => say!("Air of Grade D: CO at most 10 ppm, CO2 1000 ppm, oil 5 mg/m³, oxygen \
                                                  19.5 to 23.5 %, no smell. A compressor for the blast gives none of \
                                                  that surely.").to_owned(),
        Hazard::FreeSilica => say!("By the sheet of the bag in use, or the table's highest figure for its kind.").to_owned(),
        Hazard::NoCollector => say!("Inward flow at all openings and prompt clearance are asked for; the rule names no number.").to_owned(),
        Hazard::BlastOut | Hazard::Inflow | Hazard::AirChanges => {
            say!("What the collector draws, less the nozzle's own air, which comes in under pressure.").to_owned()
        }
        Hazard::DuctSpeed => say!("Slower air lets heavy dust settle in the duct until it chokes.").to_owned(),
        Hazard::FilterArea => say!("Faster air drives dust into the cloth and through it.").to_owned(),
        Hazard::FilterClass => say!("A class is tested with one size of dust; tests of unlike standards are not set equal.").to_owned(),
        Hazard::DoorWait => say!("A thousandth of the dust is left then, poorly mixed. A clear view is not clean air.").to_owned(),
        Hazard::Interlock => say!("Without it one forgotten switch fills the room.").to_owned(),
        Hazard::SharedCollector => say!("Dust that burns and a spark need one duct to meet in.").to_owned(),
        Hazard::NoiseDose | Hazard::NoiseRecommended => {
            say!("Half of OSHA's dose is where hearing conservation begins. OSHA's and NIOSH's doses are not the same number: \
             5 dB and 3 dB halve the time.").to_owned()
        }
        Hazard::NoiseCeiling | Hazard::Hearing => say!("As measured at the ear, nozzle open.").to_owned(),
        Hazard::Static => say!("Blasting dry charges hose, film and hands; a start with the nozzle in hand is harm enough.").to_owned(),
        Hazard::Lamp => say!("Ultraviolet light burns eyes before one feels it.").to_owned(),
        Hazard::Edges => say!("A cut edge opens a hand to the bone.").to_owned(),
        Hazard::Lifting => say!("The equation's best case: close to the body, with good grip. A pane offers neither.").to_owned(),
        Hazard::Place | Hazard::SealedUnit | Hazard::Laminate | Hazard::Supports => place_why(checked),
        Hazard::Strength => strength_why(checked, units),
        Hazard::Sinking => say!("As if all of it were carved; sinking further, a pane stretches and linear theory overstates \
                            its stress.").to_owned(),
        Hazard::EdgeDistance => say!("Edges hold the worst flaws; a deep line beside one invites a crack.").to_owned(),
        _ => say!("The plate, its inspector and local code have the last word; nothing here rates a vessel.").to_owned(),
    }
}

fn place_why(checked: &Checked) -> String {
    let text = match checked.hazard {
        Hazard::Place if checked.standing == Standing::Stop => {
            say!(
                "Annealed glass is no safety glazing, and a pane that was tested and then carved is no longer what was \
             tested. Local code decides; needs a licensed engineer, safety glazing or a test panel."
            )
        }
        Hazard::Place => say!("Local code knows places that this list does not."),
        Hazard::SealedUnit => {
            say!(
                "No number here covers that load. Carve a single pane before the unit is made, and have its maker's word."
            )
        }
        Hazard::Laminate => {
            say!("The plies do not share the load: the interlayer is soft. The carved ply is reckoned alone.")
        }
        _ => say!("Points, three sides and holes have no closed solution that is checked here: ask an engineer."),
    };
    text.to_owned()
}

fn strength_why(checked: &Checked, units: UnitSystem) -> String {
    let depth = match checked.about {
        Some(About::Deepest(deepest, thickness)) if deepest > Length::mm(0.0).unwrap_or(deepest) => {
            say!("They meet at {} of {}.", deepest.show(units), thickness.show(units))
        }
        Some(About::Deepest(..)) => say!("Uncarved it is over already.").to_owned(),
        _ => String::new(),
    };
    let all = say!("As if all of the face were carved to the deepest.").to_owned();
    let rest = say!(
        "Published tables leave blasted glass out, and sharp corners and V bottoms multiply stress several times. Not a \
         design: needs a licensed engineer, safety glazing or a test panel."
    );
    [all, depth, rest.to_owned()].into_iter().filter(|said| !said.is_empty()).collect::<Vec<_>>().join(" ")
}
