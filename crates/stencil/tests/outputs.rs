//! Plotter vectors, DXF, film PDF and TIFF of one layer, read back by ours and by others.

use artwork::bounds::Bounds;
use artwork::grid::{Field, Grid, Point};
use artwork::region::{FillRule, Region, Ring};
use proptest::prelude::*;
use quantity::Length;
use std::process::Command;
use stencil::bundle::{self, BundleOptions, Form};
use stencil::cut::corner::Corners;
use stencil::cut::order::order;
use stencil::cut::overcut::overcut;
use stencil::cut::tiles::{TileError, Tiling, tiles};
use stencil::film::{BAR_MM, Emulsion, FilmSheet, pdf, tiff};
use stencil::halftone::clustered::{Clustered, Dot};
use stencil::halftone::screen::{Halftone, Screening};
use stencil::layers::{Mark, Side, StencilLayer};
use stencil::plotter::{self, Coordinates, PlotterError};
use stencil::strokes::{Stroke, deviation_mm, of_layer, outlines};
use stencil::{dxf_out, strokes};

fn mm(mm: f64) -> Length {
    Length::mm(mm).unwrap()
}

fn circle(x: f64, y: f64, r: f64) -> Ring {
    let at = |i: u32| (f64::from(i) * std::f64::consts::TAU / 200.0).sin_cos();
    Ring((0..200).map(at).map(|(sin, cos)| Point { x: x + r * cos, y: y + r * sin }).collect())
}

/// A leaf of rings within rings and a wedge that no mirror leaves as it was; nothing lies on whole units.
fn openings() -> Region {
    let wedge = Ring([(12.3071, 60.013), (47.77, 63.3), (15.011, 88.881)].map(|(x, y)| Point { x, y }).to_vec());
    let rings = [
        circle(40.013, 30.007, 20.0),
        circle(40.0, 30.0, 14.4),
        circle(40.0, 30.0, 6.1),
        circle(82.0, 70.0, 9.0),
        wedge,
    ];
    Region::from_rings(&rings, FillRule::EvenOdd)
}

fn layer_of(openings: Region) -> StencilLayer {
    let marks = [(5.0, 5.0), (105.0, 5.0), (5.0, 95.0)].map(|(x, y)| Mark { centre: Point { x, y }, reach_mm: 4.0 });
    StencilLayer {
        stage: 1,
        stages: 1,
        name: "leaf".into(),
        side: Side::Front,
        openings,
        marks: marks.to_vec(),
        cuts: Vec::new(),
        weed_box: Bounds { min: Point { x: -2.3, y: -1.7 }, max: Point { x: 112.4, y: 101.9 } },
    }
}

fn layer() -> StencilLayer {
    layer_of(openings())
}

fn cut(layer: &StencilLayer) -> Vec<Stroke> {
    let home = Point { x: layer.weed_box.min.x, y: layer.weed_box.max.y };
    overcut(&order(&of_layer(layer), home).strokes, mm(0.6))
}

#[test]
fn replayed_plotter_vectors_are_the_artworks_outline() {
    let layer = layer();
    let fine = plotter::verified(&layer, &cut(&layer), Coordinates::Tenths).unwrap();
    let whole = plotter::verified(&layer, &cut(&layer), Coordinates::Whole).unwrap();
    println!("off by {:.4} mm in tenths, {:.4} mm in whole units", fine.off_mm, whole.off_mm);
    assert!(fine.off_mm < 0.01 && whole.off_mm < 0.0178, "{} {}", fine.off_mm, whole.off_mm);
    assert!(fine.text().starts_with("IN;SP1;\nPU") && fine.text().is_ascii());
    // Whole units: no point anywhere.
    assert!(!whole.text().contains('.'));
}

#[test]
fn forty_units_are_a_millimetre_and_y_runs_up() {
    let square = strokes::rectangle(Bounds { min: Point { x: 1.0, y: 2.0 }, max: Point { x: 3.0, y: 5.0 } });
    let text = plotter::write(&[square], Bounds::from_size(10.0, 10.0), Coordinates::Whole);
    assert_eq!(text, "IN;SP1;\nPU40,320;\nPD120,320,120,200,40,200,40,320;\nPU0,0;SP0;\n");
}

#[test]
fn a_plotter_file_that_was_changed_is_not_handed_out() {
    let layer = layer();
    let text = plotter::write(&cut(&layer), layer.weed_box, Coordinates::Tenths);
    let verify = |text: &str| plotter::verify(&of_layer(&layer), layer.weed_box, text, Coordinates::Tenths);
    assert!(verify(&text).is_ok());
    let mut lines: Vec<&str> = text.lines().collect();
    lines.remove(2);
    assert!(matches!(verify(&lines.join("\n")), Err(PlotterError::Elsewhere { .. })));
    assert!(matches!(verify(&text.replace("IN;", "IN;SC0,1;")), Err(PlotterError::Unknown { number: 2, .. })));
    assert!(matches!(verify(&text.replacen("PD", "PDx", 1)), Err(PlotterError::Coordinates { .. })));
    let mirrored = StencilLayer { openings: layer.openings.mirrored(55.05), ..layer.clone() };
    assert!(plotter::verified(&mirrored, &cut(&layer), Coordinates::Tenths).is_err());
}

#[test]
fn every_form_is_given_out_read_back_with_corners_cut_past_or_not() {
    let layer = StencilLayer {
        cuts: vec![Ring(
            strokes::rectangle(Bounds { min: Point { x: 8.0, y: 8.0 }, max: Point { x: 95.0, y: 93.0 } }).points,
        )],
        ..layer()
    };
    let forms = [Form::Svg, Form::Dxf, Form::Plotter, Form::FilmPdf, Form::FilmTiff];
    for corners in [Corners::AsDrawn, Corners::Past { by: mm(0.5) }] {
        let options = BundleOptions {
            overcut: mm(0.6),
            corners,
            coordinates: Coordinates::Tenths,
            emulsion: Emulsion::TowardsResist,
            dpi: 300.0,
        };
        let (cuts, work) = bundle::cuts(&layer, &options);
        let files = bundle::files(&layer, &forms, &cuts, &options).unwrap();
        assert!(files.iter().all(|file| file.off_mm < 0.01 && !file.bytes.is_empty()));
        assert!(work.ratio() >= 1.0 && work.travel_mm <= work.travel_before_mm);
        // Cuts of another layer are refused, whatever is done at corners.
        let other = StencilLayer { openings: layer.openings.mirrored(55.05), ..layer.clone() };
        assert!(bundle::files(&other, &[Form::Plotter], &cuts, &options).is_err());
    }
}

#[test]
fn a_dxf_file_holds_every_line_and_a_changed_one_is_refused() {
    let layer = layer();
    let drawn = dxf_out::verified(&layer).unwrap();
    assert!(drawn.off_mm < 1e-4, "{}", drawn.off_mm);
    let moved = drawn.text().replacen("VERTEX\n8\nOPENINGS\n10\n", "VERTEX\n8\nOPENINGS\n10\n1", 1);
    assert!(dxf_out::verify(&layer, &moved).is_err());
    let bulged = drawn.text().replacen("30\n0.0\n0\nVERTEX", "30\n0.0\n42\n0.5\n0\nVERTEX", 1);
    assert!(matches!(dxf_out::verify(&layer, &bulged), Err(dxf_out::DxfMismatch::Bulge { .. })));
}

/// A page of a PDF as poppler renders it: width, and dots from white 0 to black 255.
fn rendered(bytes: &[u8], dpi: u32, name: &str) -> (usize, Vec<u8>) {
    let folder = std::env::temp_dir().join(format!("stencil-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let (from, to) = (folder.join("film.pdf"), folder.join("film"));
    std::fs::write(&from, bytes).unwrap();
    let dpi = dpi.to_string();
    let done = Command::new("pdftoppm").args(["-r", &dpi, "-gray", "-singlefile"]).args([&from, &to]).status();
    assert!(done.expect("poppler is installed").success());
    let pgm = std::fs::read(folder.join("film.pgm")).unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    let head: Vec<&[u8]> = pgm.splitn(4, |byte| byte.is_ascii_whitespace()).collect();
    let number = |text: &[u8]| std::str::from_utf8(text).unwrap().parse::<usize>().unwrap();
    let (width, rest) = (number(head[1]), head[3]);
    let dots = rest.splitn(2, |byte| byte.is_ascii_whitespace()).nth(1).unwrap();
    assert_eq!(dots.len(), width * number(head[2]));
    (width, dots.iter().map(|grey| 255 - grey).collect())
}

#[test]
fn the_scale_bar_measures_a_hundred_millimetres_as_poppler_draws_it() {
    for emulsion in [Emulsion::TowardsLamp, Emulsion::TowardsResist] {
        let sheet = FilmSheet::of(&layer(), emulsion);
        let film = pdf::verified(&sheet).unwrap();
        assert!(film.off_mm < 1e-3, "{}", film.off_mm);
        let (width, dots) = rendered(film.bytes(), 1200, &format!("{emulsion:?}"));
        let per_mm = 1200.0 / 25.4;
        let row = |y_mm: f64| {
            let y = ((y_mm - sheet.page.min.y) * per_mm) as usize;
            &dots[y * width..][..width]
        };
        let bar: Vec<usize> =
            row(sheet.bar.centre().y).iter().enumerate().filter(|(_, ink)| **ink >= 128).map(|(x, _)| x).collect();
        let (first, last) = (bar[0], bar[bar.len() - 1]);
        let long = (last + 1 - first) as f64;
        println!("{emulsion:?}: bar {long} dots, 100 mm are {:.2}", BAR_MM * per_mm);
        assert!((long - BAR_MM * per_mm).abs() <= 1.0 && bar.len() == last + 1 - first);
        let left = (sheet.bar.min.x - sheet.page.min.x) * per_mm;
        assert!((first as f64 - left).abs() <= 1.0, "{first} {left}");
        // The open area, dot by dot with its greys at the edges.
        let ink: f64 = dots.iter().map(|ink| f64::from(*ink) / 255.0).sum::<f64>() / (per_mm * per_mm);
        let tablet: f64 = sheet.patches.iter().map(|p| p.tone() * p.bounds.width_mm() * p.bounds.height_mm()).sum();
        let want = sheet.black.area().to_square_mm() + tablet;
        assert!((ink / want - 1.0).abs() < 2e-3, "{ink} mm² inked, {want} wanted");
        for patch in &sheet.patches {
            let c = patch.bounds.centre();
            let ink = f64::from(row(c.y)[((c.x - sheet.page.min.x) * per_mm) as usize]) / 255.0;
            assert!((ink - patch.tone()).abs() < 0.005, "{patch:?} {ink}");
        }
    }
}

#[test]
fn a_film_of_another_layer_is_refused() {
    let (sheet, other) =
        (FilmSheet::of(&layer(), Emulsion::TowardsLamp), FilmSheet::of(&layer(), Emulsion::TowardsResist));
    let bytes = pdf::write(&sheet).unwrap();
    assert!(matches!(pdf::verify(&other, bytes.clone()), Err(pdf::PdfMismatch::Elsewhere { .. })));
    let wide = FilmSheet { page: sheet.page.grown(1.0), ..sheet.clone() };
    assert!(matches!(pdf::verify(&wide, bytes), Err(pdf::PdfMismatch::PageSize { .. })));
    assert!(matches!(pdf::verify(&sheet, b"%PDF".to_vec()), Err(pdf::PdfMismatch::Unreadable(_))));
}

#[test]
fn emulsion_down_is_the_mirror_image_and_marks_stay_with_it() {
    let [lamp, resist] = [Emulsion::TowardsLamp, Emulsion::TowardsResist].map(|e| FilmSheet::of(&layer(), e));
    let x = lamp.page.centre().x;
    let want = outlines(&lamp.black.mirrored(x));
    assert!(deviation_mm(&outlines(&resist.black), &want, 0.01) < 1e-9);
    assert!(deviation_mm(&outlines(&resist.black), &outlines(&lamp.black), 0.01) > 0.01);
}

/// Dots of a TIFF as the image crate reads it: true is black.
fn decoded(bytes: &[u8]) -> (usize, Vec<bool>) {
    let image = image::load_from_memory_with_format(bytes, image::ImageFormat::Tiff).unwrap().into_luma8();
    (image.width() as usize, image.pixels().map(|dot| dot.0[0] < 128).collect())
}

#[test]
fn a_film_tiff_holds_the_openings_dot_by_dot() {
    let sheet = FilmSheet::of(&layer(), Emulsion::TowardsLamp);
    for dpi in [300.0, 1200.0] {
        let film = tiff::verified(&sheet, dpi, None).unwrap();
        let (width, dots) = decoded(film.bytes());
        assert_eq!(film.size.0 as usize, width);
        let cell = 25.4 / dpi;
        let at = |x: usize, y: usize| Point {
            x: sheet.page.min.x + (x as f64 + 0.5) * cell,
            y: sheet.page.min.y + (y as f64 + 0.5) * cell,
        };
        let sample = (0..dots.len()).step_by(997);
        let wrong = sample.filter(|i| dots[*i] != sheet.black.contains(at(i % width, i / width))).count();
        assert_eq!(wrong, 0, "at {dpi} dpi");
        let area = dots.iter().filter(|black| **black).count() as f64 * cell * cell;
        let want = sheet.black.area().to_square_mm();
        // Curves cancel on the mean; a mark's 0.1 mm line is a whole number of dots, 15 % off at 300 dpi.
        assert!((area / want - 1.0).abs() < 0.0015 * 1200.0 / dpi, "{area} {want} at {dpi} dpi");
    }
}

#[test]
fn a_halftone_lies_where_its_tones_are_and_nowhere_else() {
    let blank = layer_of(Region::rectangle(Bounds { min: Point { x: 5.0, y: 70.0 }, max: Point { x: 20.0, y: 80.0 } }));
    let sheet = FilmSheet::of(&blank, Emulsion::TowardsLamp);
    let grid = Grid { origin: Point { x: 40.0, y: 20.0 }, cell: 0.5, width: 60, height: 40 };
    let values = (0..grid.len()).map(|i| (i % 60) as f32 / 59.0).collect();
    let tone = Field { grid, values };
    let screening = Screening::Clustered(Clustered { pitch_mm: 0.5, angle_degrees: 45.0, dot: Dot::RoundBothWays });
    let halftone = Halftone { tone: &tone, screening, curve: None, least: mm(0.0) };
    let film = tiff::verified(&sheet, 1440.0, Some(&halftone)).unwrap();
    let (width, dots) = decoded(film.bytes());
    let cell = 25.4 / 1440.0;
    let ink = |x: f64, y: f64, w: f64, h: f64| {
        let to = |mm: f64| (mm / cell).round() as usize;
        let (x0, y0) = (to(x - sheet.page.min.x), to(y - sheet.page.min.y));
        let rows = (y0..y0 + to(h)).flat_map(|row| &dots[row * width + x0..][..to(w)]);
        rows.filter(|black| **black).count() as f64 / (to(w) * to(h)) as f64
    };
    assert_eq!(ink(75.0, 20.0, 20.0, 20.0), 0.0, "right of it");
    assert!((ink(40.0, 20.0, 30.0, 20.0) - 0.5).abs() < 0.01);
    assert!((ink(54.0, 20.0, 2.0, 20.0) - 0.5).abs() < 0.02 && ink(45.0, 20.0, 2.0, 20.0) < 0.25);
    for patch in &sheet.patches {
        let b = patch.bounds.grown(-0.25);
        assert!((ink(b.min.x, b.min.y, b.width_mm(), b.height_mm()) - patch.tone()).abs() < 0.01, "{patch:?}");
    }
}

#[test]
fn strips_join_to_the_whole_and_fit_the_cutter() {
    let layer = layer();
    let tiling = Tiling { width: mm(50.0), overlap: mm(10.0), mark: mm(3.0) };
    let strips = tiles(&layer, &tiling).unwrap();
    assert_eq!(strips.len(), 3);
    let joined = Region::union_of(strips.iter().map(|strip| &strip.openings));
    let lost =
        layer.openings.subtract(&joined).area().to_square_mm() + joined.subtract(&layer.openings).area().to_square_mm();
    assert!(lost < 1e-3, "{lost}");
    for pair in strips.windows(2) {
        assert!((pair[0].weed_box.max.x - pair[1].weed_box.min.x - 10.0).abs() < 1e-9);
        let shared = pair[0].marks.iter().filter(|mark| pair[1].marks.contains(mark)).count();
        assert_eq!(shared, 2, "two marks lie in both");
    }
    for strip in &strips {
        assert!(strip.weed_box.width_mm() <= 50.0 + 1e-9);
        assert!(plotter::verified(strip, &cut(strip), Coordinates::Tenths).is_ok());
    }
    let narrow = Tiling { width: mm(15.0), ..tiling };
    assert!(matches!(tiles(&layer, &narrow), Err(TileError::Narrow { .. })));
    assert!(matches!(tiles(&layer, &Tiling { mark: mm(6.0), ..tiling }), Err(TileError::NoRoomForMarks { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn whatever_is_opened_survives_plotter_dxf_and_pdf(points in proptest::collection::vec((5.0..105.0, 5.0..95.0), 3..20)) {
        let ring = Ring(points.into_iter().map(|(x, y)| Point { x, y }).collect());
        let region = Region::from_rings(&[ring], FillRule::EvenOdd);
        prop_assume!(region.area().to_square_mm() > 10.0);
        let layer = layer_of(region);
        let plotted = plotter::verified(&layer, &cut(&layer), Coordinates::Tenths);
        prop_assert!(plotted.is_ok_and(|file| file.off_mm < 0.01));
        prop_assert!(dxf_out::verified(&layer).is_ok());
        let film = pdf::verified(&FilmSheet::of(&layer, Emulsion::TowardsResist));
        prop_assert!(film.is_ok(), "{film:?}");
    }

    #[test]
    fn text_that_is_no_plotter_file_is_refused_without_a_panic(text in "[INSPUDA0-9,;. é-]{0,60}") {
        let _ = plotter::replay(&text, Bounds::from_size(10.0, 10.0));
        let _ = dxf_out::read_back(&text.replace(';', "\n"), Bounds::from_size(10.0, 10.0));
    }
}
