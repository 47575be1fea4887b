//! The label sheet of a batch: a label for each item, to be cut along thin lines and laid beside its blank.

use crate::frame::{Frame, Role};
use crate::lettering::Style;
use crate::marks::HAIRLINE;
use crate::page::{SMALL, fitted};
use crate::stack::{Align, stack, text};
use crate::words::Words;
use crate::wrap::natural_width;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use language::say;
use picture::Role as Ink;
use picture::scene::{Rect, Stroke};

/// A label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// What is found first: the number on the evening's sheet.
    pub number: String,
    /// The name.
    pub name: String,
    /// Smaller, under it: evening, line of the table.
    pub note: String,
}

/// Columns and rows of a sheet.
const GRID: (usize, usize) = (3, 10);
/// Between a label's edge and its words.
const INSET: f64 = 3.0;
/// Margins of the sheet.
const MARGIN: (f64, f64) = (9.0, 12.0);

/// Writes the labels, thirty on a page, row by row.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn label_sheet(
    title: &str,
    shop: &str,
    labels: &[Label],
    sheet: Sheet,
    date: Option<Date>,
) -> Result<Vec<u8>, PaperError> {
    let (width, height) = sheet.size_mm();
    let each = ((width - 2.0 * MARGIN.0) / GRID.0 as f64, (height - 2.0 * MARGIN.1) / GRID.1 as f64);
    let on_a_page = GRID.0 * GRID.1;
    let count = labels.len().div_ceil(on_a_page).max(1);
    let page = |number: usize| {
        let from = number * on_a_page;
        let own = &labels[from.min(labels.len())..labels.len().min(from + on_a_page)];
        let mut list = Frame::new(width, height).role(Role::List);
        for (index, label) in own.iter().enumerate() {
            let (x, y) = ((index % GRID.0) as f64 * each.0, (index / GRID.0) as f64 * each.1);
            list = list.with(placed(label, each).at(MARGIN.0 + x, MARGIN.1 + y));
        }
        let heading = say!("{title}, sheet {} of {count}", number + 1);
        let heading =
            text(&Words::plainly(&heading, SMALL), width - 2.0 * MARGIN.0, Align::Left).role(Role::Heading(1));
        Frame::new(width, height).with(heading.at(MARGIN.0, 5.0)).with(list)
    };
    let pages: Vec<Frame> = (0..count).map(page).collect();
    write(sheet, &pages, &About { title: say!("Labels: {title}"), author: shop.to_owned(), date })
}

fn placed(label: &Label, (width, height): (f64, f64)) -> Frame {
    let frame = Frame::new(width, height).role(Role::ListItem);
    let edge = Rect::new(0.0, 0.0, width, height).stroked(Stroke::new(HAIRLINE, Ink::Grid));
    let number = Words::plainly(&label.number, Style::regular(20.0).semi_bold());
    let left = natural_width(&number).max(9.0) + 3.5;
    let number = text(&number, left, Align::Left).role(Role::Label);
    let room = width - 2.0 * INSET - left;
    let name = text(&fitted(&label.name, room, &[13.0, 12.0, 11.0, 10.0, 9.0, 8.0, 7.0]), room, Align::Left);
    let note = text(&Words::plainly(&label.note, SMALL), room, Align::Left);
    let body = stack([name, note], 0.2).role(Role::Body);
    let middle = |inner: f64| 0.5 * (height - inner).max(0.0);
    let (up, down) = (middle(number.height), middle(body.height));
    frame.with(edge).with(number.at(INSET, up)).with(body.at(INSET + left, down))
}
