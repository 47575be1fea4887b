//! What every lane of a run strip shows at one instant.

use plan::{HandBlock, RunStrip};
use quantity::{GaugePressure, Length, Quantity, Time};

/// The lanes' values at an instant. `None` where the strip says nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// When.
    pub time: Time,
    /// What hands do.
    pub hands: Option<HandBlock>,
    /// Depth of each line of the strip, in its order.
    pub depth: Vec<Option<Length>>,
    /// Pressure in the receiver.
    pub receiver: Option<GaugePressure>,
    /// Pressure at the nozzle; `None` while it is shut.
    pub nozzle: Option<GaugePressure>,
    /// Share of the resist's permitted wear that is left.
    pub resist_left: Option<f64>,
    /// Dust as a share of its level in steady blasting.
    pub dust: Option<f64>,
    /// Whether the door may be opened.
    pub door_may_open: bool,
}

/// Reads every lane at an instant. At a step the value after it counts; before the first point and
/// after the last, the nearest one.
#[must_use]
pub fn read_at(strip: &RunStrip, time: Time) -> Reading {
    let depth = strip.depth.iter().map(|line| quantity_at(&line.points, time)).collect();
    Reading {
        time,
        hands: strip.hands.iter().rev().find(|block| block.from <= time && time <= block.to).copied(),
        depth,
        receiver: quantity_at(&strip.air.receiver, time),
        nozzle: nozzle_at(&strip.air.nozzle, time),
        resist_left: number_at(&strip.resist_left, time),
        dust: number_at(&strip.dust, time),
        door_may_open: strip.door.iter().any(|&(from, to)| from <= time && time <= to),
    }
}

/// The points before and after an instant, and how far between them it lies, 0 to 1.
fn around<T: Copy>(points: &[(Time, T)], time: Time) -> Option<(T, T, f64)> {
    let after = points.partition_point(|&(at, _)| at <= time);
    let next = points.get(after).or(points.last())?;
    let before = points.get(after.saturating_sub(1))?;
    let span = next.0.to_seconds() - before.0.to_seconds();
    let share = if span > 0.0 { (time.to_seconds() - before.0.to_seconds()) / span } else { 0.0 };
    Some((before.1, next.1, share.clamp(0.0, 1.0)))
}

fn number_at(points: &[(Time, f64)], time: Time) -> Option<f64> {
    around(points, time).map(|(a, b, share)| a + (b - a) * share)
}

fn quantity_at<Q: Quantity>(points: &[(Time, Q)], time: Time) -> Option<Q> {
    around(points, time).map(|(a, b, share)| between(a, b, share))
}

fn nozzle_at(points: &[(Time, Option<GaugePressure>)], time: Time) -> Option<GaugePressure> {
    match around(points, time)? {
        (Some(a), Some(b), share) => Some(between(a, b, share)),
        (Some(a), None, 0.0) => Some(a),
        _ => None,
    }
}

fn between<Q: Quantity>(a: Q, b: Q, share: f64) -> Q {
    Q::clamped(a.to_base() + (b.to_base() - a.to_base()) * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run_strip::sample;

    fn minutes(m: f64) -> Time {
        Time::minutes(m).unwrap()
    }

    #[test]
    fn values_lie_straight_between_points() {
        let points = [(minutes(1.0), 1.0), (minutes(3.0), 0.5)];
        let read = |m| number_at(&points, minutes(m)).unwrap();
        assert_eq!([0.0, 1.0, 2.0, 3.0, 9.0].map(read), [1.0, 1.0, 0.75, 0.5, 0.5]);
        assert_eq!(number_at(&[], minutes(1.0)), None);
    }

    #[test]
    fn at_a_step_the_later_value_counts() {
        let points = [(minutes(0.0), 0.0), (minutes(1.0), 0.0), (minutes(1.0), 5.0), (minutes(2.0), 5.0)];
        assert_eq!(number_at(&points, minutes(1.0)), Some(5.0));
    }

    #[test]
    fn a_shut_nozzle_has_no_pressure() {
        let bar = |b| Some(GaugePressure::bar(b).unwrap());
        let points = [(minutes(0.0), None), (minutes(1.0), bar(4.0)), (minutes(2.0), bar(3.0)), (minutes(2.0), None)];
        assert_eq!(nozzle_at(&points, minutes(0.5)), None);
        assert!((nozzle_at(&points, minutes(1.5)).unwrap().to_bar() - 3.5).abs() < 1e-12);
        assert_eq!(nozzle_at(&points, minutes(2.5)), None);
    }

    #[test]
    fn all_lanes_are_read_at_one_instant() {
        let strip = sample::strip(3, 2, 2.0);
        let blast = strip.hands.iter().find(|block| block.act == plan::Act::Blast).unwrap();
        let middle = Time::seconds((blast.from.to_seconds() + blast.to.to_seconds()) / 2.0).unwrap();
        let reading = read_at(&strip, middle);
        assert_eq!(reading.hands, Some(*blast));
        assert_eq!(reading.depth.len(), strip.depth.len());
        assert!(reading.nozzle.is_some() && !reading.door_may_open && reading.dust.unwrap() > 0.1);
    }
}
