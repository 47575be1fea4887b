//! Words that no text of ours may say.

/// The first word of a text that promises what cannot be promised: for the tests of every crate that writes words.
#[must_use]
pub fn promise_in(text: &str) -> Option<String> {
    let promises = ["safe", "safely", "guaranteed", "guarantee", "guarantees", "compliant", "complies", "certified"];
    let text = text.to_lowercase();
    let mut words = text.split(|c: char| !c.is_alphabetic());
    words.find(|word| promises.contains(word)).map(str::to_owned)
}

#[test]
fn a_promise_is_found_and_a_safety_valve_is_not_one() {
    assert_eq!(promise_in("This is Safe.").as_deref(), Some("safe"));
    assert_eq!(promise_in("No valve before the safety valve."), None);
}
