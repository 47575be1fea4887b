//! Where a pattern's tiles lie.

/// Most tiles that one pattern is drawn in; more is a tone, not a drawing.
const TILES_MAX: f64 = 2_000.0;

/// Corners of the tiles that touch a rectangle, all in the pattern's own units; `None` when there are too many.
pub(super) fn tiles(pattern: &usvg::Pattern, around: kurbo::Rect) -> Option<Vec<(f32, f32)>> {
    let tile = pattern.rect();
    let range = |low: f64, high: f64, start: f32, step: f32| {
        let index = |at: f64| (at - f64::from(start)) / f64::from(step);
        (index(low).floor(), index(high).ceil())
    };
    let (left, right) = range(around.x0, around.x1, tile.x(), tile.width());
    let (top, bottom) = range(around.y0, around.y1, tile.y(), tile.height());
    let count = (right - left) * (bottom - top);
    if !count.is_finite() || count > TILES_MAX || left.abs().max(top.abs()) > 1e6 {
        return None;
    }
    let at = |start: f32, step: f32, index: i64| start + step * index as f32;
    let rows = (top as i64..bottom as i64).flat_map(|row| (left as i64..right as i64).map(move |column| (column, row)));
    Some(rows.map(|(c, r)| (at(tile.x(), tile.width(), c), at(tile.y(), tile.height(), r))).collect())
}
