//! Words that no text of ours may say.

/// The first word of a text that promises what cannot be promised: for the tests of every crate that writes words.
#[must_use]
pub fn promise_in(text: &str) -> Option<String> {
    let promises = ["safe", "safely", "guaranteed", "guarantee", "guarantees", "compliant", "complies", "certified"];
    let text = text.to_lowercase();
    let mut words = text.split(|c: char| !c.is_alphabetic());
    words.find(|word| promises.contains(word)).map(str::to_owned)
}

/// What a text made in [`language::Language::Marked`] says outside of the marks: letters that did not come through
/// the catalogue, without signs and units.
#[cfg(test)]
pub(crate) fn outside_the_marks(text: &str) -> String {
    let mut depth = 0;
    let outside = text.chars().filter(|c| {
        depth += i32::from(*c == '‹') - i32::from(*c == '›');
        depth == 0 && *c != '›'
    });
    // A number takes its unit along, joined by a narrow space.
    let outside: String = outside.collect();
    let words = outside.split(' ').filter(|word| !word.contains('\u{202f}'));
    words.filter(|word| word.contains(char::is_alphabetic)).collect::<Vec<_>>().join(" ")
}

#[test]
fn what_stands_outside_the_marks_is_found() {
    assert_eq!(outside_the_marks("‹Carving ‹granite› frees it› 5\u{202f}mm."), "");
    assert_eq!(outside_the_marks("‹Carving› granite, ‹then› rest"), "granite, rest");
}

#[test]
fn a_promise_is_found_and_a_safety_valve_is_not_one() {
    assert_eq!(promise_in("This is Safe.").as_deref(), Some("safe"));
    assert_eq!(promise_in("No valve before the safety valve."), None);
}
