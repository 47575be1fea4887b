//! Each evening's stencils on a stretch of the roll.

use crate::evening::Evening;
use crate::items::{Pace, name};
use crate::{OrderError, Step, Watch};
use artwork::batch::Made;
use artwork::region::Region;
use piece::{Piece, Shop, Side};
use quantity::Length;
use rayon::prelude::*;
use stencil::nest::outline::{Around, outline};
use stencil::nest::{self, NestOptions, Nested, Stock, Turns};

/// How stencils are nested.
#[derive(Debug, Clone, Copy)]
pub struct NestWish {
    /// Resist left around each drawing.
    pub border: Length,
    /// Gap, edge, seed and workers.
    pub options: NestOptions,
}

/// An evening's stretch of roll.
#[derive(Debug, Clone)]
pub struct EveningSheet {
    /// What lies where; pieces are the evening's slots, in order.
    pub nested: Nested,
    /// The outlines that were laid.
    pub pieces: Vec<nest::Piece>,
    /// What the cutter cuts in each, in the piece's own millimetres; mirrored when carved from the back.
    pub cuts: Vec<Region>,
    /// Of the roll.
    pub width: Length,
}

/// Nests each evening's items on the roll of the plan's resist.
///
/// # Errors
/// [`OrderError::TooWide`], [`OrderError::Outline`], [`OrderError::Plan`] and [`OrderError::Nest`]; [`OrderError::Cancelled`].
pub fn sheets(
    piece: &Piece,
    pace: &Pace,
    made: &[Made],
    evenings: &[Evening],
    shop: &Shop,
    wish: &NestWish,
    watch: &Watch<'_>,
) -> Result<Vec<EveningSheet>, OrderError> {
    let width = roll(pace, shop);
    let cuts: Vec<Region> = made.par_iter().map(|made| cut(piece, made)).collect::<Result<_, _>>()?;
    let sheet = |(number, evening): (usize, &Evening)| {
        watch.step(Step::Nesting { evening: number, of: evenings.len() })?;
        let own: Vec<usize> = evening.slots.iter().map(|slot| slot.item).collect();
        let laid = own.iter().map(|&item| laid(&made[item], &cuts[item], wish.border));
        let pieces: Vec<nest::Piece> = laid.collect::<Result<_, _>>()?;
        let stock = Stock { rolls: vec![width], ..Stock::default() };
        let nested = nest::nest(&pieces, &stock, &wish.options, &|_| (watch.spent)(number, evenings.len()))?;
        if let Some(&(left, _)) = nested.left_over.first() {
            return Err(OrderError::TooWide { name: pieces[left].name.clone(), width });
        }
        let cuts = own.iter().map(|&item| cuts[item].clone()).collect();
        Ok(EveningSheet { nested, pieces, cuts, width })
    };
    evenings.iter().enumerate().map(sheet).collect()
}

/// As wide as the resist, or as the cutter reaches.
fn roll(pace: &Pace, shop: &Shop) -> Length {
    let id = &pace.plan().recipe.resist.id;
    let stock = shop.resists.iter().find(|stock| stock.resist.id == *id).map(|stock| stock.width);
    let width = stock.unwrap_or(quantity::known(Length::mm(300.0)));
    match shop.stencil.cutter_width {
        Some(cutter) if cutter < width => cutter,
        _ => width,
    }
}

/// What is cut, at the size at which it is carved.
fn cut(piece: &Piece, made: &Made) -> Result<Region, OrderError> {
    let fault = |fault| OrderError::Plan { name: name(made), fault };
    let placed = plan::placed(piece, &made.drawing).map_err(fault)?;
    let region = Region::union_of(placed.layers.iter().map(|layer| &layer.region));
    Ok(match piece.blank.carve_from {
        Side::Front => region,
        Side::Back => region.mirrored(0.5 * piece.blank.body.sheet_width_mm()),
    })
}

fn laid(made: &Made, cut: &Region, border: Length) -> Result<nest::Piece, OrderError> {
    let outline =
        outline(cut, border, Around::Rectangle).map_err(|fault| OrderError::Outline { name: name(made), fault })?;
    Ok(nest::Piece { name: name(made), outline, quantity: 1, turns: Turns::Quarter })
}
