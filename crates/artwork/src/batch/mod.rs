//! A drawing with placeholders, and a table of names: one piece for each row.
//!
//! A placeholder is a text element whose id is a column's name, or whose text holds `{column}`. Rows are
//! independent: a bad one is told, and the rest are made. Work grows with the number of rows and is shared
//! among all cores.

mod base;
mod fixed;
mod table;
mod template;

use language::say;
pub use table::{Row, Table, TableError, read_table};
pub use template::{Template, TemplateError, columns_of};

use crate::analysis::{Analysis, AnalysisLimits, analyse};
use crate::bounds::Bounds;
use crate::drawing::{Drawing, Shape};
use crate::note::{Note, Remark};
use crate::region::Region;
use crate::svg::{ReadError, ReadOptions, read_svg};
use base::Base;
use fixed::Fixed;
use quantity::Length;
use rayon::prelude::*;

/// How wide a column's text may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The column.
    pub column: String,
    /// Wider text is made smaller, in proportion, about the place where it is anchored.
    pub width: Length,
    /// Smallest scale that still reads, 0 to 1; a row that needs less is a bad row.
    pub least_scale: f64,
}

/// How a batch is made.
#[derive(Debug, Clone)]
pub struct BatchOptions {
    /// How the drawings are read.
    pub read: ReadOptions,
    /// Columns whose text has a given width.
    pub fits: Vec<Fit>,
    /// What each piece is held to; the blank is the template's page.
    pub limits: AnalysisLimits,
    /// Most rows.
    pub rows_max: usize,
}

/// One piece.
#[derive(Debug, Clone)]
pub struct Made {
    /// The row's line in the table, from 1.
    pub line: u64,
    /// What the row fills in, by column.
    pub values: Vec<(String, String)>,
    /// The drawing, text as outlines.
    pub drawing: Drawing,
    /// It measured on its page, where the row's text is and within reach of it: areas and lengths are of all of it,
    /// narrowest places and faults those of the text and what lies beside it.
    pub analysis: Analysis,
    /// Columns whose text was made smaller, and to what scale.
    pub shrunk: Vec<(String, f64)>,
}

/// A row that made no piece.
#[derive(Debug)]
pub struct BadRow {
    /// Its line in the table, from 1.
    pub line: u64,
    /// Why.
    pub fault: RowFault,
}

/// Why a row makes no piece.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RowFault {
    /// Not as many cells as there are columns.
    #[error("{}", say!("the row has {found} cells, the table {wanted} columns; quote a name that holds the separator"))]
    Cells {
        /// In the row.
        found: usize,
        /// In the head.
        wanted: usize,
    },
    /// Nothing to set.
    #[error("{}", say!("column \"{column}\" is empty; fill it in or delete the row"))]
    Empty {
        /// The column.
        column: String,
    },
    /// A character that no drawing can hold.
    #[error("{}", say!("column \"{column}\" holds a control character; type the name anew"))]
    Control {
        /// The column.
        column: String,
    },
    /// A character that no font has.
    #[error("{}", say!("no font here has '{character}'; spell the name without it, or have it drawn"))]
    NoGlyph {
        /// The character.
        character: char,
    },
    /// Too long for its place.
    #[error(
        "{}",
        say!(
            "\"{text}\" is {width_mm:.1} mm wide where {limit_mm:.1} mm are given; at {scale:.2} of its size it would \
             not read; shorten it"
        )
    )]
    TooWide {
        /// The text.
        text: String,
        /// Its width at full size.
        width_mm: f64,
        /// The width given.
        limit_mm: f64,
        /// The scale that it would need.
        scale: f64,
    },
    /// The drawing that came of it cannot be read.
    #[error("{0}")]
    Drawing(ReadError),
}

/// All that a batch came to.
#[derive(Debug)]
pub struct Batch {
    /// In the order of the table.
    pub made: Vec<Made>,
    /// In the order of the table.
    pub bad: Vec<BadRow>,
    /// Columns that the template has no place for.
    pub unused: Vec<String>,
    /// What every piece has: the template without its texts, measured once. `None` when no row made a piece, or
    /// nothing else is drawn.
    pub template: Option<Analysis>,
}

/// Why no batch can be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BatchError {
    /// The table cannot be read.
    #[error("{0}")]
    Table(#[from] TableError),
    /// The template cannot be used.
    #[error("{0}")]
    Template(#[from] TemplateError),
    /// More rows than allowed.
    #[error("{}", say!("the table has {rows} rows, the limit is {limit}; make it in parts"))]
    TooMany {
        /// In the table.
        rows: usize,
        /// The most allowed.
        limit: usize,
    },
    /// A width for a column that is not there.
    #[error("{}", say!("a width is given for column \"{column}\", which the template has no place for"))]
    NoSuchColumn {
        /// The column.
        column: String,
    },
}

/// Makes a piece for each row of a table.
///
/// * `template`: an SVG file. * `table`: CSV, see [`read_table`].
///
/// # Errors
/// [`BatchError`] when table or template cannot be used at all; a fault of one row is told in [`Batch::bad`].
pub fn batch(template: &[u8], table: &[u8], options: &BatchOptions) -> Result<Batch, BatchError> {
    let table = read_table(table)?;
    let template = Template::new(template, &table.columns)?;
    if table.rows.len() > options.rows_max {
        return Err(BatchError::TooMany { rows: table.rows.len(), limit: options.rows_max });
    }
    if let Some(fit) = options.fits.iter().find(|fit| !template.columns().contains(&fit.column.as_str())) {
        return Err(BatchError::NoSuchColumn { column: fit.column.clone() });
    }
    let used = template.columns();
    let unused = table.columns.iter().filter(|column| !used.contains(&column.as_str())).cloned().collect();
    let base = Base::read(&template, options);
    let whole = base.as_ref().map(|base| Fixed::new(base.shapes()));
    let making = Making { template: &template, base: base.as_ref(), fixed: whole.as_ref(), options };
    let piece = |row: &Row| making.piece(&table.columns, row).map_err(|fault| BadRow { line: row.line, fault });
    let all: Vec<Result<Made, BadRow>> = table.rows.par_iter().map(piece).collect();
    let (mut made, mut bad) = (Vec::with_capacity(all.len()), Vec::new());
    for piece in all {
        match piece {
            Ok(piece) => made.push(piece),
            Err(row) => bad.push(row),
        }
    }
    let template = made.first().and_then(|piece| making.template_alone(&piece.drawing));
    Ok(Batch { made, bad, unused, template })
}

/// All that the rows have in common.
struct Making<'a> {
    template: &'a Template,
    /// The template read once; `None` when each row must be read whole.
    base: Option<&'a Base>,
    /// What of it is open.
    fixed: Option<&'a Fixed>,
    options: &'a BatchOptions,
}

impl Making<'_> {
    fn piece(&self, columns: &[String], row: &Row) -> Result<Made, RowFault> {
        let template = self.template;
        let values = values(template, columns, row)?;
        let mut scales = vec![1.0; template.places()];
        let mut drawing = self.drawn(&values, &scales)?;
        let mut shrunk = Vec::new();
        for fit in &self.options.fits {
            for place in template.places_of(&fit.column) {
                let Some(width_mm) = width(&drawing, template.id(place)) else { continue };
                let limit_mm = fit.width.to_mm();
                let scale = limit_mm / width_mm;
                if scale < fit.least_scale {
                    let text = value(&values, &fit.column).to_owned();
                    return Err(RowFault::TooWide { text, width_mm, limit_mm, scale });
                }
                if scale < 1.0 {
                    scales[place] = scale;
                    shrunk.push((fit.column.clone(), scale));
                }
            }
        }
        if !shrunk.is_empty() {
            drawing = self.drawn(&values, &scales)?;
        }
        let analysis = self.measured(&drawing);
        Ok(Made { line: row.line, values, drawing, analysis, shrunk })
    }

    fn drawn(&self, values: &[(String, String)], scales: &[f64]) -> Result<Drawing, RowFault> {
        let of = |column: &str| value(values, column);
        let read = |svg: String| read_svg(svg.as_bytes(), &self.options.read);
        let texts = self.base.and_then(|base| Some((base, read(self.template.texts(of, scales)?).ok()?)));
        let drawing = match texts {
            Some((base, texts)) => base.with(texts),
            None => read(self.template.filled(of, scales)).map_err(RowFault::Drawing)?,
        };
        let missing = |note: &Note| match note.remark {
            Remark::GlyphMissing { character } => Some(character),
            _ => None,
        };
        match drawing.notes.iter().find_map(missing) {
            // Only what the row brings is the row's fault.
            Some(character) if values.iter().any(|(_, value)| value.contains(character)) => {
                Err(RowFault::NoGlyph { character })
            }
            _ => Ok(drawing),
        }
    }

    fn measured(&self, drawing: &Drawing) -> Analysis {
        let (texts, others): (Vec<&Shape>, Vec<&Shape>) =
            drawing.shapes.iter().partition(|shape| self.template.is_place(&shape.id));
        let page = Bounds::from_size(drawing.width_mm, drawing.height_mm);
        match self.fixed {
            Some(fixed) => fixed.measured(&texts, page, &self.options.limits),
            None => Fixed::new(others).measured(&texts, page, &self.options.limits),
        }
    }

    /// The template without its texts, measured; `None` when nothing else is drawn.
    fn template_alone(&self, drawing: &Drawing) -> Option<Analysis> {
        let others = drawing.shapes.iter().filter(|shape| !self.template.is_place(&shape.id));
        let open = Region::union_of(others.map(|shape| &shape.region));
        let page = Bounds::from_size(drawing.width_mm, drawing.height_mm);
        (!open.is_empty()).then(|| analyse(&open, page, &self.options.limits))
    }
}

fn values(template: &Template, columns: &[String], row: &Row) -> Result<Vec<(String, String)>, RowFault> {
    if row.cells.len() != columns.len() {
        return Err(RowFault::Cells { found: row.cells.len(), wanted: columns.len() });
    }
    let used = template.columns();
    let mut values = Vec::with_capacity(columns.len());
    for (column, cell) in columns.iter().zip(&row.cells).filter(|(column, _)| used.contains(&column.as_str())) {
        let cell = cell.trim();
        let column = column.clone();
        if cell.is_empty() {
            return Err(RowFault::Empty { column });
        }
        if cell.chars().any(|c| c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')) {
            return Err(RowFault::Control { column });
        }
        values.push((column, cell.to_owned()));
    }
    Ok(values)
}

fn value<'v>(values: &'v [(String, String)], column: &str) -> &'v str {
    values.iter().find(|(name, _)| name == column).map_or("", |(_, value)| value)
}

fn width(drawing: &Drawing, id: &str) -> Option<f64> {
    let own = drawing.shapes.iter().filter(|shape| shape.id == id);
    Some(own.filter_map(|shape| shape.region.bounds()).reduce(Bounds::with)?.width_mm())
}

#[cfg(test)]
mod tests;
