//! A first piece file for a drawing that somebody brings: everything in it can be changed on the plan page.

use artwork::drawing::Drawing;
use piece::piece_file::{ArtworkPart, BlankPart, DepthPart, PieceFile, PieceVersion, RecipePart, Shape, Side, Temper};
use quantity::{Length, Quantity as _};

/// Drawings between these sizes are taken as they are; smaller and larger ones are drawn at [`USUAL_MM`]. Our judgement.
const LEAST_MM: f64 = 40.0;
const MOST_MM: f64 = 900.0;
const USUAL_MM: f64 = 200.0;

/// Clear glass left around the drawing, as a share of its longer side. Our judgement.
const MARGIN: f64 = 0.15;

/// More layers than this are more than a person weeds: the rest stays covered until somebody gives it a depth.
const LAYERS_MAX: usize = 12;

/// A piece on a sheet of float glass somewhat larger than the drawing, all layers half a millimetre deep.
pub(crate) fn draft(name: &str, artwork_name: &str, drawing: &Drawing) -> PieceFile {
    let (width_mm, height_mm) = (drawing.width_mm.max(1e-3), drawing.height_mm.max(1e-3));
    let longer = width_mm.max(height_mm);
    let scale = if (LEAST_MM..=MOST_MM).contains(&longer) { 1.0 } else { USUAL_MM / longer };
    let side = |mm: f64| length(10.0 * ((mm + 2.0 * MARGIN * longer) * scale / 10.0).ceil());
    PieceFile {
        sabulo: PieceVersion::One,
        name: name.to_owned(),
        customer: None,
        quantity: 1,
        artwork: ArtworkPart {
            file: artwork_name.to_owned(),
            width: Some(length((width_mm * scale * 100.0).round() / 100.0)),
            height: None,
            left: None,
            top: None,
        },
        blank: BlankPart {
            material: "float_glass".to_owned(),
            shape: Shape::Panel,
            temper: Temper::Annealed,
            laminated: false,
            insulated: false,
            edges: None,
            width: Some(side(width_mm)),
            diameter: None,
            foot_diameter: None,
            handle: None,
            gores: None,
            height: side(height_mm),
            thickness: length(THICKNESS_MM),
            carve_from: Side::Front,
            price: piece::Money::default(),
        },
        place: None,
        depth: depths(drawing),
        recipe: RecipePart::default(),
    }
}

fn length(mm: f64) -> Length {
    Length::clamped(1e-3 * mm)
}

/// A usual pane. Common practice, no source.
const THICKNESS_MM: f64 = 6.0;

/// Half a millimetre: a clear frost with an edge to feel. Common practice, no source.
const DEPTH_MM: f64 = 0.5;

/// A row for each outermost group where every shape is in one, else for each colour but white, which is the paper.
fn depths(drawing: &Drawing) -> Vec<DepthPart> {
    let groups = distinct(drawing.shapes.iter().map(|shape| shape.groups.first().cloned()));
    let named = !groups.is_empty() && groups.iter().all(Option::is_some) && groups.len() <= LAYERS_MAX;
    if named {
        let row = |layer| DepthPart { layer, colour: None, depth: length(DEPTH_MM) };
        return groups.into_iter().map(row).collect();
    }
    let colours = distinct(drawing.shapes.iter().map(|shape| [shape.paint.r, shape.paint.g, shape.paint.b]));
    let inked: Vec<[u8; 3]> = colours.iter().copied().filter(|colour| colour.iter().any(|part| *part < 250)).collect();
    let chosen = if inked.is_empty() { colours } else { inked };
    let row = |[r, g, b]: [u8; 3]| DepthPart {
        layer: None,
        colour: Some(format!("#{r:02x}{g:02x}{b:02x}")),
        depth: length(DEPTH_MM),
    };
    chosen.into_iter().take(LAYERS_MAX).map(row).collect()
}

fn distinct<T: PartialEq>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut seen = Vec::new();
    for one in all {
        if !seen.contains(&one) {
            seen.push(one);
        }
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::svg::{ReadOptions, read_svg};

    fn drafted(svg: &str) -> PieceFile {
        let drawing = read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap();
        draft("Fern", "fern.svg", &drawing)
    }

    #[test]
    fn groups_become_layers_and_the_blank_is_larger_than_the_drawing() {
        let file = drafted(
            r##"<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
            <g id="leaf"><rect width="30" height="30"/></g><g id="stem"><rect x="50" width="9" height="60"/></g></svg>"##,
        );
        let layers: Vec<_> = file.depth.iter().map(|row| row.layer.clone().unwrap()).collect();
        assert_eq!(layers, ["leaf", "stem"]);
        assert!((file.artwork.width.unwrap().to_mm() - 120.0).abs() < 0.01);
        assert_eq!((file.blank.width.unwrap().to_mm().round(), file.blank.height.to_mm().round()), (160.0, 120.0));
    }

    #[test]
    fn colours_become_layers_without_the_white_of_the_paper_and_an_icon_is_enlarged() {
        let file = drafted(
            r##"<svg xmlns="http://www.w3.org/2000/svg" width="24" height="24"><rect width="24" height="24" fill="#fff"/>
            <circle cx="9" cy="9" r="5" fill="#102030"/><circle cx="15" cy="15" r="4" fill="#aa0000"/></svg>"##,
        );
        let colours: Vec<_> = file.depth.iter().map(|row| row.colour.clone().unwrap()).collect();
        assert_eq!(colours, ["#102030", "#aa0000"]);
        assert!((file.artwork.width.unwrap().to_mm() - 200.0).abs() < 0.01);
    }

    #[test]
    fn the_written_draft_is_a_piece() {
        let file = drafted(
            r##"<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm"><rect width="90" height="90"/></svg>"##,
        );
        let shop = piece::read_shop(crate::fixture::SHOP, "shop.toml").unwrap();
        let text = toml::to_string(&file).unwrap();
        assert!(piece::read_piece(&text, "piece.toml", &shop).is_ok(), "{text}");
    }
}
