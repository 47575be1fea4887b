//! What every row of a batch has in common, read once.

use super::{BatchOptions, Template};
use crate::drawing::{Drawing, Shape};
use crate::note::{Note, Remark};
use crate::svg::read_svg;

/// A template read once, with room for the texts of each row.
pub(super) struct Base {
    width_mm: f64,
    height_mm: f64,
    /// In paint order.
    slots: Vec<Slot>,
    notes: Vec<Note>,
}

enum Slot {
    /// Of every row.
    Fixed(Shape),
    /// The shapes of a text element, by its id.
    Text(String),
}

impl Base {
    /// `None` when the texts cannot be read apart from the rest, or some of them draw nothing by themselves.
    pub(super) fn read(template: &Template, options: &BatchOptions) -> Option<Self> {
        let scales = vec![1.0; template.places()];
        template.texts(|_| "X", &scales)?;
        let drawing = read_svg(template.filled(|_| "X", &scales).as_bytes(), &options.read).ok()?;
        let mut slots: Vec<Slot> = Vec::new();
        for shape in drawing.shapes {
            let known = matches!(slots.last(), Some(Slot::Text(id)) if *id == shape.id);
            match template.is_place(&shape.id) {
                false => slots.push(Slot::Fixed(shape)),
                true if !known => slots.push(Slot::Text(shape.id)),
                true => {}
            }
        }
        // Each text once: then its shapes belong together.
        let texts = slots.iter().filter(|slot| matches!(slot, Slot::Text(_))).count();
        let missing = |note: &Note| matches!(note.remark, Remark::GlyphMissing { .. });
        let notes =
            drawing.notes.into_iter().filter(|note| !missing(note) && !template.is_place(&note.element)).collect();
        let (width_mm, height_mm) = (drawing.width_mm, drawing.height_mm);
        (texts == template.places()).then_some(Self { width_mm, height_mm, slots, notes })
    }

    /// What every row has.
    pub(super) fn shapes(&self) -> Vec<&Shape> {
        fn fixed(slot: &Slot) -> Option<&Shape> {
            if let Slot::Fixed(shape) = slot { Some(shape) } else { None }
        }
        self.slots.iter().filter_map(fixed).collect()
    }

    /// A row's drawing: its texts in their places in the paint order.
    pub(super) fn with(&self, texts: Drawing) -> Drawing {
        let mut shapes = Vec::with_capacity(self.slots.len());
        for slot in &self.slots {
            match slot {
                Slot::Fixed(shape) => shapes.push(shape.clone()),
                Slot::Text(id) => shapes.extend(texts.shapes.iter().filter(|shape| shape.id == *id).cloned()),
            }
        }
        let mut notes = self.notes.clone();
        notes.extend(texts.notes.into_iter().filter(|note| !self.notes.contains(note)));
        Drawing { width_mm: self.width_mm, height_mm: self.height_mm, shapes, notes }
    }
}
