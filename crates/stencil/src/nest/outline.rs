//! A drawing as one outline that can be laid.

use artwork::grid::Point;
use artwork::region::{Region, Ring, Rounding};
use language::say;
use quantity::Length;

/// What is cut around a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Around {
    /// A line that follows the drawing.
    Close,
    /// Its convex hull.
    Hull,
    /// An upright rectangle: a weed box.
    Rectangle,
}

/// Why a drawing has no outline.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", say!("nothing is drawn; draw at least one filled shape"))]
pub struct OutlineError;

/// How closely a round corner is followed, as a share of the border; and at least, in mm.
const ROUND: (f64, f64) = (0.02, 0.02);

/// The outline of a drawing with a border of resist around it. Holes are filled in: they are part of the piece.
///
/// What the border does not join into one piece, a close line cannot either; then it is the convex hull.
///
/// # Errors
/// [`OutlineError`] for an empty drawing.
pub fn outline(drawing: &Region, border: Length, around: Around) -> Result<Ring, OutlineError> {
    let border = border.to_mm();
    let bounds = drawing.bounds().ok_or(OutlineError)?.grown(border);
    let corners = [(bounds.min.x, bounds.min.y), (bounds.max.x, bounds.min.y), (bounds.max.x, bounds.max.y)];
    let corners = corners.into_iter().chain([(bounds.min.x, bounds.max.y)]);
    let grown = || match border {
        border if border > 0.0 => drawing.outset(border, (ROUND.0 * border).max(ROUND.1), Rounding::Grow),
        _ => drawing.clone(),
    };
    match around {
        Around::Rectangle => Ok(Ring(corners.map(|(x, y)| Point { x, y }).collect())),
        Around::Hull => hull(&grown()),
        Around::Close => match grown() {
            whole if whole.polygons().len() == 1 => Ok(whole.polygons()[0].outer.clone()),
            parts => hull(&parts),
        },
    }
}

/// Andrew's monotone chain (Information Processing Letters 9, 1979; from memory).
fn hull(region: &Region) -> Result<Ring, OutlineError> {
    let mut points: Vec<Point> = region.rings().flat_map(|ring| ring.0.iter().copied()).collect();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return Err(OutlineError);
    }
    let mut chain = half(points.iter().copied());
    chain.pop();
    let mut back = half(points.iter().rev().copied());
    back.pop();
    chain.append(&mut back);
    Ok(Ring(chain))
}

fn half(points: impl Iterator<Item = Point>) -> Vec<Point> {
    let mut chain: Vec<Point> = Vec::new();
    for point in points {
        while let [.., a, b] = chain[..]
            && (b.x - a.x) * (point.y - a.y) - (b.y - a.y) * (point.x - a.x) <= 0.0
        {
            chain.pop();
        }
        chain.push(point);
    }
    chain
}
