//! A class in words.

use crate::change::{Change, Search, Tried};
use crate::class::Class;
use crate::shopping::{Item, Shopping};
use crate::simulate::{AirOutcome, Outcome, StationOutcome};
use crate::statistics::Mean;
use language::{say, say_count};
use piece::Money;
use quantity::show::{Show as _, clock};
use quantity::{Quantity as _, Time, UnitSystem};

/// A mean time with half its interval: `3 h 41 min ± 1 min 20 s`.
#[must_use]
pub fn mean_time(mean: Mean<Time>) -> String {
    let half = 0.5 * (mean.high.to_seconds() - mean.low.to_seconds());
    match half < 0.5 {
        true => told(mean.mid),
        false => format!("{} ± {}", told(mean.mid), clock(Time::clamped(half))),
    }
}

/// Seconds below two minutes, else minutes.
fn told(time: Time) -> String {
    let seconds = time.to_seconds();
    if seconds < 120.0 { clock(time) } else { clock(Time::clamped(60.0 * (seconds / 60.0).round())) }
}

/// A number with half its interval.
#[must_use]
pub fn mean_number(mean: Mean<f64>) -> String {
    let half = 0.5 * (mean.high - mean.low);
    language::number(match half < 0.005 {
        true => format!("{:.1}", mean.mid),
        false if half < 0.05 => format!("{:.2} ± {half:.2}", mean.mid),
        false => format!("{:.1} ± {half:.1}", mean.mid),
    })
}

/// A share with its interval, in whole percent.
#[must_use]
pub fn mean_share(mean: Mean<quantity::Fraction>) -> String {
    let percent = mean.map(|share| share.to_percent().round());
    match percent.low == percent.high {
        true => format!("{}\u{202f}%", percent.mid),
        false => format!("{}\u{202f}% ({}–{})", percent.mid, percent.low, percent.high),
    }
}

/// The class in a sentence or two: when it ends and whether that is in time.
#[must_use]
pub fn sentence(class: &Class, outcome: &Outcome) -> String {
    let ends = say!(
        "{students}, {pieces}: nine such classes in ten end between {low} and {high}; the room is had until {until}.",
        students = say_count!(class.students, "{n} student", "{n} students", n = class.students),
        pieces = say_count!(class.pieces(), "{n} piece", "{n} pieces", n = class.pieces()),
        low = class.clock(outcome.end_spread.low()),
        high = class.clock(outcome.end_spread.high()),
        until = class.clock(class.length),
    );
    let (share, classes) = (mean_share(outcome.on_time), outcome.replications);
    let sure = class.sure.show_digits(UnitSystem::Metric, 2);
    let verdict = match outcome.holds {
        true => say!("It ends on time: in {share} of {classes} simulated classes, {sure} wanted."),
        false => {
            say!("It does not end on time often enough: in {share} of {classes} simulated classes, {sure} wanted.")
        }
    };
    format!("{ends} {verdict}")
}

/// What happens at a station.
#[must_use]
pub fn station(outcome: &StationOutcome) -> String {
    say!(
        "{station}: wait {wait} a visit, longest {longest}, queue at most {queue}, in use {busy}",
        station = outcome.name,
        wait = mean_time(outcome.wait),
        longest = mean_time(outcome.longest_wait),
        queue = mean_number(outcome.queue_most),
        busy = mean_share(outcome.busy)
    )
}

/// What the air does, and the teacher's rule for it.
#[must_use]
pub fn air(outcome: &AirOutcome, units: UnitSystem) -> String {
    let (share, limit) = (mean_share(outcome.share), outcome.limit.show_digits(units, 2));
    let duty = match outcome.share.high > outcome.limit {
        true => say!("the compressor runs {share} of the time, above its limit of {limit}"),
        false => say!("the compressor runs {share} of the time, within its limit of {limit}"),
    };
    let rests = match outcome.rests.mid > 0.05 {
        true => say!(
            "all nozzles rest {times} times until the receiver is full; nozzles stand shut for {shut} in all",
            times = mean_number(outcome.rests),
            shut = mean_time(outcome.rested)
        ),
        false => say!("no rest for air is needed").to_owned(),
    };
    say!(
        "Nozzles are open for {open} in all; {duty}; {rests}. Lowest in the receiver: {lowest}; {energy} kWh.",
        open = mean_time(outcome.blasted),
        lowest = outcome.lowest.mid.show(units),
        energy = mean_number(outcome.energy_kwh)
    )
}

/// The rule at the cabinets, to be said and printed.
#[must_use]
pub fn air_rule(class: &Class, outcome: &AirOutcome, units: UnitSystem) -> String {
    let shuts = say!(
        "When the receiver's gauge falls to {low}, every nozzle shuts until it shows {full} again.",
        low = outcome.shut_at.show(units),
        full = outcome.open_at.show(units)
    );
    match outcome.at_once {
        most if most < class.cabinets() => {
            let few = say!("No more than {most} nozzles are open at a time: the line holds no more.");
            format!("{few} {shuts}")
        }
        _ => shuts,
    }
}

/// Changes as one phrase.
#[must_use]
pub fn changes(class: &Class, changes: &[Change]) -> String {
    let mut parts: Vec<(String, u32)> = Vec::new();
    for change in changes {
        let words = change_words(class, *change);
        match parts.iter_mut().find(|(known, _)| *known == words) {
            Some((_, count)) => *count += 1,
            None => parts.push((words, 1)),
        }
    }
    let part = |(words, count): (String, u32)| match count {
        1 => words,
        count => format!("{count} × {words}"),
    };
    parts.into_iter().map(part).reduce(|first, next| say!("{first} and {next}")).unwrap_or_default()
}

fn change_words(class: &Class, change: Change) -> String {
    match change {
        Change::Another(at) => {
            let station = class.stations.get(at).map_or("", |station| station.name.as_str());
            say!("one more {station}")
        }
        Change::Stagger(time) => say!("each student begins {time} after the one before", time = clock(time)),
        Change::Ahead(at) => {
            let step = class.steps.get(at).map_or("", |step| step.name.as_str());
            say!("“{step}” done before the class")
        }
        Change::FewerPieces => say!("one piece less for each student").to_owned(),
        Change::FewerStudents => say!("one student less").to_owned(),
    }
}

/// A set of changes with what it costs and gives.
#[must_use]
pub fn tried(class: &Class, tried: &Tried, currency: &str) -> String {
    let (changes, cost) = (changes(class, &tried.changes), money(tried.cost));
    let costs = match tried.gives_up {
        true => say!("{changes}: {cost} {currency} in fees given up"),
        false => format!("{changes}: {cost} {currency}"),
    };
    let moved = tried.earlier_s.mid;
    let (time, share) = (told(Time::clamped(moved.abs())), mean_share(tried.on_time));
    let ends = match moved <= 0.0 {
        true => say!("ends {time} earlier, on time in {share}"),
        false => say!("ends {time} later, on time in {share}"),
    };
    format!("{costs}; {ends}")
}

/// What was tried, in a sentence.
#[must_use]
pub fn search(class: &Class, search: &Search, currency: &str) -> Vec<String> {
    let sets = search.tried;
    let (line, list) = match search.on_time.is_empty() {
        false => (say!("{sets} sets of changes tried; the cheapest that end on time:"), &search.on_time),
        true => (say!("{sets} sets of changes tried, none ends on time; the earliest:"), &search.nearest),
    };
    std::iter::once(line).chain(list.iter().map(|it| format!("· {}", tried(class, it, currency)))).collect()
}

/// A line of the shopping list.
#[must_use]
pub fn item(item: &Item) -> String {
    let needed = quantity::show::significant(item.needed, 3);
    let (name, unit) = (&item.name, &item.unit);
    match item.pack == 1.0 {
        true => say!("{name}: {needed} {unit} needed, buy {packs}", packs = item.packs),
        false => say_count!(
            item.packs,
            "{name}: {needed} {unit} needed, buy 1 pack of {size}",
            "{name}: {needed} {unit} needed, buy {packs} packs of {size}",
            packs = item.packs,
            size = language::number(item.pack.to_string())
        ),
    }
}

/// An amount with the reader's decimal mark.
fn money(amount: Money) -> String {
    language::number(amount.to_string())
}

/// All of it, for people.
#[must_use]
pub fn all(
    class: &Class,
    outcome: &Outcome,
    tried: Option<&Search>,
    shopping: &Shopping,
    (currency, units): (&str, UnitSystem),
) -> String {
    let mut lines = vec![format!("{}: {}", class.name, sentence(class, outcome)), String::new()];
    lines.push(say!(
        "A student takes {stay}, of which {waiting} waiting; {pieces} pieces an hour.",
        stay = mean_time(outcome.student),
        waiting = mean_time(outcome.waiting),
        pieces = mean_number(outcome.pieces_per_hour)
    ));
    lines.extend(outcome.stations.iter().map(station));
    lines.extend(outcome.air.as_ref().map(|it| air(it, units)));
    lines.extend(outcome.air.as_ref().map(|it| air_rule(class, it, units)));
    lines.push(say!("Means with their 95 % intervals over the replications.").to_owned());
    lines.extend(
        tried.into_iter().flat_map(|tried| std::iter::once(String::new()).chain(search(class, tried, currency))),
    );
    lines.push(String::new());
    lines.extend(shopping.items.iter().map(|it| format!("{}: {} {currency}", item(it), money(it.price))));
    lines.push(say!("In all {amount} {currency}", amount = money(shopping.total)));
    lines.join("\n") + "\n"
}
