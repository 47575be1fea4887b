//! The stencil sheet: for each layer what is lifted, in which order and how long it takes; then what is covered.

use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::marks::tick_box;
use crate::stack::{Align, beside, paragraph, stack, text};
use crate::table::{Cell, Column, Spacing, table};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use language::{say, say_count};
use picture::weed::{WeedOptions, weed};
use plan::{Plan, words};
use quantity::show::Show as _;
use stencil::bundle::CutWork;
use stencil::cut::weed::{WeedPlan, WeedStep};
use stencil::layers::StencilLayer;

/// A layer, or a strip of one, as it is cut and weeded.
#[derive(Debug, Clone, Copy)]
pub struct SheetLayer<'a> {
    /// As it is written in the files.
    pub layer: &'a StencilLayer,
    /// In which order it is weeded.
    pub weed: &'a WeedPlan,
    /// What the cutter does; `None` when nothing is cut.
    pub cut: Option<&'a CutWork>,
}

const SIDE: f64 = 17.0;
const TOP: f64 = 13.0;
const BOTTOM: f64 = 15.5;
const BODY: Style = Style::regular(9.0);
/// Between the two columns of groups.
const GUTTER: f64 = 10.0;
const GAP: f64 = 4.0;
/// Share of a page that the picture takes at most.
const PICTURE: f64 = 0.56;

/// Writes the sheet: a page for each layer, more when it has more groups than fit beside its picture.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn stencil_sheet(
    plan: &Plan,
    layers: &[SheetLayer<'_>],
    sheet: Sheet,
    date: Option<Date>,
) -> Result<Vec<u8>, PaperError> {
    let (width, height) = sheet.size_mm();
    let room = (width - 2.0 * SIDE, height - TOP - BOTTOM);
    let mut flows: Vec<Frame> = layers.iter().flat_map(|layer| layer_pages(plan, layer, room)).collect();
    flows.push(cover_page(plan, room.0));
    let count = flows.len();
    let page = |(i, flow): (usize, Frame)| {
        let footer = footer(plan, room.0, i + 1, count).at(SIDE, height - 11.0);
        Frame::new(width, height).with(flow.at(SIDE, TOP)).with(footer)
    };
    let pages: Vec<Frame> = flows.into_iter().enumerate().map(page).collect();
    let title = say!("Stencil sheet: {}", plan.piece.name);
    write(sheet, &pages, &About { title, author: plan.shop.clone(), date })
}

fn footer(plan: &Plan, width: f64, page: usize, of: usize) -> Frame {
    let style = Style::regular(7.0).dim();
    let note = say!("Weeding times are 90 % ranges by the shop's pace: a stopwatch on your own narrows them.");
    let left = text(&Words::plainly(note, style), width * 0.66, Align::Left);
    let number = say!("{} · page {page} of {of}", plan.piece.name);
    let right = text(&Words::plainly(&number, style), width * 0.34, Align::Right).at(width * 0.66, 0.0);
    Frame::new(width, left.height).role(Role::Footer).with(left).with(right)
}

fn layer_pages(plan: &Plan, layer: &SheetLayer<'_>, (width, height): (f64, f64)) -> Vec<Frame> {
    let head = head(plan, layer, width);
    let options = WeedOptions { width_mm: width, height_mm: PICTURE * height, ..WeedOptions::default() };
    let scene = weed(layer.layer, layer.weed, &options);
    let figure = Frame {
        width: scene.width_mm,
        height: scene.height_mm,
        role: Role::Figure(format!("{}. {}", scene.title, scene.description)),
        items: vec![Item::Scene(scene)],
        ..Frame::default()
    };
    let top = stack([head, figure], GAP);
    let column = 0.5 * (width - GUTTER);
    let mut steps: Vec<(usize, &WeedStep)> =
        layer.weed.steps.iter().enumerate().map(|(i, step)| (i + 1, step)).collect();
    let mut pages = Vec::new();
    let mut above = Some(top);
    while above.is_some() || !steps.is_empty() {
        let first = above.take();
        let left = height - first.as_ref().map_or(0.0, |top| top.height + GAP);
        let (tables, taken) = columns(plan, &steps, column, left);
        steps.drain(..taken);
        pages.push(stack(first.into_iter().chain(tables), GAP));
    }
    pages
}

/// Two columns of groups, and how many stand in them.
fn columns(plan: &Plan, steps: &[(usize, &WeedStep)], width: f64, height: f64) -> (Option<Frame>, usize) {
    let first = fitting(plan, steps, width, height);
    if first == 0 {
        return (None, if steps.is_empty() { 0 } else { steps.len().min(usize::from(height > 200.0)) });
    }
    // Short lists stand in two columns of one height.
    let (first, second) = match steps.len() <= 2 * first {
        true => (steps.len().div_ceil(2), steps.len() / 2),
        false => (first, fitting(plan, &steps[first..], width, height)),
    };
    let left = groups(plan, &steps[..first], width);
    let both = match second {
        0 => left,
        _ => beside(left, groups(plan, &steps[first..first + second], width), GUTTER),
    };
    (Some(both), first + second)
}

/// How many groups fit into a height.
fn fitting(plan: &Plan, steps: &[(usize, &WeedStep)], width: f64, height: f64) -> usize {
    let fits = |count: usize| groups(plan, &steps[..count], width).height <= height;
    (1..=steps.len()).take_while(|&count| fits(count)).last().unwrap_or(0)
}

fn groups(plan: &Plan, steps: &[(usize, &WeedStep)], width: f64) -> Frame {
    let gutter = 3.0;
    let fixed = [6.0, 14.0, 15.0, 17.0];
    let rest = width - fixed.iter().sum::<f64>() - 4.0 * gutter;
    let columns = [
        Column::new("", fixed[0], Align::Right),
        Column::new(say!(in "head of a column", "openings"), fixed[1], Align::Right),
        Column::new(say!(in "head of a column", "stay down"), fixed[2], Align::Right),
        Column::new(say!(in "head of a column", "edge"), fixed[3], Align::Right),
        Column::new(say!(in "head of a column", "time"), rest, Align::Right),
    ];
    let words = |text: String| Cell::Words(Words::new(&text, BODY));
    let row = |(number, step): &(usize, &WeedStep)| {
        vec![
            Cell::Words(Words::plainly(&number.to_string(), BODY.semi_bold())),
            words(step.parts.len().to_string()),
            words(if step.islands == 0 { "–".to_owned() } else { step.islands.to_string() }),
            words(step.edge.show(plan.units).to_string()),
            words(words::time_range(step.time)),
        ]
    };
    let spacing = Spacing { gutter, padding: 0.7, head: Style::regular(7.0).dim() };
    table(say!("Groups in the order of weeding."), &columns, steps.iter().map(row).collect(), spacing)
}

/// Title, what the sheet is, what the cutter does.
fn head(plan: &Plan, layer: &SheetLayer<'_>, width: f64) -> Frame {
    let it = layer.layer;
    let title = say!("Stage {} of {}: {}", it.stage, it.stages, it.name);
    let title = text(&Words::plainly(&title, Style::regular(13.0).semi_bold()), width, Align::Left);
    let side = match it.side {
        stencil::layers::Side::Front => say!("as seen"),
        stencil::layers::Side::Back => say!("mirrored, for carving from the back"),
    };
    let size = |mm: f64| quantity::Length::mm(mm).map(|length| length.show(plan.units).to_string()).unwrap_or_default();
    let mut told = say!(
        "{}; sheet {} × {}, {side}. {}",
        plan.recipe.resist.name,
        size(it.weed_box.width_mm()),
        size(it.weed_box.height_mm()),
        say_count!(
            layer.weed.steps.len(),
            "{n} group, {time} of weeding.",
            "{n} groups, {time} of weeding.",
            n = layer.weed.steps.len(),
            time = words::time_range(layer.weed.time)
        )
    );
    if let Some(cut) = layer.cut {
        let metres = |mm: f64| size(mm.max(0.0));
        told.push(' ');
        told += &say_count!(
            cut.lines,
            "{n} cut, {long} long; {travel} of travel between them, at least {least} in any order.",
            "{n} cuts, {long} long; {travel} of travel between them, at least {least} in any order.",
            n = cut.lines,
            long = metres(cut.cut_mm),
            travel = metres(cut.travel_mm),
            least = metres(cut.travel_least_mm)
        );
    }
    let note = say!(
        "Small openings of a group first, from its edge inward; what is marked as staying down is pressed, \
                not lifted."
    );
    stack(
        [
            title.role(Role::Heading(1)),
            paragraph(&Words::new(&told, BODY), width),
            paragraph(&Words::plainly(note, BODY.dim()), width),
        ],
        1.2,
    )
}

/// Why this resist, and what is covered.
fn cover_page(plan: &Plan, width: f64) -> Frame {
    let heading = |title: &str| text(&Words::plainly(title, Style::regular(11.0).semi_bold()), width, Align::Left);
    let mut frames = vec![heading(say!("Cover before blasting")).role(Role::Heading(1))];
    frames.push(paragraph(&Words::new(&words::masking(plan), BODY), width));
    for cover in plan.masking.covers.iter().filter(|cover| cover.area().to_square_mm() > 0.0) {
        let said =
            format!("{}, {}: {}", words::cover_part(cover), cover.area().show(plan.units), words::cover_with(cover));
        let tick = tick_box(BODY.size_pt);
        let left = tick.width + 2.6;
        let line = text(&Words::new(&said, BODY), width - left, Align::Left).at(left, 0.0);
        let height = tick.height.max(line.height);
        frames.push(Frame::new(width, height).role(Role::Paragraph).with(tick).with(line));
    }
    frames.push(heading(say!("Why this resist")).role(Role::Heading(1)));
    for option in &plan.resists {
        let name = Words::plainly(option.resist.name.shown(), BODY.semi_bold());
        let line = name.and(&format!(": {}", words::resist_option(option, plan.units)), BODY);
        frames.push(paragraph(&line, width));
    }
    stack(frames, 2.0)
}
