//! What people write into a quantity: `1/8in`, `1-1/2in`, `5ft 3in`, `3.2mm`, `40psi`, `68°F`.
//!
//! A written quantity is a number and a unit, with or without a space between. The number is a
//! decimal (`3.2`, `3,2`), a fraction (`1/8`) or a whole and a fraction (`1-1/2`, `1 1/2`). Several parts
//! of the same kind, each with its unit, add up (`5ft 3in`).
//!
//! A comma is the decimal mark of much of the world, and parts thousands in the rest: `1,500mm` may be either, so it
//! is refused; any other number of digits behind it, or a zero before it, leaves one reading.

use crate::kinds::kind;
use crate::{OutOfRange, Quantity};
use language::{number, say};
use std::fmt;

/// A unit of one kind of quantity: `base = written * factor + offset`.
#[derive(Debug, Clone, Copy)]
pub struct Unit {
    /// How people spell it, the usual spelling first. Empty: cannot be written, only computed with.
    pub spellings: &'static [&'static str],
    /// Base units in one of this unit.
    pub factor: f64,
    /// Base value of this unit's zero; only temperatures have one.
    pub offset: f64,
}

/// Why a text is not a quantity, with the place in the text.
#[derive(Debug, Clone, PartialEq)]
pub struct ParseError {
    /// The kind of quantity that was wanted.
    pub what: &'static str,
    /// What was written.
    pub text: String,
    /// The offending character, counted from 0.
    pub at: usize,
    /// What is wrong there.
    pub problem: Problem,
}

/// What is wrong with a written quantity.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Problem {
    /// Nothing but spaces.
    Empty,
    /// A number should stand here.
    NotANumber,
    /// A comma that may part thousands or be a decimal mark.
    Thousands,
    /// A comma that is no part of a number.
    Comma,
    /// A fraction with nothing, or zero, below its line.
    BadFraction,
    /// Too large for any quantity, or "nan" or "inf" in words.
    NotFinite,
    /// A number alone. Holds the same number with units that would do.
    NoUnit {
        /// The same text with units that would do.
        would_do: Vec<String>,
    },
    /// A unit that this kind does not have.
    UnknownUnit {
        /// The unit as written.
        given: String,
        /// The nearest unit of this kind.
        nearest: &'static str,
        /// Every unit of this kind, by its usual spelling.
        known: Vec<&'static str>,
    },
    /// Well written, but not a value that this kind allows.
    OutOfRange(OutOfRange),
}

impl std::error::Error for ParseError {}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (what, text, problem) = (kind(self.what), &self.text, self.problem());
        f.write_str(&say!("{what} {text:?}: {problem}"))
    }
}

impl ParseError {
    /// What is wrong and what would mend it, in words.
    fn problem(&self) -> String {
        let place = self.at + 1;
        match &self.problem {
            Problem::Empty => say!("nothing is written; write a number and a unit").to_owned(),
            Problem::NotANumber => match self.text.chars().nth(self.at) {
                Some(c) => say!("a number should stand at character {place}, not {c:?}"),
                None => say!("a number should follow at character {place}"),
            },
            Problem::Thousands => {
                let (without, with_point) = (self.text.replace(',', ""), self.text.replacen(',', ".", 1));
                say!("the comma at character {place} may be read two ways; write \"{without}\" or \"{with_point}\"")
            }
            Problem::Comma => {
                let with_point = self.text.replacen(',', ".", 1);
                say!("the comma at character {place} is not part of a number; write \"{with_point}\"")
            }
            Problem::BadFraction => {
                say!("the fraction at character {place} needs a whole number above zero below its line")
            }
            Problem::NotFinite => say!("the number at character {place} is not finite; write an ordinary number"),
            Problem::NoUnit { would_do } => no_unit(place, would_do),
            Problem::UnknownUnit { given, nearest, known } => {
                let known = known.join(", ");
                say!("unknown unit {given:?} at character {place}; nearest is \"{nearest}\" (known: {known})")
            }
            Problem::OutOfRange(OutOfRange { value, unit, min, max, .. }) => {
                let (value, min, max) = (tidy(*value), tidy(*min), tidy(*max));
                say!("{value} {unit} is not allowed; give {min} to {max} {unit}")
            }
        }
    }
}

fn no_unit(place: usize, would_do: &[String]) -> String {
    match would_do {
        [first, second, ..] => say!("no unit at character {place}; write \"{first}\" or \"{second}\""),
        [only] => say!("no unit at character {place}; write \"{only}\""),
        [] => say!("no unit at character {place}"),
    }
}

/// A number without the noise of its last binary digits.
fn tidy(value: f64) -> String {
    number(((value * 1e9).round() / 1e9).to_string())
}

/// Reads a written quantity.
///
/// # Errors
/// [`ParseError`], with the offending character, when the text is not a number with a unit of this
/// kind, or the value is outside the kind's range.
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, ParseError> {
    let fault = |at: usize, problem| ParseError { what: Q::WHAT, text: text.to_owned(), at, problem };
    let chars: Vec<char> = text.chars().collect();
    let end = chars.iter().rposition(|c| !c.is_whitespace()).map_or(0, |last| last + 1);
    // What follows the last word is not looked at again.
    let chars = &chars[..end];
    let mut at = skip_spaces(chars, 0);
    if at >= end {
        return Err(fault(0, Problem::Empty));
    }
    let first = at;
    let mut total = 0.0;
    let mut parts = 0;
    while at < end {
        let (number, after) = read_number(chars, at).map_err(|(at, problem)| fault(at, problem))?;
        let unit_at = skip_spaces(chars, after);
        let (unit, after_unit) =
            read_unit::<Q>(chars, unit_at, &chars[at..after]).map_err(|(at, problem)| fault(at, problem))?;
        if parts > 0 && unit.offset != 0.0 {
            return Err(fault(at, Problem::NotANumber)); // "20°C 5°C" is not a temperature
        }
        total += number * unit.factor + unit.offset;
        parts += 1;
        at = skip_spaces(chars, after_unit);
    }
    Q::from_base(total).map_err(|range| fault(first, Problem::OutOfRange(range)))
}

type Fault = (usize, Problem);

fn skip_spaces(chars: &[char], mut at: usize) -> usize {
    while chars.get(at).is_some_and(|c| c.is_whitespace()) {
        at += 1;
    }
    at
}

/// A decimal, a fraction, or a whole with a fraction. Returns the value and the place after it.
fn read_number(chars: &[char], start: usize) -> Result<(f64, usize), Fault> {
    let (first, mut at) = read_decimal(chars, start)?;
    match chars.get(at) {
        Some(',') => Err((at, Problem::Comma)),
        Some('/') => read_denominator(chars, at + 1).map(|(below, after)| (first / below, after)),
        Some('-' | ' ' | '\u{a0}') => {
            // "1-1/2in": only a fraction may follow, else this is the end of the number.
            at += 1;
            let Some((above, slash)) = read_digits(chars, at) else {
                return Ok((first, at - 1));
            };
            if chars.get(slash) != Some(&'/') {
                return Ok((first, at - 1));
            }
            let (below, after) = read_denominator(chars, slash + 1)?;
            Ok((first + first.signum() * above / below, after))
        }
        _ => Ok((first, at)),
    }
}

fn read_denominator(chars: &[char], at: usize) -> Result<(f64, usize), Fault> {
    match read_digits(chars, at) {
        Some((below, after)) if below > 0.0 => Ok((below, after)),
        _ => Err((at, Problem::BadFraction)),
    }
}

fn read_digits(chars: &[char], start: usize) -> Option<(f64, usize)> {
    let mut at = start;
    let mut value = 0.0;
    while let Some(digit) = chars.get(at).and_then(|c| c.to_digit(10)) {
        value = value * 10.0 + f64::from(digit);
        at += 1;
    }
    (at > start).then_some((value, at))
}

fn read_decimal(chars: &[char], start: usize) -> Result<(f64, usize), Fault> {
    let mut at = start;
    if matches!(chars.get(at), Some('+' | '-')) {
        at += 1;
    }
    let digits = at;
    while matches!(chars.get(at), Some('0'..='9' | '.')) {
        at += 1;
    }
    let comma = decimal_comma(chars, digits, at)?;
    if comma {
        at += 1 + digits_at(chars, at + 1);
    }
    if at == digits {
        return Err((digits, word_problem(&chars[digits..])));
    }
    // An exponent only when digits follow: the "e" of a unit is not one.
    if matches!(chars.get(at), Some('e' | 'E')) {
        let sign = usize::from(matches!(chars.get(at + 1), Some('+' | '-')));
        if let Some((_, after)) = read_digits(chars, at + 1 + sign) {
            at = after;
        }
    }
    let written: String = chars[start..at].iter().map(|c| if *c == ',' { '.' } else { *c }).collect();
    match written.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok((value, at)),
        Ok(_) => Err((start, Problem::NotFinite)),
        Err(_) => Err((start, Problem::NotANumber)),
    }
}

/// Whether a decimal comma stands at `at`, behind the digits that began at `start`.
fn decimal_comma(chars: &[char], start: usize, at: usize) -> Result<bool, Fault> {
    let (whole, behind) = (&chars[start..at], digits_at(chars, at + 1));
    let is_mark = chars.get(at) == Some(&',') && !whole.contains(&'.') && !whole.is_empty() && behind > 0;
    let parted = behind == 3 && whole.len() <= 3 && whole != ['0'];
    if is_mark && parted { Err((at, Problem::Thousands)) } else { Ok(is_mark) }
}

/// How many digits stand from `at` on.
fn digits_at(chars: &[char], at: usize) -> usize {
    chars.iter().skip(at).take_while(|c| c.is_ascii_digit()).count()
}

/// "nan" and "inf" deserve to be called by their name.
fn word_problem(rest: &[char]) -> Problem {
    let word: String = rest.iter().take(3).collect::<String>().to_lowercase();
    if word == "nan" || word == "inf" { Problem::NotFinite } else { Problem::NotANumber }
}

/// The unit at `start`: the longest spelling of this kind that ends where a word ends.
fn read_unit<Q: Quantity>(chars: &[char], start: usize, number: &[char]) -> Result<(&'static Unit, usize), Fault> {
    let end = unit_end(chars, start);
    let given: String = chars[start..end].iter().collect();
    let given = given.trim_end();
    if given.is_empty() {
        let number: String = number.iter().collect();
        let would_do = spellings::<Q>().take(2).map(|unit| format!("{number}{unit}")).collect();
        return Err((start, Problem::NoUnit { would_do }));
    }
    if given.starts_with(',') {
        return Err((start, Problem::Comma));
    }
    if let Some(unit) = Q::UNITS.iter().find(|unit| unit.spellings.contains(&given)) {
        return Ok((unit, start + given.chars().count()));
    }
    let nearest = nearest_spelling::<Q>(given);
    Err((start, Problem::UnknownUnit { given: given.to_owned(), nearest, known: spellings::<Q>().collect() }))
}

/// A unit runs to the next part's number ("5ft 3in") or to the end; "mm2" and "l/min ANR" are whole.
fn unit_end(chars: &[char], start: usize) -> usize {
    let mut at = start;
    while at < chars.len() {
        let starts_number = chars[at].is_ascii_digit() || matches!(chars[at], '.' | '-' | '+');
        let after_mark = at > start && matches!(chars[at - 1], ' ' | '\'' | '"' | '′' | '″');
        if starts_number && after_mark {
            break;
        }
        at += 1;
    }
    at
}

fn spellings<Q: Quantity>() -> impl Iterator<Item = &'static str> {
    Q::UNITS.iter().filter_map(|unit| unit.spellings.first().copied())
}

fn nearest_spelling<Q: Quantity>(given: &str) -> &'static str {
    let all = Q::UNITS.iter().flat_map(|unit| unit.spellings.iter().copied());
    all.min_by_key(|spelling| edit_distance(&given.to_lowercase(), &spelling.to_lowercase())).unwrap_or("1")
}

/// Levenshtein's edit distance; units are a few characters long.
fn edit_distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Area, Diameter, FreeFlow, GaugePressure, Length, MassRate, Temperature, Time};
    use language::Language;
    use proptest::prelude::*;

    fn mm(text: &str) -> f64 {
        parse::<Length>(text).unwrap_or_else(|fault| panic!("{fault}")).to_mm()
    }

    #[test]
    fn peoples_notation_is_read() {
        let cases = [
            ("1/8in", 3.175),
            ("1-1/2in", 38.1),
            ("1 1/2 in", 38.1),
            ("3.2mm", 3.2),
            ("4mil", 0.1016),
            ("5ft 3in", 1600.2),
            ("5' 3\"", 1600.2),
            ("5'3\"", 1600.2),
            (" 12 cm ", 120.0),
            ("1e2 mm", 100.0),
            ("50 µm", 0.05),
            ("3,2mm", 3.2),
            ("0,125 in", 3.175),
            ("12,5 cm", 125.0),
            ("1500,125 mm", 1500.125),
        ];
        for (text, want) in cases {
            assert!((mm(text) - want).abs() < 1e-9, "{text} gave {}", mm(text));
        }
        assert!((parse::<GaugePressure>("40psi").unwrap().to_kpa() - 275.79).abs() < 0.01);
        assert!((parse::<GaugePressure>("2.8bar").unwrap().to_kpa() - 280.0).abs() < 1e-9);
        assert!((parse::<FreeFlow>("20cfm").unwrap().to_litres_per_minute() - 566.337).abs() < 1e-3);
        assert!((parse::<FreeFlow>("570l/min").unwrap().to_litres_per_minute() - 570.0).abs() < 1e-9);
        assert!((parse::<Temperature>("68°F").unwrap().to_celsius() - 20.0).abs() < 1e-9);
        assert!((parse::<MassRate>("100 l/min ANR").unwrap().to_litres_anr_per_minute() - 100.0).abs() < 1e-9);
        assert!((parse::<Area>("10 mm2").unwrap().to_square_mm() - 10.0).abs() < 1e-9);
        assert!((parse::<Time>("1h 30min").unwrap().to_minutes() - 90.0).abs() < 1e-9);
        assert!((parse::<Diameter>("3/32in").unwrap().to_mm() - 2.38125).abs() < 1e-9);
    }

    #[test]
    fn an_error_points_at_the_offending_character_and_says_the_mend() {
        let cases = [
            ("", 0, "length \"\": nothing is written; write a number and a unit"),
            ("300", 3, "length \"300\": no unit at character 4; write \"300mm\" or \"300in\""),
            (
                "1,500mm",
                1,
                "length \"1,500mm\": the comma at character 2 may be read two ways; write \"1500mm\" or \"1.500mm\"",
            ),
            ("3.2,1mm", 3, "length \"3.2,1mm\": the comma at character 4 is not part of a number; write \"3.2.1mm\""),
            (
                "1/0in",
                2,
                "length \"1/0in\": the fraction at character 3 needs a whole number above zero below its line",
            ),
            (
                "12mmm",
                2,
                "length \"12mmm\": unknown unit \"mmm\" at character 3; nearest is \"mm\" (known: mm, in, mil, µm, cm, ft, m)",
            ),
            ("wide", 0, "length \"wide\": a number should stand at character 1, not 'w'"),
            ("NaN mm", 0, "length \"NaN mm\": the number at character 1 is not finite; write an ordinary number"),
            ("-3mm", 0, "length \"-3mm\": -0.003 m is not allowed; give 0 to 100 m"),
            (
                "5ft x",
                1,
                "length \"5ft x\": unknown unit \"ft x\" at character 2; nearest is \"ft\" (known: mm, in, mil, µm, cm, ft, m)",
            ),
        ];
        for (text, at, words) in cases {
            let fault = parse::<Length>(text).unwrap_err();
            assert_eq!((fault.at, fault.to_string().as_str()), (at, words));
        }
    }

    #[test]
    fn an_error_is_read_in_german_with_a_decimal_comma() {
        let said = |text| Language::German.scope(|| parse::<Length>(text).unwrap_err().to_string());
        assert_eq!(said("300"), "Länge \"300\": keine Einheit bei Zeichen 4; „300mm“ oder „300in“ schreiben");
        assert_eq!(said("-3mm"), "Länge \"-3mm\": -0,003 m ist nicht möglich; 0 bis 100 m angeben");
        let fault = Length::metres(100.5).unwrap_err();
        let said = Language::German.scope(|| fault.to_string());
        assert_eq!(said, "Länge: 100,5 liegt außerhalb von 0 bis 100 (in m)");
    }

    #[test]
    fn a_number_with_a_space_behind_it_lacks_a_unit() {
        // Found by fuzzing a shop file, `pot_rated = "12 "`: the unit was looked for past the text's end.
        let fault = parse::<crate::GaugePressure>("12 ").unwrap_err();
        assert!(fault.at == 2 && matches!(fault.problem, Problem::NoUnit { .. }), "{fault}");
    }

    #[test]
    fn a_pressure_unit_is_not_a_length() {
        assert!(matches!(parse::<Length>("40psi").unwrap_err().problem, Problem::UnknownUnit { .. }));
    }

    proptest! {
        #[test]
        fn no_text_makes_the_parser_panic(text in "\\PC{0,24}") {
            let _ = parse::<Length>(&text);
            let _ = parse::<Temperature>(&text);
        }

        #[test]
        fn a_fraction_equals_its_decimal(whole in 0u32..40, above in 0u32..64) {
            let text = format!("{whole}-{above}/64in");
            let want = (f64::from(whole) + f64::from(above) / 64.0) * 25.4;
            prop_assert!((mm(&text) - want).abs() < 1e-9);
        }
    }
}
