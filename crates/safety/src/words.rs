//! Words that no text of ours may say.

/// The first word of a text that promises what cannot be promised.
pub(crate) fn promise_in(text: &str) -> Option<String> {
    let promises = ["safe", "safely", "guaranteed", "guarantee", "guarantees", "compliant", "complies", "certified"];
    let mut words = text.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase);
    words.find(|word| promises.contains(&word.as_str()))
}

#[test]
fn a_promise_is_found_and_a_safety_valve_is_not_one() {
    assert_eq!(promise_in("This is Safe.").as_deref(), Some("safe"));
    assert_eq!(promise_in("No valve before the safety valve."), None);
}
