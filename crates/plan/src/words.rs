//! Every sentence that a plan says, in one place.
//!
//! Short, concrete, in the second person. A sentence says what was computed, against which limit,
//! and what to do. Data stays data until it comes here.

use crate::counted_words::{number, number_at_the_start};
use crate::finding::{Amount, Check, Finding, State};
use crate::model::{Act, Consumable, ConsumableAmount, ConsumableKind, CostKind, Plan, Recipe, Stage};
use artwork::dxf::DxfNote;
use artwork::note::{Note, Remark};
use language::{say, say_count};
use quantity::show::{Show, air_flow, clock, significant};
use quantity::{Estimate, Time, UnitSystem};
use reference::{Abrasive, Grit};

pub use crate::narrowing_words::{narrowed_number, narrowing};
pub use crate::remedy_words::{change, changes, no_remedy, remedy};
pub use crate::stencil_words::{cover_part, cover_with, masking, resist_option, resists_short};

/// A finding in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingWords {
    /// What, in one sentence.
    pub title: String,
    /// The number against its limit.
    pub why: String,
    /// Where the limit comes from.
    pub source: String,
    /// What would turn it, one sentence each.
    pub remedies: Vec<String>,
    /// That and why nothing would, when it does not hold and has no remedy.
    pub no_remedy: Option<String>,
}

/// A finding in words.
#[must_use]
pub fn finding(finding: &Finding, units: UnitSystem) -> FindingWords {
    if let Check::Safety(hazard) = finding.check {
        let said = safety::check::words::words(&crate::safety_checks::checked(finding, hazard), units);
        let remedies = finding.remedies.iter().map(|change| remedy(change, units)).collect();
        let none = finding.no_remedy.map(no_remedy);
        return FindingWords { title: said.title, why: said.why, source: said.source, remedies, no_remedy: none };
    }
    let (value, limit) = (amount(&finding.value, units), amount(&finding.limit, units));
    FindingWords {
        title: title(finding, &value, &limit),
        why: why(finding, &value, &limit),
        source: source(finding),
        remedies: finding.remedies.iter().map(|change| remedy(change, units)).collect(),
        no_remedy: finding.no_remedy.map(no_remedy),
    }
}

/// Something about the artwork in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoteWords {
    /// [`State::Watch`] when what is carved may not be what was meant, else [`State::Holds`].
    pub state: State,
    /// What was done.
    pub words: String,
}

/// What was done to the artwork while it was read, and what its depths leave covered; doubts first.
#[must_use]
pub fn artwork_notes(plan: &Plan) -> Vec<NoteWords> {
    let placing = &plan.piece.placing;
    let sized = placing.width.is_some() || placing.height.is_some();
    // A size that is given outweighs whatever unit or resolution was assumed.
    let assumed =
        |remark: &Remark| matches!(remark, Remark::ResolutionAssumed { .. } | Remark::Dxf(DxfNote::UnitAssumed { .. }));
    let counts = |note: &&Note| !(sized && assumed(&note.remark));
    let reading: Vec<Note> = plan.notes.reading.iter().filter(counts).cloned().collect();
    let read = artwork::note::told(&reading)
        .into_iter()
        .map(|told| NoteWords { state: if told.doubtful { State::Watch } else { State::Holds }, words: told.words });
    let depths = plan.notes.depths.iter().map(|note| NoteWords { state: State::Holds, words: note.to_string() });
    read.chain(depths).collect()
}

/// A caution in words: the hazard, the harm, the act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CautionWords {
    /// What can hurt.
    pub hazard: String,
    /// What it does to people.
    pub harm: String,
    /// What to do.
    pub act: String,
    /// Where that comes from.
    pub source: String,
}

/// A caution in words.
#[must_use]
pub fn caution(caution: &safety::Caution) -> CautionWords {
    CautionWords {
        hazard: caution.hazard.to_string(),
        harm: caution.harm.to_string(),
        act: caution.act.to_string(),
        source: caution.source.to_string(),
    }
}

/// The word of a state.
#[must_use]
pub fn state(state: State) -> &'static str {
    match state {
        State::Holds => say!(in "a state", "holds"),
        State::Watch => say!(in "a state", "watch"),
        State::Stop => say!(in "a state", "stop"),
    }
}

/// The word of what hands do.
#[must_use]
pub fn act(act: Act) -> &'static str {
    match act {
        Act::Prepare => say!(in "what hands do", "prepare"),
        Act::Refill => say!(in "what hands do", "refill"),
        Act::Weed => say!(in "what hands do", "weed"),
        Act::Blast => say!(in "what hands do", "blast"),
        Act::Rest => say!(in "what hands do", "rest"),
        Act::Clear => say!(in "what hands do", "clear"),
        Act::Finish => say!(in "what hands do", "finish"),
    }
}

/// The abrasives of a recipe, in the order of their use.
#[must_use]
pub fn abrasives(recipe: &Recipe) -> String {
    let of = |abrasive: &Abrasive, grit: &Grit| format!("{} {}", abrasive.name, grit.name);
    let first = of(recipe.abrasive, recipe.grit);
    match recipe.finish {
        None => first,
        Some(finish) => say_count!(
            finish.stages,
            "{first}, for the last stage {last}",
            "{first}, for the last {n} stages {last}",
            last = finish.named(),
            n = finish.stages
        ),
    }
}

/// What hands do before a stage's blast: what they weed, and what they fill in.
#[must_use]
pub fn stage_work(plan: &Plan, stage: &Stage) -> String {
    let opens = stage_opens(plan, stage);
    match stage_refill(plan, stage) {
        Some(abrasive) => say!("{opens}; first change to {abrasive}"),
        None => opens,
    }
}

/// The abrasive that is filled in before a stage, where it is another than the one before it.
#[must_use]
pub fn stage_refill(plan: &Plan, stage: &Stage) -> Option<String> {
    let before = plan.stages.get(stage.order.checked_sub(2)?)?;
    let same = before.abrasive.id == stage.abrasive.id && before.grit.name == stage.grit.name;
    (!same).then(|| format!("{} {}", stage.abrasive.name, stage.grit.name))
}

/// What an act asks of the hands, in a sentence.
#[must_use]
pub fn act_sentence(act: Act) -> &'static str {
    match act {
        Act::Prepare => say!("Clean the blank, lay the stencil, tape what rebound could reach."),
        Act::Refill => say!("Empty pot and hose, clean the cabinet, fill in the next abrasive."),
        Act::Weed => say!("Lift the resist of this stage's openings."),
        Act::Blast => say!("Nozzle open, square to the face, moving."),
        Act::Rest => say!("Nozzle shut: the air comes back."),
        Act::Clear => say!("Door shut, collector on: the dust clears."),
        Act::Finish => say!("Peel, wash and dry."),
    }
}

/// Where a limit comes from. Works and tables are cited as they stand.
fn source(finding: &Finding) -> String {
    match finding.check {
        // The shop's own plate is no work that has a title.
        Check::Duty => say!("the compressor's plate, the shop file").to_owned(),
        _ => finding.source.to_string(),
    }
}

fn title(finding: &Finding, value: &str, limit: &str) -> String {
    let bad = finding.state != State::Holds;
    match &finding.check {
        Check::Opening { layer } if bad => {
            say!("The narrowest line of \u{201c}{layer}\u{201d} is {value} wide; this resist and grit open {limit}")
        }
        Check::Opening { layer } => say!("The lines of \u{201c}{layer}\u{201d} are wide enough: {value} or more"),
        Check::Wall if bad => say!("The narrowest resist between openings is {value}; {limit} stays down"),
        Check::Wall => say!("The resist between openings is wide enough: {value} or more"),
        Check::NarrowDepth { layer } if bad => {
            say!("Fine parts of \u{201c}{layer}\u{201d} stop at {value} of {limit}")
        }
        Check::NarrowDepth { layer } => say!("\u{201c}{layer}\u{201d} reaches its depth everywhere"),
        Check::ResistWear if finding.state == State::Stop => {
            say!("The resist wears through: {value} of what it can take")
        }
        Check::ResistWear if bad => say!("The resist may let go: {value} of what it can take"),
        Check::ResistWear => say!("The resist lasts: {value} of what it can take"),
        Check::Thickness if bad => say!("The deepest carving may take {value} of the thickness"),
        Check::Thickness => say!("The deepest carving takes {value} of the thickness"),
        Check::AirHolds if finding.state == State::Stop => say!("The air gives out after {value} of blasting"),
        Check::AirHolds if bad => say!("The air holds {value} at a time; then it rests"),
        Check::AirHolds => say!("The pressure holds for as long as you blast").to_owned(),
        Check::Duty if bad => {
            say!("The compressor needs rests: blasting it runs {value} of the time, and its limit is {limit}")
        }
        Check::Duty => say!("Blasting, the compressor runs {value} of the time; its limit is {limit}"),
        Check::CompressorPlate { compressor } => {
            say!("{limit} on the plate of \u{201c}{compressor}\u{201d} looks like displacement, not delivered air")
        }
        Check::NozzlePressure if bad => say!("The nozzle sees {value} of the {limit} that you set"),
        Check::NozzlePressure => say!("The nozzle sees {value} at a setting of {limit}"),
        Check::Collector if finding.state == State::Stop => say!("The cabinet has no dust collector").to_owned(),
        Check::Collector => say!("The collector draws {value}; the cabinet wants {limit}"),
        Check::Silica if is_stone(finding) => say!("This work frees crystalline silica").to_owned(),
        Check::Silica if bad => say!("The grit may hold a little crystalline silica").to_owned(),
        Check::Silica => say!("Neither this blank nor this grit frees crystalline silica to speak of").to_owned(),
        Check::Safety(hazard) => safety::check::words::name(*hazard).to_owned(),
        Check::RollWidth if bad => say!("The stencil is {value} across; the roll is {limit}"),
        Check::RollWidth => say!("The stencil fits the roll: {value} of {limit}"),
        Check::Handle if bad => say!("The artwork runs under the handle: {value} around, {limit} is free"),
        Check::Handle => say!("The artwork keeps clear of the handle: {value} of {limit} around"),
        Check::Gores if bad => {
            say!("The film would fold on the bowl: its gores are strained by {value}, it takes {limit}")
        }
        Check::Gores => say!("The film lies on the bowl without folds: {value} of {limit} at the gores' edges"),
    }
}

/// Whether the silica is the blank's: an abrasive with a percent of it would have been refused.
fn is_stone(finding: &Finding) -> bool {
    matches!(finding.value, Amount::Share(share) if share.high().to_percent() > 1.0)
}

fn why(finding: &Finding, value: &str, limit: &str) -> String {
    match &finding.check {
        Check::Opening { .. } => say!(
            "What the resist yields, or three median grains: {limit}. It stops when over 1 % of the layer is under three \
             quarters of that."
        ),
        Check::Wall => say!(
            "Narrower than {limit} it lifts under the jet. It stops when over 1 % of the outlines run along walls under \
             three quarters of that."
        ),
        Check::NarrowDepth { .. } => {
            say!("The walls of a narrow line meet before it is deep. Short by a tenth or less counts as reached.")
                .to_owned()
        }
        Check::ResistWear => {
            say!("{limit} is three fifths of selectivity times thickness. One coupon of this resist narrows the range.")
        }
        Check::Thickness => {
            say!("Held against {limit}. A screening only: no published table covers deeply carved glass.")
        }
        Check::AirHolds if finding.state == State::Holds => {
            say!("The compressors and a full receiver carry the longest stage, {limit}, at the pressure set.")
        }
        Check::AirHolds => say!("From a full receiver the pressure holds {value}; the longest stage wants {limit}."),
        Check::Duty => say!(
            "While the nozzle is open the compressors run {value} of the time to keep up; the plate allows {limit}. The \
             rests on the strip keep to it."
        ),
        Check::CompressorPlate { .. } => say!(
            "Its power delivers less at the cut-out. The plan reckons with the middle of {value}, 60 to 75 % of what is \
             stated. Fill the receiver with a stopwatch and write what you measured."
        ),
        Check::NozzlePressure => {
            say!("Droop and hose take the rest. Times are computed with what the nozzle sees.").to_owned()
        }
        Check::Collector => {
            say!("Wanted {limit}: inflow at the openings or air changes, whichever is more, and the blast air on top.")
        }
        Check::Silica => say!(
            "Crystalline silica {value} by mass, named on a product from {limit}. Only a measurement tells what is breathed."
        ),
        Check::Safety(_) => String::new(),
        Check::RollWidth => say!("Roll {limit}. A wider stencil is cut in two and lapped."),
        Check::Handle => say!(
            "The handle and room for fingers and a knife leave {limit} of the way around; the film has a gap there."
        ),
        Check::Gores => say!(
            "A gore's edge is longer than the glass under it, most at the end nearest to a pole; {limit} is what such film \
             takes up. More gores are narrower and strain less."
        ),
    }
}

/// The name of a check, for lists.
#[must_use]
pub fn check_name(check: &Check) -> &'static str {
    match check {
        Check::Opening { .. } => say!(in "a check", "openings"),
        Check::Wall => say!(in "a check", "resist walls"),
        Check::NarrowDepth { .. } => say!(in "a check", "fine depth"),
        Check::ResistWear => say!(in "a check", "resist wear"),
        Check::Thickness => say!(in "a check", "thickness"),
        Check::AirHolds => say!(in "a check", "air"),
        Check::CompressorPlate { .. } => say!(in "a check", "compressor plate"),
        Check::Duty => say!(in "a check", "compressor duty"),
        Check::NozzlePressure => say!(in "a check", "nozzle pressure"),
        Check::Collector => say!(in "a check", "collector"),
        Check::Silica => say!(in "a check", "silica"),
        Check::RollWidth => say!(in "a check", "roll width"),
        Check::Safety(hazard) => safety::check::words::name(*hazard),
        Check::Handle => say!(in "a check", "handle"),
        Check::Gores => say!(in "a check", "gores"),
    }
}

/// A number of any kind, as a range where it is one.
#[must_use]
pub fn amount(amount: &Amount, units: UnitSystem) -> String {
    match amount {
        Amount::Length(range) => range.show(units),
        Amount::Time(range) => time_range(*range),
        Amount::Pressure(range) => range.show(units),
        Amount::Air(range) => match range.low() == range.high() {
            true => air_flow(range.mid(), units).to_string(),
            false => format!("{}–{}", air_flow(range.low(), units).number, air_flow(range.high(), units)),
        },
        Amount::FreeAir(range) => range.show(units),
        Amount::Share(range) => range.show(units),
        Amount::Safety(value) => {
            value.map_or_else(|| "—".to_owned(), |value| safety::check::words::value(value, units))
        }
        Amount::Ratio(range) => {
            let percent = |ratio: f64| significant(ratio * 100.0, 2);
            let (low, high) = (percent(range.low()), percent(range.high()));
            if low == high { format!("{low}\u{202f}%") } else { format!("{low}–{high}\u{202f}%") }
        }
    }
}

/// A span of time as a range: clock words when it is one number, minutes when it is two.
#[must_use]
pub fn time_range(range: Estimate<Time>) -> String {
    if range.low() == range.high() {
        return clock(range.mid());
    }
    let unit = if range.mid().to_minutes() < 2.0 { ("s", 1.0) } else { ("min", 60.0) };
    let number = |time: Time| significant(time.to_seconds() / unit.1, 2);
    format!("{}–{}\u{202f}{}", number(range.low()), number(range.high()), unit.0)
}

/// An estimate with its range.
#[must_use]
pub fn ranged<Q: Show>(estimate: Estimate<Q>, units: UnitSystem) -> String {
    let rung = Q::rung(estimate.mid().to_base(), units);
    let [low, mid, high] = [estimate.low(), estimate.mid(), estimate.high()]
        .map(|value| significant((value.to_base() - rung.offset) / rung.factor, 3));
    match low == high {
        true => format!("{mid}\u{202f}{}", rung.unit),
        false => format!("{mid}\u{202f}{} ({low}–{high})", rung.unit),
    }
}

/// The plan in one sentence, and in another one what stops it.
#[must_use]
pub fn sentence(plan: &Plan) -> String {
    let stages = plan.stages.len();
    let stages = say_count!(stages, "One stage", "{number} stages", number = number_at_the_start(stages));
    let rests = plan.strip.rests();
    let air = match rests {
        0 => say!("the air holds throughout").to_owned(),
        n => say_count!(n, "the compressor needs one rest", "the compressor needs {number} rests", number = number(n)),
    };
    let (blast, total) = (time_range(plan.time.blast), clock(plan.time.total));
    let told = say!("{stages}, {blast} at the nozzle, {total} in all; {air}.");
    match plan.findings.iter().filter(|finding| finding.state == State::Stop).count() {
        0 => told,
        n => format!(
            "{told} {}",
            say_count!(
                n,
                "One finding stops it as it stands.",
                "{number} findings stop it as it stands.",
                number = number_at_the_start(n)
            )
        ),
    }
}

/// What a stage weeds, by name.
#[must_use]
pub fn stage_opens(plan: &Plan, stage: &Stage) -> String {
    let names: Vec<&str> =
        stage.opens.iter().filter_map(|&index| plan.layers.get(index)).map(|layer| layer.name.as_str()).collect();
    names.join(", ")
}

/// The recipe as one line.
#[must_use]
pub fn recipe(plan: &Plan) -> String {
    crate::search_words::recipe(&plan.recipe, plan.units)
}

/// A consumable and its amount.
#[must_use]
pub fn consumable(item: &Consumable, units: UnitSystem) -> (String, String) {
    let what = match &item.what {
        ConsumableKind::Resist(name) => say!("Resist: {name}"),
        ConsumableKind::TransferTape => say!("Transfer tape").to_owned(),
        ConsumableKind::Abrasive(name, grit) => say!("Abrasive spent: {name} {grit}"),
        ConsumableKind::Nozzle(name) => say!("Wear of nozzle \u{201c}{name}\u{201d}"),
    };
    let amount = match item.amount {
        ConsumableAmount::Area(area) => area.show(units).to_string(),
        ConsumableAmount::Mass(mass) => mass.show(units).to_string(),
        ConsumableAmount::Life(share) => say!("{share} of its life", share = share.show_digits(units, 2)),
    };
    (what, amount)
}

/// What a cost is for.
#[must_use]
pub fn cost_kind(kind: CostKind) -> &'static str {
    match kind {
        CostKind::Blank => say!(in "a cost", "blank"),
        CostKind::Materials => say!(in "a cost", "resist, tape, abrasive, nozzle wear"),
        CostKind::Labour => say!(in "a cost", "labour"),
        CostKind::Equipment => say!(in "a cost", "hours of machines"),
        CostKind::Order => say!(in "a cost", "share of the order's own work"),
        CostKind::Energy => say!(in "a cost", "energy"),
        CostKind::Overhead => say!(in "a cost", "overhead"),
        CostKind::Spoilage => say!(in "a cost", "spoilage"),
    }
}
