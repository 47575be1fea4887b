//! A page that only says something: not found, refused, broken.

use super::frame::document;
use crate::view::Frame;
use language::say;
use maud::html;

/// A title and a sentence.
pub(crate) fn message(frame: &Frame, title: &str, sentence: &str) -> String {
    document(
        frame,
        html! {
            main id="main" class="message" {
                h1 { (title) }
                p { (sentence) }
                p { a href="/" { (say!("To the pieces")) } }
            }
        },
    )
}
