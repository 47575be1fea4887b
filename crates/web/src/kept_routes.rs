//! A piece as it was kept: its file as text, and every revision with what it changed.

use crate::app::App;
use crate::error::WebError;
use crate::form::Sent;
use crate::pages;
use crate::routes::{Answer, Id, Shared, frame_of, units_setting, value};
use crate::view::{FilePage, Frame, HistoryPage, HistoryRow};
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use language::say;
use quantity::UnitSystem;
use std::collections::BTreeMap;
use store::{PieceId, Revision, StoreError};
use toml::Value;

/// A piece's file as text.
pub(crate) async fn file(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| {
        let stored = app.store.piece(id.piece()?)?;
        shown(app, stored.id, stored.revision, stored.piece_toml, Vec::new(), StatusCode::OK)
    })
    .await
}

/// Keeps a piece's file as it was typed, or says what is wrong with it and where.
pub(crate) async fn keep_file(State(app): Shared, id: Id, Form(sent): Form<Sent>) -> Answer {
    app.work(move |app| {
        let stored = app.store.piece(id.piece()?)?;
        let text = value(&sent, "text").unwrap_or_default().replace("\r\n", "\n");
        let read = value(&sent, "revision").and_then(|number| number.parse().ok()).unwrap_or(stored.revision);
        let shop = piece::read_shop(&stored.shop_toml, "shop.toml").map_err(crate::Unreadable::from)?;
        if let Err(complaints) = piece::read_piece(&text, "piece.toml", &shop) {
            let faults = complaints.0.iter().map(ToString::to_string).collect();
            return shown(app, stored.id, read, text, faults, StatusCode::UNPROCESSABLE_ENTITY);
        }
        match app.store.update_piece(stored.id, read, &text) {
            Ok(_) => Ok(Redirect::to(&format!("/piece/{}", stored.id)).into_response()),
            Err(StoreError::Conflict { .. }) => {
                let changed = say!(
                    "The piece was changed in another window since you opened it. Your text is still here: compare \
                     it with the newer one, then keep it again."
                );
                shown(app, stored.id, stored.revision, text, vec![changed.to_owned()], StatusCode::CONFLICT)
            }
            Err(other) => Err(other.into()),
        }
    })
    .await
}

fn shown(
    app: &App,
    id: PieceId,
    revision: u32,
    text: String,
    faults: Vec<String>,
    status: StatusCode,
) -> Result<Response, WebError> {
    let address = format!("/piece/{id}");
    let name = app.store.piece(id)?.name;
    let frame = frame(app, id, &name, &format!("{address}/file"))?;
    let page = FilePage { frame, name, address, file: "piece.toml", back: say!("The plan"), revision, text, faults };
    Ok((status, Html(pages::file(&page))).into_response())
}

fn frame(app: &App, id: PieceId, name: &str, here: &str) -> Result<Frame, WebError> {
    let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
    Ok(Frame { units, here: here.to_owned(), ..frame_of(app, name, Some(id))? })
}

/// Every revision of a piece, the latest first.
pub(crate) async fn history(State(app): Shared, id: Id) -> Answer {
    app.work(move |app| {
        let stored = app.store.piece(id.piece()?)?;
        let revisions = app.store.revisions(stored.id)?;
        let row = |revision: &Revision| {
            let text = |number: u32| app.store.piece_at(stored.id, number).map(|piece| piece.piece_toml);
            let changed = match revision.parent {
                Some(parent) => changes(&text(parent)?, &text(revision.number)?),
                None => vec![say!(in "a revision", "the first").to_owned()],
            };
            Ok(HistoryRow {
                number: revision.number,
                saved: revision.saved_utc.replace('T', " ").chars().take(16).collect(),
                changed,
                stands: revision.number == stored.revision,
            })
        };
        let rows = revisions.iter().rev().map(row).collect::<Result<_, WebError>>()?;
        let address = format!("/piece/{}", stored.id);
        let frame = frame(app, stored.id, &stored.name, &format!("{address}/history"))?;
        let page = HistoryPage { frame, name: stored.name, address, revision: stored.revision, rows };
        Ok(Html(pages::history(&page)).into_response())
    })
    .await
}

/// Keeps an earlier revision again, as the newest one.
pub(crate) async fn bring_back(
    State(app): Shared,
    Path((id, number)): Path<(String, u32)>,
    Form(sent): Form<Sent>,
) -> Answer {
    app.work(move |app| {
        let id = Id::of(&id)?;
        let text = app.store.piece_at(id, number)?.piece_toml;
        let read = value(&sent, "revision").and_then(|number| number.parse().ok()).unwrap_or(0);
        app.store.update_piece(id, read, &text)?;
        Ok(Redirect::to(&format!("/piece/{id}")).into_response())
    })
    .await
}

/// What a text says otherwise than the one before it, key by key.
fn changes(before: &str, after: &str) -> Vec<String> {
    let (before, after) = (flat(before), flat(after));
    let keys: std::collections::BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    let change = |key: &String| match (before.get(key), after.get(key)) {
        (Some(old), Some(new)) if old != new => Some(format!("{key}: {old} → {new}")),
        (None, Some(new)) => Some(format!("{key}: {new}")),
        (Some(old), None) => Some(say!("{key}: no longer {old}")),
        _ => None,
    };
    keys.into_iter().filter_map(change).collect()
}

/// Every value of a file by its key, lists counted from 1.
fn flat(text: &str) -> BTreeMap<String, String> {
    let mut values = BTreeMap::new();
    let table: toml::Table = toml::from_str(text).unwrap_or_default();
    walk("", &Value::Table(table), &mut values);
    values
}

fn walk(key: &str, value: &Value, into: &mut BTreeMap<String, String>) {
    match value {
        Value::Table(table) => {
            for (name, value) in table {
                walk(&if key.is_empty() { name.clone() } else { format!("{key} {name}") }, value, into);
            }
        }
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(at, value)| walk(&format!("{key} {}", at + 1), value, into));
        }
        Value::String(text) => drop(into.insert(key.to_owned(), text.clone())),
        other => drop(into.insert(key.to_owned(), other.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_revision_says_what_it_changed() {
        let before = "name = 'a'\n[recipe]\npressure = '2bar'\n[[depth]]\ndepth = '1mm'";
        let after = "name = 'a'\n[recipe]\nnozzle = 'x'\n[[depth]]\ndepth = '2mm'";
        assert_eq!(
            changes(before, after),
            ["depth 1 depth: 1mm → 2mm", "recipe nozzle: x", "recipe pressure: no longer 2bar"]
        );
        assert!(changes(after, after).is_empty());
    }
}
