//! What is asked of an order: read, and begun once. The page's form and the API both come here.

use crate::app::App;
use crate::error::WebError;
use crate::orders::{Asked, Underway};
use crate::view::OrderAsked;
use ::batch::{EveningOptions, NestWish, OrderOptions};
use artwork::batch::Fit;
use language::{Language, say};
use quantity::parse::parse;
use quantity::{Length, Quantity, Time, known};
use std::sync::Arc;
use std::time::Duration;
use stencil::nest::NestOptions;
use store::PieceId;

/// Least share of its size that a text may be shrunk to, as on the command line.
const LEAST_SCALE: f64 = 0.6;
/// Distance of pieces from the roll's edges, and resist left around each drawing.
pub(crate) const EDGE: Length = known(Length::mm(3.0));
const BORDER: Length = known(Length::mm(5.0));
/// Longest that better layouts are looked for, in seconds.
pub(crate) const NESTING_MAX: f64 = 600.0;

/// An order as somebody asks for it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct OrderWish {
    /// Made where it is asked for, so that one that comes twice is begun once; without it each is a new one.
    pub key: Option<String>,
    /// The table's file name.
    pub name: String,
    /// The table, as comma-separated values.
    pub table: Vec<u8>,
    pub typed: OrderAsked,
}

impl Default for OrderAsked {
    fn default() -> Self {
        let text = str::to_owned;
        Self { evening: text("3h"), setup: String::new(), fit: String::new(), gap: text("2mm"), seconds: text("10") }
    }
}

/// Begins an order; says whether it is new. The same order under the same key is begun once, as long as it is kept.
///
/// # Errors
/// [`WebError::Field`] where it does not read, [`WebError::OtherUnderKey`], a piece that is not there.
pub(crate) async fn begin(app: &Arc<App>, piece: PieceId, wish: OrderWish) -> Result<(Arc<Underway>, bool), WebError> {
    let asked = wish.read()?;
    app.work(move |app| Ok(app.store.piece(piece)?)).await?;
    let (order, new) = app.orders.begin(piece, wish)?;
    if new {
        // The work outlives this answer, and goes on in its language.
        tokio::spawn(Language::current().during(Arc::clone(&order).run(Arc::clone(app), asked)));
    }
    Ok((order, new))
}

impl OrderWish {
    /// Reads what was typed.
    fn read(&self) -> Result<Asked, WebError> {
        if self.table.is_empty() {
            return Err(WebError::field("names", say!("Choose a table of names, a .csv file.").to_owned()));
        }
        let typed = &self.typed;
        let length: Time = read("evening", say!("The evening"), &typed.evening)?;
        let setup = match typed.setup.is_empty() {
            true => None,
            false => Some(read("setup", say!("Mask and wash one"), &typed.setup)?),
        };
        let gap = read("gap", say!("Gap"), &typed.gap)?;
        let seconds =
            typed.seconds.replace(',', ".").parse::<f64>().ok().filter(|seconds| (0.0..=NESTING_MAX).contains(seconds));
        let seconds = seconds
            .ok_or_else(|| WebError::field("seconds", say!("Look for layouts: give seconds, 0 to 600.").to_owned()))?;
        let workers = std::thread::available_parallelism().map_or(1, Into::into);
        Ok(Asked {
            options: OrderOptions {
                evenings: EveningOptions { length, setup },
                nest: NestWish { border: BORDER, options: NestOptions { gap, edge: EDGE, seed: 1, workers } },
                fits: fits(&typed.fit)?,
            },
            nesting: Duration::from_secs_f64(seconds),
        })
    }
}

fn read<Q: Quantity>(key: &'static str, what: &str, text: &str) -> Result<Q, WebError> {
    parse(text).map_err(|fault| WebError::field(key, format!("{what}: {fault}")))
}

/// Columns with the width that their text may have: "name=60mm, guest=40mm".
fn fits(text: &str) -> Result<Vec<Fit>, WebError> {
    let fit = |part: &str| {
        let (column, width) = part.split_once('=').ok_or_else(|| {
            WebError::field("fit", say!("Fit: write the column and its width, such as name=60mm.").to_owned())
        })?;
        let width = read("fit", say!("Fit"), width.trim())?;
        Ok(Fit { column: column.trim().to_owned(), width, least_scale: LEAST_SCALE })
    };
    text.split(',').map(str::trim).filter(|part| !part.is_empty()).map(fit).collect()
}
