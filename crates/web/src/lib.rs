//! The server and its pages.
mod fixture;
mod form;
