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
mod masking;
pub(crate) mod nominal;
mod recipe;
mod scale;
pub(crate) mod stages;
mod used;

use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::photo::Photo;
use crate::stack::{Align, text};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use front::Front;
use language::say;
use plan::Plan;
use scale::Scale;

/// What a job sheet needs besides the plan.
#[derive(Debug, Clone, Copy)]
pub struct JobSheetOptions<'a> {
    /// The paper.
    pub sheet: Sheet,
    /// The piece as it will look, as the bytes of a PNG or a JPEG; 1400 pixels on its longer side are
    /// enough. Its dark ground, if it has one, is printed: keep it to what lies behind the glass.
    pub preview: &'a [u8],
    /// The day on the sheet and in the file; none is left blank.
    pub date: Option<Date>,
}

/// Margin at the left and right.
const SIDE: f64 = 17.0;
/// Margin at the top.
const TOP: f64 = 13.0;
/// From the lower edge of what flows to the edge of the sheet.
const BOTTOM: f64 = 15.5;

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
        Some(customer) => say!("Job sheet: {}, for {customer}", plan.piece.name),
        None => say!("Job sheet: {}", plan.piece.name),
    };
    write(options.sheet, &pages, &About { title, author: plan.shop.clone(), date: options.date })
}

fn pages(plan: &Plan, options: &JobSheetOptions<'_>, photo: &Photo) -> Vec<Frame> {
    let (width, height) = options.sheet.size_mm();
    let area = Area { width: width - 2.0 * SIDE, height: height - TOP - BOTTOM };
    let front = |hosts_used| Front { plan, date: options.date, photo, area, hosts_used }.pages();
    let (mut flows, mut back) = (front(false).pages, back::pages(plan, area, true));
    if back.len() > 1 {
        // What a piece uses up may stand beside the picture instead, if that saves a page.
        let (hosting, shorter) = (front(true), back::pages(plan, area, false));
        if hosting.hosts_used && shorter.len() < back.len() {
            (flows, back) = (hosting.pages, shorter);
        }
    }
    flows.extend(back);
    let count = flows.len();
    let page = |(i, flow): (usize, Frame)| {
        let footer = footer(plan, area.width, i + 1, count).at(SIDE, height - 11.0);
        Frame::new(width, height).with(flow.at(SIDE, TOP)).with(footer)
    };
    flows.into_iter().enumerate().map(page).collect()
}

fn footer(plan: &Plan, width: f64, page: usize, of: usize) -> Frame {
    let style = Style::regular(Scale::SMALLEST_PT).dim();
    let note = say!("Ranges are 90 % estimates of a model, not measurements: blast a coupon and calibrate.");
    let number = say!("{} · page {page} of {of}", short(&plan.piece.name, 36));
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

#[cfg(test)]
#[path = "../tests/common/mod.rs"]
pub(crate) mod common;

#[cfg(test)]
mod tests {
    use super::common::{Like, USUAL, plan, preview};
    use super::*;
    use crate::frame::tests::{boxes, sizes_pt};
    use language::Language;
    use quantity::UnitSystem;

    /// Every case that is laid out: few and many layers and findings, short and long names, both sheets.
    fn cases() -> Vec<(Like, Sheet, (u32, u32))> {
        let mut cases = Vec::new();
        for (layers, findings) in [(1, 1), (3, 8), (8, 15), (14, 40)] {
            for long_names in [false, true] {
                for (sheet, units) in [(Sheet::A4, UnitSystem::Metric), (Sheet::Letter, UnitSystem::Us)] {
                    let size = if long_names { (30, 12) } else { (30, 40) };
                    cases.push((Like { layers, findings, units, long_names }, sheet, size));
                }
            }
        }
        cases
    }

    fn laid((like, sheet, (width, height)): (Like, Sheet, (u32, u32))) -> Vec<Frame> {
        let preview = preview(width, height);
        let options = JobSheetOptions { sheet, preview: &preview, date: Date::new(2026, 11, 25) };
        pages(&plan(like), &options, &Photo::read(&preview).unwrap())
    }

    #[test]
    fn nothing_overlaps_leaves_the_sheet_or_is_too_small_to_read() {
        let spoken =
            Language::ALL.into_iter().flat_map(|language| cases().into_iter().map(move |case| (language, case)));
        for (language, case) in spoken {
            let (width, height) = case.1.size_mm();
            let pages = language.scope(|| laid(case));
            let smallest = pages.iter().flat_map(sizes_pt).fold(f64::INFINITY, f64::min);
            assert!(smallest >= Scale::SMALLEST_PT, "{language:?} {case:?}: {smallest} pt cannot be read");
            for (number, page) in pages.iter().enumerate() {
                let boxes = boxes(page);
                for (i, (text, a)) in boxes.iter().enumerate() {
                    let place = format!("{language:?} {case:?}, page {}: {text:?} at {a:?}", number + 1);
                    assert!(a[0] > SIDE - 0.1 && a[2] < width - SIDE + 0.1, "{place} leaves the measure");
                    assert!(a[1] > TOP - 0.1 && a[3] < height - 6.0, "{place} leaves the sheet");
                    for (other, b) in &boxes[i + 1..] {
                        let apart = a[2] <= b[0] + 0.05 || b[2] <= a[0] + 0.05 || a[3] <= b[1] || b[3] <= a[1];
                        assert!(apart, "{place} overlaps {other:?} at {b:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn the_picture_is_the_largest_thing_on_the_first_page() {
        for case in [(USUAL, Sheet::A4, (30, 40)), (USUAL, Sheet::Letter, (30, 20)), (USUAL, Sheet::A4, (60, 20))] {
            let page = &laid(case)[0];
            let area = |name: &str| {
                let found = boxes(page).into_iter().filter(|(text, _)| text == name);
                found.map(|(_, b)| (b[2] - b[0]) * (b[3] - b[1])).fold(0.0, f64::max)
            };
            assert!(area("photo") > 6000.0, "{case:?}: {} mm²", area("photo"));
        }
    }

    #[test]
    fn eight_layers_stay_on_the_first_page() {
        let like = Like { layers: 8, findings: 15, ..USUAL };
        for sheet in [Sheet::A4, Sheet::Letter] {
            let pages = laid((like, sheet, (30, 40)));
            let first = pages[0].text();
            assert!(first.contains("The run") && first.contains("signature"), "{sheet:?}");
        }
    }
}
