//! Remedies and changes in English.

use crate::finding::{Amount, Change, Mark, NoRemedy, Outlay, Remedy, Turned};
use crate::words::{amount, check_name, state};
use piece::Money;
use quantity::UnitSystem;
use quantity::show::{Show, bore, significant};

/// A remedy as a sentence: the changes, what they give, what they cost, what else they turn.
#[must_use]
pub fn remedy(remedy: &Remedy, units: UnitSystem) -> String {
    let mark = match remedy.mark {
        None => "",
        Some(Mark::ThinnestResist) => ", the thinnest here that holds",
        Some(Mark::SmallestDrawing) => ", the least at which all its widths hold",
    };
    let value = match remedy.value {
        // A yes or no has no number to tell.
        Amount::Safety(None) => String::new(),
        value => format!("{}, ", amount(&value, units)),
    };
    let (time, cost, others) = (time(remedy.time_s), cost(remedy.cost), others(&remedy.others));
    let bought = remedy.changes.iter().any(|change| change.outlay() > Outlay::Nothing);
    let bought = if bought { "; what is bought is not counted" } else { "" };
    format!("{}{mark}: {value}{}{time}{cost}{others}{bought}", changes(&remedy.changes, units), state(remedy.gives))
}

fn time(seconds: f64) -> String {
    match seconds / 60.0 {
        m if m.abs() < 0.5 => String::new(),
        m if m > 0.0 => format!(", +{} min", significant(m, 2)),
        m => format!(", {} min", significant(m, 2)),
    }
}

fn cost(cost: Money) -> String {
    let cents = cost.cents();
    match cents {
        cents if cents.is_zero() => String::new(),
        cents if cents.is_sign_negative() => format!(", cost {cents}"),
        cents => format!(", cost +{cents}"),
    }
}

fn others(others: &[Turned]) -> String {
    if others.is_empty() {
        return String::new();
    }
    let each: Vec<String> =
        others.iter().map(|turned| format!("{} then {}", check_name(&turned.check), state(turned.to))).collect();
    format!("; {}", each.join(", "))
}

/// That and why a finding has no remedy.
#[must_use]
pub fn no_remedy(none: NoRemedy) -> String {
    match none {
        NoRemedy::NothingBears => {
            "No remedy: nothing of the piece, the recipe or the shop that a plan can change bears on this.".to_owned()
        }
        NoRemedy::Tried { changes: 1, .. } => {
            "No remedy: the one change that bears on this does not turn it, or stops something else.".to_owned()
        }
        NoRemedy::Tried { changes, together } => {
            let together = match together {
                0 | 1 => "",
                2 => ", alone or two together,",
                _ => ", alone or up to three together,",
            };
            format!(
                "No remedy: {changes} changes were tried{together} and none turns this without stopping something else."
            )
        }
    }
}

/// Changes in words, in the imperative: one sentence.
#[must_use]
pub fn changes(changes: &[Change], units: UnitSystem) -> String {
    let each: Vec<String> = changes.iter().map(|one| change(one, units)).collect();
    let lower =
        |words: &String| words.chars().take(1).flat_map(char::to_lowercase).chain(words.chars().skip(1)).collect();
    let rest: Vec<String> = each.iter().skip(1).map(lower).collect();
    match (each.first(), rest.as_slice()) {
        (None, _) => String::new(),
        (Some(first), []) => first.clone(),
        (Some(first), [last]) => format!("{first} and {last}"),
        (Some(first), [others @ .., last]) => format!("{first}, {} and {last}", others.join(", ")),
    }
}

/// A change in words, in the imperative.
#[must_use]
pub fn change(change: &Change, units: UnitSystem) -> String {
    match change {
        Change::Pressure(pressure) => format!("Set {}", pressure.show(units)),
        Change::Standoff(standoff) => format!("Hold the nozzle {} away", standoff.show(units)),
        Change::Nozzle(name) => format!("Use the nozzle \u{201c}{name}\u{201d}"),
        Change::Resist(id) => format!("Use {}", resist_name(id)),
        Change::Abrasive(id, grit) => format!("Use {} {grit}", abrasive_name(id)),
        Change::Depth(depth) => format!("Carve no deeper than {}", depth.show(units)),
        Change::LayerDepth(layer, depth) => format!("Carve \u{201c}{layer}\u{201d} {} deep", depth.show(units)),
        Change::Width(width) => format!("Draw the artwork {} wide", width.show(units)),
        Change::BlankThickness(thickness) => format!("Take a blank {} thick", thickness.show(units)),
        Change::Gores(count) => format!("Cut the film into {count} gores"),
        Change::Collector(flow) => format!("Fit a collector that draws {}", flow.show(units)),
        Change::Safety(mend) => safety::check::words::mend(*mend, units),
        Change::Delivered(name, flow) => {
            format!(
                "Time how fast \u{201c}{name}\u{201d} fills the receiver and write what it delivers; {} is likely",
                flow.show(units)
            )
        }
        Change::BuyResist(id) => format!("Buy {}", resist_name(id)),
        Change::BuyAbrasive(id, grit) => format!("Buy {} {grit}", abrasive_name(id)),
        Change::BuyNozzle(of) => format!("Buy a nozzle of {}", bore(*of, units)),
        Change::Hose(of) => format!("Fit a blast hose of {}", bore(*of, units)),
        Change::Receiver(volume) => format!("Fit receivers of {} in all", volume.show(units)),
        Change::Compressor(flow) => format!("Fit a compressor that delivers {}", flow.show(units)),
    }
}

pub(crate) fn resist_name(id: &str) -> &str {
    reference::tables().resist(id).map_or(id, |resist| &resist.name)
}

pub(crate) fn abrasive_name(id: &str) -> &str {
    reference::tables().abrasive(id).map_or(id, |abrasive| &abrasive.name)
}
