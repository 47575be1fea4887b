//! `piece.toml` as it is written: one job, artwork on a blank, with depths and a quantity.

use crate::Money;
use crate::safety_file::{EdgeFinish, PlacePart};
use quantity::{Diameter, GaugePressure, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The version that this program writes and reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum PieceVersion {
    /// The first version.
    #[serde(rename = "piece 1")]
    One,
}

/// A piece: one job, artwork on a blank, with depths and a quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceFile {
    /// What this file is: "piece 1".
    pub sabulo: PieceVersion,
    /// What the piece is called, on the job sheet and in lists.
    pub name: String,
    /// For whom it is made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub customer: Option<String>,
    /// How many are made. One when left out.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 100_000))]
    pub quantity: u32,
    /// The drawing and where it stands on the blank.
    pub artwork: ArtworkPart,
    /// What is carved.
    pub blank: BlankPart,
    /// Where the finished piece will stand, and what holds it. Left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<PlacePart>,
    /// How deep each part of the artwork goes. What no rule names stays covered.
    pub depth: Vec<DepthPart>,
    /// What the shop is told to use. What is left out, the plan chooses from the shop.
    #[serde(default, skip_serializing_if = "RecipePart::is_open")]
    pub recipe: RecipePart,
}

/// The drawing and where it stands on the blank.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ArtworkPart {
    /// The drawing's file, beside the piece file.
    pub file: String,
    /// Width of the whole drawing on the blank; the height follows. Left out: the drawing's own size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Length>,
    /// Height of the whole drawing, instead of the width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Length>,
    /// From the blank's left edge to the drawing's. Left out: centred.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left: Option<Length>,
    /// From the blank's top edge to the drawing's. Left out: centred.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top: Option<Length>,
}

/// What is carved. A panel has a width and a height; a tumbler a diameter and a height; a bowl both diameters and a height.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BlankPart {
    /// Id of a material, such as "float_glass", "borosilicate", "granite".
    pub material: String,
    /// Flat or round.
    #[serde(default)]
    pub shape: Shape,
    /// How the glass was heat-treated. Tempered and heat-strengthened glass is refused.
    #[serde(default)]
    pub temper: Temper,
    /// Two or more plies bonded: only the ply that is carved counts as thickness.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub laminated: bool,
    /// A pane of a sealed unit of two or more, with air or gas between them.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub insulated: bool,
    /// How its edges are finished. Left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edges: Option<EdgeFinish>,
    /// Width of a panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Length>,
    /// Outside diameter of a tumbler or a bowl, at its rim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Diameter>,
    /// Outside diameter of a tapered tumbler at its foot; left out, as at the rim. A bowl always has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_diameter: Option<Diameter>,
    /// A tumbler's handle, opposite the middle of the artwork.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handle: Option<HandlePart>,
    /// How many gores a bowl's film is cut into. Left out: the fewest that the film takes without folds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 3, max = 72))]
    pub gores: Option<u32>,
    /// Height of the panel, of the tumbler's straight side, or of the bowl between foot and rim.
    pub height: Length,
    /// Thickness of the panel, of the vessel's wall, or of the carved ply when laminated.
    pub thickness: Length,
    /// The face that the grit hits. Carved from the back, the stencil is mirrored.
    #[serde(default)]
    pub carve_from: Side,
    /// What one blank costs; "0" when the customer brings it.
    #[serde(default)]
    pub price: Money,
}

/// A handle, opposite the middle of the artwork.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandlePart {
    /// Its width where it meets the side.
    pub width: Length,
    /// Where its upper end meets the side, down from the rim.
    pub from: Length,
    /// Where its lower end does.
    pub to: Length,
    /// Free room around it: fingers and a knife must reach in.
    #[serde(default = "finger_room")]
    pub clear: Length,
}

/// Common practice, no source.
const fn finger_room() -> Length {
    quantity::known(Length::mm(4.0))
}

/// The blank's form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// Flat: window, door panel, mirror, award, marker.
    #[default]
    Panel,
    /// A straight-sided vessel.
    Tumbler,
    /// A vessel whose side is part of a ball; its film is cut into gores.
    Bowl,
}

/// How glass was heat-treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Temper {
    /// Not treated, or not glass.
    #[default]
    Annealed,
    /// Half-hardened.
    HeatStrengthened,
    /// Hardened; bursts when carved through its compressed skin.
    Tempered,
}

/// A face of the blank, as the finished piece is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The face towards the viewer.
    #[default]
    Front,
    /// The face away from the viewer: seen through the glass.
    Back,
}

/// A depth for the shapes of one group or of one colour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DepthPart {
    /// Id of a group or shape in the drawing. Give this or `colour`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// Fill colour as "#rrggbb". Give this or `layer`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(regex(pattern = "^#[0-9a-fA-F]{6}$"))]
    pub colour: Option<String>,
    /// How deep the wide parts are to be.
    pub depth: Length,
}

/// What the shop is told to use. Everything may be left out.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RecipePart {
    /// Id of a resist that the shop stocks, such as "rubber_thin" or "photo_5mil".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resist: Option<String>,
    /// Id of an abrasive that the shop stocks, such as "white_alumina".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub abrasive: Option<String>,
    /// Its grit, such as "F150" or "#150".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grit: Option<String>,
    /// Name of one of the shop's nozzles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nozzle: Option<String>,
    /// What the regulator is set to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<GaugePressure>,
    /// From the nozzle to the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standoff: Option<Length>,
    /// Another abrasive for the last stages: the deep ground is cut with a coarse one, the detail with a fine one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finish: Option<FinishPart>,
}

/// An abrasive for the last stages of a piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FinishPart {
    /// Id of an abrasive that the shop stocks, such as "white_alumina".
    pub abrasive: String,
    /// Its grit, such as "F220".
    pub grit: String,
    /// How many stages, counted from the last; fewer than the piece has.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 59))]
    pub stages: u32,
}

impl RecipePart {
    /// Whether nothing at all is prescribed.
    #[must_use]
    pub fn is_open(&self) -> bool {
        *self == Self::default()
    }
}

const fn one() -> u32 {
    1
}
