use super::*;
use crate::analysis::{Fault, FaultKind, Measure};
use quantity::Area;

const TEMPLATE: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='70mm' height='40mm' viewBox='0 0 70 40'>
    <rect x='2' y='2' width='66' height='1'/>
    <text id='name' x='35' y='20' text-anchor='middle' font-family='Cinzel' font-size='9'>A name</text>
    <g transform='translate(5 5)'><text transform='translate(0 1)' x='5' y='25' font-family='EB Garamond' font-size='5'>since {year}, <tspan>{town}</tspan></text></g>
</svg>";

fn limits() -> AnalysisLimits {
    let mm = |mm| Length::mm(mm).unwrap();
    AnalysisLimits {
        opening: mm(0.2),
        wall: mm(0.2),
        holding: Area::square_mm(0.1).unwrap(),
        neck: mm(0.3),
        corner_degrees: 0.0,
        margin: mm(1.0),
    }
}

fn options(width_mm: f64) -> BatchOptions {
    let fit = Fit { column: "name".to_owned(), width: Length::mm(width_mm).unwrap(), least_scale: 0.4 };
    BatchOptions { read: ReadOptions::default(), fits: vec![fit], limits: limits(), rows_max: 10_000 }
}

fn made(table: &str, width_mm: f64) -> Batch {
    batch(TEMPLATE.as_bytes(), table.as_bytes(), &options(width_mm)).unwrap_or_else(|fault| panic!("{fault}"))
}

fn width_of(piece: &Made, id: &str) -> f64 {
    width(&piece.drawing, id).unwrap()
}

#[test]
fn each_row_makes_a_piece_with_its_own_words() {
    let found = made("name,year,town,note\nAnn,1998,Merrow,x\nBo & Co <1>,2001,\"Reed, by the water\",\n", 60.0);
    assert_eq!((found.made.len(), found.bad.len()), (2, 0), "{:?}", found.bad);
    assert_eq!(found.unused, ["note"]);
    assert_eq!(found.made[1].line, 3);
    assert!(width_of(&found.made[1], "name") > 2.0 * width_of(&found.made[0], "name"));
    // The long text has no id of its own and is known by one made up.
    assert!(width_of(&found.made[1], "placeholder-1") > width_of(&found.made[0], "placeholder-1"));
    assert!(found.made.iter().all(|piece| piece.analysis.parts > 3 && piece.shrunk.is_empty()));
}

#[test]
fn text_is_fitted_to_its_width_about_its_anchor_and_never_widened() {
    let found = made("name,year,town\nAnn,1,a\nHeronsmere,1,a\n", 30.0);
    assert!(found.made[0].shrunk.is_empty());
    let long = &found.made[1];
    assert!((width_of(long, "name") - 30.0).abs() < 0.01, "{}", width_of(long, "name"));
    assert!(matches!(&long.shrunk[..], [(column, scale)] if column == "name" && (0.4..1.0).contains(scale)));
    let own = long.drawing.shapes.iter().filter(|shape| shape.id == "name");
    let bounds = own.filter_map(|shape| shape.region.bounds()).reduce(Bounds::with).unwrap();
    assert!((bounds.centre().x - 35.0).abs() < 0.5 && (bounds.max.y - 20.0).abs() < 0.5, "{bounds:?}");
}

#[test]
fn a_text_with_a_transform_of_its_own_is_fitted_too() {
    let mut options = options(60.0);
    options.fits[0] = Fit { column: "town".to_owned(), width: Length::mm(25.0).unwrap(), least_scale: 0.1 };
    let found = batch(TEMPLATE.as_bytes(), b"name,year,town\nAnn,1998,Merrow by the water\n", &options).unwrap();
    let bounds = found.made[0].drawing.shapes.iter().filter(|s| s.id == "placeholder-1");
    let bounds = bounds.filter_map(|s| s.region.bounds()).reduce(Bounds::with).unwrap();
    assert!((bounds.width_mm() - 25.0).abs() < 0.01);
    // Anchored at its start, x = 10, and on its baseline, y = 31.
    assert!((bounds.min.x - 10.0).abs() < 0.3 && (29.0..32.5).contains(&bounds.max.y), "{bounds:?}");
}

#[test]
fn bad_rows_are_told_and_the_rest_are_made() {
    let table = "name;year;town\nAnn;1998;Merrow\nBo;1998\n;1998;Merrow\nA name that goes on and on and on and on for ever;1;a\n\n永;1998;Merrow\nCy;1998;Merrow\n";
    let found = made(table, 40.0);
    assert_eq!(found.made.iter().map(|piece| piece.line).collect::<Vec<_>>(), [2, 8]);
    let words: Vec<String> = found.bad.iter().map(|row| format!("{}: {}", row.line, row.fault)).collect();
    for (found, want) in words.iter().zip([
        "3: the row has 2 cells",
        "4: column \"name\" is empty",
        "5: \"A name that",
        "7: no font here has '永'",
    ]) {
        assert!(found.starts_with(want), "{found}");
    }
    assert_eq!(words.len(), 4);
}

#[test]
fn each_piece_is_measured_where_its_text_is_and_the_template_once() {
    // A wall of 0.1 mm in the template, far from the texts; and a rule 0.1 mm under the name.
    let tight = TEMPLATE.replace("<rect x='2' y='2'", "<rect x='2' y='3.1' width='66' height='1'/><rect x='2' y='2'");
    let is_it = |fault: &Fault, least: f64| {
        let Measure::Length(width) = fault.value else { return false };
        fault.kind == FaultKind::ThinWall && (width.to_mm() - 0.1).abs() < 5e-3 && fault.length.to_mm() > least
    };
    let found = batch(tight.as_bytes(), b"name,year,town\nAnn,1,a\nBo,2,b\n", &options(60.0)).unwrap();
    assert!(found.template.unwrap().faults.iter().any(|fault| is_it(fault, 60.0)));
    assert!(found.made.iter().all(|piece| !piece.analysis.faults.iter().any(|fault| is_it(fault, 1.0))));
    let under = TEMPLATE.replace("<text id='name'", "<rect x='20' y='20.1' width='30' height='1'/><text id='name'");
    let found = batch(under.as_bytes(), b"name,year,town\nHEH,1,a\n", &options(60.0)).unwrap();
    assert!(found.made[0].analysis.faults.iter().any(|fault| is_it(fault, 0.5)), "{:?}", found.made[0].analysis.faults);
    assert!(!found.template.unwrap().faults.iter().any(|fault| is_it(fault, 0.5)));
}

#[test]
fn a_template_and_a_table_that_do_not_meet_are_refused() {
    let error = |template: &str, table: &str| {
        batch(template.as_bytes(), table.as_bytes(), &options(60.0)).unwrap_err().to_string()
    };
    assert!(error(TEMPLATE, "name,year\nAnn,1\n").contains("a place for {town}"));
    assert!(
        error("<svg xmlns='http://www.w3.org/2000/svg'><text>Hello</text></svg>", "name\nAnn\n")
            .contains("no text in the template")
    );
    assert!(error("<svg", "name\nAnn\n").contains("cannot be read"));
    assert!(error(TEMPLATE, "").contains("is empty"));
    assert!(error(TEMPLATE, "name,name\na,b\n").contains("column 2"));
    let lonely = TEMPLATE.replace("id='name'", "");
    assert!(error(&lonely, "year,town\n1,a\n").contains("column \"name\""));
}

#[test]
fn a_value_cannot_break_out_of_its_place() {
    let found = made("name,year,town\n</text><rect/>,1,{name}\n", 60.0);
    assert_eq!(found.made.len(), 1);
    let whole = made("name,year,town\nplain,1,a\n", 60.0);
    let rectangles = |batch: &Batch| batch.made[0].drawing.shapes.iter().filter(|shape| shape.id.is_empty()).count();
    assert_eq!(rectangles(&found), rectangles(&whole));
}

#[test]
fn pieces_read_apart_from_the_template_are_those_read_whole() {
    let crest = include_str!("../../../../examples/crest/crest.svg").replace(
        "</svg>",
        "<g id='under'><text id='name' x='35' y='82' text-anchor='middle' font-family='Cinzel' font-size='5'>name</text></g>\
        <rect x='1' y='1' width='4' height='4' fill='#a00'/></svg>",
    );
    // A style that speaks of clipping makes each row be read whole.
    let whole = crest.replace("<g id='under'>", "<style>.none { clip-path: none }</style><g id='under'>");
    let table = "name\nAnn\nHeronsmere and the long way home\nÉloïse\n";
    let made = |template: &str| batch(template.as_bytes(), table.as_bytes(), &options(60.0)).unwrap();
    let (apart, whole) = (made(&crest), made(&whole));
    assert_eq!((apart.made.len(), whole.made.len()), (3, 3));
    for (a, b) in apart.made.iter().zip(&whole.made) {
        assert_eq!(a.drawing, b.drawing);
        let numbers = |piece: &Made| {
            let found = &piece.analysis;
            [
                found.opened.to_square_mm(),
                found.covered.to_square_mm(),
                found.perimeter_mm,
                found.parts as f64,
                found.points as f64,
            ]
        };
        for (x, y) in numbers(a).into_iter().zip(numbers(b)) {
            assert!((x - y).abs() < 1e-6 * y, "{x} {y}");
        }
        assert_eq!((&a.analysis.faults, &a.shrunk), (&b.analysis.faults, &b.shrunk));
    }
}

#[test]
fn the_columns_of_a_drawing_are_its_braces_and_the_ids_of_its_other_texts() {
    let svg = br#"<svg xmlns="http://www.w3.org/2000/svg"><text id="a">{name} and { guest }</text><g><text id="table">7</text></g>
        <text>{name}</text><text>plain</text><rect id="frame"/></svg>"#;
    assert_eq!(columns_of(svg).unwrap(), ["name", "guest", "table"]);
    assert!(columns_of(b"\xff").is_err() && columns_of(b"<svg").is_err());
}
