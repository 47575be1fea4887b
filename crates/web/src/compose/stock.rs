//! A shop's ledger in words: what is left, what it does, how its nozzles stand.

use crate::view::{EntryRow, Frame, NozzleRow, StockItem, StockLeft, StockPage, Typed};
use language::{say, say_count};
use piece::{Shop, ShopNozzle};
use plan::State;
use plan::drawn::Draws;
use plan::worn::{Worn, WornAir, worn};
use quantity::show::{Show, air_flow, bore, clock};
use quantity::{Area, Diameter, Estimate, GaugePressure, Mass, Quantity, Time, UnitSystem, known};
use reference::{Abrasive, tables};
use stock::wear::Due;
use stock::{Entry, Item, Level, Measure, Suffices, Verb, lasts_for, level, suffices};
use stock::{nozzle_movements, stock_movements};
use store::StoredMovement;

/// Entries that the page shows.
const SHOWN: usize = 40;

/// The page of a shop, without what stands around it. `pieces`: names of pieces at hand, and what one of each draws.
pub(crate) fn stock(
    shop: &Shop,
    entries: &[Entry],
    movements: &[StoredMovement],
    pieces: &[(String, Draws)],
) -> StockPage {
    let items = crate::ledger::items(shop, entries);
    let taken: Vec<&str> = movements.iter().filter_map(|one| one.takes_back.as_deref()).collect();
    let shown = movements.iter().rev().filter(|one| one.takes_back.is_none());
    StockPage {
        frame: Frame::bare(""),
        name: String::new(),
        shop: String::new(),
        revision: 0,
        fault: None,
        typed: Typed::default(),
        items: items.iter().map(|item| row(shop, entries, item, pieces)).collect(),
        nozzles: shop.nozzles.iter().map(|nozzle| nozzle_row(shop, nozzle, entries, movements)).collect(),
        entries: shown.clone().take(SHOWN).map(|one| entry_row(one, &taken, shop.units)).collect(),
        older: shown.count().saturating_sub(SHOWN),
        untold: None,
    }
}

/// What a shop is to buy, count, gauge or change.
pub(crate) fn due(shop: &Shop, entries: &[Entry], movements: &[StoredMovement]) -> Vec<StockLeft> {
    let items = crate::ledger::items(shop, entries);
    let items = items.iter().map(|item| row(shop, entries, item, &[]));
    let items = items.map(|item| (item.state, item.name, item.word, item.left));
    let nozzles = shop.nozzles.iter().map(|nozzle| nozzle_row(shop, nozzle, entries, movements));
    let nozzles = nozzles.map(|nozzle| (nozzle.state, nozzle.name, nozzle.word, nozzle.bore));
    let all = items.chain(nozzles).filter(|(state, ..)| *state != State::Holds);
    all.map(|(state, name, word, left)| StockLeft { state, words: format!("{name}: {word} ({left})") }).collect()
}

/// Logs that drew nothing.
pub(crate) fn untold(count: usize) -> String {
    say_count!(
        count,
        "{n} run drew nothing from the stock: its plan could not be made when its log came. Count what is there.",
        "{n} runs drew nothing from the stock: their plans could not be made when their logs came. Count what is there.",
        n = count
    )
}

/// What is left of all that a piece uses, where it is known. `draws`: of the whole order.
pub(super) fn left(each: &Draws, order: &Draws, entries: &[Entry], units: UnitSystem) -> Vec<StockLeft> {
    let areas = each.areas.iter().zip(&order.areas);
    let areas = areas.filter_map(|((item, each), (_, all))| of_piece::<Area>(entries, item, *each, *all, units));
    let masses = each.masses.iter().zip(&order.masses);
    let masses = masses.filter_map(|((item, each), (_, all))| of_piece::<Mass>(entries, item, *each, *all, units));
    areas.chain(masses).collect()
}

fn of_piece<Q: Show>(
    entries: &[Entry],
    item: &Item,
    each: Estimate<Q>,
    order: Estimate<Q>,
    units: UnitSystem,
) -> Option<StockLeft> {
    let level = level(&stock_movements::<Q>(entries, item))?;
    let (name, left, needs) = (name(item), level.left.show(units), order.show(units));
    Some(match suffices(level.left, order) {
        Suffices::No => StockLeft {
            state: State::Watch,
            words: say!("{name}: {left} are left and this takes {needs}. Buy more before you begin."),
        },
        Suffices::Perhaps => StockLeft {
            state: State::Watch,
            words: say!("{name}: {left} are left and this takes {needs}. It may run out; count what is there."),
        },
        Suffices::Yes => {
            let pieces = pieces(lasts_for(level.left, each)?);
            StockLeft { state: State::Holds, words: say!("{name}: {left} are left, enough for {pieces}.") }
        }
    })
}

fn pieces((low, high): (u32, u32)) -> String {
    match low == high {
        true => say_count!(low, "{n} piece", "{n} pieces", n = low),
        false => say!("{low} to {high} pieces"),
    }
}

/// What an item is called.
fn name(item: &Item) -> String {
    match item {
        Item::Resist(id) => tables().resist(id).map_or_else(|_| id.clone(), |resist| resist.name.to_string()),
        Item::Tape => say!("Transfer tape").to_owned(),
        Item::Abrasive { kind, grit } => {
            let kind = tables().abrasive(kind).map_or_else(|_| kind.clone(), |abrasive| abrasive.name.to_string());
            format!("{kind} {grit}")
        }
        Item::Nozzle(name) => say!("Nozzle “{name}”"),
    }
}

fn row(shop: &Shop, entries: &[Entry], item: &Item, pieces: &[(String, Draws)]) -> StockItem {
    match item.measure() {
        Measure::Mass => {
            let each = |draws: &Draws| draws.masses.iter().find(|(of, _)| of == item).map(|(_, mass)| *mass);
            row_of::<Mass>(shop, entries, item, pieces, each)
        }
        _ => {
            let each = |draws: &Draws| draws.areas.iter().find(|(of, _)| of == item).map(|(_, area)| *area);
            row_of::<Area>(shop, entries, item, pieces, each)
        }
    }
}

fn row_of<Q: Show>(
    shop: &Shop,
    entries: &[Entry],
    item: &Item,
    pieces: &[(String, Draws)],
    each: impl Fn(&Draws) -> Option<Estimate<Q>>,
) -> StockItem {
    let units = shop.units;
    let Some(level) = level(&stock_movements::<Q>(entries, item)) else {
        let left = say!("not counted yet").to_owned();
        let (state, word) = (State::Holds, say!("not known"));
        return StockItem { key: item.key(), name: name(item), known: false, state, word, left, said: Vec::new() };
    };
    let (state, word) = standing(&level);
    let lasts = pieces.iter().filter_map(|(name, draws)| {
        let lasts = self::pieces(lasts_for(level.left, each(draws)?)?);
        Some(say!("enough for {lasts} of “{name}”"))
    });
    let mut said: Vec<String> = lasts.collect();
    said.extend(level.overdrawn.map(|by| {
        let by = by.show(units);
        say!("{by} more was drawn than was there: something was bought and not entered, or less is used than is thought. Count it.")
    }));
    said.extend(level.reorder.map(|at| say!("buy again at {at}", at = at.show(units))));
    said.push(since(&level));
    StockItem { key: item.key(), name: name(item), known: true, state, word, left: level.left.show(units), said }
}

fn standing<Q: Quantity>(level: &Level<Q>) -> (State, &'static str) {
    match () {
        () if level.overdrawn.is_some() => (State::Watch, say!("count it")),
        () if level.is_low() => (State::Watch, say!("buy again")),
        () => (State::Holds, say!("in stock")),
    }
}

fn since<Q: Quantity>(level: &Level<Q>) -> String {
    let runs = say_count!(level.draws, "{n} run", "{n} runs", n = level.draws);
    match level.counted_utc.as_deref().and_then(|at| at.get(..10)) {
        Some(day) => say!("counted {day}, {runs} since"),
        None => say!("never counted, {runs} since it was bought"),
    }
}

/// What a nozzle is asked at that no run has used yet.
const USUAL_SET: GaugePressure = known(GaugePressure::bar(2.5));

fn nozzle_row(shop: &Shop, nozzle: &ShopNozzle, entries: &[Entry], movements: &[StoredMovement]) -> NozzleRow {
    let item = Item::Nozzle(nozzle.name.clone());
    let (next, set) = last_used(shop, &item, movements);
    let ledger = nozzle_movements(entries, &nozzle.name);
    let source = source(nozzle, next);
    let row = |state, word, bore, said| NozzleRow {
        key: item.key(),
        name: nozzle.name.clone(),
        state,
        word,
        bore,
        said,
        source,
    };
    match worn(shop, nozzle, &ledger, next, set) {
        Ok(worn) => {
            let (state, word) = match worn.wear.due() {
                Due::Change => (State::Watch, say!("worn")),
                Due::Gauge => (State::Watch, say!("gauge it")),
                Due::Nothing => (State::Holds, say!("holds")),
            };
            row(state, word, bores(worn.wear.bore, shop.units), nozzle_said(&worn, shop.units))
        }
        Err(fault) => row(State::Watch, say!("gauge it"), fault.to_string(), Vec::new()),
    }
}

/// What went through it last, and at which pressure: as its last run says, or else the shop's first abrasive.
fn last_used(shop: &Shop, item: &Item, movements: &[StoredMovement]) -> (&'static Abrasive, GaugePressure) {
    let key = item.key();
    let open = |one: &&StoredMovement| one.item == key && one.verb == Verb::Open.word();
    let last = movements.iter().rev().find(open);
    let words: Vec<&str> = last.map(|one| one.about.split(' ').collect()).unwrap_or_default();
    let abrasive = words.first().and_then(|id| tables().abrasive(id).ok());
    let set = words.get(2).and_then(|set| quantity::parse::parse(set).ok());
    (abrasive.unwrap_or(shop.abrasives[0].abrasive), set.unwrap_or(USUAL_SET))
}

fn bores(range: Estimate<Diameter>, units: UnitSystem) -> String {
    let shown = |bore: Diameter| bore.show_digits(units, 3).to_string();
    let (low, high) = (shown(range.low()), shown(range.high()));
    match low.split_once('\u{202f}') {
        Some((number, _)) if low != high => format!("{number}–{high}"),
        _ => high,
    }
}

fn nozzle_said(worn: &Worn, units: UnitSystem) -> Vec<String> {
    let wear = &worn.wear;
    let used = |share: f64| format!("{:.0}", share * 100.0);
    let used = match (used(wear.used.low()), used(wear.used.high())) {
        (low, high) if low == high => low,
        (low, high) => format!("{low}–{high}"),
    };
    let open = clock(wear.open);
    let new = bore(wear.new, units);
    let mut said = vec![match wear.renewed_utc.as_deref().and_then(|at| at.get(..10)) {
        Some(day) => say!("open for {open} since {day}, when it was new with {new}: {used}\u{202f}% of its life"),
        None => say!("open for {open} in logged runs, from {new}: {used}\u{202f}% of a life"),
    }];
    said.push(air_said(worn, units));
    said.push(match (wear.due(), wear.gauge_in) {
        (Due::Change, _) => {
            say!("It takes a quarter more air than a new one: put a new one in, or gauge it and plan with that bore.")
                .to_owned()
        }
        (Due::Gauge, _) => say!("Gauge it before the next piece that matters.").to_owned(),
        (Due::Nothing, more) => say!("Gauge it after {more} more with the nozzle open.", more = hours(more)),
    });
    if let Some(day) = wear.gauged_utc.as_deref().and_then(|at| at.get(..10)) {
        let pace = format!("{:.1}–{:.1}", wear.pace.low(), wear.pace.high());
        said.push(say!(
            "gauged {day}; it wears {pace} times as fast as the middle of its kind",
            pace = language::number(pace)
        ));
    }
    said
}

fn hours(time: Time) -> String {
    match time.to_hours() {
        few if few < 2.0 => clock(time),
        many => say!("{many:.0}\u{202f}h"),
    }
}

fn air_said(worn: &Worn, units: UnitSystem) -> String {
    match &worn.air {
        Ok(WornAir { set, takes, new, gives }) => {
            let (low, high) = (air_flow(takes.low(), units), air_flow(takes.high(), units));
            let takes = if low.number == high.number { high.to_string() } else { format!("{}–{high}", low.number) };
            let (new, gives, set) = (air_flow(*new, units), air_flow(*gives, units), set.show(units));
            say!("At {set} it takes {takes}, a new one {new}; your compressors give {gives}.")
        }
        Err(fault) => say!("Its air: {fault}.", fault = fault.to_string()),
    }
}

fn source(nozzle: &ShopNozzle, next: &Abrasive) -> String {
    let range = nozzle.life_with(next);
    let (low, high) = (hours(range.low()), hours(range.high()));
    let abrasive = &next.name;
    match nozzle.material {
        Some(material) => {
            let (name, source) = (&material.name, &material.life(next).source);
            say!("Life: {low} to {high} ({name}; {abrasive}). Source: {source}.")
        }
        None => say!(
            "Life: {low} to {high}, half to twice what the shop's file says; give the nozzle's material there. Judged."
        ),
    }
}

fn entry_row(one: &StoredMovement, taken: &[&str], units: UnitSystem) -> EntryRow {
    let gone = taken.contains(&one.key.as_str());
    EntryRow {
        key: one.key.clone(),
        day: one.at_utc.get(..10).unwrap_or_default().to_owned(),
        said: said(one, units),
        piece: one.piece.as_ref().map(|(id, name)| (name.clone(), format!("/piece/{id}"))),
        about: if one.run.is_some() { String::new() } else { one.about.clone() },
        gone,
        back: !gone && one.verb != Verb::Began.word(),
    }
}

fn said(one: &StoredMovement, units: UnitSystem) -> String {
    let Some(item) = Item::of_key(&one.item) else { return format!("{}: {}", one.item, one.verb) };
    let name = name(&item);
    let much = match (item.measure(), Verb::of(&one.verb)) {
        (Measure::Mass, _) => shown::<Mass>(one.amount, units),
        (Measure::Area, _) => shown::<Area>(one.amount, units),
        (Measure::Wear, Ok(Verb::Open)) => clock(Time::clamped(one.amount[1])),
        (Measure::Wear, _) => Diameter::clamped(one.amount[1]).show_digits(units, 3).to_string(),
    };
    match Verb::of(&one.verb) {
        Ok(Verb::Bought) => say!("{name}: bought {much}"),
        Ok(Verb::Counted) => say!("{name}: counted {much}"),
        Ok(Verb::Drawn) => say!("{name}: drew {much}"),
        Ok(Verb::Reorder) => say!("{name}: buy again at {much}"),
        Ok(Verb::Began) => say!("{name}: {much} when its ledger was begun"),
        Ok(Verb::Open) => say!("{name}: open for {much}"),
        Ok(Verb::Gauged) => say!("{name}: gauged {much}"),
        Ok(Verb::Renewed) => say!("{name}: a new one of {much}"),
        Ok(Verb::TakenBack) | Err(_) => format!("{name}: {}", one.verb),
    }
}

fn shown<Q: Show>(amount: [f64; 3], units: UnitSystem) -> String {
    let [low, mid, high] = amount.map(Q::clamped);
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid)).show(units)
}
