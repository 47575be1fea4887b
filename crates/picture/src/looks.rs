//! Drawings rendered by a general-purpose SVG library: they parse, their words lie inside, their
//! blocks do not overlap.

use crate::raster::OPTIONS;
use crate::scene::{Face, Item, Scene, Text};
use crate::svg::{self, Colours};
use crate::theme::Theme;
use resvg::{tiny_skia, usvg};

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
    fn of(item: &Item) -> Vec<&Text> {
        match item {
            Item::Text(text) => vec![text],
            Item::Group(group) => words(&group.items),
            _ => vec![],
        }
    }
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
    let scaled =
        |r: tiny_skia::Rect| tiny_skia::Rect::from_ltrb(r.left() * mm, r.top() * mm, r.right() * mm, r.bottom() * mm);
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
    for face in [Face::Regular, Face::SemiBold, Face::Condensed] {
        let at = artwork::grid::Point { x: 5.0, y: 10.0 };
        for word in ["prepare", "0123456789", "stage 2: blast 7 min", "cut-out", "Heron & reeds"] {
            let paint = crate::Role::Ink.into();
            let text = Text { at, text: word.into(), size_mm: 10.0, anchor: Default::default(), face, paint };
            let scene = Scene { width_mm: 300.0, height_mm: 20.0, items: vec![text.into()], ..Scene::default() };
            let rendered = f64::from(word_boxes(&scene)[0].1.width());
            let told = crate::metrics::width_mm(word, 10.0, face);
            // Kerning tightens; the box leaves out the bearings of the first and last letter.
            assert!(
                told >= rendered - 0.1 && told < 1.06 * rendered,
                "{face:?} {word}: {told:.2} against {rendered:.2}"
            );
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
        for language in language::Language::ALL {
            assert_readable(&language.scope(|| run_strip(strip, options)));
        }
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
    fn blocks_of_hand_work_do_not_overlap() {
        for strip in [sample::strip(3, 10, 1.0), sample::strip(2, 3, 40.0), sample::strip(1, 1, 0.05)] {
            let scene = run_strip(&strip, &StripOptions::default());
            let bodies = scene.items.iter().filter_map(|item| match item {
                Item::Group(group) if group.label.as_ref().is_some_and(|label| label.contains(", stage ")) => {
                    group.items.first()
                }
                _ => None,
            });
            let spans: Vec<(f64, f64)> = bodies
                .map(|body| match body {
                    Item::Rect(rect) => {
                        let line = rect.stroke.map_or(0.0, |stroke| stroke.width_mm);
                        (rect.x_mm - 0.5 * line, rect.x_mm + rect.width_mm + 0.5 * line)
                    }
                    other => panic!("a block starts with its body, not {other:?}"),
                })
                .collect();
            assert_eq!(spans.len(), strip.hands.len());
            assert!(spans.iter().all(|(from, to)| to > from), "{spans:?}");
            assert!(spans.windows(2).all(|pair| pair[0].1 <= pair[1].0), "{spans:?}");
        }
    }

    #[test]
    fn a_strip_meets_the_height_asked_for() {
        for (height, wide) in [(80.0, 180.0), (130.0, 180.0), (160.0, 310.0)] {
            let options = StripOptions { width_mm: wide, height_mm: Some(height), ..StripOptions::default() };
            let scene = run_strip(&sample::strip(3, 4, 2.0), &options);
            assert!(scene.height_mm <= height + 1e-6, "{} for {height}", scene.height_mm);
            assert!(scene.height_mm > height - 8.0, "{} for {height}", scene.height_mm);
            assert_readable(&scene);
        }
    }

    #[test]
    fn an_empty_strip_draws_and_reads() {
        let mut strip = sample::strip(1, 1, 1.0);
        strip.hands.clear();
        strip.depth.clear();
        strip.resist_left.clear();
        strip.dust.clear();
        strip.air.receiver.clear();
        strip.air.nozzle.clear();
        strip.length = quantity::Time::seconds(0.0).unwrap();
        assert_readable(&run_strip(&strip, &StripOptions::default()));
        let reading = crate::run_strip::read_at(&strip, strip.length);
        assert!(reading.hands.is_none() && reading.dust.is_none() && reading.depth.is_empty());
    }

    #[test]
    fn the_strip_is_drawn_as_before() {
        let strip = sample::strip(1, 1, 6.0);
        insta::assert_snapshot!(svg::write(&run_strip(&strip, &StripOptions::default()), Colours::Properties));
    }

    #[test]
    fn a_one_minute_block_beside_a_forty_minute_one_can_be_read() {
        let strip = sample::strip(2, 3, 40.0);
        check("mixed", &strip, &StripOptions::default());
    }
}

mod marked {
    use super::*;
    use crate::marked::{Drawn, MarkedOptions, marked, thumbnail};
    use artwork::grid::Point;
    use artwork::region::{FillRule, Region, Ring};
    use piece::Body;
    use plan::{Amount, Check, Finding, LayerPlan, Reach, State};
    use quantity::{Estimate, Fraction, Length, Quantity as _, UnitSystem};

    fn mm(v: f64) -> Length {
        Length::clamped(1e-3 * v)
    }

    fn star(x: f64, y: f64, radius: f64) -> Region {
        let point = |i: usize| {
            let r = if i.is_multiple_of(2) { radius } else { 0.45 * radius };
            let (s, c) = (i as f64 * std::f64::consts::PI / 7.0).sin_cos();
            Point { x: x + r * s, y: y - r * c }
        };
        Region::from_rings(&[Ring((0..14).map(point).collect())], FillRule::NonZero)
    }

    fn layer(name: &str, depth_mm: f64, region: Region) -> LayerPlan {
        let reach =
            Reach { wide: Estimate::exact(mm(depth_mm)), has_flat: true, short: Fraction::clamped(0.0), worst: None };
        LayerPlan { name: name.to_owned(), target: mm(depth_mm), area: region.area(), region, reach }
    }

    fn finding(state: State, places: &[(f64, f64)]) -> Finding {
        let value = Amount::Length(Estimate::exact(mm(0.4)));
        let places = places.iter().map(|&(x, y)| Point { x, y }).collect();
        let source = reference::Source::Memory { work: None };
        let remedies = Vec::new();
        Finding {
            check: Check::Wall,
            state,
            value,
            limit: value,
            about: None,
            source,
            places,
            remedies,
            no_remedy: None,
        }
    }

    const BODY: Body =
        Body::Panel { width: quantity::known(Length::mm(200.0)), height: quantity::known(Length::mm(260.0)) };

    fn layers() -> Vec<LayerPlan> {
        vec![
            layer("deep water", 2.0, star(70.0, 90.0, 50.0)),
            layer("reeds and neck", 1.2, star(140.0, 160.0, 40.0)),
            layer("shallow frost", 0.3, star(60.0, 210.0, 35.0)),
        ]
    }

    #[test]
    fn the_artwork_with_its_findings_can_be_read_in_both_units() {
        let layers = layers();
        let findings = [
            finding(State::Stop, &[(70.0, 60.0), (74.0, 62.0)]),
            finding(State::Watch, &[(198.0, 3.0), (100.0, 150.0)]),
            finding(State::Holds, &[(60.0, 210.0)]),
        ];
        for (name, units) in [("metric", UnitSystem::Metric), ("us", UnitSystem::Us)] {
            let drawn = Drawn { name: "Stars", body: BODY, layers: &layers, findings: &findings, units };
            let scene = marked(drawn, &MarkedOptions::default());
            show(&scene, Theme::Dark, &format!("marked-{name}-dark"));
            show(&scene, Theme::Paper, &format!("marked-{name}-paper"));
            assert_readable(&scene);
            assert!((scene.width_mm - 120.0).abs() < 1e-9 && scene.height_mm > 156.0 && scene.height_mm < 180.0);
        }
    }

    #[test]
    fn a_thumbnail_lights_what_is_open_now() {
        let layers = layers();
        let drawn = Drawn { name: "Stars", body: BODY, layers: &layers, findings: &[], units: UnitSystem::Metric };
        let scene = thumbnail(&drawn, &[0], &[1], 30.0, 40.0);
        show(&scene, Theme::Dark, "thumbnail");
        assert_eq!(scene.title, "Open now: reeds and neck");
        let fills: Vec<Option<crate::Role>> = scene
            .items
            .iter()
            .skip(1)
            .map(|item| match item {
                Item::Path(path) => path.fill.map(|paint| paint.role),
                _ => None,
            })
            .collect();
        assert_eq!(fills, [Some(crate::Role::Depth(0.2)), Some(crate::Role::Depth(1.0)), None]);
        insta::assert_snapshot!(svg::write(&thumbnail(&drawn, &[], &[2], 20.0, 20.0), Colours::Properties));
    }
}
