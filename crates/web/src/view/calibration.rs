//! The page of what a shop's coupons say.

use super::{Choice, Frame};

/// The whole page.
#[derive(Debug, Clone)]
pub(crate) struct CalibrationPage {
    pub frame: Frame,
    pub name: String,
    /// Address of the shop.
    pub shop: String,
    pub revision: u32,
    /// What is wrong with what was sent, beside what is told of its fields.
    pub fault: Option<String>,
    pub coupons: Vec<CouponRow>,
    /// What they come to, a sentence each.
    pub outcome: Vec<String>,
    /// What to blast next, and why.
    pub next: Option<[String; 2]>,
    /// What a coupon is entered by.
    pub fields: Vec<CouponField>,
    /// A table that was sent, to be mended.
    pub table: String,
}

/// A coupon of the shop.
#[derive(Debug, Clone)]
pub(crate) struct CouponRow {
    /// Its place in the shop's file, from 0.
    pub at: usize,
    pub blasted: String,
    pub gauged: String,
    /// Depth expected before any coupon, and after all of them; `None` for one whose nozzle the shop has no more.
    pub expected: Option<[String; 2]>,
}

/// A field of the form.
#[derive(Debug, Clone)]
pub(crate) struct CouponField {
    /// The column of the table.
    pub name: &'static str,
    pub label: &'static str,
    pub value: String,
    /// What it may be; empty for what is typed.
    pub choices: Vec<Choice>,
    pub hint: &'static str,
    pub fault: Option<String>,
}
