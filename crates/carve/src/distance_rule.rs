//! The closed form of the carved profile under uniform flux.
//!
//! `z_t = Φ f(|∇z|)`, `f(s) = (1 + s²)^(-k/2)`, `z = 0` at the resist's edge and at the start. The
//! depth at a point then depends only on the dose `Φ t` and on its distance `d` to the nearest edge:
//! a slot, a hole and a polygon with the same `d` are equally deep there.
//!
//! With `c(s) = k s (1+s²)^(-k/2-1)` and `W(s) = (1+s²)^(-k/2-1) (1+(k+1)s²)`:
//! * where `d >= σ Φ t` the ground is still flat, `z = Φ t`; `σ = c(s*)`, and the foot of the wall has
//!   the slope `s*`, `u = 1+s*²` being the root above 1 of `u^(k/2+1) = (k+1)u - k`;
//! * nearer to the edge `z = Φ t W(s)` with the `s > s*` for which `c(s) = d/(Φ t)`.
//!
//! Source: characteristics with the concave-hull (Oleinik) condition, derived for this program and
//! checked there against an upwind solver to 0.5 %.

use crate::power;
use artwork::grid::Field;
use language::{number, say};
use quantity::{Length, Quantity as _};
use rayon::prelude::*;

/// Exponents for which the closed form is tabulated.
pub const EXPONENT_RANGE: (f64, f64) = (1.2, 4.5);

/// Nodes of the table. With 128, the cubic between them is within 1e-5 of the closed form.
const NODES: usize = 128;

/// The law cannot be tabulated.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RuleError {
    /// The slope exponent is outside [`EXPONENT_RANGE`].
    #[error(
        "{}",
        say!(
            "slope exponent {given} is outside {min} to {max}; glass lies between 2.0 and 3.2",
            given = number(given.to_string()),
            min = number(min.to_string()),
            max = number(max.to_string())
        )
    )]
    Exponent {
        /// What was given.
        given: f64,
        /// Least.
        min: f64,
        /// Greatest.
        max: f64,
    },
}

/// Depth from dose and distance to the edge, for one slope exponent.
#[derive(Debug, Clone, PartialEq)]
pub struct DistanceRule {
    k: f64,
    foot_slope: f64,
    sigma: f64,
    /// `1/σ` and `k/(k+1)`, for the table.
    inverse_sigma: f32,
    fit: f32,
    /// Share of the dose and its derivative at `r = i/(NODES-1)`, `r = (ξ/σ)^(k/(k+1))`, `ξ = d/(Φ t)`:
    /// in `r` the profile is smooth up to the edge.
    table: [[f32; 2]; NODES],
}

impl DistanceRule {
    /// The rule for slope exponent `k` (the velocity exponent of the erosion law).
    ///
    /// # Errors
    /// [`RuleError::Exponent`] outside 1.2 to 4.5.
    pub fn new(k: f64) -> Result<Self, RuleError> {
        let (min, max) = EXPONENT_RANGE;
        if !(min <= k && k <= max) {
            return Err(RuleError::Exponent { given: k, min, max });
        }
        let foot_slope = foot_slope(k);
        let sigma = front_speed(k, foot_slope);
        let (inverse_sigma, fit) = ((1.0 / sigma) as f32, (k / (k + 1.0)) as f32);
        let mut rule = Self { k, foot_slope, sigma, inverse_sigma, fit, table: [[0.0; 2]; NODES] };
        rule.table = std::array::from_fn(|i| rule.node(i as f64 / (NODES - 1) as f64));
        Ok(rule)
    }

    /// The slope exponent `k`.
    #[must_use]
    pub fn exponent(&self) -> f64 {
        self.k
    }

    /// Slope `s*` (depth over distance) at the foot of the wall. Checked: 1 for k = 2.
    #[must_use]
    pub fn foot_slope(&self) -> f64 {
        self.foot_slope
    }

    /// `σ`: the wall's foot lies at `σ` doses from the edge. Checked: 0.5 for k = 2, 0.55561 for 7/3.
    #[must_use]
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// How far from the edge the ground is no longer flat.
    #[must_use]
    pub fn wall_width(&self, dose: Length) -> Length {
        Length::clamped(self.sigma * dose.to_metres())
    }

    /// Depth at `distance` from the nearest edge, from the table: within 1e-4 of the dose.
    #[must_use]
    pub fn depth(&self, distance: Length, dose: Length) -> Length {
        let dose_m = dose.to_metres();
        if dose_m == 0.0 {
            return dose;
        }
        let xi = (distance.to_metres() / dose_m).min(1e6);
        Length::clamped(dose_m * f64::from(self.share(xi as f32)))
    }

    /// Depth over dose at `ξ = distance / dose`, from the closed form, to 1e-12.
    #[must_use]
    pub fn share_exact(&self, xi: f64) -> f64 {
        if xi >= self.sigma {
            return 1.0;
        }
        if xi <= 0.0 {
            return 0.0;
        }
        level(self.k, wall_slope(self.k, self.foot_slope, xi))
    }

    /// Depth over dose at `ξ = distance / dose`, from the table: within 1e-4; 0 at and outside the edge.
    #[must_use]
    #[inline]
    pub fn share(&self, xi: f32) -> f32 {
        let relative = xi * self.inverse_sigma;
        if relative >= 1.0 {
            return 1.0;
        }
        if relative <= 1e-12 {
            return 0.0;
        }
        let r = power::pow(relative, self.fit) * (NODES - 1) as f32;
        let i = (r as usize).min(NODES - 2);
        hermite(r - i as f32, self.table[i], self.table[i + 1])
    }

    /// Slope of the wall at `ξ = distance / dose`; 0 on the flat ground.
    #[must_use]
    pub fn slope(&self, xi: f64) -> f64 {
        if xi >= self.sigma { 0.0 } else { wall_slope(self.k, self.foot_slope, xi.max(1e-12)) }
    }

    /// The dose that carves to `depth` at `distance` from the edge: what a narrow line needs.
    ///
    /// `depth/distance = W/c = (1+(k+1)s²)/(k s)` is solved for `s`, and the dose is `distance/c(s)`.
    /// At the edge itself no dose suffices: `None`.
    #[must_use]
    pub fn dose_for(&self, depth: Length, distance: Length) -> Option<Length> {
        let (z, d) = (depth.to_metres(), distance.to_metres());
        if z * self.sigma <= d { Some(depth) } else { Length::metres(groove_dose(self.k, z, d)?).ok() }
    }

    /// Depth of every cell, in millimetres, from its distance to the edge in millimetres (0 or below
    /// where the resist covers it).
    #[must_use]
    pub fn depths(&self, distance: &Field<f32>, dose: Length) -> Field<f32> {
        let mut depth = Field { grid: distance.grid, values: vec![0.0; distance.values.len()] };
        let dose = dose.to_mm() as f32;
        if dose > 0.0 {
            depth.values.par_iter_mut().zip(&distance.values).with_min_len(1 << 14).for_each(|(z, &d)| {
                if d > 0.0 {
                    *z = dose * self.share(d / dose);
                }
            });
        }
        depth
    }

    /// The wall's profile where grains of finite size thin the flux out towards the edge:
    /// `Φ = Φ0 d/ramp` for `d < ramp`.
    #[must_use]
    pub fn ramped(&self, ramp: Length, dose: Length) -> RampedProfile {
        RampedProfile::new(self, ramp.to_mm(), dose.to_mm())
    }

    fn node(&self, r: f64) -> [f32; 2] {
        let (k, sigma) = (self.k, self.sigma);
        let stretch = sigma * (k + 1.0) / k;
        if r == 0.0 {
            return [0.0, (stretch * (k / sigma).powf(1.0 / (k + 1.0)) / (NODES - 1) as f64) as f32];
        }
        let s = wall_slope(k, self.foot_slope, sigma * r.powf((k + 1.0) / k));
        [level(k, s) as f32, (s * stretch * r.powf(1.0 / k) / (NODES - 1) as f64) as f32]
    }
}

/// The `s >= s*` with `c(s) = xi`, `0 < xi <= σ`: Newton in `ln s` from beyond the root, where the concave
/// `ln c` makes every step fall short of it.
fn wall_slope(k: f64, foot_slope: f64, xi: f64) -> f64 {
    let mut log_s = (k / xi).ln() / (k + 1.0);
    for _ in 0..60 {
        let s2 = (2.0 * log_s).exp();
        let miss = k.ln() + log_s - (0.5 * k + 1.0) * s2.ln_1p() - xi.ln();
        let step = miss * (1.0 + s2) / (1.0 - (k + 1.0) * s2);
        log_s -= step;
        if step.abs() < 1e-14 {
            break;
        }
    }
    log_s.exp().max(foot_slope)
}

/// Depth over dose at `ξ = distance / dose` for one slope exponent, without tabulating the rule; to 1e-9. `k` is
/// held inside [`EXPONENT_RANGE`].
#[must_use]
pub fn share_of(k: f64, xi: f64) -> f64 {
    let k = k.clamp(EXPONENT_RANGE.0, EXPONENT_RANGE.1);
    // σ is below 0.85 for every exponent of the range.
    if xi >= 0.85 {
        return 1.0;
    }
    let foot_slope = foot_slope(k);
    if xi >= front_speed(k, foot_slope) {
        return 1.0;
    }
    if xi <= 0.0 {
        return 0.0;
    }
    level(k, wall_slope(k, foot_slope, xi))
}

/// The dose that carves to `depth` at `distance` from the edge, both in one unit, without tabulating the rule.
pub(crate) fn dose_of(k: f64, depth: f64, distance: f64) -> Option<f64> {
    let sigma = front_speed(k, foot_slope(k));
    if depth * sigma <= distance { Some(depth) } else { groove_dose(k, depth, distance) }
}

/// The dose for a depth on a wall; `None` at the edge itself.
fn groove_dose(k: f64, z: f64, d: f64) -> Option<f64> {
    if d <= 0.0 {
        return None;
    }
    let ratio = k * z / d;
    let s = (ratio + (ratio * ratio - 4.0 * (k + 1.0)).max(0.0).sqrt()) / (2.0 * (k + 1.0));
    Some(d / front_speed(k, s))
}

/// `c(s)`: how fast slope `s` moves away from the edge, per dose.
fn front_speed(k: f64, s: f64) -> f64 {
    k * s * (1.0 + s * s).powf(-0.5 * k - 1.0)
}

/// `W(s)`: depth per dose carried along with slope `s`.
fn level(k: f64, s: f64) -> f64 {
    (1.0 + s * s).powf(-0.5 * k - 1.0) * (1.0 + (k + 1.0) * s * s)
}

fn foot_slope(k: f64) -> f64 {
    let excess = |u: f64| u.powf(0.5 * k + 1.0) - (k + 1.0) * u + k;
    // The excess is below 0 at its minimum and above 0 at 4 for every k of the range.
    let least = ((k + 1.0) / (0.5 * k + 1.0)).powf(2.0 / k);
    let (mut below, mut above) = (least, 4.0);
    for _ in 0..60 {
        let middle = 0.5 * (below + above);
        if excess(middle) < 0.0 { below = middle } else { above = middle }
    }
    (0.5 * (below + above) - 1.0).sqrt()
}

/// Cubic through two nodes with their derivatives per node distance; `t` 0 to 1 between them.
#[inline(always)]
fn hermite(t: f32, [from, from_slope]: [f32; 2], [to, to_slope]: [f32; 2]) -> f32 {
    let rise = to - from;
    let (a, b) = (from_slope - rise, to_slope - rise);
    from + t * rise + t * (1.0 - t) * (a * (1.0 - t) - b * t)
}

/// A wall below a ramp of flux, at one dose.
///
/// In units of the ramp and of the full flux: inside it the wall is a plane `z = p d` with
/// `∫0^p (1+q²)^(k/2) dq = t`. Outside, with `G(s)` the same integral up to `s`,
/// `d = 1 + (t - G) c(s)`, `z = s + (t - G) W(s)` for `s` from `p` down to the foot, where `z = t`.
#[derive(Debug, Clone, PartialEq)]
pub struct RampedProfile {
    ramp_mm: f64,
    dose_mm: f64,
    plane_slope: f64,
    /// Distance, depth and slope from the ramp's end to the foot, distances rising, in millimetres.
    wall: Vec<[f64; 3]>,
}

/// Points on the wall beyond the ramp.
const WALL_POINTS: usize = 96;

impl RampedProfile {
    fn new(rule: &DistanceRule, ramp_mm: f64, dose_mm: f64) -> Self {
        // A ramp under a hundred-thousandth of the dose is no ramp; it only guards the division.
        let ramp_mm = ramp_mm.max(1e-5 * dose_mm).max(1e-9);
        let (k, t) = (rule.k, dose_mm / ramp_mm);
        let plane_slope = plane_slope(k, t);
        let foot = ramp_foot(k, t, plane_slope);
        let point = |i: usize| {
            let s = plane_slope * (foot / plane_slope).powf(i as f64 / (WALL_POINTS - 1) as f64);
            let [d, z] = beyond_ramp(k, t, s);
            [d * ramp_mm, z * ramp_mm, s]
        };
        let wall = if t > 0.0 { (0..WALL_POINTS).map(point).collect() } else { Vec::new() };
        Self { ramp_mm, dose_mm, plane_slope, wall }
    }

    /// Slope of the plane wall inside the ramp. Checked: 2.78667 for k = 2 at ten ramps of dose.
    #[must_use]
    pub fn plane_slope(&self) -> f64 {
        self.plane_slope
    }

    /// Where the ground becomes flat. Checked: 5.67777 ramps for k = 2 at ten ramps of dose.
    #[must_use]
    pub fn foot(&self) -> Length {
        Length::clamped(self.wall.last().map_or(0.0, |point| point[0] * 1e-3))
    }

    /// Depth at `distance` from the edge, within 1e-4 of the dose.
    #[must_use]
    pub fn depth(&self, distance: Length) -> Length {
        Length::clamped(self.depth_mm(distance.to_mm()) * 1e-3)
    }

    fn depth_mm(&self, d: f64) -> f64 {
        if d <= self.ramp_mm {
            return self.plane_slope * d;
        }
        let next = self.wall.partition_point(|point| point[0] <= d);
        let (Some(a), Some(b)) = (self.wall.get(next.wrapping_sub(1)), self.wall.get(next)) else {
            return self.dose_mm;
        };
        let span = b[0] - a[0];
        let t = (d - a[0]) / span;
        let rise = b[1] - a[1];
        let bend = (a[2] * span - rise) * (1.0 - t) - (b[2] * span - rise) * t;
        a[1] + t * rise + t * (1.0 - t) * bend
    }
}

fn beyond_ramp(k: f64, t: f64, s: f64) -> [f64; 2] {
    let left = t - arc(k, s);
    [1.0 + left * front_speed(k, s), s + left * level(k, s)]
}

/// The slope below the plane's at which the wall meets the flat ground.
fn ramp_foot(k: f64, t: f64, plane: f64) -> f64 {
    let above_ground = |s: f64| beyond_ramp(k, t, s)[1] - t;
    // Near slope 0 the excess is positive and at the plane's slope negative: step down to the change.
    let mut s = plane;
    while s > 1e-6 && above_ground(0.97 * s) < 0.0 {
        s *= 0.97;
    }
    let (mut flat, mut steep) = (0.97 * s, s);
    for _ in 0..50 {
        let middle = 0.5 * (flat + steep);
        if above_ground(middle) < 0.0 { steep = middle } else { flat = middle }
    }
    0.5 * (flat + steep)
}

/// The `p` with `∫0^p (1+q²)^(k/2) dq = t`: Newton from above the root, where the integral's convexity
/// keeps it.
fn plane_slope(k: f64, t: f64) -> f64 {
    let mut p = t.min((t * (k + 1.0)).powf(1.0 / (k + 1.0)));
    for _ in 0..60 {
        let step = (arc(k, p) - t) / (1.0 + p * p).powf(0.5 * k);
        p -= step;
        if step.abs() <= 1e-13 * p {
            break;
        }
    }
    p
}

/// `∫0^s (1+q²)^(k/2) dq` by five-point Gauss-Legendre on panels no wider than 0.5; within 1e-9 of itself.
fn arc(k: f64, s: f64) -> f64 {
    const POINTS: [(f64, f64); 3] = [
        (0.0, 0.568_888_888_888_888_9),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
        (0.906_179_845_938_664, 0.236_926_885_056_189_1),
    ];
    let f = |q: f64| (1.0 + q * q).powf(0.5 * k);
    let panels = (2.0 * s).ceil().clamp(1.0, 200.0);
    let half = 0.5 * s / panels;
    let panel = |i: usize| {
        let middle = (2 * i + 1) as f64 * half;
        let pairs: f64 = POINTS[1..].iter().map(|&(x, w)| w * (f(middle - x * half) + f(middle + x * half))).sum();
        POINTS[0].1 * f(middle) + pairs
    };
    half * (0..panels as usize).map(panel).sum::<f64>()
}

#[cfg(test)]
mod tests;
