//! Encoded pictures.

use crate::error::PaperError;
use krilla::Data;
use krilla::image::Image;

/// A picture with its size in pixels.
#[derive(Debug, Clone)]
pub(crate) struct Photo {
    pub(crate) image: Image,
}

impl Photo {
    /// From the bytes of a PNG or a JPEG. A JPEG goes into the document as it is; a PNG is packed anew.
    pub(crate) fn read(bytes: &[u8]) -> Result<Self, PaperError> {
        let data = Data::from(bytes.to_vec());
        let image = match bytes {
            [0x89, b'P', b'N', b'G', ..] => Image::from_png(data, false),
            [0xff, 0xd8, 0xff, ..] => Image::from_jpeg(data, false),
            _ => return Err(PaperError::PreviewKind),
        };
        let image = image.map_err(|fault| PaperError::PreviewBroken { fault })?;
        match image.size() {
            (0, _) | (_, 0) => Err(PaperError::PreviewBroken { fault: "it has no pixels".to_owned() }),
            _ => Ok(Self { image }),
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_picture_is_refused() {
        assert!(matches!(Photo::read(b""), Err(PaperError::PreviewKind)));
        assert!(matches!(Photo::read(b"GIF89a"), Err(PaperError::PreviewKind)));
        assert!(matches!(Photo::read(b"\x89PNG\r\n\x1a\n"), Err(PaperError::PreviewBroken { .. })));
    }
}
