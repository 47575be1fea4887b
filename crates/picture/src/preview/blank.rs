//! Where the blank lies in a picture.

use super::PreviewOptions;
use artwork::grid::Point;
use piece::{Ball, Body};

/// A picture's place: its scale, and the place on the blank of its top left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Width in pixels.
    pub width_px: u32,
    /// Height in pixels.
    pub height_px: u32,
    /// Pixels in a millimetre.
    pub px_per_mm: f64,
    /// The picture's top left corner, in the blank's millimetres (negative: there is ground around it).
    /// For a tumbler: in millimetres from the top left of its outline as it is seen.
    pub origin: Point,
}

/// How much of a vessel's radius its rim seems high: the sine of the angle it is seen from above.
pub(super) const TILT: f64 = 0.13;

impl Frame {
    pub(super) fn around(body: Body, options: &PreviewOptions) -> Self {
        let (width_mm, height_mm) = seen_size(body);
        let margin_mm = options.margin.clamp(0.0, 0.5) * f64::max(width_mm, height_mm);
        let (wide, high) = (width_mm + 2.0 * margin_mm, height_mm + 2.0 * margin_mm);
        let width_px = options.width_px.clamp(16, 8192);
        let by_width = f64::from(width_px) / wide;
        let height_px = match options.height_px {
            Some(height) => height.clamp(16, 8192),
            None => ((by_width * high).round() as u32).clamp(16, 8192),
        };
        let px_per_mm = f64::min(by_width, f64::from(height_px) / high);
        let origin = Point {
            x: 0.5 * (width_mm - f64::from(width_px) / px_per_mm),
            y: 0.5 * (height_mm - f64::from(height_px) / px_per_mm),
        };
        Self { width_px, height_px, px_per_mm, origin }
    }

    /// Width of the picture in the blank's millimetres.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        f64::from(self.width_px) / self.px_per_mm
    }

    /// Height of the picture in the blank's millimetres.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        f64::from(self.height_px) / self.px_per_mm
    }
}

/// The size of the outline, in millimetres.
fn seen_size(body: Body) -> (f64, f64) {
    match body {
        Body::Panel { width, height } => (width.to_mm(), height.to_mm()),
        Body::Tumbler { diameter, foot, height } => {
            let (rim, foot) = (diameter.to_mm(), foot.to_mm());
            (rim.max(foot), height.to_mm() + 0.5 * TILT * (rim + foot))
        }
        Body::Bowl { diameter, foot, height } => {
            let ball = Ball::through(diameter, foot, height);
            // The lowest place that is seen is the foot's, or, of a flat bowl, one above it that comes forward.
            let reach = |share: f64| {
                let down = share * ball.side_mm();
                ball.upright_mm(down) + TILT * ball.radius_mm(down)
            };
            let lowest = (0..=32).map(|i| reach(f64::from(i) / 32.0)).fold(0.0, f64::max);
            (2.0 * ball.widest_mm(), lowest + 0.5 * TILT * diameter.to_mm())
        }
    }
}
