//! What a preview promises.

use super::sample::relief;
use super::*;
use piece::Side;
use quantity::{Diameter, Length, Quantity as _};

fn panel(width_mm: f64, height_mm: f64) -> Body {
    let mm = |v: f64| Length::clamped(1e-3 * v);
    Body::Panel { width: mm(width_mm), height: mm(height_mm) }
}

fn save(name: &str, picture: &RgbImage) {
    let Ok(folder) = std::env::var("SABULO_PICTURES") else { return };
    std::fs::write(format!("{folder}/{name}.png"), png(picture).unwrap()).unwrap();
}

fn brightness(picture: &RgbImage, frame: &Frame, x_mm: f64, y_mm: f64) -> f64 {
    let pixel = |mm: f64, from: f64| ((mm - from) * frame.px_per_mm) as i64;
    let (cx, cy) = (pixel(x_mm, frame.origin.x), pixel(y_mm, frame.origin.y));
    let around = (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (cx + dx, cy + dy)));
    around.map(|(x, y)| f64::from(picture.get_pixel(x as u32, y as u32).0[1])).sum::<f64>() / 9.0
}

/// A square pit of 2 mm with walls of 45 degrees, in the middle of a panel of 60 mm.
fn pit(side: Side) -> Relief {
    let mut relief = relief(panel(60.0, 60.0), side, 0.1, (40.0, 40.0));
    for (i, depth) in relief.depth_mm.values.iter_mut().enumerate() {
        let (x, y) = ((i % 400) as f32 * 0.1 + 0.05, (i / 400) as f32 * 0.1 + 0.05);
        let inside = 12.0 - f32::max((x - 20.0).abs(), (y - 20.0).abs());
        *depth = inside.clamp(0.0, 2.0);
    }
    relief
}

#[test]
fn looks() {
    let options = PreviewOptions::default();
    let glass = relief(panel(300.0, 400.0), Side::Back, 0.1, (240.0, 330.0));
    save("preview-float-back", &preview(&glass, Look::Float, &options));
    save("preview-mirror", &preview(&glass, Look::Mirror, &options));
    let front = relief(panel(120.0, 160.0), Side::Front, 0.1, (100.0, 130.0));
    save("preview-float-front-small", &preview(&front, Look::Float, &options));
    save("preview-granite", &preview(&front, Look::Granite, &options));
    save("preview-marble", &preview(&front, Look::Marble, &options));
    save("preview-slate", &preview(&front, Look::Slate, &options));
    let mm = |v: f64| Length::clamped(1e-3 * v);
    let body = Body::Tumbler { diameter: Diameter::clamped(0.08), foot: Diameter::clamped(0.08), height: mm(95.0) };
    let mut tumbler = relief(body, Side::Front, 0.1, (90.0, 80.0));
    tumbler.thickness = mm(2.5);
    save("preview-tumbler", &preview(&tumbler, Look::Clear, &options));
    let body = Body::Bowl { diameter: Diameter::clamped(0.22), foot: Diameter::clamped(0.09), height: mm(80.0) };
    let mut bowl = relief(body, Side::Front, 0.1, (110.0, 90.0));
    bowl.thickness = mm(4.0);
    save("preview-bowl", &preview(&bowl, Look::Clear, &options));
}

#[test]
fn settings_side_by_side() {
    // A shallow frost, 1 mm and 4 mm, each in all lights.
    let mm = |v: f64| Length::clamped(1e-3 * v);
    for (name, deepest) in [("frost", 0.05f32), ("1mm", 1.0), ("4mm", 4.0)] {
        let mut glass = relief(panel(120.0, 160.0), Side::Back, 0.1, (100.0, 130.0));
        let top = glass.depth_mm.values.iter().copied().fold(0.0, f32::max);
        glass.depth_mm.values.iter_mut().for_each(|depth| *depth *= deepest / top);
        glass.thickness = mm(10.0);
        for (light, ground) in [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(l, g)| (Light::ALL[l], Ground::ALL[g])) {
            let setting = Setting { light, ground, seen: Seen::Front };
            let options = PreviewOptions { width_px: 500, setting, ..PreviewOptions::default() };
            save(
                &format!("setting-{name}-{}-{}", light.word(), ground.word()),
                &preview(&glass, Look::Float, &options),
            );
        }
    }
    let body = Body::Tumbler { diameter: Diameter::clamped(0.08), foot: Diameter::clamped(0.08), height: mm(95.0) };
    let mut tumbler = relief(body, Side::Front, 0.1, (90.0, 80.0));
    tumbler.thickness = mm(2.5);
    for (light, ground, seen) in [
        (Light::Edge, Ground::Clear, Seen::Front),
        (Light::Behind, Ground::Dark, Seen::Front),
        (Light::Behind, Ground::Clear, Seen::Back),
    ] {
        let options =
            PreviewOptions { width_px: 500, setting: Setting { light, ground, seen }, ..PreviewOptions::default() };
        let name = format!("setting-tumbler-{}-{}-{}", light.word(), ground.word(), seen.word());
        save(&name, &preview(&tumbler, Look::Clear, &options));
    }
}

#[test]
fn walls_shine_with_the_light_behind_a_dark_ground_and_stand_dark_before_the_sky() {
    let frame = PreviewOptions { width_px: 600, ..PreviewOptions::default() }.frame(panel(60.0, 60.0));
    let seen = |ground| {
        let setting = Setting { light: Light::Behind, ground, seen: Seen::Front };
        let options = PreviewOptions { width_px: 600, setting, ..PreviewOptions::default() };
        let picture = preview(&pit(Side::Back), Look::Float, &options);
        [(41.0, 30.0), (30.0, 30.0), (14.0, 50.0)].map(|(x, y)| brightness(&picture, &frame, x, y))
    };
    let [wall, floor, clear] = seen(Ground::Dark);
    assert!(wall > floor + 15.0 && floor > clear + 60.0, "{wall} {floor} {clear}");
    let [wall, floor, clear] = seen(Ground::Clear);
    assert!(clear > floor + 15.0 && floor > wall + 25.0, "{wall} {floor} {clear}");
}

#[test]
fn from_the_back_the_piece_is_mirrored_and_stone_is_not() {
    let frame = PreviewOptions { width_px: 600, ..PreviewOptions::default() }.frame(panel(60.0, 60.0));
    let mut piece = pit(Side::Front);
    piece.depth_mm.grid.origin.x = 2.0;
    let lit = |look, seen, x_mm| {
        let setting = Setting { seen, ..Setting::default() };
        let options = PreviewOptions { width_px: 600, setting, ..PreviewOptions::default() };
        brightness(&preview(&piece, look, &options), &frame, x_mm, 30.0)
    };
    // The pit spans 10 to 34 mm from the left; from behind 26 to 50 mm.
    let (front, back) = (lit(Look::Float, Seen::Front, 44.0), lit(Look::Float, Seen::Back, 44.0));
    assert!(back > front + 60.0, "{front} {back}");
    assert_eq!(lit(Look::Granite, Seen::Front, 44.0), lit(Look::Granite, Seen::Back, 44.0));
}

#[test]
fn a_pit_is_shaded_at_the_upper_left_and_seen_through_the_glass_it_is_raised() {
    let options = PreviewOptions { width_px: 600, ..PreviewOptions::default() };
    let frame = options.frame(panel(60.0, 60.0));
    for (side, look) in [(Side::Front, Look::Float), (Side::Front, Look::Granite), (Side::Back, Look::Float)] {
        let picture = preview(&pit(side), look, &options);
        // The walls lie 18 to 20 mm and 40 to 42 mm across.
        let (left, right) = (brightness(&picture, &frame, 19.2, 30.0), brightness(&picture, &frame, 40.8, 30.0));
        match side {
            Side::Back => assert!(left > right + 25.0, "{side:?} {look:?}: {left} {right}"),
            Side::Front => assert!(right > left + 25.0, "{side:?} {look:?}: {left} {right}"),
        }
    }
}

#[test]
fn frost_is_bright_and_clear_glass_and_the_ground_are_dark() {
    let options = PreviewOptions { width_px: 600, ..PreviewOptions::default() };
    let frame = options.frame(panel(60.0, 60.0));
    let picture = preview(&pit(Side::Back), Look::Float, &options);
    let (frost, clear) = (brightness(&picture, &frame, 30.0, 30.0), brightness(&picture, &frame, 10.0, 50.0));
    let ground = brightness(&picture, &frame, -1.5, 62.0);
    assert!(frost > 130.0 && clear < 60.0 && ground < 30.0, "{frost} {clear} {ground}");
}

#[test]
fn the_same_piece_gives_the_same_picture_on_any_number_of_threads() {
    let options = PreviewOptions { width_px: 300, ..PreviewOptions::default() };
    let piece = pit(Side::Front);
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let one = alone.install(|| preview(&piece, Look::Granite, &options));
    assert!(one == preview(&piece, Look::Granite, &options));
}

#[test]
fn a_picture_has_the_size_asked_for_and_the_piece_in_its_middle() {
    let body = panel(300.0, 100.0);
    let tall =
        PreviewOptions { width_px: 400, height_px: Some(600), margin: 0.1, ..PreviewOptions::default() }.frame(body);
    assert_eq!((tall.width_px, tall.height_px), (400, 600));
    assert!((tall.origin.x + 30.0).abs() < 1e-9 && (tall.origin.y + 0.5 * tall.height_mm() - 50.0).abs() < 1e-9);
    let bare = PreviewOptions { width_px: 600, height_px: None, margin: 0.0, ..PreviewOptions::default() }.frame(body);
    assert_eq!((bare.width_px, bare.height_px), (600, 200));
    let picture = preview(&pit(Side::Back), Look::Float, &PreviewOptions { width_px: 0, ..PreviewOptions::default() });
    assert_eq!(picture.width(), 16, "a width of nothing is drawn at the least one");
}

#[test]
fn a_relief_without_cells_is_a_bare_blank() {
    let mut bare = pit(Side::Back);
    bare.depth_mm.grid.width = 0;
    bare.depth_mm.values.clear();
    let picture = preview(&bare, Look::Float, &PreviewOptions { width_px: 64, ..PreviewOptions::default() });
    assert!(picture.get_pixel(32, 32).0[1] < 60);
}

#[test]
fn a_png_reads_back_as_it_was_written() {
    let picture =
        preview(&pit(Side::Front), Look::Slate, &PreviewOptions { width_px: 120, ..PreviewOptions::default() });
    let read = image::load_from_memory(&png(&picture).unwrap()).unwrap().to_rgb8();
    assert!(read == picture);
}
