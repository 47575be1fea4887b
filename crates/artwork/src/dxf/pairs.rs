//! The text of a DXF file as pairs of a group code and a value.

use super::DxfError;

/// One group: its code, its value, and the line that the code stands on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pair<'a> {
    pub(super) code: i32,
    pub(super) value: &'a str,
    pub(super) line: u32,
}

impl Pair<'_> {
    /// The value as a number; a value that is none, or is not finite, is an error.
    pub(super) fn number(&self) -> Result<f64, DxfError> {
        let number = self.value.parse::<f64>().ok().filter(|number| number.is_finite());
        number.ok_or_else(|| DxfError::NoNumber { line: self.line + 1, code: self.code, text: short(self.value) })
    }

    /// The value as a whole number. Some writers put a fraction where a whole number belongs.
    pub(super) fn whole(&self) -> Result<i64, DxfError> {
        self.number().map(|number| number as i64)
    }
}

/// Splits a file into pairs. Comments (code 999) are dropped.
pub(super) fn pairs(text: &str) -> Result<Vec<Pair<'_>>, DxfError> {
    let mut lines = (1_u32..).zip(text.lines());
    let mut found = Vec::new();
    while let Some((line, code)) = lines.next() {
        let Some((_, value)) = lines.next() else {
            // A last empty line is no group.
            return if code.trim().is_empty() { Ok(found) } else { Err(DxfError::CutShort { line }) };
        };
        let code: i32 = code.trim().parse().map_err(|_| DxfError::NoGroupCode { line, text: short(code.trim()) })?;
        if code != 999 {
            found.push(Pair { code, value: value.trim(), line });
        }
        if code == 0 && value.trim() == "EOF" {
            break;
        }
    }
    Ok(found)
}

/// The first characters of a text, for a message.
pub(super) fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

/// A group with code 0 and all up to the next.
#[derive(Debug, Clone, Copy)]
pub(super) struct Record<'a, 'p> {
    pub(super) kind: &'a str,
    pub(super) pairs: &'p [Pair<'a>],
    pub(super) line: u32,
}

impl<'a, 'p> Record<'a, 'p> {
    /// The first value of a code.
    pub(super) fn find(&self, code: i32) -> Option<&'p Pair<'a>> {
        self.pairs.iter().find(|pair| pair.code == code)
    }

    pub(super) fn text(&self, code: i32) -> Option<&'a str> {
        self.find(code).map(|pair| pair.value)
    }

    pub(super) fn number(&self, code: i32) -> Result<Option<f64>, DxfError> {
        self.find(code).map(Pair::number).transpose()
    }

    pub(super) fn number_or(&self, code: i32, otherwise: f64) -> Result<f64, DxfError> {
        Ok(self.number(code)?.unwrap_or(otherwise))
    }

    /// Flags and counts.
    pub(super) fn whole_or(&self, code: i32, otherwise: i64) -> Result<i64, DxfError> {
        Ok(self.find(code).map(Pair::whole).transpose()?.unwrap_or(otherwise))
    }

    /// The number that an entity cannot do without.
    pub(super) fn need(&self, code: i32) -> Result<f64, DxfError> {
        self.number(code)?.ok_or_else(|| DxfError::Missing { line: self.line, kind: short(self.kind), code })
    }
}

/// Groups pairs into records.
pub(super) fn records<'a, 'p>(pairs: &'p [Pair<'a>]) -> impl Iterator<Item = Record<'a, 'p>> {
    let mut rest = pairs;
    std::iter::from_fn(move || {
        let start = rest.iter().position(|pair| pair.code == 0)?;
        let head = &rest[start];
        let body = &rest[start + 1..];
        let end = body.iter().position(|pair| pair.code == 0).unwrap_or(body.len());
        rest = &body[end..];
        Some(Record { kind: head.value, pairs: &body[..end], line: head.line })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_keep_their_lines_and_lose_comments() {
        let found = pairs("999\nmade by hand\n  0\r\nLINE\r\n 10\n1.5\n").unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].code, found[0].value, found[0].line), (0, "LINE", 3));
        assert_eq!(found[1].number().unwrap(), 1.5);
    }

    #[test]
    fn what_is_no_group_code_is_told_by_line() {
        assert!(matches!(pairs("0\nLINE\nten\n1\n"), Err(DxfError::NoGroupCode { line: 3, .. })));
        assert!(matches!(pairs("0\nLINE\n10\n"), Err(DxfError::CutShort { line: 3 })));
        let nan = pairs("10\nnan\n").unwrap();
        assert!(matches!(nan[0].number(), Err(DxfError::NoNumber { line: 2, code: 10, .. })));
    }
}
