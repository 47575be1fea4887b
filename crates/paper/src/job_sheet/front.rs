//! Page 1: the piece.

mod header;
mod hero;

use super::scale::Scale;
use super::{Area, section, stages};
use crate::Date;
use crate::frame::{Frame, Item, Role};
use crate::photo::Photo;
use crate::stack::stack;
use hero::{full_height, hero};
use language::say;
use picture::{StripOptions, run_strip};
use plan::Plan;

/// Least height of the picture while the type can still shrink.
pub(super) const PICTURE_MIN: f64 = 78.0;
/// Least height of the picture at the smallest type.
const PICTURE_LEAST: f64 = 46.0;
/// Least and greatest height of the run strip.
const STRIP: (f64, f64) = (58.0, 84.0);
/// Its least height at the smallest type.
const STRIP_LEAST: f64 = 54.0;

/// What the first page is made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Front<'a> {
    pub(super) plan: &'a Plan,
    pub(super) date: Option<Date>,
    pub(super) photo: &'a Photo,
    pub(super) area: Area,
    /// Whether what one piece uses up is to stand beside the picture, if there is room.
    pub(super) hosts_used: bool,
}

/// The pages about the piece.
pub(super) struct FrontPages {
    /// One, unless the stages need more.
    pub(super) pages: Vec<Frame>,
    /// Whether what one piece uses up stands there.
    pub(super) hosts_used: bool,
}

impl Front<'_> {
    /// The pages, at the largest type at which all is on one.
    pub(super) fn pages(&self) -> FrontPages {
        for (i, &scale) in Scale::STEPS.iter().enumerate() {
            let last = i + 1 == Scale::STEPS.len();
            let least = if last { (PICTURE_LEAST, STRIP_LEAST) } else { (PICTURE_MIN, STRIP.0) };
            if let Some(page) = self.page(scale, least) {
                return page;
            }
        }
        FrontPages { pages: self.continued(), hosts_used: false }
    }

    /// All on one page, if the picture is then at least so high, or as high as its width allows, beside
    /// the least height of the run strip.
    fn page(&self, scale: Scale, (picture, strip): (f64, f64)) -> Option<FrontPages> {
        let gap = scale.section_gap();
        let header = header::header(self.plan, self.date, self.area.width);
        let table = section(say!("Stages"), stages::table(self.plan, &self.plan.stages, self.area.width, scale), scale);
        let room = self.area.height - header.height - table.height - self.run(strip, scale).height - 3.0 * gap;
        let hero = hero(self, room, scale);
        if hero.frame.height > room + 1e-6 || hero.frame.height < picture.min(full_height(self)) {
            return None;
        }
        let run = self.run((strip + room - hero.frame.height).min(STRIP.1), scale);
        let pages = vec![stack([header, hero.frame, table, run], gap)];
        Some(FrontPages { pages, hosts_used: hero.hosts_used })
    }

    /// The stages over several pages, at the smallest type.
    fn continued(&self) -> Vec<Frame> {
        let scale = Scale::STEPS[Scale::STEPS.len() - 1];
        let header = header::header(self.plan, self.date, self.area.width);
        let mut pages = Pages::new(self.area.height, scale.section_gap());
        pages.add(stack([header, hero(self, PICTURE_MIN, scale).frame], scale.section_gap()));
        let mut rest = self.plan.stages.as_slice();
        while !rest.is_empty() {
            let tables = (1..=rest.len()).map(|n| stages::table(self.plan, &rest[..n], self.area.width, scale));
            let tables = tables.map(|table| section(say!("Stages"), table, scale));
            let fitting: Vec<Frame> = tables.take_while(|table| table.height <= pages.room()).collect();
            rest = &rest[fitting.len()..];
            match fitting.into_iter().next_back() {
                Some(table) => pages.add(table),
                None if pages.is_fresh() => {
                    // One stage alone is higher than a page: it runs over the edge rather than being dropped.
                    let table = stages::table(self.plan, &rest[..1], self.area.width, scale);
                    pages.add(section(say!("Stages"), table, scale));
                    rest = &rest[1..];
                }
                None => pages.turn(),
            }
        }
        pages.add(self.run(STRIP.0, scale));
        pages.done
    }

    /// The run strip, as high as that and its words allow, under its heading.
    fn run(&self, height: f64, scale: Scale) -> Frame {
        let options = StripOptions {
            width_mm: self.area.width,
            text_mm: scale.small().size_mm(),
            height_mm: Some(height),
            units: self.plan.units,
            now: None,
        };
        let scene = run_strip(&self.plan.strip, &options);
        let shows = format!("{}. {}", scene.title, scene.description);
        let mut frame = Frame::new(scene.width_mm, scene.height_mm).role(Role::Figure(shows));
        frame.items.push(Item::Scene(scene));
        section(say!("The run"), frame, scale)
    }
}

/// Pages that are filled one after the other.
struct Pages {
    height: f64,
    gap: f64,
    /// Never empty.
    done: Vec<Frame>,
}

impl Pages {
    fn new(height: f64, gap: f64) -> Self {
        Self { height, gap, done: vec![Frame::default()] }
    }

    fn filled(&self) -> f64 {
        self.done.last().map_or(0.0, |page| page.height)
    }

    fn is_fresh(&self) -> bool {
        self.filled() <= 0.0
    }

    /// What is left of the last page under a gap.
    fn room(&self) -> f64 {
        self.height - if self.is_fresh() { 0.0 } else { self.filled() + self.gap }
    }

    fn turn(&mut self) {
        self.done.push(Frame::default());
    }

    /// Puts a frame on the last page, or on a new one if it does not fit.
    fn add(&mut self, frame: Frame) {
        if frame.height > self.room() && !self.is_fresh() {
            self.turn();
        }
        if let Some(page) = self.done.last_mut() {
            *page = stack([std::mem::take(page), frame], self.gap);
        }
    }
}
