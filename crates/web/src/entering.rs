//! Entries of a shop's ledger: read, kept once, taken back by others. The page's forms and the API both come here.

use crate::app::App;
use crate::error::WebError;
use crate::ledger::{began_key, items};
use crate::stock_routes::Known;
use crate::view::Typed;
use language::say;
use piece::Shop;
use quantity::parse::parse;
use quantity::{Area, Diameter, Length, Mass, Quantity as _};
use stock::{Entry, Item, Measure, Verb};
use store::{NewMovement, ShopId, StoredMovement};

/// Letters of a note that are kept.
pub(crate) const ABOUT_MAX: usize = 200;

/// An entry as somebody gives it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Given {
    /// Made where the entry is made, so that one that comes twice counts once; without it each is a new one.
    pub key: Option<String>,
    pub typed: Typed,
    /// The revision of the shop's file into which a gauged bore is written; `None`: it stays in the ledger alone.
    pub write: Option<u32>,
}

/// Adds an entry; says whether it is new. The same entry under the same key changes nothing.
///
/// # Errors
/// [`WebError::Field`] where it does not read, [`WebError::OtherUnderKey`], a conflict of revisions, the store's own.
pub(crate) fn enter(app: &App, id: ShopId, given: &Given) -> Result<bool, WebError> {
    let known = Known::new(app, id)?;
    let entered = Entered::read(&known, &given.typed)?;
    if let Some(before) = known.movements.iter().find(|one| Some(&one.key) == given.key.as_ref()) {
        let same = before.item == given.typed.item
            && before.verb == entered.verb.word()
            && before.amount == [entered.amount; 3]
            && before.about == given.typed.about;
        return if same { Ok(false) } else { Err(WebError::OtherUnderKey(before.key.clone())) };
    }
    keep(app, &known, &entered, given)?;
    Ok(true)
}

/// Keeps what was read; a gauged bore goes into the shop's file where that was asked for.
fn keep(app: &App, known: &Known, entered: &Entered, given: &Given) -> Result<(), WebError> {
    let new = NewMovement {
        key: given.key.as_deref(),
        item: &given.typed.item,
        verb: entered.verb.word(),
        amount: [entered.amount; 3],
        unit: entered.verb.unit(entered.item.measure()),
        about: &given.typed.about,
        ..NewMovement::default()
    };
    let nozzle = known.shop.nozzles.iter().find(|nozzle| Item::Nozzle(nozzle.name.clone()) == entered.item);
    if let (Some(nozzle), Some(revision)) = (nozzle, given.write) {
        let text = with_bore(&known.stored.shop_toml, &nozzle.name, Diameter::clamped(entered.amount));
        piece::read_shop(&text, "shop.toml").map_err(|faults| WebError::field("amount", faults.to_string()))?;
        app.store.update_shop(known.stored.id, revision, &text)?;
    }
    let key = nozzle.map(|nozzle| began_key(&nozzle.name));
    let began = nozzle.map(|nozzle| NewMovement {
        key: key.as_deref(),
        verb: Verb::Began.word(),
        amount: [nozzle.bore.to_base(); 3],
        about: "",
        ..new
    });
    app.store.record(known.stored.id, &began.into_iter().chain([new]).collect::<Vec<_>>())?;
    Ok(())
}

/// Takes an entry back, by another entry; gives that one, and whether it is new. The same entry is taken back once,
/// however often it is asked for.
///
/// # Errors
/// [`WebError::NotFound`] where there is no such entry, [`WebError::Field`] where it is none to be taken back.
pub(crate) fn take_back(app: &App, id: ShopId, key: &str) -> Result<(StoredMovement, bool), WebError> {
    app.store.shop(id)?;
    let of = entry(app, id, key)?;
    if of.takes_back.is_some() || of.verb == Verb::Began.word() {
        let words = say!("This entry is not taken back: it begins a nozzle's ledger, or takes another back itself.");
        return Err(WebError::field("key", words.to_owned()));
    }
    let own = format!("back {key}");
    let back = NewMovement {
        key: Some(&own),
        item: &of.item,
        verb: Verb::TakenBack.word(),
        unit: &of.unit,
        takes_back: Some(key),
        ..NewMovement::default()
    };
    let new = app.store.record(id, &[back])? == 1;
    Ok((entry(app, id, &own)?, new))
}

/// An entry of a ledger by its key.
pub(crate) fn entry(app: &App, id: ShopId, key: &str) -> Result<StoredMovement, WebError> {
    app.store.movements(id)?.into_iter().find(|one| one.key == key).ok_or(WebError::NotFound)
}

/// The shop's file with another bore of a nozzle.
fn with_bore(shop_toml: &str, name: &str, bore: Diameter) -> String {
    let mut table: toml::Table = toml::from_str(shop_toml).unwrap_or_default();
    let nozzles = table.get_mut("nozzle").and_then(toml::Value::as_array_mut).into_iter().flatten();
    let named = |nozzle: &&mut toml::Value| nozzle.get("name").and_then(toml::Value::as_str) == Some(name);
    if let Some(nozzle) = nozzles.into_iter().find(named).and_then(toml::Value::as_table_mut) {
        nozzle.insert("bore".to_owned(), toml::Value::from(quantity::schema::written(bore)));
    }
    toml::to_string(&table).unwrap_or_default()
}

/// What somebody entered.
struct Entered {
    item: Item,
    verb: Verb,
    /// In the item's own unit.
    amount: f64,
}

impl Entered {
    fn read(known: &Known, typed: &Typed) -> Result<Self, WebError> {
        let item = Item::of_key(&typed.item).filter(|item| is_there(known, item));
        let item = item.ok_or_else(|| WebError::field("item", say!("Choose what it is of.").to_owned()))?;
        let verb = Verb::of(&typed.verb).map_err(|fault| WebError::field("verb", fault.to_string()))?;
        let amount = amount(&known.shop, &item, &typed.amount).map_err(|words| WebError::field("amount", words))?;
        let fits = Entry {
            id: 0,
            item: typed.item.clone(),
            verb,
            amount: [amount; 3],
            abrasive: None,
            at_utc: String::new(),
            takes_back: None,
        };
        fits.check().map_err(|fault| WebError::field("verb", fault.to_string()))?;
        if matches!(verb, Verb::Drawn | Verb::Open | Verb::Began | Verb::TakenBack) {
            return Err(WebError::field("verb", say!("A run is entered by its log.").to_owned()));
        }
        if typed.about.chars().count() > ABOUT_MAX {
            let words = say!("A note has no more than {most} letters; shorten it.", most = ABOUT_MAX);
            return Err(WebError::field("about", words));
        }
        Ok(Self { item, verb, amount })
    }
}

/// Whether the shop has such a thing, or had it.
fn is_there(known: &Known, item: &Item) -> bool {
    let had = || known.entries.iter().any(|entry| entry.item == item.key());
    match item {
        Item::Nozzle(name) => known.shop.nozzles.iter().any(|nozzle| nozzle.name == *name) || had(),
        _ => items(&known.shop, &known.entries).contains(item),
    }
}

fn amount(shop: &Shop, item: &Item, text: &str) -> Result<f64, String> {
    match item.measure() {
        Measure::Mass => parse::<Mass>(text).map(Mass::to_base).map_err(|fault| fault.to_string()),
        Measure::Area => area(shop, item, text),
        Measure::Wear => parse::<Diameter>(text).map(Diameter::to_base).map_err(|fault| fault.to_string()),
    }
}

/// An area as such, or as a length of the roll.
fn area(shop: &Shop, item: &Item, text: &str) -> Result<f64, String> {
    let fault = match parse::<Area>(text) {
        Ok(area) => return Ok(area.to_base()),
        Err(fault) => fault,
    };
    let Ok(length) = parse::<Length>(text) else { return Err(fault.to_string()) };
    let roll = |stock: &&piece::StockedResist| *item == Item::Resist(stock.resist.id.clone());
    match shop.resists.iter().find(roll) {
        Some(roll) => Ok(length.to_base() * roll.width.to_base()),
        None => Err(say!("Give an area, such as \"5m2\": the width of this roll is not known.").to_owned()),
    }
}
