//! The lane of what hands do, the stages above it, and the key to its letters.

use super::page::Page;
use super::{span_s, word};
use crate::metrics::width_mm;
use crate::scene::{Anchor, Face, Group, Item, Line, Rect};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use plan::{Act, HandBlock};
use quantity::{Quantity as _, Time, show::clock};

/// In the order of the key.
const ACTS: [Act; 7] = [Act::Prepare, Act::Refill, Act::Weed, Act::Blast, Act::Rest, Act::Clear, Act::Finish];

impl Page<'_> {
    pub(super) fn hands(&mut self) {
        self.heading(
            (self.lanes.hands.0 + 0.85 * self.em, self.lanes.hands.1),
            say!(in "a lane of the run strip", "hands"),
            "",
        );
        let blocks: Vec<Item> = self.strip.hands.iter().map(|block| self.block(block).into()).collect();
        self.items.extend(blocks);
    }

    /// Above the hands: each stage's span, with as many words as it has room for.
    pub(super) fn stages(&mut self) {
        let last = self.strip.hands.iter().map(|block| block.stage).max().unwrap_or(0);
        for stage in 1..=last {
            let at_cabinet =
                |block: &&HandBlock| block.stage == stage && !matches!(block.act, Act::Prepare | Act::Finish);
            let blocks: Vec<&HandBlock> = self.strip.hands.iter().filter(at_cabinet).collect();
            let (Some(first), Some(end)) = (blocks.first(), blocks.last()) else { continue };
            let (from, to) = (self.axis.x_mm(first.from), self.axis.x_mm(end.to));
            self.bracket(from, to, stage, &blocks);
        }
    }

    fn bracket(&mut self, from: f64, to: f64, stage: usize, blocks: &[&HandBlock]) {
        let (top, bottom) = self.lanes.stages;
        let inset = f64::min(0.15 * self.em, 0.2 * (to - from));
        let (y, stroke) = (bottom - 0.1 * self.em, self.stroke(0.8, Role::DimInk));
        self.push(Line { from: Point { x: from + inset, y }, to: Point { x: to - inset, y }, stroke });
        let fits = |text: &&String| width_mm(text, self.em, Face::Condensed) <= to - from - 0.4 * self.em;
        let choices = stage_words(stage, blocks);
        if let Some(text) = choices.iter().find(fits) {
            let middle = 0.5 * (top + bottom) - 0.15 * self.em;
            let x = from + inset;
            self.push(self.words(x, middle, Anchor::Start, Face::Condensed, Role::Ink, text));
        }
    }

    fn block(&self, block: &HandBlock) -> Group {
        let (top, bottom) = self.lanes.hands;
        let (from, to) = (self.axis.x_mm(block.from), self.axis.x_mm(block.to));
        // A hair of ground between blocks keeps neighbours apart.
        let gap = f64::min(0.06 * self.em, 0.1 * (to - from));
        let rect = Rect::new(from + gap, top, to - from - 2.0 * gap, bottom - top);
        let mut items = self.dressed(rect, block.act);
        let room = rect.width_mm;
        let label = if self.has_room(word(block.act), room) {
            word(block.act)
        } else if width_mm(letter(block.act), self.em, Face::SemiBold) <= room - 0.5 * self.em {
            letter(block.act)
        } else {
            ""
        };
        items.extend(self.on_block(&rect, block.act, label));
        let label = say!("{}, stage {}, {}", word(block.act), block.stage, clock(Time::clamped(span_s(block))));
        Group { label: Some(label), items, ..Group::default() }
    }

    /// A block's body: each act has its own tone and hatching.
    fn dressed(&self, rect: Rect, act: Act) -> Vec<Item> {
        let spacing = 0.42 * self.em;
        let (fill, hatch) = match act {
            Act::Blast => (Role::Ink, vec![]),
            Act::Prepare => (Role::Raised, vec![]),
            Act::Refill => (Role::Raised, [diagonals(&rect, spacing, false), diagonals(&rect, spacing, true)].concat()),
            Act::Weed => (Role::Raised, diagonals(&rect, spacing, false)),
            Act::Rest => (Role::Ground, vec![]),
            Act::Clear => (Role::Ground, uprights(&rect, spacing)),
            Act::Finish => (Role::Raised, diagonals(&rect, spacing, true)),
        };
        let outline = match act {
            Act::Blast => None,
            Act::Rest => Some(self.stroke(0.7, Role::DimInk).dashed(0.3 * self.em, 0.3 * self.em)),
            _ => Some(self.stroke(0.6, Role::DimInk)),
        };
        // The outline lies wholly inside, so that neighbours do not overlap.
        let line = outline.map_or(0.0, |stroke| stroke.width_mm).min(0.5 * rect.width_mm);
        let inner = Rect {
            x_mm: rect.x_mm + 0.5 * line,
            y_mm: rect.y_mm + 0.5 * line,
            width_mm: rect.width_mm - line,
            height_mm: rect.height_mm - line,
            ..rect
        };
        let stroke = self.stroke(0.5, crate::scene::Paint::faint(Role::DimInk, 0.75));
        let hatch = hatch.into_iter().map(|(from, to)| Item::from(Line { from, to, stroke }));
        let body = Rect { stroke: outline, ..inner.filled(fill) };
        std::iter::once(Item::from(body)).chain(hatch).collect()
    }

    /// A word or letter on a block, on a patch of its ground where it is hatched.
    fn on_block(&self, rect: &Rect, act: Act, label: &str) -> Vec<Item> {
        if label.is_empty() {
            return Vec::new();
        }
        let (x, y) = (rect.x_mm + 0.5 * rect.width_mm, rect.y_mm + 0.5 * rect.height_mm);
        let (face, role) = match act {
            Act::Blast => (Face::SemiBold, Role::Ground),
            _ => (Face::Regular, Role::Ink),
        };
        let width = (width_mm(label, self.em, face) + 0.4 * self.em).min(rect.width_mm - 0.1 * self.em);
        let ground = match act {
            Act::Refill | Act::Weed | Act::Finish => Some(Role::Raised),
            Act::Clear => Some(Role::Ground),
            _ => None,
        };
        let patch =
            ground.map(|role| Rect::new(x - 0.5 * width, y - 0.55 * self.em, width, 1.1 * self.em).filled(role).into());
        patch.into_iter().chain([self.words(x, y, Anchor::Middle, face, role, label).into()]).collect()
    }

    fn has_room(&self, text: &str, room_mm: f64) -> bool {
        width_mm(text, self.em, Face::SemiBold) + 0.5 * self.em <= room_mm
    }

    /// Whether some block has no room for its word.
    pub(super) fn needs_key(&self) -> bool {
        self.strip.hands.iter().any(|block| {
            let width = self.axis.x_mm(block.to) - self.axis.x_mm(block.from);
            !self.has_room(word(block.act), 0.98 * width - 0.12 * self.em)
        })
    }

    /// Below the axis: what each kind of block looks like, when some have no room for their word.
    pub(super) fn key(&mut self) {
        if !self.needs_key() {
            return;
        }
        let (top, bottom) = self.lanes.key;
        let mut x = self.axis.left_mm;
        for act in ACTS.into_iter().filter(|act| self.strip.hands.iter().any(|block| block.act == *act)) {
            let swatch = Rect::new(x, top, 2.6 * self.em, bottom - top);
            let mut items = self.dressed(swatch, act);
            items.extend(self.on_block(&swatch, act, letter(act)));
            x += 3.0 * self.em;
            let middle = 0.5 * (top + bottom);
            items.push(self.words(x, middle, Anchor::Start, Face::Regular, Role::DimInk, word(act)).into());
            x += width_mm(word(act), self.em, Face::Regular) + 1.4 * self.em;
            self.push(Group { items, ..Group::default() });
        }
    }
}

/// The letter that stands for the word where there is no room for it; all differ in every language.
fn letter(act: Act) -> &'static str {
    match act {
        Act::Prepare => say!(in "a letter for what hands do: prepare", "p"),
        Act::Refill => say!(in "a letter for what hands do: refill with another abrasive", "a"),
        Act::Weed => say!(in "a letter for what hands do: weed", "w"),
        Act::Blast => say!(in "a letter for what hands do: blast", "b"),
        Act::Rest => say!(in "a letter for what hands do: rest", "r"),
        Act::Clear => say!(in "a letter for what hands do: wait for the dust to clear", "c"),
        Act::Finish => say!(in "a letter for what hands do: finish", "f"),
    }
}

/// What can be said of a stage, the longest first.
fn stage_words(stage: usize, blocks: &[&HandBlock]) -> Vec<String> {
    let sum = |act: Act| {
        let of_act = blocks.iter().filter(|block| block.act == act);
        of_act.fold((0, 0.0), |(count, seconds), block| (count + 1, seconds + span_s(block)))
    };
    let told = |seconds: f64| clock(Time::clamped(seconds));
    let ((blasts, blast_s), (_, rest_s)) = (sum(Act::Blast), sum(Act::Rest));
    let (blast, rest) = (told(blast_s), told(rest_s));
    let mut choices = Vec::new();
    if rest_s > 0.0 {
        choices.push(match blasts {
            0 | 1 => say!("stage {stage}: blast {blast}, rest {rest}"),
            _ => say!("stage {stage}: blast {blast} in {blasts} goes, rest {rest}"),
        });
    }
    choices.push(match blasts {
        0 | 1 => say!("stage {stage}: blast {blast}"),
        _ => say!("stage {stage}: blast {blast} in {blasts} goes"),
    });
    choices.push(say!("stage {stage}: {blast}"));
    choices.push(say!("stage {stage}"));
    choices.push(stage.to_string());
    choices
}

/// Lines at 45 degrees across a rectangle, `spacing` apart measured along its top.
fn diagonals(rect: &Rect, spacing: f64, falling: bool) -> Vec<(Point, Point)> {
    let (w, h) = (rect.width_mm, rect.height_mm);
    let count = ((w + h) / spacing).ceil() as usize;
    let line = |i: usize| {
        // In the rectangle's own coordinates x + y = c runs from its left or bottom edge to its top or right one.
        let c = (i as f64 + 0.5) * spacing;
        let (a, b) = (((c - h).max(0.0), c.min(h)), (c.min(w), (c - w).max(0.0)));
        let place = |(x, y): (f64, f64)| Point { x: rect.x_mm + x, y: rect.y_mm + if falling { h - y } else { y } };
        (c < w + h).then(|| (place(a), place(b)))
    };
    (0..count).filter_map(line).collect()
}

/// Upright lines across a rectangle.
fn uprights(rect: &Rect, spacing: f64) -> Vec<(Point, Point)> {
    let count = (rect.width_mm / spacing).floor() as usize;
    let line = |i: usize| {
        let x = rect.x_mm + (i as f64 + 0.5) * rect.width_mm / count as f64;
        (Point { x, y: rect.y_mm }, Point { x, y: rect.y_mm + rect.height_mm })
    };
    (0..count).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use language::Language;
    use std::collections::BTreeSet;

    #[test]
    fn hatching_stays_inside_its_block() {
        for (width, height) in [(0.05, 6.0), (3.0, 6.0), (60.0, 6.0)] {
            let rect = Rect::new(10.0, 20.0, width, height);
            let lines = [diagonals(&rect, 1.1, false), diagonals(&rect, 1.1, true), uprights(&rect, 1.1)].concat();
            let inside = |p: &Point| {
                (10.0 - 1e-9..=10.0 + width + 1e-9).contains(&p.x)
                    && (20.0 - 1e-9..=20.0 + height + 1e-9).contains(&p.y)
            };
            assert!(!lines.is_empty() && lines.iter().all(|(a, b)| inside(a) && inside(b)), "{width}");
        }
    }

    #[test]
    fn every_act_has_a_letter_of_its_own_in_every_language() {
        for language in Language::ALL {
            let letters: BTreeSet<String> = language.scope(|| ACTS.map(|act| letter(act).to_lowercase())).into();
            assert!(letters.len() == ACTS.len() && letters.iter().all(|one| one.chars().count() == 1), "{letters:?}");
        }
    }
}
