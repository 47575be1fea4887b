//! A bowl in gores: narrow strips from rim to foot, each nearly flat.

use super::VesselError;
use super::lay::{bent, mapped};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use quantity::{Area, Diameter, Fraction, Length, Quantity};
use std::f64::consts::PI;

/// The part of a ball between two parallel circles: a bowl from its rim to its foot, or a whole ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bowl {
    ball_mm: f64,
    /// Angles from the pole under the foot.
    foot: f64,
    rim: f64,
}

impl Bowl {
    /// From outside diameters of rim and foot and the upright height between them.
    ///
    /// A foot of no width is the ball's pole: give the least diameter that there is. The ball through both
    /// circles: `z = (c² - f² + h²) / 2h`, `a² = f² + z²`.
    ///
    /// # Errors
    /// [`VesselError::NoDepth`] when the height is 0.
    pub fn new(rim: Diameter, foot: Diameter, height: Length) -> Result<Self, VesselError> {
        let (c, f, h) = (0.5 * rim.to_mm(), 0.5 * foot.to_mm(), height.to_mm());
        if h <= 0.0 {
            return Err(VesselError::NoDepth);
        }
        let z = (c * c - f * f + h * h) / (2.0 * h);
        Ok(Self { ball_mm: f.hypot(z), foot: f.atan2(z), rim: c.atan2(z - h) })
    }

    /// A whole ball from pole to pole.
    #[must_use]
    pub fn ball(diameter: Diameter) -> Self {
        Self { ball_mm: 0.5 * diameter.to_mm(), foot: 0.0, rim: PI }
    }

    /// The surface in the middle of a film that lies on this one; the same angles on a ball larger by half the film.
    #[must_use]
    pub fn under_film(self, film: Length) -> Self {
        Self { ball_mm: self.ball_mm + 0.5 * film.to_mm(), ..self }
    }

    /// Radius of the ball, mm.
    #[must_use]
    pub fn ball_radius_mm(&self) -> f64 {
        self.ball_mm
    }

    /// From rim to foot along the glass, mm.
    #[must_use]
    pub fn side_mm(&self) -> f64 {
        self.ball_mm * (self.rim - self.foot)
    }

    /// Area between rim and foot: `2 π a² (cos θ_foot - cos θ_rim)`.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::clamped(2.0 * PI * self.ball_mm.powi(2) * (self.foot.cos() - self.rim.cos()) * 1e-6)
    }

    /// From the axis, at a distance down from the rim along the glass, mm.
    #[must_use]
    pub fn radius_mm(&self, down_mm: f64) -> f64 {
        self.ball_mm * self.angle(down_mm).sin()
    }

    /// Upright, down from the rim's plane, at a distance down from the rim along the glass, mm.
    #[must_use]
    pub fn upright_mm(&self, down_mm: f64) -> f64 {
        self.ball_mm * (self.angle(down_mm).cos() - self.rim.cos())
    }

    /// The angle from the pole at a distance down from the rim.
    fn angle(&self, down_mm: f64) -> f64 {
        self.rim - down_mm / self.ball_mm
    }

    /// Steepest slope of the gore's narrowing within the bowl: |cos θ| at the end nearest to a pole.
    fn steepest(&self) -> f64 {
        self.rim.cos().abs().max(self.foot.cos().abs())
    }
}

/// A bowl cut into equal gores whose middle lines and level lines keep their lengths.
///
/// Half-width at the angle `θ` from the pole: `a (π/n) sin θ`. The edges come out too long: their strain is
/// `sqrt(1 + (π/n)² cos² θ) - 1`, largest at the end nearest to a pole. The film must take that up by
/// shrinking or by small folds.
/// Source: sinusoidal (equal-area) gores, geometry.
/// Checked: 12 gores on a whole ball are 3.370 % too long at the pole and 1.692 % in the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gores {
    bowl: Bowl,
    count: usize,
}

/// Whether a film takes the strain of its gores.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GoreCheck {
    /// The largest strain.
    pub strain: Fraction,
    /// What the film takes.
    pub limit: Fraction,
    /// Whether it does.
    pub holds: bool,
    /// The least number of gores with which it would; `None` for a film that takes none.
    pub least_count: Option<usize>,
}

/// Fewest gores that are drawn: with fewer a gore is wider than it is long.
const COUNT_MIN: usize = 3;

impl Gores {
    /// A bowl in this many gores.
    ///
    /// # Errors
    /// [`VesselError::TooFewGores`] below 3.
    pub fn new(bowl: Bowl, count: usize) -> Result<Self, VesselError> {
        if count < COUNT_MIN {
            return Err(VesselError::TooFewGores { count, least: COUNT_MIN });
        }
        Ok(Self { bowl, count })
    }

    /// How many.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.count
    }

    /// Strain of the edge at an angle from the pole in radians, as a share.
    #[must_use]
    pub fn strain_at(&self, angle: f64) -> f64 {
        overlength(self.step() * angle.cos())
    }

    /// The largest strain anywhere.
    #[must_use]
    pub fn largest_strain(&self) -> f64 {
        overlength(self.step() * self.bowl.steepest())
    }

    /// How much longer an edge is than the glass under it, all along, as a share.
    ///
    /// From pole to pole `(2/π) E(-(π/n)²) - 1`; by Simpson's rule over 256 steps, 1e-12.
    #[must_use]
    pub fn mean_strain(&self) -> f64 {
        let (from, to) = (self.bowl.foot, self.bowl.rim);
        let at = |i: u32| self.strain_at(from + (to - from) * f64::from(i) / 256.0);
        let weight = |i: u32| {
            if i == 0 || i == 256 {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            }
        };
        (0..=256).map(|i| weight(i) * at(i)).sum::<f64>() / (3.0 * 256.0)
    }

    /// Holds the largest strain against what the film takes.
    ///
    /// Soft film 1 to 3 %, stiff film and thick rubber less (common practice, no source).
    #[must_use]
    pub fn check(&self, limit: Fraction) -> GoreCheck {
        let (strain, allowed) = (self.largest_strain(), limit.to_ratio());
        let least = PI * self.bowl.steepest() / ((1.0 + allowed).powi(2) - 1.0).sqrt();
        GoreCheck {
            strain: Fraction::clamped(strain),
            limit,
            holds: strain <= allowed,
            least_count: (allowed > 0.0).then(|| (least.ceil() as usize).max(COUNT_MIN)),
        }
    }

    /// One gore's outline on the sheet: x from its middle line, y down from the rim.
    #[must_use]
    pub fn outline(&self, tolerance_mm: f64) -> Ring {
        let half = self.step();
        let corners = [(-half, 0.0), (half, 0.0), (half, self.bowl.side_mm()), (-half, self.bowl.side_mm())];
        bent(&Ring(corners.map(|(x, y)| Point { x, y }).to_vec()), tolerance_mm, &|p| self.on_gore(p.x, p.y))
    }

    /// Artwork on the gores, from the first, whose middle line is the artwork's `middle`, to the right.
    ///
    /// Level lines of the artwork run along the rim; it keeps its width at `true_at` down from the rim.
    ///
    /// # Errors
    /// [`VesselError::PastRim`] and [`VesselError::PastSeam`] when it is too high or too wide.
    pub fn lay(
        &self,
        artwork: &Region,
        middle: Point,
        down: Length,
        true_at: Length,
        tolerance_mm: f64,
    ) -> Result<Vec<Region>, VesselError> {
        let radius = self.bowl.ball_mm * self.bowl.angle(true_at.to_mm()).sin();
        let down_of = |p: Point| p.y - middle.y + down.to_mm();
        if let Some(around) = artwork.bounds() {
            let (from_mm, to_mm, side_mm) = (down_of(around.min), down_of(around.max), self.bowl.side_mm());
            if from_mm < 0.0 || to_mm > side_mm {
                return Err(VesselError::PastRim { from_mm, to_mm, side_mm });
            }
            let turns = around.width_mm() / (2.0 * PI * radius);
            if turns > 1.0 {
                return Err(VesselError::PastSeam { turns });
            }
        }
        let pitch = 2.0 * self.step() * radius;
        let gore = |i: usize| {
            // Artwork reaches from half a turn left of the middle to half a turn right; both are looked at.
            let turns = [0.0, -1.0].map(|turn| middle.x + (i as f64 + turn * self.count as f64) * pitch);
            let parts = turns.map(|x| {
                let part = artwork.intersect(&upright(x, 0.5 * pitch, artwork));
                mapped(&part, tolerance_mm, |p| self.on_gore((p.x - x) / radius, down_of(p)))
            });
            parts[0].union(&parts[1])
        };
        Ok((0..self.count).map(gore).collect())
    }

    /// Half the angle of a gore around the axis.
    fn step(&self) -> f64 {
        PI / self.count as f64
    }

    fn on_gore(&self, azimuth: f64, down_mm: f64) -> Point {
        Point { x: azimuth * self.bowl.ball_mm * self.bowl.angle(down_mm).sin(), y: down_mm }
    }
}

/// `sqrt(1 + x²) - 1` without losing digits.
fn overlength(x: f64) -> f64 {
    x * x / ((1.0 + x * x).sqrt() + 1.0)
}

fn upright(x_mm: f64, half_mm: f64, artwork: &Region) -> Region {
    let around = artwork.bounds().unwrap_or(Bounds::from_size(1.0, 1.0)).grown(1.0);
    let (min, max) = (Point { x: x_mm - half_mm, ..around.min }, Point { x: x_mm + half_mm, ..around.max });
    Region::from_rings(
        &[Ring(vec![min, Point { x: max.x, y: min.y }, max, Point { x: min.x, y: max.y }])],
        FillRule::NonZero,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bowl() -> Bowl {
        let d = |mm| Diameter::mm(mm).unwrap();
        Bowl::new(d(160.0), d(60.0), Length::mm(70.0).unwrap()).unwrap()
    }

    #[test]
    fn rim_and_foot_lie_on_the_ball() {
        let bowl = bowl();
        let (a, z) = (bowl.ball_mm, |angle: f64| bowl.ball_mm * angle.cos());
        assert!((a * bowl.rim.sin() - 80.0).abs() < 1e-9 && (a * bowl.foot.sin() - 30.0).abs() < 1e-9);
        assert!((z(bowl.foot) - z(bowl.rim) - 70.0).abs() < 1e-9);
    }

    #[test]
    fn gores_cover_the_bowls_area_and_their_edges_are_too_long_by_the_closed_form() {
        for (bowl, count) in [(bowl(), 8), (bowl(), 24), (Bowl::ball(Diameter::mm(100.0).unwrap()), 12)] {
            let gores = Gores::new(bowl, count).unwrap();
            let ring = gores.outline(1e-6);
            let area = ring.signed_area_mm2().abs() * count as f64;
            assert!((area / bowl.area().to_square_mm() - 1.0).abs() < 1e-6, "{area}");
            // One long side of the outline, chord by chord, against the mean strain.
            let right: Vec<Point> = ring.0.iter().copied().filter(|p| p.x >= 0.0).collect();
            let edge: f64 =
                right.windows(2).filter(|w| w[1].y > w[0].y).map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y)).sum();
            let side = right.iter().map(|p| p.y).fold(0.0, f64::max);
            let found = edge / side - 1.0;
            assert!((found - gores.mean_strain()).abs() < 2e-4 * (1.0 + found), "{found} {}", gores.mean_strain());
            assert!(gores.largest_strain() >= gores.mean_strain());
        }
    }

    #[test]
    fn the_count_that_is_named_is_the_least_that_holds() {
        for percent in [0.5, 1.0, 2.0, 3.0] {
            let limit = Fraction::percent(percent).unwrap();
            let least = Gores::new(bowl(), 4).unwrap().check(limit).least_count.unwrap();
            let holds = |count| Gores::new(bowl(), count).unwrap().check(limit).holds;
            assert!(holds(least) && !holds(least - 1), "{percent} % {least}");
        }
        let stiff = Gores::new(bowl(), 36).unwrap().check(Fraction::percent(0.0).unwrap());
        assert!(!stiff.holds && stiff.least_count.is_none());
    }

    #[test]
    fn artwork_is_shared_out_among_the_gores_without_loss() {
        let gores = Gores::new(bowl(), 12).unwrap();
        let square = Region::rectangle(Bounds { min: Point { x: -30.0, y: 0.0 }, max: Point { x: 50.0, y: 0.5 } });
        let mm = |mm| Length::mm(mm).unwrap();
        let laid = gores.lay(&square, Point::default(), mm(20.0), mm(20.25), 1e-3).unwrap();
        let area: f64 = laid.iter().map(|part| part.area().to_square_mm()).sum();
        assert!((area / 40.0 - 1.0).abs() < 1e-3, "{area}");
        // 2.4 gores wide: some on gores 11, 0 and 1, none opposite.
        assert!(!laid[0].is_empty() && !laid[1].is_empty() && !laid[11].is_empty() && laid[6].is_empty());
        let high = gores.lay(&square, Point::default(), mm(200.0), mm(20.0), 1e-3);
        assert!(matches!(high, Err(VesselError::PastRim { .. })));
    }
}
