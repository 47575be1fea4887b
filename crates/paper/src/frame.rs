//! Boxes in millimetres that hold lines, marks and pictures, and say what they are.

use crate::photo::Photo;
use crate::wrap::Line;
use picture::Scene;

/// A box with what is in it. Everything inside is placed from its own top left corner, x right, y down.
#[derive(Debug, Clone, Default)]
pub(crate) struct Frame {
    /// From the left edge of what it is in.
    pub(crate) x: f64,
    /// From the top edge of what it is in.
    pub(crate) y: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) role: Role,
    pub(crate) items: Vec<Item>,
}

/// What can be in a frame.
#[derive(Debug, Clone)]
pub(crate) enum Item {
    /// A smaller box.
    Frame(Frame),
    /// Text: left end and baseline.
    Line(f64, f64, Line),
    /// A drawn shape, in the frame's millimetres. It says nothing that words do not say as well.
    Mark(picture::scene::Item),
    /// A picture that fills the frame.
    Photo(Photo),
    /// A drawing, its top left corner at the frame's, at its own size.
    Scene(Scene),
}

/// What a frame is, for those who listen to the document.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) enum Role {
    /// Nothing by itself: its content counts as that of the frame around it.
    #[default]
    Layout,
    /// A part of the document.
    Section,
    /// A heading of a level from 1.
    Heading(u16),
    /// A paragraph.
    Paragraph,
    /// A list of `ListItem`s.
    List,
    /// A `Label` and a `Body`.
    ListItem,
    /// What stands before a list item.
    Label,
    /// What a list item says.
    Body,
    /// `HeadRow` and `Row`s; with what it shows.
    Table(String),
    /// Column heads.
    HeadRow,
    /// A row of cells.
    Row,
    /// Head of a column.
    HeadCell,
    /// Head of a row.
    RowHead,
    /// A cell.
    Cell,
    /// A picture, with what it shows in words.
    Figure(String),
    /// Repeated on every page.
    Footer,
}

impl Frame {
    /// An empty box.
    pub(crate) fn new(width: f64, height: f64) -> Self {
        Self { width, height, ..Self::default() }
    }

    /// The same box elsewhere.
    #[must_use]
    pub(crate) fn at(self, x: f64, y: f64) -> Self {
        Self { x, y, ..self }
    }

    /// The same box as something.
    #[must_use]
    pub(crate) fn role(self, role: Role) -> Self {
        Self { role, ..self }
    }

    /// The same box with one thing more.
    #[must_use]
    pub(crate) fn with(mut self, item: impl Into<Item>) -> Self {
        self.items.push(item.into());
        self
    }

    /// All its text, line by line.
    pub(crate) fn text(&self) -> String {
        let of = |item: &Item| match item {
            Item::Frame(inner) => inner.text(),
            Item::Line(_, _, line) => line.spans.iter().map(|(_, span)| span.text.as_str()).collect(),
            _ => String::new(),
        };
        self.items.iter().map(of).collect()
    }

    /// Its lower edge.
    pub(crate) fn bottom(&self) -> f64 {
        self.y + self.height
    }
}

impl From<Frame> for Item {
    fn from(frame: Frame) -> Self {
        Self::Frame(frame)
    }
}

impl From<picture::scene::Rect> for Item {
    fn from(mark: picture::scene::Rect) -> Self {
        Self::Mark(mark.into())
    }
}

impl From<picture::scene::Line> for Item {
    fn from(mark: picture::scene::Line) -> Self {
        Self::Mark(mark.into())
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Left, top, right, bottom.
    pub(crate) type Extent = [f64; 4];

    /// Every line of text with its extent, from the middle of its letters to the baseline.
    pub(crate) fn lines(frame: &Frame) -> Vec<(String, Extent)> {
        boxes(frame).into_iter().filter(|(text, _)| text != "photo" && text != "scene").collect()
    }

    /// Every line of text, photo and scene with its extent.
    pub(crate) fn boxes(frame: &Frame) -> Vec<(String, Extent)> {
        let mut found = Vec::new();
        walk(frame, 0.0, 0.0, &mut |item, frame, x, y| {
            let whole = [x, y, x + frame.width, y + frame.height];
            match item {
                Item::Photo(_) => found.push(("photo".to_owned(), whole)),
                Item::Scene(_) => found.push(("scene".to_owned(), whole)),
                Item::Line(dx, baseline, line) => {
                    let text = line.spans.iter().map(|(_, span)| span.text.as_str()).collect();
                    let tallest = line.spans.iter().map(|(_, span)| span.style.size_mm()).fold(0.0, f64::max);
                    let base = y + baseline;
                    found.push((text, [x + dx, base - 0.5 * tallest, x + dx + line.width_mm, base]));
                }
                Item::Frame(_) | Item::Mark(_) => {}
            }
        });
        found
    }

    /// Size of each span of text.
    pub(crate) fn sizes_pt(frame: &Frame) -> Vec<f64> {
        let mut found = Vec::new();
        walk(frame, 0.0, 0.0, &mut |item, _, _, _| {
            if let Item::Line(_, _, line) = item {
                found.extend(line.spans.iter().map(|(_, span)| span.style.size_pt));
            }
        });
        found
    }

    fn walk(frame: &Frame, x: f64, y: f64, see: &mut impl FnMut(&Item, &Frame, f64, f64)) {
        let (x, y) = (x + frame.x, y + frame.y);
        for item in &frame.items {
            see(item, frame, x, y);
            if let Item::Frame(inner) = item {
                walk(inner, x, y, see);
            }
        }
    }
}
