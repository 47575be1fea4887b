//! What a search found, in words.

use crate::finding::{Check, Outlay};
use crate::model::Recipe;
use crate::search::{Choice, Role, Search, Unlock};
use crate::words::{self, changes, check_name};
use language::{Language, say};
use piece::Money;
use quantity::show::{Show as _, bore, clock};
use quantity::{Fraction, Quantity as _, Time, UnitSystem};
use rust_decimal::Decimal;

/// The word of what a recipe is best at.
#[must_use]
pub fn role(role: Role) -> &'static str {
    match role {
        Role::Quickest => say!(in "a recipe", "quickest"),
        Role::Cheapest => say!(in "a recipe", "cheapest"),
        Role::Surest => say!(in "a recipe", "surest"),
        Role::Balanced => say!(in "a recipe", "near the best in all"),
    }
}

/// What was searched and what came of it, in a sentence.
#[must_use]
pub fn summary(search: &Search) -> String {
    let (tried, of, hold) = (thousands(search.tried), thousands(search.of), thousands(search.hold));
    let judged = match search.complete {
        true => say!("{tried} recipes were judged"),
        false => say!("The search was ended: {tried} of {of} recipes were judged"),
    };
    match (search.front.len(), search.few.len()) {
        (0, _) => say!("{judged}; none holds."),
        (1, _) => say!("{judged}; {hold} hold, and one is best in time, cost and risk."),
        (front, 1) => say!(
            "{judged}; {hold} hold. {front} of them no other beats in time, cost and risk at once; they are so alike that \
             one is enough."
        ),
        (front, few) => say!(
            "{judged}; {hold} hold. {front} of them no other beats in time, cost and risk at once; {few} are worth \
             choosing between."
        ),
    }
}

/// One of the few, as a sentence: what it takes, what it gives, and what it is against the surest of them.
#[must_use]
pub fn few(search: &Search, place: usize) -> String {
    let Some(&(best_at, at)) = search.few.get(place) else { return String::new() };
    let choice = &search.front[at];
    let told = told(choice, &search.currency, search.units);
    let told = match best_at {
        Role::Quickest => say!("Quickest: {told}"),
        Role::Cheapest => say!("Cheapest: {told}"),
        Role::Surest => say!("Surest: {told}"),
        Role::Balanced => say!("Near the best in all: {told}"),
    };
    let surest = search.few.iter().find(|(role, _)| *role == Role::Surest).map(|&(_, at)| &search.front[at]);
    match surest {
        Some(surest) if best_at != Role::Surest => {
            format!("{told} {}", say!("Against the surest: {difference}.", difference = against_it(choice, surest)))
        }
        _ => told,
    }
}

/// A recipe with what it comes to.
#[must_use]
pub fn told(choice: &Choice, currency: &str, units: UnitSystem) -> String {
    say!(
        "{time}, {cost} {currency} a piece before what the risk spoils, {risk}. {recipe}.",
        time = clock(time(choice)),
        cost = shown(cost(choice)),
        risk = risk(choice),
        recipe = recipe(&choice.recipe, units)
    )
}

/// An amount with the reader's decimal mark.
fn shown(amount: Money) -> String {
    language::number(amount.to_string())
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
        ([_, ..], _) => say!("stopped by {checks}", checks = stops.join(", ")),
        ([], []) => say!("nothing stops it in any sample of the model").to_owned(),
        ([], [(check, _)]) => {
            say!("{chance} that {check} stops it", chance = in_a_hundred(choice.risk), check = check_name(check))
        }
        ([], risks) => {
            let each: Vec<String> = risks.iter().take(3).map(|(check, share)| of(check, *share)).collect();
            say!(
                "{chance} that something stops it ({checks})",
                chance = in_a_hundred(choice.risk),
                checks = each.join(", ")
            )
        }
    }
}

fn in_a_hundred(share: Fraction) -> String {
    match share.to_percent() {
        percent if percent < 1.0 => say!("fewer than 1 in 100").to_owned(),
        percent => say!("{percent:.0} in 100"),
    }
}

/// Differences in time, cost and risk.
fn against_it(choice: &Choice, other: &Choice) -> String {
    let seconds = time(choice).to_seconds() - time(other).to_seconds();
    // To the minute: nobody plans by seconds.
    let span = clock(Time::clamped((seconds.abs() / 60.0).round() * 60.0));
    let time = match seconds {
        s if s.abs() < 30.0 => say!("as quick").to_owned(),
        s if s < 0.0 => say!(in "a time", "{span} less"),
        _ => say!(in "a time", "{span} more"),
    };
    let cents = Money(cost(choice).0 - cost(other).0).cents();
    let amount = language::number(cents.abs().to_string());
    let cost = match cents {
        cents if cents.abs() < Decimal::new(5, 2) => say!("the same cost").to_owned(),
        cents if cents.is_sign_negative() => say!("{amount} cheaper"),
        _ => say!("{amount} dearer"),
    };
    let risk = match choice.risk.to_percent() - other.risk.to_percent() {
        r if r.abs() < 0.5 => say!("no more risk").to_owned(),
        r if r > 0.0 => say!("{r:.0} in 100 more risk"),
        r => say!("{r:.0} in 100 less risk", r = -r),
    };
    format!("{time}, {cost}, {risk}")
}

/// A recipe as one line.
#[must_use]
pub fn recipe(recipe: &Recipe, units: UnitSystem) -> String {
    say!(
        "{resist}; {abrasives}; nozzle \u{201c}{nozzle}\u{201d}, {bore}; {pressure} on the regulator; {away} from \
         the work",
        resist = recipe.resist.name,
        abrasives = words::abrasives(recipe),
        nozzle = recipe.nozzle.name,
        bore = bore(recipe.nozzle.bore, units),
        pressure = recipe.pressure.show(units),
        away = recipe.standoff.show(units),
    )
}

/// What stops the recipes, when none holds.
#[must_use]
pub fn stopped_by(search: &Search) -> String {
    let of = thousands(search.of);
    let one = |(check, count): &(Check, usize)| {
        say!("{check} in {count} of {of}", check = of_layer(check), count = thousands(*count))
    };
    let each: Vec<String> = search.stopped_by.iter().map(one).collect();
    say!("What stops them: {checks}.", checks = each.join("; "))
}

/// A check with the layer that it concerns, if any.
fn of_layer(check: &Check) -> String {
    let name = check_name(check);
    match check {
        Check::Opening { layer } | Check::NarrowDepth { layer } => say!("{name} of \u{201c}{layer}\u{201d}"),
        _ => name.to_owned(),
    }
}

/// A change with which recipes hold, in a sentence.
#[must_use]
pub fn unlock(unlock: &Unlock, currency: &str, units: UnitSystem) -> String {
    let what = match unlock.changes.as_slice() {
        [] => say!("Nothing to buy: a setting between those that were tried holds").to_owned(),
        all => changes(all, units),
    };
    let price = match (unlock.price, unlock.outlay) {
        (_, Outlay::Nothing) => say!("costs no outlay").to_owned(),
        (Some(price), _) => say!("costs {price} {currency}", price = shown(price)),
        (None, _) => say!("its price is in no table").to_owned(),
    };
    say!(
        "{what}: {price}; then {recipes} of {of} recipes hold. One of them: {told}",
        recipes = thousands(unlock.recipes),
        of = thousands(unlock.of),
        told = told(&unlock.best, currency, units)
    )
}

/// By what the changes are ranked.
#[must_use]
pub fn ranked(unlocks: &[Unlock]) -> String {
    let unpriced = unlocks.iter().any(|one| one.price.is_none());
    let price = if unpriced {
        say!(
            "No price is known for some of it, so it is ranked by kind of outlay (none; a roll, bag or blank; a part; a \
             machine), then by how few changes it takes, then by how many recipes it unlocks."
        )
    } else {
        say!("Ranked by kind of outlay, then by price for each recipe that it unlocks.")
    };
    price.to_owned()
}

/// Everything that a search found, for people.
#[must_use]
pub fn all(search: &Search) -> String {
    let mut lines = vec![summary(search)];
    for place in 0..search.few.len() {
        lines.push(format!("· {}", few(search, place)));
    }
    if let Some(own) = &search.own {
        lines.push(say!("As the piece is written: {told}", told = told(own, &search.currency, search.units)));
    }
    if search.front.is_empty() && search.complete {
        lines.push(stopped_by(search));
        lines.push(match search.unlocks.is_empty() {
            true => say!("No change of up to three things was found with which any recipe holds.").to_owned(),
            false => format!("{} {}", say!("What would make it hold."), ranked(&search.unlocks)),
        });
        lines.extend(search.unlocks.iter().map(|one| format!("· {}", unlock(one, &search.currency, search.units))));
    }
    if !search.front.is_empty() {
        lines.push(
            say!("Risk: the share of the model's samples under which a check stops the piece; one coupon narrows it.")
                .to_owned(),
        );
    }
    lines.join("\n") + "\n"
}

/// A count in groups of three digits. Where a comma is the decimal mark a narrow space stands between them (SI brochure,
/// 5.4.4).
fn thousands(count: usize) -> String {
    let digits = count.to_string();
    let groups: Vec<&str> =
        digits.as_bytes().rchunks(3).rev().filter_map(|group| std::str::from_utf8(group).ok()).collect();
    let between = if Language::current().decimal_mark() == '.' { "," } else { "\u{202f}" };
    groups.join(between)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_grouped_by_thousands() {
        assert_eq!(
            [thousands(7), thousands(812), thousands(3024), thousands(1_020_000)],
            ["7", "812", "3,024", "1,020,000"]
        );
    }
}
