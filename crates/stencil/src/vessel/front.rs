//! A round side as a gun sees it that stands still in front.

/// What a jet meets beside the middle of a cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromFront {
    /// Distance from the middle line as it is seen, mm.
    pub seen_mm: f64,
    /// How far the jet leans from the normal, degrees.
    pub angle_degrees: f64,
    /// How much longer the standoff is, mm.
    pub farther_mm: f64,
}

/// A place on a cylinder of a radius, `along_mm` of arc from the line nearest to the gun.
///
/// `x = R sin(s/R)`, angle `s/R`, standoff grows by `R (1 - cos(s/R))`.
/// Range: up to a quarter turn, beyond which the gun sees nothing (`None`).
/// Source: geometry. Checked: R 40, s 30 mm is seen at 27.27 mm, leans 43.0 degrees, stands 10.7 mm back.
#[must_use]
pub fn from_front(radius_mm: f64, along_mm: f64) -> Option<FromFront> {
    let angle = along_mm / radius_mm;
    (angle.abs() <= std::f64::consts::FRAC_PI_2).then(|| FromFront {
        seen_mm: radius_mm * angle.sin(),
        angle_degrees: angle.to_degrees(),
        farther_mm: radius_mm * (1.0 - angle.cos()),
    })
}
