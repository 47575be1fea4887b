//! What is covered around the stencil, so that neither the jet's edge nor rebound frosts it.

use artwork::bounds::Bounds;
use artwork::grid::Point;
use quantity::{Area, Length, Quantity as _};

/// The blank as the tape sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Face {
    /// A flat face; its edges and its other face are covered too.
    Panel {
        /// Left to right.
        width: Length,
        /// Top to bottom.
        height: Length,
        /// From face to face.
        thickness: Length,
    },
    /// A vessel's side, unrolled; its foot and its mouth are covered too.
    Vessel {
        /// The way around.
        around: Length,
        /// From rim to foot along the side.
        side: Length,
        /// The way around its rim.
        rim: Length,
        /// The way around its foot.
        foot: Length,
    },
}

/// A part of the blank that wants a cover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cover {
    /// Around the stencil, within reach of the jet when the hand turns: it takes direct hits, as the stencil does.
    Near(Area),
    /// The rest of the carved face: rebound only.
    Far(Area),
    /// A panel's edges.
    Edges(Area),
    /// Its other face.
    Back(Area),
    /// A vessel's foot.
    Foot(Area),
    /// Its mouth, closed, so that nothing frosts it from inside.
    Mouth(Area),
}

/// What to cover and how much tape it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct MaskingPlan {
    /// Where the stencil lies on the face.
    pub stencil: Bounds,
    /// How far past the stencil direct hits come.
    pub reach: Length,
    /// Strips around the stencil that take direct hits, in the face's millimetres.
    pub near: Vec<Bounds>,
    /// In the order in which it is covered.
    pub covers: Vec<Cover>,
    /// All of the carved face that the stencil leaves bare.
    pub exposed: Area,
    /// Along the stencil's edge, around the strips and along the blank's own edges, laps included.
    pub tape: Length,
}

/// Footprints of the jet that a hand runs past the end of a stroke. Judgement.
const OVERSHOOT: f64 = 1.0;
/// What tape takes more at corners and laps. Common practice, no source.
const LAPS: f64 = 0.1;

/// Plans the cover of a face around a stencil.
///
/// * `stencil`: the sheet of resist, in the face's millimetres; what hangs over the face is left out.
/// * `footprint`: radius of the jet on the work. The hand sweeps one of it around the openings and runs past by
///   another one (judgement): within twice of it the face takes direct hits, beyond it rebound only.
///
/// In a cabinet rebound comes from every side, so all that is bare is covered (common practice, no source).
#[must_use]
pub fn masking(face: Face, stencil: Bounds, footprint: Length) -> MaskingPlan {
    let (width, height) = face.size_mm();
    let whole = Bounds::from_size(width, height);
    let stencil = common(whole, stencil).unwrap_or(Bounds { min: whole.min, max: whole.min });
    let reach_mm = (1.0 + OVERSHOOT) * footprint.to_mm();
    let hit = common(whole, stencil.grown(reach_mm)).unwrap_or(stencil);
    let near = strips(hit, stencil);
    let near_mm2: f64 = near.iter().map(area_mm2).sum();
    let exposed_mm2 = width * height - area_mm2(&stencil);
    let area = |mm2: f64| Area::clamped(mm2.max(0.0) * 1e-6);
    let mut covers = vec![Cover::Near(area(near_mm2)), Cover::Far(area(exposed_mm2 - near_mm2))];
    covers.extend(face.others(area));
    let tape_mm = seam_mm(stencil, whole) + seam_mm(hit, whole) + face.edge_mm();
    MaskingPlan {
        stencil,
        reach: Length::clamped(reach_mm * 1e-3),
        near,
        covers,
        exposed: area(exposed_mm2),
        tape: Length::clamped((1.0 + LAPS) * tape_mm * 1e-3),
    }
}

impl Cover {
    /// How much of it.
    #[must_use]
    pub const fn area(&self) -> Area {
        match self {
            Self::Near(area)
            | Self::Far(area)
            | Self::Edges(area)
            | Self::Back(area)
            | Self::Foot(area)
            | Self::Mouth(area) => *area,
        }
    }
}

impl Face {
    fn size_mm(self) -> (f64, f64) {
        match self {
            Self::Panel { width, height, .. } => (width.to_mm(), height.to_mm()),
            Self::Vessel { around, side, .. } => (around.to_mm(), side.to_mm()),
        }
    }

    /// The blank's edges that are taped.
    fn edge_mm(self) -> f64 {
        match self {
            Self::Panel { width, height, .. } => 2.0 * (width.to_mm() + height.to_mm()),
            Self::Vessel { rim, foot, .. } => rim.to_mm() + foot.to_mm(),
        }
    }

    fn others(self, area: impl Fn(f64) -> Area) -> [Cover; 2] {
        let disc = |around: Length| area(around.to_mm() * around.to_mm() / (4.0 * std::f64::consts::PI));
        match self {
            Self::Panel { width, height, thickness } => [
                Cover::Edges(area(self.edge_mm() * thickness.to_mm())),
                Cover::Back(area(width.to_mm() * height.to_mm())),
            ],
            Self::Vessel { rim, foot, .. } => [Cover::Foot(disc(foot)), Cover::Mouth(disc(rim))],
        }
    }
}

fn area_mm2(b: &Bounds) -> f64 {
    b.width_mm() * b.height_mm()
}

fn common(a: Bounds, b: Bounds) -> Option<Bounds> {
    let min = Point { x: a.min.x.max(b.min.x), y: a.min.y.max(b.min.y) };
    let max = Point { x: a.max.x.min(b.max.x), y: a.max.y.min(b.max.y) };
    (min.x < max.x && min.y < max.y).then_some(Bounds { min, max })
}

/// What of a rectangle lies around one in it: above, below, left, right.
fn strips(outer: Bounds, inner: Bounds) -> Vec<Bounds> {
    let strip =
        |x0: f64, y0: f64, x1: f64, y1: f64| Bounds { min: Point { x: x0, y: y0 }, max: Point { x: x1, y: y1 } };
    let all = [
        strip(outer.min.x, outer.min.y, outer.max.x, inner.min.y),
        strip(outer.min.x, inner.max.y, outer.max.x, outer.max.y),
        strip(outer.min.x, inner.min.y, inner.min.x, inner.max.y),
        strip(inner.max.x, inner.min.y, outer.max.x, inner.max.y),
    ];
    all.into_iter().filter(|strip| strip.width_mm() > 1e-6 && strip.height_mm() > 1e-6).collect()
}

/// The edge of a rectangle that does not run along the face's own edge.
fn seam_mm(b: Bounds, face: Bounds) -> f64 {
    let inside = |a: f64, b: f64, length: f64| if (a - b).abs() > 1e-6 { length } else { 0.0 };
    inside(b.min.x, face.min.x, b.height_mm())
        + inside(b.max.x, face.max.x, b.height_mm())
        + inside(b.min.y, face.min.y, b.width_mm())
        + inside(b.max.y, face.max.y, b.width_mm())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(mm: f64) -> Length {
        Length::mm(mm).unwrap()
    }

    fn panel() -> Face {
        Face::Panel { width: mm(400.0), height: mm(600.0), thickness: mm(10.0) }
    }

    fn stencil(x0: f64, y0: f64, x1: f64, y1: f64) -> Bounds {
        Bounds { min: Point { x: x0, y: y0 }, max: Point { x: x1, y: y1 } }
    }

    #[test]
    fn a_stencil_in_the_middle_of_a_panel() {
        let plan = masking(panel(), stencil(100.0, 200.0, 300.0, 400.0), mm(10.0));
        let squares: Vec<f64> = plan.covers.iter().map(|cover| cover.area().to_square_mm()).collect();
        // 240 x 240 less 200 x 200; the face less the 240 x 240; 2 m of edge, 10 mm high; the back.
        let want = [17_600.0, 240_000.0 - 57_600.0, 20_000.0, 240_000.0];
        assert!(squares.iter().zip(want).all(|(found, want)| (found - want).abs() < 1e-6), "{squares:?}");
        // 0.8 m around the stencil, 0.96 m around the strips, 2 m around the panel, a tenth for laps.
        assert!((plan.tape.to_mm() - 1.1 * 3760.0).abs() < 1e-6, "{}", plan.tape.to_mm());
    }

    #[test]
    fn a_stencil_that_covers_the_face_leaves_its_edges_only() {
        let plan = masking(panel(), stencil(-20.0, -20.0, 420.0, 620.0), mm(10.0));
        assert!(plan.near.is_empty() && plan.exposed.to_square_mm() == 0.0);
        assert!((plan.tape.to_mm() - 1.1 * 2000.0).abs() < 1e-6);
    }

    #[test]
    fn a_tumblers_mouth_and_foot_are_discs() {
        let around = mm(80.0 * std::f64::consts::PI);
        let face = Face::Vessel { around, side: mm(120.0), rim: around, foot: around };
        let plan = masking(face, stencil(50.0, 20.0, 150.0, 90.0), mm(8.0));
        let mouth = plan.covers.last().unwrap().area().to_square_mm();
        assert!((mouth / (std::f64::consts::PI * 1600.0) - 1.0).abs() < 1e-9, "{mouth}");
    }

    proptest! {
        #[test]
        fn near_far_and_stencil_are_the_whole_face_whatever_lies_where(
            x in -50.0..450.0, y in -50.0..650.0, w in 1.0..500.0, h in 1.0..700.0, r in 0.0..80.0,
        ) {
            let plan = masking(panel(), stencil(x, y, x + w, y + h), mm(r));
            let covered = plan.covers[0].area().to_square_mm() + plan.covers[1].area().to_square_mm();
            let sheet = plan.stencil.width_mm() * plan.stencil.height_mm();
            prop_assert!((covered + sheet - 240_000.0).abs() < 1e-6);
            let near: f64 = plan.near.iter().map(area_mm2).sum();
            prop_assert!((near - plan.covers[0].area().to_square_mm()).abs() < 1e-6);
        }
    }
}
