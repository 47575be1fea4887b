//! `sabulo schema`: the JSON Schema of a file type.

use super::print_json;
use crate::error::Failure;
use clap::{Args, ValueEnum};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct SchemaArguments {
    /// Which file type.
    kind: FileKind,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum FileKind {
    /// piece.toml
    Piece,
    /// shop.toml
    Shop,
    /// class.toml
    Class,
    /// plan.json
    Plan,
    /// What `sabulo safety PIECE.toml --json` prints.
    Safety,
    /// What `sabulo plan PIECE.toml --search --json` prints.
    Search,
}

pub(crate) fn schema(arguments: &SchemaArguments) -> Result<ExitCode, Failure> {
    let schema = match arguments.kind {
        FileKind::Piece => piece::schema::piece(),
        FileKind::Shop => piece::schema::shop(),
        FileKind::Class => class::schema(),
        FileKind::Plan => plan::document::schema(),
        FileKind::Safety => plan::safety_document::schema(),
        FileKind::Search => plan::search_document::schema(),
    };
    print_json(&schema)?;
    Ok(ExitCode::SUCCESS)
}
