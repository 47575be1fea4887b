//! Drawings rendered by a general-purpose SVG library: they parse, their words lie inside, their
//! blocks do not overlap.

use crate::scene::{Face, Item, Scene, Text};
use crate::svg::{self, Colours};
use crate::theme::Theme;
use resvg::{tiny_skia, usvg};
use std::sync::{Arc, LazyLock};

const FONTS: [&[u8]; 3] = [
    include_bytes!("../../../assets/fonts/FiraSans-Regular.ttf"),
    include_bytes!("../../../assets/fonts/FiraSans-SemiBold.ttf"),
    include_bytes!("../../../assets/fonts/FiraSansCondensed-Regular.ttf"),
];

static OPTIONS: LazyLock<usvg::Options<'static>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    FONTS.iter().for_each(|font| fonts.load_font_data(font.to_vec()));
    usvg::Options { fontdb: Arc::new(fonts), dpi: 96.0, ..usvg::Options::default() }
});

/// Parses a scene's SVG; a test asks about the tree.
pub(crate) fn parsed(scene: &Scene, theme: Theme) -> usvg::Tree {
    usvg::Tree::from_str(&svg::write(scene, Colours::Resolved(theme)), &OPTIONS).unwrap()
}

/// Writes a picture of a scene for people to look at, when `SABULO_PICTURES` names a folder.
pub(crate) fn show(scene: &Scene, theme: Theme, name: &str) {
    let Ok(folder) = std::env::var("SABULO_PICTURES") else { return };
    let tree = parsed(scene, theme);
    let scale = 2.0;
    let (width, height) = ((tree.size().width() * scale) as u32, (tree.size().height() * scale) as u32);
    let mut pixels = tiny_skia::Pixmap::new(width, height).unwrap();
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixels.as_mut());
    std::fs::write(format!("{folder}/{name}.png"), pixels.encode_png().unwrap()).unwrap();
}

fn words(items: &[Item]) -> Vec<&Text> {
    let of = |item| match item {
        &Item::Text(ref text) => vec![text],
        &Item::Group(ref group) => words(&group.items),
        _ => vec![],
    };
    items.iter().flat_map(of).collect()
}

/// The boxes of all words, as the renderer sets them, in millimetres.
pub(crate) fn word_boxes(scene: &Scene) -> Vec<(String, tiny_skia::Rect)> {
    fn walk(group: &usvg::Group, boxes: &mut Vec<(String, tiny_skia::Rect)>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => walk(group, boxes),
                usvg::Node::Text(text) => {
                    let words = text.chunks().iter().map(|chunk| chunk.text()).collect::<String>();
                    boxes.push((words, text.abs_bounding_box()));
                }
                _ => {}
            }
        }
    }
    let tree = parsed(scene, Theme::Dark);
    let mut boxes = Vec::new();
    walk(tree.root(), &mut boxes);
    let mm = scene.width_mm as f32 / tree.size().width();
    let scaled = |r: tiny_skia::Rect| tiny_skia::Rect::from_ltrb(r.left() * mm, r.top() * mm, r.right() * mm, r.bottom() * mm);
    boxes.into_iter().map(|(words, r)| (words, scaled(r).unwrap())).collect()
}

/// Fails when a scene's words leave it or run into each other.
pub(crate) fn assert_readable(scene: &Scene) {
    let boxes = word_boxes(scene);
    assert_eq!(boxes.len(), words(&scene.items).iter().filter(|text| !text.text.trim().is_empty()).count());
    for (i, (word, a)) in boxes.iter().enumerate() {
        let inside = a.left() >= -0.3
            && a.top() >= -0.5
            && a.right() <= scene.width_mm as f32 + 0.3
            && a.bottom() <= scene.height_mm as f32 + 0.5;
        assert!(inside, "\"{word}\" leaves the picture: {a:?}");
        for (other, b) in &boxes[..i] {
            let across = a.right().min(b.right()) - a.left().max(b.left());
            // Line boxes are taller than letters: a quarter of one may overlap.
            let down = a.bottom().min(b.bottom()) - a.top().max(b.top());
            assert!(across < 0.1 || down < 0.25 * a.height(), "\"{word}\" runs into \"{other}\"");
        }
    }
}

#[test]
fn widths_of_words_are_the_fonts() {
    for (face, bytes) in [Face::Regular, Face::SemiBold, Face::Condensed].into_iter().zip(FONTS) {
        let font = usvg::fontdb::Database::new();
        let _ = (font, bytes);
        let at = artwork::grid::Point { x: 5.0, y: 10.0 };
        for word in ["prepare", "0123456789", "stage 2: blast 7 min", "cut-out", "Heron & reeds"] {
            let paint = crate::Role::Ink.into();
            let text = Text { at, text: word.into(), size_mm: 10.0, anchor: Default::default(), face, paint };
            let scene = Scene { width_mm: 300.0, height_mm: 20.0, items: vec![text.into()], ..Scene::default() };
            let rendered = f64::from(word_boxes(&scene)[0].1.width());
            let told = crate::metrics::width_mm(word, 10.0, face);
            // Kerning tightens; the box leaves out the bearings of the first and last letter.
            assert!(told >= rendered - 0.1 && told < 1.06 * rendered, "{face:?} {word}: {told:.2} against {rendered:.2}");
        }
    }
}

mod strip {
    use super::*;
    use crate::run_strip::{StripOptions, run_strip, sample};
    use quantity::UnitSystem;

    fn check(name: &str, strip: &plan::RunStrip, options: &StripOptions) {
        let scene = run_strip(strip, options);
        show(&scene, Theme::Dark, &format!("strip-{name}-dark"));
        show(&scene, Theme::Paper, &format!("strip-{name}-paper"));
        assert_readable(&scene);
    }

    #[test]
    fn strips_of_few_and_of_many_blasts_can_be_read() {
        check("3-blasts", &sample::strip(3, 1, 4.0), &StripOptions::default());
        let page = StripOptions { width_mm: 310.0, text_mm: 3.44, ..StripOptions::default() };
        check("30-blasts", &sample::strip(3, 10, 1.0), &page);
        let us = StripOptions { units: UnitSystem::Us, ..StripOptions::default() };
        check("30-blasts-us", &sample::strip(3, 10, 1.0), &us);
        check("six-layers", &sample::strip(6, 2, 3.0), &page);
    }

    #[test]
    fn a_one_minute_block_beside_a_forty_minute_one_can_be_read() {
        let strip = sample::strip(2, 3, 40.0);
        check("mixed", &strip, &StripOptions::default());
    }
}
