//! Tables: heads in dim ink, thin rules between rows, no boxes.

use crate::frame::{Frame, Role};
use crate::lettering::Style;
use crate::marks::{HAIRLINE, rule};
use crate::stack::{Align, text};
use crate::words::Words;

/// A column of a table.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    /// Above it; may be empty.
    pub(crate) head: String,
    /// Of its cells, without the gap to the next.
    pub(crate) width: f64,
    /// Numbers stand right.
    pub(crate) align: Align,
}

impl Column {
    /// A column under a head.
    pub(crate) fn new(head: &str, width: f64, align: Align) -> Self {
        Self { head: head.to_owned(), width, align }
    }
}

/// What stands in a cell.
#[derive(Debug, Clone)]
pub(crate) enum Cell {
    /// Text, set to the column.
    Words(Words),
    /// A frame that was made for the column's width.
    Frame(Frame),
}

/// How a table is spaced.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spacing {
    /// Between columns.
    pub(crate) gutter: f64,
    /// Above and below what is in a row.
    pub(crate) padding: f64,
    /// Of the heads.
    pub(crate) head: Style,
}

/// Sets a table; `shows` says what it is for those who listen. Each row has a cell for each column.
/// Without any head there is no head row.
pub(crate) fn table(shows: &str, columns: &[Column], rows: Vec<Vec<Cell>>, spacing: Spacing) -> Frame {
    let width = columns.iter().map(|column| column.width + spacing.gutter).sum::<f64>() - spacing.gutter;
    let mut frame = Frame::new(width, 0.0).role(Role::Table(shows.to_owned()));
    if columns.iter().any(|column| !column.head.is_empty()) {
        frame = under(frame, heads(columns, spacing), spacing.padding);
        frame = frame.clone().with(rule(width, frame.height + HAIRLINE / 2.0));
    }
    let last = rows.len().saturating_sub(1);
    for (i, cells) in rows.into_iter().enumerate() {
        frame.height += spacing.padding;
        frame = under(frame, row(columns, cells, spacing.gutter), spacing.padding);
        if i < last {
            frame = frame.clone().with(rule(width, frame.height));
        }
    }
    frame
}

fn under(mut frame: Frame, row: Frame, padding: f64) -> Frame {
    let y = frame.height;
    frame.height += row.height + padding;
    frame.with(row.at(0.0, y))
}

fn heads(columns: &[Column], spacing: Spacing) -> Frame {
    let cell = |column: &Column| text(&Words::plainly(&column.head, spacing.head), column.width, column.align);
    placed(columns, columns.iter().map(cell).map(|cell| cell.role(Role::HeadCell)), spacing.gutter, true)
        .role(Role::HeadRow)
}

fn row(columns: &[Column], cells: Vec<Cell>, gutter: f64) -> Frame {
    let cell = |(i, (cell, column)): (usize, (Cell, &Column))| {
        let role = if i == 0 { Role::RowHead } else { Role::Cell };
        match cell {
            Cell::Words(words) => text(&words, column.width, column.align).role(role),
            Cell::Frame(inner) => Frame::new(column.width, inner.height).role(role).with(inner),
        }
    };
    placed(columns, cells.into_iter().zip(columns).enumerate().map(cell), gutter, false).role(Role::Row)
}

/// Cells side by side, on their top edges, or heads on their lower ones.
fn placed(columns: &[Column], cells: impl Iterator<Item = Frame>, gutter: f64, down: bool) -> Frame {
    let cells: Vec<Frame> = cells.collect();
    let height = cells.iter().map(|cell| cell.height).fold(0.0, f64::max);
    let mut frame = Frame::new(0.0, height);
    for (cell, column) in cells.into_iter().zip(columns) {
        let (x, y) = (frame.width, if down { height - cell.height } else { 0.0 });
        frame.width += column.width + gutter;
        frame = frame.with(cell.at(x, y));
    }
    frame
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::tests::lines;

    #[test]
    fn rows_do_not_overlap_however_long_their_words_are() {
        let style = Style::regular(9.5);
        let columns = [Column::new("name", 30.0, Align::Left), Column::new("blast for", 20.0, Align::Right)];
        let long = "A very long name that takes several lines in so narrow a column";
        let row = || vec![Cell::Words(Words::new(long, style)), Cell::Words(Words::new("3\u{202f}min", style))];
        let spacing = Spacing { gutter: 4.0, padding: 1.2, head: style };
        let frame = table("times", &columns, vec![row(), row(), row()], spacing);
        let lines = lines(&frame);
        for (i, (text, a)) in lines.iter().enumerate() {
            assert!(a[2] <= 54.0 + 1e-9 && a[3] <= frame.height, "{text}");
            for (other, b) in &lines[i + 1..] {
                let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                assert!(apart, "{text} over {other}");
            }
        }
        assert!(lines.len() > 12);
    }
}
