//! What is weeded at each stage of carving, with marks to lay each file in register.

use artwork::bounds::Bounds;
use artwork::depth::Resolved;
use artwork::grid::Point;
use artwork::region::{Region, Ring};
use language::say;
use quantity::{Area, Length, Quantity};

/// From which side the blank is carved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Side {
    /// The side that it is looked at from.
    #[default]
    Front,
    /// The other: the stencil is mirrored, so that the work reads right through the glass.
    Back,
}

/// One stage: what is weeded before it is blasted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// What people call it.
    pub name: String,
    /// Which of the layers are opened, as places in [`Resolved::layers`].
    pub opens: Vec<usize>,
}

/// How the files are laid out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayoutOptions {
    /// From which side the blank is carved. [`Side::Back`] mirrors about the blank's middle: do not
    /// mirror when placing as well.
    pub side: Side,
    /// Free room between the artwork and the registration marks, 0 mm or more. Less than the width of
    /// the weeder's hook makes the marks hard to keep.
    pub clear: Length,
    /// From the middle of a registration cross to its ends, 1 mm or more.
    pub mark: Length,
    /// From the marks' ends to the weed box.
    pub margin: Length,
}

impl Default for LayoutOptions {
    fn default() -> Self {
        let mm = |mm: f64| Length::clamped(mm * 1e-3);
        Self { side: Side::Front, clear: mm(3.0), mark: mm(4.0), margin: mm(3.0) }
    }
}

impl LayoutOptions {
    /// From the artwork's edge to the weed box, mm.
    #[must_use]
    pub fn border_mm(&self) -> f64 {
        self.clear.to_mm() + 2.0 * self.mark.to_mm() + self.margin.to_mm()
    }
}

/// A registration cross: two open strokes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Where they cross.
    pub centre: Point,
    /// From there to the ends, in mm.
    pub reach_mm: f64,
}

/// What one file holds, in the blank's millimetres (mirrored already when carved from the back).
#[derive(Debug, Clone, PartialEq)]
pub struct StencilLayer {
    /// Which stage, from 1.
    pub stage: usize,
    /// How many there are.
    pub stages: usize,
    /// The stage's name.
    pub name: String,
    /// From which side.
    pub side: Side,
    /// What is weeded.
    pub openings: Region,
    /// In the same place in all files of a piece. Three, so that a turned sheet is seen: the corner
    /// without one is the lower right, or the lower left of a mirrored sheet.
    pub marks: Vec<Mark>,
    /// Further closed lines that are cut but open nothing: frames around groups of openings, a sheet's own edge.
    pub cuts: Vec<Ring>,
    /// Cut around everything; what lies outside is waste.
    pub weed_box: Bounds,
}

/// Why no layer files can be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LayerError {
    /// No stage at all.
    #[error("{}", say!("there is no stage; give at least one that opens a layer"))]
    NoStage,
    /// A stage that opens nothing, or only layers that later shapes cover wholly.
    #[error("{}", say!("stage {stage} \"{name}\" opens nothing; give it a layer, or drop it"))]
    NothingOpened {
        /// Which, from 1.
        stage: usize,
        /// Its name.
        name: String,
    },
    /// A layer that is not there.
    #[error("{}", say!("stage {stage} \"{name}\" opens layer {layer}, the artwork has layers 0 to {last}"))]
    UnknownLayer {
        /// Which stage, from 1.
        stage: usize,
        /// Its name.
        name: String,
        /// The layer asked for.
        layer: usize,
        /// The last there is.
        last: usize,
    },
}

/// One file's content for each stage, in order.
///
/// `artwork` lies on the blank (see [`artwork::place`]), whose width is needed to mirror about its
/// middle. A layer opened at an earlier stage stays open on the glass; it is in the file of the stage
/// that weeds it, and again only where a later stage names it again.
///
/// # Errors
/// [`LayerError`] when there is no stage, or a stage opens nothing or names a layer that is not there.
pub fn stencil_layers(
    artwork: &Resolved,
    stages: &[Stage],
    blank_width: Length,
    options: &LayoutOptions,
) -> Result<Vec<StencilLayer>, LayerError> {
    stencil_layers_cut(artwork, stages, blank_width, &[], options)
}

/// The same with further closed lines in every file, as [`StencilLayer::cuts`]: marks and weed box stand around them.
///
/// # Errors
/// As [`stencil_layers`].
pub fn stencil_layers_cut(
    artwork: &Resolved,
    stages: &[Stage],
    blank_width: Length,
    cuts: &[Ring],
    options: &LayoutOptions,
) -> Result<Vec<StencilLayer>, LayerError> {
    let opened: Vec<Region> =
        stages.iter().enumerate().map(|(i, stage)| openings(artwork, stage, i + 1)).collect::<Result<_, _>>()?;
    let cut = cuts.iter().filter_map(|ring| Bounds::around(ring.0.iter().copied()));
    let around = opened.iter().filter_map(Region::bounds).chain(cut).reduce(Bounds::with).ok_or(LayerError::NoStage)?;
    let centres = around.grown(options.clear.to_mm() + options.mark.to_mm());
    let weed_box = centres.grown(options.mark.to_mm() + options.margin.to_mm());
    let layers = opened.into_iter().zip(stages).enumerate().map(|(i, (openings, stage))| {
        let layer = StencilLayer {
            stage: i + 1,
            stages: stages.len(),
            name: stage.name.clone(),
            side: options.side,
            openings,
            marks: marks(centres, options.mark.to_mm()),
            cuts: cuts.to_vec(),
            weed_box,
        };
        match options.side {
            Side::Front => layer,
            Side::Back => layer.mirrored(0.5 * blank_width.to_mm()),
        }
    });
    Ok(layers.collect())
}

fn openings(artwork: &Resolved, stage: &Stage, number: usize) -> Result<Region, LayerError> {
    let count = artwork.layers.len();
    if let Some(&layer) = stage.opens.iter().find(|&&layer| layer >= count) {
        let last = count.saturating_sub(1);
        return Err(LayerError::UnknownLayer { stage: number, name: stage.name.clone(), layer, last });
    }
    let region = Region::union_of(stage.opens.iter().map(|&layer| &artwork.layers[layer].region));
    if region.is_empty() {
        return Err(LayerError::NothingOpened { stage: number, name: stage.name.clone() });
    }
    Ok(region)
}

fn marks(centres: Bounds, reach_mm: f64) -> Vec<Mark> {
    let corners =
        [centres.min, Point { x: centres.max.x, y: centres.min.y }, Point { x: centres.min.x, y: centres.max.y }];
    corners.map(|centre| Mark { centre, reach_mm }).to_vec()
}

impl StencilLayer {
    /// Left for right about the upright line at `x_mm`: for carving from the back.
    #[must_use]
    pub fn mirrored(self, x_mm: f64) -> Self {
        let flip = |p: Point| Point { x: 2.0 * x_mm - p.x, y: p.y };
        let box_ = self.weed_box;
        Self {
            side: Side::Back,
            openings: self.openings.mirrored(x_mm),
            marks: self.marks.iter().map(|mark| Mark { centre: flip(mark.centre), ..*mark }).collect(),
            cuts: self.cuts.iter().map(|ring| Ring(ring.0.iter().map(|&p| flip(p)).collect())).collect(),
            weed_box: Bounds { min: flip(box_.min), max: flip(box_.min) }.with_point(flip(box_.max)),
            ..self
        }
    }
}

/// What the layer files of a piece take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Consumption {
    /// Resist: the weed box of each file.
    pub resist: Area,
    /// Transfer tape: the rectangle around each file's openings, and the margin around it.
    pub transfer_tape: Area,
    /// Resist that is weeded out, of all files.
    pub weeded: Area,
}

/// Resist and transfer tape for these files, each cut from a sheet of its own.
#[must_use]
pub fn consumption(layers: &[StencilLayer], tape_margin: Length) -> Consumption {
    let rectangle = |b: Bounds| Area::clamped(b.width_mm() * b.height_mm() * 1e-6);
    let taped = |layer: &StencilLayer| layer.openings.bounds().map(|b| rectangle(b.grown(tape_margin.to_mm())));
    Consumption {
        resist: layers.iter().map(|layer| rectangle(layer.weed_box)).sum(),
        transfer_tape: layers.iter().filter_map(taped).sum(),
        weeded: layers.iter().map(|layer| layer.openings.area()).sum(),
    }
}
