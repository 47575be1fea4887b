//! The picture with what stands beside it.

use super::Front;
use super::header::blank;
use crate::frame::{Frame, Item, Role};
use crate::job_sheet::scale::Scale;
use crate::job_sheet::{recipe, used};
use crate::stack::{beside, paragraph, stack};
use crate::words::Words;
use language::say;

/// Least width of the text beside the picture.
const TEXT_MIN: f64 = 47.0;
/// Between the picture and the text beside it.
const GUTTER: f64 = 7.0;
/// Greatest width of what one piece uses up.
const USED_MAX: f64 = 80.0;

/// The picture and its text, and whether what one piece uses up is among it.
pub(super) struct Hero {
    pub(super) frame: Frame,
    pub(super) hosts_used: bool,
}

impl From<Frame> for Hero {
    fn from(frame: Frame) -> Self {
        Self { frame, hosts_used: false }
    }
}

/// The picture with the sentence and the recipe: over them at the full width if that is no higher than
/// `room`, else beside them, else beside the sentence alone.
pub(super) fn hero(front: &Front<'_>, room: f64, scale: Scale) -> Hero {
    let gap = scale.section_gap() * 0.7;
    let over = over(front, scale, gap);
    if over.height <= room {
        return over.into();
    }
    side_by_side(front, room, scale, gap).unwrap_or_else(|| beside_sentence(front, room, scale, gap).into())
}

/// Height of the picture at the full width that it has beside the text.
pub(super) fn full_height(front: &Front<'_>) -> f64 {
    (front.area.width - TEXT_MIN - GUTTER) / front.photo.aspect()
}

fn over(front: &Front<'_>, scale: Scale, gap: f64) -> Frame {
    let width = front.area.width;
    let picture = picture(front, (width, width / front.photo.aspect()));
    stack([picture, paragraph(&sentence(front, scale), width), recipe::row(front.plan, width, scale)], gap)
}

/// The sentence starts with the picture and the recipe, or what one piece uses up, ends with it. `None`
/// when the picture is not high enough for that.
fn side_by_side(front: &Front<'_>, room: f64, scale: Scale, gap: f64) -> Option<Hero> {
    let (width, height) = front.photo.fit(front.area.width - TEXT_MIN - GUTTER, room.max(10.0));
    let left = front.area.width - width - GUTTER;
    let (said, recipe) = (paragraph(&sentence(front, scale), left), recipe::list(front.plan, left, scale));
    let top = stack([said.clone(), recipe.clone()], gap);
    let (side, hosts_used) = match used_in(front, left, height - top.height - gap) {
        Some(used) => {
            let y = height - used.height;
            (Frame::new(left, height).with(top).with(used.at(0.0, y)), true)
        }
        None if top.height > height => return None,
        None => {
            let y = height - recipe.height;
            (Frame::new(left, height).with(said).with(recipe.at(0.0, y)), false)
        }
    };
    Some(Hero { frame: beside(picture(front, (width, height)), side, GUTTER), hosts_used })
}

/// What one piece uses up, if it is asked for, in the largest type at which it fits.
fn used_in(front: &Front<'_>, width: f64, room: f64) -> Option<Frame> {
    let tables = Scale::STEPS.into_iter().map(|scale| used::section(front.plan, width.min(USED_MAX), scale));
    tables.filter(|_| front.hosts_used).find(|table| table.height <= room)
}

fn beside_sentence(front: &Front<'_>, room: f64, scale: Scale, gap: f64) -> Frame {
    let under = recipe::row(front.plan, front.area.width, scale);
    let size = front.photo.fit(front.area.width - TEXT_MIN - GUTTER, (room - under.height - gap).max(10.0));
    let said = paragraph(&sentence(front, scale), front.area.width - size.0 - GUTTER);
    stack([beside(picture(front, size), said, GUTTER), under], gap)
}

fn sentence(front: &Front<'_>, scale: Scale) -> Words {
    Words::new(&plan::words::sentence(front.plan), scale.lede())
}

fn picture(front: &Front<'_>, (width, height): (f64, f64)) -> Frame {
    let shows = say!("{}, as it will look: {}.", front.plan.piece.name, blank(front.plan));
    let mut frame = Frame::new(width, height).role(Role::Figure(shows));
    frame.items.push(Item::Photo(front.photo.clone()));
    frame
}
