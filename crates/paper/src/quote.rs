//! The quote: the piece large, what it is, what it costs at each quantity, a place to sign. One page.
//!
//! Costs, margins and risks are the shop's own and are not on it.

use crate::frame::{Frame, Role};
use crate::job_sheet::nominal::together;
use crate::lettering::Style;
use crate::marks::writing_line;
use crate::page::{BODY, Flow, GAP, SMALL, TABLE, area, paragraphs, short, title};
use crate::photo::Photo;
use crate::stack::{Align, stack, text};
use crate::table::{Cell, Column, table};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use cost::currency::{number, shown};
use cost::{Offer, Quote};
use language::{say, say_count};
use piece::{Body, Money, Side};
use plan::Plan;
use quantity::Length;
use quantity::show::Show as _;

/// What a quote needs besides plan and price.
#[derive(Debug, Clone, Copy)]
pub struct QuoteOptions<'a> {
    /// The paper.
    pub sheet: Sheet,
    /// The piece as it will look, as the bytes of a PNG or a JPEG.
    pub preview: &'a [u8],
    /// The day on the sheet; none is left blank.
    pub date: Option<Date>,
    /// How many days the offer stands; `None` says nothing of it.
    pub valid_days: Option<u32>,
}

/// Share of the page that the picture takes at most, and at least.
const PICTURE: (f64, f64) = (0.52, 0.25);

/// Writes the quote of a planned piece.
///
/// # Errors
/// [`PaperError`] when the preview is no picture or the file cannot be written.
pub fn quote_sheet(plan: &Plan, quote: &Quote, options: &QuoteOptions<'_>) -> Result<Vec<u8>, PaperError> {
    let photo = Photo::read(options.preview)?;
    let pages = pages(plan, quote, options, &photo);
    let title = match &plan.piece.customer {
        Some(customer) => say!("Quote: {}, for {customer}", plan.piece.name),
        None => say!("Quote: {}", plan.piece.name),
    };
    write(options.sheet, &pages, &About { title, author: plan.shop.clone(), date: options.date })
}

pub(crate) fn pages(plan: &Plan, quote: &Quote, options: &QuoteOptions<'_>, photo: &Photo) -> Vec<Frame> {
    let (width, height) = area(options.sheet);
    let right: Vec<String> =
        [Some(plan.shop.clone()), options.date.map(|date| date.words(plan.units))].into_iter().flatten().collect();
    let what = match &plan.piece.customer {
        Some(customer) => say!("Quote for {customer}"),
        None => say!("Quote").to_owned(),
    };
    let head = title(&what, &plan.piece.name, &right, width);
    let said = paragraphs([described(plan)], Style::regular(11.0), width);
    let prices = prices(quote, width);
    let terms = paragraphs(terms(plan, quote, options.valid_days), BODY, width);
    let sign = signature(width);
    let below = [&head, &said, &prices, &terms, &sign].iter().map(|frame| frame.height + GAP).sum::<f64>();
    let room = (height - below).min(PICTURE.0 * height).max(PICTURE.1 * height);
    let hero = hero(plan, photo, width, room);
    let mut flow = Flow::new(options.sheet);
    [head, hero, said, prices, terms, sign].into_iter().for_each(|frame| flow.add(frame));
    let name = short(&plan.piece.name, 44);
    flow.pages(options.sheet, say!("The picture is computed from the drawing and the planned depths."), &name)
}

/// The picture, in the middle.
fn hero(plan: &Plan, photo: &Photo, width: f64, height: f64) -> Frame {
    let (wide, high) = photo.fit(width, height);
    let shows = say!("{} as it will look: {}", plan.piece.name, described(plan));
    let picture = Frame::new(wide, high).role(Role::Figure(shows)).with(crate::frame::Item::Photo(photo.clone()));
    Frame::new(width, high).with(picture.at(0.5 * (width - wide), 0.0))
}

/// What the piece is, in a sentence or two.
fn described(plan: &Plan) -> String {
    let blank = &plan.piece.blank;
    let size = |length: Length| together(length.show(plan.units));
    let form = match blank.body {
        Body::Panel { width, height } => say!("{} × {}, {} thick", size(width), size(height), size(blank.thickness)),
        Body::Tumbler { diameter, height, .. } | Body::Bowl { diameter, height, .. } => {
            say!("{} across, {} high", together(diameter.show(plan.units)), size(height))
        }
    };
    let mut depths: Vec<String> = plan.layers.iter().map(|layer| size(layer.target)).collect();
    depths.dedup();
    let carved = match (blank.carve_from, depths.as_slice()) {
        (Side::Front, []) => say!("Carved with grit from the front.").to_owned(),
        (Side::Front, [one]) => say!("Carved with grit from the front, {one} deep."),
        (Side::Front, [first @ .., last]) => {
            say!("Carved with grit from the front, in depths of {} and {last}.", first.join(", "))
        }
        (Side::Back, []) => say!("Carved with grit from the back, seen through the glass.").to_owned(),
        (Side::Back, [one]) => say!("Carved with grit from the back, seen through the glass, {one} deep."),
        (Side::Back, [first @ .., last]) => say!(
            "Carved with grit from the back, seen through the glass, in depths of {} and {last}.",
            first.join(", ")
        ),
    };
    format!("{}, {form}. {carved}", blank.material.name)
}

/// A row for each quantity.
fn prices(quote: &Quote, width: f64) -> Frame {
    let taxed = quote.offers.iter().any(|offer| offer.tax != Money::ZERO);
    let tax = format!("{} {}\u{202f}%", quote.tax_name, percent(quote.tax));
    let mut heads = vec![
        say!(in "head of a column", "Pieces").to_owned(),
        say!("Each, {}", quote.currency),
        say!("Together, {}", quote.currency),
    ];
    if taxed {
        heads.extend([tax, say!("To pay, {}", quote.currency)]);
    }
    let share = (width + TABLE.gutter) / heads.len() as f64 - TABLE.gutter;
    let columns: Vec<Column> = heads.iter().map(|head| Column::new(head, share, Align::Right)).collect();
    let large = Style::regular(13.0);
    let row = |offer: &Offer| {
        let money = |amount: Money, style: Style| Cell::Words(Words::plainly(&number(amount, &quote.currency), style));
        let last = large.semi_bold();
        let mut cells = vec![
            Cell::Words(Words::plainly(&offer.quantity.to_string(), large)),
            money(offer.each, large),
            money(offer.net, if taxed { large } else { last }),
        ];
        if taxed {
            cells.extend([money(offer.tax, large.dim()), money(offer.gross, last)]);
        }
        cells
    };
    table(say!("The price at each quantity."), &columns, quote.offers.iter().map(row).collect(), TABLE)
}

fn terms(plan: &Plan, quote: &Quote, valid_days: Option<u32>) -> Vec<String> {
    let mut terms = Vec::new();
    if !quote.rush.is_zero() {
        let percent = percent(quote.rush);
        terms.push(say!("For an order that goes before others: {percent}\u{202f}% are in these prices."));
    }
    terms.push(match plan.piece.blank.price == Money::ZERO {
        true => say!("You bring the blank. If it breaks here, the work is done again on the next one that you bring.")
            .to_owned(),
        false => say!("The blank is in the price.").to_owned(),
    });
    terms.push(
        say!(
            "Depths are those of the wide parts; fine lines are shallower. Glass and stone vary, and so does each \
             piece a little."
        )
        .to_owned(),
    );
    if let Some(days) = valid_days {
        terms.push(say_count!(days, "This offer stands for {days} day.", "This offer stands for {days} days."));
    }
    terms
}

/// A share as a number of percent.
fn percent(share: rust_decimal::Decimal) -> String {
    language::number((share * rust_decimal::Decimal::ONE_HUNDRED).normalize().to_string())
}

/// A place to order: quantity, day, name.
fn signature(width: f64) -> Frame {
    let column = (width - 2.0 * GAP) / 3.0;
    let mut frame = Frame::new(width, 0.0);
    for (index, word) in
        [say!("Pieces ordered"), say!(in "to fill in", "Day"), say!(in "to fill in", "Name")].into_iter().enumerate()
    {
        let label = text(&Words::plainly(word, SMALL), column, Align::Left).role(Role::Paragraph);
        let entry = stack([writing_line(column, 16.0), label], 0.6).at(index as f64 * (column + GAP), 0.0);
        frame.height = frame.height.max(entry.height);
        frame = frame.with(entry);
    }
    frame
}

/// An amount with its currency, for the other documents.
pub(crate) fn amount(money: Money, currency: &str) -> String {
    shown(money, currency)
}
