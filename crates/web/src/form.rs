//! The recipe's form: what was kept, what is tried, and how the one is written as changes of the other.
//!
//! A tried piece is its kept file with some values written over. The values are put into the file's
//! own text form and judged by the file's own reader, so that the form and the file cannot disagree
//! about what is allowed. Everything else in the file stays as its owner wrote it.

use language::Language;
use piece::piece_file::PieceFile;
use piece::{Complaints, Piece, Shop};
use quantity::{GaugePressure, Length, Quantity, UnitSystem};
use std::collections::BTreeMap;
use toml::{Table, Value};

/// A field without a control: whether the drawing is moved to the middle of the blank.
pub(crate) const PLACE: &str = "place";
/// Its only value.
pub(crate) const CENTRE: &str = "centre";

/// What a form or an address sent: names and values.
pub(crate) type Sent = Vec<(String, String)>;

/// The kept file with the tried values over it.
#[derive(Debug, Clone)]
pub(crate) struct Tried {
    /// The piece file with the tried values.
    pub text: String,
    /// Only what differs from the kept file, in units: for addresses.
    pub changes: Sent,
    /// What was sent, by field: what a faulty control shows again.
    pub sent: BTreeMap<String, String>,
    /// The piece, or what is wrong with the values, by field.
    pub piece: Result<Piece, Faults>,
}

/// What is wrong, by field; under the empty name what belongs to none.
pub(crate) type Faults = BTreeMap<String, String>;

/// The unit in which a field's number is written and read when none stands beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Pressure.
    Pressure,
    /// A distance or size.
    Size,
    /// Depth of carving.
    Depth,
    /// A whole number of things.
    Count,
}

impl Kind {
    /// The unit's sign, as it is parsed and shown.
    pub(crate) const fn unit(self, units: UnitSystem) -> &'static str {
        match (self, units) {
            (Self::Pressure, UnitSystem::Us) => "psi",
            (Self::Pressure, UnitSystem::Metric) => "bar",
            (Self::Size, UnitSystem::Us) => "in",
            (Self::Depth, UnitSystem::Us) => "mil",
            (Self::Size | Self::Depth, UnitSystem::Metric) => "mm",
            (Self::Count, _) => "",
        }
    }

    /// What an arrow key adds, in that unit.
    pub(crate) const fn step(self, units: UnitSystem) -> f64 {
        match (self, units) {
            (Self::Pressure, UnitSystem::Us) | (Self::Size, UnitSystem::Metric) => 1.0,
            (Self::Depth, UnitSystem::Us) | (Self::Count, _) => 1.0,
            (Self::Pressure, UnitSystem::Metric) => 0.1,
            (Self::Size, UnitSystem::Us) => 0.125,
            (Self::Depth, UnitSystem::Metric) => 0.05,
        }
    }
}

/// A field of the form: its name, and where its value stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Field {
    pub name: String,
    /// Path in the file; of the grit, that of its abrasive.
    path: Place,
    /// Of a number; `None` is a word.
    pub kind: Option<Kind>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Place {
    Root(&'static str),
    Key(&'static str, &'static str),
    Depth(usize),
}

/// The fields of a piece's form, in the order of its sentences.
pub(crate) fn fields(file: &PieceFile) -> Vec<Field> {
    let in_table = |name: &str, table, key| Field { name: name.to_owned(), path: Place::Key(table, key), kind: None };
    let word = |name: &str, key| in_table(name, "recipe", key);
    let number =
        |name: &str, table, key, kind| Field { name: name.to_owned(), path: Place::Key(table, key), kind: Some(kind) };
    let mut fields = vec![
        word("resist", "resist"),
        word("grit", "grit"),
        word("finish", "finish"),
        word("nozzle", "nozzle"),
        number("pressure", "recipe", "pressure", Kind::Pressure),
        number("standoff", "recipe", "standoff", Kind::Size),
    ];
    let depth = |index| Field { name: depth_name(index), path: Place::Depth(index), kind: Some(Kind::Depth) };
    fields.extend((0..file.depth.len()).map(depth));
    fields.push(number("width", "artwork", "width", Kind::Size));
    fields.push(number("left", "artwork", "left", Kind::Size));
    fields.push(number("top", "artwork", "top", Kind::Size));
    fields.push(in_table("material", "blank", "material"));
    if file.blank.width.is_some() {
        fields.push(number("blank-width", "blank", "width", Kind::Size));
    }
    fields.push(number("blank-height", "blank", "height", Kind::Size));
    fields.push(number("thickness", "blank", "thickness", Kind::Size));
    fields.push(in_table("side", "blank", "carve_from"));
    fields.push(Field { name: "quantity".to_owned(), path: Place::Root("quantity"), kind: Some(Kind::Count) });
    fields
}

/// Name of the field for a row of the file's depths, counted from 0.
pub(crate) fn depth_name(index: usize) -> String {
    format!("depth-{}", index + 1)
}

/// A number as a field shows it: three digits in the field's unit, no unit beside it.
pub(crate) fn shown(field: &Field, written: &str, units: UnitSystem) -> String {
    let Some(kind) = field.kind else { return written.to_owned() };
    let unit = kind.unit(units);
    let number = match kind {
        Kind::Pressure => written.parse::<GaugePressure>().map(|p| in_unit(p, unit)),
        Kind::Size | Kind::Depth => written.parse::<Length>().map(|l| in_unit(l, unit)),
        Kind::Count => return written.to_owned(),
    };
    number.map_or_else(|_| written.to_owned(), |number| tidy(number, 3))
}

/// The value in a unit that its kind knows by this sign.
pub(crate) fn in_unit<Q: Quantity>(quantity: Q, sign: &str) -> f64 {
    let unit = Q::UNITS.iter().find(|unit| unit.spellings.contains(&sign)).unwrap_or(&Q::UNITS[0]);
    (quantity.to_base() - unit.offset) / unit.factor
}

/// A number of at most `digits` digits, without zeros at its end, with the decimal mark of who reads it.
pub(crate) fn tidy(number: f64, digits: usize) -> String {
    language::number(pointed(number, digits))
}

/// The same with a decimal point, for files and addresses.
fn pointed(number: f64, digits: usize) -> String {
    let text = Language::English.scope(|| quantity::show::significant(number, digits));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A quantity in full, in the unit of its field.
pub(crate) fn exact<Q: Quantity>(quantity: Q, kind: Kind, units: UnitSystem) -> String {
    let unit = kind.unit(units);
    format!("{}{unit}", pointed(in_unit(quantity, unit), 9))
}

/// A number without a unit as somebody typed it; `None` for one whose comma may part thousands.
pub(crate) fn plain_number(typed: &str) -> Option<f64> {
    with_points(typed).parse().ok()
}

/// What was typed, with points for the decimal commas; a comma that may part thousands stays, and is complained about.
pub(crate) fn with_points(typed: &str) -> String {
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
    let mut parts = typed.split(',');
    let mut text = parts.next().unwrap_or_default().to_owned();
    for behind in parts {
        let start = text.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |at| at + 1);
        let (whole, after_point) = (text[start..].to_owned(), text[..start].ends_with('.'));
        let parted = digits(behind) == 3 && whole.len() <= 3 && whole != "0";
        let is_mark = !whole.is_empty() && !after_point && digits(behind) > 0 && !parted;
        text.push(if is_mark { '.' } else { ',' });
        text.push_str(behind);
    }
    text
}

/// Writes what was sent over the kept file and reads the result.
///
/// # Errors
/// Complaints about the kept file itself.
pub(crate) fn try_out(kept: &str, sent: &Sent, shop: &Shop, units: UnitSystem) -> Result<Tried, Complaints> {
    let file = piece::reader::read::<PieceFile>(kept, "piece.toml")?.value;
    let sent = flattened(sent);
    let mut table: Table = toml::from_str(kept).unwrap_or_default();
    let mut changes = Vec::new();
    for field in fields(&file) {
        let Some(typed) = sent.get(&field.name) else { continue };
        let typed = typed.trim();
        let before = written(&table, &field);
        if typed == before || typed == shown(&field, &before, units) {
            continue;
        }
        let value = with_unit(&field, typed, units);
        write(&mut table, &field, &value);
        changes.push((field.name.clone(), value));
    }
    if sent.get(PLACE).is_some_and(|place| place == CENTRE) && centre(&mut table) {
        changes.push((PLACE.to_owned(), CENTRE.to_owned()));
    }
    let text = if changes.is_empty() { kept.to_owned() } else { toml::to_string(&table).unwrap_or_default() };
    let piece = piece::read_piece(&text, "piece.toml", shop).map_err(|complaints| by_field(&complaints));
    Ok(Tried { text, changes, sent, piece })
}

/// What the tried file holds for a field, as written there.
pub(crate) fn value_in(text: &str, field: &Field) -> String {
    written(&toml::from_str(text).unwrap_or_default(), field)
}

/// The last value of each name; a remedy's changes come last of all.
fn flattened(sent: &Sent) -> BTreeMap<String, String> {
    let (remedies, plain): (Vec<_>, Vec<_>) = sent.iter().cloned().partition(|(name, _)| name == "remedy");
    let changed =
        remedies.into_iter().flat_map(|(_, change)| serde_urlencoded::from_str::<Sent>(&change).unwrap_or_default());
    plain.into_iter().chain(changed).collect()
}

/// A bare number gets the unit that stands beside its field, and a decimal point in whatever language it was typed.
fn with_unit(field: &Field, typed: &str, units: UnitSystem) -> String {
    let Some(kind) = field.kind else { return typed.to_owned() };
    let typed = with_points(typed);
    let bare =
        !typed.is_empty() && typed.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | ' '));
    if bare { format!("{typed}{}", kind.unit(units)) } else { typed }
}

fn written(table: &Table, field: &Field) -> String {
    let text = |value: Option<&Value>| value.and_then(Value::as_str).unwrap_or_default().to_owned();
    let key = |table_name: &str, key: &str| text(table.get(table_name).and_then(|part| part.get(key)));
    match field.path {
        // What is left out is one.
        Place::Root(name) => table.get(name).map_or_else(|| "1".to_owned(), ToString::to_string),
        Place::Key("recipe", "grit") => match (key("recipe", "abrasive"), key("recipe", "grit")) {
            (abrasive, grit) if abrasive.is_empty() && grit.is_empty() => String::new(),
            (abrasive, grit) => format!("{abrasive} {grit}"),
        },
        Place::Key("recipe", "finish") => {
            let finish = table.get("recipe").and_then(|recipe| recipe.get("finish"));
            let key = |name| text(finish.and_then(|finish| finish.get(name)));
            let stages = finish.and_then(|finish| finish.get("stages")).and_then(Value::as_integer).unwrap_or(1);
            finish.map_or_else(String::new, |_| format!("{stages} {} {}", key("abrasive"), key("grit")))
        }
        // What is left out is the front.
        Place::Key("blank", "carve_from") if key("blank", "carve_from").is_empty() => "front".to_owned(),
        Place::Key(table_name, name) => key(table_name, name),
        Place::Depth(index) => {
            text(table.get("depth").and_then(|rows| rows.get(index)).and_then(|row| row.get("depth")))
        }
    }
}

fn write(table: &mut Table, field: &Field, value: &str) {
    match field.path {
        Place::Root(name) => {
            let number = value.parse::<i64>().map_or_else(|_| Value::from(value), Value::from);
            table.insert(name.to_owned(), number);
        }
        Place::Key("recipe", "grit") => {
            let (abrasive, grit) = value.split_once(' ').unwrap_or((value, ""));
            set(part(table, "recipe"), "abrasive", abrasive);
            set(part(table, "recipe"), "grit", grit);
        }
        Place::Key("recipe", "finish") => finish(part(table, "recipe"), value),
        Place::Key("artwork", "width") => {
            let artwork = part(table, "artwork");
            artwork.remove("height");
            set(artwork, "width", value);
        }
        Place::Key(name, key) => set(part(table, name), key, value),
        Place::Depth(index) => {
            let row = table.get_mut("depth").and_then(|rows| rows.get_mut(index)).and_then(Value::as_table_mut);
            if let Some(row) = row {
                row.insert("depth".to_owned(), Value::from(value));
            }
        }
    }
}

/// Leaves the drawing's place out; says whether there was one.
fn centre(table: &mut Table) -> bool {
    let artwork = part(table, "artwork");
    ["left", "top"].into_iter().filter(|&key| artwork.remove(key).is_some()).count() > 0
}

fn part<'a>(table: &'a mut Table, name: &str) -> &'a mut Table {
    let value = table.entry(name).or_insert_with(|| Value::Table(Table::new()));
    if !value.is_table() {
        *value = Value::Table(Table::new());
    }
    value.as_table_mut().expect("it was made a table above")
}

/// The abrasive of the last stages, as "2 white_alumina F220"; empty: one abrasive for all.
fn finish(recipe: &mut Table, value: &str) {
    let mut parts = value.splitn(3, ' ');
    let (Some(stages), Some(abrasive), Some(grit)) = (parts.next(), parts.next(), parts.next()) else {
        recipe.remove("finish");
        return;
    };
    let mut finish = Table::new();
    finish.insert("abrasive".to_owned(), Value::from(abrasive));
    finish.insert("grit".to_owned(), Value::from(grit));
    finish.insert("stages".to_owned(), Value::from(stages.parse::<i64>().unwrap_or(1)));
    recipe.insert("finish".to_owned(), Value::from(finish));
}

/// An empty value leaves the key out: the plan then chooses.
fn set(table: &mut Table, key: &str, value: &str) {
    if value.is_empty() {
        table.remove(key);
    } else {
        table.insert(key.to_owned(), Value::from(value));
    }
}

/// Complaints about a file, at the controls that hold the values.
fn by_field(complaints: &Complaints) -> Faults {
    let mut faults = Faults::new();
    for complaint in &complaints.0 {
        let field = match complaint.key.as_str() {
            "recipe.abrasive" | "recipe.grit" => "grit".to_owned(),
            "artwork.width" => "width".to_owned(),
            "artwork.left" => "left".to_owned(),
            "artwork.top" => "top".to_owned(),
            "blank.material" => "material".to_owned(),
            "blank.width" => "blank-width".to_owned(),
            "blank.height" => "blank-height".to_owned(),
            "blank.thickness" => "thickness".to_owned(),
            "blank.carve_from" => "side".to_owned(),
            key => match key.strip_prefix("recipe.") {
                Some(name) => name.split('.').next().unwrap_or_default().to_owned(),
                None => key
                    .strip_prefix("depth[")
                    .and_then(|rest| rest.split_once(']'))
                    .map_or_else(String::new, |(n, _)| format!("depth-{n}")),
            },
        };
        faults.entry(field).or_insert_with(|| complaint.fault.to_string());
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::{PIECE, SHOP};

    fn shop() -> Shop {
        piece::read_shop(SHOP, "shop.toml").unwrap()
    }

    fn tried(sent: &[(&str, &str)], units: UnitSystem) -> Tried {
        let sent = sent.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
        try_out(PIECE, &sent, &shop(), units).unwrap()
    }

    #[test]
    fn a_form_sent_as_it_was_shown_changes_nothing() {
        let file = piece::reader::read::<PieceFile>(PIECE, "piece.toml").unwrap().value;
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let sent: Sent = fields(&file)
                .into_iter()
                .map(|field| (field.name.clone(), shown(&field, &value_in(PIECE, &field), units)))
                .collect();
            let tried = try_out(PIECE, &sent, &shop(), units).unwrap();
            assert_eq!((tried.changes, tried.text.as_str()), (vec![], PIECE));
        }
    }

    #[test]
    fn a_bare_number_is_read_in_the_unit_beside_it_and_others_as_written() {
        let pressure = |typed, units| tried(&[("pressure", typed)], units).piece.unwrap().recipe.pressure.unwrap();
        assert!((pressure("2.5", UnitSystem::Metric).to_bar() - 2.5).abs() < 1e-9);
        assert!((pressure("35", UnitSystem::Us).to_psi() - 35.0).abs() < 1e-9);
        assert!((pressure("35 psi", UnitSystem::Metric).to_psi() - 35.0).abs() < 1e-9);
    }

    #[test]
    fn a_decimal_comma_is_shown_and_read_and_kept_as_a_point() {
        Language::German.scope(|| {
            let file = piece::reader::read::<PieceFile>(PIECE, "piece.toml").unwrap().value;
            let field = |name| fields(&file).into_iter().find(|field| field.name == name).unwrap();
            assert_eq!(shown(&field("pressure"), "40psi", UnitSystem::Metric), "2,76");
            let same = tried(&[("pressure", "2,76"), ("standoff", "102")], UnitSystem::Metric);
            assert_eq!(same.changes, vec![]);
            for typed in ["2,5", "2,5 bar", "2.5"] {
                let tried = tried(&[("pressure", typed)], UnitSystem::Metric);
                assert!((tried.piece.unwrap().recipe.pressure.unwrap().to_bar() - 2.5).abs() < 1e-9, "{typed}");
                assert!(!tried.changes[0].1.contains(',') && !tried.text.contains("2,5"), "{typed}");
            }
            assert_eq!(exact(GaugePressure::bar(2.25).unwrap(), Kind::Pressure, UnitSystem::Metric), "2.25bar");
        });
    }

    #[test]
    fn a_number_without_a_unit_may_have_a_decimal_comma() {
        assert_eq!(
            (plain_number("0.5"), plain_number("0,5"), plain_number("1500")),
            (Some(0.5), Some(0.5), Some(1500.0))
        );
        assert_eq!((plain_number("1,500"), plain_number("much"), plain_number("")), (None, None, None));
        assert_eq!(with_points("5ft 3,25in"), "5ft 3.25in");
        assert_eq!(with_points("0,125 l, 1,500mm, 1500,5"), "0.125 l, 1,500mm, 1500.5");
    }

    #[test]
    fn an_empty_field_leaves_the_choice_to_the_plan() {
        let open = tried(&[("pressure", ""), ("nozzle", ""), ("grit", "")], UnitSystem::Us).piece.unwrap().recipe;
        assert!(open.pressure.is_none() && open.nozzle.is_none() && open.abrasive.is_none() && open.grit.is_none());
    }

    #[test]
    fn the_last_stages_abrasive_is_written_read_back_and_left_out_again() {
        let with = tried(&[("finish", "2 white_alumina F220")], UnitSystem::Metric);
        let finish = with.piece.unwrap().recipe.finish.unwrap();
        assert_eq!(
            (finish.abrasive.id.as_str(), finish.grit.name.as_str(), finish.stages),
            ("white_alumina", "F220", 2)
        );
        let field = fields(&piece::reader::read::<PieceFile>(&with.text, "piece.toml").unwrap().value)
            .into_iter()
            .find(|field| field.name == "finish")
            .unwrap();
        assert_eq!(value_in(&with.text, &field), "2 white_alumina F220");
        let sent = vec![("finish".to_owned(), String::new())];
        let without = try_out(&with.text, &sent, &shop(), UnitSystem::Metric).unwrap();
        assert!(without.piece.unwrap().recipe.finish.is_none());
        let unknown = tried(&[("finish", "1 white_alumina F60")], UnitSystem::Metric).piece.unwrap_err();
        assert!(unknown["finish"].contains("F220"), "{unknown:?}");
    }

    #[test]
    fn a_remedy_is_written_over_what_the_form_sent() {
        let both = tried(&[("remedy", "pressure=2bar&depth-1=0.3mm"), ("pressure", "3")], UnitSystem::Metric);
        let piece = both.piece.unwrap();
        assert!((piece.recipe.pressure.unwrap().to_bar() - 2.0).abs() < 1e-9);
        assert!((piece.depths[0].depth.to_mm() - 0.3).abs() < 1e-9);
        assert_eq!(both.changes.len(), 2);
    }

    #[test]
    fn a_drawing_is_centred_only_where_it_was_placed() {
        let placed = PIECE.replace("[artwork]", "[artwork]\ntop = \"5mm\"");
        let sent = vec![(PLACE.to_owned(), CENTRE.to_owned())];
        let tried = try_out(&placed, &sent, &shop(), UnitSystem::Metric).unwrap();
        assert_eq!((tried.piece.unwrap().placing.top, tried.changes), (None, sent.clone()));
        assert!(try_out(PIECE, &sent, &shop(), UnitSystem::Metric).unwrap().changes.is_empty());
    }

    #[test]
    fn a_fault_stands_at_its_control() {
        let faults = |field: &'static str, typed| tried(&[(field, typed)], UnitSystem::Metric).piece.unwrap_err();
        assert!(faults("pressure", "2,500 bar")["pressure"].contains("two ways"));
        assert!(faults("pressure", "lots")["pressure"].contains("a number should stand"));
        assert!(faults("depth-1", "0")["depth-1"].contains("above zero"));
        assert!(faults("nozzle", "fire hose")["nozzle"].contains("nearest is"));
        assert!(faults("standoff", "5 psi")["standoff"].contains("unknown unit"));
        assert!(faults("thickness", "-1").contains_key("thickness"));
    }

    #[test]
    fn what_the_owner_wrote_elsewhere_stays_as_written() {
        let text = tried(&[("pressure", "2.5")], UnitSystem::Metric).text;
        for kept in ["\"200mm\"", "\"10mm\"", "\"Fixture\""] {
            assert!(PIECE.contains(kept) && text.contains(kept), "{kept} in {text}");
        }
        assert!(text.contains("pressure = \"2.5bar\""), "{text}");
    }
}
