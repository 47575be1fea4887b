//! What a parser of TOML says, in our words and with a mend.

use language::say;

/// The parser's message as a sentence of ours. What is not known here is quoted, and said to be the parser's.
pub(crate) fn said(message: &str) -> String {
    // What it expected instead follows the fault.
    let fault = message.split(", expected").next().unwrap_or(message);
    let ours = match fault {
        "string values must be quoted" | "unquoted string" => {
            say!("a value is missing, or a text or a quantity stands without quotes; write \"…\" around it")
        }
        "invalid basic string"
        | "invalid string"
        | "invalid literal string"
        | "invalid multi-line basic string"
        | "missing opening quote"
        | "missing escaped value" => {
            say!("a text is not closed, or holds a letter that it cannot; end it with \" on its line")
        }
        "key with no value" | "missing value" | "missing value for key" => {
            say!("a key has no value; write key = value")
        }
        "missing assignment between key-value pairs" | "invalid key-value pair" => {
            say!("a key and its value want a = between them; write key = value")
        }
        "extra `=`" | "extra assignment between key-value pairs" => say!("there is one = too many; remove it"),
        "unexpected key or value" | "unexpected content" => {
            say!("something follows on the line; begin a new line for each key")
        }
        "duplicate key" => say!("this key stands here twice; remove one of them"),
        "invalid key"
        | "invalid unquoted key"
        | "unquoted keys cannot be empty"
        | "missing key for inline table element" => {
            say!("a key is missing here, or has other letters than a-z, 0-9, - and _; put such a key into quotes")
        }
        "unclosed table" | "invalid table" | "missing table open" => say!("a heading is not closed; write [name]"),
        "unclosed array table" => say!("a heading of a list is not closed; write [[name]]"),
        "unclosed array" => say!("a list is not closed; end it with ]"),
        "unclosed inline table" => say!("a table on one line is not closed; end it with }}"),
        "missing comma between array elements" | "missing comma between key-value pairs" => {
            say!("a comma is missing before this")
        }
        "extra comma in array" | "extra comma in inline table" => say!("there is one comma too many; remove it"),
        "invalid boolean" => say!("this is neither true nor false"),
        fault if fault.starts_with("cannot extend value of type") => {
            say!("this key has a value already and cannot have keys of its own; rename one of them")
        }
        number if is_of_a_number(number) => {
            say!("this is no number; a quantity stands in quotes with its unit, such as \"40psi\"")
        }
        _ => return say!("in the parser’s own words: {message}"),
    };
    ours.to_owned()
}

fn is_of_a_number(fault: &str) -> bool {
    let kinds = ["number", "integer", "float", "fraction", "exponent", "mantissa", "date-time", "leading zero", "sign"];
    kinds.iter().any(|kind| fault.contains(kind))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The parser itself is asked, so that other words of a later version of it are noticed.
    fn check(text: &str, expected: &str) {
        let fault = text.parse::<toml::Table>().unwrap_err();
        let said = said(fault.message());
        assert!(said.contains(expected), "{text:?}: {said:?}, of {:?}", fault.message());
    }

    #[test]
    fn common_faults_are_said_in_our_words_with_a_mend() {
        check("name = heron", "without quotes");
        check("name = \"heron", "not closed");
        check("name = \"a\\q\"", "not closed, or holds");
        check("name =", "a value is missing");
        check("blank = 5mm", "without quotes");
        check("name", "key = value");
        check("name = \"a\" size = 2", "new line");
        check("name = 1\nname = 2", "twice");
        check("[blank", "[name]");
        check("[[depth]", "[[name]]");
        check("filters = [1, 2", "end it with ]");
        check("depth = { layer = \"a\"", "end it with }");
        check("running = true1", "neither true nor false");
        check("filters = [1,, 2]", "one comma too many");
        check("altitude = 012", "no number");
        check("altitude = 1.2.3", "no number");
        check("a = 1\na.b = 2", "has a value already");
    }

    #[test]
    fn what_is_not_known_is_quoted_as_the_parsers() {
        assert_eq!(said("novel fault"), "in the parser’s own words: novel fault");
    }
}
