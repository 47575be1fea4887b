//! The piece's drawing with each row of a table in it.

use crate::OrderError;
use artwork::analysis::AnalysisLimits;
use artwork::batch::{BadRow, BatchOptions, Fit, Made, batch};
use artwork::svg::ReadOptions;
use language::say;
use piece::{Piece, Shop};
use quantity::{Area, Length, known};

/// All rows.
#[derive(Debug)]
pub struct Lettered {
    /// Never empty.
    pub made: Vec<Made>,
    /// Rows that make no piece.
    pub bad: Vec<BadRow>,
    /// Columns without a place.
    pub unused: Vec<String>,
}

/// Most rows: as many as one nesting takes.
const ROWS_MAX: usize = stencil::nest::PIECES_MAX as usize;
/// Smallest part of resist that holds by itself: common practice, no source.
const HOLDING: Area = known(Area::square_mm(9.0));

/// Letters every row, each measured against the resist that the piece prescribes, or the shop's first.
///
/// # Errors
/// [`OrderError::Batch`], and [`OrderError::Nothing`] when no row makes a piece.
pub fn letter(piece: &Piece, template: &[u8], table: &[u8], shop: &Shop, fits: &[Fit]) -> Result<Lettered, OrderError> {
    let resist = piece.recipe.resist.or(shop.resists.first().map(|stock| stock.resist));
    let finest = |of: fn(&reference::Resist) -> Length| resist.map_or(known(Length::mm(0.0)), of);
    let limits = AnalysisLimits {
        opening: finest(|resist| resist.finest_opening.value),
        wall: finest(|resist| resist.finest_wall.value),
        holding: HOLDING,
        neck: finest(|resist| resist.finest_wall.value),
        corner_degrees: 20.0,
        margin: known(Length::mm(0.0)),
    };
    let options = BatchOptions { read: ReadOptions::default(), fits: fits.to_vec(), limits, rows_max: ROWS_MAX };
    let found = batch(template, table, &options)?;
    if found.made.is_empty() {
        let first =
            found.bad.first().map_or_else(|| say!("the table has no rows").to_owned(), |row| row.fault.to_string());
        return Err(OrderError::Nothing { first });
    }
    Ok(Lettered { made: found.made, bad: found.bad, unused: found.unused })
}
