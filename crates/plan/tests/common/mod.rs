//! A small shop, a small panel, and a drawing of three layers with wide and narrow parts.

#![allow(dead_code, reason = "each test file uses its part of this")]

use artwork::svg::{Drawing, ReadOptions, read_svg};
use piece::{Piece, Shop, read_piece, read_shop};

/// The demonstration's shop: real enough to have every kind of part.
pub(crate) const SHOP: &str = include_str!("../../../../examples/shop.toml");

/// 100 mm x 60 mm: three squares of 15 mm, one for each depth, and beside each a line of 0.8 mm.
pub(crate) const DRAWING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">
<g id="deep" fill="#204060"><rect x="10" y="10" width="15" height="15"/><rect x="10" y="40" width="15" height="0.8"/></g>
<g id="middle" fill="#4080a0"><rect x="40" y="10" width="15" height="15"/><rect x="40" y="40" width="15" height="0.8"/></g>
<g id="shallow" fill="#a0c8d8"><rect x="70" y="10" width="15" height="15"/><rect x="70" y="40" width="15" height="0.8"/></g>
</svg>"##;

pub(crate) const PIECE: &str = r#"sabulo = "piece 1"
name = "Three squares"
[artwork]
file = "squares.svg"
[blank]
material = "float_glass"
width = "160mm"
height = "100mm"
thickness = "10mm"
carve_from = "back"
[[depth]]
layer = "deep"
depth = "2mm"
[[depth]]
layer = "middle"
depth = "1.2mm"
[[depth]]
layer = "shallow"
depth = "0.5mm"
[recipe]
resist = "rubber_medium"
abrasive = "white_alumina"
grit = "F150"
nozzle = "carver"
pressure = "2.8bar"
standoff = "150mm"
"#;

pub(crate) fn shop() -> Shop {
    read_shop(SHOP, "shop.toml").unwrap_or_else(|faults| panic!("{faults}"))
}

pub(crate) fn piece(text: &str) -> Piece {
    read_piece(text, "piece.toml", &shop()).unwrap_or_else(|faults| panic!("{faults}"))
}

pub(crate) fn drawing() -> Drawing {
    read_svg(DRAWING.as_bytes(), &ReadOptions::default()).unwrap()
}
