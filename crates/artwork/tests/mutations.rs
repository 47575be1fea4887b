//! Real files, changed at random but always alike: every reader answers, with a drawing or a clear error.
//!
//! Not guided by coverage. It found that a coordinate of 1e308 in a DXF file overflowed the file of its curves' ends.

use artwork::batch::{Template, read_table};
use artwork::dxf::{DxfLayer, DxfLimits, DxfOptions, read_dxf, write_dxf};
use artwork::photo::{PhotoLimits, PhotoOptions, trace_photo};
use artwork::region::Region;
use artwork::svg::{Limits, ReadOptions, read_svg};
use std::io::Cursor;

/// A linear congruential generator (Knuth's MMIX constants).
struct Random(u64);

impl Random {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % count.max(1)
    }
}

/// What a number or a word in a file may be replaced by.
const NASTY: [&str; 16] = [
    "1e308",
    "-1e308",
    "NaN",
    "inf",
    "0",
    "-1",
    "1e-300",
    "4294967296",
    "99999999999999999999",
    "",
    "-0",
    "2147483647",
    "65536",
    "\u{0}",
    "ü",
    "0.0000001",
];

/// One to four changes.
fn changed(seed: &[u8], number: u64) -> Vec<u8> {
    let mut random = Random(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let mut bytes = seed.to_vec();
    for _ in 0..1 + random.below(4) {
        let at = random.below(bytes.len());
        let length = random.below(40).min(bytes.len() - at);
        match random.below(6) {
            0 => bytes[at] ^= 1 << random.below(8),
            1 => drop(bytes.drain(at..at + length)),
            2 => {
                let copy = bytes[at..at + length].repeat(1 + random.below(20));
                bytes.splice(at..at, copy);
            }
            3 => {
                let word = NASTY[random.below(NASTY.len())];
                let end = word_end(&bytes, at);
                bytes.splice(word_start(&bytes, at)..end, word.bytes());
            }
            4 => bytes.truncate(at),
            _ => {
                let other = random.below(bytes.len());
                let piece = bytes[other..(other + length).min(bytes.len())].to_vec();
                bytes.splice(at..at + length, piece);
            }
        }
        if bytes.is_empty() {
            bytes.push(b' ');
        }
    }
    bytes
}

fn is_word(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'+' | b'_')
}

fn word_start(bytes: &[u8], at: usize) -> usize {
    bytes[..at].iter().rposition(|&byte| !is_word(byte)).map_or(0, |before| before + 1)
}

fn word_end(bytes: &[u8], at: usize) -> usize {
    bytes[at..].iter().position(|&byte| !is_word(byte)).map_or(bytes.len(), |length| at + length)
}

/// Feeds a reader; gives how many changed files it still read.
fn feed(seeds: &[Vec<u8>], times: u64, mut read: impl FnMut(&[u8]) -> Result<(), String>) -> usize {
    let mut readable = 0;
    for seed in seeds {
        assert_eq!(read(seed), Ok(()), "the seed itself must be readable");
        for number in 0..times {
            match read(&changed(seed, number)) {
                Ok(()) => readable += 1,
                Err(words) => assert!(words.len() > 10, "an error must say something: {words:?}"),
            }
        }
    }
    // Were nearly nothing readable, only the outermost layer of the reader would be tried.
    println!("{readable} of {} changed files were readable", seeds.len() as u64 * times);
    readable
}

fn said<T, E: std::fmt::Display>(result: Result<T, E>) -> Result<(), String> {
    result.map(|_| ()).map_err(|error| error.to_string())
}

#[test]
fn changed_svg_files_are_read_or_refused() {
    let seeds = [
        "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='40mm' viewBox='0 0 60 40'><style>.a{fill:#c00}</style>\
         <defs><clipPath id='c'><circle cx='20' cy='20' r='9'/></clipPath><mask id='m'><rect width='60' height='40' fill='#fff'/></mask>\
         <pattern id='p' width='4' height='4' patternUnits='userSpaceOnUse'><rect width='2' height='2'/></pattern>\
         <symbol id='s' viewBox='0 0 10 10'><path d='M0 0L9 9H1Z'/></symbol></defs>\
         <g id='g' transform='rotate(5)' clip-path='url(#c)'><path class='a' d='M5 5C9 1 20 1 30 20S9 30 5 5zM8 8h3v3z'/></g>\
         <use href='#s' x='3' width='9' height='9'/><rect x='30' width='20' height='20' fill='url(#p)' mask='url(#m)'/>\
         <path d='M5 30H50' stroke='#000' stroke-width='2' stroke-dasharray='3 2'/><text x='5' y='30' font-size='7'>Reed</text></svg>",
    ];
    let seeds: Vec<Vec<u8>> = seeds.iter().map(|seed| seed.as_bytes().to_vec()).collect();
    let limits = Limits { instances: 20_000, vertices: 200_000, crossings: 200_000, ..Limits::default() };
    let options = ReadOptions { limits, ..ReadOptions::default() };
    assert!(feed(&seeds, 3_000, |bytes| said(read_svg(bytes, &options))) > 100);
}

#[test]
fn changed_dxf_files_are_read_or_refused() {
    let plate = Region::rectangle(artwork::bounds::Bounds::from_size(30.0, 20.0));
    let ours = write_dxf(&[DxfLayer { name: "plate", colour: 1, region: &plate }], 20.0);
    let all = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n10\n0\n20\n0\n0\nCIRCLE\n8\n0\n10\n1\n20\n1\n40\n2\n\
        0\nENDBLK\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\na\n2\nB\n10\n3\n20\n4\n41\n2\n42\n1\n50\n30\n70\n2\n71\n2\n44\n9\n45\n9\n\
        0\nARC\n8\na\n10\n20\n20\n5\n40\n4\n50\n0\n51\n180\n0\nLINE\n8\na\n10\n16\n20\n5\n11\n24\n21\n5\n\
        0\nELLIPSE\n8\na\n10\n9\n20\n30\n11\n5\n21\n1\n40\n0.4\n41\n0\n42\n6.283185307179586\n\
        0\nLWPOLYLINE\n8\nb\n90\n3\n70\n1\n10\n0\n20\n40\n42\n0.5\n10\n9\n20\n40\n10\n9\n20\n50\n\
        0\nSPLINE\n8\nb\n70\n8\n71\n3\n72\n8\n73\n4\n40\n0\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n40\n1\n10\n30\n20\n30\n10\n33\n20\n40\n10\n40\n20\n40\n10\n45\n20\n30\n\
        0\nHATCH\n8\nc\n2\nSOLID\n70\n1\n91\n2\n92\n2\n72\n1\n73\n1\n93\n2\n10\n50\n20\n5\n42\n1\n10\n60\n20\n5\n42\n1\n97\n0\n92\n1\n93\n2\n72\n1\n10\n50\n20\n20\n11\n60\n21\n20\n\
        72\n2\n10\n55\n20\n20\n40\n5\n50\n0\n51\n180\n73\n1\n97\n0\n75\n0\n76\n1\n0\nSOLID\n8\nc\n10\n70\n20\n0\n11\n80\n21\n0\n12\n70\n22\n9\n13\n80\n23\n9\n0\nENDSEC\n0\nEOF\n";
    let seeds = [ours.into_bytes(), all.as_bytes().to_vec()];
    let limits = DxfLimits { entities: 20_000, vertices: 200_000, crossings: 200_000, ..DxfLimits::default() };
    let options = DxfOptions { limits, ..DxfOptions::default() };
    assert!(feed(&seeds, 4_000, |bytes| said(read_dxf(bytes, &options))) > 300);
}

#[test]
fn changed_pictures_are_read_or_refused() {
    let picture = image::GrayImage::from_fn(64, 48, |x, y| {
        image::Luma([if (x as f32 - 30.0).hypot(y as f32 - 22.0) < 15.0 { 20 } else { 230 }])
    });
    let encoded = |format| {
        let mut bytes = Cursor::new(Vec::new());
        image::DynamicImage::from(picture.clone()).to_rgb8().write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    };
    use image::ImageFormat::{Jpeg, Png, Tiff, WebP};
    let seeds: Vec<Vec<u8>> = [Png, Jpeg, Tiff, WebP].map(encoded).to_vec();
    let limits = PhotoLimits { bytes: 1 << 20, pixels: 1_000_000 };
    let options = PhotoOptions { limits, ..PhotoOptions::default() };
    assert!(feed(&seeds, 400, |bytes| said(trace_photo(bytes, &options))) > 50);
}

#[test]
fn changed_tables_and_templates_are_read_or_refused() {
    let table = "name,year,town\nAnn,1998,\"Reed, by \"\"the\"\" water\"\n\nBo;x,2001,Merrow\r\n".as_bytes().to_vec();
    assert!(feed(&[table], 2_000, |bytes| said(read_table(bytes))) > 200);
    let template = "<svg xmlns='http://www.w3.org/2000/svg'><text id='name' x='3mm' transform='scale(2)'>A</text>\
        <text>since {year} <tspan>{town}</tspan></text></svg>"
        .as_bytes()
        .to_vec();
    let columns = ["name", "year", "town"].map(str::to_owned);
    let read = |bytes: &[u8]| {
        let template = Template::new(bytes, &columns).map_err(|error| error.to_string())?;
        assert!(!template.columns().is_empty());
        Ok(())
    };
    assert!(feed(&[template], 4_000, read) > 200);
}
