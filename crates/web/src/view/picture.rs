//! The piece, seen.

/// The piece, seen.
#[derive(Debug, Clone)]
pub(crate) struct Picture {
    /// Address of the picture as carved.
    pub carved: String,
    /// Pixels of it.
    pub pixels: (u32, u32),
    /// Address of the artwork as drawn.
    pub drawn: String,
    pub alt: String,
    pub solid: Solid,
    pub cut: CutForm,
    /// The drawing's frame on the blank.
    pub placing: PlacingFrame,
    /// What lies under a pointer on the picture as carved; `None` when that is not flat.
    pub probe: Option<Probe>,
    /// The vessel's side laid flat, on which the drawing is placed; `None` when the picture itself is flat.
    pub sheet: Option<Sheet>,
    pub key: Vec<KeyStep>,
}

/// The piece in three dimensions.
#[derive(Debug, Clone)]
pub(crate) struct Solid {
    /// Address of the solid, and of the depths that light it.
    pub address: String,
    pub depths: String,
    /// `glass`, `mirror` or `stone`.
    pub look: &'static str,
    /// `front` or `back`, from which it is carved.
    pub side: &'static str,
}

/// Where the piece is cut through.
#[derive(Debug, Clone)]
pub(crate) struct CutForm {
    /// Address of the section's drawing, and of its values.
    pub drawing: String,
    pub values: String,
    /// What the address says already, for a form that is sent.
    pub kept: Vec<(String, String)>,
    /// `mm` or `in`, and how many millimetres it has.
    pub unit: &'static str,
    pub unit_mm: f64,
    /// Two ends, right and down from the blank's top left corner.
    pub ends: [String; 4],
    /// The blank in that unit, for the fields' limits.
    pub blank: (String, String),
}

/// Where the drawing's page lies on the blank, in millimetres.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacingFrame {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    /// Millimetres of the unit in which its fields are written.
    pub unit_mm: f64,
}

/// How a pointer on the picture asks what lies under it.
#[derive(Debug, Clone)]
pub(crate) struct Probe {
    /// Where it asks.
    pub address: String,
    pub lies: Lies,
}

/// A vessel's side laid flat.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    /// Size of its picture on a usual screen.
    pub pixels: (u32, u32),
    pub lies: Lies,
}

/// What part of the blank's plane a picture shows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lies {
    /// The blank's place of the picture's top left corner, in millimetres.
    pub origin_mm: (f64, f64),
    /// What the picture spans, in millimetres.
    pub span_mm: (f64, f64),
    /// Size of the blank, in millimetres.
    pub blank_mm: (f64, f64),
}

/// A depth in the key.
#[derive(Debug, Clone)]
pub(crate) struct KeyStep {
    /// Step of the ramp, 0 to 16.
    pub ramp: u32,
    pub name: String,
    /// Depth wanted.
    pub depth: String,
    /// Depth reached, as a range.
    pub reached: String,
}
