//! Where the lines of an export grid lie along one side of the blank.

/// `2^power + 1` places from one edge of the blank to the other, rising: one step from each edge to the artwork, the
/// rest even across it. What lies between artwork and edge is flat and needs no more.
///
/// * `length`: of the blank. * `from`, `to`: what the artwork's cells span, in millimetres; cut off at the edges.
pub(super) fn lines(length: f64, from: f64, to: f64, power: u32) -> Vec<f64> {
    let count = 1usize << power;
    let (from, to) = (from.clamp(0.0, length), to.clamp(0.0, length));
    // A border thinner than this is none: its triangles would be needles.
    let least = 1e-3 * length;
    let (before, after) = (from > least, to < length - least);
    let (start, end) = (if before { from } else { 0.0 }, if after { to } else { length });
    let inner = count - usize::from(before) - usize::from(after);
    let mut lines = Vec::with_capacity(count + 1);
    lines.extend(before.then_some(0.0));
    lines.extend((0..=inner).map(|i| start + (end - start) * i as f64 / inner as f64));
    lines.extend(after.then_some(length));
    lines
}

/// The least power of two that has about a step for each cell, so that a surface keeps its detail; 2^12 at most.
pub(super) fn power(cells: usize) -> u32 {
    (3..=POWER_MAX).find(|power| f64::from(1u32 << power) >= 0.8 * cells as f64).unwrap_or(POWER_MAX)
}

/// 4097 lines each way: 17 million places, 200 MB while a solid is made.
const POWER_MAX: u32 = 12;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_rise_from_edge_to_edge_whatever_the_artwork_leaves_free() {
        for (from, to) in [(0.0, 80.0), (-1.5, 30.0), (20.0, 81.5), (20.0, 60.0), (1e-5, 79.99999)] {
            let lines = lines(80.0, from, to, 5);
            assert_eq!((lines.len(), lines[0], lines[32]), (33, 0.0, 80.0), "{from} to {to}");
            assert!(lines.windows(2).all(|pair| pair[1] - pair[0] > 1e-3), "{from} to {to}: {lines:?}");
        }
    }

    #[test]
    fn as_many_lines_as_cells_and_no_more_than_fit() {
        assert_eq!([1, 10, 100, 1000, 4000, 100_000].map(power), [3, 3, 7, 10, 12, 12]);
    }
}
