//! What each address answers: read the inputs, plan, write one page.

use crate::app::App;
use crate::compose::{self, instant, place_words};
use crate::error::{WebError, plain};
use crate::form::Sent;
use crate::planner::Question;
use crate::view::{Frame, Parts, PiecePage, Tab};
use crate::{files, pages};
use artwork::grid::Point;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_LOCATION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Redirect, Response};
use piece::Piece;
use plan::{Detail, Plan};
use quantity::UnitSystem;
use std::sync::Arc;
use store::{PieceId, StoreError};

pub(crate) type Shared = State<Arc<App>>;
pub(crate) type Answer = Result<Response, WebError>;

/// The setting that holds the units of the pages; without it they are the shop's.
const UNITS: &str = "units";

/// To the first piece.
pub(crate) async fn first_piece(State(app): Shared) -> Answer {
    match app.work(|app| Ok(app.store.pieces()?)).await?.first() {
        Some(piece) => Ok(Redirect::to(&format!("/piece/{}", piece.id)).into_response()),
        None => {
            let frame = Frame::bare("No piece");
            let words =
                "The store is empty. Start the program without a file of your own to get the demonstration pieces.";
            Ok(Html(pages::message(&frame, "There is no piece yet", words)).into_response())
        }
    }
}

/// The plan page, of what is kept or of what the address tries.
pub(crate) async fn piece(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Answer {
    page(app, id, sent, None, StatusCode::OK).await
}

/// The parts of the page for a recipe that is tried: coarse and at once, or in full when asked for.
pub(crate) async fn try_recipe(State(app): Shared, id: Id, Form(mut sent): Form<Sent>) -> Response {
    if value(&sent, "full").is_none() {
        sent.push(("quick".to_owned(), "1".to_owned()));
    }
    let work = app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        let (status, html) = match &question.tried.piece {
            Ok(piece) => (StatusCode::OK, pages::parts(&app.parts(&question, piece))),
            Err(_) => (StatusCode::UNPROCESSABLE_ENTITY, pages::faulty(&faulty(&question))),
        };
        Ok((status, [(CONTENT_LOCATION, question.full_address(""))], Html(html)).into_response())
    });
    work.await.unwrap_or_else(|error| plain(&error))
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
        Err(StatusCode::CONFLICT) => page(app, id, given, Some(CHANGED), StatusCode::CONFLICT).await,
        Err(status) => page(app, id, given, None, status).await,
    }
}

const CHANGED: &str = "This piece was changed in another window since you opened it. What you tried is still here, \
                       laid over the newer revision: look at it again, then keep it.";

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

/// Sets the units of all pages and comes back.
pub(crate) async fn set_units(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    let there = app.work(move |app| {
        let units = value(&sent, UNITS).filter(|units| units_of(units).is_some());
        let units = units.ok_or_else(|| WebError::Faulty("units are \"us\" or \"metric\"".to_owned()))?;
        app.store.set(UNITS, units)?;
        let here = value(&sent, "here").filter(|here| here.starts_with("/piece/") || here.starts_with("/shop/"));
        Ok(here.unwrap_or("/").to_owned())
    });
    Ok(Redirect::to(&there.await?).into_response())
}

/// The piece as it will look.
pub(crate) async fn preview(State(app): Shared, id: Id, Query(sent): Query<Sent>) -> Response {
    let work = app.work(move |app| {
        let question = app.question(id.piece()?, &sent)?;
        let plan = app.plan(&question)?;
        let png = app.planner.picture(&question, || files::preview(&plan).map(Arc::<[u8]>::from))?;
        Ok(([(CONTENT_TYPE, "image/png"), (CACHE_CONTROL, "no-cache")], png.to_vec()).into_response())
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

/// A file of the plan.
pub(crate) async fn file(
    State(app): Shared,
    Path((id, name)): Path<(String, String)>,
    Query(sent): Query<Sent>,
) -> Answer {
    app.work(move |app| {
        let question = app.question(Id(id).piece()?, &sent)?;
        let made = files::make(&*app.plan(&question)?, &question.shop, &name)?;
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

fn faulty(question: &Question) -> Parts {
    compose::unplanned(
        question,
        "A value of the recipe does not read. Mend it where it is marked; nothing was changed.",
    )
}

impl App {
    fn question(&self, id: PieceId, sent: &Sent) -> Result<Question, WebError> {
        let stored = self.store.piece(id)?;
        let units = units_setting(self)?;
        let detail = if value(sent, "quick").is_some() { Detail::Instant } else { Detail::USUAL };
        let mut question = self.planner.question(stored, sent, units, detail)?;
        question.can_undo = self.store.can_undo(id)?;
        question.can_redo = self.store.can_redo(id)?;
        Ok(question)
    }

    fn plan(&self, question: &Question) -> Result<Arc<Plan>, WebError> {
        match &question.tried.piece {
            Ok(piece) => Ok(self.planner.plan(question, piece)?),
            Err(faults) => Err(WebError::Faulty(faults.values().cloned().collect::<Vec<_>>().join("; "))),
        }
    }

    fn parts(&self, question: &Question, piece: &Piece) -> Parts {
        match self.planner.plan(question, piece) {
            Ok(plan) => {
                let kept = (!question.tried.changes.is_empty()).then(|| self.planner.kept(question)).flatten();
                compose::compose(question, &plan, kept.as_deref())
            }
            Err(refusal) => compose::unplanned(question, &refusal.to_string()),
        }
    }

    fn frame(&self, question: &Question) -> Result<Frame, WebError> {
        let tab = |piece: store::Listed| Tab {
            href: format!("/piece/{}", piece.id),
            current: piece.id == question.stored.id,
            name: piece.name,
        };
        Ok(Frame {
            title: format!("{} – Sabulo", question.stored.name),
            pieces: self.store.pieces()?.into_iter().map(tab).collect(),
            shop: question.shop.name.clone(),
            shop_href: Some(format!("/shop/{}", question.stored.shop)),
            units: question.shop.units,
            here: question.full_address(""),
        })
    }
}

/// The id in an address, not yet looked at.
#[derive(Debug, Clone)]
pub(crate) struct Id(String);

impl Id {
    fn piece(&self) -> Result<PieceId, WebError> {
        self.0.parse().map(PieceId).map_err(|_| WebError::NotFound)
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
    number.ok_or_else(|| WebError::Faulty(format!("{name} must be a number")))
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
