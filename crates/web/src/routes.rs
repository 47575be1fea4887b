//! What each address answers: read the inputs, plan, write one page.

use crate::app::App;
use crate::compose::{self, Size, instant, place_words};
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::planner::Question;
use crate::view::{Frame, Parts, PiecePage, Tab};
use crate::{files, pages};
use artwork::grid::Point;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Redirect, Response};
use language::{Language, say};
use picture::preview::{Setting, UnknownChoice};
use piece::Piece;
use plan::carving::{Ground, Reading};
use plan::carving_document::section_csv;
use plan::{Detail, Plan};
use quantity::UnitSystem;
use std::sync::Arc;
use store::{PieceId, ShopId, StoreError};

pub(crate) type Shared = State<Arc<App>>;
pub(crate) type Answer = Result<Response, WebError>;

/// The setting that holds the units of the pages; without it they are the shop's.
const UNITS: &str = "units";

/// To the first piece.
pub(crate) async fn first_piece(State(app): Shared) -> Answer {
    let pieces = app.work(|app| Ok(app.store.pieces()?)).await?;
    let there = pieces.iter().find(|piece| !piece.away).map(|piece| format!("/piece/{}", piece.id));
    Ok(Redirect::to(there.as_deref().unwrap_or("/pieces")).into_response())
}

/// The plan page, of what is kept or of what the address tries.
pub(crate) async fn piece(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    page(app, id, sent, None, StatusCode::OK).await
}

/// Keeps a tried recipe as a new revision.
pub(crate) async fn keep(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    let (asked, given) = (id.clone(), sent.clone());
    let kept = app.work(move |app| {
        let id = asked.piece()?;
        let question = app.question(id, &sent)?;
        if question.tried.piece.is_err() {
            return Ok(Err(StatusCode::UNPROCESSABLE_ENTITY));
        }
        let read: Option<u32> = value(&sent, "revision").and_then(|number| number.parse().ok());
        match app.store.update_piece(id, read.unwrap_or(0), &question.tried.text) {
            Ok(_) => Ok(Ok(Redirect::to(&format!("/piece/{id}")))),
            Err(StoreError::Conflict { .. }) => Ok(Err(StatusCode::CONFLICT)),
            Err(other) => Err(other.into()),
        }
    });
    match kept.await? {
        Ok(there) => Ok(there.into_response()),
        Err(StatusCode::CONFLICT) => {
            // The page now knows of the newer one.
            let given = given.into_iter().filter(|(name, _)| name != "revision").collect();
            page(app, id, given, Some(changed()), StatusCode::CONFLICT).await
        }
        Err(status) => page(app, id, given, None, status).await,
    }
}

fn changed() -> &'static str {
    say!(
        "This piece was changed in another window since you opened it. What you tried is still here, laid over the \
         newer revision: look at it again, then keep it."
    )
}

/// One revision back.
pub(crate) async fn undo(State(app): Shared, id: Id) -> Answer {
    step(app, id, |app, id| app.store.undo(id)).await
}

/// What was undone, again.
pub(crate) async fn redo(State(app): Shared, id: Id) -> Answer {
    step(app, id, |app, id| app.store.redo(id)).await
}

async fn step(app: Arc<App>, id: Id, go: fn(&App, PieceId) -> Result<u32, StoreError>) -> Answer {
    let there = app.work(move |app| {
        let id = id.piece()?;
        go(app, id)?;
        Ok(format!("/piece/{id}"))
    });
    Ok(Redirect::to(&there.await?).into_response())
}

/// Every table with its sources.
pub(crate) async fn reference(State(app): Shared) -> Answer {
    app.work(|app| {
        let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
        let frame = Frame { units, here: "/reference".to_owned(), ..frame_of(app, say!("Reference"), None)? };
        Ok(Html(pages::reference(&frame, &::reference::listings())).into_response())
    })
    .await
}

/// Sets the units of all pages and comes back.
pub(crate) async fn set_units(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    let there = app.work(move |app| {
        let units = value(&sent, UNITS).filter(|units| units_of(units).is_some());
        let units = units.ok_or_else(|| WebError::Faulty(say!("units are \"us\" or \"metric\"").to_owned()))?;
        app.store.set(UNITS, units)?;
        let here = value(&sent, "here").filter(|here| is_ours(here));
        Ok(here.unwrap_or("/").to_owned())
    });
    Ok(Redirect::to(&there.await?).into_response())
}

/// Whether an address is a page of this program: a path below its root, and no other host's.
pub(crate) fn is_ours(here: &str) -> bool {
    here.starts_with('/') && !here.starts_with("//") && !here.contains(['\\', '\r', '\n'])
}

/// The piece as it will look, in the light, before the ground and from the side that the address names.
pub(crate) async fn preview(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let setting =
            Setting { light: choice(&sent, "light")?, ground: choice(&sent, "ground")?, seen: choice(&sent, "seen")? };
        let question = app.question(id.piece()?, &sent)?;
        let plan = app.plan(&question)?;
        let size = if value(&sent, "small").is_some() { Size::Shelf } else { Size::Page };
        let draw = || files::preview(&plan, setting, size).map(Arc::<[u8]>::from);
        let png = app.planner.picture(&question, (setting, size), draw)?;
        Ok(([(CONTENT_TYPE, "image/png"), (CACHE_CONTROL, "no-cache")], png.to_vec()).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// The piece as a solid, fine enough to be turned on a screen.
pub(crate) async fn solid(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(id.piece()?, &sent)?)?;
        let bytes = files::solid(&plan, &files::ON_SCREEN)?;
        Ok(([(CONTENT_TYPE, "model/gltf-binary"), (CACHE_CONTROL, "no-cache")], bytes).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// The depth of every place of the blank, which lights the solid.
pub(crate) async fn depth_map(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(id.piece()?, &sent)?)?;
        let bytes = files::depth_map(&plan)?;
        Ok(([(CONTENT_TYPE, "image/png"), (CACHE_CONTROL, "no-cache")], bytes).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// A cut through the piece, drawn.
pub(crate) async fn section_drawing(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let (question, ground, readings) = app.section(&id, &sent)?;
        Ok(svg(compose::section_drawing(&ground, &readings, question.shop.units)))
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// A cut through the piece, as a table.
pub(crate) async fn section_values(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let (_, ground, readings) = app.section(&id, &sent)?;
        let csv = Language::English.scope(|| section_csv(&readings, ground.layers()));
        let attached = "attachment; filename=\"section.csv\"";
        Ok(([(CONTENT_TYPE, "text/csv; charset=utf-8"), (CONTENT_DISPOSITION, attached)], csv).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// The artwork as drawn.
pub(crate) async fn drawn(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(id.piece()?, &sent)?)?;
        Ok(svg(compose::drawn(&plan)))
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// What is open in a stage, counted from 1.
pub(crate) async fn stage(
    State(app): Shared,
    Path((id, stage)): Path<(String, usize)>,
    Query(sent): Query<Sent>,
) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(Id(id).piece()?, &sent)?)?;
        let there = (1..=plan.stages.len()).contains(&stage);
        if there { Ok(svg(compose::thumbnail(&plan, stage - 1))) } else { Err(WebError::NotFound) }
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

fn svg(text: String) -> Response {
    ([(CONTENT_TYPE, "image/svg+xml"), (CACHE_CONTROL, "no-cache")], text).into_response()
}

/// What lies at a place of the blank.
pub(crate) async fn at(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(id.piece()?, &sent)?)?;
        let at = Point { x: number(&sent, "x_mm")?, y: number(&sent, "y_mm")? };
        Ok(place_words(&plan, at).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// What the lanes of the run strip hold at an instant.
pub(crate) async fn instant_of_run(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let plan = app.plan(&app.question(id.piece()?, &sent)?)?;
        Ok(instant(&plan.strip, number(&sent, "share")?, plan.units).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
}

/// All files of the plan in one.
pub(crate) async fn all_files(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        // What programs read is in English.
        let for_programs = Language::English.scope(|| app.plan(&app.question(id.piece()?, &sent)?))?;
        let packed = files::all(&*app.plan(&question)?, &for_programs, &question.shop)?;
        let name: String = question.stored.name.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        // A header carries ASCII; other letters go by the second form (RFC 6266, RFC 8187).
        let plain: String = name.chars().map(|c| if c.is_ascii() { c } else { '-' }).collect();
        let encoded: String = url::form_urlencoded::byte_serialize(name.as_bytes()).collect();
        let attached = format!("attachment; filename=\"{plain}.zip\"; filename*=UTF-8''{encoded}.zip");
        Ok(([(CONTENT_TYPE, "application/zip"), (CONTENT_DISPOSITION, attached.as_str())], packed).into_response())
    })
    .await
}

/// A file of the plan.
pub(crate) async fn file(
    State(app): Shared,
    Path((id, name)): Path<(String, String)>,
    Query(sent): Query<Sent>,
) -> Answer {
    app.work(move |app| {
        let make = || {
            let question = app.question(Id(id).piece()?, &sent)?;
            files::make(&*app.plan(&question)?, &question.shop, &name)
        };
        let made = if name == files::PLAN { Language::English.scope(make) } else { make() }?;
        let attached = format!("attachment; filename=\"{name}\"");
        Ok(([(CONTENT_TYPE, made.kind), (CONTENT_DISPOSITION, attached.as_str())], made.bytes).into_response())
    })
    .await
}

async fn page(app: Arc<App>, id: Id, sent: Sent, message: Option<&'static str>, status: StatusCode) -> Answer {
    app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        let (mut parts, status) = match &question.tried.piece {
            Ok(piece) => (app.parts(&question, piece), status),
            Err(_) => (faulty(&question), StatusCode::UNPROCESSABLE_ENTITY),
        };
        parts.recipe.message = message.map(str::to_owned).or(parts.recipe.message);
        let page = PiecePage {
            frame: app.frame(&question)?,
            name: question.stored.name.clone(),
            facts: question
                .tried
                .piece
                .as_ref()
                .map(|piece| compose::facts(piece, question.shop.units))
                .unwrap_or_default(),
            parts,
        };
        Ok((status, Html(pages::piece(&page))).into_response())
    })
    .await
}

pub(crate) fn faulty(question: &Question) -> Parts {
    compose::unplanned(
        question,
        say!("A value of the recipe does not read. Mend it where it is marked; nothing was changed."),
    )
}

impl App {
    pub(crate) fn question(&self, id: PieceId, sent: &Sent) -> Result<Question, WebError> {
        let stored = self.store.piece(id)?;
        let units = units_setting(self)?;
        let detail = if value(sent, "quick").is_some() { Detail::Instant } else { Detail::USUAL };
        let mut question = self.planner.question(stored, sent, units, detail)?;
        question.can_undo = self.store.can_undo(id)?;
        question.can_redo = self.store.can_redo(id)?;
        Ok(question)
    }

    pub(crate) fn plan(&self, question: &Question) -> Result<Arc<Plan>, WebError> {
        Ok(self.planner.plan(question, question.piece()?)?)
    }

    /// What lies along the line that the address names, in `unit`.
    fn section(&self, id: &Id, sent: &Sent) -> Result<(Question, Arc<Ground>, Vec<Reading>), WebError> {
        let unit_mm = if value(sent, "unit") == Some("in") { 25.4 } else { 1.0 };
        let end = |x: &str, y: &str| -> Result<Point, WebError> {
            Ok(Point { x: number(sent, x)? * unit_mm, y: number(sent, y)? * unit_mm })
        };
        let (from, to) = (end("x1", "y1")?, end("x2", "y2")?);
        let question = self.question(id.piece()?, sent)?;
        let piece = question.piece()?;
        let ground = self.planner.ground(&question, piece)?;
        let readings = ground.section(from, to).map_err(|fault| WebError::Faulty(fault.to_string()))?;
        Ok((question, ground, readings))
    }

    pub(crate) fn parts(&self, question: &Question, piece: &Piece) -> Parts {
        match self.planner.plan(question, piece) {
            Ok(plan) => {
                // A page without its logs is better than none.
                let runs = self.store.runs(question.stored.id).unwrap_or_default();
                let ledger = self.store.movements(question.stored.shop).unwrap_or_default();
                let kept = (!question.tried.changes.is_empty()).then(|| self.planner.kept(question)).flatten();
                compose::compose(question, &plan, kept.as_deref(), &runs, &crate::ledger::entries(&ledger))
            }
            Err(refusal) => compose::unplanned(question, &refusal.to_string()),
        }
    }

    pub(crate) fn frame(&self, question: &Question) -> Result<Frame, WebError> {
        Ok(Frame {
            shop: question.shop.name.clone(),
            shop_href: Some(format!("/shop/{}", question.stored.shop)),
            units: question.shop.units,
            here: question.full_address(""),
            ..frame_of(self, &question.stored.name, Some(question.stored.id))?
        })
    }
}

/// Pieces named in the head of a page; the others are in the list.
const TABS: usize = 5;

/// What stands around a page: the latest pieces at hand, and the one that is shown.
pub(crate) fn frame_of(app: &App, title: &str, shown: Option<PieceId>) -> Result<Frame, WebError> {
    let at_hand: Vec<store::Listed> = app.store.pieces()?.into_iter().filter(|piece| !piece.away).collect();
    let first = at_hand.len().saturating_sub(TABS);
    let listed = at_hand.into_iter().enumerate().filter(|(i, piece)| *i >= first || Some(piece.id) == shown);
    let tab = |(_, piece): (usize, store::Listed)| Tab {
        href: format!("/piece/{}", piece.id),
        current: Some(piece.id) == shown,
        name: piece.name,
    };
    Ok(Frame { pieces: listed.map(tab).collect(), network: app.network, ..Frame::bare(title) })
}

/// The id in an address, not yet looked at.
#[derive(Debug, Clone)]
pub(crate) struct Id(String);

impl Id {
    /// A piece's id as an address writes it.
    pub(crate) fn of(text: &str) -> Result<PieceId, WebError> {
        text.parse().map(PieceId).map_err(|_| WebError::NotFound)
    }

    pub(crate) fn piece(&self) -> Result<PieceId, WebError> {
        Self::of(&self.0)
    }

    pub(crate) fn shop(&self) -> Result<ShopId, WebError> {
        self.0.parse().map(ShopId).map_err(|_| WebError::NotFound)
    }
}

impl<S: Send + Sync> axum::extract::FromRequestParts<S> for Id {
    type Rejection = WebError;

    async fn from_request_parts(parts: &mut axum::http::request::Parts, state: &S) -> Result<Self, WebError> {
        let path = Path::<String>::from_request_parts(parts, state).await;
        path.map(|Path(id)| Self(id)).map_err(|_| WebError::NotFound)
    }
}

/// The last value of a name.
pub(crate) fn value<'a>(sent: &'a Sent, name: &str) -> Option<&'a str> {
    sent.iter().rev().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
}

fn number(sent: &Sent, name: &str) -> Result<f64, WebError> {
    let number = value(sent, name).and_then(|text| text.parse::<f64>().ok()).filter(|number| number.is_finite());
    number.ok_or_else(|| WebError::Faulty(say!("{name} must be a number")))
}

/// A choice of a few words; the usual one when nothing is said.
fn choice<C: Default + std::str::FromStr<Err = UnknownChoice>>(sent: &Sent, name: &str) -> Result<C, WebError> {
    let chosen = value(sent, name).map(str::parse).transpose();
    Ok(chosen.map_err(|fault| WebError::Faulty(format!("{name}: {fault}")))?.unwrap_or_default())
}

/// The units that somebody chose for the pages.
pub(crate) fn units_setting(app: &App) -> Result<Option<UnitSystem>, WebError> {
    Ok(app.store.setting(UNITS)?.as_deref().and_then(units_of))
}

fn units_of(word: &str) -> Option<UnitSystem> {
    match word {
        "us" => Some(UnitSystem::Us),
        "metric" => Some(UnitSystem::Metric),
        _ => None,
    }
}
