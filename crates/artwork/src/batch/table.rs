//! A table of names.

use language::say;

/// Most bytes of a table.
const BYTES_MAX: usize = 16 << 20;

/// A table: a head of columns, and rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Names of the columns, trimmed.
    pub columns: Vec<String>,
    /// Rows in which anything stands.
    pub rows: Vec<Row>,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its line in the file, from 1.
    pub line: u64,
    /// Its cells; perhaps not as many as columns.
    pub cells: Vec<String>,
}

/// Why a table cannot be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TableError {
    /// Too long.
    #[error("{}", say!("the table has {bytes} bytes, the limit is {limit}; split it"))]
    TooLong {
        /// Its length.
        bytes: usize,
        /// The longest allowed.
        limit: usize,
    },
    /// Not UTF-8.
    #[error("{}", say!("line {line} of the table is not UTF-8; save it as CSV in UTF-8"))]
    NotText {
        /// Where.
        line: usize,
    },
    /// No head.
    #[error("{}", say!("the table is empty; its first line must name the columns"))]
    NoHead,
    /// Two columns of one name, or of none.
    #[error("{}", say!("column {number} has no name of its own (\"{name}\"); name each column once"))]
    Column {
        /// Which, from 1.
        number: usize,
        /// Its name.
        name: String,
    },
    /// Broken quoting.
    #[error("{}", say!("the table cannot be read: {fault}"))]
    Csv {
        /// What the reader said.
        fault: csv::Error,
    },
}

/// Reads CSV (RFC 4180) in UTF-8, separated by commas, semicolons or tabs: whichever the first line has most of.
///
/// Rows that are wholly empty are passed over; rows with a wrong number of cells are kept, for the caller to tell.
///
/// # Errors
/// [`TableError`] when there is no head, or the bytes are no table.
pub fn read_table(bytes: &[u8]) -> Result<Table, TableError> {
    if bytes.len() > BYTES_MAX {
        return Err(TableError::TooLong { bytes: bytes.len(), limit: BYTES_MAX });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|fault| TableError::NotText {
        line: 1 + bytes[..fault.valid_up_to()].iter().filter(|&&byte| byte == b'\n').count(),
    })?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator(text))
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let (mut line, mut counted) = (1, 0);
    for record in reader.records() {
        let record = record.map_err(|fault| TableError::Csv { fault })?;
        // The reader passes over empty lines, but counts from before them.
        let start = record.position().map_or(counted, |position| position.byte() as usize).min(text.len());
        let empty = text[start..].bytes().take_while(|byte| matches!(byte, b'\n' | b'\r')).count();
        line += text[counted..start + empty].bytes().filter(|&byte| byte == b'\n').count() as u64;
        counted = start + empty;
        let cells: Vec<String> = record.iter().map(str::to_owned).collect();
        if cells.iter().any(|cell| !cell.trim().is_empty()) {
            rows.push(Row { line, cells });
        }
    }
    if rows.is_empty() {
        return Err(TableError::NoHead);
    }
    let columns: Vec<String> = rows.remove(0).cells.iter().map(|name| name.trim().to_owned()).collect();
    for (index, name) in columns.iter().enumerate() {
        if name.is_empty() || columns[..index].contains(name) {
            return Err(TableError::Column { number: index + 1, name: name.clone() });
        }
    }
    Ok(Table { columns, rows })
}

fn separator(text: &str) -> u8 {
    let head = text.lines().next().unwrap_or_default();
    let count = |separator: u8| head.bytes().filter(|&byte| byte == separator).count();
    [b';', b'\t', b','].into_iter().max_by_key(|&separator| count(separator)).unwrap_or(b',')
}
