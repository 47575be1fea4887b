//! Texts with holes that are known when the program runs.

/// `template` with its holes filled. A hole has a name, or its place; `{}` takes the next place.
///
/// What no value is given for stays as it is: the test of the catalogue lets no such translation in.
#[must_use]
pub fn fill(template: &str, values: &[(&str, String)]) -> String {
    let mut filled = String::with_capacity(template.len() + 32);
    let mut rest = template;
    let mut place = 0;
    while let Some(at) = rest.find(['{', '}']) {
        filled.push_str(&rest[..at]);
        let brace = &rest[at..=at];
        rest = &rest[at + 1..];
        if let Some(after) = rest.strip_prefix(brace) {
            // A doubled brace is a brace.
            filled.push_str(brace);
            rest = after;
            continue;
        }
        let Some(end) = rest.find('}') else {
            filled.push_str(brace);
            break;
        };
        let name = rest[..end].split(':').next().unwrap_or_default();
        let next = place.to_string();
        let name = if name.is_empty() { next.as_str() } else { name };
        place += usize::from(rest[..end].split(':').next().is_some_and(str::is_empty));
        match values.iter().find(|(known, _)| *known == name) {
            Some((_, value)) => filled.push_str(value),
            None => filled.push_str(&format!("{{{name}}}")),
        }
        rest = &rest[end + 1..];
    }
    filled.push_str(rest);
    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(template: &str, expected: &str) {
        let values = [("0", "a".to_owned()), ("1", "b".to_owned()), ("wide", "3\u{202f}mm".to_owned())];
        assert_eq!(fill(template, &values), expected, "{template}");
    }

    #[test]
    fn holes_are_filled_by_name_by_place_and_in_turn() {
        check("{wide} breit", "3\u{202f}mm breit");
        check("{} vor {}", "a vor b");
        check("{1} nach {0}", "b nach a");
        check("{wide:.2}", "3\u{202f}mm");
        check("ohne", "ohne");
    }

    #[test]
    fn doubled_braces_are_braces() {
        check("{{wide}} {wide}", "{wide} 3\u{202f}mm");
    }

    #[test]
    fn what_is_not_known_stays() {
        check("{tall} {wide", "{tall} {wide");
    }
}
