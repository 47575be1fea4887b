//! What can go wrong in making a document.

use language::say;

/// A document that could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// The preview's first bytes are those of no picture that paper can hold.
    #[error("{}", say!("the preview is neither a PNG nor a JPEG; give it as one of the two"))]
    PreviewKind,
    /// The preview cannot be decoded.
    #[error("{}", say!("the preview cannot be read: {fault}; render it again"))]
    PreviewBroken {
        /// What the decoder said.
        fault: String,
    },
    /// The PDF could not be written, or is not as accessible as promised.
    #[error("{}", say!("the PDF could not be written"))]
    Write(#[source] krilla::error::KrillaError),
}
