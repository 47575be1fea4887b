//! Where a time or a value lies on the page, and which ones get a tick.

use quantity::{Quantity as _, Time};

/// The strip's time axis: where an instant lies. Linear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeAxis {
    /// Place of the start.
    pub left_mm: f64,
    /// Place of the end.
    pub right_mm: f64,
    /// Time from start to end; above zero.
    pub length: Time,
}

impl TimeAxis {
    /// The place of an instant, inside the axis.
    #[must_use]
    pub fn x_mm(&self, time: Time) -> f64 {
        let share = (time.to_seconds() / self.seconds()).clamp(0.0, 1.0);
        self.left_mm + share * (self.right_mm - self.left_mm)
    }

    /// The instant at a place.
    #[must_use]
    pub fn time_at(&self, x_mm: f64) -> Time {
        let share = ((x_mm - self.left_mm) / (self.right_mm - self.left_mm)).clamp(0.0, 1.0);
        Time::clamped(share * self.seconds())
    }

    /// Ticks in whole or half minutes, at least `apart_mm` from each other.
    pub(crate) fn ticks(&self, apart_mm: f64) -> Vec<Time> {
        const STEPS_MIN: [f64; 12] = [0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 240.0, 480.0];
        let minutes = self.seconds() / 60.0;
        let mm_per_minute = (self.right_mm - self.left_mm) / minutes;
        let wide = |step: &&f64| **step * mm_per_minute >= apart_mm;
        let step = STEPS_MIN.iter().find(wide).copied().unwrap_or(minutes);
        let count = (minutes / step + 1e-9).floor() as usize;
        (0..=count).map(|i| Time::clamped(i as f64 * step * 60.0)).collect()
    }

    fn seconds(&self) -> f64 {
        self.length.to_seconds().max(1.0)
    }
}

/// A lane's value axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ValueAxis {
    /// Top of the plot.
    pub(crate) top_mm: f64,
    /// Bottom of the plot.
    pub(crate) bottom_mm: f64,
    /// Value at the top.
    pub(crate) at_top: f64,
    /// Value at the bottom.
    pub(crate) at_bottom: f64,
}

impl ValueAxis {
    /// The place of a value, inside the plot.
    pub(crate) fn y_mm(&self, value: f64) -> f64 {
        let share = ((value - self.at_top) / (self.at_bottom - self.at_top)).clamp(0.0, 1.0);
        self.top_mm + share * (self.bottom_mm - self.top_mm)
    }

    /// Height of the plot.
    pub(crate) fn height_mm(&self) -> f64 {
        self.bottom_mm - self.top_mm
    }
}

/// Round values from 0 to `most`, at most `count` steps apart: 1, 2 or 5 times a power of ten.
pub(crate) fn round_values(most: f64, count: usize) -> Vec<f64> {
    let step = round_step(most / count as f64);
    let steps = (most / step + 1e-6).floor() as usize;
    (0..=steps).map(|i| i as f64 * step).collect()
}

/// The least of 1, 2, 5 times a power of ten that is not below `least`.
fn round_step(least: f64) -> f64 {
    let decade = 10f64.powf(least.max(1e-9).log10().floor());
    let fits = |factor: &f64| factor * decade >= least * (1.0 - 1e-9);
    [1.0, 2.0, 5.0].into_iter().find(fits).unwrap_or(10.0) * decade
}

/// A tick's number: as many decimals as its step needs.
pub(crate) fn tick_number(value: f64, ticks: &[f64]) -> String {
    let step = ticks.get(1).copied().unwrap_or(1.0);
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    language::number(format!("{value:.decimals$}"))
}

/// Moves labels apart: each as near to where it is wanted as `gap` from its neighbours and the
/// ends `low` and `high` allow. Too many for the room are spread evenly over it.
pub(crate) fn spread(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    let between = wanted.len().saturating_sub(1).max(1) as f64;
    let gap = gap.min((high - low).max(0.0) / between);
    let mut placed = vec![0.0; wanted.len()];
    let mut least = low;
    for &i in &order {
        placed[i] = f64::max(wanted[i], least);
        least = placed[i] + gap;
    }
    let mut most = high;
    for &i in order.iter().rev() {
        placed[i] = placed[i].min(most);
        most = placed[i] - gap;
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_and_its_instant_belong_together() {
        let axis = TimeAxis { left_mm: 30.0, right_mm: 150.0, length: Time::minutes(40.0).unwrap() };
        let ten = Time::minutes(10.0).unwrap();
        assert_eq!(axis.x_mm(ten), 60.0);
        assert!((axis.time_at(60.0).to_minutes() - 10.0).abs() < 1e-12);
        assert_eq!(axis.time_at(-5.0).to_seconds(), 0.0);
    }

    #[test]
    fn ticks_never_crowd() {
        for minutes in [0.2, 1.0, 3.0, 14.0, 47.0, 200.0, 3000.0] {
            let axis = TimeAxis { left_mm: 0.0, right_mm: 120.0, length: Time::minutes(minutes).unwrap() };
            let places: Vec<f64> = axis.ticks(10.0).into_iter().map(|tick| axis.x_mm(tick)).collect();
            assert!(places.windows(2).all(|pair| pair[1] - pair[0] >= 9.99), "{minutes} min: {places:?}");
            assert!(places.len() <= 13, "{minutes} min: {places:?}");
        }
    }

    #[test]
    fn values_are_round() {
        assert_eq!(round_values(2.1, 4), [0.0, 1.0, 2.0]);
        assert_eq!(round_values(9.7, 5), [0.0, 2.0, 4.0, 6.0, 8.0]);
        assert_eq!(round_values(0.45, 5), [0.0, 0.1, 0.2, 0.30000000000000004, 0.4]);
        assert_eq!(tick_number(0.30000000000000004, &[0.0, 0.1]), "0.3");
        assert_eq!(tick_number(20.0, &[0.0, 20.0]), "20");
    }

    #[test]
    fn labels_keep_their_order_and_distance() {
        let placed = spread(&[5.0, 5.1, 0.0, 9.9], 2.0, 0.0, 10.0);
        assert_eq!(placed, [5.0, 7.0, 0.0, 9.9]);
        let crowded = spread(&[10.0, 10.0, 10.0], 2.0, 0.0, 10.0);
        assert_eq!(crowded, [6.0, 8.0, 10.0]);
        assert_eq!(spread(&[1.0; 6], 5.0, 0.0, 10.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
    }
}
