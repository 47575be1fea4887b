//! Layer files as a cutter's software would see them, read by an independent parser (`kurbo`).

use artwork::depth::{DepthRule, Resolved, Selector, resolve};
use artwork::grid::Point;
use artwork::place::{Placement, Position, place};
use artwork::svg::{ReadOptions, read_svg};
use kurbo::{BezPath, Shape as _};
use proptest::prelude::*;
use quantity::Length;
use stencil::layers::{LayerError, LayoutOptions, Side, Stage, StencilLayer, consumption, stencil_layers};
use stencil::svg_out::write;
use stencil::verify::{Mismatch, read_back, verified, verify};

fn mm(mm: f64) -> Length {
    Length::mm(mm).unwrap()
}

/// A letter that no mirror or turn leaves as it was, and a ring, on a blank of 120 x 80 mm.
const ARTWORK: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='120mm' height='80mm' viewBox='0 0 120 80'>
    <text id='letter' x='20' y='60' font-family='EB Garamond' font-size='60' fill='#111'>R</text>
    <path id='ring' fill='#c00' fill-rule='evenodd' d='M90 20a15 15 0 1 0 .001 0ZM90 25a10 10 0 1 0 .001 0Z'/></svg>";

fn placed() -> Resolved {
    let drawing = read_svg(ARTWORK.as_bytes(), &ReadOptions::default()).unwrap();
    let rule = |id: &str, depth| DepthRule { select: Selector::Layer(id.into()), depth: mm(depth) };
    let resolved = resolve(&drawing, &[rule("letter", 1.0), rule("ring", 0.4)]).unwrap();
    let as_drawn = Placement { position: Position::Page(Point::default()), ..Placement::default() };
    place(&resolved, &as_drawn, mm(120.0), mm(80.0)).unwrap()
}

fn stages() -> [Stage; 2] {
    [Stage { name: "letter & <deep>".into(), opens: vec![0] }, Stage { name: "all".into(), opens: vec![0, 1] }]
}

fn layers(side: Side) -> Vec<StencilLayer> {
    stencil_layers(&placed(), &stages(), mm(120.0), &LayoutOptions { side, ..LayoutOptions::default() }).unwrap()
}

/// The path data of the openings, cut out of the text.
fn openings(svg: &str) -> BezPath {
    let (_, after) = svg.split_once("id=\"openings\"").unwrap();
    let (_, after) = after.split_once("<path d=\"").unwrap();
    BezPath::from_svg(after.split_once('"').unwrap().0).unwrap()
}

#[test]
fn every_file_is_verified_and_says_what_it_is() {
    for side in [Side::Front, Side::Back] {
        for layer in layers(side) {
            let file = verified(&layer).unwrap();
            // Rounding to 1 µm moves the outline by a quarter of that on average: 400 mm of it here.
            let (share, off) = (file.differing_share, file.bounds_off_mm);
            assert!(share < 4e-4 && off < 1.1e-3, "{share} differs, off by {off} mm");
            assert_eq!(file.svg().contains("Mirrored for carving from the back."), side == Side::Back);
        }
    }
    let svg = write(&layers(Side::Front)[0]);
    assert!(svg.contains("<title>Stage 1 of 2: letter &amp; &lt;deep&gt;</title>"));
}

#[test]
fn an_independent_parser_finds_the_same_open_area() {
    for layer in layers(Side::Back) {
        // Outer rings and holes turn opposite ways, so the signed area is the open area.
        let found = openings(&write(&layer)).area().abs();
        let want = layer.openings.area().to_square_mm();
        assert!((found / want - 1.0).abs() < 1e-4, "{found} mm², wanted {want}");
    }
    // The ring by its formula: pi (15² - 10²).
    let ring = stencil_layers(
        &placed(),
        &[Stage { name: "ring".into(), opens: vec![1] }],
        mm(120.0),
        &LayoutOptions::default(),
    );
    let found = openings(&write(&ring.unwrap()[0])).area().abs();
    assert!((found / (std::f64::consts::PI * 125.0) - 1.0).abs() < 2e-3, "{found}");
}

#[test]
fn one_unit_is_a_millimetre_on_a_page_that_is_the_weed_box() {
    let layer = &layers(Side::Front)[1];
    let svg = write(layer);
    let drawing = read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap();
    assert!((drawing.width_mm - layer.weed_box.width_mm()).abs() < 2e-3);
    // Artwork, 3 mm clear, marks of 4 mm each way, 3 mm margin: 14 mm on each side.
    let around = layer.openings.bounds().unwrap();
    assert!((layer.weed_box.width_mm() - around.width_mm() - 28.0).abs() < 1e-6);
    let inside = read_back(svg.as_bytes()).unwrap().bounds.unwrap();
    assert!((inside.min.x - 14.0).abs() < 2e-3 && (inside.min.y - 14.0).abs() < 2e-3, "{inside:?}");
}

#[test]
fn the_back_is_the_front_seen_from_behind() {
    for (front, back) in layers(Side::Front).iter().zip(layers(Side::Back)) {
        // Every point of the mirrored letter is the front's at 120 - x.
        let points =
            (0..60).flat_map(|x| (0..40).map(move |y| Point { x: 2.0 * f64::from(x) + 0.3, y: 2.0 * f64::from(y) }));
        let differ = points
            .filter(|p| back.openings.contains(*p) != front.openings.contains(Point { x: 120.0 - p.x, y: p.y }))
            .count();
        assert_eq!(differ, 0);
        assert_ne!(front.openings.bounds().unwrap().min.x, back.openings.bounds().unwrap().min.x);
        assert_eq!(front.marks[0].centre.x, 120.0 - back.marks[0].centre.x);
    }
}

#[test]
fn a_mirrored_letter_is_not_taken_for_the_letter() {
    let [front, _] = &layers(Side::Front)[..] else { panic!("two stages") };
    let middle = front.openings.bounds().unwrap().centre().x;
    // Mirrored about its own middle: the same area in the same rectangle, but wrong on the glass.
    let wrong = StencilLayer { openings: front.openings.mirrored(middle), ..front.clone() };
    let error = verify(front, write(&wrong).as_bytes()).unwrap_err();
    assert!(matches!(error, Mismatch::Elsewhere { share } if share > 0.1), "{error}");
}

#[test]
fn a_file_that_was_changed_is_not_handed_out() {
    let layer = &layers(Side::Front)[0];
    let svg = write(layer);
    let scaled = svg.replacen("width=\"", "width=\"1", 1);
    assert!(matches!(verify(layer, scaled.as_bytes()), Err(Mismatch::Area { .. } | Mismatch::Bounds { .. })));
    let moved =
        StencilLayer { openings: layer.openings.transform(artwork::Affine::translate((0.02, 0.0))), ..layer.clone() };
    assert!(matches!(verify(layer, write(&moved).as_bytes()), Err(Mismatch::Bounds { .. })));
    assert!(matches!(verify(layer, b"<svg"), Err(Mismatch::Unreadable(_))));
    assert!(matches!(verify(layer, &[0xff]), Err(Mismatch::NotText)));
}

#[test]
fn marks_are_strokes_outside_the_artwork_and_the_same_in_every_file() {
    let layers = layers(Side::Front);
    assert_eq!(layers[0].marks, layers[1].marks);
    let around = layers[1].openings.bounds().unwrap();
    for mark in &layers[1].marks {
        let reach = artwork::bounds::Bounds { min: mark.centre, max: mark.centre }.grown(mark.reach_mm);
        assert!(!reach.touches(&around) && layers[1].weed_box.holds(&reach, 0.0), "{mark:?}");
    }
    let svg = write(&layers[1]);
    let marks = svg.split_once("<g id=\"marks\"").unwrap().1;
    assert!(marks.starts_with(" fill=\"none\" stroke=") && !marks.contains("fill=\"#"), "{marks}");
}

#[test]
fn resist_and_tape_are_the_boxes_around() {
    let layers = layers(Side::Front);
    let used = consumption(&layers[1..], mm(10.0));
    let (around, sheet) = (layers[1].openings.bounds().unwrap(), layers[1].weed_box);
    let tape = (around.width_mm() + 20.0) * (around.height_mm() + 20.0);
    assert!((used.transfer_tape.to_square_mm() - tape).abs() < 1e-6);
    assert!((used.resist.to_square_mm() - sheet.width_mm() * sheet.height_mm()).abs() < 1e-6);
    assert_eq!(used.weeded, layers[1].openings.area());
}

#[test]
fn stages_that_open_nothing_are_named() {
    let stencil =
        |stages: &[Stage]| stencil_layers(&placed(), stages, mm(120.0), &LayoutOptions::default()).unwrap_err();
    assert_eq!(stencil(&[]), LayerError::NoStage);
    let error = stencil(&[Stage { name: "idle".into(), opens: vec![] }]);
    assert_eq!(error.to_string(), "stage 1 \"idle\" opens nothing; give it a layer, or drop it");
    let error = stencil(&[Stage { name: "odd".into(), opens: vec![0, 5] }]);
    assert_eq!(error.to_string(), "stage 1 \"odd\" opens layer 5, the artwork has layers 0 to 1");
}

proptest! {
    #[test]
    fn whatever_is_opened_survives_the_file(points in proptest::collection::vec((5.0..115.0, 5.0..75.0), 3..20)) {
        let ring = artwork::region::Ring(points.into_iter().map(|(x, y)| Point { x, y }).collect());
        let region = artwork::region::Region::from_rings(&[ring], artwork::region::FillRule::EvenOdd);
        prop_assume!(region.area().to_square_mm() > 10.0);
        let mut artwork = placed();
        artwork.layers[0].region = region;
        let layers = stencil_layers(&artwork, &stages()[..1], mm(120.0), &LayoutOptions::default()).unwrap();
        prop_assert!(verified(&layers[0]).is_ok(), "{:?}", verified(&layers[0]));
    }
}
