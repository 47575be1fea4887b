//! Where a number came from, how surely, and what disagrees with it.

use language::{say, told};
use quantity::Estimate;
use serde::{Deserialize, Deserializer, Serialize};
use std::borrow::Cow;
use std::fmt;

/// Text of a table row, or written in the code.
type Text = Cow<'static, str>;

/// Where a number came from, and how surely. Shown beside the number.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[non_exhaustive]
pub enum Source {
    /// Read in the document itself.
    Seen {
        /// The document.
        work: Text,
        /// The place in it.
        place: Text,
    },
    /// Read in somebody's reprint or summary of it.
    SecondHand {
        /// The document.
        work: Text,
        /// Where it was read instead.
        via: Text,
    },
    /// Worked out here.
    Computed {
        /// The formula or method.
        by: Text,
    },
    /// What the trade does; no document says so.
    CommonPractice,
    /// An estimate made for this program; no measurement stands behind it.
    Judgement {
        /// What it rests on.
        basis: Text,
    },
    /// Recalled; the document was not read.
    Memory {
        /// The document recalled, where there is one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        work: Option<Text>,
    },
}

impl Source {
    /// Read in `work` at `place`.
    #[must_use]
    pub const fn seen(work: &'static str, place: &'static str) -> Self {
        Self::Seen { work: Cow::Borrowed(work), place: Cow::Borrowed(place) }
    }

    /// Stated in `work`, read in `via`.
    #[must_use]
    pub const fn second_hand(work: &'static str, via: &'static str) -> Self {
        Self::SecondHand { work: Cow::Borrowed(work), via: Cow::Borrowed(via) }
    }

    /// Worked out here by a formula or method.
    #[must_use]
    pub const fn computed(by: &'static str) -> Self {
        Self::Computed { by: Cow::Borrowed(by) }
    }

    /// An estimate of ours and what it rests on.
    #[must_use]
    pub const fn judgement(basis: &'static str) -> Self {
        Self::Judgement { basis: Cow::Borrowed(basis) }
    }

    /// Recalled from a named document that was not read.
    #[must_use]
    pub const fn memory(work: &'static str) -> Self {
        Self::Memory { work: Some(Cow::Borrowed(work)) }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A title stays as the work is called; words that describe a work, or a place in one, are told.
        match self {
            Self::Seen { work, place } => write!(f, "{}, {}", told(work), told(place)),
            Self::SecondHand { work, via } => {
                f.write_str(&say!("{work}, second-hand: {via}", work = told(work), via = told(via)))
            }
            Self::Computed { by } => f.write_str(&say!("computed: {by}", by = told(by))),
            Self::CommonPractice => f.write_str(say!("common practice, no source")),
            Self::Judgement { basis } => f.write_str(&say!("our judgement: {basis}", basis = told(basis))),
            Self::Memory { work: Some(work) } => f.write_str(&say!("{work}, from memory", work = told(work))),
            Self::Memory { work: None } => f.write_str(say!("from memory")),
        }
    }
}

/// A value with its source, what must be known to use it, and the values that disagree.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sourced<T> {
    /// The value that the program uses.
    pub value: T,
    /// Where it came from.
    pub source: Source,
    /// What must be known to use it.
    #[serde(default)]
    pub note: Option<String>,
    /// Other values met, kept and shown, not used.
    #[serde(default = "Vec::new")]
    pub disagrees: Vec<Other<T>>,
}

/// A value that disagrees with the one used.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Other<T> {
    /// The other value.
    pub value: T,
    /// Where it came from.
    pub source: Source,
}

impl<T> Sourced<T> {
    fn try_map<U, E>(self, mut change: impl FnMut(T) -> Result<U, E>) -> Result<Sourced<U>, E> {
        let value = change(self.value)?;
        let other = |other: Other<T>| Ok(Other { value: change(other.value)?, source: other.source });
        let disagrees = self.disagrees.into_iter().map(other).collect::<Result<_, E>>()?;
        Ok(Sourced { value, source: self.source, note: self.note, disagrees })
    }
}

/// The least and the greatest of a range that has no middle worth naming.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span<T> {
    /// Least.
    pub low: T,
    /// Greatest.
    pub high: T,
}

impl<'de, T: Deserialize<'de> + PartialOrd> Deserialize<'de> for Span<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Row<T> {
            low: T,
            high: T,
        }
        let Row { low, high } = Row::deserialize(from)?;
        if low <= high {
            return Ok(Self { low, high });
        }
        Err(serde::de::Error::custom("a span needs low <= high"))
    }
}

/// An estimate as a table writes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Band<T> {
    low: T,
    mid: T,
    high: T,
}

/// Reads `{ value = { low = …, mid = …, high = … }, source = … }`.
pub(crate) fn estimate<'de, T, D>(from: D) -> Result<Sourced<Estimate<T>>, D::Error>
where
    T: Deserialize<'de> + Copy + PartialOrd,
    D: Deserializer<'de>,
{
    let written = Sourced::<Band<T>>::deserialize(from)?;
    written.try_map(|band| Estimate::new(band.low, band.mid, band.high)).map_err(serde::de::Error::custom)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_reads_as_a_short_phrase() {
        let cases = [
            (Source::CommonPractice, "common practice, no source"),
            (Source::Memory { work: None }, "from memory"),
            (Source::memory("EN 16612"), "EN 16612, from memory"),
            (Source::seen("29 CFR 1910.95", "App A"), "29 CFR 1910.95, App A"),
            (Source::second_hand("EN 572-1", "a property page"), "EN 572-1, second-hand: a property page"),
            (Source::computed("P/R"), "computed: P/R"),
            (Source::judgement("thin vinyl; no measurement met"), "our judgement: thin vinyl; no measurement met"),
        ];
        for (source, words) in cases {
            assert_eq!(source.to_string(), words);
        }
    }

    #[test]
    fn a_value_without_a_source_or_with_a_stray_key_is_refused() {
        let read = |text: &str| toml::from_str::<Sourced<quantity::Length>>(text);
        assert!(read("value = '3mm'\nsource = { kind = 'memory' }").is_ok());
        assert!(read("value = '3mm'").unwrap_err().to_string().contains("source"));
        assert!(read("value = '3'\nsource = { kind = 'memory' }").unwrap_err().to_string().contains("no unit"));
        assert!(read("value = '3mm'\nsource = { kind = 'seen', work = 'a' }").is_err());
        assert!(read("value = '3mm'\nwhy = 'x'\nsource = { kind = 'memory' }").is_err());
    }

    #[test]
    fn a_range_the_wrong_way_round_is_refused() {
        assert!(toml::from_str::<Span<f64>>("low = 2.0\nhigh = 1.0").is_err());
        assert!(toml::from_str::<Span<f64>>("low = 1.0\nhigh = 2.0").is_ok());
    }
}
