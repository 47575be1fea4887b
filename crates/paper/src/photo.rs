//! Encoded pictures.

use crate::error::PaperError;
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageFormat};
use krilla::Data;
use krilla::image::Image;
use language::say;

/// A picture with its size in pixels.
#[derive(Debug, Clone)]
pub(crate) struct Photo {
    image: Image,
}

/// Most pixels on the longer side: 300 dpi over 120 mm, more than a page shows of the piece.
const SIDE_MAX: u32 = 1417;
/// Quality of the JPEG, 1 to 100. Lower shows in flat dark grounds; higher doubles the file.
const QUALITY: u8 = 92;

impl Photo {
    /// From the bytes of a PNG or a JPEG.
    ///
    /// A JPEG goes into the document as it is. A PNG is made into one, and made smaller where it has
    /// more pixels than paper shows: the grain of frosted glass packs badly without loss, and slowly
    /// (1600 x 1115 pixels: 390 ms without loss, a tenth of that with). A PNG that lets the page through
    /// stays as it is.
    pub(crate) fn read(bytes: &[u8]) -> Result<Self, PaperError> {
        let image = match bytes {
            [0x89, b'P', b'N', b'G', ..] => from_png(bytes)?,
            [0xff, 0xd8, 0xff, ..] => Image::from_jpeg(bytes.to_vec().into(), false).map_err(broken)?,
            _ => return Err(PaperError::PreviewKind),
        };
        match image.size() {
            (0, _) | (_, 0) => Err(broken(say!("it has no pixels").to_owned())),
            _ => Ok(Self { image }),
        }
    }

    /// For the writer.
    pub(crate) fn image(&self) -> Image {
        self.image.clone()
    }

    /// Width over height.
    pub(crate) fn aspect(&self) -> f64 {
        let (width, height) = self.image.size();
        f64::from(width) / f64::from(height)
    }

    /// The largest box of the picture's proportions inside another.
    pub(crate) fn fit(&self, width: f64, height: f64) -> (f64, f64) {
        let by_width = (width, width / self.aspect());
        if by_width.1 <= height { by_width } else { (height * self.aspect(), height) }
    }
}

fn broken(fault: String) -> PaperError {
    PaperError::PreviewBroken { fault }
}

fn from_png(bytes: &[u8]) -> Result<Image, PaperError> {
    let decoded = image::load_from_memory_with_format(bytes, ImageFormat::Png).map_err(|e| broken(e.to_string()))?;
    if decoded.color().has_alpha() {
        return Image::from_png(Data::from(bytes.to_vec()), false).map_err(broken);
    }
    Image::from_jpeg(jpeg(&decoded)?.into(), false).map_err(broken)
}

fn jpeg(picture: &DynamicImage) -> Result<Vec<u8>, PaperError> {
    let larger = picture.width().max(picture.height()) > SIDE_MAX;
    let shown = if larger { picture.thumbnail(SIDE_MAX, SIDE_MAX).into_rgb8() } else { picture.to_rgb8() };
    let mut bytes = Vec::new();
    let encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    shown.write_with_encoder(encoder).map_err(|e| broken(e.to_string()))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(picture: &DynamicImage) -> Vec<u8> {
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, ImageFormat::Png).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        assert!(matches!(Photo::read(b""), Err(PaperError::PreviewKind)));
        assert!(matches!(Photo::read(b"GIF89a"), Err(PaperError::PreviewKind)));
        assert!(matches!(Photo::read(b"\x89PNG\r\n\x1a\n"), Err(PaperError::PreviewBroken { .. })));
    }

    #[test]
    fn a_large_picture_is_made_smaller_and_keeps_its_proportions() {
        let size = |width, height| Photo::read(&png(&DynamicImage::new_rgb8(width, height))).unwrap().image.size();
        assert_eq!(size(2834, 1417), (1417, 709));
        assert_eq!(size(400, 300), (400, 300));
        assert_eq!(size(1, 3000).0, 1);
    }

    #[test]
    fn pixels_come_through_the_packing_nearly_as_they_were() {
        let ramp =
            DynamicImage::from(image::RgbImage::from_fn(64, 64, |x, y| image::Rgb([x as u8 * 3, y as u8 * 2, 90])));
        let packed = image::load_from_memory(&jpeg(&ramp).unwrap()).unwrap().into_rgb8();
        let apart = ramp.to_rgb8().iter().zip(packed.iter()).map(|(a, b)| a.abs_diff(*b)).max();
        assert!(apart.is_some_and(|apart| apart <= 8), "{apart:?}");
    }

    #[test]
    fn grey_and_deep_pictures_are_read_and_clear_ones_stay_clear() {
        for picture in [DynamicImage::new_luma8(9, 9), DynamicImage::new_luma16(9, 9), DynamicImage::new_rgba8(9, 9)] {
            assert_eq!(Photo::read(&png(&picture)).unwrap().image.size(), (9, 9), "{:?}", picture.color());
        }
    }
}
