//! The film as a 1-bit TIFF, each strip compressed by itself (CCITT T.6, "group 4").

use super::FilmSheet;
use crate::halftone::screen::{Halftone, Screened, even};
use artwork::grid::{Grid, Mask};
use artwork::raster::rasterise;
use artwork::region::Region;
use fax::{Color, VecWriter, decoder, encoder::Encoder};
use language::say;
use rayon::prelude::*;

/// Printers' resolutions that are taken.
pub const DPI_MIN: f64 = 300.0;
/// See [`DPI_MIN`].
pub const DPI_MAX: f64 = 2880.0;
/// Rows of a strip: a band that one core holds as one byte a dot, 2 MB on the widest film.
const STRIP: usize = 128;
/// Dots along an edge that are taken at most.
const SIDE_MAX: usize = 200_000;

/// Why a film's TIFF cannot be made, or is not what was meant.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TiffFault {
    /// A resolution that no film printer has.
    #[error("{}", say!("{dpi} dpi is outside {DPI_MIN} to {DPI_MAX}; give the printer's resolution"))]
    Resolution {
        /// What was asked.
        dpi: f64,
    },
    /// Too many dots.
    #[error(
        "{}",
        say!(
            "the film is {width} x {height} dots, {SIDE_MAX} are the most along an edge; tile it or lower the dpi"
        )
    )]
    TooLarge {
        /// Dots across.
        width: usize,
        /// Dots down.
        height: usize,
    },
    /// No TIFF of the kind that is written here.
    #[error("{}", say!("the written TIFF cannot be read back: its {what} is missing or wrong"))]
    Unreadable {
        /// Which part.
        what: &'static str,
    },
    /// Another size or resolution.
    #[error("{}", say!("the TIFF says {width} x {height} dots at {dpi} dpi; write it again"))]
    Size {
        /// Dots across.
        width: u32,
        /// Dots down.
        height: u32,
        /// Dots per inch.
        dpi: f64,
    },
    /// A row that holds other dots than were meant.
    #[error("{}", say!("row {row} of the TIFF holds other dots than were meant; write it again"))]
    Row {
        /// Which, from 0.
        row: usize,
    },
}

/// A film's TIFF that was read back, row by row, and found to be what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmTiff {
    bytes: Vec<u8>,
    /// Dots across and down.
    pub size: (u32, u32),
}

impl FilmTiff {
    /// The file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// Rasterises a film, screens its step tablet and an optional halftone, writes, reads back and compares.
///
/// The halftone lies under the black parts; its screen also makes the tablet's patches, which stay bare when
/// there is none. Work goes in bands on all cores: memory is the file's and a band for each core.
///
/// # Errors
/// [`TiffFault`].
pub fn verified(sheet: &FilmSheet, dpi: f64, halftone: Option<&Halftone<'_>>) -> Result<FilmTiff, TiffFault> {
    let grid = grid(sheet, dpi)?;
    let strips = encoded(sheet, grid, halftone);
    let marks: Vec<u64> = strips.iter().flat_map(|strip| strip.marks.iter().copied()).collect();
    let bytes = file(grid, dpi, &strips);
    drop(strips);
    verify(bytes, grid, dpi, &marks)
}

fn grid(sheet: &FilmSheet, dpi: f64) -> Result<Grid, TiffFault> {
    if !(DPI_MIN..=DPI_MAX).contains(&dpi) {
        return Err(TiffFault::Resolution { dpi });
    }
    let cell = 25.4 / dpi;
    let [width, height] = [sheet.page.width_mm(), sheet.page.height_mm()].map(|mm| (mm / cell).ceil() as usize);
    if width > SIDE_MAX || height > SIDE_MAX || width == 0 || height == 0 {
        return Err(TiffFault::TooLarge { width, height });
    }
    Ok(Grid { origin: sheet.page.min, cell, width, height })
}

/// A compressed strip, and a mark of each row as it was meant.
struct Strip {
    bytes: Vec<u8>,
    marks: Vec<u64>,
}

fn encoded(sheet: &FilmSheet, grid: Grid, halftone: Option<&Halftone<'_>>) -> Vec<Strip> {
    let tones: Vec<_> = sheet
        .patches
        .iter()
        .map(|p| even(p.tone() as f32, p.bounds.min, p.bounds.width_mm(), p.bounds.height_mm()))
        .collect();
    let mut screens: Vec<Halftone<'_>> = Vec::new();
    if let Some(halftone) = halftone {
        screens.push(halftone.clone());
        screens.extend(tones.iter().map(|tone| Halftone { tone, curve: None, ..halftone.clone() }));
    }
    let screens: Vec<Placed<'_>> = screens.iter().map(|halftone| Placed::new(halftone, grid)).collect();
    (0..grid.height.div_ceil(STRIP)).into_par_iter().map(|i| strip(&sheet.black, grid, i * STRIP, &screens)).collect()
}

/// A halftone on the part of the film that it covers.
struct Placed<'a> {
    part: (usize, usize, usize, usize),
    screened: Screened<'a>,
}

impl<'a> Placed<'a> {
    fn new(halftone: &'a Halftone<'a>, film: Grid) -> Self {
        let tone = &halftone.tone.grid;
        let to = |mm: f64, from: f64, most: usize| ((mm - from) / film.cell).round().clamp(0.0, most as f64) as usize;
        let (left, top) = (to(tone.origin.x, film.origin.x, film.width), to(tone.origin.y, film.origin.y, film.height));
        let right = to(tone.origin.x + tone.width as f64 * tone.cell, film.origin.x, film.width);
        let bottom = to(tone.origin.y + tone.height as f64 * tone.cell, film.origin.y, film.height);
        let corner = artwork::grid::Point {
            x: film.origin.x + left as f64 * film.cell,
            y: film.origin.y + top as f64 * film.cell,
        };
        let grid = Grid { origin: corner, cell: film.cell, width: right - left, height: bottom - top };
        Self { part: (left, top, right, bottom), screened: halftone.on(grid) }
    }

    fn add(&self, row: usize, black: &mut [bool], line: &mut Vec<bool>) {
        let (left, top, right, bottom) = self.part;
        if (top..bottom).contains(&row) && left < right {
            line.clear();
            line.resize(right - left, false);
            self.screened.row(row - top, line);
            black[left..right].iter_mut().zip(line).for_each(|(to, from)| *to |= *from);
        }
    }
}

fn strip(black: &Region, film: Grid, top: usize, screens: &[Placed<'_>]) -> Strip {
    let height = STRIP.min(film.height - top);
    let origin = artwork::grid::Point { x: film.origin.x, y: film.origin.y + top as f64 * film.cell };
    let mut mask: Mask = rasterise(black, Grid { origin, height, ..film });
    let (mut line, mut marks) = (Vec::new(), Vec::with_capacity(height));
    let mut encoder = Encoder::new(VecWriter::new());
    for (i, row) in mask.values.chunks_mut(film.width).enumerate() {
        screens.iter().for_each(|screen| screen.add(top + i, row, &mut line));
        marks.push(mark(changes(row)));
        let dots = row.iter().map(|&black| if black { Color::Black } else { Color::White });
        let Ok(()) = encoder.encode_line(dots, film.width as u32);
    }
    let Ok(writer) = encoder.finish();
    Strip { bytes: writer.finish(), marks }
}

/// Where a row changes between bare and black, from bare.
fn changes(row: &[bool]) -> impl Iterator<Item = u32> + '_ {
    let before = std::iter::once(&false).chain(row);
    row.iter().zip(before).enumerate().filter(|(_, (now, before))| now != before).map(|(i, _)| i as u32)
}

/// A row's mark: FNV-1a of its changes (public domain constants, from memory).
fn mark(changes: impl Iterator<Item = u32>) -> u64 {
    changes.fold(0xcbf2_9ce4_8422_2325, |hash, at| (hash ^ u64::from(at)).wrapping_mul(0x0100_0000_01b3))
}

/// TIFF 6.0 tags in their order: number, type (3 short, 4 long, 5 rational), values or where they lie.
fn file(grid: Grid, dpi: f64, strips: &[Strip]) -> Vec<u8> {
    const TAGS: u32 = 13;
    let count = strips.len() as u32;
    let tables = 8 + 2 + 12 * TAGS + 4;
    let (offsets, sizes) = (tables + 8, tables + 8 + 4 * count);
    let data = sizes + 4 * count;
    let mut at = data;
    let mut starts = Vec::with_capacity(strips.len());
    for strip in strips {
        starts.push(at);
        at += strip.bytes.len() as u32;
    }
    // A single strip's offset and size stand in the tag itself.
    let inline = |place: u32, value: u32| if count == 1 { value } else { place };
    let sizes_of: Vec<u32> = strips.iter().map(|strip| strip.bytes.len() as u32).collect();
    let tags: [(u16, u16, u32, u32); TAGS as usize] = [
        (256, 4, 1, grid.width as u32),
        (257, 4, 1, grid.height as u32),
        (258, 3, 1, 1),
        (259, 3, 1, 4),
        (262, 3, 1, 0),
        (273, 4, count, inline(offsets, starts[0])),
        (274, 3, 1, 1),
        (277, 3, 1, 1),
        (278, 4, 1, STRIP as u32),
        (279, 4, count, inline(sizes, sizes_of[0])),
        (282, 5, 1, tables),
        (283, 5, 1, tables),
        (296, 3, 1, 2),
    ];
    let mut out = Vec::with_capacity(at as usize);
    out.extend(b"II\x2a\0\x08\0\0\0");
    out.extend((TAGS as u16).to_le_bytes());
    for (tag, kind, n, value) in tags {
        out.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
        out.extend([n.to_le_bytes(), value.to_le_bytes()].concat());
    }
    out.extend(0_u32.to_le_bytes());
    out.extend([((dpi * 1000.0).round() as u32).to_le_bytes(), 1000_u32.to_le_bytes()].concat());
    starts.iter().chain(&sizes_of).for_each(|n| out.extend(n.to_le_bytes()));
    strips.iter().for_each(|strip| out.extend(&strip.bytes));
    out
}

fn verify(bytes: Vec<u8>, grid: Grid, dpi: f64, marks: &[u64]) -> Result<FilmTiff, TiffFault> {
    let found = read_back(&bytes)?;
    let (width, height) = (found.width, found.height);
    if (width as usize, height as usize) != (grid.width, grid.height) || (found.dpi - dpi).abs() > 1e-3 {
        return Err(TiffFault::Size { width, height, dpi: found.dpi });
    }
    let rows = found.marks(&bytes)?;
    let wrong = rows.iter().zip(marks).position(|(a, b)| a != b);
    if let Some(row) = wrong.or((rows.len() != marks.len()).then_some(rows.len().min(marks.len()))) {
        return Err(TiffFault::Row { row });
    }
    Ok(FilmTiff { bytes, size: (width, height) })
}

/// What a TIFF's head says.
struct Head {
    width: u32,
    height: u32,
    dpi: f64,
    strip_rows: u32,
    strips: Vec<(usize, usize)>,
}

fn read_back(bytes: &[u8]) -> Result<Head, TiffFault> {
    let word = |at: usize| Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?));
    let short = |at: usize| Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?));
    let missing = |what| TiffFault::Unreadable { what };
    if bytes.get(..4) != Some(b"II\x2a\0") {
        return Err(missing(say!(in "a part of a file", "signature")));
    }
    let table = word(4).ok_or(missing(say!(in "a part of a file", "table")))? as usize;
    let count = usize::from(short(table).ok_or(missing(say!(in "a part of a file", "table")))?);
    let entry = |tag: u16| (0..count).map(|i| table + 2 + 12 * i).find(|&at| short(at) == Some(tag));
    let value = |tag: u16, what: &'static str| {
        let at = entry(tag).ok_or(missing(what))?;
        let value = if short(at + 2) == Some(3) { short(at + 8).map(u32::from) } else { word(at + 8) };
        value.ok_or(missing(what))
    };
    for (tag, wanted, what) in [
        (258, 1, say!(in "a part of a file", "bits")),
        (259, 4, say!(in "a part of a file", "compression")),
        (262, 0, say!(in "a part of a file", "polarity")),
        (296, 2, say!(in "a part of a file", "unit")),
    ] {
        if value(tag, what)? != wanted {
            return Err(missing(what));
        }
    }
    let list = |tag: u16, what: &'static str| {
        let at = entry(tag).ok_or(missing(what))?;
        let n = word(at + 4).ok_or(missing(what))? as usize;
        let from = if n == 1 { at + 8 } else { word(at + 8).ok_or(missing(what))? as usize };
        (0..n).map(|i| word(from + 4 * i).map(|v| v as usize).ok_or(missing(what))).collect::<Result<Vec<_>, _>>()
    };
    let resolution = value(282, say!(in "a part of a file", "resolution"))? as usize;
    let dpi = f64::from(word(resolution).ok_or(missing(say!(in "a part of a file", "resolution")))?)
        / f64::from(word(resolution + 4).ok_or(missing(say!(in "a part of a file", "resolution")))?);
    let strips = list(273, say!(in "a part of a file", "strips"))?
        .into_iter()
        .zip(list(279, say!(in "a part of a file", "strip sizes"))?)
        .collect();
    Ok(Head {
        width: value(256, say!(in "a part of a file", "width"))?,
        height: value(257, say!(in "a part of a file", "height"))?,
        dpi,
        strip_rows: value(278, say!(in "a part of a file", "strip rows"))?,
        strips,
    })
}

impl Head {
    fn marks(&self, bytes: &[u8]) -> Result<Vec<u64>, TiffFault> {
        let unreadable = TiffFault::Unreadable { what: say!(in "a part of a file", "strip") };
        let strip = |(i, &(from, size)): (usize, &(usize, usize))| {
            let data = bytes.get(from..from.saturating_add(size)).ok_or(unreadable)?;
            let rows = self.height.saturating_sub(i as u32 * self.strip_rows).min(self.strip_rows);
            let mut marks = Vec::with_capacity(rows as usize);
            let width = self.width;
            let done = decoder::decode_g4(data.iter().copied(), width, Some(rows), |changes| {
                marks.push(mark(changes.iter().copied().filter(|&at| at < width)));
            });
            done.map(|()| marks).ok_or(unreadable)
        };
        let marks: Vec<Vec<u64>> = self.strips.par_iter().enumerate().map(strip).collect::<Result<_, _>>()?;
        Ok(marks.concat())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_byte_is_found() {
        let black = Region::rectangle(artwork::bounds::Bounds::from_size(3.0, 3.0));
        let page = artwork::bounds::Bounds::from_size(10.0, 5.0);
        let sheet = FilmSheet { page, black, bar: page, patches: Vec::new() };
        let grid = grid(&sheet, 300.0).unwrap();
        let strips = encoded(&sheet, grid, None);
        let (marks, bytes) = (strips[0].marks.clone(), file(grid, 300.0, &strips));
        assert!(verify(bytes.clone(), grid, 300.0, &marks).is_ok());
        let mut broken = bytes.clone();
        let last = broken.len() - strips[0].bytes.len() / 2;
        broken[last] ^= 0x10;
        assert!(verify(broken, grid, 300.0, &marks).is_err());
        assert!(matches!(verify(bytes.clone(), grid, 600.0, &marks), Err(TiffFault::Size { .. })));
        assert!(matches!(verify(bytes[..40].to_vec(), grid, 300.0, &marks), Err(TiffFault::Unreadable { .. })));
        assert!(matches!(verified(&sheet, 100.0, None), Err(TiffFault::Resolution { .. })));
    }
}
