//! The OpenAPI 3.1 description, from the types that are sent and answered.

use super::problem::Problem;
use super::stock::StockView;
use super::types::{FileView, FindingsView, LogView, NewPieceBody, PieceRow, PieceView, ShopRow, ShopView};
use crate::run_log::RunLog;
use axum::Json;
use axum::response::{IntoResponse as _, Response};
use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use plan::document::PlanDocument;
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, SchemaGenerator};
use serde_json::{Map, Value, json};

/// The description.
pub(super) async fn description() -> Response {
    Json(openapi()).into_response()
}

/// The whole document.
pub(super) fn openapi() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    });
    let mut schemas = settings.into_generator();
    let mut paths = Map::new();
    for operation in operations(&mut schemas) {
        let path = paths.entry(operation.path).or_insert_with(|| json!({}));
        let method = operation.method;
        path[method] = operation.entry();
    }
    let problem = content("application/problem+json", of::<Problem>(&mut schemas));
    let refusal = |words: &str| json!({ "description": words, "content": problem });
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Sabulo",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Pieces, shops, plans and logs of this computer's Sabulo. Units stand in the key names; \
                            quantities in a piece and a shop are written with theirs, such as \"1/8in\".",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
        },
        "servers": [{ "url": "/" }],
        "paths": paths,
        "components": {
            "schemas": schemas.take_definitions(true),
            "responses": {
                "BadRequest": refusal("The body is not JSON."),
                "NotFound": refusal("There is no such piece or shop."),
                "NotThisMethod": refusal("The address does not take this method."),
                "Changed": refusal("It was changed since the revision that If-Match names."),
                "TooLarge": refusal("The body is larger than is taken."),
                "NotJson": refusal("The body is not said to be application/json."),
                "Unreadable": refusal("The values do not read, or cannot be planned; detail says which and why."),
                "RevisionNeeded": refusal("A change must name the revision it was made on, as If-Match."),
                "Busy": refusal("Too much is asked at once."),
            },
        },
    })
}

/// One method of one path.
struct Operation {
    path: &'static str,
    method: &'static str,
    id: &'static str,
    summary: &'static str,
    body: Option<Value>,
    /// Status, words, content; `None` for an answer without a body.
    done: Vec<(&'static str, &'static str, Value)>,
    refusals: &'static [(&'static str, &'static str)],
    /// It answers with an ETag.
    tagged: bool,
}

const MISSING: &[(&str, &str)] = &[("404", "NotFound"), ("503", "Busy")];
const LISTS: &[(&str, &str)] = &[("503", "Busy")];
const PLANS: &[(&str, &str)] = &[("404", "NotFound"), ("422", "Unreadable"), ("503", "Busy")];
const SENT: &[(&str, &str)] = &[
    ("400", "BadRequest"),
    ("404", "NotFound"),
    ("413", "TooLarge"),
    ("415", "NotJson"),
    ("422", "Unreadable"),
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

impl Operation {
    fn entry(self) -> Value {
        let mut parameters = Vec::new();
        if self.path.contains("{id}") {
            let words =
                if self.path.starts_with("/api/shops") { "Number of the shop." } else { "Number of the piece." };
            let schema = json!({ "type": "integer", "format": "int64", "minimum": 1, "examples": [1] });
            parameters
                .push(json!({ "name": "id", "in": "path", "required": true, "description": words, "schema": schema }));
        }
        if self.method == "put" {
            let words = "The revision that was changed, as its ETag: \"3\".";
            let schema = json!({ "type": "string" });
            parameters.push(
                json!({ "name": "If-Match", "in": "header", "required": true, "description": words, "schema": schema }),
            );
        }
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
}

fn content(kind: &str, schema: Value) -> Value {
    json!({ kind: { "schema": schema } })
}

fn of<T: JsonSchema>(schemas: &mut SchemaGenerator) -> Value {
    schemas.subschema_for::<T>().to_value()
}

fn operations(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    reads(schemas).into_iter().chain(writes(schemas)).collect()
}

fn reads(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let read = |path, id, summary, schema: Value, refusals| Operation {
        path,
        method: "get",
        id,
        summary,
        body: None,
        done: vec![("200", "As it stands.", content("application/json", schema))],
        refusals,
        tagged: ["piece", "shop"].contains(&id),
    };
    let mut all = vec![
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
    ];
    let bytes = json!({ "application/octet-stream": {} });
    let mut artwork = read("/api/pieces/{id}/artwork", "artwork", "The drawing's bytes.", json!({}), MISSING);
    artwork.done = vec![("200", "As it was brought.", bytes)];
    all.push(artwork);
    let mut this = read("/api/openapi.json", "description", "This description.", json!({ "type": "object" }), &[]);
    this.done[0].1 = "OpenAPI 3.1.";
    all.push(this);
    all
}

fn writes(schemas: &mut SchemaGenerator) -> Vec<Operation> {
    let json = |schema: Value| content("application/json", schema);
    let piece = of::<PieceView>(schemas);
    let write = |path, method, id, summary, body, done, refusals| Operation {
        path,
        method,
        id,
        summary,
        body: Some(body),
        done,
        refusals,
        tagged: id != "keep_log",
    };
    vec![
        write(
            "/api/pieces",
            "post",
            "begin_piece",
            "Begins a piece with a drawing.",
            of::<NewPieceBody>(schemas),
            vec![("201", "It is kept.", json(piece.clone()))],
            SENT,
        ),
        write(
            "/api/pieces/{id}",
            "put",
            "change_piece",
            "Keeps a piece file as a new revision. The same values again add none.",
            of::<PieceFile>(schemas),
            vec![("200", "It is kept.", json(piece))],
            CHANGES,
        ),
        write(
            "/api/shops/{id}",
            "put",
            "change_shop",
            "Keeps a shop file as a new revision. The same values again add none.",
            of::<ShopFile>(schemas),
            vec![("200", "It is kept.", json(of::<ShopView>(schemas)))],
            CHANGES,
        ),
        write(
            "/api/pieces/{id}/logs",
            "post",
            "keep_log",
            "Keeps a log of work at the cabinet. The same key again changes nothing.",
            of::<RunLog>(schemas),
            vec![
                ("201", "It is kept.", json(of::<RunLog>(schemas))),
                ("200", "A log of this key was kept before.", json(of::<RunLog>(schemas))),
            ],
            SENT,
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    const GOLDEN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/golden/openapi.json");

    /// What we say today. `UPDATE_GOLDEN=1` writes it anew; the difference is then read.
    #[test]
    fn the_description_is_the_golden_one() {
        let now = format!("{}\n", serde_json::to_string_pretty(&openapi()).unwrap());
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            fs::write(GOLDEN, &now).unwrap();
        }
        let golden = fs::read_to_string(GOLDEN).unwrap();
        let differs = golden.lines().zip(now.lines()).position(|(old, new)| old != new);
        assert!(golden == now, "line {:?} differs; UPDATE_GOLDEN=1 writes it anew", differs.map(|line| line + 1));
    }

    #[test]
    fn every_reference_leads_somewhere() {
        let whole = openapi();
        let text = whole.to_string();
        let mut count = 0;
        for reference in text.split("\"$ref\":\"#").skip(1).filter_map(|rest| rest.split('"').next()) {
            assert!(whole.pointer(reference).is_some(), "{reference}");
            count += 1;
        }
        assert!(count > 40, "{count}");
    }
}
