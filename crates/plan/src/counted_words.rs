//! Small numbers of things as words.

use language::say;

/// A number of things at the start of a sentence; one has a sentence of its own.
pub(crate) fn number_at_the_start(n: usize) -> String {
    let word = match n {
        0 => say!(in "how many, at the start of a sentence", "No"),
        2 => say!(in "how many, at the start of a sentence", "Two"),
        3 => say!(in "how many, at the start of a sentence", "Three"),
        4 => say!(in "how many, at the start of a sentence", "Four"),
        5 => say!(in "how many, at the start of a sentence", "Five"),
        6 => say!(in "how many, at the start of a sentence", "Six"),
        7 => say!(in "how many, at the start of a sentence", "Seven"),
        8 => say!(in "how many, at the start of a sentence", "Eight"),
        9 => say!(in "how many, at the start of a sentence", "Nine"),
        10 => say!(in "how many, at the start of a sentence", "Ten"),
        11 => say!(in "how many, at the start of a sentence", "Eleven"),
        12 => say!(in "how many, at the start of a sentence", "Twelve"),
        more => return more.to_string(),
    };
    word.to_owned()
}

/// A number of things within a sentence; one has a sentence of its own.
pub(crate) fn number(n: usize) -> String {
    let word = match n {
        2 => say!(in "how many", "two"),
        3 => say!(in "how many", "three"),
        4 => say!(in "how many", "four"),
        5 => say!(in "how many", "five"),
        6 => say!(in "how many", "six"),
        7 => say!(in "how many", "seven"),
        8 => say!(in "how many", "eight"),
        9 => say!(in "how many", "nine"),
        10 => say!(in "how many", "ten"),
        11 => say!(in "how many", "eleven"),
        12 => say!(in "how many", "twelve"),
        more => return more.to_string(),
    };
    word.to_owned()
}
