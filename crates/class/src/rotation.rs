//! Who is where when, with every step at its mean time: what is printed and hung on the wall.
//!
//! A real class scatters around it; when it ends is told by [`crate::Outcome`], not by the last line here.

use crate::class::Class;
use crate::pace::Pace;
use crate::queue::{self, QueueError};
use crate::simulate::{jobs, places};
use crate::supply::Supply;
use quantity::{Fraction, Quantity as _, Time, known};

/// Who is where when.
#[derive(Debug, Clone, PartialEq)]
pub struct Rotation {
    /// One for each student, in the order in which they begin.
    pub rows: Vec<Row>,
    /// When the last one is done, at mean times.
    pub ends: Time,
}

/// A student's way.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// From 1.
    pub student: u32,
    /// In order.
    pub blocks: Vec<Block>,
}

/// A stay at a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// In `Class::steps`.
    pub step: usize,
    /// Which of the student's pieces, from 1.
    pub piece: u32,
    /// In `Class::stations`.
    pub station: usize,
    /// Which of the station's places, from 1.
    pub place: u32,
    /// When the wait for it begins, from the class's beginning.
    pub queued: Time,
    /// When the work begins.
    pub from: Time,
    /// When it ends.
    pub to: Time,
}

/// The class at mean times.
///
/// # Errors
/// [`QueueError`].
pub fn rotation(class: &Class, supply: Option<&Supply>) -> Result<Rotation, QueueError> {
    let mut even = class.clone();
    even.steps.iter_mut().for_each(|step| step.spread = NONE);
    let day = queue::run(&places(&even), &jobs(&even, |student| Pace::of(0, 0, student)), supply)?;
    let made = class.made();
    let row = |student: u32| {
        let own = day.stays.iter().filter(|stay| stay.job == student as usize);
        let mut blocks: Vec<Block> = own.map(|stay| block(&made, stay)).collect();
        blocks.sort_by(|a, b| a.from.to_base().total_cmp(&b.from.to_base()));
        Row { student: student + 1, blocks }
    };
    Ok(Rotation { rows: (0..class.students).map(row).collect(), ends: Time::clamped(day.end_s()) })
}

const NONE: Fraction = known(Fraction::ratio(0.0));

fn block(made: &[usize], stay: &queue::Stay) -> Block {
    let steps = made.len().max(1);
    Block {
        step: made.get(stay.visit % steps).copied().unwrap_or_default(),
        piece: (stay.visit / steps) as u32 + 1,
        station: stay.place,
        place: stay.server as u32 + 1,
        queued: Time::clamped(stay.queued_s),
        from: Time::clamped(stay.began_s),
        to: Time::clamped(stay.ended_s),
    }
}

impl Class {
    /// A time of the class as a clock on the wall shows it, to the minute: `14:05`.
    #[must_use]
    pub fn clock(&self, at: Time) -> String {
        let minutes = self.starts_min + at.to_minutes().round() as u32;
        format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60)
    }

    /// A place as its sign says it: `cabinet 2`, or `washout` where there is only one.
    #[must_use]
    pub fn place_name(&self, station: usize, place: u32) -> String {
        match self.stations.get(station) {
            Some(it) if it.count > 1 => format!("{} {place}", it.name),
            Some(it) => it.name.clone(),
            None => String::new(),
        }
    }
}
