//! What a shop's coupons say of its plans: the page, a coupon entered, a coupon taken away.

use crate::app::App;
use crate::error::WebError;
use crate::form::{Sent, with_points};
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, value};
use crate::shop_routes::save;
use crate::stock_routes::Known;
use crate::view::{CalibrationPage, Choice, CouponField, CouponRow, Frame};
use axum::extract::{Form, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use piece::{CALIPER, Coupon, Shop};
use plan::calibration::{Calibrated, CalibrationError};
use plan::calibration_words::{next, outcome, setting};
use plan::coupon_table::{COLUMNS, CouponComplaints, read, same, shop_rows, to_fill_in};
use plan::words::ranged;
use quantity::show::{Show as _, clock};
use std::collections::BTreeMap;
use store::ShopId;

/// The page.
pub(crate) async fn calibration(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| page(app, id.shop()?, Typed::default())).await
}

/// Enters coupons: one by its fields, or a table of them.
pub(crate) async fn enter(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let id = id.shop()?;
        let known = Known::new(app, id)?;
        let typed = Typed::of(&sent);
        match typed.coupons(&known.shop).and_then(|new| with(app, &known, &new)) {
            Ok(text) => keep(app, &known, &sent, &text),
            Err(faulty) => page(app, id, Typed { faulty, ..typed }),
        }
    })
    .await
}

/// Takes a coupon away.
pub(crate) async fn remove(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let known = Known::new(app, id.shop()?)?;
        let at: usize = value(&sent, "at").and_then(|at| at.parse().ok()).ok_or(WebError::NotFound)?;
        let text = without(&known.stored.shop_toml, at).ok_or(WebError::NotFound)?;
        keep(app, &known, &sent, &text)
    })
    .await
}

fn keep(app: &App, known: &Known, sent: &Sent, text: &str) -> Result<Response, WebError> {
    piece::read_shop(text, "shop.toml").map_err(|faults| WebError::Faulty(faults.to_string()))?;
    save(app, &known.stored, sent, text)?;
    Ok(Redirect::to(&format!("/shop/{}/calibration", known.stored.id)).into_response())
}

/// The shop's file with some more coupons, which agree with the others.
fn with(app: &App, known: &Known, new: &[Coupon]) -> Result<String, Faulty> {
    let text = format!("{}\n{}", known.stored.shop_toml.trim_end(), shop_rows(new));
    let shop = piece::read_shop(&text, "shop.toml").map_err(|faults| Faulty::from(faults.to_string()))?;
    app.planner.calibrated(&text, &shop).map_err(|fault| Faulty::from(fault.to_string()))?;
    Ok(text)
}

/// The shop's file without one of its coupons; `None` when it has none at this place.
fn without(shop_toml: &str, at: usize) -> Option<String> {
    let mut table: toml::Table = toml::from_str(shop_toml).ok()?;
    let coupons = table.get_mut("coupon")?.as_array_mut()?;
    if at >= coupons.len() {
        return None;
    }
    coupons.remove(at);
    if coupons.is_empty() {
        table.remove("coupon");
    }
    toml::to_string(&table).ok()
}

/// What a form sent, and what is wrong with it.
#[derive(Debug, Clone, Default)]
struct Typed {
    /// By column; empty when a table was sent, or nothing.
    fields: BTreeMap<&'static str, String>,
    table: String,
    faulty: Faulty,
}

#[derive(Debug, Clone, Default)]
struct Faulty {
    whole: Option<String>,
    fields: BTreeMap<String, String>,
}

impl From<String> for Faulty {
    fn from(whole: String) -> Self {
        Self { whole: Some(whole), ..Self::default() }
    }
}

impl Typed {
    fn of(sent: &Sent) -> Self {
        if let Some(table) = value(sent, "table") {
            return Self { table: table.to_owned(), ..Self::default() };
        }
        let text = |name: &'static str| (name, value(sent, name).unwrap_or_default().trim().to_owned());
        let stock = value(sent, "stock").unwrap_or_default().split_once(' ');
        let mut fields: BTreeMap<&'static str, String> = COLUMNS.into_iter().map(text).collect();
        if let Some((abrasive, grit)) = stock {
            fields.extend([("abrasive", abrasive.to_owned()), ("grit", grit.to_owned())]);
        }
        Self { fields, ..Self::default() }
    }

    /// The coupons that are new to the shop.
    fn coupons(&self, shop: &Shop) -> Result<Vec<Coupon>, Faulty> {
        let read = if self.fields.is_empty() {
            read(self.table.as_bytes(), shop).map_err(|faults| Faulty::from(faults.to_string()))?
        } else {
            read(&self.as_table(), shop).map_err(|faults| self.by_field(&faults))?
        };
        let known = |coupon: &Coupon| shop.coupons.iter().any(|have| same(have, coupon));
        let new: Vec<Coupon> = read.into_iter().filter(|coupon| !known(coupon)).collect();
        if new.is_empty() {
            return Err(Faulty::from(say!("The shop has this coupon already; nothing was entered.").to_owned()));
        }
        Ok(new)
    }

    fn as_table(&self) -> Vec<u8> {
        let value = |name: &&str| with_points(self.fields.get(name).map_or("", String::as_str));
        let mut writer = csv::Writer::from_writer(Vec::new());
        // Writing to memory cannot fail; an empty table would be complained about.
        let _ = writer.write_record(COLUMNS);
        let _ = writer.write_record(COLUMNS.iter().map(value));
        writer.into_inner().unwrap_or_default()
    }

    /// Complaints about a single row, each at its field.
    fn by_field(&self, faults: &CouponComplaints) -> Faulty {
        let mut faulty = Faulty::default();
        for one in &faults.0 {
            let field = if one.name == "grit" { "abrasive" } else { one.name.as_str() };
            match self.fields.contains_key(field) {
                true => faulty.fields.insert(field.to_owned(), one.fault.to_string()),
                false => faulty.whole.replace(one.fault.to_string()),
            };
        }
        faulty
    }
}

fn page(app: &App, id: ShopId, typed: Typed) -> Result<Response, WebError> {
    let known = Known::new(app, id)?;
    let (answer, misfit) = match app.planner.calibrated(&known.stored.shop_toml, &known.shop) {
        Ok(answer) => (Some(answer), None),
        Err(CalibrationError::None) => (None, None),
        Err(fault) => (None, Some(fault.to_string())),
    };
    let is_faulty = typed.faulty.whole.is_some() || !typed.faulty.fields.is_empty();
    let address = format!("/shop/{id}");
    let page = CalibrationPage {
        frame: Frame { here: format!("{address}/calibration"), ..frame_of(app, &known.shop.name, None)? },
        name: known.shop.name.clone(),
        shop: address,
        revision: known.stored.revision,
        fault: typed.faulty.whole.clone().or(misfit),
        coupons: rows(&known.shop, answer.as_deref()),
        outcome: answer.as_deref().map(outcome).unwrap_or_default(),
        next: answer.as_deref().and_then(|answer| next(answer, known.shop.units)),
        fields: fields(&known.shop, &typed, answer.as_deref().and_then(|answer| Some(&answer.next.as_ref()?.coupon))),
        table: typed.table,
    };
    let status = if is_faulty { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((status, Html(pages::calibration(&page))).into_response())
}

fn rows(shop: &Shop, answer: Option<&Calibrated>) -> Vec<CouponRow> {
    let units = shop.units;
    let row = |(at, coupon): (usize, &Coupon)| {
        let told = answer.and_then(|answer| answer.coupons.iter().find(|told| same(&told.coupon, coupon)));
        CouponRow {
            at,
            blasted: say!("{}, for {}", setting(coupon, units), clock(coupon.time)),
            gauged: coupon.depth.show_digits(units, 3).to_string(),
            expected: told.map(|told| [told.before, told.after].map(|depth| ranged(depth, units))),
        }
    };
    shop.coupons.iter().enumerate().map(row).collect()
}

/// What a coupon is entered by: as it was sent, or else as the next one is to be blasted.
fn fields(shop: &Shop, typed: &Typed, next: Option<&Coupon>) -> Vec<CouponField> {
    let usual = usual(next);
    let value = |name: &str| {
        let sent = typed.fields.get(name);
        sent.or_else(|| usual.get(name)).map(|text| language::number(text.clone())).unwrap_or_default()
    };
    let field = |name: &'static str, label: &'static str, hint: &'static str, choices: Vec<Choice>| CouponField {
        name: if name == "abrasive" { "stock" } else { name },
        label,
        value: value(name),
        choices,
        hint,
        fault: typed.faulty.fields.get(name).cloned(),
    };
    let choice = |value: String, words: String, chosen: &str| Choice { selected: value == chosen, value, words };
    let material = value("material");
    let materials = reference::tables().materials.iter();
    let materials = materials.map(|one| choice(one.id.clone(), one.name.to_string(), &material)).collect();
    let stock = format!("{} {}", value("abrasive"), value("grit"));
    let stocks = shop.abrasives.iter().map(|one| {
        let words = format!("{} {}", one.abrasive.name, one.grit.name);
        choice(format!("{} {}", one.abrasive.id, one.grit.name), words, &stock)
    });
    let nozzle = value("nozzle");
    let nozzles = shop.nozzles.iter().map(|one| choice(one.name.clone(), one.name.clone(), &nozzle)).collect();
    let resist = value("resist");
    let none = choice(String::new(), say!("nobody looked").to_owned(), &resist);
    let resists = shop.resists.iter().map(|one| choice(one.resist.id.clone(), one.resist.name.to_string(), &resist));
    vec![
        field("material", say!("Material"), "", materials),
        field("abrasive", say!(in "a label", "Abrasive"), "", stocks.collect()),
        field("nozzle", say!(in "a label", "Nozzle"), "", nozzles),
        field("pressure", say!("Regulator, nozzle open"), "", Vec::new()),
        field("standoff", say!(in "a label", "Standoff"), "", Vec::new()),
        field("opening", say!("Open square, each side"), "", Vec::new()),
        field("time", say!("Blasted for"), "", Vec::new()),
        field("depth", say!("Depth, the mean of three"), "", Vec::new()),
        field("gauge", say!("The gauge is good for"), say!("a caliper 0.05mm, a depth dial 0.01mm"), Vec::new()),
        field("resist", say!(in "a label", "Resist"), "", std::iter::once(none).chain(resists).collect()),
        field("resist_state", say!("The resist afterwards"), say!("sound, failed, or what it lost: 0.1mm"), Vec::new()),
    ]
}

/// The next coupon as a table has it; without one what is usual. Common practice, no source.
fn usual(next: Option<&Coupon>) -> BTreeMap<String, String> {
    let table = next.and_then(|coupon| to_fill_in(&[coupon]).ok()).unwrap_or_default();
    let row = csv::Reader::from_reader(table.as_slice()).deserialize().next().and_then(Result::ok);
    let written = quantity::schema::written;
    let usual = [("opening", "25mm".to_owned()), ("time", "60s".to_owned()), ("gauge", written(CALIPER))];
    row.unwrap_or_else(|| usual.map(|(name, text)| (name.to_owned(), text)).into())
}
