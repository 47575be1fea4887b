//! Colours by number.

use crate::drawing::Rgb;

/// Brightness of the five pairs of shades of each hue.
const SHADES: [u8; 5] = [255, 165, 127, 76, 38];

/// The colour of an index, 1 to 255, as on white paper: 7 is black.
///
/// 1 to 9 are named; from 10 on each ten is one hue of 24, from red by way of green, in five shades,
/// each full and half as saturated; 250 to 255 are greys.
/// Checked: all but 7 against `ezdxf.colors` (tests/oracles/artwork_dxf.py).
pub(super) fn indexed(index: u8) -> Rgb {
    const NAMED: [[u8; 3]; 9] = [
        [255, 0, 0],
        [255, 255, 0],
        [0, 255, 0],
        [0, 255, 255],
        [0, 0, 255],
        [255, 0, 255],
        [0, 0, 0],
        [128, 128, 128],
        [192, 192, 192],
    ];
    let [r, g, b] = match index {
        0 => [0, 0, 0],
        1..=9 => NAMED[usize::from(index) - 1],
        250..=255 => [[51, 91, 132, 173, 214, 255][usize::from(index) - 250]; 3],
        _ => hue(index),
    };
    Rgb { r, g, b }
}

fn hue(index: u8) -> [u8; 3] {
    let (hue, shade) = (i32::from(index / 10 - 1), index % 10);
    let top = f64::from(SHADES[usize::from(shade / 2)]);
    // Odd shades are half way to grey.
    let floor = if shade % 2 == 1 { 0.5 } else { 0.0 };
    // Each channel is full for a third of the circle, and rises and falls over a sixth.
    let channel = |middle: i32| {
        let away = f64::from((hue - middle).rem_euclid(24).min((middle - hue).rem_euclid(24)));
        let full = ((8.0 - away) / 4.0).clamp(0.0, 1.0);
        (top * (floor + (1.0 - floor) * full)).floor() as u8
    };
    [channel(0), channel(8), channel(16)]
}

/// A colour packed in one number, as 0xRRGGBB.
pub(super) fn packed(number: i64) -> Rgb {
    Rgb { r: (number >> 16) as u8, g: (number >> 8) as u8, b: number as u8 }
}
