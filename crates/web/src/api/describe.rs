//! The OpenAPI 3.1 description, from the types that are sent and answered.

use super::operations::{content, of, operations};
use super::problem::Problem;
use axum::Json;
use axum::response::{IntoResponse as _, Response};
use schemars::generate::SchemaSettings;
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
            "description": "Pieces, shops, plans, logs, stock and orders of this computer's Sabulo. Units stand in the \
                            key names; quantities in a piece and a shop are written with theirs, such as \"1/8in\". What \
                            is read is in English; what a change is refused with, and the words that an order is made \
                            with, are in the language that its Accept-Language names, if it is one of these: en, de.",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" },
        },
        "servers": [{ "url": "/" }],
        "paths": paths,
        "components": {
            "schemas": schemas.take_definitions(true),
            "responses": {
                "BadRequest": refusal("The body is not JSON."),
                "NotFound": refusal("There is no such piece, shop, log, entry or order."),
                "NotThisMethod": refusal("The address does not take this method."),
                "Conflict": refusal("Something else was kept under this key, or there is no revision to go to."),
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
