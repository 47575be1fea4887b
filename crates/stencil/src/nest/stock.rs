//! What is laid on what: remnants, then sheets, then the roll.

use super::allowance::{Allowance, Share};
use super::board::{Places, Room};
use super::check::lies_apart;
use super::kind::{Growth, Kind};
use super::{NestError, NestOptions, Nested, NestedSheet, Piece, Placement, Taken, fill, strip};
use artwork::grid::Point;
use language::say;
use quantity::Length;

/// What can be laid on.
#[derive(Debug, Clone, Default)]
pub struct Stock {
    /// Left from earlier work; used first, the smallest before the larger.
    pub remnants: Vec<Sheet>,
    /// Used next, in this order.
    pub sheets: Vec<Sheet>,
    /// Widths of roll; what remains goes on the one that takes the least area, as long as it needs.
    pub rolls: Vec<Length>,
}

/// Rectangles of one size.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// For messages and drawings.
    pub name: String,
    /// Along.
    pub length: Length,
    /// Across.
    pub width: Length,
    /// How many there are.
    pub quantity: u32,
}

/// Share of a sheet's area that the remaining pieces may have for all of them to be tried on it.
const ALL_ON_ONE: f64 = 0.92;
/// Share of what is left of the allowance that each width of roll is tried for, before one is chosen.
const TRIED: f64 = 0.1;
/// Pieces grow by this share of the longest way on the stock, so that single precision cannot let them touch.
const MARGIN: f64 = 2e-6;

pub(super) fn lay_on(
    pieces: &[Piece],
    stock: &Stock,
    options: &NestOptions,
    allowance: &Allowance,
) -> Result<Nested, NestError> {
    if stock.remnants.is_empty() && stock.sheets.is_empty() && stock.rolls.is_empty() {
        return Err(NestError::NoStock);
    }
    let growth = Growth { gap: 0.5 * options.gap.to_mm(), margin: MARGIN * longest(pieces, stock) };
    let wanted = pieces.iter().enumerate().filter(|(_, piece)| piece.quantity > 0);
    let kinds = wanted.map(|(index, piece)| Kind::new(index, piece, growth)).collect::<Result<Vec<_>, _>>()?;
    let left = kinds.iter().map(|kind| pieces[kind.piece].quantity).collect();
    // Grown outlines reach over the sheet's edge: by the gap's half, less what is kept free along it.
    let overreach = growth.gap + growth.margin - options.edge.to_mm();
    let mut job = Job { pieces, kinds: &kinds, options, allowance, overreach, left, sheets: Vec::new() };
    job.sheets(stock)?;
    job.roll(stock)?;
    let left_over = kinds.iter().zip(&job.left).filter(|(_, left)| **left > 0);
    let left_over = left_over.map(|(kind, &left)| (kind.piece, left)).collect();
    Ok(Nested { sheets: job.sheets, left_over })
}

/// The longest way that a piece may lie from the corner, roughly.
fn longest(pieces: &[Piece], stock: &Stock) -> f64 {
    let area = |piece: &Piece| f64::from(piece.quantity) * piece.outline.signed_area_mm2().abs();
    let area: f64 = pieces.iter().map(area).sum();
    let sheets = stock.remnants.iter().chain(&stock.sheets);
    let sides = sheets.flat_map(|sheet| [sheet.length.to_mm(), sheet.width.to_mm()]);
    let rolls = stock.rolls.iter().map(|width| width.to_mm().max(2.0 * area / width.to_mm().max(1e-6)));
    sides.chain(rolls).fold(0.0, f64::max)
}

struct Job<'a> {
    pieces: &'a [Piece],
    kinds: &'a [Kind],
    options: &'a NestOptions,
    allowance: &'a Allowance<'a>,
    /// How far grown outlines may reach over the edge of a sheet, in mm.
    overreach: f64,
    /// Copies still to be laid, of each kind.
    left: Vec<u32>,
    sheets: Vec<NestedSheet>,
}

/// What a width of roll gave.
struct Try {
    index: usize,
    width: f32,
    pieces: Vec<usize>,
    layout: strip::Layout,
}

impl Try {
    /// The one that lays more pieces; of equals the one that takes less area.
    fn better(self, other: Self) -> Self {
        let area = |tried: &Self| tried.layout.length * tried.width;
        let more = other.pieces.len() > self.pieces.len();
        let less = other.pieces.len() == self.pieces.len() && area(&other) < area(&self);
        if more || less { other } else { self }
    }
}

impl Job<'_> {
    fn sheets(&mut self, stock: &Stock) -> Result<(), NestError> {
        let mut remnants: Vec<(usize, &Sheet)> = stock.remnants.iter().enumerate().collect();
        remnants.sort_by(|(_, a), (_, b)| area(a).total_cmp(&area(b)));
        let remnants = remnants.into_iter().map(|(index, sheet)| (Taken::Remnant(index), sheet));
        let sheets = stock.sheets.iter().enumerate().map(|(index, sheet)| (Taken::Sheet(index), sheet));
        for (from, sheet) in remnants.chain(sheets) {
            for _ in 0..sheet.quantity {
                self.sheet(from, sheet)?;
            }
        }
        Ok(())
    }

    fn sheet(&mut self, from: Taken, sheet: &Sheet) -> Result<(), NestError> {
        let room = self.room(sheet.length.to_mm(), sheet.width.to_mm(), &sheet.name)?;
        let pieces = self.still(|kind| kind.fits(room.length, room.width));
        if pieces.is_empty() {
            return Ok(());
        }
        let on_it = f64::from(room.length) * f64::from(room.width);
        let all: f64 = pieces.iter().map(|&kind| f64::from(self.kinds[kind].shape.area())).sum();
        let share = self.allowance.next((on_it / all.max(on_it)).min(0.9));
        let whole = (all <= ALL_ON_ONE * on_it).then(|| self.all_on_one(&pieces, room, share)).flatten();
        let places = whole.unwrap_or_else(|| {
            let sheet = fill::Sheet { kinds: self.kinds, pieces: pieces.clone(), room, seed: self.options.seed, share };
            fill::fill(&sheet)
        });
        let (length_mm, width_mm) = (sheet.length.to_mm(), sheet.width.to_mm());
        self.keep(from, &pieces, &places, (Some(length_mm), width_mm));
        Ok(())
    }

    /// As short as possible, so that the rest stays whole; `None` when not all fit.
    fn all_on_one(&self, pieces: &[usize], room: Room, share: Share) -> Option<Places> {
        let task = self.task(pieces.to_vec(), room.width, None, share);
        let layouts = strip::pack(&task);
        layouts.into_iter().next_back().filter(|layout| layout.length <= room.length).map(|layout| layout.places)
    }

    /// Tries each width for a while, then goes on with the one that lays the most on the least area.
    fn roll(&mut self, stock: &Stock) -> Result<(), NestError> {
        let portion = if stock.rolls.len() > 1 { TRIED } else { 0.0 };
        let mut best: Option<Try> = None;
        for (index, width) in stock.rolls.iter().enumerate() {
            let room = self.room(width.to_mm(), width.to_mm(), &say!("a roll {:.1} mm wide", width.to_mm()))?;
            let tried = self.tried(index, room.width, self.allowance.next(portion));
            best = best.into_iter().chain(tried).reduce(Try::better);
        }
        let Some(Try { index, width, pieces, layout }) = best else { return Ok(()) };
        let task = self.task(pieces.clone(), width, Some(layout), self.allowance.next(1.0));
        let layouts = strip::pack(&task);
        let width_mm = stock.rolls[index].to_mm();
        // The shortest that the check finds sound.
        let _ =
            layouts.iter().rev().any(|layout| self.keep(Taken::Roll(index), &pieces, &layout.places, (None, width_mm)));
        Ok(())
    }

    /// `None` when nothing that is left fits across.
    fn tried(&self, index: usize, width: f32, share: Share) -> Option<Try> {
        let pieces = self.still(|kind| kind.fits_across(width));
        if pieces.is_empty() {
            return None;
        }
        let layout = strip::pack(&self.task(pieces.clone(), width, None, share)).pop()?;
        Some(Try { index, width, pieces, layout })
    }

    fn task<'t>(
        &'t self,
        pieces: Vec<usize>,
        width: f32,
        start: Option<strip::Layout>,
        share: Share<'t>,
    ) -> strip::Task<'t> {
        let NestOptions { seed, workers, .. } = *self.options;
        strip::Task { kinds: self.kinds, pieces, width, seed, workers, start, share }
    }

    /// The kinds of all copies that are still to be laid and that fit.
    fn still(&self, fits: impl Fn(&Kind) -> bool) -> Vec<usize> {
        let copies = |(kind, &left): (usize, &u32)| std::iter::repeat_n(kind, left as usize);
        self.left.iter().enumerate().filter(|(kind, _)| fits(&self.kinds[*kind])).flat_map(copies).collect()
    }

    /// What grown pieces may lie in.
    fn room(&self, length_mm: f64, width_mm: f64, name: &str) -> Result<Room, NestError> {
        let inside = |mm: f64| (mm + self.overreach * 2.0) as f32;
        let room = Room { length: inside(length_mm), width: inside(width_mm) };
        let refused = || NestError::NoRoom { name: name.to_owned() };
        (room.length > 0.0 && room.width > 0.0).then_some(room).ok_or_else(refused)
    }

    /// Adds a sheet with what lies on it, when the check finds it sound. Says whether it did.
    fn keep(
        &mut self,
        from: Taken,
        pieces: &[usize],
        places: &Places,
        (length_mm, width_mm): (Option<f64>, f64),
    ) -> bool {
        let laid: Vec<(usize, Placement)> = self.placements(pieces, places);
        if laid.is_empty() {
            return false;
        }
        let placements: Vec<Placement> = laid.iter().map(|(_, at)| *at).collect();
        let used_mm = self.reached(&placements) + self.options.edge.to_mm();
        if !lies_apart(self.pieces, &placements, length_mm.unwrap_or(used_mm), width_mm) {
            return false;
        }
        laid.iter().for_each(|(kind, _)| self.left[*kind] -= 1);
        let area: f64 = laid.iter().map(|(kind, _)| self.kinds[*kind].area).sum();
        let density = area / (used_mm * width_mm);
        let length_mm = length_mm.unwrap_or(used_mm);
        self.sheets.push(NestedSheet { from, width_mm, length_mm, used_mm, density, placements });
        true
    }

    fn placements(&self, pieces: &[usize], places: &Places) -> Vec<(usize, Placement)> {
        let shift = -self.overreach;
        let placed = |(&kind, place): (&usize, &Option<_>)| {
            let place: super::board::Place = (*place)?;
            let Kind { piece, centre, .. } = self.kinds[kind];
            let turned = Placement { piece, turn_degrees: f64::from(place.turn).to_degrees(), x_mm: 0.0, y_mm: 0.0 };
            let Point { x, y } = turned.moved(centre);
            let (x_mm, y_mm) = (f64::from(place.x) + shift - x, f64::from(place.y) + shift - y);
            Some((kind, Placement { x_mm, y_mm, ..turned }))
        };
        pieces.iter().zip(places).filter_map(placed).collect()
    }

    fn reached(&self, placements: &[Placement]) -> f64 {
        let end = |at: &Placement| at.outline(&self.pieces[at.piece]).0.iter().map(|p| p.x).fold(0.0, f64::max);
        placements.iter().map(end).fold(0.0, f64::max)
    }
}

fn area(sheet: &Sheet) -> f64 {
    sheet.length.to_mm() * sheet.width.to_mm()
}
