//! Sizes and settings that are what they are called: no digits beyond those.

use quantity::Shown;

/// Number and unit, without zeros at the end of the decimals: `10.0` is `10`, `3.50` is `3.5`, `2,50` is `2,5`.
pub(super) fn nominal(shown: Shown) -> (String, &'static str) {
    let mark = ['.', ','];
    let number = match shown.number.contains(mark) {
        true => shown.number.trim_end_matches('0').trim_end_matches(mark).to_owned(),
        false => shown.number,
    };
    (number, shown.unit)
}

/// The same as one text.
pub(crate) fn together(shown: Shown) -> String {
    let (number, unit) = nominal(shown);
    Shown { number, unit }.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_zeros_after_the_point_go() {
        let said = |number: &str| nominal(Shown { number: number.to_owned(), unit: "mm" }).0;
        assert_eq!(
            [said("10.0"), said("3.50"), said("300"), said("0.508"), said("2.00"), said("2,50"), said("25,0")],
            ["10", "3.5", "300", "0.508", "2", "2,5", "25"]
        );
    }
}
