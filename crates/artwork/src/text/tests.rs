use super::*;
use crate::svg::Fonts;
use proptest::prelude::*;

fn style(family: &str) -> TextStyle {
    TextStyle { family: family.to_owned(), weight: 400, size: Length::mm(10.0).unwrap(), tracking: 0.0 }
}

fn set(text: &str, family: &str) -> Lettering {
    line(&Fonts::bundled(), text, &style(family)).unwrap()
}

#[test]
fn a_figure_is_as_wide_as_the_fonts_own_table_says() {
    // hmtx of the bundled files: 560 units of 1000 in Fira Sans, 480 in EB Garamond (assets/fonts/README.md).
    assert!((set("1234", "Fira Sans").advance_mm - 4.0 * 5.6).abs() < 1e-6);
    assert!((set("1234", "EB Garamond").advance_mm - 4.0 * 4.8).abs() < 1e-6);
}

#[test]
fn kerning_draws_letters_together_and_tracking_apart() {
    let apart = set("A", "Cinzel").advance_mm + set("V", "Cinzel").advance_mm;
    assert!(set("AV", "Cinzel").advance_mm < apart - 0.1);
    let spaced = TextStyle { tracking: 0.2, ..style("Cinzel") };
    let wide = line(&Fonts::bundled(), "AV", &spaced).unwrap().advance_mm;
    assert!((wide - set("AV", "Cinzel").advance_mm - 4.0).abs() < 1e-9);
}

#[test]
fn f_and_i_are_one_glyph_unless_tracked() {
    assert_eq!(set("fi", "EB Garamond").glyphs, 1);
    let spaced = TextStyle { tracking: 0.1, ..style("EB Garamond") };
    assert_eq!(line(&Fonts::bundled(), "fi", &spaced).unwrap().glyphs, 2);
}

#[test]
fn an_accent_set_by_itself_lands_on_its_letter() {
    let (one, two) = (set("é", "EB Garamond"), set("e\u{301}", "EB Garamond"));
    let (a, b) = (one.bounds().unwrap(), two.bounds().unwrap());
    assert!((a.min.y - b.min.y).abs() < 0.3 && (a.max.x - b.max.x).abs() < 0.3, "{a:?} {b:?}");
}

#[test]
fn text_that_reads_from_the_right_is_set_from_the_right() {
    // No bundled font has a script that runs to the left; an override makes letters do so.
    let (forth, back) = (set("LIV", "Cinzel"), set("\u{202e}VIL\u{202c}", "Cinzel"));
    assert_eq!((forth.glyphs, back.glyphs), (3, 3));
    let close = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let boxes: Vec<_> = [&forth, &back].iter().map(|l| l.bounds().unwrap()).collect();
    assert!(close(boxes[0].min.x, boxes[1].min.x) && close(boxes[0].max.x, boxes[1].max.x), "{boxes:?}");
    // Mixed: the override's part stands between, turned about.
    let mixed = set("ab \u{202e}dc\u{202c} ef", "Fira Sans");
    let plain = set("ab cd ef", "Fira Sans");
    assert!(close(mixed.advance_mm, plain.advance_mm));
    let area = |l: &Lettering| l.region(Affine::IDENTITY, 0.001).area().to_square_mm();
    assert!((area(&mixed) - area(&plain)).abs() < 1e-3);
}

#[test]
fn a_family_or_a_character_that_is_not_there_is_replaced_with_a_note() {
    let found = set("Ab", "Nowhere");
    assert!(matches!(&found.notes[..], [TextNote::FamilyReplaced { asked, .. }] if asked == "Nowhere"));
    // Cinzel has no Greek.
    let found = set("Aλ", "Cinzel");
    assert!(matches!(&found.notes[..], [TextNote::CharacterReplaced { character: 'λ', .. }]), "{:?}", found.notes);
    assert_eq!(found.glyphs, 2);
    let found = set("A永", "Cinzel");
    assert_eq!(found.notes, [TextNote::CharacterLeftOut { character: '永' }]);
    assert_eq!(line(&Fonts::from_files([]), "A", &style("Cinzel")).unwrap_err(), TextError::NoFont);
}

#[test]
fn on_an_arc_letters_stand_on_the_circle_and_keep_their_area() {
    let arc = |side| {
        let middle_degrees = if side == ArcSide::Outside { 0.0 } else { 180.0 };
        Arc { centre: Point { x: 50.0, y: 50.0 }, radius: Length::mm(40.0).unwrap(), middle_degrees, side }
    };
    let straight = set("HHHHH", "Fira Sans").region(Affine::IDENTITY, 0.001).area().to_square_mm();
    for (side, inner, outer) in [(ArcSide::Outside, 39.9, 47.5), (ArcSide::Inside, 32.5, 40.2)] {
        let found = on_arc(&Fonts::bundled(), "HHHHH", &style("Fira Sans"), &arc(side)).unwrap();
        let region = found.region(Affine::IDENTITY, 0.001);
        assert!((region.area().to_square_mm() - straight).abs() < 1e-2);
        let away = region.rings().flat_map(|ring| &ring.0).map(|p| (p.x - 50.0).hypot(p.y - 50.0));
        let (least, most) = away.fold((f64::INFINITY, 0.0_f64), |(a, b), r| (a.min(r), b.max(r)));
        assert!(least > inner && most < outer, "{side:?}: {least} to {most}");
        // Outside along the top; inside, heads inwards, along the bottom.
        let middle = region.bounds().unwrap().centre();
        assert!((middle.x - 50.0).abs() < 0.3, "{middle:?}");
        assert_eq!(middle.y < 50.0, side == ArcSide::Outside, "{middle:?}");
    }
    let long = "H".repeat(60);
    let error = on_arc(&Fonts::bundled(), &long, &style("Fira Sans"), &arc(ArcSide::Outside)).unwrap_err();
    assert!(matches!(error, TextError::RoundAndRound { .. }));
}

#[test]
fn a_block_breaks_between_words_and_aligns() {
    let set = |align| {
        let made = Block { width: Length::mm(60.0).unwrap(), leading: 1.2, align };
        block(&Fonts::bundled(), "the heron stands in the reeds\nand waits", &style("EB Garamond"), &made).unwrap()
    };
    let (left, right, full) = (set(Align::Left), set(Align::Right), set(Align::Justified));
    assert_eq!(left.lines, 4);
    let bounds = |l: &Lettering| l.bounds().unwrap();
    assert!(bounds(&left).min.x.abs() < 0.5 && (bounds(&right).max.x - 60.0).abs() < 0.5);
    assert!(bounds(&full).min.x.abs() < 0.5 && (bounds(&full).max.x - 60.0).abs() < 0.5);
    assert!(bounds(&left).max.y > 3.0 * 12.0 && bounds(&left).max.y < 10.0 + 3.0 * 12.0 + 3.0);
    let narrow = Block { width: Length::mm(5.0).unwrap(), leading: 1.2, align: Align::Left };
    let found = block(&Fonts::bundled(), "heron", &style("EB Garamond"), &narrow).unwrap();
    assert!(matches!(&found.notes[..], [TextNote::WordTooWide { .. }]));
}

#[test]
fn fitted_text_is_as_wide_as_it_may_be_and_never_larger() {
    let (small, scale) = set("Heronsmere", "Cinzel").fitted(Length::mm(20.0).unwrap());
    assert!((small.bounds().unwrap().width_mm() - 20.0).abs() < 1e-6 && scale < 1.0);
    let (same, scale) = set("Ann", "Cinzel").fitted(Length::mm(100.0).unwrap());
    assert!(scale == 1.0 && same == set("Ann", "Cinzel"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn no_text_panics(text in "\\PC{0,24}") {
        let found = set(&text, "Cinzel");
        prop_assert!(found.advance_mm.is_finite() && found.path.is_finite());
    }
}
