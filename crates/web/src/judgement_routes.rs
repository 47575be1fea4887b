//! Judgement: the recipes worth choosing between, the price over quantities, a class in this shop.

use crate::app::App;
use crate::compose::{self, Size};
use crate::error::WebError;
use crate::form::Sent;
use crate::planner::Question;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting, value};
use crate::setup::routes::shop_at_work;
use crate::view::{ClassPage, Frame, PricePage, RecipesPage};
use crate::{files, pages};
use ::class::{Class, Running, read_class};
use axum::extract::{Form, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse as _, Response};
use cost::{Ask, Quote, Terms};
use language::{Language, say};
use paper::{ClassPack, QuoteOptions, Sheet, class_pack, quote_sheet};
use picture::preview::Setting;
use piece::Shop;
use plan::search::{Options, Watch, search};
use plan::{ClassRun, Plan, class_cautions, class_run};
use quantity::{Fraction, UnitSystem};
use std::sync::Arc;

/// The recipes that are worth choosing between.
pub(crate) async fn recipes(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| {
        let question = app.question(id.piece()?, &Vec::new())?;
        let found =
            search(question.piece()?, &question.drawing, &question.shop, &Options::default(), &Watch::default())?;
        let page = RecipesPage {
            frame: framed(app, &question, "/recipes")?,
            name: question.stored.name.clone(),
            piece: format!("/piece/{}", question.stored.id),
            found: compose::recipes(&question, &found),
        };
        Ok(Html(pages::recipes(&page)).into_response())
    })
    .await
}

fn framed(app: &App, question: &Question, page: &str) -> Result<Frame, WebError> {
    Ok(Frame { here: format!("/piece/{}{page}", question.stored.id), ..app.frame(question)? })
}

/// What is asked for a piece over quantities.
struct Priced {
    question: Question,
    plan: Arc<Plan>,
    quantities: String,
    rush: String,
    quote: Result<Quote, String>,
}

impl Priced {
    fn new(app: &App, id: &Id, sent: &Sent) -> Result<Self, WebError> {
        let question = app.question(id.piece()?, &Vec::new())?;
        let plan = app.plan(&question)?;
        let own = plan.piece.quantity;
        let usual = if own > 1 { format!("1, {own}") } else { "1, 5, 20".to_owned() };
        let quantities = value(sent, "quantity").map(str::trim).filter(|text| !text.is_empty()).unwrap_or(&usual);
        let rush = value(sent, "rush").unwrap_or_default().trim().to_owned();
        let quote = ask(quantities, &rush)
            .and_then(|ask| cost::quote(&plan.work, &Terms::of(&question.shop.rates), &ask).map_err(|f| f.to_string()));
        Ok(Self { quantities: quantities.to_owned(), rush, quote, question, plan })
    }
}

fn ask(quantities: &str, rush: &str) -> Result<Ask, String> {
    let number = |text: &str| {
        let text = text.trim();
        text.parse::<u32>().map_err(|_| say!("\"{text}\" is not a number of pieces; write 1, 10, 50"))
    };
    let quantities = quantities.split(',').map(number).collect::<Result<Vec<_>, _>>()?;
    let share = |text| quantity::parse::parse::<Fraction>(text).map(Terms::share).map_err(|fault| fault.to_string());
    let rush = if rush.is_empty() { None } else { Some(share(rush)?) };
    Ok(Ask { quantities, rush })
}

/// The price page.
pub(crate) async fn price(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let priced = Priced::new(app, &id, &sent)?;
        let asked = [("quantity", priced.quantities.as_str()), ("rush", priced.rush.as_str())];
        let query = serde_urlencoded::to_string(asked).unwrap_or_default();
        let address = format!("/piece/{}", priced.question.stored.id);
        let status = if priced.quote.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        let page = PricePage {
            frame: framed(app, &priced.question, "/price")?,
            name: priced.question.stored.name.clone(),
            sheet: format!("{address}/quote.pdf?{query}"),
            table: format!("{address}/quote.csv?{query}"),
            piece: address,
            offer: priced.quote.as_ref().map(compose::offer).map_err(Clone::clone),
            quantities: priced.quantities,
            rush: priced.rush,
        };
        Ok((status, Html(pages::price(&page))).into_response())
    })
    .await
}

/// The quote as a sheet.
pub(crate) async fn quote_pdf(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let priced = Priced::new(app, &id, &sent)?;
        let quote = priced.quote.map_err(WebError::Faulty)?;
        let preview = files::preview(&priced.plan, Setting::default(), Size::Page)?;
        let options =
            QuoteOptions { sheet: Sheet::usual(priced.plan.units), preview: &preview, date: None, valid_days: None };
        Ok(attached("application/pdf", "quote.pdf", quote_sheet(&priced.plan, &quote, &options)?))
    })
    .await
}

/// The quote as a table.
pub(crate) async fn quote_csv(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let Priced { plan, quote, .. } = Priced::new(app, &id, &sent)?;
        let quote = quote.map_err(WebError::Faulty)?;
        let customer = plan.piece.customer.as_deref();
        // A table is for programs, in whatever language its page is read.
        let document = || cost::document::QuoteDocument::new(&quote, &plan.piece.name, customer, &plan.shop);
        Ok(attached("text/csv; charset=utf-8", "quote.csv", Language::English.scope(|| document().csv())?.into_bytes()))
    })
    .await
}

fn attached(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    ([(CONTENT_TYPE, kind), (CONTENT_DISPOSITION, &format!("attachment; filename=\"{name}\""))], bytes).into_response()
}

/// The setting that holds the class's file.
const CLASS: &str = "class";

/// The class that the page begins with.
const FIRST_CLASS: &str = include_str!("../../../examples/class.toml");

/// How often a class is simulated for the page.
const RUNNING: Running = Running { replications: 200, seed: 1 };

/// A class in the shop at work.
pub(crate) async fn class(State(app): Shared) -> Answer {
    app.work(|app| {
        let text = app.store.setting(CLASS)?.unwrap_or_else(|| FIRST_CLASS.to_owned());
        class_page(app, text)
    })
    .await
}

/// Runs a class as it is typed; one that reads is kept.
pub(crate) async fn run_class(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let text = value(&sent, "text").unwrap_or_default().replace("\r\n", "\n");
        let shop = shop(app)?;
        if read_class(&text, "class.toml", &shop).is_ok() {
            app.store.set(CLASS, &text)?;
        }
        class_page(app, text)
    })
    .await
}

fn shop(app: &App) -> Result<Shop, WebError> {
    let stored = app.store.shop(shop_at_work(app)?)?;
    let mut shop = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
    shop.units = units_setting(app)?.unwrap_or(shop.units);
    Ok(shop)
}

fn class_page(app: &App, text: String) -> Result<Response, WebError> {
    let shop = shop(app)?;
    let ran = ran(&text, &shop);
    let status = if ran.is_ok() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    let page = ClassPage {
        frame: Frame { units, here: "/class".to_owned(), ..frame_of(app, say!("Class"), None)? },
        shop: shop.name.clone(),
        told: ran.map(|(class, run)| compose::class(&class, &run, &shop)),
        text,
    };
    Ok((status, Html(pages::class(&page))).into_response())
}

fn ran(text: &str, shop: &Shop) -> Result<(Class, ClassRun), Vec<String>> {
    let complaints = |complaints: piece::Complaints| complaints.0.iter().map(ToString::to_string).collect::<Vec<_>>();
    let class = read_class(text, "class.toml", shop).map_err(complaints)?;
    let run = class_run(&class, shop, RUNNING).map_err(|fault| vec![fault.to_string()])?;
    Ok((class, run))
}

/// The pack of the class that is kept.
pub(crate) async fn class_pdf(State(app): Shared) -> Answer {
    app.work(|app| {
        let text = app.store.setting(CLASS)?.unwrap_or_else(|| FIRST_CLASS.to_owned());
        let shop = shop(app)?;
        let (class, run) = ran(&text, &shop).map_err(|faults| WebError::Faulty(faults.join("; ")))?;
        let cautions = class_cautions(&class, &shop);
        let pack = ClassPack {
            class: &class,
            outcome: &run.outcome,
            search: run.search.as_ref(),
            rotation: &run.rotation,
            shopping: &run.shopping,
            cautions: &cautions,
            shop: &shop.name,
            currency: &shop.rates.currency,
            units: shop.units,
        };
        let bytes = class_pack(&pack, Sheet::usual(shop.units), None)?;
        Ok(attached("application/pdf", "class-pack.pdf", bytes))
    })
    .await
}
