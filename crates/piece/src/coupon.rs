//! What became of the resist on a coupon, as people write it.

use language::say;
use quantity::schema::written;
use quantity::{Length, Quantity as _};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// State of a resist after a blast: `sound`, `failed`, or the thickness that it lost, such as `0.1mm`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub enum ResistAfter {
    /// It held to the end.
    Sound,
    /// It was blown through or let go before the end.
    Failed,
    /// It held, and this much of its thickness was gone. Above zero.
    Worn(Length),
}

/// A word that names no state.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "{}",
    say!("\"{given}\" is no state of a resist; write sound, failed, or the thickness lost, such as 0.1mm")
)]
pub struct UnknownState {
    given: String,
}

impl FromStr for ResistAfter {
    type Err = UnknownState;

    fn from_str(text: &str) -> Result<Self, UnknownState> {
        let unknown = || UnknownState { given: text.to_owned() };
        match text {
            "sound" => Ok(Self::Sound),
            "failed" => Ok(Self::Failed),
            _ => match quantity::parse::parse::<Length>(text) {
                Ok(lost) if lost.to_base() > 0.0 => Ok(Self::Worn(lost)),
                _ => Err(unknown()),
            },
        }
    }
}

impl TryFrom<String> for ResistAfter {
    type Error = UnknownState;

    fn try_from(text: String) -> Result<Self, UnknownState> {
        text.parse()
    }
}

impl fmt::Display for ResistAfter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Sound => f.write_str("sound"),
            Self::Failed => f.write_str("failed"),
            Self::Worn(lost) => f.write_str(&written(*lost)),
        }
    }
}

impl From<ResistAfter> for String {
    fn from(state: ResistAfter) -> Self {
        state.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_state_reads_back_and_another_word_is_refused_with_what_to_write() {
        let lost = Length::mm(0.1).unwrap();
        for (text, state) in
            [("sound", ResistAfter::Sound), ("failed", ResistAfter::Failed), ("0.1mm", ResistAfter::Worn(lost))]
        {
            assert_eq!(text.parse(), Ok(state));
            assert_eq!(state.to_string().parse(), Ok(state));
        }
        for text in ["torn", "0mm", "-1mm", "0.1"] {
            let words = text.parse::<ResistAfter>().unwrap_err().to_string();
            assert!(words.contains(text) && words.contains("thickness lost"), "{words}");
        }
    }
}
