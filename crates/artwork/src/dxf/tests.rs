use super::*;
use crate::note::Remark;
use proptest::prelude::*;

/// A file of these entities, in millimetres.
fn file(entities: &str) -> String {
    format!("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n{}0\nEOF\n", section("ENTITIES", entities))
}

fn section(name: &str, body: &str) -> String {
    format!("0\nSECTION\n2\n{name}\n{body}0\nENDSEC\n")
}

fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> String {
    format!("0\nLINE\n8\ncut\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n")
}

fn read(text: &str) -> Result<DxfDrawing, DxfError> {
    read_dxf(text.as_bytes(), &DxfOptions::default())
}

/// A 40 x 30 rectangle of loose lines whose last corner is `gap` short.
fn rectangle(gap: f64) -> String {
    [line(0.0, 0.0, 40.0, 0.0), line(40.0, 30.0, 40.0, 0.0), line(40.0, 30.0, 0.0, 30.0), line(0.0, 30.0, 0.0, gap)]
        .concat()
}

#[track_caller]
fn area(found: &DxfDrawing, want: f64) {
    let mm2: f64 = found.drawing.shapes.iter().map(|shape| shape.region.area().to_square_mm()).sum();
    assert!((mm2 - want).abs() < 4e-3 * want, "{mm2} is not {want}");
}

#[test]
fn loose_lines_in_any_direction_are_one_outline() {
    let found = read(&file(&rectangle(0.0))).unwrap();
    area(&found, 1200.0);
    assert!(found.repairs.is_empty(), "{:?}", found.repairs);
    assert_eq!((found.drawing.width_mm, found.drawing.height_mm), (40.0, 30.0));
    assert_eq!(found.drawing.shapes[0].id, "cut");
}

#[test]
fn a_small_gap_is_closed_and_told_and_a_wide_one_is_not_closed() {
    let found = read(&file(&rectangle(0.03))).unwrap();
    area(&found, 1200.0);
    assert_eq!(found.repairs.len(), 1);
    let repair = found.repairs[0];
    assert!(repair.kind == RepairKind::GapClosed && (repair.gap.to_mm() - 0.03).abs() < 1e-9);
    // y runs down: the corner at (0, 0) is the page's bottom left.
    assert!((repair.at.x, repair.at.y) == (0.0, 30.0 - 0.015), "{:?}", repair.at);
    let error = read(&file(&rectangle(0.5))).unwrap_err();
    assert_eq!(error, DxfError::NoOutlines { open: 1, join_mm: 0.05 });
}

#[test]
fn a_line_drawn_twice_counts_once() {
    let twice = rectangle(0.0) + &line(40.0, 0.0, 0.0, 0.0) + &line(0.0, 0.0, 40.0, 0.0);
    let found = read(&file(&twice)).unwrap();
    area(&found, 1200.0);
    assert_eq!(found.repairs.iter().filter(|repair| repair.kind == RepairKind::DoubleRemoved).count(), 2);
}

#[test]
fn crossing_diagonals_are_no_doubles() {
    let cross = line(0.0, 0.0, 10.0, 10.0) + &line(0.0, 10.0, 10.0, 0.0);
    let found = read(&file(&(rectangle(0.0) + &cross))).unwrap();
    assert!(found.repairs.iter().all(|repair| repair.kind == RepairKind::StaysOpen), "{:?}", found.repairs);
}

#[test]
fn an_outline_inside_another_is_a_hole_and_a_hatch_fills() {
    let circle = |r: f64, layer: &str| format!("0\nCIRCLE\n8\n{layer}\n10\n50\n20\n50\n40\n{r}\n");
    let found = read(&file(&(circle(10.0, "ring") + &circle(6.0, "ring") + &circle(2.0, "dot")))).unwrap();
    assert_eq!(found.drawing.shapes.len(), 2);
    area(&found, std::f64::consts::PI * (100.0 - 36.0 + 4.0));
    let hatch = "0\nHATCH\n8\nring\n10\n0\n20\n0\n30\n0\n210\n0\n220\n0\n230\n1\n2\nSOLID\n70\n1\n71\n0\n91\n1\n92\n2\n\
                 72\n0\n73\n1\n93\n4\n10\n45\n20\n45\n10\n55\n20\n45\n10\n55\n20\n55\n10\n45\n20\n55\n97\n0\n75\n0\n76\n1\n98\n0\n";
    let found = read(&file(&(circle(10.0, "ring") + hatch))).unwrap();
    area(&found, std::f64::consts::PI * 100.0);
}

#[test]
fn blocks_are_drawn_scaled_turned_and_in_rows() {
    let block = "0\nBLOCK\n2\nTILE\n10\n1\n20\n1\n0\nCIRCLE\n8\n0\n10\n2\n20\n2\n40\n1\n0\nENDBLK\n";
    let outer = "0\nBLOCK\n2\nPAIR\n10\n0\n20\n0\n0\nINSERT\n8\n0\n2\nTILE\n10\n0\n20\n0\n41\n2\n42\n2\n0\nENDBLK\n";
    let insert = "0\nINSERT\n8\nrow\n2\nPAIR\n10\n5\n20\n5\n50\n90\n70\n3\n71\n2\n44\n10\n45\n20\n";
    let blocks = section("BLOCKS", &(block.to_owned() + outer));
    let text = file(insert).replacen("0\nSECTION\n2\nENTITIES", &format!("{blocks}0\nSECTION\n2\nENTITIES"), 1);
    let found = read(&text).unwrap();
    // Six circles of radius 2; turned a quarter, the columns run up and the rows to the left.
    area(&found, 6.0 * std::f64::consts::PI * 4.0);
    assert_eq!(found.drawing.shapes[0].id, "row");
    assert!((found.drawing.width_mm - 24.0).abs() < 1e-3 && (found.drawing.height_mm - 24.0).abs() < 1e-3);
}

#[test]
fn a_block_in_itself_and_rows_without_end_are_refused() {
    let circle = "0\nBLOCK\n2\nA\n10\n0\n20\n0\n0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n0\nENDBLK\n";
    let text = section("BLOCKS", circle) + &section("ENTITIES", "0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n") + "0\nEOF\n";
    assert!(matches!(read(&text), Err(DxfError::Circle { .. })));
    let mut blocks = "0\nBLOCK\n2\nB0\n10\n0\n20\n0\n0\nENDBLK\n".to_owned();
    for level in 1..10 {
        let below = level - 1;
        blocks += &format!(
            "0\nBLOCK\n2\nB{level}\n10\n0\n20\n0\n0\nINSERT\n8\n0\n2\nB{below}\n10\n0\n20\n0\n70\n60000\n71\n60000\n0\nENDBLK\n"
        );
    }
    let text = section("BLOCKS", &blocks) + &section("ENTITIES", "0\nINSERT\n8\n0\n2\nB9\n10\n0\n20\n0\n") + "0\nEOF\n";
    assert!(matches!(read(&text), Err(DxfError::TooMany { .. })));
}

#[test]
fn a_file_without_a_unit_is_noted_and_inches_are_inches() {
    let bare = section("ENTITIES", &rectangle(0.0)) + "0\nEOF\n";
    let notes = read(&bare).unwrap().drawing.notes;
    assert!(matches!(&notes[0].remark, Remark::Dxf(DxfNote::UnitAssumed { .. })), "{notes:?}");
    let inches = file(&rectangle(0.0)).replace("$INSUNITS\n70\n4", "$INSUNITS\n70\n1");
    assert!((read(&inches).unwrap().drawing.width_mm - 40.0 * 25.4).abs() < 1e-6);
}

#[test]
fn what_is_no_dxf_is_refused_with_its_line() {
    assert_eq!(read("").unwrap_err(), DxfError::NotText);
    assert_eq!(read_dxf(b"Binary\0DXF", &DxfOptions::default()).unwrap_err(), DxfError::NotText);
    assert!(matches!(read("<svg/>\n<g/>\n"), Err(DxfError::NoGroupCode { line: 1, .. })));
    let bad = file("0\nCIRCLE\n8\na\n10\n1\n20\nup\n40\n1\n");
    let error = read(&bad).unwrap_err().to_string();
    assert!(error.contains("\"up\" is no number for group 20") && error.contains("line"), "{error}");
    let bad = file("0\nCIRCLE\n8\na\n10\n1\n20\n1\n");
    assert!(matches!(read(&bad), Err(DxfError::Missing { code: 40, .. })));
}

#[test]
fn a_region_written_is_read_back_as_it_was() {
    let plate = Region::rectangle(Bounds::from_size(50.0, 40.0));
    let hole = Region::from_path(
        &kurbo::Shape::to_path(&kurbo::Circle::new((20.0, 15.0), 8.0), 1e-6),
        Affine::IDENTITY,
        FillRule::NonZero,
        0.005,
    );
    let region = plate.subtract(&hole);
    let layers = [
        DxfLayer { name: "1.5 mm: leaf*", colour: 1, region: &region },
        DxfLayer { name: "herz, größer", colour: 5, region: &hole },
    ];
    let text = write_dxf(&layers, 40.0);
    let back = read(&text).unwrap();
    assert!(back.repairs.is_empty());
    assert_eq!(back.drawing.shapes.len(), 2);
    assert_eq!(back.drawing.shapes[0].id, "1.5_mm__leaf_");
    assert_eq!(back.drawing.shapes[1].id, "herz__größer");
    assert_eq!(back.drawing.shapes[0].paint, crate::drawing::Rgb { r: 255, g: 0, b: 0 });
    assert!((back.drawing.shapes[0].region.area().to_square_mm() - region.area().to_square_mm()).abs() < 1e-4);
    assert!(back.drawing.shapes[0].region.contains(Point { x: 1.0, y: 1.0 }));
    assert!(!back.drawing.shapes[0].region.contains(Point { x: 20.0, y: 15.0 }));
}

proptest! {
    #[test]
    fn the_order_and_direction_of_loose_lines_do_not_matter(
        corners in 3..40_usize, seed in any::<u64>(), turn in any::<u64>()
    ) {
        let at = |i: usize| {
            let angle = (i % corners) as f64 / corners as f64 * std::f64::consts::TAU;
            (50.0 + 30.0 * angle.cos(), 50.0 + 30.0 * angle.sin())
        };
        let mut lines: Vec<String> = (0..corners)
            .map(|i| {
                let (a, b) = (at(i), at(i + 1));
                if turn >> (i % 64) & 1 == 0 { line(a.0, a.1, b.0, b.1) } else { line(b.0, b.1, a.0, a.1) }
            })
            .collect();
        let mut state = seed | 1;
        for i in (1..lines.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            lines.swap(i, (state >> 33) as usize % (i + 1));
        }
        let found = read(&file(&lines.concat())).unwrap();
        let want = 0.5 * corners as f64 * 900.0 * (std::f64::consts::TAU / corners as f64).sin();
        let mm2 = found.drawing.shapes[0].region.area().to_square_mm();
        prop_assert!((mm2 - want).abs() < 1e-2, "{} {}", mm2, want);
        prop_assert!(found.repairs.is_empty());
    }
}
