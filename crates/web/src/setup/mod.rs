//! Setting up a shop: a few questions, each with what it is good for, laid over a shop file.
//!
//! * `questions`: what is asked, in the order in which one walks from the compressor to the till.
//! * `basics`: answers into a shop file, judged by the file's own reader.
//! * `routes`: the pages: a first shop, the same questions about a kept one, the file itself.

pub(crate) mod basics;
pub(crate) mod questions;
pub(crate) mod routes;
