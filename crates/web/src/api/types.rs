//! What is sent and answered.

use crate::run_log::RunLog;
use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use plan::document::FindingEntry;
use plan::told::Told;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A row of the list of pieces.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct PieceRow {
    /// Its number.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// It was put away: kept, and out of sight.
    pub away: bool,
}

/// A piece as it stands.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct PieceView {
    /// Its number.
    pub id: i64,
    /// What the list calls it.
    pub name: String,
    /// Revision at which it stands; also the answer's ETag.
    pub revision: u32,
    /// Number of the shop that it is made in.
    pub shop: i64,
    /// Its drawing.
    pub artwork: ArtworkView,
    /// The piece file, as JSON.
    #[schemars(with = "PieceFile")]
    pub piece: Value,
}

/// A drawing.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct ArtworkView {
    /// Its file name.
    pub name: String,
    /// SHA-256 of its bytes, in hexadecimal.
    #[schemars(regex(pattern = "^[0-9a-f]{64}$"))]
    pub sha256: String,
    /// How long it is.
    pub size_bytes: usize,
}

/// A piece to begin.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewPieceBody {
    /// Number of the shop that it is made in. Left out: the first.
    pub shop: Option<i64>,
    /// The drawing's bytes in base 64 (RFC 4648, with padding): SVG, DXF, PNG, JPEG.
    #[schemars(extend("contentEncoding" = "base64"))]
    pub artwork_base64: String,
    /// The drawing's file name, for a piece that is begun without a file.
    #[schemars(length(max = 200))]
    pub file_name: Option<String>,
    /// The piece file, as JSON. The drawing gets the name that stands in it. Left out: a first one is made for the
    /// drawing, as the page does.
    #[schemars(with = "Option<PieceFile>")]
    pub piece: Option<Value>,
}

/// A row of the list of shops.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct ShopRow {
    /// Its number.
    pub id: i64,
    /// Its name.
    pub name: String,
}

/// A shop as it stands.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct ShopView {
    /// Its number.
    pub id: i64,
    /// Revision at which it stands; also the answer's ETag.
    pub revision: u32,
    /// The shop file, as JSON.
    #[schemars(with = "ShopFile")]
    pub shop: Value,
}

/// What a plan checked.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct FindingsView {
    /// Revision of the piece that was planned.
    pub revision: u32,
    /// The plan in one sentence.
    pub summary: String,
    /// Worst first.
    pub findings: Vec<FindingEntry>,
}

/// A log as it is kept.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct LogView {
    /// In the order in which they came.
    pub id: i64,
    /// When it came, as ISO 8601 in UTC.
    pub received_utc: String,
    /// What it says.
    #[schemars(with = "RunLog")]
    pub log: Value,
    /// What the plan said of it when it came; null for a log whose plan could not be made.
    pub told: Option<Told>,
}

/// A file that the plan offers.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct FileView {
    /// Its name.
    pub name: String,
    /// What it is for.
    pub what: String,
    /// Where it is made when it is asked for.
    pub href: String,
}
