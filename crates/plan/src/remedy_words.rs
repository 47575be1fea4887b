//! Remedies and changes in words.

use crate::finding::{Amount, Change, Check, Mark, NoRemedy, Outlay, Remedy, Turned};
use crate::words::{amount, check_name, state};
use language::{Language, say, say_count};
use piece::Money;
use quantity::UnitSystem;
use quantity::show::{Show, bore, significant};

/// A remedy as a sentence: the changes, what they give, what they cost, what else they turn.
#[must_use]
pub fn remedy(remedy: &Remedy, units: UnitSystem) -> String {
    let changes = changes(&remedy.changes, units);
    let head = match remedy.mark {
        None => changes,
        Some(Mark::ThinnestResist) => say!("{changes}, the thinnest here that holds"),
        Some(Mark::SmallestDrawing) => say!("{changes}, the least at which all its widths hold"),
    };
    let value = match remedy.value {
        // A yes or no has no number to tell.
        Amount::Safety(None) => None,
        value => Some(amount(&value, units)),
    };
    let gives = [value, Some(state(remedy.gives).to_owned()), time(remedy.time_s), cost(remedy.cost)];
    let bought = remedy.changes.iter().any(|change| change.outlay() > Outlay::Nothing);
    let bought = bought.then(|| say!("what is bought is not counted").to_owned());
    let gives = gives.into_iter().flatten().collect::<Vec<_>>().join(", ");
    let parts: Vec<String> = [Some(gives), others(&remedy.others), bought].into_iter().flatten().collect();
    format!("{head}: {}", parts.join("; "))
}

fn time(seconds: f64) -> Option<String> {
    match seconds / 60.0 {
        m if m.abs() < 0.5 => None,
        m if m > 0.0 => Some(format!("+{}\u{202f}min", significant(m, 2))),
        m => Some(format!("{}\u{202f}min", significant(m, 2))),
    }
}

fn cost(cost: Money) -> Option<String> {
    let cents = cost.cents();
    let sign = if cents.is_sign_negative() { '\u{2212}' } else { '+' };
    let number = format!("{sign}{}", language::number(cents.abs().to_string()));
    (!cents.is_zero()).then(|| say!("cost {number}"))
}

fn others(others: &[Turned]) -> Option<String> {
    let then = |turned: &Turned| {
        let (check, state) = (named_apart(turned, others), state(turned.to));
        say!("{check} then {state}")
    };
    let mut each: Vec<String> = Vec::new();
    for said in others.iter().map(then) {
        // Those of several layers that come to the same are said once.
        if !each.contains(&said) {
            each.push(said);
        }
    }
    (!each.is_empty()).then(|| each.join(", "))
}

/// A check's name, with that of its layer where it comes to something else on another one.
fn named_apart(turned: &Turned, among: &[Turned]) -> String {
    let name = check_name(&turned.check);
    let apart = |other: &Turned| other.to != turned.to && check_name(&other.check) == name;
    match &turned.check {
        Check::Opening { layer } | Check::NarrowDepth { layer } if among.iter().any(apart) => {
            say!("{name} of \u{201c}{layer}\u{201d}")
        }
        _ => name.to_owned(),
    }
}

/// That and why a finding has no remedy.
#[must_use]
pub fn no_remedy(none: NoRemedy) -> String {
    match none {
        NoRemedy::NothingBears => {
            say!("No remedy: nothing of the piece, the recipe or the shop that a plan can change bears on this.")
                .to_owned()
        }
        NoRemedy::Tried { changes: 1, .. } => {
            say!("No remedy: the one change that bears on this does not turn it, or stops something else.").to_owned()
        }
        NoRemedy::Tried { changes, together: 0 | 1 } => {
            say!("No remedy: {changes} changes were tried and none turns this without stopping something else.")
        }
        NoRemedy::Tried { changes, together: 2 } => say!(
            "No remedy: {changes} changes were tried, alone or two together, and none turns this without stopping \
             something else."
        ),
        NoRemedy::Tried { changes, .. } => say!(
            "No remedy: {changes} changes were tried, alone or up to three together, and none turns this without \
             stopping something else."
        ),
    }
}

/// Changes in words, in the imperative: one sentence.
#[must_use]
pub fn changes(changes: &[Change], units: UnitSystem) -> String {
    let mut each = changes.iter().map(|one| change(one, units));
    let Some(first) = each.next() else { return String::new() };
    let mut rest: Vec<String> = each.map(within).collect();
    let Some(last) = rest.pop() else { return first };
    match rest.is_empty() {
        true => say!("{first} and {last}"),
        false => say!("{first}, {others} and {last}", others = rest.join(", ")),
    }
}

/// A sentence as a part of a longer one. German ones begin with a noun or a number, which stay as they are.
fn within(sentence: String) -> String {
    match Language::current() {
        Language::German => sentence,
        Language::English | Language::Marked => {
            let mut rest = sentence.chars();
            rest.next().into_iter().flat_map(char::to_lowercase).chain(rest).collect()
        }
    }
}

/// A change in words, in the imperative.
#[must_use]
pub fn change(change: &Change, units: UnitSystem) -> String {
    match change {
        Change::Pressure(pressure) => say!("Set {pressure}", pressure = pressure.show(units)),
        Change::Standoff(standoff) => say!("Hold the nozzle {standoff} away", standoff = standoff.show(units)),
        Change::Nozzle(name) => say!("Use the nozzle \u{201c}{name}\u{201d}"),
        Change::Resist(id) => say!(in "a resist", "Use {resist}", resist = resist_name(id)),
        Change::Abrasive(id, grit) => say!("Use {abrasive} {grit}", abrasive = abrasive_name(id)),
        Change::Finish(id, grit, stages) => say_count!(
            *stages,
            "Use {abrasive} {grit} for the last stage",
            "Use {abrasive} {grit} for the last {n} stages",
            abrasive = abrasive_name(id),
            n = stages
        ),
        Change::Depth(depth) => say!("Carve no deeper than {depth}", depth = depth.show(units)),
        Change::LayerDepth(layer, depth) => {
            say!("Carve \u{201c}{layer}\u{201d} {depth} deep", depth = depth.show(units))
        }
        Change::Width(width) => say!("Draw the artwork {width} wide", width = width.show(units)),
        Change::BlankThickness(thickness) => {
            say!("Take a blank {thickness} thick", thickness = thickness.show(units))
        }
        Change::Gores(count) => say!("Cut the film into {count} gores"),
        Change::Collector(flow) => say!("Fit a collector that draws {flow}", flow = flow.show(units)),
        Change::Safety(mend) => safety::check::words::mend(*mend, units),
        Change::Delivered(name, flow) => say!(
            "Time how fast \u{201c}{name}\u{201d} fills the receiver and write what it delivers; {flow} is likely",
            flow = flow.show(units)
        ),
        Change::BuyResist(id) => say!(in "a resist", "Buy {resist}", resist = resist_name(id)),
        Change::BuyAbrasive(id, grit) => say!("Buy {abrasive} {grit}", abrasive = abrasive_name(id)),
        Change::BuyNozzle(of) => say!("Buy a nozzle of {bore}", bore = bore(*of, units)),
        Change::Hose(of) => say!("Fit a blast hose of {bore}", bore = bore(*of, units)),
        Change::Receiver(volume) => say!("Fit receivers of {volume} in all", volume = volume.show(units)),
        Change::Compressor(flow) => say!("Fit a compressor that delivers {flow}", flow = flow.show(units)),
    }
}

pub(crate) fn resist_name(id: &str) -> &str {
    reference::tables().resist(id).map_or(id, |resist| resist.name.shown())
}

pub(crate) fn abrasive_name(id: &str) -> &str {
    reference::tables().abrasive(id).map_or(id, |abrasive| abrasive.name.shown())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::State;

    fn turned(layer: &str, to: State) -> Turned {
        Turned { check: Check::Opening { layer: layer.to_owned() }, from: State::Stop, to }
    }

    #[test]
    fn what_turns_alike_on_several_layers_is_said_once_and_what_does_not_by_layer() {
        let walls = Turned { check: Check::Wall, from: State::Watch, to: State::Holds };
        let alike = [turned("deep", State::Holds), walls.clone(), turned("middle", State::Holds)];
        assert_eq!(others(&alike).unwrap(), "openings then holds, resist walls then holds");
        let apart = [turned("deep", State::Watch), walls, turned("middle", State::Holds)];
        assert_eq!(
            others(&apart).unwrap(),
            "openings of \u{201c}deep\u{201d} then watch, resist walls then holds, openings of \u{201c}middle\u{201d} then holds"
        );
        assert_eq!(others(&[]), None);
    }

    #[test]
    fn a_cost_that_falls_has_a_true_minus() {
        let thousandths = |amount: i64| Money(rust_decimal::Decimal::new(amount, 3));
        assert_eq!(cost(thousandths(-29_230)).unwrap(), "cost \u{2212}29.23");
        assert_eq!(cost(thousandths(30_600)).unwrap(), "cost +30.60");
        assert_eq!(cost(thousandths(1)), None);
    }
}
