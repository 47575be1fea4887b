//! What a ruling and a film can hold.

use std::f64::consts::PI;

/// From one dot to the next, mm, at a ruling in lines per inch.
#[must_use]
pub fn pitch_mm(ruling_lpi: f64) -> f64 {
    25.4 / ruling_lpi
}

/// Tones that a printer makes in one dot's cell: `floor((dpi / lpi)²) + 1`.
#[must_use]
pub fn levels(dpi: f64, ruling_lpi: f64) -> u64 {
    // A hair is added, so that a quotient that is whole but for rounding counts as whole.
    ((dpi / ruling_lpi).powi(2) + 1e-9).floor() as u64 + 1
}

/// Highest ruling in lines per inch that has this many tones: `dpi / sqrt(N - 1)`.
#[must_use]
pub fn ruling_for_levels(dpi: f64, levels: u64) -> f64 {
    dpi / (levels.saturating_sub(1).max(1) as f64).sqrt()
}

/// Diameter of a round dot of a tone: `p sqrt(4 a / π)`.
#[must_use]
pub fn dot_mm(area: f64, pitch_mm: f64) -> f64 {
    pitch_mm * (4.0 * area / PI).sqrt()
}

/// Tone at which round dots touch: `π / 4`.
pub const TOUCHING: f64 = 0.25 * PI;

/// Smallest tone whose dot the film holds, and as far from black the darkest: `π m² / (4 p²)`, `m` the
/// smallest dot in mm.
#[must_use]
pub fn least_tone(least_mm: f64, pitch_mm: f64) -> f64 {
    0.25 * PI * (least_mm / pitch_mm).powi(2)
}

/// Highest ruling in lines per inch that holds tones from `least_tone` to `1 - least_tone`:
/// `25.4 sqrt(4 a / π) / m`.
#[must_use]
pub fn ruling_for_tones(least_tone: f64, least_mm: f64) -> f64 {
    25.4 * (4.0 * least_tone / PI).sqrt() / least_mm
}

/// Principal frequency of blue noise in cycles a spot: `sqrt(g)` up to half tone, `sqrt(1 - g)` above.
///
/// Source: Ulichney 1988 (from memory). Checked: 0.25 gives 0.5.
#[must_use]
pub fn principal_frequency(tone: f64) -> f64 {
    tone.min(1.0 - tone).max(0.0).sqrt()
}
