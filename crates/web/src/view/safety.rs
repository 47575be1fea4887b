//! What can hurt, and what was checked.

use super::frame::Frame;
use safety::check::Standing;

/// What can hurt.
#[derive(Debug, Clone)]
pub(crate) struct Caution {
    pub hazard: String,
    pub harm: String,
    pub act: String,
    pub source: String,
}

/// Cautions of one step of the work.
#[derive(Debug, Clone)]
pub(crate) struct StepCautions {
    pub step: &'static str,
    pub cautions: Vec<Caution>,
}

/// The Safety page.
#[derive(Debug, Clone)]
pub(crate) struct SafetyPage {
    pub frame: Frame,
    pub name: String,
    /// Address and words of the way back.
    pub back: (String, String),
    pub parts: SafetyParts,
}

/// What was checked.
#[derive(Debug, Clone)]
pub(crate) struct SafetyParts {
    /// How many of each standing.
    pub sentence: String,
    pub note: &'static str,
    pub groups: Vec<SafetyGroup>,
    pub cautions: Vec<StepCautions>,
}

/// Checks under one heading, worst first.
#[derive(Debug, Clone)]
pub(crate) struct SafetyGroup {
    pub title: &'static str,
    pub checks: Vec<CheckView>,
}

/// One check.
#[derive(Debug, Clone)]
pub(crate) struct CheckView {
    pub id: &'static str,
    pub standing: Standing,
    pub title: String,
    pub why: String,
    pub source: String,
    pub mends: Vec<String>,
}
