//! What a handler cannot do, and the one place where it becomes a status and a page.

use crate::keep_routes::ArchiveFault;
use crate::pages;
use crate::planner::Unreadable;
use crate::view::Frame;
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{Html, IntoResponse, Response};
use language::say;
use plan::Refusal;
use quantity::UnitSystem;
use store::StoreError;

/// Why a request has no ordinary answer.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WebError {
    /// There is nothing at this address.
    #[error("{}", say!("There is nothing at this address. It may have been typed by hand, or the piece is in another file."))]
    NotFound,
    /// The store refused.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// What is stored does not read.
    #[error(transparent)]
    Unreadable(#[from] Unreadable),
    /// The values sent are not a recipe.
    #[error("{}", say!("The values sent do not make a recipe: {0}", _0))]
    Faulty(String),
    /// A value that was sent does not read. The words say what is wrong and the mend, for people.
    #[error("{words}")]
    Field {
        /// The value's key, for programs.
        key: &'static str,
        /// What is wrong with it.
        words: String,
    },
    /// What was sent is not what was kept under its key.
    #[error("{}", say!("Something else was kept under the key \"{0}\"; make a new key for what is new.", _0))]
    OtherUnderKey(String),
    /// There is no plan to make a file of.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A drawing of the plan failed.
    #[error("{}", say!("The picture could not be made: {0}", _0))]
    Picture(#[from] picture::preview::PreviewError),
    /// The solid failed.
    #[error("{}", say!("The solid could not be made: {0}", _0))]
    Relief(#[from] picture::relief::ReliefError),
    /// The job sheet failed.
    #[error("{}", say!("The job sheet could not be made: {0}", _0))]
    Paper(#[from] paper::PaperError),
    /// There are no stencils to cut.
    #[error("{}", say!("The stencil could not be made: {0}", _0))]
    Stencil(#[from] plan::StencilFault),
    /// A stencil that was read back is not what was meant.
    #[error("{}", say!("The stencil was written and read back, and differs: {0}", _0))]
    Mismatch(#[from] stencil::bundle::BundleFault),
    /// A table could not be written.
    #[error("{}", say!("The table could not be written: {0}", _0))]
    Table(#[from] csv::Error),
    /// The files could not be packed.
    #[error("{}", say!("The files could not be packed: {0}", _0))]
    Packed(#[from] zip::result::ZipError),
    /// A value could not be written as JSON.
    #[error("{}", say!("The plan could not be written: {0}", _0))]
    Json(#[from] serde_json::Error),
    /// What an exported file holds does not read.
    #[error(transparent)]
    Archive(#[from] ArchiveFault),
    /// A file that was sent cannot be put on the disk, or read from it.
    #[error("{}", say!("the file cannot be put on the disk: {0}; make room, then send it again", _0))]
    Upload(std::io::Error),
    /// More was sent than is taken.
    #[error("{}", say!("this is larger than is taken here; nothing was kept"))]
    TooLarge,
    /// The system has no random numbers.
    #[error("{}", say!("no code can be made: the system gives no random numbers ({0})", _0))]
    Random(getrandom::Error),
    /// The QR code failed.
    #[error("{}", say!("the QR code cannot be drawn: {0}", _0))]
    Qr(String),
    /// A paired device asks for more than it may.
    #[error("{}", say!("This device may not do this. A helper’s device has the cabinet’s pages; the rest is at the computer."))]
    NotAllowed,
    /// Too many questions wait already.
    #[error("{}", say!("Too much is asked at once. Wait a few seconds, then try again; nothing was changed."))]
    Busy,
    /// A defect of ours: a job panicked.
    #[error("{}", say!("The program failed at this request. What was kept is not touched; please report it."))]
    Panicked,
}

impl WebError {
    pub(crate) fn status(&self) -> StatusCode {
        match self {
            Self::NotFound
            | Self::Store(StoreError::NoPiece(_) | StoreError::NoShop(_) | StoreError::NoRevision { .. }) => {
                StatusCode::NOT_FOUND
            }
            Self::Store(StoreError::Conflict { .. } | StoreError::NothingToUndo | StoreError::NothingToRedo)
            | Self::OtherUnderKey(_) => StatusCode::CONFLICT,
            Self::Faulty(_) | Self::Field { .. } | Self::Refused(_) | Self::Unreadable(_) | Self::Archive(_) => {
                StatusCode::UNPROCESSABLE_ENTITY
            }
            Self::Store(
                StoreError::Damaged { .. } | StoreError::Foreign | StoreError::Newer { .. } | StoreError::Exchange(_),
            ) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Store(StoreError::Full) => StatusCode::INSUFFICIENT_STORAGE,
            Self::Upload(fault) if fault.kind() == std::io::ErrorKind::StorageFull => StatusCode::INSUFFICIENT_STORAGE,
            Self::Store(StoreError::Busy) | Self::Busy => StatusCode::SERVICE_UNAVAILABLE,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::NotAllowed => StatusCode::FORBIDDEN,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// A value that does not read.
    pub(crate) const fn field(key: &'static str, words: String) -> Self {
        Self::Field { key, words }
    }

    pub(crate) fn title(&self) -> &'static str {
        match self {
            Self::Field { .. } => return say!("The values do not read"),
            Self::OtherUnderKey(_) => return say!("The key is taken"),
            Self::Store(StoreError::NothingToUndo | StoreError::NothingToRedo) => return say!("Nothing to go to"),
            _ => {}
        }
        match self.status() {
            StatusCode::NOT_FOUND => say!("Not here"),
            StatusCode::CONFLICT => say!("Changed meanwhile"),
            StatusCode::UNPROCESSABLE_ENTITY => say!("Cannot be planned"),
            StatusCode::INSUFFICIENT_STORAGE => say!("The disk is full"),
            StatusCode::SERVICE_UNAVAILABLE => say!("Too much at once"),
            StatusCode::PAYLOAD_TOO_LARGE => say!("Too large"),
            StatusCode::FORBIDDEN => say!("Not from here"),
            _ => say!("Something failed"),
        }
    }
}

impl IntoResponse for WebError {
    fn into_response(self) -> Response {
        let frame = Frame::bare(self.title());
        (self.status(), Html(pages::message(&frame, self.title(), &self.to_string()))).into_response()
    }
}

/// A fault of a small request of a script: words alone.
pub(crate) fn plain(error: &WebError) -> Response {
    (error.status(), [(CONTENT_TYPE, "text/plain; charset=utf-8")], error.to_string()).into_response()
}

impl Frame {
    /// A page that knows no piece.
    pub(crate) fn bare(title: &str) -> Self {
        Self {
            title: format!("{title} – Sabulo"),
            pieces: Vec::new(),
            shop: String::new(),
            shop_href: None,
            units: UnitSystem::Metric,
            network: false,
            here: "/".to_owned(),
        }
    }
}
