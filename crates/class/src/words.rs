//! A class in words.

use crate::change::{Change, Search, Tried};
use crate::class::Class;
use crate::shopping::{Item, Shopping};
use crate::simulate::{AirOutcome, Outcome, StationOutcome};
use crate::statistics::Mean;
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
    match half < 0.005 {
        true => format!("{:.1}", mean.mid),
        false if half < 0.05 => format!("{:.2} ± {half:.2}", mean.mid),
        false => format!("{:.1} ± {half:.1}", mean.mid),
    }
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
    let (low, high) = (class.clock(outcome.end_spread.low()), class.clock(outcome.end_spread.high()));
    let pieces = if class.pieces() == 1 { "1 piece".to_owned() } else { format!("{} pieces", class.pieces()) };
    let verdict = if outcome.holds { "It ends on time" } else { "It does not end on time often enough" };
    format!(
        "{} students, {pieces}: nine such classes in ten end between {low} and {high}; the room is had until {}. \
         {verdict}: in {} of {} simulated classes, {} wanted.",
        class.students,
        class.clock(class.length),
        mean_share(outcome.on_time),
        outcome.replications,
        class.sure.show_digits(UnitSystem::Metric, 2),
    )
}

/// What happens at a station.
#[must_use]
pub fn station(outcome: &StationOutcome) -> String {
    format!(
        "{}: wait {} a visit, longest {}, queue at most {}, in use {}",
        outcome.name,
        mean_time(outcome.wait),
        mean_time(outcome.longest_wait),
        mean_number(outcome.queue_most),
        mean_share(outcome.busy)
    )
}

/// What the air does, and the teacher's rule for it.
#[must_use]
pub fn air(outcome: &AirOutcome, units: UnitSystem) -> String {
    let over = outcome.share.high > outcome.limit;
    let duty = format!(
        "the compressor runs {} of the time, {} its limit of {}",
        mean_share(outcome.share),
        if over { "above" } else { "within" },
        outcome.limit.show_digits(units, 2)
    );
    let rests = match outcome.rests.mid > 0.05 {
        true => format!(
            "all nozzles rest {} times until the receiver is full; nozzles stand shut for {} in all",
            mean_number(outcome.rests),
            mean_time(outcome.rested)
        ),
        false => "no rest for air is needed".to_owned(),
    };
    format!(
        "Nozzles are open for {} in all; {duty}; {rests}. Lowest in the receiver: {}; {} kWh.",
        mean_time(outcome.blasted),
        outcome.lowest.mid.show(units),
        mean_number(outcome.energy_kwh)
    )
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
    parts.into_iter().map(part).collect::<Vec<_>>().join(" and ")
}

fn change_words(class: &Class, change: Change) -> String {
    let station = |at: usize| class.stations.get(at).map_or("", |station| station.name.as_str());
    match change {
        Change::Another(at) => format!("one more {}", station(at)),
        Change::Stagger(time) => format!("each student begins {} after the one before", clock(time)),
        Change::Ahead(at) => {
            let step = class.steps.get(at).map_or("", |step| step.name.as_str());
            format!("“{step}” done before the class")
        }
        Change::FewerPieces => "one piece less for each student".to_owned(),
        Change::FewerStudents => "one student less".to_owned(),
    }
}

/// A set of changes with what it costs and gives.
#[must_use]
pub fn tried(class: &Class, tried: &Tried, currency: &str) -> String {
    let moved = tried.earlier_s;
    let word = if moved.mid <= 0.0 { "earlier" } else { "later" };
    format!(
        "{}: {} {currency}{}; ends {} {word}, on time in {}",
        changes(class, &tried.changes),
        tried.cost,
        if tried.gives_up { " in fees given up" } else { "" },
        told(Time::clamped(moved.mid.abs())),
        mean_share(tried.on_time)
    )
}

/// What was tried, in a sentence.
#[must_use]
pub fn search(class: &Class, search: &Search, currency: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let list = match search.on_time.first() {
        Some(_) => {
            lines.push(format!("{} sets of changes tried; the cheapest that end on time:", search.tried));
            &search.on_time
        }
        None => {
            lines.push(format!("{} sets of changes tried, none ends on time; the earliest:", search.tried));
            &search.nearest
        }
    };
    lines.extend(list.iter().map(|it| format!("· {}", tried(class, it, currency))));
    lines
}

/// A line of the shopping list.
#[must_use]
pub fn item(item: &Item) -> String {
    let needed = quantity::show::significant(item.needed, 3);
    let packs = if item.packs == 1 { "1 pack".to_owned() } else { format!("{} packs", item.packs) };
    match item.pack == 1.0 {
        true => format!("{}: {needed} {} needed, buy {}", item.name, item.unit, item.packs),
        false => format!("{}: {needed} {} needed, buy {packs} of {}", item.name, item.unit, item.pack),
    }
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
    lines.push(format!(
        "A student takes {}, of which {} waiting; {} pieces an hour.",
        mean_time(outcome.student),
        mean_time(outcome.waiting),
        mean_number(outcome.pieces_per_hour)
    ));
    lines.extend(outcome.stations.iter().map(station));
    lines.extend(outcome.air.as_ref().map(|it| air(it, units)));
    lines.push("Means with their 95 % intervals over the replications.".to_owned());
    lines.extend(
        tried.into_iter().flat_map(|tried| std::iter::once(String::new()).chain(search(class, tried, currency))),
    );
    lines.push(String::new());
    lines.extend(shopping.items.iter().map(|it| format!("{}: {} {currency}", item(it), it.price)));
    lines.push(format!("In all {} {currency}", shopping.total));
    lines.join("\n") + "\n"
}
