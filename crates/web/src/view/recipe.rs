//! The recipe with its controls.

/// The recipe with its controls.
#[derive(Debug, Clone)]
pub(crate) struct Recipe {
    /// Address of the piece: `/piece/1`.
    pub piece: String,
    pub revision: u32,
    /// Whether the tried recipe differs from the kept one.
    pub changed: bool,
    /// Whether every value reads, so that it can be kept.
    pub reads: bool,
    /// Whether the drawing is centred, whatever the kept file says.
    pub centred: bool,
    pub can_undo: bool,
    pub can_redo: bool,
    /// Why the last attempt to keep it failed.
    pub message: Option<String>,
    pub lines: Vec<Line>,
}

/// A line of the recipe: words, a control, words.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// Name of the field; the control's id is `recipe-` and this.
    pub field: String,
    /// The words before the control.
    pub lead: &'static str,
    /// What the control is for, in full, for those who hear it.
    pub label: String,
    /// The words after it.
    pub tail: &'static str,
    pub control: Control,
    /// What is wrong with the value.
    pub fault: Option<String>,
}

/// How a value is set.
#[derive(Debug, Clone)]
pub(crate) enum Control {
    /// One of a few.
    Choice {
        /// What the plan would choose, when it may.
        open: Option<String>,
        options: Vec<Choice>,
    },
    /// A number with a unit.
    Number {
        value: String,
        /// What the plan chose when nothing is written.
        chosen: String,
        unit: &'static str,
        /// What an arrow key adds.
        step: f64,
        slider: Option<Slider>,
        /// The layer that it is the depth of.
        layer: Option<Layer>,
    },
}

/// A layer beside its depth.
#[derive(Debug, Clone)]
pub(crate) struct Layer {
    pub name: String,
    /// Its depth as a step of the ramp, 0 to 16.
    pub ramp: u32,
}

/// One of a few.
#[derive(Debug, Clone)]
pub(crate) struct Choice {
    pub value: String,
    pub words: String,
    pub selected: bool,
}

/// A slider beside a number, in the number's unit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slider {
    pub least: f64,
    pub greatest: f64,
    pub at: f64,
}
