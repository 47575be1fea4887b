//! What parsers and decoders of other libraries say, in our words; what is not known here is quoted, and said to be theirs.

use image::ImageError;
use language::say;
use std::io::ErrorKind;
use usvg::roxmltree;

/// What is wrong with an XML file, without its place.
pub(crate) fn xml(fault: &roxmltree::Error) -> String {
    use roxmltree::Error;
    match fault {
        Error::UnexpectedCloseTag(expected, found, _) => {
            say!("</{found}> stands where <{expected}> is still open")
        }
        Error::UnclosedRootNode => say!("the file ends before all of its elements are closed").to_owned(),
        Error::NoRootNode => say!("there is nothing in the file").to_owned(),
        Error::UnknownNamespace(prefix, _) => say!("the prefix \"{prefix}:\" is declared nowhere"),
        Error::UnknownEntityReference(name, _) => say!("&{name}; is declared nowhere"),
        Error::MalformedEntityReference(_) => say!("an & stands alone; write &amp;").to_owned(),
        Error::DuplicatedAttribute(name, _) => say!("\"{name}\" is given twice in one element"),
        Error::InvalidAttributeValue(_) => say!("a < stands within a value; write &lt;").to_owned(),
        Error::UnexpectedEndOfStream => say!("the file ends too early").to_owned(),
        other => own_words(other),
    }
}

/// The same with its place.
pub(crate) fn xml_at(fault: &roxmltree::Error) -> String {
    let at = fault.pos();
    say!("line {row}, column {column}: {fault}", row = at.row, column = at.col, fault = xml(fault))
}

/// Why a drawing could not be resolved.
pub(crate) fn svg(fault: &usvg::Error) -> String {
    match fault {
        usvg::Error::ParsingFailed(fault) => xml_at(fault),
        usvg::Error::InvalidSize => say!("its width or height is none").to_owned(),
        usvg::Error::ElementsLimitReached => say!("it has more elements than are taken").to_owned(),
        other => own_words(other),
    }
}

/// Why a picture could not be decoded.
pub(crate) fn picture(fault: &ImageError) -> String {
    match fault {
        ImageError::Unsupported(_) => say!("it is of a kind that is not read").to_owned(),
        ImageError::Limits(_) => say!("it takes more memory than is given to it").to_owned(),
        ImageError::IoError(fault) if fault.kind() == ErrorKind::UnexpectedEof => {
            say!("the file ends too early").to_owned()
        }
        other => own_words(other),
    }
}

fn own_words(fault: &dyn std::fmt::Display) -> String {
    say!("in the parser’s own words: {message}", message = fault.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &str) {
        let said = xml_at(&roxmltree::Document::parse(text).unwrap_err());
        assert!(said.starts_with("line ") && said.contains(expected), "{text:?}: {said}");
    }

    #[test]
    fn common_faults_of_xml_are_said_in_our_words() {
        check("<svg><g></svg>", "</svg> stands where <g> is still open");
        check("<svg><g></g>", "ends");
        check("", "nothing in the file");
        check("<svg x:a='1'/>", "\"x:\" is declared nowhere");
        check("<svg>&wren;</svg>", "&wren; is declared nowhere");
        check("<svg a='1' a='2'/>", "\"a\" is given twice");
        check("<svg><!-- -- --></svg>", "own words");
    }

    #[test]
    fn faults_of_pictures_are_said_in_our_words() {
        let whole = {
            let mut bytes = std::io::Cursor::new(Vec::new());
            let grey = image::GrayImage::from_pixel(40, 40, image::Luma([7]));
            grey.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
            bytes.into_inner()
        };
        let fault = image::load_from_memory(&whole[..whole.len() / 2]).unwrap_err();
        assert!(picture(&fault).contains("ends too early"), "{}", picture(&fault));
        let fault = image::load_from_memory(b"no picture at all").unwrap_err();
        assert!(picture(&fault).contains("not read"), "{}", picture(&fault));
    }
}
