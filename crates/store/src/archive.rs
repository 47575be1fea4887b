//! Pieces and shops as one readable file: a ZIP of the files that the command line reads too.
//!
//! ```text
//! sabulo.toml                       what is in it
//! shop-1/shop.toml, stock.csv
//! shop-1/1-heron-among-reeds/piece.toml, heron.svg, logs.csv
//! ```
//!
//! Unpacked, each piece's folder can be planned as it is. The same pieces give the same bytes. A file that is
//! read back names its parts in `sabulo.toml`; nothing is ever unpacked onto a disk, so its paths mean nothing there.

use language::say;
use serde::{Deserialize, Serialize};
use std::io::{Cursor, Read, Write};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// Pieces, and the shops that they are made in.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Archive {
    /// Shops.
    pub shops: Vec<ArchivedShop>,
    /// Pieces, each made in one of the shops.
    pub pieces: Vec<ArchivedPiece>,
}

/// A shop as it stood.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ArchivedShop {
    /// The shop file.
    pub shop_toml: String,
    /// Its ledger, the oldest entry first.
    pub movements: Vec<ArchivedMovement>,
}

/// An entry of a shop's ledger. The names are the columns of `stock.csv`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ArchivedMovement {
    /// Made where the entry was made.
    pub key: String,
    /// What it is of.
    pub item: String,
    /// What happened.
    pub verb: String,
    /// How much, at the least.
    pub low: f64,
    /// At the middle.
    pub mid: f64,
    /// At the most.
    pub high: f64,
    /// In what.
    pub unit: String,
    /// What was noted.
    pub about: String,
    /// Key of the run that it came with.
    #[serde(default)]
    pub run: Option<String>,
    /// Key of the entry that this one takes back.
    #[serde(default)]
    pub takes_back: Option<String>,
    /// When it happened, as ISO 8601 in UTC.
    pub at_utc: String,
}

/// A piece as it stood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArchivedPiece {
    /// What the list calls it.
    pub name: String,
    /// It was put away.
    pub away: bool,
    /// Place of its shop among the archive's shops, from 0.
    pub shop: usize,
    /// The piece file.
    pub piece_toml: String,
    /// The drawing's file name.
    pub artwork_name: String,
    /// The drawing.
    pub artwork: Vec<u8>,
    /// Logs of work at the cabinet, the oldest first.
    pub runs: Vec<ArchivedRun>,
}

/// A log as it came. The names are the columns of `logs.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArchivedRun {
    /// Made where the run was made.
    pub key: String,
    /// When it came, as ISO 8601 in UTC.
    pub received_utc: String,
    /// What it says, as JSON.
    pub log: String,
    /// What the plan said of it when it came, as JSON.
    #[serde(default)]
    pub told: Option<String>,
}

/// Why an exported file does not read, or cannot be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ExchangeError {
    /// It is no ZIP file, or one cut short.
    #[error("{}", say!("this is not an exported file ({0}); choose a .zip that was exported here", _0))]
    NotZip(ZipError),
    /// A file in it is missing or cannot be unpacked.
    #[error("{}", say!("the exported file has no {file} that can be read ({fault}); export it again"))]
    Part {
        /// Its path.
        file: String,
        /// What the reader said.
        fault: ZipError,
    },
    /// A text in it is not UTF-8.
    #[error("{}", say!("{file} in the exported file is not UTF-8 text; save it as UTF-8"))]
    NotText {
        /// Its path.
        file: String,
    },
    /// Its table of contents does not read.
    #[error("{}", say!("sabulo.toml in the exported file does not read: {0}", _0))]
    Contents(#[from] toml::de::Error),
    /// A later version wrote it.
    #[error(
        "{}",
        say!(
            "the exported file says \"{found}\", this program reads \"{EXCHANGE}\"; use a later version of the program"
        )
    )]
    Version {
        /// What it says.
        found: String,
    },
    /// A piece names a shop that is not in it.
    #[error(
        "{}",
        say!("the piece \"{piece}\" is made in shop {shop} of the exported file, which has {shops}; mend sabulo.toml")
    )]
    NoShop {
        /// Name of the piece.
        piece: String,
        /// Number of the shop, from 1.
        shop: usize,
        /// How many there are.
        shops: usize,
    },
    /// A table does not read.
    #[error("{}", say!("{file} in the exported file does not read: {fault}"))]
    Logs {
        /// Its path.
        file: String,
        /// What and where.
        fault: csv::Error,
    },
    /// Unpacked, it would take more memory than is given to it.
    #[error("{}", say!("unpacked, the exported file is larger than {most} MB; export its pieces one by one"))]
    TooLarge {
        /// Limit in megabytes.
        most: u64,
    },
    /// It cannot be packed.
    #[error("{}", say!("the export cannot be packed: {0}", _0))]
    Pack(ZipError),
    /// Its table of contents cannot be written.
    #[error("{}", say!("the export's table of contents cannot be written: {0}", _0))]
    Write(#[from] toml::ser::Error),
}

/// The version that this program writes and reads.
const EXCHANGE: &str = "exchange 1";
const CONTENTS: &str = "sabulo.toml";

/// Bytes that an archive may hold when it is unpacked: some thirty large scans.
const UNPACKED_MAX: u64 = 1 << 30;

#[derive(Debug, Serialize, Deserialize)]
struct Contents {
    sabulo: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    shop: Vec<ShopPart>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    piece: Vec<PiecePart>,
}

#[derive(Debug, Serialize, Deserialize)]
struct ShopPart {
    file: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stock: Option<String>,
}

#[derive(Debug, Serialize, Deserialize)]
struct PiecePart {
    name: String,
    file: String,
    artwork: String,
    artwork_name: String,
    /// From 1.
    shop: usize,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    away: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    logs: Option<String>,
}

impl Archive {
    /// The archive as the bytes of a ZIP file, the same each time.
    ///
    /// # Errors
    /// [`ExchangeError::Pack`], [`ExchangeError::Write`].
    pub fn pack(&self) -> Result<Vec<u8>, ExchangeError> {
        let contents = Contents {
            sabulo: EXCHANGE.to_owned(),
            shop: self.shops.iter().enumerate().map(|(i, shop)| shop_part(i + 1, shop)).collect(),
            piece: self.pieces.iter().enumerate().map(|(i, piece)| part(i + 1, piece)).collect(),
        };
        let mut zip = Packer(ZipWriter::new(Cursor::new(Vec::new())));
        zip.add(CONTENTS, toml::to_string(&contents)?.as_bytes())?;
        for (shop, part) in self.shops.iter().zip(&contents.shop) {
            zip.add(&part.file, shop.shop_toml.as_bytes())?;
            if let Some(stock) = &part.stock {
                zip.add(stock, &table(&shop.movements, stock)?)?;
            }
        }
        for (piece, part) in self.pieces.iter().zip(&contents.piece) {
            zip.add(&part.file, piece.piece_toml.as_bytes())?;
            zip.add(&part.artwork, &piece.artwork)?;
            if let Some(logs) = &part.logs {
                zip.add(logs, &table(&piece.runs, logs)?)?;
            }
        }
        Ok(zip.0.finish().map_err(ExchangeError::Pack)?.into_inner())
    }

    /// Reads the bytes of a ZIP file. What the texts say is not looked at.
    ///
    /// # Errors
    /// What does not read, and where.
    pub fn unpack(bytes: &[u8]) -> Result<Self, ExchangeError> {
        let zip = ZipArchive::new(Cursor::new(bytes)).map_err(ExchangeError::NotZip)?;
        let mut zip = Unpacker { zip, left: UNPACKED_MAX };
        let contents: Contents = toml::from_str(&zip.text(CONTENTS)?)?;
        if contents.sabulo != EXCHANGE {
            return Err(ExchangeError::Version { found: contents.sabulo });
        }
        let shop = |part: &ShopPart| {
            let movements = part.stock.as_deref().map(|file| zip.rows(file)).transpose()?.unwrap_or_default();
            Ok(ArchivedShop { shop_toml: zip.text(&part.file)?, movements })
        };
        let shops: Vec<ArchivedShop> = contents.shop.iter().map(shop).collect::<Result<_, ExchangeError>>()?;
        let count = shops.len();
        let piece = |part: PiecePart| zip.piece(part, count);
        Ok(Self { shops, pieces: contents.piece.into_iter().map(piece).collect::<Result<_, _>>()? })
    }
}

fn shop_part(number: usize, shop: &ArchivedShop) -> ShopPart {
    let stock = (!shop.movements.is_empty()).then(|| format!("shop-{number}/stock.csv"));
    ShopPart { file: format!("shop-{number}/shop.toml"), stock }
}

fn part(number: usize, piece: &ArchivedPiece) -> PiecePart {
    let folder = format!("shop-{}/{number}{}", piece.shop + 1, slug(&piece.name));
    let plain = plain_name(&piece.artwork_name).then(|| piece.artwork_name.clone());
    PiecePart {
        name: piece.name.clone(),
        file: format!("{folder}/piece.toml"),
        artwork: format!("{folder}/{}", plain.unwrap_or_else(|| "artwork".to_owned())),
        artwork_name: piece.artwork_name.clone(),
        shop: piece.shop + 1,
        away: piece.away,
        logs: (!piece.runs.is_empty()).then(|| format!("{folder}/logs.csv")),
    }
}

/// The letters and digits of a name, for a folder: "-heron-among-reeds".
fn slug(name: &str) -> String {
    let kept: String =
        name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    kept.split_whitespace().take(6).map(|word| format!("-{word}")).collect()
}

/// Whether a name can stand as a file beside the others on any system.
fn plain_name(name: &str) -> bool {
    let odd = |c: char| c.is_control() || "/\\:*?\"<>|".contains(c);
    let ours = ["", ".", "..", "piece.toml", "logs.csv"].contains(&name.to_lowercase().as_str());
    !ours && name.len() <= 120 && !name.contains(odd) && !name.ends_with(['.', ' '])
}

fn table(lines: &[impl Serialize], file: &str) -> Result<Vec<u8>, ExchangeError> {
    let fault = |fault| ExchangeError::Logs { file: file.to_owned(), fault };
    let mut rows = csv::Writer::from_writer(Vec::new());
    lines.iter().try_for_each(|line| rows.serialize(line)).map_err(fault)?;
    rows.into_inner().map_err(|unwritten| fault(unwritten.into_error().into()))
}

struct Packer(ZipWriter<Cursor<Vec<u8>>>);

impl Packer {
    fn add(&mut self, name: &str, bytes: &[u8]) -> Result<(), ExchangeError> {
        // No date and no user: the same pieces are the same file.
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Deflated)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644);
        self.0.start_file(name, options).map_err(ExchangeError::Pack)?;
        self.0.write_all(bytes).map_err(|fault| ExchangeError::Pack(fault.into()))
    }
}

struct Unpacker<'a> {
    zip: ZipArchive<Cursor<&'a [u8]>>,
    /// Bytes that may still be unpacked.
    left: u64,
}

impl Unpacker<'_> {
    fn bytes(&mut self, file: &str) -> Result<Vec<u8>, ExchangeError> {
        let fault = |fault| ExchangeError::Part { file: file.to_owned(), fault };
        let part = self.zip.by_name(file).map_err(fault)?;
        let mut bytes = Vec::new();
        // What its header says of its size is not believed.
        part.take(self.left + 1).read_to_end(&mut bytes).map_err(|error| fault(error.into()))?;
        let size = bytes.len() as u64;
        self.left = self.left.checked_sub(size).ok_or(ExchangeError::TooLarge { most: UNPACKED_MAX >> 20 })?;
        Ok(bytes)
    }

    fn text(&mut self, file: &str) -> Result<String, ExchangeError> {
        String::from_utf8(self.bytes(file)?).map_err(|_| ExchangeError::NotText { file: file.to_owned() })
    }

    fn piece(&mut self, part: PiecePart, shops: usize) -> Result<ArchivedPiece, ExchangeError> {
        if !(1..=shops).contains(&part.shop) {
            return Err(ExchangeError::NoShop { piece: part.name, shop: part.shop, shops });
        }
        Ok(ArchivedPiece {
            piece_toml: self.text(&part.file)?,
            artwork: self.bytes(&part.artwork)?,
            runs: part.logs.as_deref().map(|file| self.rows(file)).transpose()?.unwrap_or_default(),
            name: part.name,
            away: part.away,
            shop: part.shop - 1,
            artwork_name: part.artwork_name,
        })
    }

    fn rows<T: serde::de::DeserializeOwned>(&mut self, file: &str) -> Result<Vec<T>, ExchangeError> {
        let bytes = self.bytes(file)?;
        let rows = csv::Reader::from_reader(bytes.as_slice()).into_deserialize().collect::<Result<_, _>>();
        rows.map_err(|fault| ExchangeError::Logs { file: file.to_owned(), fault })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn movement() -> ArchivedMovement {
        ArchivedMovement {
            key: "k1".to_owned(),
            item: "resist rubber_thin".to_owned(),
            verb: "drawn".to_owned(),
            low: 0.1,
            mid: 0.1 + 0.2,
            high: 1.0 / 3.0,
            unit: "m2".to_owned(),
            about: "a roll, \"blue\"\nas sent".to_owned(),
            run: Some("a".to_owned()),
            takes_back: None,
            at_utc: "2025-03-01T10:00:00.000Z".to_owned(),
        }
    }

    fn archive() -> Archive {
        let run = |key: &str| ArchivedRun {
            key: key.to_owned(),
            received_utc: "2025-03-01T10:00:00.000Z".to_owned(),
            log: "{\"said\":\"a, \\\"b\\\"\\nc\"}".to_owned(),
            told: (key == "a").then(|| "{}".to_owned()),
        };
        let piece = |name: &str, artwork_name: &str, runs| ArchivedPiece {
            name: name.to_owned(),
            away: false,
            shop: 0,
            piece_toml: "name = \"x\" # a note\n".to_owned(),
            artwork_name: artwork_name.to_owned(),
            artwork: vec![0, 159, 146, 150],
            runs,
        };
        Archive {
            shops: vec![ArchivedShop { shop_toml: "name = \"shop\"\n".to_owned(), movements: vec![movement()] }],
            pieces: vec![
                piece("Heron among reeds", "heron.svg", vec![run("a"), run("b")]),
                piece("../../etc/Ärger", "../../piece.toml", Vec::new()),
            ],
        }
    }

    #[test]
    fn what_is_packed_is_unpacked_again_and_the_same_twice() {
        let archive = archive();
        let bytes = archive.pack().unwrap();
        assert_eq!(Archive::unpack(&bytes).unwrap(), archive);
        assert_eq!(archive.pack().unwrap(), bytes);
    }

    #[test]
    fn names_in_the_file_are_plain_and_say_what_they_are() {
        let zip = ZipArchive::new(Cursor::new(archive().pack().unwrap())).unwrap();
        let mut names: Vec<_> = zip.file_names().map(|name| name.unwrap().into_owned()).collect();
        names.sort_unstable();
        let first = "shop-1/1-heron-among-reeds";
        let second = "shop-1/2-etc-rger";
        let mut expected = ["artwork", "piece.toml"].map(|name| format!("{second}/{name}")).to_vec();
        expected.extend(["heron.svg", "logs.csv", "piece.toml"].map(|name| format!("{first}/{name}")));
        expected.extend([CONTENTS, "shop-1/shop.toml", "shop-1/stock.csv"].map(str::to_owned));
        expected.sort_unstable();
        assert_eq!(names, expected);
    }

    #[test]
    fn what_does_not_read_is_named() {
        let zip = |files: &[(&str, &str)]| {
            let mut zip = Packer(ZipWriter::new(Cursor::new(Vec::new())));
            files.iter().for_each(|(name, text)| zip.add(name, text.as_bytes()).unwrap());
            Archive::unpack(&zip.0.finish().unwrap().into_inner()).unwrap_err().to_string()
        };
        assert!(Archive::unpack(b"PK\x03\x04 but no more").unwrap_err().to_string().contains("not an exported file"));
        assert!(zip(&[("readme.txt", "")]).contains("no sabulo.toml"));
        assert!(zip(&[(CONTENTS, "sabulo = \"exchange 9\"")]).contains("exchange 9"));
        assert!(zip(&[(CONTENTS, "sabulo = 1")]).contains("line 1"));
        let shop = "sabulo = \"exchange 1\"\n[[shop]]\nfile = \"../shop.toml\"";
        assert!(zip(&[(CONTENTS, shop)]).contains("no ../shop.toml"));
        let piece = "sabulo = \"exchange 1\"\n[[piece]]\nname = \"Gate\"\nfile = \"a\"\nartwork = \"b\"\nartwork_name = \"b\"\nshop = 0";
        assert!(zip(&[(CONTENTS, piece)]).contains("\"Gate\" is made in shop 0"));
    }

    #[test]
    fn more_than_the_limit_is_refused_before_it_is_in_memory() {
        let zip = ZipArchive::new(Cursor::new(archive().pack().unwrap())).unwrap();
        let bytes = zip.into_inner().into_inner();
        let mut small = Unpacker { zip: ZipArchive::new(Cursor::new(bytes.as_slice())).unwrap(), left: 20 };
        assert!(matches!(small.text(CONTENTS), Err(ExchangeError::TooLarge { most: 1024 })));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn a_damaged_file_is_refused_or_read_but_never_panics(at in 0.0..1.0f64, byte: u8, cut in 0.0..1.0f64) {
            let mut bytes = archive().pack().unwrap();
            let place = (at * bytes.len() as f64) as usize;
            bytes[place] = byte;
            let _ = Archive::unpack(&bytes);
            bytes.truncate((cut * bytes.len() as f64) as usize);
            prop_assert!(Archive::unpack(&bytes).is_err());
        }
    }
}
