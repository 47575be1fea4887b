//! How far light walks under the edge of a film.

use quantity::{Length, Quantity};

/// Half-angle in radians under which a lamp of a radius is seen from a distance: `atan(r / h)`.
#[must_use]
pub fn half_angle(lamp_radius: Length, distance: Length) -> f64 {
    lamp_radius.to_metres().atan2(distance.to_metres())
}

/// How far light walks under the film's edge at the bottom of the resist:
/// `u = g tan a + t tan(asin(sin a / n))`.
///
/// * `angle`: half-angle `a` of the source, radians, below a right angle. * `gap`: air between film and
///   resist, 0 in a vacuum frame with the emulsion down. * `resist`: its thickness `t`.
/// * `index`: refractive index of the resist, about 1.5.
///
/// Clear lines of the film grow by up to twice this, black lines (which wash out) shrink by as much.
/// Source: refraction, geometry. Checked: 60 degrees, 100 µm, n 1.5 gives 70.7 µm.
#[must_use]
pub fn edge_shift(angle: f64, gap: Length, resist: Length, index: f64) -> Length {
    let inside = (angle.sin() / index).asin();
    Length::clamped(gap.to_metres() * angle.tan() + resist.to_metres() * inside.tan())
}

/// Narrowest black line that still washes out to the ground: both of its edges' shift and what the process
/// loses, and no less than the resist is thick (common practice, no source: no published limit was met).
#[must_use]
pub fn narrowest_line(edge_shift: Length, process_loss: Length, resist: Length) -> Length {
    let optical = 2.0 * edge_shift.to_metres() + process_loss.to_metres();
    Length::clamped(optical.max(resist.to_metres()))
}
