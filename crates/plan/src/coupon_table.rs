//! Coupons as comma-separated values: read with every complaint, written as rows of a shop file.

use csv::{ReaderBuilder, StringRecord, Trim};
use language::say;
use piece::{CALIPER, Coupon, ResistAfter, Shop, UnknownState};
use quantity::schema::written;
use quantity::{GaugePressure, Length, ParseError, Quantity, Time};
use reference::{Resist, Unknown, tables};
use std::fmt;
use std::fmt::Write as _;

/// The columns, in any order. The last three may be left out or empty: the gauge is then a [`CALIPER`], and nothing is
/// known of the resist.
pub const COLUMNS: [&str; 12] = [
    "material",
    "abrasive",
    "grit",
    "nozzle",
    "pressure",
    "standoff",
    "opening",
    "time",
    "depth",
    "gauge",
    "resist",
    "resist_state",
];

/// How many of them must be there.
const NEEDED: usize = 9;

/// One thing wrong in a table.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponComplaint {
    /// Line, from 1; the header is line 1.
    pub line: u64,
    /// Field in the line, from 1; 0 for the whole line.
    pub column: usize,
    /// Name of the column; empty for the whole line.
    pub name: String,
    /// What is wrong.
    pub fault: CouponFault,
}

/// What can be wrong with a table of coupons.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CouponFault {
    /// Bytes that are no text, or a row of another length.
    #[error("{}", say!("the row cannot be read ({message}); give as many fields as the header has, in UTF-8"))]
    Row {
        /// The reader's own words.
        message: String,
    },
    /// A column that must be there is not.
    #[error("{}", say!("the header has no column \"{name}\"; it needs {needed}", needed = COLUMNS[..NEEDED].join(", ")))]
    MissingColumn {
        /// Which.
        name: &'static str,
    },
    /// A column that says nothing here.
    #[error("{}", say!("unknown column \"{given}\"; remove it or name it one of {columns}", columns = COLUMNS.join(", ")))]
    UnknownColumn {
        /// As written.
        given: String,
    },
    /// The same column again.
    #[error("{}", say!("the column \"{given}\" is there twice; keep one"))]
    Twice {
        /// As written.
        given: String,
    },
    /// A field that is no quantity.
    #[error(transparent)]
    Quantity(#[from] ParseError),
    /// A field that must be above zero.
    #[error("{}", say!("\"{given}\" is not above zero; give what was measured"))]
    NotAbove {
        /// As written.
        given: String,
    },
    /// An id that the reference tables do not have.
    #[error(transparent)]
    Unknown(#[from] Unknown),
    /// A state that no resist has.
    #[error(transparent)]
    State(#[from] UnknownState),
    /// A resist without its state, or a state without its resist.
    #[error("{}", say!("a resist goes with its state; fill in both columns, resist and resist_state, or neither"))]
    HalfResist,
    /// A nozzle that the shop does not have.
    #[error("{}", say!("the shop has no nozzle \"{given}\"; it has {known}"))]
    NoNozzle {
        /// As written.
        given: String,
        /// Those it has.
        known: String,
    },
}

/// Everything wrong in a table.
#[derive(Debug, Clone, PartialEq)]
pub struct CouponComplaints(pub Vec<CouponComplaint>);

impl fmt::Display for CouponComplaints {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, CouponComplaint { line, column, name, fault }) in self.0.iter().enumerate() {
            f.write_str(if i > 0 { "\n" } else { "" })?;
            match column {
                0 => f.write_str(&say!("line {line}: {fault}"))?,
                _ => f.write_str(&say!("line {line}, column {column} ({name}): {fault}"))?,
            }
        }
        Ok(())
    }
}

impl std::error::Error for CouponComplaints {}

/// Reads a table; its first line names the columns.
///
/// # Errors
/// Every complaint, with line and column.
pub fn read(bytes: &[u8], shop: &Shop) -> Result<Vec<Coupon>, CouponComplaints> {
    let mut reader = ReaderBuilder::new().trim(Trim::All).comment(Some(b'#')).from_reader(bytes);
    let header = reader.headers().cloned().map_err(|fault| CouponComplaints(vec![whole(1, &fault)]))?;
    let mut complaints = header_faults(&header);
    if !complaints.is_empty() {
        return Err(CouponComplaints(complaints));
    }
    let mut coupons = Vec::new();
    for record in reader.records() {
        match record {
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line);
                let row = Row { header: &header, record: &record, line };
                coupons.extend(row.coupon(shop, &mut complaints));
            }
            Err(fault) => complaints.push(whole(fault.position().map_or(0, csv::Position::line), &fault)),
        }
    }
    if complaints.is_empty() { Ok(coupons) } else { Err(CouponComplaints(complaints)) }
}

fn whole(line: u64, fault: &csv::Error) -> CouponComplaint {
    let message = fault.to_string();
    CouponComplaint { line, column: 0, name: String::new(), fault: CouponFault::Row { message } }
}

fn header_faults(header: &StringRecord) -> Vec<CouponComplaint> {
    let mut complaints = Vec::new();
    for (i, given) in header.iter().enumerate() {
        let given = given.to_owned();
        let at = |fault| CouponComplaint { line: 1, column: i + 1, name: given.clone(), fault };
        if !COLUMNS.contains(&given.as_str()) {
            complaints.push(at(CouponFault::UnknownColumn { given: given.clone() }));
        } else if header.iter().take(i).any(|earlier| earlier == given) {
            complaints.push(at(CouponFault::Twice { given: given.clone() }));
        }
    }
    let missing = COLUMNS[..NEEDED].iter().filter(|name| header.iter().all(|have| have != **name));
    complaints.extend(missing.map(|name| CouponComplaint {
        line: 1,
        column: 0,
        name: String::new(),
        fault: CouponFault::MissingColumn { name },
    }));
    complaints
}

struct Row<'a> {
    header: &'a StringRecord,
    record: &'a StringRecord,
    line: u64,
}

impl Row<'_> {
    fn coupon(&self, shop: &Shop, complaints: &mut Vec<CouponComplaint>) -> Option<Coupon> {
        let tables = tables();
        let material = self.field("material", complaints, |text| Ok(tables.material(text)?));
        let abrasive = self.field("abrasive", complaints, |text| Ok(tables.abrasive(text)?));
        let grit = self.field("grit", complaints, |text| Ok(tables.grit(text)?));
        let nozzle = self.field("nozzle", complaints, |text| match shop.nozzle(text) {
            Some(nozzle) => Ok(nozzle.name.clone()),
            None => {
                let known = shop.nozzles.iter().map(|nozzle| nozzle.name.as_str()).collect::<Vec<_>>().join(", ");
                Err(CouponFault::NoNozzle { given: text.to_owned(), known })
            }
        });
        let pressure: Option<GaugePressure> = self.field("pressure", complaints, above);
        let standoff: Option<Length> = self.field("standoff", complaints, above);
        let opening: Option<Length> = self.field("opening", complaints, above);
        let time: Option<Time> = self.field("time", complaints, above);
        let depth: Option<Length> = self.field("depth", complaints, above);
        let gauge = match self.text("gauge").1 {
            "" => Some(CALIPER),
            _ => self.field("gauge", complaints, above),
        };
        let resist = self.resist(complaints);
        Some(Coupon {
            material: material?,
            abrasive: abrasive?,
            grit: grit?,
            nozzle: nozzle?,
            pressure: pressure?,
            standoff: standoff?,
            opening: opening?,
            time: time?,
            depth: depth?,
            gauge: gauge?,
            resist: resist?,
        })
    }

    /// Nothing where there is a complaint; nothing in it where the resist was not looked at.
    fn resist(&self, complaints: &mut Vec<CouponComplaint>) -> Option<Option<(&'static Resist, ResistAfter)>> {
        match (self.text("resist").1, self.text("resist_state").1) {
            ("", "") => Some(None),
            ("", _) | (_, "") => {
                self.field::<()>("resist", complaints, |_| Err(CouponFault::HalfResist));
                None
            }
            _ => {
                let resist = self.field("resist", complaints, |text| Ok(tables().resist(text)?));
                let state = self.field("resist_state", complaints, |text| Ok(text.parse::<ResistAfter>()?));
                Some(Some((resist?, state?)))
            }
        }
    }

    /// A field's place from 1, and its text; empty where there is no such column.
    fn text(&self, name: &str) -> (usize, &str) {
        match self.header.iter().position(|have| have == name) {
            Some(at) => (at + 1, self.record.get(at).unwrap_or_default()),
            None => (0, ""),
        }
    }

    fn field<T>(
        &self,
        name: &'static str,
        complaints: &mut Vec<CouponComplaint>,
        read: impl Fn(&str) -> Result<T, CouponFault>,
    ) -> Option<T> {
        let (column, text) = self.text(name);
        let complain = |fault| CouponComplaint { line: self.line, column, name: name.to_owned(), fault };
        read(text).map_err(|fault| complaints.push(complain(fault))).ok()
    }
}

fn above<Q: Quantity>(text: &str) -> Result<Q, CouponFault> {
    let value: Q = quantity::parse::parse(text)?;
    if value.to_base() > 0.0 { Ok(value) } else { Err(CouponFault::NotAbove { given: text.to_owned() }) }
}

/// Whether two coupons say the same.
#[must_use]
pub fn same(a: &Coupon, b: &Coupon) -> bool {
    row(a) == row(b)
}

/// A table of coupons that are still to be blasted: [`read`] takes it once their depths are filled in, and beside a
/// resist what became of it.
///
/// # Errors
/// What the writer says.
pub fn to_fill_in(coupons: &[&Coupon]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for coupon in coupons {
        let Coupon { material, abrasive, grit, nozzle, pressure, standoff, opening, time, depth: _, gauge, resist } =
            coupon;
        let [pressure, standoff] = [written(*pressure), written(*standoff)];
        let [opening, time, gauge] = [written(*opening), written(*time), written(*gauge)];
        let resist = resist.map_or("", |(resist, _)| resist.id.as_str());
        writer.write_record([
            material.id.as_str(),
            &abrasive.id,
            &grit.name,
            nozzle,
            &pressure,
            &standoff,
            &opening,
            &time,
            "",
            &gauge,
            resist,
            "",
        ])?;
    }
    writer.into_inner().map_err(|fault| csv::Error::from(fault.into_error()))
}

/// Coupons as rows of a shop file.
#[must_use]
pub fn shop_rows(coupons: &[Coupon]) -> String {
    coupons.iter().map(|coupon| format!("\n{}", row(coupon))).collect()
}

fn row(coupon: &Coupon) -> String {
    let Coupon { material, abrasive, grit, nozzle, pressure, standoff, opening, time, depth, gauge, resist } = coupon;
    // A nozzle's name is people's own text: JSON's escapes are those of a TOML basic string.
    let nozzle = serde_json::Value::from(nozzle.as_str());
    let mut text = format!(
        "[[coupon]]\nmaterial = \"{}\"\nabrasive = \"{}\"\ngrit = \"{}\"\nnozzle = {nozzle}\npressure = \"{}\"\n\
         standoff = \"{}\"\nopening = \"{}\"\ntime = \"{}\"\ndepth = \"{}\"\n\
         gauge = \"{}\"\n",
        material.id,
        abrasive.id,
        grit.name,
        written(*pressure),
        written(*standoff),
        written(*opening),
        written(*time),
        written(*depth),
        written(*gauge),
    );
    if let Some((resist, state)) = resist {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "resist = \"{}\"\nresist_state = \"{state}\"", resist.id);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHOP: &str = include_str!("../../../examples/shop.toml");
    const HEADER: &str = "material,abrasive,grit,nozzle,pressure,standoff,opening,time,depth,gauge,resist,resist_state";

    fn shop() -> Shop {
        piece::read_shop(SHOP, "shop.toml").unwrap()
    }

    fn table(rows: &str) -> Result<Vec<Coupon>, CouponComplaints> {
        read(format!("{HEADER}\n{rows}").as_bytes(), &shop())
    }

    #[test]
    fn rows_become_coupons_and_rows_of_a_shop_file_that_reads_them_back() {
        let rows = "float_glass,white_alumina,F150,carver,2.5bar,120mm,25mm,60s,0.8mm,0.01mm,rubber_thick,0.1mm\n\
                    # blasted on a damp day\n\
                    granite, silicon_carbide, F120, broad, 40psi, 150mm, 1in, 2min, 0.5mm,,,\n";
        let coupons = table(rows).unwrap();
        assert_eq!((coupons.len(), coupons[1].gauge), (2, CALIPER));
        assert!((coupons[0].gauge.to_mm() - 0.01).abs() < 1e-12);
        let text = format!("{SHOP}{}", shop_rows(&coupons));
        let shop = piece::read_shop(&text, "shop.toml").unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!(shop.coupons.len(), 2);
        assert!(shop.coupons.iter().zip(&coupons).all(|(read, given)| same(read, given)));
    }

    #[test]
    fn a_table_to_fill_in_asks_for_the_depth_and_reads_once_it_is_there() {
        let rows = "float_glass,white_alumina,F150,carver,2.5bar,120mm,25mm,60s,0.8mm,0.01mm,rubber_thick,0.1mm\n";
        let coupon = &table(rows).unwrap()[0];
        let text = String::from_utf8(to_fill_in(&[coupon]).unwrap()).unwrap();
        let empty = read(text.as_bytes(), &shop()).unwrap_err();
        println!("{text}{empty}");
        assert_eq!((empty.0[0].line, empty.0[0].name.as_str()), (2, "depth"));
        let filled = text.replace(",,", ",0.8mm,").trim_end().to_owned() + "0.1mm\n";
        assert!(same(&read(filled.as_bytes(), &shop()).unwrap()[0], coupon), "{filled}");
    }

    #[test]
    fn every_bad_field_is_complained_about_with_its_line_and_column() {
        let rows = "flot_glass,white_alumina,F150,carver,2.5bar,120mm,25mm,60s,0.8mm,,,\n\
                    float_glass,white_alumina,F150,carver,2.5,120mm,25mm,0s,0.8mm,0.01mm,rubber_thick,torn\n\
                    float_glass,white_alumina,F150,needle,2.5bar,120mm,25mm,60s,-1mm,,,sound\n\
                    float_glass,white_alumina,F150,carver\n";
        let complaints = table(rows).unwrap_err();
        let places: Vec<(u64, usize)> = complaints.0.iter().map(|c| (c.line, c.column)).collect();
        println!("{complaints}");
        assert_eq!(places, [(2, 1), (3, 5), (3, 8), (3, 12), (4, 4), (4, 9), (4, 11), (5, 0)]);
        let words = complaints.to_string();
        assert!(words.contains("line 2, column 1 (material)") && words.contains("float_glass"), "{words}");
        assert!(words.contains("detail, carver, broad"), "{words}");
    }

    #[test]
    fn a_header_must_name_every_column_once() {
        let complain = |header: &str| read(header.as_bytes(), &shop()).unwrap_err().to_string();
        assert!(complain("material,abrasive\n").contains("no column \"depth\""));
        assert!(complain(&format!("{HEADER},colour\n")).contains("unknown column \"colour\""));
        assert!(complain(&format!("{HEADER},depth\n")).contains("twice"));
        assert!(complain("").contains("no column \"material\""));
    }

    #[test]
    fn no_bytes_make_it_panic() {
        let mut state = 1u64;
        for _ in 0..2000 {
            let mut bytes = format!("{HEADER}\nfloat_glass,white_alumina,F150,carver,2.5bar,120mm,25mm,60s,0.8mm,,,\n")
                .into_bytes();
            for _ in 0..6 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                let at = (state >> 33) as usize % bytes.len();
                bytes[at] = (state >> 20) as u8;
            }
            // Whatever it says, it says it as a result.
            let read = read(&bytes, &shop());
            assert!(read.is_ok() || !read.unwrap_err().0.is_empty());
        }
    }
}
