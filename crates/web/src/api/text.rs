//! JSON into the file that the store keeps, and back.

use super::problem::Problem;
use axum::http::StatusCode;
use piece::Complaints;
use serde_json::Value;

/// A kept file as JSON, as it stands in it.
///
/// # Errors
/// When it is no TOML, which the store would not have been given.
pub(super) fn json(text: &str) -> Result<Value, Problem> {
    let fault = |fault: String| Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "The stored file does not read", fault);
    let table: toml::Table = toml::from_str(text).map_err(|error| fault(error.to_string()))?;
    serde_json::to_value(table).map_err(|error| fault(error.to_string()))
}

/// The file that a JSON value makes. Where it says the same as the kept file, that file's own text stays, with its
/// notes and its order.
///
/// # Errors
/// When it is no object, or holds what a file cannot: `null` in a list, a number too large.
pub(super) fn text(value: Value, kept: Option<&str>) -> Result<String, Problem> {
    let fault =
        |fault: String| Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "The values cannot stand in a file", fault);
    let table = toml::Table::try_from(without_nulls(value)).map_err(|error| fault(error.to_string()))?;
    match kept {
        Some(kept) if toml::from_str::<toml::Table>(kept).is_ok_and(|kept| kept == table) => Ok(kept.to_owned()),
        _ => toml::to_string(&table).map_err(|error| fault(error.to_string())),
    }
}

/// A key without a value is a key left out.
fn without_nulls(value: Value) -> Value {
    match value {
        Value::Object(map) => Value::Object(
            map.into_iter().filter(|(_, value)| !value.is_null()).map(|(k, v)| (k, without_nulls(v))).collect(),
        ),
        Value::Array(items) => Value::Array(items.into_iter().map(without_nulls).collect()),
        other => other,
    }
}

/// What the file's reader says, without the lines of a file that nobody wrote.
pub(super) fn complaint(complaints: &Complaints) -> Problem {
    let words = complaints.0.iter().map(|complaint| match complaint.key.is_empty() {
        true => complaint.fault.to_string(),
        false => format!("{}: {}", complaint.key, complaint.fault),
    });
    let detail = words.collect::<Vec<_>>().join("\n");
    Problem::new(StatusCode::UNPROCESSABLE_ENTITY, "The values do not read", detail)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::{PIECE, SHOP};
    use serde_json::json;

    #[test]
    fn a_file_goes_to_json_and_back_and_reads_the_same() {
        for file in [PIECE, SHOP] {
            let there = json(file).unwrap();
            assert_eq!(text(there.clone(), Some(file)).unwrap(), file, "not a letter changes");
            let back = text(there, None).unwrap();
            assert_eq!(toml::from_str::<toml::Table>(&back).unwrap(), toml::from_str::<toml::Table>(file).unwrap());
        }
    }

    #[test]
    fn what_cannot_stand_in_a_file_is_refused() {
        assert_eq!(text(json!({"a": null, "b": {"c": null, "d": 1}}), None).unwrap(), "[b]\nd = 1\n");
        for odd in [json!([1]), json!("x"), json!(null), json!({"a": [null]}), json!({"a": u64::MAX})] {
            let fault = text(odd.clone(), None);
            assert_eq!(fault.map_err(|problem| problem.status), Err(422), "{odd}");
        }
    }
}
