//! JSON Schemas of the files, generated from the types that read them.

use crate::piece_file::PieceFile;
use crate::shop_file::ShopFile;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::Value;

/// The schema of `piece.toml`, JSON Schema draft 2020-12.
#[must_use]
pub fn piece() -> Value {
    of::<PieceFile>()
}

/// The schema of `shop.toml`, JSON Schema draft 2020-12.
#[must_use]
pub fn shop() -> Value {
    of::<ShopFile>()
}

/// Any type's schema with everything in place, so that a walk needs no look-ups.
#[must_use]
pub fn of<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|settings| settings.inline_subschemas = true);
    settings.into_generator().into_root_schema_for::<T>().to_value()
}
