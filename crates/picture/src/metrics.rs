//! How wide words are, so that a drawing can be laid out without a font at hand.

use crate::scene::Face;

/// Height of a capital over the em: 0.689 in all three cuts (to 0.003).
pub const CAP_HEIGHT: f64 = 0.689;

/// Advance widths of `' '` to `'~'` in thousandths of the em. Kerning, which only tightens, is left out.
const REGULAR: [u16; 95] = [
    265, 241, 399, 560, 560, 900, 729, 219, 324, 324, 439, 560, 240, 403, 240, 520, 560, 560, 560, 560, 560, 560, 560,
    560, 560, 560, 240, 240, 560, 560, 560, 459, 1020, 573, 608, 560, 644, 535, 491, 631, 680, 295, 305, 589, 498, 778,
    683, 692, 581, 691, 605, 545, 517, 662, 556, 826, 540, 550, 522, 322, 520, 322, 540, 520, 300, 544, 594, 478, 598,
    545, 335, 520, 586, 282, 280, 512, 293, 857, 586, 584, 594, 598, 386, 467, 361, 582, 492, 717, 485, 492, 437, 322,
    403, 322, 560,
];
const SEMI_BOLD: [u16; 95] = [
    244, 241, 430, 560, 560, 900, 753, 234, 324, 324, 447, 560, 240, 406, 240, 520, 560, 560, 560, 560, 560, 560, 560,
    560, 560, 560, 240, 240, 560, 560, 560, 476, 1020, 586, 615, 571, 650, 528, 488, 641, 669, 294, 314, 622, 509, 784,
    668, 691, 595, 691, 614, 565, 534, 654, 567, 842, 571, 583, 539, 323, 520, 323, 554, 520, 330, 547, 596, 478, 599,
    551, 351, 544, 579, 282, 281, 542, 296, 848, 579, 584, 596, 599, 397, 479, 380, 574, 508, 741, 505, 512, 454, 323,
    383, 323, 560,
];
const CONDENSED: [u16; 95] = [
    235, 229, 378, 504, 504, 810, 665, 202, 295, 295, 408, 504, 209, 369, 212, 468, 504, 504, 504, 504, 504, 504, 504,
    504, 504, 504, 212, 212, 504, 504, 504, 422, 924, 526, 547, 508, 581, 469, 438, 573, 606, 262, 273, 529, 443, 711,
    607, 628, 523, 628, 545, 496, 463, 588, 509, 749, 488, 498, 472, 289, 468, 289, 489, 471, 278, 490, 532, 428, 536,
    494, 306, 470, 527, 252, 252, 466, 264, 769, 527, 526, 532, 536, 349, 427, 327, 523, 445, 655, 438, 446, 395, 292,
    355, 292, 504,
];

/// Width of words on one line, in millimetres; never less than it is by more than a letter's kerning.
///
/// Letters outside ASCII are taken as wide as the widest usual one.
#[must_use]
pub fn width_mm(text: &str, size_mm: f64, face: Face) -> f64 {
    let table = match face {
        Face::Regular => &REGULAR,
        Face::SemiBold => &SEMI_BOLD,
        Face::Condensed => &CONDENSED,
    };
    let thousandths: u32 = text.chars().map(|letter| u32::from(advance(letter, table))).sum();
    f64::from(thousandths) * 1e-3 * size_mm
}

fn advance(letter: char, table: &[u16; 95]) -> u16 {
    match letter {
        ' '..='~' => table[letter as usize - ' ' as usize],
        '\u{202f}' | '\u{2009}' => 200,
        '²' | '³' => 400,
        '–' => 520,
        '·' => 240,
        _ => 600,
    }
}

/// `text`, cut short with an ellipsis when it is wider than `room_mm`.
#[must_use]
pub fn fitted(text: &str, size_mm: f64, face: Face, room_mm: f64) -> String {
    if width_mm(text, size_mm, face) <= room_mm {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while kept.pop().is_some() {
        let short: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
        if width_mm(&short, size_mm, face) <= room_mm {
            return short;
        }
    }
    String::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_tabular() {
        for face in [Face::Regular, Face::SemiBold, Face::Condensed] {
            assert_eq!(width_mm("1111", 3.0, face), width_mm("8068", 3.0, face));
        }
    }

    #[test]
    fn words_too_long_end_in_an_ellipsis_that_fits() {
        let cut = fitted("the heron's long neck", 3.0, Face::Regular, 20.0);
        assert!(cut.ends_with('…') && width_mm(&cut, 3.0, Face::Regular) <= 20.0, "{cut}");
        assert_eq!(fitted("neck", 3.0, Face::Regular, 20.0), "neck");
        assert_eq!(fitted("neck", 3.0, Face::Regular, 0.5), "");
    }
}
