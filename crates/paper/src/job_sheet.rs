//! The job sheet: what a piece is and how it is made, for the bench and for the file.
//!
//! Page 1 is the piece: its picture as large as the rest allows, the plan in a sentence, the recipe, the
//! stages and the run strip. Page 2 is the work: cautions first, then findings, air, what to tick.
//!
//! How it shrinks: the picture gives way first, down to [`front::PICTURE_MIN`]; then the type, step by
//! step, on each page alone. What still finds no room continues on a further page; nothing is left out.

mod air;
mod back;
mod cautions;
mod checklist;
mod findings;
mod front;
mod recipe;
mod scale;
mod stages;
mod used;

use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::photo::Photo;
use crate::stack::{Align, text};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use plan::Plan;
use scale::Scale;

/// What a job sheet needs besides the plan.
#[derive(Debug, Clone, Copy)]
pub struct JobSheetOptions<'a> {
    /// The paper.
    pub sheet: Sheet,
    /// The piece as it will look, as the bytes of a PNG or a JPEG, best 1400 pixels wide. Its dark ground,
    /// if it has one, is printed: keep it to what lies behind the glass.
    pub preview: &'a [u8],
    /// The day on the sheet and in the file; none is left blank.
    pub date: Option<Date>,
}

/// Margin at the left and right.
const SIDE: f64 = 18.0;
/// Margin at the top.
const TOP: f64 = 14.0;
/// From the lower edge of what flows to the edge of the sheet.
const BOTTOM: f64 = 18.0;

/// The part of a sheet that flows.
#[derive(Debug, Clone, Copy)]
struct Area {
    width: f64,
    height: f64,
}

/// Lays out and writes the job sheet of a plan: two pages, more when there is more to say than fits at
/// the smallest type (about 8 layers and 15 findings are the most for two).
///
/// # Errors
/// [`PaperError`] when the preview is no picture or the file cannot be written.
pub fn job_sheet(plan: &Plan, options: &JobSheetOptions<'_>) -> Result<Vec<u8>, PaperError> {
    let photo = Photo::read(options.preview)?;
    let pages = pages(plan, options, &photo);
    let title = match &plan.piece.customer {
        Some(customer) => format!("Job sheet: {}, for {customer}", plan.piece.name),
        None => format!("Job sheet: {}", plan.piece.name),
    };
    write(options.sheet, &pages, &About { title, author: plan.shop.clone(), date: options.date })
}

fn pages(plan: &Plan, options: &JobSheetOptions<'_>, photo: &Photo) -> Vec<Frame> {
    let (width, height) = options.sheet.size_mm();
    let area = Area { width: width - 2.0 * SIDE, height: height - TOP - BOTTOM };
    let mut flows = front::pages(plan, options.date, photo, area);
    flows.extend(back::pages(plan, area));
    let count = flows.len();
    let page = |(i, flow): (usize, Frame)| {
        let footer = footer(plan, area.width, i + 1, count).at(SIDE, height - 11.0);
        Frame::new(width, height).with(flow.at(SIDE, TOP)).with(footer)
    };
    flows.into_iter().enumerate().map(page).collect()
}

fn footer(plan: &Plan, width: f64, page: usize, of: usize) -> Frame {
    let style = Style::regular(Scale::SMALLEST_PT).dim();
    let note = "Ranges are 90 % estimates of a model, not measurements: blast a coupon and calibrate.";
    let number = format!("{} · page {page} of {of}", short(&plan.piece.name, 40));
    let left = text(&Words::plainly(note, style), width * 0.66, Align::Left);
    let right = text(&Words::plainly(&number, style), width * 0.34, Align::Right).at(width * 0.66, 0.0);
    Frame::new(width, left.height).role(Role::Footer).with(left).with(right)
}

/// A name for where there is room for one line only.
fn short(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let kept: String = name.chars().take(most - 1).collect();
    format!("{}…", kept.trim_end())
}

/// A section's heading over what it is for.
fn section(title: &str, content: Frame, scale: Scale) -> Frame {
    let heading = text(&Words::plainly(title, scale.heading()), content.width.max(20.0), Align::Left);
    let below = content.at(0.0, heading.height + scale.under_heading());
    Frame {
        width: below.width,
        height: below.bottom(),
        role: Role::Section,
        items: vec![Item::Frame(heading.role(Role::Heading(2))), Item::Frame(below)],
        ..Frame::default()
    }
}
