//! The piece as it will look, as pixels.
//!
//! The relief is resampled to the picture's pixels ([`plane`]), lit as a height field ([`light`]),
//! and laid on its blank: a flat panel ([`panel`]), or a tumbler or bowl ([`tumbler`]). Glass usually stands before a
//! near-black ground and is lit from its upper edge, so that frost glows and walls catch light; [`Setting`]
//! puts the light behind it, a pale ground, or the eye on the other side. Stone lies in daylight. All noise is a hash of the place, so that the same piece gives the same picture.
//!
//! It is a picture, not a measurement: brightness follows roughness, slope and depth in the right
//! direction, with strengths set by eye.

mod blank;
mod light;
mod look;
mod noise;
mod panel;
mod plane;
#[cfg(test)]
mod sample;
mod setting;
mod stone;
#[cfg(test)]
mod tests;
mod tone;
mod tumbler;

pub use blank::Frame;
use language::say;
pub use look::Look;
pub use setting::{Ground, Light, Seen, Setting, UnknownChoice};

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder as _, ImageError, RgbImage};
use piece::{Ball, Body};
use plan::Relief;

/// How a preview is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PreviewOptions {
    /// Width of the picture, 16 to 8192 pixels.
    pub width_px: u32,
    /// Height of the picture, within which the piece is centred; `None` follows from the piece.
    pub height_px: Option<u32>,
    /// Ground around the piece, as a share of its longer side, 0 to 0.5. 0 cuts at the blank's edge.
    pub margin: f64,
    /// Light, ground and side.
    pub setting: Setting,
}

impl Default for PreviewOptions {
    fn default() -> Self {
        Self { width_px: 1200, height_px: None, margin: 0.05, setting: Setting::default() }
    }
}

impl PreviewOptions {
    /// Where the piece lies in the picture.
    #[must_use]
    pub fn frame(&self, body: Body) -> Frame {
        Frame::around(body, self)
    }
}

/// Draws the piece.
///
/// 8-bit sRGB. For a panel the picture is at true scale: [`PreviewOptions::frame`] tells where a place
/// on the blank lies. A vessel is seen from slightly above, the middle of its sheet to the front.
#[must_use]
pub fn preview(relief: &Relief, look: Look, options: &PreviewOptions) -> RgbImage {
    let frame = options.frame(relief.body);
    let pixels = match relief.body {
        Body::Panel { .. } if options.setting.seen == Seen::Back && look.is_clear() => {
            panel::draw(&plane::turned(relief), look, &frame, options.setting)
        }
        Body::Panel { .. } => panel::draw(relief, look, &frame, options.setting),
        Body::Tumbler { diameter, foot, height } => tumbler::draw(
            relief,
            look,
            &frame,
            tumbler::Size { rim: diameter, foot, height, ball: None },
            options.setting,
        ),
        Body::Bowl { diameter, foot, height } => {
            let ball = Some(Ball::through(diameter, foot, height));
            tumbler::draw(relief, look, &frame, tumbler::Size { rim: diameter, foot, height, ball }, options.setting)
        }
    };
    RgbImage::from_raw(frame.width_px, frame.height_px, pixels).expect("the frame's size is the number of pixels drawn")
}

/// A preview that could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PreviewError {
    /// The encoder failed.
    #[error("{}", say!("the preview could not be written as PNG; free some memory or ask for a smaller picture"))]
    Encode(#[from] ImageError),
}

/// Draws the piece as the bytes of a PNG.
///
/// # Errors
/// [`PreviewError::Encode`], which takes a picture larger than the memory.
pub fn preview_png(relief: &Relief, look: Look, options: &PreviewOptions) -> Result<Vec<u8>, PreviewError> {
    png(&preview(relief, look, options))
}

/// A smaller copy, its longer side `longer_px` pixels; the same one when it is no longer than that.
#[must_use]
pub fn shrunk(picture: &RgbImage, longer_px: u32) -> RgbImage {
    let (width, height) = picture.dimensions();
    let share = f64::from(longer_px) / f64::from(width.max(height).max(1));
    if share >= 1.0 {
        return picture.clone();
    }
    let side = |px: u32| ((f64::from(px) * share).round() as u32).max(1);
    image::imageops::thumbnail(picture, side(width), side(height))
}

/// A picture as the bytes of a PNG, quickly rather than small.
///
/// # Errors
/// [`PreviewError::Encode`], which takes a picture larger than the memory.
pub fn png(picture: &RgbImage) -> Result<Vec<u8>, PreviewError> {
    let mut bytes = Vec::with_capacity(picture.as_raw().len() / 2);
    let encoder = PngEncoder::new_with_quality(&mut bytes, CompressionType::Fast, FilterType::Up);
    encoder.write_image(picture.as_raw(), picture.width(), picture.height(), ExtendedColorType::Rgb8)?;
    Ok(bytes)
}
