//! A drawing from any file of artwork: one way in for every command and page.

use crate::drawing::Drawing;
use crate::dxf::{DxfError, DxfOptions, read_dxf};
use crate::note::{Note, Remark};
use crate::photo::{PhotoError, PhotoOptions, TracedPhoto, trace_photo};
use crate::svg::{ReadError, ReadOptions, read_svg};
use language::say;

/// A kind of file that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// SVG.
    Svg,
    /// DXF in text form.
    Dxf,
    /// A photograph or scan: PNG, JPEG, TIFF, WebP.
    Photo,
}

/// How each kind is read.
#[derive(Debug, Clone, Default)]
pub struct LoadOptions {
    /// SVG files.
    pub svg: ReadOptions,
    /// DXF files.
    pub dxf: DxfOptions,
    /// Photographs and scans.
    pub photo: PhotoOptions,
}

/// Why a file could not be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LoadError {
    /// Of no kind that is read.
    #[error(
        "{}",
        say!(
            "not a kind of file that is read; save the drawing as SVG or DXF, a picture as PNG, JPEG, TIFF or WebP"
        )
    )]
    UnknownKind,
    /// An SVG file that could not be read.
    #[error("{0}")]
    Svg(Box<ReadError>),
    /// A DXF file that could not be read.
    #[error("{0}")]
    Dxf(Box<DxfError>),
    /// A picture that could not be read or traced.
    #[error("{0}")]
    Photo(Box<PhotoError>),
}

impl Kind {
    /// The kind of a file, by how it begins: its name may say anything. A broken file is of the kind that it begins as.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let webp = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP");
        if webp || PICTURES.iter().any(|magic| bytes.starts_with(magic)) {
            return Some(Self::Photo);
        }
        if MARKUP.iter().any(|magic| bytes.starts_with(magic)) {
            return Some(Self::Svg);
        }
        let start = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
        let line = start.split(|&byte| byte == b'\n').next().unwrap_or_default().trim_ascii();
        // A DXF file begins with a group's code, that of a section or of a remark.
        match start.first() {
            Some(b'<') => Some(Self::Svg),
            _ if line == b"0" || line == b"999" => Some(Self::Dxf),
            _ => None,
        }
    }
}

/// How PNG, JPEG and TIFF of either byte order begin.
const PICTURES: [&[u8]; 4] = [b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*"];
/// How markup begins that is compressed, or in UTF-16: the reader of SVG says what to do about it.
const MARKUP: [&[u8]; 3] = [b"\x1f\x8b", b"\xff\xfe", b"\xfe\xff"];

/// Reads a file of artwork, whatever its kind. What the reader did on its own (gaps closed, fonts replaced, a picture
/// traced) stands in the drawing's notes.
///
/// # Errors
/// [`LoadError`] when the bytes are of no kind that is read, or its reader refuses them.
pub fn load(bytes: &[u8], options: &LoadOptions) -> Result<Drawing, LoadError> {
    match Kind::of(bytes).ok_or(LoadError::UnknownKind)? {
        Kind::Svg => read_svg(bytes, &options.svg).map_err(|fault| LoadError::Svg(Box::new(fault))),
        Kind::Dxf => {
            let read = read_dxf(bytes, &options.dxf).map_err(|fault| LoadError::Dxf(Box::new(fault)))?;
            let mut drawing = read.drawing;
            drawing.notes.extend(read.repairs.into_iter().map(|repair| Note::from(Remark::Mended(repair))));
            Ok(drawing)
        }
        Kind::Photo => {
            let traced = trace_photo(bytes, &options.photo).map_err(|fault| LoadError::Photo(Box::new(fault)))?;
            Ok(with_notes(traced, options.photo.straighten))
        }
    }
}

fn with_notes(traced: TracedPhoto, straighten: bool) -> Drawing {
    let TracedPhoto { mut drawing, outlines, skew, specks, dpi, dpi_assumed } = traced;
    if dpi_assumed {
        drawing.notes.push(Remark::ResolutionAssumed { dpi }.into());
    }
    let turned_degrees = if straighten && skew.sure { -skew.degrees } else { 0.0 };
    let (outlines, nodes) = (outlines.outlines, outlines.nodes);
    drawing.notes.push(Remark::Traced { dpi, outlines, nodes, turned_degrees, specks }.into());
    drawing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bounds::Bounds;
    use crate::dxf::{DxfLayer, write_dxf};
    use crate::note::told;
    use crate::region::Region;

    fn read(bytes: &[u8]) -> Result<Drawing, LoadError> {
        load(bytes, &LoadOptions::default())
    }

    fn png() -> Vec<u8> {
        let picture = image::GrayImage::from_fn(90, 90, |x, y| image::Luma([if x.max(y) < 45 { 10 } else { 240 }]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn every_kind_is_known_by_how_it_begins() {
        let svg = b"\xef\xbb\xbf<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'><rect width='9' height='9'/></svg>";
        assert_eq!(read(svg).unwrap().shapes.len(), 1);
        let plate = Region::rectangle(Bounds::from_size(30.0, 20.0));
        let dxf = write_dxf(&[DxfLayer { name: "plate", colour: 1, region: &plate }], 20.0);
        assert_eq!(read(format!("  999\r\na remark\r\n{dxf}").as_bytes()).unwrap().shapes[0].id, "plate");
        assert_eq!(read(&png()).unwrap().shapes[0].id, "traced");
        for (bytes, words) in [
            (&b"hello"[..], "not a kind"),
            (b"", "not a kind"),
            (b"\x1f\x8b\x08", "save it as plain SVG"),
            (b"<html/>", "not <svg>"),
            (b"\x89PNG\r\n\x1a\nbroken", "cannot be decoded"),
        ] {
            let error = read(bytes).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
        }
    }

    #[test]
    fn what_a_reader_did_is_told_doubts_first_and_many_alike_once() {
        let lines = "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\na\n10\n0\n20\n0\n11\n9\n21\n0\n0\nLINE\n8\na\n10\n9.02\n20\n0\n11\n9\n21\n9\n\
            0\nLINE\n8\na\n10\n9\n20\n9.03\n11\n0\n21\n0\n0\nLINE\n8\na\n10\n20\n20\n0\n11\n25\n21\n0\n0\nENDSEC\n0\nEOF\n";
        let words = |bytes: &[u8]| -> Vec<String> {
            told(&read(bytes).unwrap().notes).into_iter().map(|told| told.words).collect()
        };
        let notes = words(lines.as_bytes());
        assert_eq!(notes.len(), 3, "{notes:?}");
        assert!(notes[0].contains("unit") && notes[1].contains("chain left out"), "{notes:?}");
        assert!(notes[2].starts_with("a gap of 0.030 mm closed at") && notes[2].ends_with("(and 1 more such)"));
        let traced = words(&png());
        assert!(traced[0].contains("does not say its dpi") && traced[1].contains("1 outlines with"), "{traced:?}");
    }
}
