//! Drawings rendered with resvg, as a scanner would see them, and traced back.

use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::photo::{PhotoError, PhotoOptions, Threshold, read_photo, trace_photo};
use artwork::region::{Region, Ring};
use artwork::svg::{ReadOptions, read_svg};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg;
use std::fmt::Write as _;

const DPI: f64 = 300.0;

/// Black on white, as a PNG with its resolution.
fn rendered(svg: &str, dpi: f64) -> Vec<u8> {
    let tree = tree(svg);
    let scale = (dpi / 96.0) as f32;
    let (width, height) = ((tree.size().width() * scale).ceil(), (tree.size().height() * scale).ceil());
    let mut pixmap = Pixmap::new(width as u32, height as u32).unwrap();
    pixmap.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    with_resolution(&pixmap.encode_png().unwrap(), dpi)
}

fn tree(svg: &str) -> usvg::Tree {
    let mut options = usvg::Options::default();
    for file in ["Cinzel-Regular", "Cinzel-SemiBold", "EBGaramond-Regular", "EBGaramond-SemiBold", "FiraSans-Regular"] {
        let path = format!("{}/../../assets/fonts/{file}.ttf", env!("CARGO_MANIFEST_DIR"));
        options.fontdb_mut().load_font_data(std::fs::read(path).unwrap());
    }
    usvg::Tree::from_str(svg, &options).unwrap()
}

/// A pHYs chunk after the header. (A wrong checksum of it would be an error; so it is worked out.)
fn with_resolution(png: &[u8], dpi: f64) -> Vec<u8> {
    let per_metre = ((dpi / 0.0254).round() as u32).to_be_bytes();
    let mut chunk = b"pHYs".to_vec();
    chunk.extend(per_metre.iter().chain(&per_metre).chain(&[1]));
    let checksum = !chunk.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { crc >> 1 ^ 0xedb8_8320 } else { crc >> 1 })
    });
    [&png[..33], &9_u32.to_be_bytes(), &chunk, &checksum.to_be_bytes(), &png[33..]].concat()
}

/// Lines and curves that the drawing's own paths are made of.
fn nodes(group: &usvg::Group) -> usize {
    let count = |path: &usvg::Path| path.data().segments().count() - 1;
    let each = |node: &usvg::Node| match node {
        usvg::Node::Group(group) => nodes(group),
        usvg::Node::Path(path) => count(path),
        usvg::Node::Text(text) => nodes(text.flattened()),
        usvg::Node::Image(_) => 0,
    };
    group.children().iter().map(each).sum()
}

fn drawn(svg: &str) -> Region {
    let drawing = read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap();
    Region::union_of(drawing.shapes.iter().map(|shape| &shape.region))
}

/// Points along all outlines, 0.3 mm apart at most.
fn along(region: &Region) -> Vec<Point> {
    let mut points = Vec::new();
    for (a, b) in region.rings().flat_map(Ring::edges) {
        let count = ((b.x - a.x).hypot(b.y - a.y) / 0.3).ceil() as usize;
        points.extend(
            (0..count)
                .map(|i| i as f64 / count as f64)
                .map(|share| Point { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }),
        );
    }
    points
}

/// Mean and greatest distance from points along one outline to the other outline.
fn apart(from: &Region, to: &Region) -> (f64, f64) {
    let edges: Vec<(Point, Point, Bounds)> =
        to.rings().flat_map(Ring::edges).map(|(a, b)| (a, b, Bounds::around([a, b]).unwrap().grown(1.0))).collect();
    let nearest = |p: Point| {
        let mut least = 1.0_f64;
        for (a, b, _) in edges.iter().filter(|(_, _, at)| at.touches(&Bounds { min: p, max: p })) {
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let t = (((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
            least = least.min((a.x + t * dx - p.x).hypot(a.y + t * dy - p.y));
        }
        least
    };
    let distances: Vec<f64> = along(from).into_iter().map(nearest).collect();
    let mean = distances.iter().sum::<f64>() / distances.len() as f64;
    (mean, distances.into_iter().fold(0.0, f64::max))
}

#[track_caller]
fn comes_back(name: &str, svg: &str) {
    let found =
        trace_photo(&rendered(svg, DPI), &PhotoOptions { straighten: false, ..PhotoOptions::default() }).unwrap();
    let (traced, original) = (&found.drawing.shapes[0].region, drawn(svg));
    let (there, back) = (apart(traced, &original), apart(&original, traced));
    let had = nodes(tree(svg).root());
    let area = traced.area().to_square_mm() / original.area().to_square_mm();
    println!(
        "{name}: mean {:.4} and {:.4} mm, worst {:.3} and {:.3} mm, {} nodes of {had}, area {area:.5}",
        there.0, back.0, there.1, back.1, found.outlines.nodes
    );
    assert!(there.0 < 0.05 && back.0 < 0.05, "the mean distance is above 0.05 mm");
    assert!(found.outlines.nodes <= 2 * had, "{} nodes, the drawing has {had}", found.outlines.nodes);
    assert!((area - 1.0).abs() < 0.01);
    assert!((found.dpi - DPI).abs() < 0.02 && !found.dpi_assumed);
}

fn page(content: &str) -> String {
    format!("<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='60mm' viewBox='0 0 80 60'>{content}</svg>")
}

#[test]
fn rings_stars_and_leaves_come_back() {
    let mut star = String::new();
    for i in 0..10 {
        let (r, a) = (if i % 2 == 0 { 12.0 } else { 5.0 }, f64::from(i) * std::f64::consts::PI / 5.0 - 0.3);
        write!(star, "{}{} {} ", if i == 0 { 'M' } else { 'L' }, 20.0 + r * a.cos(), 20.0 + r * a.sin()).unwrap();
    }
    let leaf = "M45 40 C50 25 65 25 75 45 C65 50 55 50 45 40 Z";
    comes_back(
        "rings, star, leaf",
        &page(&format!(
            "<path d='{star}Z'/><path d='{leaf}'/><path fill-rule='evenodd' d='M45 15a10 10 0 1 0 20 0a10 10 0 1 0 -20 0Z\
         M49 15a6 6 0 1 0 12 0a6 6 0 1 0 -12 0Z'/><rect x='6' y='42' width='25' height='11' transform='rotate(-9 18 47)'/>"
        )),
    );
}

#[test]
fn lettering_comes_back() {
    comes_back(
        "lettering",
        &page(
            "<text x='5' y='26' font-family='Cinzel' font-size='18'>Sabulo</text>\
        <text x='5' y='50' font-family='EB Garamond' font-size='14'>heron &amp; reed</text>",
        ),
    );
}

#[test]
fn the_example_drawings_come_back() {
    for (name, svg) in [
        ("heron", include_str!("../../../examples/heron/heron.svg")),
        ("crest", include_str!("../../../examples/crest/crest.svg")),
    ] {
        comes_back(name, &blackened(svg));
    }
}

/// Every colour made black.
fn blackened(svg: &str) -> String {
    let mut out = String::new();
    let mut rest = svg;
    while let Some(at) = rest.find('#') {
        let hex = rest[at + 1..].chars().take_while(char::is_ascii_hexdigit).count();
        out.push_str(&rest[..at]);
        out.push_str(if hex == 3 || hex == 6 { "#000000" } else { &rest[at..=at + hex] });
        rest = &rest[at + 1 + hex..];
    }
    out + rest
}

#[test]
fn a_scan_that_hangs_askew_with_specks_and_grey_paper_comes_back_upright() {
    let upright = page(
        "<rect x='10' y='10' width='60' height='4'/><rect x='10' y='20' width='45' height='4'/>\
        <rect x='10' y='30' width='52' height='4'/><rect x='10' y='40' width='60' height='4'/>",
    );
    let askew = upright.replace("<rect", "<rect transform='rotate(2.3 40 30)' fill='#333'").replace(
        "viewBox='0 0 80 60'>",
        "viewBox='0 0 80 60'><rect width='80' height='60' fill='#ddd'/>\
            <circle cx='72' cy='50' r='.08'/><circle cx='30' cy='22' r='.07' fill='#ddd'/>",
    );
    let found = trace_photo(&rendered(&askew, DPI), &PhotoOptions::default()).unwrap();
    assert!(found.skew.sure && (found.skew.degrees - 2.3).abs() < 0.1, "{:?}", found.skew);
    assert!(found.specks >= 1, "{}", found.specks);
    let region = &found.drawing.shapes[0].region;
    assert_eq!(region.polygons().len(), 4);
    let tall = region.polygons()[0].bounds().unwrap().height_mm();
    assert!((tall - 4.0).abs() < 0.25, "{tall} mm tall: a bar still askew by 0.1° over 60 mm is 4.1");
}

#[test]
fn every_format_gives_the_same_drawing_and_its_resolution() {
    let svg = page("<circle cx='40' cy='30' r='20'/>");
    let png = rendered(&svg, 150.0);
    let decoded = image::load_from_memory(&png).unwrap();
    let want = std::f64::consts::PI * 400.0;
    for format in
        [image::ImageFormat::Jpeg, image::ImageFormat::Tiff, image::ImageFormat::WebP, image::ImageFormat::Png]
    {
        let mut bytes = std::io::Cursor::new(Vec::new());
        image::DynamicImage::from(decoded.to_rgb8()).write_to(&mut bytes, format).unwrap();
        let found = trace_photo(bytes.get_ref(), &PhotoOptions { dpi: 150.0, ..PhotoOptions::default() }).unwrap();
        let area = found.drawing.shapes[0].region.area().to_square_mm();
        assert!((area / want - 1.0).abs() < 3e-3, "{format:?}: {area}");
    }
    let found = trace_photo(&png, &PhotoOptions::default()).unwrap();
    assert!(!found.dpi_assumed && (found.dpi - 150.0).abs() < 0.02);
}

#[test]
fn exif_says_which_way_is_up_and_how_fine() {
    // 40 x 20, its left half black, stored on its side: EXIF orientation 6 asks for a quarter turn clockwise.
    let stored = image::GrayImage::from_fn(40, 20, |x, _| image::Luma([if x < 20 { 0 } else { 255 }]));
    let mut jpeg = std::io::Cursor::new(Vec::new());
    stored.write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
    let entry = |tag: u16, kind: u16, value: u32| {
        [&tag.to_le_bytes()[..], &kind.to_le_bytes(), &1_u32.to_le_bytes(), &value.to_le_bytes()].concat()
    };
    let directory = [entry(0x0112, 3, 6), entry(0x011a, 5, 50), entry(0x0128, 3, 2)].concat();
    let exif =
        [b"Exif\0\0II*\0\x08\0\0\0\x03\0", &directory[..], &[0; 4], &240_u32.to_le_bytes(), &1_u32.to_le_bytes()]
            .concat();
    let length = (exif.len() as u16 + 2).to_be_bytes();
    // In place of the JFIF header, whose density would come first.
    let jpeg = jpeg.into_inner();
    let with_exif = [&jpeg[..2], &[0xff, 0xe1], &length, &exif, &jpeg[20..]].concat();
    let photo = read_photo(&with_exif, 300.0, &Default::default()).unwrap();
    assert_eq!((photo.tone.grid.width, photo.tone.grid.height), (20, 40));
    assert_eq!(photo.dpi, Some(240.0));
    assert!(
        photo.tone.at(Point { x: 1.0, y: 0.5 }).unwrap() < 0.1
            && photo.tone.at(Point { x: 1.0, y: 4.0 }).unwrap() > 0.9
    );
}

#[test]
fn a_grey_picture_stays_as_tone() {
    let ramp = image::GrayImage::from_fn(256, 4, |x, _| image::Luma([x as u8]));
    let mut png = std::io::Cursor::new(Vec::new());
    ramp.write_to(&mut png, image::ImageFormat::Png).unwrap();
    let photo = read_photo(png.get_ref(), 254.0, &Default::default()).unwrap();
    assert!((photo.tone.grid.cell - 0.1).abs() < 1e-12 && photo.dpi.is_none());
    assert!(photo.tone.row(2).iter().enumerate().all(|(x, tone)| (tone - x as f32 / 255.0).abs() < 1e-6));
}

#[test]
fn what_is_no_picture_or_blank_or_too_large_is_refused() {
    let trace = |bytes: &[u8]| trace_photo(bytes, &PhotoOptions::default()).unwrap_err();
    assert!(matches!(trace(b"<svg/>"), PhotoError::Undecoded { .. }));
    let white = rendered(&page("<rect width='80' height='60' fill='#fff'/>"), 50.0);
    assert!(matches!(trace(&white), PhotoError::Blank));
    let mut options = PhotoOptions::default();
    options.limits.pixels = 1000;
    assert!(matches!(trace_photo(&white, &options), Err(PhotoError::TooLarge { .. })));
    assert!(matches!(read_photo(&white, 0.0, &Default::default()), Err(PhotoError::NoResolution { .. })));
    // A header that promises 65 535 x 65 535.
    let mut huge = white.clone();
    huge[16..24].copy_from_slice(&[0, 0, 0xff, 0xff, 0, 0, 0xff, 0xff]);
    assert!(trace_photo(&huge, &PhotoOptions::default()).is_err());
    // Local thresholds find paper's own texture in a flat picture: it is still blank.
    let local = Threshold::Local { window: quantity::Length::mm(5.0).unwrap(), k: 0.3 };
    let options = PhotoOptions { threshold: local, ..PhotoOptions::default() };
    assert!(matches!(trace_photo(&white, &options), Err(PhotoError::Blank)));
}
