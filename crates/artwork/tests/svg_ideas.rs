//! One drawing, one idea: each against the area that resvg paints.

use artwork::note::Remark;
use artwork::region::Region;
use artwork::svg::{Drawing, ReadOptions, read_svg};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg;

fn page(content: &str) -> String {
    format!("<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>{content}</svg>")
}

fn read(content: &str) -> Drawing {
    read_svg(page(content).as_bytes(), &ReadOptions::default()).unwrap_or_else(|fault| panic!("{fault}"))
}

fn area(drawing: &Drawing) -> f64 {
    Region::union_of(drawing.shapes.iter().map(|shape| &shape.region)).area().to_square_mm()
}

const PER_MM: f32 = 20.0;

/// As resvg paints it.
fn rendered(content: &str) -> Pixmap {
    let tree = usvg::Tree::from_str(&page(content), &usvg::Options::default()).unwrap();
    let mut pixmap = Pixmap::new(100 * PER_MM as u32, 80 * PER_MM as u32).unwrap();
    let scale = PER_MM * 25.4 / 96.0;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    pixmap
}

/// Area that is painted, in mm²; alpha counts as coverage.
fn painted(content: &str) -> f64 {
    let pixmap = rendered(content);
    let alpha: f64 = pixmap.data().iter().skip(3).step_by(4).map(|&alpha| f64::from(alpha) / 255.0).sum();
    alpha / f64::from(PER_MM * PER_MM)
}

/// Our area against resvg's, and the notes.
#[track_caller]
fn check(content: &str, share: f64) -> Vec<Remark> {
    let drawing = read(content);
    let (found, want) = (area(&drawing), painted(content));
    assert!(want > 1.0, "resvg paints nothing");
    assert!((found / want - 1.0).abs() < share, "{found} mm², resvg paints {want}");
    drawing.notes.into_iter().map(|note| note.remark).collect()
}

#[test]
fn a_white_mask_with_a_black_hole_is_a_clip() {
    let mask = "<mask id='m'><rect width='100' height='80' fill='#fff'/><circle cx='50' cy='40' r='15'/>\
        <rect x='45' y='35' width='10' height='10' fill='#fff'/></mask>";
    let notes = check(&format!("{mask}<rect id='all' x='20' y='15' width='60' height='50' mask='url(#m)'/>"), 2e-3);
    assert!(notes.is_empty(), "{notes:?}");
}

#[test]
fn a_mask_under_a_transform_and_within_a_mask_cuts_as_drawn() {
    let masks = "<mask id='a'><path d='M0 0H60V80H0Z' fill='#fff'/></mask>\
        <mask id='b' mask='url(#a)'><circle cx='55' cy='40' r='20' fill='#fff'/></mask>";
    check(
        &format!(
            "{masks}<g transform='rotate(20 50 40)'><rect x='10' y='10' width='80' height='60' mask='url(#b)'/></g>"
        ),
        2e-3,
    );
}

#[test]
fn a_mask_in_shares_of_the_box_and_by_alpha_cuts_as_drawn() {
    let mask = "<mask id='m' maskContentUnits='objectBoundingBox' mask-type='alpha' style='mask-type:alpha'>\
        <circle cx='.5' cy='.5' r='.4' fill='#000'/></mask>";
    check(&format!("{mask}<rect x='20' y='20' width='40' height='40' mask='url(#m)'/>"), 2e-3);
}

#[test]
fn a_mask_of_greys_is_halved_with_a_note() {
    let mask = "<linearGradient id='g'><stop stop-color='#fff'/><stop offset='1'/></linearGradient>\
        <mask id='m'><rect width='100' height='80' fill='url(#g)'/></mask>";
    let drawing = read(&format!("{mask}<rect id='sky' x='20' y='20' width='40' height='40' mask='url(#m)'/>"));
    assert_eq!(drawing.notes[0].remark, Remark::MaskHalved);
    assert_eq!(drawing.notes[0].element, "sky");
}

#[test]
fn a_pattern_is_its_tiles() {
    let dots =
        "<pattern id='p' width='10' height='8' patternUnits='userSpaceOnUse'><circle cx='5' cy='4' r='2.5'/></pattern>";
    let notes = check(&format!("{dots}<circle cx='50' cy='40' r='30' fill='url(#p)'/>"), 2e-3);
    assert!(notes.is_empty(), "{notes:?}");
}

#[test]
fn a_pattern_off_its_origin_turned_with_overhang_is_its_tiles() {
    let waves = "<pattern id='p' x='3' y='2' width='12' height='9' patternUnits='userSpaceOnUse' \
        patternTransform='rotate(25) scale(1.2)'><path d='M0 0L12 9M-3 6L3 12' stroke='#000' stroke-width='2'/></pattern>";
    check(&format!("{waves}<rect x='20' y='15' width='55' height='45' fill='url(#p)'/>"), 5e-3);
}

#[test]
fn a_pattern_in_a_stroke_and_in_shares_of_the_box_is_its_tiles() {
    let dots = "<pattern id='p' width='.2' height='.25'><rect width='4' height='5'/></pattern>";
    check(&format!("{dots}<rect x='20' y='20' width='50' height='40' fill='url(#p)'/>"), 5e-3);
    let bars =
        "<pattern id='q' width='6' height='6' patternUnits='userSpaceOnUse'><rect width='3' height='6'/></pattern>";
    check(&format!("{bars}<path d='M10 40H90' stroke='url(#q)' stroke-width='20' fill='none'/>"), 5e-3);
}

#[test]
fn a_pattern_of_countless_tiles_is_left_out_with_a_note() {
    let dust = "<pattern id='p' width='.01' height='.01' patternUnits='userSpaceOnUse'><rect width='.005' height='.005'/></pattern>";
    let drawing =
        read(&format!("{dust}<rect id='sand' width='50' height='50' fill='url(#p)'/><circle cx='70' cy='40' r='9'/>"));
    assert_eq!(drawing.shapes.len(), 1);
    assert!(drawing.notes.iter().any(|note| note.remark == Remark::PatternLeftOut && note.element == "sand"));
}

/// Mean grey of what a gradient paints, by area; the drawing's own and resvg's.
fn greys(content: &str) -> (f64, f64) {
    let drawing = read(content);
    let (mut sum, mut area, mut over) = (0.0, 0.0, Region::default());
    for shape in drawing.shapes.iter().rev() {
        let mm2 = shape.region.subtract(&over).area().to_square_mm();
        sum += mm2 * f64::from(shape.paint.r);
        area += mm2;
        over = over.union(&shape.region);
    }
    let pixmap = rendered(content);
    let painted = pixmap.pixels().iter().filter(|pixel| pixel.alpha() == 255);
    let (mut theirs, mut count) = (0.0, 0.0);
    for pixel in painted {
        theirs += f64::from(pixel.red());
        count += 1.0;
    }
    (sum / area, theirs / count)
}

#[test]
fn a_gradient_is_bands_of_tone_that_cover_what_it_fills() {
    let stops = "<stop stop-color='#000'/><stop offset='.4' stop-color='#eee'/><stop offset='1' stop-color='#333'/>";
    for gradient in [
        format!("<linearGradient id='g' x1='.2' y1='.1' x2='.7' y2='.5'>{stops}</linearGradient>"),
        format!(
            "<linearGradient id='g' x2='.3' spreadMethod='reflect' gradientTransform='rotate(20)'>{stops}</linearGradient>"
        ),
        format!("<linearGradient id='g' x2='.23' spreadMethod='repeat'>{stops}</linearGradient>"),
        format!("<radialGradient id='g' fx='.3' fy='.4'>{stops}</radialGradient>"),
        format!("<radialGradient id='g' r='.2' spreadMethod='reflect'>{stops}</radialGradient>"),
    ] {
        let content = format!("{gradient}<ellipse id='sun' cx='50' cy='40' rx='30' ry='20' fill='url(#g)'/>");
        let notes = check(&content, 2e-3);
        assert!(matches!(&notes[..], [Remark::GradientInSteps { tones: 12.. }]), "{gradient}: {notes:?}");
        let (ours, theirs) = greys(&content);
        assert!((ours - theirs).abs() < 3.0, "{gradient}: {ours} {theirs}");
        let seams = Region::union_of(read(&content).shapes.iter().map(|shape| &shape.region));
        assert_eq!((seams.polygons().len(), seams.rings().count()), (1, 1), "{gradient}");
    }
}

#[test]
fn a_gradient_that_fades_to_nothing_fades_to_white_and_its_clear_end_is_not_painted() {
    let fade = "<linearGradient id='g'><stop stop-color='#000'/><stop offset='1' stop-color='#000' stop-opacity='0'/></linearGradient>";
    let drawing = read(&format!("{fade}<rect x='10' y='10' width='80' height='20' fill='url(#g)'/>"));
    let greys: Vec<u8> = drawing.shapes.iter().map(|shape| shape.paint.g).collect();
    assert!(greys.is_sorted() && greys[0] < 16 && *greys.last().unwrap() > 225, "{greys:?}");
}

#[test]
fn a_gradient_that_cannot_be_cut_is_refused_by_name_or_place() {
    let odd = "<radialGradient id='g' fx='2' fy='.5' r='.3'><stop stop-color='#000'/><stop offset='1' stop-color='#fff'/></radialGradient>";
    let drawing = read(&format!(
        "{odd}<rect x='20' y='10' width='20' height='20' fill='url(#g)'/><circle r='9' cx='60' cy='40'/>"
    ));
    let words: Vec<String> = drawing.notes.iter().map(ToString::to_string).collect();
    assert!(words[0].starts_with("\"shape at 30.0, 20.0 mm\": gradient left out"), "{words:?}");
}

#[test]
fn dashes_with_offsets_and_round_caps_are_as_painted() {
    check(
        "<path d='M10 20C40 0 60 70 90 40' fill='none' stroke='#000' stroke-width='3' stroke-dasharray='9 5 2 5' \
        stroke-dashoffset='4' stroke-linecap='round'/>",
        4e-3,
    );
}

#[test]
fn symbols_used_twice_are_drawn_twice() {
    let symbol = "<symbol id='s' viewBox='0 0 10 10'><path d='M5 0L10 10H0Z'/></symbol>";
    check(
        &format!(
            "{symbol}<use href='#s' x='10' y='10' width='20' height='20'/><use href='#s' x='50' y='30' width='30' height='30'/>"
        ),
        2e-3,
    );
}

#[test]
fn style_sheets_choose_by_class_id_and_descent() {
    check(
        "<style>.a{fill:none;stroke:#000;stroke-width:2} #b{fill:#000} g > rect{display:none} .c .d{fill-rule:evenodd}</style>\
        <circle class='a' cx='30' cy='30' r='15'/><rect id='b' x='60' y='10' width='20' height='20'/>\
        <g><rect width='100' height='80'/></g>\
        <g class='c'><path class='d' d='M50 45h30v30h-30zM58 52h14v14h-14z'/></g>",
        2e-3,
    );
}

#[test]
fn markers_are_drawn_where_the_line_turns() {
    check(
        "<marker id='m' markerWidth='6' markerHeight='6' refX='3' refY='3' orient='auto' markerUnits='userSpaceOnUse'>\
        <path d='M0 0L6 3L0 6Z'/></marker><path d='M15 20L50 20L80 60' fill='none' stroke='#000' stroke-width='1' \
        marker-start='url(#m)' marker-mid='url(#m)' marker-end='url(#m)'/>",
        4e-3,
    );
}

#[test]
fn a_view_box_that_is_cut_off_by_its_svg_is_cut() {
    check(
        "<svg x='20' y='20' width='30' height='30' viewBox='0 0 10 10' preserveAspectRatio='xMidYMid slice'>\
        <circle cx='5' cy='5' r='6'/></svg>",
        2e-3,
    );
}

#[test]
fn text_in_a_font_that_is_not_here_is_set_in_another_with_a_note() {
    let drawing = read("<text x='10' y='40' font-size='12' font-family='Nowhere Sans'>Heron</text>");
    let replaced = |remark: &Remark| matches!(remark, Remark::FontReplaced { asked, used } if asked == "Nowhere Sans" && !used.is_empty());
    assert!(drawing.notes.iter().any(|note| replaced(&note.remark)), "{:?}", drawing.notes);
    assert!(area(&drawing) > 10.0);
}
