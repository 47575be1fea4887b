//! The page at the cabinet.

use super::safety::Caution;

/// The page at the cabinet.
#[derive(Debug, Clone)]
pub(crate) struct CabinetPage {
    pub name: String,
    /// Address of the plan, for those who may see it.
    pub back: Option<String>,
    /// What stops the plan: nothing is begun before it is mended.
    pub stops: Vec<String>,
    pub cautions: Vec<Caution>,
    pub stages: Vec<CabinetStage>,
    pub layers: Vec<CabinetLayer>,
    /// Unit of the depths, and its millimetres.
    pub unit: (&'static str, f64),
    /// What the timer follows, as JSON.
    pub run: String,
}

/// Something that is set before a blast.
#[derive(Debug, Clone)]
pub(crate) struct Setting {
    pub name: &'static str,
    pub value: String,
}

/// One screen of the cabinet.
#[derive(Debug, Clone)]
pub(crate) struct CabinetStage {
    pub order: usize,
    pub opens: String,
    /// What is to be filled in before it, if another abrasive is.
    pub refill: Option<String>,
    /// What is set for it.
    pub settings: Vec<Setting>,
    /// Address of the picture of what is open.
    pub picture: String,
    pub blast: String,
    /// Layers with their depths after it.
    pub gauge: Vec<(String, String)>,
}

/// A layer to be gauged.
#[derive(Debug, Clone)]
pub(crate) struct CabinetLayer {
    pub name: String,
    pub target: String,
}
