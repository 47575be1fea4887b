//! Every method of every address: what it is asked with, what it answers.

use super::coupons::{KeepCouponsBody, LessonView};
use super::entries::{EntryView, NewEntryBody};
use super::orders::{NewOrderBody, OrderView};
use super::shelf::{AwayBody, CopyBody, RevisionView};
use super::stock::StockView;
use super::types::{FileView, FindingsView, LogView, NewPieceBody, PieceRow, PieceView, ShopRow, ShopView};
use crate::run_log::RunLog;
use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use plan::document::PlanDocument;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// One method of one path.
pub(super) struct Operation {
    pub path: &'static str,
    pub method: &'static str,
    id: &'static str,
    summary: &'static str,
    body: Option<Value>,
    /// Status, words, content; `None` for an answer without a body.
    done: Vec<(&'static str, &'static str, Value)>,
    refusals: &'static [(&'static str, &'static str)],
    /// It answers with an ETag.
    tagged: bool,
    /// What If-Match names, and whether it must.
    matching: Option<(&'static str, bool)>,
}

const MISSING: &[(&str, &str)] = &[("404", "NotFound"), ("503", "Busy")];
const LISTS: &[(&str, &str)] = &[("503", "Busy")];
const PLANS: &[(&str, &str)] = &[("404", "NotFound"), ("422", "Unreadable"), ("503", "Busy")];
const STEPS: &[(&str, &str)] = &[("404", "NotFound"), ("409", "Conflict"), ("503", "Busy")];
const SENT: &[(&str, &str)] = &[
    ("400", "BadRequest"),
    ("404", "NotFound"),
    ("413", "TooLarge"),
    ("415", "NotJson"),
    ("422", "Unreadable"),
    ("503", "Busy"),
];
const KEYED: &[(&str, &str)] = &[
    ("400", "BadRequest"),
    ("404", "NotFound"),
    ("409", "Conflict"),
    ("412", "Changed"),
    ("413", "TooLarge"),
    ("415", "NotJson"),
    ("422", "Unreadable"),
    ("428", "RevisionNeeded"),
    ("503", "Busy"),
];
const CHANGES: &[(&str, &str)] = &[
    ("400", "BadRequest"),
    ("404", "NotFound"),
    ("412", "Changed"),
    ("413", "TooLarge"),
    ("415", "NotJson"),
    ("422", "Unreadable"),
    ("428", "RevisionNeeded"),
    ("503", "Busy"),
];

/// What If-Match names where a change of a file needs it.
const OWN: Option<(&str, bool)> = Some(("The revision that was changed, as its ETag: \"3\".", true));
const OF_SHOP: Option<(&str, bool)> = Some(("The shop's revision that is changed, as its ETag: \"3\".", true));
const WITH_BORE: Option<(&str, bool)> =
    Some(("The shop's revision, as its ETag: \"3\"; needed where the bore is planned with.", false));

/// What stands in an address, other than a piece's or a shop's number.
const PLACES: [(&str, &str); 3] =
    [("log", "Number of the log."), ("number", "Number of the order."), ("key", "Key of the entry.")];

impl Operation {
    pub(super) fn entry(self) -> Value {
        let parameters = self.parameters();
        let header = json!({ "ETag": { "description": "The revision, quoted.", "schema": { "type": "string" } } });
        let mut responses = Map::new();
        for (status, words, content) in self.done {
            let mut answer = json!({ "description": words, "content": content });
            if self.tagged {
                answer["headers"] = header.clone();
            }
            responses.insert(status.to_owned(), answer);
        }
        let refusals = self.refusals.iter().chain([&("405", "NotThisMethod")]);
        responses.extend(
            refusals.map(|(status, name)| {
                ((*status).to_owned(), json!({ "$ref": format!("#/components/responses/{name}") }))
            }),
        );
        let mut entry = json!({ "operationId": self.id, "summary": self.summary, "parameters": parameters });
        if let Some(schema) = self.body {
            entry["requestBody"] = json!({ "required": true, "content": content("application/json", schema) });
        }
        entry["responses"] = Value::Object(responses);
        entry
    }

    fn parameters(&self) -> Vec<Value> {
        let number = json!({ "type": "integer", "format": "int64", "minimum": 1, "examples": [1] });
        let text = json!({ "type": "string" });
        let mut all = Vec::new();
        if self.path.contains("{id}") {
            let words =
                if self.path.starts_with("/api/shops") { "Number of the shop." } else { "Number of the piece." };
            all.push(
                json!({ "name": "id", "in": "path", "required": true, "description": words, "schema": number.clone() }),
            );
        }
        for (name, words) in PLACES.iter().filter(|(name, _)| self.path.contains(&format!("{{{name}}}"))) {
            let schema = if *name == "key" {
                json!({ "type": "string", "minLength": 1, "examples": ["a.1"] })
            } else {
                number.clone()
            };
            all.push(json!({ "name": name, "in": "path", "required": true, "description": words, "schema": schema }));
        }
        if self.id == "lesson" {
            let words = "What the depth gauge is good for, such as 0.02mm; left out: a caliper.";
            all.push(json!({ "name": "gauge", "in": "query", "description": words, "schema": text }));
        }
        if let Some((words, required)) = self.matching {
            all.push(
                json!({ "name": "If-Match", "in": "header", "required": required, "description": words, "schema": text }),
            );
        }
        all
    }
}

pub(super) fn content(kind: &str, schema: Value) -> Value {
    json!({ kind: { "schema": schema } })
}

pub(super) fn of<T: JsonSchema>(schemas: &mut SchemaGenerator) -> Value {
    schemas.subschema_for::<T>().to_value()
}

/// All of them.
pub(super) fn operations(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let mut all = reads(schemas);
    all.extend(more_reads(schemas));
    all.extend(writes(schemas));
    all.extend(shelf(schemas));
    all.extend(coupons(schemas));
    all.extend(stock(schemas));
    all.extend(orders(schemas));
    all
}

fn read(
    path: &'static str,
    id: &'static str,
    summary: &'static str,
    schema: Value,
    refusals: &'static [(&'static str, &'static str)],
) -> Operation {
    Operation {
        path,
        method: "get",
        id,
        summary,
        body: None,
        done: vec![("200", "As it stands.", content("application/json", schema))],
        refusals,
        tagged: ["piece", "shop"].contains(&id),
        matching: None,
    }
}

/// A change that is answered with 200 and what then stands.
fn change(
    (method, path): (&'static str, &'static str),
    id: &'static str,
    summary: &'static str,
    body: Option<Value>,
    schema: Value,
    refusals: &'static [(&'static str, &'static str)],
) -> Operation {
    let done = vec![("200", "As it stands now.", content("application/json", schema))];
    Operation { path, method, id, summary, body, done, refusals, tagged: false, matching: None }
}

fn reads(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    vec![
        read("/api/pieces", "pieces", "All pieces.", of::<Vec<PieceRow>>(schemas), LISTS),
        read("/api/pieces/{id}", "piece", "A piece.", of::<PieceView>(schemas), PLANS),
        read(
            "/api/pieces/{id}/plan",
            "plan",
            "What Sabulo computes for a piece in its shop.",
            of::<PlanDocument>(schemas),
            PLANS,
        ),
        read("/api/pieces/{id}/findings", "findings", "What the plan checked.", of::<FindingsView>(schemas), PLANS),
        read("/api/pieces/{id}/files", "files", "The files that the plan offers.", of::<Vec<FileView>>(schemas), PLANS),
        read(
            "/api/pieces/{id}/logs",
            "logs",
            "Logs of work at the cabinet, the oldest first.",
            of::<Vec<LogView>>(schemas),
            MISSING,
        ),
        read("/api/shops", "shops", "All shops.", of::<Vec<ShopRow>>(schemas), LISTS),
        read("/api/shops/{id}", "shop", "A shop.", of::<ShopView>(schemas), PLANS),
        read(
            "/api/shops/{id}/stock",
            "stock",
            "What a shop has left, and how its nozzles stand.",
            of::<StockView>(schemas),
            PLANS,
        ),
    ]
}

fn more_reads(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let bytes = json!({ "application/octet-stream": {} });
    let mut artwork = read("/api/pieces/{id}/artwork", "artwork", "The drawing's bytes.", json!({}), MISSING);
    artwork.done = vec![("200", "As it was brought.", bytes)];
    let mut this = read("/api/openapi.json", "description", "This description.", json!({ "type": "object" }), &[]);
    this.done[0].1 = "OpenAPI 3.1.";
    let revisions = "Every revision of a piece, the oldest first.";
    vec![
        artwork,
        this,
        read("/api/pieces/{id}/revisions", "revisions", revisions, of::<Vec<RevisionView>>(schemas), MISSING),
    ]
}

fn writes(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let json = |schema: Value| content("application/json", schema);
    let (piece, shop) = (of::<PieceView>(schemas), of::<ShopView>(schemas));
    let keep_piece = "Keeps a piece file as a new revision. The same values again add none.";
    let keep_shop = "Keeps a shop file as a new revision. The same values again add none.";
    let change_piece = change(
        ("put", "/api/pieces/{id}"),
        "change_piece",
        keep_piece,
        Some(of::<PieceFile>(schemas)),
        piece.clone(),
        CHANGES,
    );
    let change_shop =
        change(("put", "/api/shops/{id}"), "change_shop", keep_shop, Some(of::<ShopFile>(schemas)), shop, CHANGES);
    let begin_words =
        "Begins a piece with a drawing; with a file of its own, or with a first one made for the drawing.";
    let mut begin =
        change(("post", "/api/pieces"), "begin_piece", begin_words, Some(of::<NewPieceBody>(schemas)), json!({}), SENT);
    begin.done = vec![("201", "It is kept.", json(piece))];
    let mut log = change(
        ("post", "/api/pieces/{id}/logs"),
        "keep_log",
        "Keeps a log of work at the cabinet. The same key again changes nothing.",
        Some(of::<RunLog>(schemas)),
        json!({}),
        SENT,
    );
    let kept = json(of::<RunLog>(schemas));
    log.done = vec![("201", "It is kept.", kept.clone()), ("200", "A log of this key was kept before.", kept)];
    vec![
        Operation { tagged: true, ..begin },
        Operation { tagged: true, matching: OWN, ..change_piece },
        Operation { tagged: true, matching: OWN, ..change_shop },
        log,
    ]
}

fn shelf(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let piece = of::<PieceView>(schemas);
    let mut copy = change(
        ("post", "/api/pieces/{id}/copies"),
        "copy_piece",
        "Copies a piece as it stands, into its own shop or another.",
        Some(of::<CopyBody>(schemas)),
        json!({}),
        SENT,
    );
    copy.done = vec![("201", "It is kept.", content("application/json", piece.clone()))];
    let away = of::<AwayBody>(schemas);
    let step = |path, id, summary| change(("post", path), id, summary, None, piece.clone(), STEPS);
    let undo = step("/api/pieces/{id}/undo", "undo", "Goes one revision back.");
    let redo = step("/api/pieces/{id}/redo", "redo", "Goes to the revision that was undone last.");
    vec![
        Operation { tagged: true, ..copy },
        change(
            ("put", "/api/pieces/{id}/away"),
            "shelve",
            "Puts a piece away, or brings it back. Nothing of it is lost.",
            Some(away.clone()),
            away,
            SENT,
        ),
        Operation { tagged: true, ..undo },
        Operation { tagged: true, ..redo },
    ]
}

fn coupons(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let path = "/api/pieces/{id}/logs/{log}/coupons";
    let keep = change(
        ("post", path),
        "keep_coupons",
        "Adds the coupons that a log's gauged depths make to the shop's file, as a new revision.",
        Some(of::<KeepCouponsBody>(schemas)),
        of::<ShopView>(schemas),
        CHANGES,
    );
    vec![
        read(path, "lesson", "What a log's gauged depths teach. Nothing is kept.", of::<LessonView>(schemas), PLANS),
        Operation { tagged: true, matching: OF_SHOP, ..keep },
    ]
}

fn stock(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let (all, one) = ("/api/shops/{id}/stock/entries", "/api/shops/{id}/stock/entries/{key}");
    let entry = of::<EntryView>(schemas);
    let mut enter = change(
        ("post", all),
        "enter",
        "Adds an entry to a shop's ledger: bought, counted, gauged, renewed. The same key again changes nothing.",
        Some(of::<NewEntryBody>(schemas)),
        json!({}),
        KEYED,
    );
    let content = content("application/json", entry.clone());
    enter.done = vec![("201", "It is kept.", content.clone()), ("200", "The same entry was kept before.", content)];
    let back =
        "Takes an entry back, by another entry, which is answered. Nothing is overwritten; a second time adds none.";
    vec![
        read(all, "entries", "A shop's ledger, the oldest entry first.", of::<Vec<EntryView>>(schemas), MISSING),
        Operation { matching: WITH_BORE, ..enter },
        read(one, "entry", "An entry of a shop's ledger.", entry.clone(), MISSING),
        change(("delete", one), "take_back", back, None, entry, PLANS),
    ]
}

fn orders(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let (all, one) = ("/api/pieces/{id}/orders", "/api/pieces/{id}/orders/{number}");
    let order = of::<OrderView>(schemas);
    let mut begin = change(
        ("post", all),
        "begin_order",
        "Begins an order of many names. It goes on after the answer. The same key again begins none.",
        Some(of::<NewOrderBody>(schemas)),
        json!({}),
        KEYED,
    );
    let content = content("application/json", order.clone());
    begin.done = vec![("202", "It is begun.", content.clone()), ("200", "It was begun before.", content)];
    let cancel = "Ends an order that is under way. One that is over stays as it is.";
    vec![
        read(all, "orders", "Orders of a piece, the oldest first.", of::<Vec<OrderView>>(schemas), MISSING),
        begin,
        read(one, "order", "How an order stands, and what was made.", order.clone(), MISSING),
        change(("delete", one), "cancel_order", cancel, None, order, MISSING),
    ]
}
