//! A straight-sided vessel, cylinder or cone, unrolled without any strain.

use super::VesselError;
use artwork::grid::Point;
use quantity::{Area, Diameter, Length, Quantity};
use std::f64::consts::{FRAC_PI_2, PI};

/// A tumbler's side: a cone cut off at both ends, or a cylinder when both diameters agree.
///
/// On its side a place has an azimuth and a distance down along the slant ([`OnSide`]). On the sheet x
/// runs to the right from the middle and y down from the upper rim's middle, in mm.
///
/// With `r(d) = r_up - k d`, `k = (r_up - r_low) / s`, `s = sqrt(h² + (r_up - r_low)²)`, a place at
/// azimuth `ψ` and slant `d` lies at
/// `x = r(d) sin(kψ)/k`, `y = d + r(d) (1 - cos(kψ))/k`.
/// This is the sector of the cone's apex, written so that it stays exact as `k` goes to 0, where it is
/// the cylinder's rectangle.
/// Source: development of a frustum, standard sheet-metal geometry; the published example of diameters 8
/// and 5, 4 apart, has radii 7.12 and 11.39 and 126.4 degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frustum {
    upper_mm: f64,
    lower_mm: f64,
    height_mm: f64,
}

/// A place on the side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnSide {
    /// Angle around the axis in radians, 0 in the middle of the sheet, growing to the right.
    pub azimuth: f64,
    /// Distance along the slant from the upper rim, in mm.
    pub down_mm: f64,
}

impl Frustum {
    /// From outside diameters at the upper and lower end of what is covered, and its upright height.
    ///
    /// # Errors
    /// [`VesselError::NoSide`] when both diameters agree and the height is 0.
    pub fn new(upper: Diameter, lower: Diameter, height: Length) -> Result<Self, VesselError> {
        let [upper_mm, lower_mm] = [upper, lower].map(|d| 0.5 * d.to_mm());
        let side = Self { upper_mm, lower_mm, height_mm: height.to_mm() };
        if side.slant_mm() > 0.0 { Ok(side) } else { Err(VesselError::NoSide) }
    }

    /// The surface in the middle of a film that lies on this one: where bending strains nothing.
    ///
    /// A cylinder of diameter `D` under a film `t` takes a sheet `π (D + t)` long (common practice; the
    /// middle being neutral is the theory of thin plates).
    #[must_use]
    pub fn under_film(self, film: Length) -> Self {
        // Half the thickness along the normal, which leans from the radius by the slope.
        let out = 0.5 * film.to_mm() * self.height_mm / self.slant_mm();
        Self { upper_mm: self.upper_mm + out, lower_mm: self.lower_mm + out, ..self }
    }

    /// Length of the side along its slant, mm.
    #[must_use]
    pub fn slant_mm(&self) -> f64 {
        self.height_mm.hypot(self.upper_mm - self.lower_mm)
    }

    /// Radius around the axis at a distance down the slant, mm.
    #[must_use]
    pub fn radius_mm(&self, down_mm: f64) -> f64 {
        self.upper_mm - self.taper() * down_mm
    }

    /// Radius lost for each millimetre of slant: the sine of the half-angle at the apex, positive when
    /// wide above.
    #[must_use]
    pub fn taper(&self) -> f64 {
        (self.upper_mm - self.lower_mm) / self.slant_mm()
    }

    /// Angle of the unrolled sector in radians, 0 for a cylinder.
    #[must_use]
    pub fn sector(&self) -> f64 {
        2.0 * PI * self.taper().abs()
    }

    /// The sector's outer and inner radius in mm; `None` for a cylinder, whose sheet is a rectangle.
    #[must_use]
    pub fn radii_mm(&self) -> Option<(f64, f64)> {
        let k = self.taper().abs();
        (k > 0.0).then(|| (self.upper_mm.max(self.lower_mm) / k, self.upper_mm.min(self.lower_mm) / k))
    }

    /// Area of the side: `π (R + r) s`.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::clamped(PI * (self.upper_mm + self.lower_mm) * self.slant_mm() * 1e-6)
    }

    /// Width and height of the upright rectangle around the whole sheet, mm.
    ///
    /// `θ ≤ π`: `2 Ro sin(θ/2)` by `Ro - Ri cos(θ/2)`; above: `2 Ro` by `Ro (1 - cos(θ/2))`.
    #[must_use]
    pub fn sheet_mm(&self) -> (f64, f64) {
        let (wide, k) = (self.upper_mm.max(self.lower_mm), self.taper().abs());
        let half = PI * k;
        if half > FRAC_PI_2 {
            return (2.0 * wide / k, wide / k * (1.0 - half.cos()));
        }
        // Ro - Ri cos = s + Ri (1 - cos), and Ri (1 - cos) = r π² k/2 sinc²: no difference of large radii.
        let sag = 0.5 * self.upper_mm.min(self.lower_mm) * PI * PI * k * sinc(0.5 * half).powi(2);
        (2.0 * wide * PI * sinc(half), self.slant_mm() + sag)
    }

    /// Where a place of the side lies on the sheet, mm.
    #[must_use]
    pub fn sheet(&self, place: OnSide) -> Point {
        let (k, r) = (self.taper(), self.radius_mm(place.down_mm));
        let turn = k * place.azimuth;
        let along = r * place.azimuth;
        Point { x: along * sinc(turn), y: place.down_mm + 0.5 * along * place.azimuth * k * sinc(0.5 * turn).powi(2) }
    }

    /// Which place of the side a point of the sheet covers: the inverse of [`Self::sheet`].
    #[must_use]
    pub fn side(&self, point: Point) -> OnSide {
        let (k, r) = (self.taper(), self.upper_mm);
        let (across, along) = (k * point.x / r, 1.0 - k * point.y / r);
        let down_mm = (2.0 * point.y - k * (point.x * point.x + point.y * point.y) / r) / (1.0 + across.hypot(along));
        let azimuth = if k == 0.0 { point.x / r } else { across.atan2(along) / k };
        OnSide { azimuth, down_mm }
    }

    /// Where a place is in space, mm: x to the right, y down along the axis, z towards the eye; the axis
    /// meets the upper rim's plane at the origin.
    #[must_use]
    pub fn space_mm(&self, place: OnSide) -> [f64; 3] {
        let r = self.radius_mm(place.down_mm);
        let down = place.down_mm * self.height_mm / self.slant_mm();
        [r * place.azimuth.sin(), down, r * place.azimuth.cos()]
    }

    /// How far a straight line of a width, laid on the sheet, leaves the wide rim's arc in its middle, mm:
    /// `Ro (1 - cos(w / 2 Ro))`.
    #[must_use]
    pub fn sagitta_mm(&self, width: Length) -> f64 {
        let (half, ro_inverse) = (0.5 * width.to_mm(), self.taper().abs() / self.upper_mm.max(self.lower_mm));
        0.5 * half * half * ro_inverse * sinc(0.5 * half * ro_inverse).powi(2)
    }
}

/// `sin(x) / x`, 1 at 0.
pub(super) fn sinc(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { x.sin() / x }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn frustum(upper: f64, lower: f64, height: f64) -> Frustum {
        Frustum::new(Diameter::mm(upper).unwrap(), Diameter::mm(lower).unwrap(), Length::mm(height).unwrap()).unwrap()
    }

    fn length<const N: usize>(points: &[[f64; N]]) -> f64 {
        let step = |pair: &[[f64; N]]| (0..N).map(|i| (pair[1][i] - pair[0][i]).powi(2)).sum::<f64>().sqrt();
        points.windows(2).map(step).sum()
    }

    /// Chords over 2^9, 2^10, … pieces, brought to the limit by Romberg's scheme.
    fn limit(chords: impl Fn(usize) -> f64) -> f64 {
        let mut rows: Vec<f64> = (9..13).map(|power| chords(1 << power)).collect();
        for order in 1..4 {
            let four = 4_f64.powi(order);
            rows = rows.windows(2).map(|pair| (four * pair[1] - pair[0]) / (four - 1.0)).collect();
        }
        rows[0]
    }

    proptest! {
        #[test]
        fn a_curve_on_the_side_is_as_long_on_the_sheet(
            upper in 20.0..200.0, lower in 20.0..200.0, height in 20.0..300.0,
            a in -3.0..3.0, b in -3.0..3.0, c in 0.1..0.9, d in 0.1..0.9, wave in -1.0..1.0,
        ) {
            let side = frustum(upper, lower, height);
            let place = |t: f64| OnSide {
                azimuth: a + (b - a) * t + 0.3 * wave * (3.0 * t).sin(),
                down_mm: side.slant_mm() * (c + (d - c) * t + 0.09 * wave * (5.0 * t).cos()),
            };
            let at = |n: usize| (0..=n).map(move |i| i as f64 / n as f64);
            let on_glass = limit(|n| length(&at(n).map(|t| side.space_mm(place(t))).collect::<Vec<_>>()));
            let on_sheet = limit(|n| length(&at(n).map(|t| {
                let p = side.sheet(place(t));
                [p.x, p.y]
            }).collect::<Vec<_>>()));
            prop_assert!((on_glass - on_sheet).abs() < 1e-9 * on_glass.max(1.0), "{on_glass} {on_sheet}");
        }

        #[test]
        fn the_sheet_closes_behind_the_vessel_and_leads_back(
            upper in 1.0..200.0, lower in 1.0..200.0, height in 1.0..300.0, psi in -3.1..3.1, share in 0.0..1.0,
        ) {
            let side = frustum(upper, lower, height);
            let place = |azimuth| OnSide { azimuth, down_mm: share * side.slant_mm() };
            let (left, right) = (side.space_mm(place(-PI)), side.space_mm(place(PI)));
            prop_assert!((0..3).all(|i| (left[i] - right[i]).abs() < 1e-9));
            let back = side.side(side.sheet(place(psi)));
            prop_assert!((back.azimuth - psi).abs() < 1e-9 && (back.down_mm - place(psi).down_mm).abs() < 1e-9);
        }
    }

    #[test]
    fn a_cone_that_is_almost_a_cylinder_loses_no_digits() {
        let (cylinder, cone) = (frustum(80.0, 80.0, 100.0), frustum(80.0, 80.0 - 1e-9, 100.0));
        let place = OnSide { azimuth: 2.0, down_mm: 60.0 };
        let (a, b) = (cylinder.sheet(place), cone.sheet(place));
        assert!((a.x - 80.0).abs() < 1e-12 && (a.y - 60.0).abs() < 1e-12);
        assert!((a.x - b.x).hypot(a.y - b.y) < 2e-9);
        let back = cone.side(b);
        assert!((back.azimuth - 2.0).abs() < 1e-12 && (back.down_mm - 60.0).abs() < 1e-12);
        assert!((cylinder.sheet_mm().0 - 80.0 * PI).abs() < 1e-12);
    }

    #[test]
    fn a_film_lengthens_the_sheet_by_its_own_thickness_around() {
        let side = frustum(80.0, 80.0, 100.0).under_film(Length::mm(0.5).unwrap());
        assert!((side.sheet_mm().0 - 80.5 * PI).abs() < 1e-12);
    }
}
