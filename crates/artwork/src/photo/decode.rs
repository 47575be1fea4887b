//! A picture's bytes into tones.

use super::Photo;
use super::resolution::resolution;
use crate::grid::{Field, Grid, Point};
use image::{DynamicImage, ImageDecoder, ImageReader};
use language::say;
use std::io::Cursor;

/// How much of a picture is too much.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PhotoLimits {
    /// Bytes of the file.
    pub bytes: usize,
    /// Picture elements.
    pub pixels: u64,
}

impl Default for PhotoLimits {
    fn default() -> Self {
        // 48 million make an A3 sheet at just under 500 dpi; all of it takes less than a gigabyte, even askew.
        Self { bytes: 128 << 20, pixels: 48_000_000 }
    }
}

/// Why a picture could not be read or traced.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PhotoError {
    /// The file is too long.
    #[error("{}", say!("the file has {bytes} bytes, the limit is {limit}; save it at a lower resolution"))]
    TooLong {
        /// Its length.
        bytes: usize,
        /// The longest allowed.
        limit: usize,
    },
    /// Too many picture elements.
    #[error(
        "{}",
        say!(
            "the picture is {width} x {height}, more than {limit} picture elements; scan at a lower resolution"
        )
    )]
    TooLarge {
        /// Across.
        width: u32,
        /// Down.
        height: u32,
        /// The most allowed.
        limit: u64,
    },
    /// Not a picture, or a broken one.
    #[error("{}", say!("the picture cannot be decoded: {fault}; save it as PNG, JPEG, TIFF or WebP", fault = crate::parsers::picture(fault)))]
    Undecoded {
        /// What the decoder said.
        fault: image::ImageError,
    },
    /// A resolution that is none.
    #[error("{}", say!("{dpi} dots per inch is no resolution; give 10 to 10000"))]
    NoResolution {
        /// What was given.
        dpi: f64,
    },
    /// Nothing on it.
    #[error("{}", say!("the picture is of one tone all over, or all of it is specks; choose another threshold"))]
    Blank,
}

/// Decodes PNG, JPEG, TIFF or WebP, turned upright as its EXIF orientation asks, at the size that its
/// resolution gives (`dpi` when the file does not say).
///
/// Tone is the luma of ITU-R BT.709 of the encoded colours, over white where the picture is transparent.
///
/// # Errors
/// [`PhotoError`] when the file is no picture, or a limit is exceeded.
pub fn read_photo(bytes: &[u8], dpi: f64, limits: &PhotoLimits) -> Result<Photo, PhotoError> {
    if bytes.len() > limits.bytes {
        return Err(PhotoError::TooLong { bytes: bytes.len(), limit: limits.bytes });
    }
    if !(10.0..=10_000.0).contains(&dpi) {
        return Err(PhotoError::NoResolution { dpi });
    }
    let fault = |fault| PhotoError::Undecoded { fault };
    let reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format();
    let mut decoder = reader.map_err(|io| fault(image::ImageError::IoError(io)))?.into_decoder().map_err(fault)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > limits.pixels || width == 0 || height == 0 {
        return Err(PhotoError::TooLarge { width, height, limit: limits.pixels });
    }
    let mut allowed = image::Limits::default();
    // Sixteen bits of four channels, and as much again to work in.
    allowed.max_alloc = Some(16 * limits.pixels);
    decoder.set_limits(allowed).map_err(fault)?;
    // A file may have either broken and still show a picture.
    let exif = decoder.exif_metadata().ok().flatten();
    let orientation = decoder.orientation().ok();
    let mut image = DynamicImage::from_decoder(decoder).map_err(fault)?;
    if let Some(orientation) = orientation {
        image.apply_orientation(orientation);
    }
    let found = resolution(bytes, exif.as_deref()).filter(|found| (10.0..=10_000.0).contains(found));
    Ok(Photo { tone: tones(&image, 25.4 / found.unwrap_or(dpi)), dpi: found })
}

fn tones(image: &DynamicImage, cell: f64) -> Field<f32> {
    let (width, height) = (image.width() as usize, image.height() as usize);
    let grid = Grid { origin: Point::default(), cell, width, height };
    let values = match image {
        DynamicImage::ImageLuma8(grey) => grey.as_raw().iter().map(|&tone| f32::from(tone) / 255.0).collect(),
        DynamicImage::ImageLuma16(grey) => grey.as_raw().iter().map(|&tone| f32::from(tone) / 65535.0).collect(),
        _ => {
            let rgba = image.to_rgba8();
            let tone = |pixel: &[u8]| {
                let [r, g, b, a] = [pixel[0], pixel[1], pixel[2], pixel[3]].map(|v| f32::from(v) / 255.0);
                (0.2126 * r + 0.7152 * g + 0.0722 * b) * a + 1.0 - a
            };
            rgba.as_raw().chunks_exact(4).map(tone).collect()
        }
    };
    Field { grid, values }
}
