//! A large file that a form sends: written to the disk as it comes, gone when it has been used.

use crate::app::App;
use crate::error::WebError;
use axum::extract::Multipart;
use axum::extract::multipart::{Field, MultipartError};
use language::say;
use std::fs::File;
use std::io::Write as _;
use std::path::PathBuf;
use tempfile::TempDir;

/// A file that was sent.
#[derive(Debug)]
pub(crate) struct Upload {
    pub path: PathBuf,
    /// The form's box was ticked that says one knows what it does.
    pub sure: bool,
    _folder: TempDir,
}

/// A folder beside the store's file, for it has the room; without a file the system's own.
pub(crate) fn folder(app: &App) -> Result<TempDir, WebError> {
    let mut made = tempfile::Builder::new();
    made.prefix(".sabulo-");
    match app.store.folder() {
        Some(folder) => made.tempdir_in(folder),
        None => made.tempdir(),
    }
    .map_err(WebError::Upload)
}

/// The file in the field `name`. A box "sure" counts when it comes before the file.
pub(crate) async fn file(app: &App, mut form: Multipart, name: &str) -> Result<Upload, WebError> {
    let mut sure = false;
    while let Some(field) = form.next_field().await.map_err(unread)? {
        if field.name() == Some("sure") {
            sure = field.text().await.map_err(unread)? == "1";
        } else if field.name() == Some(name) && field.file_name().is_some_and(|name| !name.is_empty()) {
            let folder = folder(app)?;
            let path = folder.path().join("sent");
            written(field, &path).await?;
            return Ok(Upload { path, sure, _folder: folder });
        }
    }
    Err(WebError::Faulty(say!("no file was sent; choose one and send it again").to_owned()))
}

async fn written(mut field: Field<'_>, path: &std::path::Path) -> Result<(), WebError> {
    let mut file = File::create(path).map_err(WebError::Upload)?;
    // A piece of what came over the network at a time: short enough to write here.
    while let Some(bytes) = field.chunk().await.map_err(unread)? {
        file.write_all(&bytes).map_err(WebError::Upload)?;
    }
    Ok(())
}

fn unread(fault: MultipartError) -> WebError {
    match fault.status() {
        axum::http::StatusCode::PAYLOAD_TOO_LARGE => WebError::TooLarge,
        _ => WebError::Faulty(fault.body_text()),
    }
}
