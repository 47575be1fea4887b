//! What the shorter documents share: margins, type, pages that fill one after the other, the footer.

use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::marks::tick_box;
use crate::sheet::Sheet;
use crate::stack::{Align, paragraph, stack, text};
use crate::table::{Cell, Column, Spacing, table};
use crate::words::Words;
use crate::wrap::natural_width;
use language::say;

/// Margin at the left and right.
const SIDE: f64 = 17.0;
/// Margin at the top.
const TOP: f64 = 13.0;
/// From the lower edge of what flows to the edge of the sheet.
const BOTTOM: f64 = 15.5;
/// Between sections.
pub(crate) const GAP: f64 = 6.0;
/// Of a page's height, the highest list that is not parted.
const SHORT: f64 = 0.3;

pub(crate) const BODY: Style = Style::regular(9.5);
pub(crate) const SMALL: Style = Style::regular(7.5).dim();

/// Of a table with heads.
pub(crate) const TABLE: Spacing = Spacing { gutter: 3.6, padding: 1.1, head: SMALL };

/// Width and height of what flows.
pub(crate) fn area(sheet: Sheet) -> (f64, f64) {
    let (width, height) = sheet.size_mm();
    (width - 2.0 * SIDE, height - TOP - BOTTOM)
}

/// The document's name: what it is, small, over whose it is, large; on the right the shop and the day.
pub(crate) fn title(what: &str, name: &str, right: &[String], width: f64) -> Frame {
    let share = 0.68;
    let small =
        text(&Words::plainly(what, Style::regular(9.5).dim()), width * share, Align::Left).role(Role::Paragraph);
    let large = text(&fitted(name, width * share, &[19.0, 16.0, 13.0, 11.0]), width * share, Align::Left);
    let left = stack([large.role(Role::Heading(1)), small], 0.6);
    let lines = right.iter().map(|line| {
        text(&Words::plainly(line, Style::regular(9.5).dim()), width * (1.0 - share), Align::Right)
            .role(Role::Paragraph)
    });
    let right = stack(lines, 0.3);
    Frame::new(width, left.height.max(right.height)).with(left).with(right.at(width * share, 0.0))
}

/// Words in the largest type of these that takes two lines at most; in the last when none does.
pub(crate) fn fitted(name: &str, measure: f64, sizes_pt: &[f64]) -> Words {
    let set = |size: f64| Words::plainly(name, Style::regular(size).semi_bold());
    let fits = |words: &Words| crate::wrap::wrap(words, measure).len() <= 2;
    let last = sizes_pt.last().copied().unwrap_or(BODY.size_pt);
    sizes_pt.iter().map(|&size| set(size)).find(fits).unwrap_or_else(|| set(last))
}

/// A section's heading over what it is for.
pub(crate) fn section(title: &str, content: Frame) -> Frame {
    let heading = text(&Words::plainly(title, Style::regular(10.5).semi_bold()), content.width.max(40.0), Align::Left);
    let below = content.at(0.0, heading.height + 1.4);
    Frame {
        width: below.width,
        height: below.bottom(),
        role: Role::Section,
        items: vec![Item::Frame(heading.role(Role::Heading(2))), Item::Frame(below)],
        ..Frame::default()
    }
}

/// Paragraphs under each other.
pub(crate) fn paragraphs(texts: impl IntoIterator<Item = String>, style: Style, width: f64) -> Frame {
    stack(texts.into_iter().map(|text| paragraph(&Words::new(&text, style), width)), 1.2)
}

/// A table of two columns without heads: what, and how much at the right.
pub(crate) fn pairs(shows: &str, rows: &[(String, String)], width: f64) -> Frame {
    let widest = rows.iter().map(|(_, much)| natural_width(&Words::new(much, BODY))).fold(0.0, f64::max);
    let right = (widest + 0.01).min(0.62 * width);
    let columns = [Column::new("", width - right - TABLE.gutter, Align::Left), Column::new("", right, Align::Right)];
    let cells = |(what, much): &(String, String)| {
        vec![Cell::Words(Words::new(what, BODY)), Cell::Words(Words::new(much, BODY))]
    };
    table(shows, &columns, rows.iter().map(cells).collect(), Spacing { padding: 0.7, ..TABLE })
}

/// Things to tick with a pencil.
pub(crate) fn ticks(texts: impl IntoIterator<Item = String>, style: Style, width: f64) -> Frame {
    let entry = |task: String| {
        let tick = tick_box(style.size_pt);
        let left = tick.width + 2.6;
        let words = text(&Words::new(&task, style), width - left, Align::Left);
        let drop = (tick.height - crate::stack::line_height(style.size_pt)) / 2.0;
        Frame::new(width, tick.height.max(words.height + drop))
            .role(Role::ListItem)
            .with(tick.role(Role::Label))
            .with(words.at(left, drop).role(Role::Body))
    };
    stack(texts.into_iter().map(entry), 1.4).role(Role::List)
}

/// Pages that are filled one after the other.
pub(crate) struct Flow {
    height: f64,
    /// Never empty.
    done: Vec<Frame>,
}

impl Flow {
    pub(crate) fn new(sheet: Sheet) -> Self {
        Self { height: area(sheet).1, done: vec![Frame::default()] }
    }

    fn filled(&self) -> f64 {
        self.done.last().map_or(0.0, |page| page.height)
    }

    fn is_fresh(&self) -> bool {
        self.filled() <= 0.0
    }

    /// What is left of the last page under a gap.
    pub(crate) fn room(&self) -> f64 {
        self.height - if self.is_fresh() { 0.0 } else { self.filled() + GAP }
    }

    pub(crate) fn turn(&mut self) {
        if !self.is_fresh() {
            self.done.push(Frame::default());
        }
    }

    /// Puts a frame on the last page, or on a new one if it does not fit.
    pub(crate) fn add(&mut self, frame: Frame) {
        if frame.height > self.room() {
            self.turn();
        }
        if let Some(page) = self.done.last_mut() {
            *page = stack([std::mem::take(page), frame], GAP);
        }
    }

    /// Puts what is made of rows on as many pages as it needs. A short list stays together, and no row is left alone on
    /// the next page; one that is higher than a page runs over its edge.
    pub(crate) fn add_rows<T>(&mut self, rows: &[T], make: impl Fn(&[T]) -> Frame) {
        let mut rest = rows;
        while !rest.is_empty() {
            let fits = |count: &usize| make(&rest[..*count]).height <= self.room();
            let fitting = (1..=rest.len()).take_while(fits).last().unwrap_or(0);
            let is_parted = fitting < rest.len();
            let is_short = || make(rest).height <= SHORT * self.height;
            if is_parted && !self.is_fresh() && (fitting == 0 || is_short()) {
                self.turn();
                continue;
            }
            let alone = usize::from(is_parted && rest.len() - fitting == 1);
            let (here, next) = rest.split_at(fitting.saturating_sub(alone).max(1));
            self.add(make(here));
            rest = next;
        }
    }

    /// The pages with their margins and footers.
    pub(crate) fn pages(self, sheet: Sheet, note: &str, name: &str) -> Vec<Frame> {
        let (width, height) = sheet.size_mm();
        let mut flows = self.done;
        flows.retain(|flow| flow.height > 0.0);
        let count = flows.len();
        let page = |(i, flow): (usize, Frame)| {
            let number = match count {
                1 => name.to_owned(),
                _ => say!("{name} · page {} of {count}", i + 1),
            };
            let footer = footer(note, &number, width - 2.0 * SIDE).at(SIDE, height - 11.0);
            Frame::new(width, height).with(flow.at(SIDE, TOP)).with(footer)
        };
        flows.into_iter().enumerate().map(page).collect()
    }
}

fn footer(note: &str, number: &str, width: f64) -> Frame {
    let left = text(&Words::plainly(note, SMALL), width * 0.66, Align::Left);
    let right = text(&Words::plainly(number, SMALL), width * 0.32, Align::Right).at(width * 0.68, 0.0);
    Frame::new(width, left.height).role(Role::Footer).with(left).with(right)
}

/// A name for where there is room for one line only.
pub(crate) fn short(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let kept: String = name.chars().take(most - 1).collect();
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::tests::{boxes, sizes_pt};
    use crate::job_sheet::common::{Like, USUAL, plan, preview};
    use crate::photo::Photo;
    use cost::{Ask, Terms, quote};
    use language::Language;
    use quantity::UnitSystem;

    const SHOP: &str = include_str!("../../../examples/shop.toml");

    /// Nothing leaves the sheet's margins, overlaps, or is too small to read.
    fn lies_well(what: &str, pages: &[Frame], sheet: Sheet) {
        let (width, height) = sheet.size_mm();
        let smallest = pages.iter().flat_map(sizes_pt).fold(f64::INFINITY, f64::min);
        assert!(smallest >= 7.0, "{what}: {smallest} pt cannot be read");
        for page in pages {
            let boxes = boxes(page);
            for (i, (text, a)) in boxes.iter().enumerate() {
                let place = format!("{what}: {text:?} at {a:?}");
                assert!(a[0] > SIDE - 0.1 && a[2] < width - SIDE + 0.1, "{place} leaves the measure");
                assert!(a[1] > TOP - 0.1 && a[3] < height - 4.0, "{place} leaves the sheet");
                for (other, b) in &boxes[i + 1..] {
                    let apart = a[2] <= b[0] + 0.05 || b[2] <= a[0] + 0.05 || a[3] <= b[1] || b[3] <= a[1];
                    assert!(apart, "{place} overlaps {other:?} at {b:?}");
                }
            }
        }
    }

    #[test]
    fn short_lists_stay_together_and_no_row_is_left_alone() {
        // A row is 10 mm high: 26 of them fill a page of A4.
        for (lists, pages) in [(&[27][..], [250.0, 20.0]), (&[25, 2], [250.0, 20.0]), (&[16, 11], [256.0, 20.0])] {
            let mut flow = Flow::new(Sheet::A4);
            for &rows in lists {
                flow.add_rows(&vec![(); rows], |rows| Frame::new(100.0, 10.0 * rows.len() as f64));
            }
            assert_eq!(flow.done.iter().map(|page| page.height).collect::<Vec<_>>(), pages, "{lists:?}");
        }
    }

    #[test]
    fn quotes_and_cards_lie_well_whatever_they_are_called_in_every_language() {
        for language in Language::ALL {
            language.scope(|| quotes_and_cards_lie_well(language));
        }
    }

    fn quotes_and_cards_lie_well(language: Language) {
        let terms = Terms::of(&piece::read_shop(SHOP, "shop.toml").unwrap().rates);
        for (sheet, units) in [(Sheet::A4, UnitSystem::Metric), (Sheet::Letter, UnitSystem::Us)] {
            for (layers, long_names) in [(1, false), (3, true), (8, true)] {
                let plan = plan(Like { layers, units, long_names, ..USUAL });
                let name = format!("{language:?}, {layers} layers, long names {long_names}, {sheet:?}");
                lies_well(&format!("card, {name}"), &crate::card::pages(&plan, sheet, None), sheet);
                lies_well(&format!("calibration, {name}"), &crate::calibration::pages(&plan, sheet, None), sheet);
                for (quantities, size) in [(vec![1], (30, 40)), (vec![1, 10, 50, 100, 500, 100_000], (60, 20))] {
                    let quoted = quote(&plan.work, &terms, &Ask { quantities, rush: Some(terms.rush) }).unwrap();
                    let preview = preview(size.0, size.1);
                    let options = crate::QuoteOptions { sheet, preview: &preview, date: None, valid_days: Some(30) };
                    let photo = Photo::read(&preview).unwrap();
                    let pages = crate::quote::pages(&plan, &quoted, &options, &photo);
                    assert_eq!(pages.len(), 1, "quote, {name}");
                    lies_well(&format!("quote, {name}"), &pages, sheet);
                }
            }
        }
    }
}
