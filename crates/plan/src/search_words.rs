//! What a search found, in English.

use crate::finding::{Check, Outlay};
use crate::model::Recipe;
use crate::search::{Choice, Role, Search, Unlock};
use crate::words::{changes, check_name};
use piece::Money;
use quantity::show::{Show as _, bore, clock};
use quantity::{Fraction, Quantity as _, Time, UnitSystem};
use rust_decimal::Decimal;

/// The word of what a recipe is best at.
#[must_use]
pub const fn role(role: Role) -> &'static str {
    match role {
        Role::Quickest => "quickest",
        Role::Cheapest => "cheapest",
        Role::Surest => "surest",
        Role::Balanced => "near the best in all",
    }
}

/// What was searched and what came of it, in a sentence.
#[must_use]
pub fn summary(search: &Search) -> String {
    let part = if search.complete {
        format!("{} recipes were judged", thousands(search.tried))
    } else {
        format!("The search was ended: {} of {} recipes were judged", thousands(search.tried), thousands(search.of))
    };
    match (search.front.len(), search.few.len()) {
        (0, _) => format!("{part}; none holds."),
        (1, _) => format!("{part}; {} hold, and one is best in time, cost and risk.", thousands(search.hold)),
        (front, few) => format!(
            "{part}; {} hold. {front} of them no other beats in time, cost and risk at once; {}.",
            thousands(search.hold),
            match few {
                1 => "they are so alike that one is enough".to_owned(),
                few => format!("{few} are worth choosing between"),
            }
        ),
    }
}

/// One of the few, as a sentence: what it takes, what it gives, and what it is against the surest of them.
#[must_use]
pub fn few(search: &Search, place: usize) -> String {
    let Some(&(best_at, at)) = search.few.get(place) else { return String::new() };
    let choice = &search.front[at];
    let against = search.few.iter().find(|(role, _)| *role == Role::Surest).map(|&(_, at)| &search.front[at]);
    let against = match against {
        Some(surest) if best_at != Role::Surest => format!(" Against the surest: {}.", against_it(choice, surest)),
        _ => String::new(),
    };
    let name = role(best_at);
    let first: String = name.chars().take(1).flat_map(char::to_uppercase).collect();
    format!("{first}{}: {}{against}", &name[first.len()..], told(choice, &search.currency, search.units))
}

/// A recipe with what it comes to.
#[must_use]
pub fn told(choice: &Choice, currency: &str, units: UnitSystem) -> String {
    format!(
        "{}, {} {currency} a piece before what the risk spoils, {}. {}.",
        clock(time(choice)),
        cost(choice),
        risk(choice),
        recipe(&choice.recipe, units)
    )
}

/// As a plan has it where that was worked out.
fn time(choice: &Choice) -> Time {
    choice.planned.map_or(choice.time, |(time, _)| time)
}

fn cost(choice: &Choice) -> Money {
    choice.planned.map_or(choice.cost, |(_, cost)| cost)
}

/// The chance of a stop, and what would stop it.
#[must_use]
pub fn risk(choice: &Choice) -> String {
    let of = |check: &Check, share: Fraction| format!("{} {}", check_name(check), in_a_hundred(share));
    let mut stops: Vec<&str> = choice.stops.iter().map(check_name).collect();
    // Openings of several layers are said once.
    stops.dedup();
    match (stops.as_slice(), choice.risks.as_slice()) {
        ([_, ..], _) => format!("stopped by {}", stops.join(", ")),
        ([], []) => "nothing stops it in any sample of the model".to_owned(),
        ([], [(check, _)]) => format!("{} that {} stops it", in_a_hundred(choice.risk), check_name(check)),
        ([], risks) => {
            let each: Vec<String> = risks.iter().take(3).map(|(check, share)| of(check, *share)).collect();
            format!("{} that something stops it ({})", in_a_hundred(choice.risk), each.join(", "))
        }
    }
}

fn in_a_hundred(share: Fraction) -> String {
    match share.to_percent() {
        percent if percent < 1.0 => "fewer than 1 in 100".to_owned(),
        percent => format!("{percent:.0} in 100"),
    }
}

/// Differences in time, cost and risk.
fn against_it(choice: &Choice, other: &Choice) -> String {
    let seconds = time(choice).to_seconds() - time(other).to_seconds();
    // To the minute: nobody plans by seconds.
    let span = clock(Time::clamped((seconds.abs() / 60.0).round() * 60.0));
    let time = match seconds {
        s if s.abs() < 30.0 => "as quick".to_owned(),
        s if s < 0.0 => format!("{span} less"),
        _ => format!("{span} more"),
    };
    let money = Money(cost(choice).0 - cost(other).0);
    let cost = match money.cents() {
        cents if cents.abs() < Decimal::new(5, 2) => "the same cost".to_owned(),
        cents if cents.is_sign_negative() => format!("{} cheaper", -cents),
        cents => format!("{cents} dearer"),
    };
    let risk = choice.risk.to_percent() - other.risk.to_percent();
    let risk = match risk {
        r if r.abs() < 0.5 => "no more risk".to_owned(),
        r if r > 0.0 => format!("{r:.0} in 100 more risk"),
        r => format!("{:.0} in 100 less risk", -r),
    };
    format!("{time}, {cost}, {risk}")
}

/// A recipe as one line.
#[must_use]
pub fn recipe(recipe: &Recipe, units: UnitSystem) -> String {
    format!(
        "{}; {} {}; nozzle \u{201c}{}\u{201d}, {}; {} on the regulator; {} from the work",
        recipe.resist.name,
        recipe.abrasive.name,
        recipe.grit.name,
        recipe.nozzle.name,
        bore(recipe.nozzle.bore, units),
        recipe.pressure.show(units),
        recipe.standoff.show(units),
    )
}

/// What stops the recipes, when none holds.
#[must_use]
pub fn stopped_by(search: &Search) -> String {
    let each: Vec<String> = search
        .stopped_by
        .iter()
        .map(|(check, count)| format!("{} in {} of {}", of_layer(check), thousands(*count), thousands(search.of)))
        .collect();
    format!("What stops them: {}.", each.join("; "))
}

/// A check with the layer that it concerns, if any.
fn of_layer(check: &Check) -> String {
    match check {
        Check::Opening { layer } | Check::NarrowDepth { layer } => {
            format!("{} of \u{201c}{layer}\u{201d}", check_name(check))
        }
        _ => check_name(check).to_owned(),
    }
}

/// A change with which recipes hold, in a sentence.
#[must_use]
pub fn unlock(unlock: &Unlock, currency: &str, units: UnitSystem) -> String {
    let what = match unlock.changes.as_slice() {
        [] => "Nothing to buy: a setting between those that were tried holds".to_owned(),
        all => changes(all, units),
    };
    let price = match (unlock.price, unlock.outlay) {
        (_, Outlay::Nothing) => "costs no outlay".to_owned(),
        (Some(price), _) => format!("costs {price} {currency}"),
        (None, _) => "its price is in no table".to_owned(),
    };
    format!(
        "{what}: {price}; then {} of {} recipes hold. One of them: {}",
        thousands(unlock.recipes),
        thousands(unlock.of),
        told(&unlock.best, currency, units)
    )
}

/// By what the changes are ranked.
#[must_use]
pub fn ranked(unlocks: &[Unlock]) -> String {
    let unpriced = unlocks.iter().any(|one| one.price.is_none());
    let price = if unpriced {
        "No price is known for some of it, so it is ranked by kind of outlay (none; a roll, bag or blank; a part; a \
         machine), then by how few changes it takes, then by how many recipes it unlocks."
    } else {
        "Ranked by kind of outlay, then by price for each recipe that it unlocks."
    };
    price.to_owned()
}

/// What a kind of outlay is called.
#[must_use]
pub const fn outlay(outlay: Outlay) -> &'static str {
    match outlay {
        Outlay::Nothing => "nothing",
        Outlay::Consumable => "consumable",
        Outlay::Part => "part",
        Outlay::Machine => "machine",
    }
}

/// Everything that a search found, for people.
#[must_use]
pub fn all(search: &Search) -> String {
    let mut lines = vec![summary(search)];
    for place in 0..search.few.len() {
        lines.push(format!("· {}", few(search, place)));
    }
    if let Some(own) = &search.own {
        lines.push(format!("As the piece is written: {}", told(own, &search.currency, search.units)));
    }
    if search.front.is_empty() && search.complete {
        lines.push(stopped_by(search));
        lines.push(match search.unlocks.is_empty() {
            true => "No change of up to three things was found with which any recipe holds.".to_owned(),
            false => format!("What would make it hold. {}", ranked(&search.unlocks)),
        });
        lines.extend(search.unlocks.iter().map(|one| format!("· {}", unlock(one, &search.currency, search.units))));
    }
    if !search.front.is_empty() {
        lines.push(
            "Risk: the share of the model's samples under which a check stops the piece; one coupon narrows it."
                .to_owned(),
        );
    }
    lines.join("\n") + "\n"
}

fn thousands(count: usize) -> String {
    let digits = count.to_string();
    let groups: Vec<&str> =
        digits.as_bytes().rchunks(3).rev().filter_map(|group| std::str::from_utf8(group).ok()).collect();
    groups.join(",")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Change;

    #[test]
    fn counts_are_grouped_by_thousands() {
        assert_eq!(
            [thousands(7), thousands(812), thousands(3024), thousands(1_020_000)],
            ["7", "812", "3,024", "1,020,000"]
        );
    }

    #[test]
    fn an_outlay_has_a_word_and_none_is_told_as_none() {
        let kinds = [Change::Nozzle("a".into()), Change::BuyResist("b".into())].map(|change| outlay(change.outlay()));
        assert_eq!(kinds, ["nothing", "consumable"]);
    }
}
