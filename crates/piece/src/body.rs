//! A blank's form, and the flat sheet that artwork is placed on.

use quantity::{Diameter, Length};
use std::f64::consts::PI;

/// A blank's form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Body {
    /// A flat rectangle.
    Panel {
        /// Left to right.
        width: Length,
        /// Top to bottom.
        height: Length,
    },
    /// A straight-sided vessel: a cylinder, or a cone cut off at both ends.
    Tumbler {
        /// Outside, at the rim.
        diameter: Diameter,
        /// Outside, at the foot; equal for a cylinder.
        foot: Diameter,
        /// Of the straight side, upright.
        height: Length,
    },
    /// A vessel whose side is part of a ball, from its rim to its foot.
    Bowl {
        /// Outside, at the rim.
        diameter: Diameter,
        /// Outside, at the foot.
        foot: Diameter,
        /// From foot to rim, upright.
        height: Length,
    },
}

impl Body {
    /// Width of the flat surface that artwork is placed on: a vessel's is its circumference half-way down the side.
    #[must_use]
    pub fn sheet_width_mm(self) -> f64 {
        match self {
            Self::Panel { width, .. } => width.to_mm(),
            Self::Tumbler { .. } | Self::Bowl { .. } => self.around_mm(0.5 * self.sheet_height_mm()),
        }
    }

    /// Height of the flat surface that artwork is placed on: a vessel's is the length of its side.
    #[must_use]
    pub fn sheet_height_mm(self) -> f64 {
        match self {
            Self::Panel { height, .. } => height.to_mm(),
            Self::Tumbler { diameter, foot, height } => height.to_mm().hypot(0.5 * (diameter.to_mm() - foot.to_mm())),
            Self::Bowl { diameter, foot, height } => Ball::through(diameter, foot, height).side_mm(),
        }
    }

    /// The way around a vessel at a distance down its side; a panel's width.
    #[must_use]
    pub fn around_mm(self, down_mm: f64) -> f64 {
        match self {
            Self::Panel { width, .. } => width.to_mm(),
            Self::Tumbler { diameter, foot, .. } => {
                let share = down_mm / self.sheet_height_mm().max(f64::MIN_POSITIVE);
                PI * (diameter.to_mm() + (foot.to_mm() - diameter.to_mm()) * share)
            }
            Self::Bowl { diameter, foot, height } => {
                2.0 * PI * Ball::through(diameter, foot, height).radius_mm(down_mm)
            }
        }
    }

    /// Whether its side runs straight down: its stencil needs no bending.
    #[must_use]
    pub fn is_straight(self) -> bool {
        match self {
            Self::Panel { .. } => true,
            Self::Tumbler { diameter, foot, .. } => diameter == foot,
            Self::Bowl { .. } => false,
        }
    }
}

/// The ball through a bowl's rim and foot, as far as it is the bowl's side.
///
/// With the radii `c` of the rim and `f` of the foot and `h` between them, its middle lies `z = (c² - f² + h²) / 2h`
/// above the foot's plane and its radius is `sqrt(f² + z²)`; geometry. A bowl may be wider below its rim than there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// Its radius.
    ball_mm: f64,
    /// Angle of the rim from the pole under the foot.
    rim: f64,
    /// Angle of the foot.
    foot: f64,
}

impl Ball {
    /// From outside diameters of rim and foot, and a height above 0 between them.
    #[must_use]
    pub fn through(rim: Diameter, foot: Diameter, height: Length) -> Self {
        let (c, f, h) = (0.5 * rim.to_mm(), 0.5 * foot.to_mm(), height.to_mm().max(f64::MIN_POSITIVE));
        let z = (c * c - f * f + h * h) / (2.0 * h);
        Self { ball_mm: f.hypot(z), rim: c.atan2(z - h), foot: f.atan2(z) }
    }

    /// Of the whole ball, in mm.
    #[must_use]
    pub const fn radius_of_ball_mm(&self) -> f64 {
        self.ball_mm
    }

    /// The ball's middle, down from the rim's plane, in mm; negative when it lies above the rim.
    #[must_use]
    pub fn middle_mm(&self) -> f64 {
        -self.ball_mm * self.rim.cos()
    }

    /// From rim to foot along the side, in mm.
    #[must_use]
    pub fn side_mm(&self) -> f64 {
        self.ball_mm * (self.rim - self.foot)
    }

    /// Where it is widest, from the axis: at the rim, or at the ball's own equator when the side reaches it.
    #[must_use]
    pub fn widest_mm(&self) -> f64 {
        if self.rim > 0.5 * PI && self.foot < 0.5 * PI {
            self.ball_mm
        } else {
            self.ball_mm * self.rim.sin().max(self.foot.sin())
        }
    }

    /// From the axis, at a distance down the side, in mm.
    #[must_use]
    pub fn radius_mm(&self, down_mm: f64) -> f64 {
        self.ball_mm * self.angle(down_mm).sin()
    }

    /// Upright, down from the rim's plane, at a distance down the side, in mm.
    #[must_use]
    pub fn upright_mm(&self, down_mm: f64) -> f64 {
        self.ball_mm * (self.angle(down_mm).cos() - self.rim.cos())
    }

    /// Distance down the side at an upright distance down from the rim's plane, in mm; held between rim and foot.
    #[must_use]
    pub fn down_mm(&self, upright_mm: f64) -> f64 {
        let cosine = (self.rim.cos() + upright_mm / self.ball_mm).clamp(self.rim.cos(), self.foot.cos());
        self.ball_mm * (self.rim - cosine.acos())
    }

    fn angle(&self, down_mm: f64) -> f64 {
        self.rim - down_mm / self.ball_mm
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bowl(rim: f64, foot: f64, height: f64) -> (Body, Ball) {
        let [diameter, foot] = [rim, foot].map(|mm| Diameter::mm(mm).unwrap());
        let height = Length::mm(height).unwrap();
        (Body::Bowl { diameter, foot, height }, Ball::through(diameter, foot, height))
    }

    #[test]
    fn a_bowls_side_is_an_arc_from_its_rim_to_its_foot() {
        // Half a ball of 100 mm down to where it is 60 mm wide: 40 mm of height, and an arc of 50 (π/2 - asin 0.6).
        let (body, ball) = bowl(100.0, 60.0, 40.0);
        assert!((body.sheet_height_mm() - 50.0 * (PI / 2.0 - 0.6_f64.asin())).abs() < 1e-9);
        assert!((body.around_mm(0.0) - 100.0 * PI).abs() < 1e-9);
        assert!((body.around_mm(body.sheet_height_mm()) - 60.0 * PI).abs() < 1e-9);
        assert!(!body.is_straight());
        // Closed above its equator, it is wider below its rim.
        let (closed, _) = bowl(80.0, 60.0, 70.0);
        assert!(closed.around_mm(20.0) > closed.around_mm(0.0));
        assert!((ball.widest_mm() - 50.0).abs() < 1e-9);
        for share in [0.0, 0.3, 1.0] {
            let down = share * ball.side_mm();
            assert!((ball.down_mm(ball.upright_mm(down)) - down).abs() < 1e-6, "{share}");
        }
        assert!((ball.upright_mm(ball.side_mm()) - 40.0).abs() < 1e-9);
    }
}
