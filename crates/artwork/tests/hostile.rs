//! Files made to break a reader: each gets a clear error, at once, and names its place and the mend.

use artwork::svg::{ReadError, ReadOptions, read_svg};
use std::fmt::Write as _;

fn refused(svg: &[u8]) -> ReadError {
    match read_svg(svg, &ReadOptions::default()) {
        Err(error) => error,
        Ok(drawing) => panic!("read {} shapes", drawing.shapes.len()),
    }
}

/// The error's kind and its words.
#[track_caller]
fn check(svg: impl AsRef<[u8]>, kind: fn(&ReadError) -> bool, words: &[&str]) {
    let error = refused(svg.as_ref());
    let text = error.to_string();
    assert!(kind(&error), "{error:?}");
    for word in words {
        assert!(text.contains(word), "\"{text}\" does not say \"{word}\"");
    }
}

fn page(content: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='80mm' viewBox='0 0 100 80'>\n{content}</svg>"
    )
}

#[test]
fn malformed_xml_is_told_with_line_and_column() {
    check("<svg>\n  <rect width='5'\n</svg>", |e| matches!(e, ReadError::Xml { .. }), &["line 3", "save the drawing"]);
    check("<svg><g></svg>", |e| matches!(e, ReadError::Xml { .. }), &["line 1", "column"]);
    check("", |e| matches!(e, ReadError::Xml { .. }), &["line 1"]);
    check([0xff, 0xfe, b'<'], |e| matches!(e, ReadError::NotText { byte: 0 }), &["UTF-8"]);
    check([0x1f, 0x8b, 8, 0], |e| matches!(e, ReadError::Compressed), &["plain SVG"]);
    check("<html><body/></html>", |e| matches!(e, ReadError::NotSvg { .. }), &["<html>"]);
}

#[test]
fn a_drawing_of_nothing_says_why() {
    check(page(""), |e| matches!(e, ReadError::NoShapes { .. }), &["no filled or stroked shape"]);
    let photo = page("<image id='photo' width='5' height='5' href='photo.png'/>");
    check(photo, |e| matches!(e, ReadError::NoShapes { .. }), &["photo", "image left out"]);
    check(page("<path d='M0 0H10' fill='red'/>"), |e| matches!(e, ReadError::NoShapes { .. }), &[]);
}

#[test]
fn a_billion_nested_copies_are_counted_not_made() {
    // Nine levels of ten copies each.
    let mut content = "<g id='l0'><rect width='1' height='1'/></g>\n".to_owned();
    for level in 1..=9 {
        let copies = format!("<use href='#l{}'/>", level - 1).repeat(10);
        writeln!(content, "<g id='l{level}'>{copies}</g>").unwrap();
    }
    check(page(&content), |e| matches!(e, ReadError::TooManyInstances { .. }), &["line 7", "limit is 200000"]);
}

#[test]
fn markers_and_patterns_that_multiply_are_counted_too() {
    let marker =
        |id: &str, inner: &str| format!("<marker id='{id}'><path d='{}' {inner}/></marker>\n", "M0 0L1 1".repeat(100));
    let chain = [marker("m1", ""), marker("m2", "marker-mid='url(#m1)'"), marker("m3", "style='marker-mid:url(#m2)'")];
    let content =
        format!("{}<style>.arrow{{marker-mid:url(#m3)}}</style><path class='arrow' d='M0 0L5 5L9 9'/>", chain.concat());
    check(page(&content), |e| matches!(e, ReadError::TooManyInstances { .. }), &["line 4"]);
    // A marker given to a group is inherited by every path in it.
    let path = format!("<path d='{}'/>", "M0 0L1 1".repeat(200));
    let content = format!("{}<g marker-mid='url(#m1)'>{}</g>", marker("m1", ""), path.repeat(400));
    check(page(&content), |e| matches!(e, ReadError::TooManyInstances { .. }), &["line 3"]);
}

#[test]
fn an_element_that_is_part_of_itself_is_named() {
    let inside = "<g id='a'><use href='#a'/></g>";
    check(page(inside), |e| matches!(e, ReadError::Circle { .. }), &["line 2", "id=\"a\"", "break the circle"]);
    let two = "<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>";
    check(page(two), |e| matches!(e, ReadError::Circle { .. }), &["id=\"a\""]);
    check(page("<use id='me' href='#me'/>"), |e| matches!(e, ReadError::Circle { .. }), &["me"]);
}

#[test]
fn entities_that_swell_or_circle_are_refused() {
    let mut entities = "<!ENTITY e0 '0123456789'>".to_owned();
    for level in 1..9 {
        write!(entities, "<!ENTITY e{level} '{}'>", format!("&e{};", level - 1).repeat(10)).unwrap();
    }
    let laughs = format!("<!DOCTYPE svg [{entities}]>\n{}", page("<text>&e8;</text>"));
    check(laughs, |e| matches!(e, ReadError::Entity { .. }), &["entity", "line 1"]);
    // One long entity, many references: quadratic instead of exponential.
    let long = "x".repeat(100_000);
    let many = format!("<!DOCTYPE svg [<!ENTITY long '{long}'>]>\n{}", page(&"<text>&long;</text>".repeat(1000)));
    check(many, |e| matches!(e, ReadError::Entity { .. }), &["\"long\""]);
    let circle = format!("<!DOCTYPE svg [<!ENTITY a '&b;'><!ENTITY b '&a;'>]>\n{}", page("<text>&a;</text>"));
    check(circle, |e| matches!(e, ReadError::Entity { .. }), &["for itself"]);
}

#[test]
fn namespaces_kept_in_entities_are_fine() {
    let svg = "<!DOCTYPE svg [<!ENTITY ns_svg 'http://www.w3.org/2000/svg'>]>
        <svg xmlns='&ns_svg;' width='10mm' height='10mm'><rect width='5mm' height='5mm'/></svg>";
    assert_eq!(read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap().shapes.len(), 1);
}

#[test]
fn a_page_beyond_reason_is_refused_with_what_was_written() {
    let sized =
        |size: &str| format!("<svg xmlns='http://www.w3.org/2000/svg' {size}><rect width='9' height='9'/></svg>");
    let size = |e: &ReadError| matches!(e, ReadError::Size { .. });
    check(sized("viewBox='0 0 4294967296 4294967296'"), size, &["4294967296", "beyond any drawing", "line 1"]);
    check(sized("viewBox='0 0 NaN 10'"), size, &["NaN"]);
    check(sized("viewBox='0 0 inf 10'"), size, &["inf"]);
    check(sized("viewBox='0 0 0 10'"), size, &["no page"]);
    check(sized("viewBox='0 0 -5 10'"), size, &["no page"]);
    check(sized("viewBox='0 0 10'"), size, &["not made of numbers"]);
    check(sized("width='0' height='10'"), size, &["width=\"0\""]);
    check(sized("width='1e99' height='10'"), size, &["1e99"]);
    check(sized("width='wide' height='10'"), size, &["wide"]);
    check(sized("width='900000mm' height='10mm'"), |e| matches!(e, ReadError::Page { .. }), &["900000"]);
}

#[test]
fn deep_nesting_is_refused_even_on_a_small_stack() {
    let deep =
        |levels: usize| page(&format!("{}<rect width='1' height='1'/>{}", "<g>".repeat(levels), "</g>".repeat(levels)));
    check(deep(100_000), |e| matches!(e, ReadError::TooDeep { .. }), &["more than 100", "ungroup"]);
    // A chain of copies is as deep as groups.
    let mut chain = "<g id='c0'><rect width='1' height='1'/></g>".to_owned();
    for level in 1..200 {
        write!(chain, "<g id='c{level}'><use href='#c{}'/></g>", level - 1).unwrap();
    }
    check(page(&chain), |e| matches!(e, ReadError::TooDeep { .. }), &["more than 100"]);
    // As deep as allowed, on the stack that a worker thread has.
    let svg = deep(98);
    let worker = std::thread::Builder::new().stack_size(2 << 20);
    let shapes = worker.spawn(move || read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap().shapes.len());
    assert_eq!(shapes.unwrap().join().unwrap(), 1);
}

#[test]
fn too_much_of_anything_is_refused_by_its_limit() {
    let mut options = ReadOptions::default();
    options.limits.bytes = 1000;
    let long = page(&"<rect width='1' height='1'/>".repeat(100));
    let error = read_svg(long.as_bytes(), &options).unwrap_err();
    assert!(matches!(error, ReadError::TooLong { limit: 1000, .. }), "{error}");

    let dashed = page("<path id='fuzz' d='M0 0H90' fill='none' stroke='red' stroke-dasharray='0.0001'/>");
    check(dashed, |e| matches!(e, ReadError::TooManyDashes { .. }), &["\"fuzz\"", "dashes"]);

    let far = page("<rect id='gone' x='1e9' width='5' height='5'/>");
    check(far, |e| matches!(e, ReadError::FarAway { .. }), &["\"gone\"", "from the page's corner"]);

    let rules = ".a{fill:red}".repeat(60_000);
    let styled = page(&format!("<style>{rules}</style>{}", "<rect width='1' height='1'/>".repeat(1000)));
    check(styled, |e| matches!(e, ReadError::TooManyStyles { .. }), &["style rules"]);
}

#[test]
fn outlines_that_cross_everywhere_are_refused_before_they_are_cleaned() {
    // 20 000 chords across a circle, each crossing most others: about 10⁸ crossings.
    let mut d = String::new();
    for i in 0..20_000 {
        let (sin, cos) = (f64::from(i) * 2.399_963).sin_cos();
        write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, 50.0 + 30.0 * cos, 40.0 + 30.0 * sin).unwrap();
    }
    let tangle = page(&format!("<path id='tangle' d='{d}'/>"));
    check(tangle, |e| matches!(e, ReadError::TooManyCrossings { .. }), &["\"tangle\"", "simplify"]);
}

#[test]
fn enormous_curves_are_stopped_by_the_count_of_their_points() {
    let curve = "C-9000 9000 9000 9000 0 0".repeat(20_000);
    let svg = page(&format!("<path id='vast' d='M0 0{curve}'/>"));
    check(svg, |e| matches!(e, ReadError::TooManyVertices { .. }), &["\"vast\"", "points"]);
}
