//! How the engine is to sweep over some lines.
//!
//! It goes from left to right and looks, among the lines that lie at that place, for those that cross the next. Kept in a
//! list they are all looked at; kept in a tree a few are, each at the cost of many. So a list is the quicker while few
//! lie abreast.

use i_overlay::core::solver::Solver;
use i_overlay::i_float::int::point::IntPoint;

/// Lines abreast on the mean up to which a list is taken. Dense waves of 9 to 32 abreast take 0.70 to 0.75 of a tree's
/// time; joined stars of 44 abreast take 1.4 times as long.
const ABREAST_MAX: f64 = 40.0;
/// Points up to which a list is taken: where all of them lie abreast in one place, against the mean, a list takes a tenth
/// of a second.
const POINTS_MAX: usize = 20_000;

/// What was added for one sweep.
#[derive(Debug, Default)]
pub(super) struct Sweep {
    points: usize,
    /// Lengths of all lines, from left to right alone.
    along: f64,
    ends: Option<(i32, i32)>,
}

impl Sweep {
    /// Counts a closed line.
    pub(super) fn add(&mut self, line: &[IntPoint<i32>]) {
        let Some(last) = line.last() else { return };
        let mut before = last.x;
        let (mut from, mut to) = self.ends.unwrap_or((before, before));
        for point in line {
            self.along += (f64::from(point.x) - f64::from(before)).abs();
            (from, to) = (from.min(point.x), to.max(point.x));
            before = point.x;
        }
        self.points += line.len();
        self.ends = Some((from, to));
    }

    /// The quicker way to sweep over it.
    pub(super) fn solver(&self) -> Solver {
        let width = self.ends.map_or(0.0, |(from, to)| f64::from(to) - f64::from(from));
        let few = self.points <= POINTS_MAX && self.along <= ABREAST_MAX * width;
        // Groups are shared out to threads already.
        if few { Solver { multithreading: None, ..Solver::LIST } } else { Solver::AUTO }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use i_overlay::core::solver::Strategy;

    /// A comb of upright teeth, or of level ones when it lies.
    fn comb(teeth: i32, lies: bool) -> Vec<IntPoint<i32>> {
        let corner = |(x, y)| if lies { IntPoint::new(y, x) } else { IntPoint::new(x, y) };
        let tooth = |i: i32| [(4 * i, 0), (4 * i, 1000), (4 * i + 2, 1000), (4 * i + 2, 0)];
        (0..teeth).flat_map(tooth).map(corner).collect()
    }

    #[test]
    fn few_lines_abreast_are_listed_and_many_are_not() {
        let strategy = |line: &[IntPoint<i32>]| {
            let mut sweep = Sweep::default();
            sweep.add(line);
            sweep.solver().strategy
        };
        assert_eq!(strategy(&comb(1000, false)), Strategy::List);
        assert_eq!(strategy(&comb(1000, true)), Strategy::Auto);
        assert_eq!(strategy(&comb(6000, false)), Strategy::Auto, "more points than a list is taken for");
        assert_eq!(strategy(&[]), Strategy::List);
    }
}
