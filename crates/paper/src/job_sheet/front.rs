//! Page 1: the piece.

use super::nominal::{nominal, together};
use super::scale::Scale;
use super::{Area, recipe, section, stages};
use crate::Date;
use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::photo::Photo;
use crate::stack::{Align, paragraph, stack, text};
use crate::words::Words;
use crate::wrap::wrap;
use picture::{StripOptions, run_strip};
use piece::{Body, Side};
use plan::Plan;
use quantity::show::Show;

/// Least height of the picture while the type can still shrink.
pub(super) const PICTURE_MIN: f64 = 78.0;
/// Least height of the picture at the smallest type.
const PICTURE_LEAST: f64 = 46.0;
/// Least width of the text beside the picture.
const TEXT_MIN: f64 = 47.0;
/// Between the picture and the text beside it.
const GUTTER: f64 = 7.0;
/// Least and greatest height of the run strip.
const STRIP: (f64, f64) = (58.0, 84.0);
/// Its height at the smallest type.
const STRIP_LEAST: f64 = 54.0;

/// The pages about the piece: one, unless the stages need more.
pub(super) fn pages(plan: &Plan, date: Option<Date>, photo: &Photo, area: Area) -> Vec<Frame> {
    let steps = Scale::STEPS.iter().enumerate();
    for (i, &scale) in steps {
        let last = i + 1 == Scale::STEPS.len();
        let least = if last { (PICTURE_LEAST, STRIP_LEAST) } else { (PICTURE_MIN, STRIP.0) };
        if let Some(page) = page(plan, date, photo, area, scale, least) {
            return vec![page];
        }
    }
    continued(plan, date, photo, area)
}

/// All on one page, if the picture is then at least so high, or as high as its width allows, beside the
/// least height of the run strip.
fn page(
    plan: &Plan,
    date: Option<Date>,
    photo: &Photo,
    area: Area,
    scale: Scale,
    (picture, strip_least): (f64, f64),
) -> Option<Frame> {
    let gap = scale.section_gap();
    let header = header(plan, date, area.width);
    let table = section("Stages", stages::table(plan, &plan.stages, area.width, scale), scale);
    let run = |height| section("The run", strip(plan, area.width, height, scale), scale);
    let least_run = run(strip_least);
    let room = area.height - header.height - table.height - least_run.height - 3.0 * gap;
    let hero = hero(plan, photo, area.width, room, scale);
    if hero.height > room + 1e-6 || hero.height < picture.min(full_height(photo, area.width)) {
        return None;
    }
    let run = run((strip_least + room - hero.height).min(STRIP.1));
    Some(stack([header, hero, table, run], gap))
}

/// The stages over several pages, at the smallest type.
fn continued(plan: &Plan, date: Option<Date>, photo: &Photo, area: Area) -> Vec<Frame> {
    let scale = Scale::STEPS[Scale::STEPS.len() - 1];
    let gap = scale.section_gap();
    let header = header(plan, date, area.width);
    let hero = hero(plan, photo, area.width, PICTURE_MIN, scale);
    let mut pages = vec![stack([header, hero], gap)];
    let mut rest = plan.stages.as_slice();
    while !rest.is_empty() {
        let room = area.height - pages.last().map_or(0.0, |page| page.height) - gap;
        let tables = (1..=rest.len()).map(|n| (n, stages::table(plan, &rest[..n], area.width, scale)));
        let fitting = tables.map(|(n, table)| (n, section("Stages", table, scale)));
        match fitting.take_while(|(_, table)| table.height <= room).last() {
            Some((n, table)) => {
                let page = pages.pop().unwrap_or_default();
                pages.push(stack([page, table], gap));
                rest = &rest[n..];
                if !rest.is_empty() {
                    pages.push(Frame::default());
                }
            }
            None if pages.last().is_some_and(|page| page.height > 0.0) => pages.push(Frame::default()),
            // One stage alone is higher than a page: it runs over the edge rather than being dropped.
            None => {
                let page = pages.pop().unwrap_or_default();
                pages.push(stack(
                    [page, section("Stages", stages::table(plan, &rest[..1], area.width, scale), scale)],
                    gap,
                ));
                rest = &rest[1..];
            }
        }
    }
    let strip = section("The run", strip(plan, area.width, STRIP.0, scale), scale);
    match pages.pop() {
        Some(page) if page.height + gap + strip.height <= area.height => pages.push(stack([page, strip], gap)),
        last => pages.extend(last.into_iter().chain([strip])),
    }
    pages
}

/// Height of the picture at the full width that it has beside the text.
fn full_height(photo: &Photo, width: f64) -> f64 {
    (width - TEXT_MIN - GUTTER) / photo.aspect()
}

fn header(plan: &Plan, date: Option<Date>, width: f64) -> Frame {
    let small = Style::regular(9.0);
    let right = match date {
        Some(date) => format!("Job sheet · {}", date.words(plan.units)),
        None => "Job sheet".to_owned(),
    };
    let shop = text(&Words::plainly(&plan.shop, small.semi_bold()), width * 0.6, Align::Left);
    let sheet = text(&Words::plainly(&right, small.dim()), width * 0.4, Align::Right).at(width * 0.6, 0.0);
    let top = Frame::new(width, shop.height.max(sheet.height)).with(shop).with(sheet).role(Role::Paragraph);
    let title = title(&plan.piece.name, width).role(Role::Heading(1));
    let about = paragraph(&Words::new(&about(plan), Style::regular(9.5)), width);
    stack([stack([top, title], 3.8), about], 0.8)
}

/// The largest size at which a name takes two lines or fewer; the smallest if none.
fn title(name: &str, width: f64) -> Frame {
    const SIZES: [f64; 4] = [25.0, 20.0, 16.0, 13.0];
    let words = |size: f64| Words::plainly(name, Style::regular(size).semi_bold());
    let fits = |&size: &f64| wrap(&words(size), width).len() <= 2;
    let size = SIZES.into_iter().find(fits).unwrap_or(SIZES[3]);
    text(&words(size), width, Align::Left)
}

/// For whom, how many, on what.
fn about(plan: &Plan) -> String {
    let customer = plan.piece.customer.as_ref().map(|customer| format!("For {customer}"));
    let count = match plan.piece.quantity {
        1 => "One piece".to_owned(),
        n => format!("{n} pieces"),
    };
    let parts = customer.into_iter().chain([count, blank(plan)]);
    parts.collect::<Vec<_>>().join(" · ")
}

/// The blank in words.
fn blank(plan: &Plan) -> String {
    let (blank, units) = (&plan.piece.blank, plan.units);
    let form = match blank.body {
        Body::Panel { width, height } => {
            format!("panel {} × {}", nominal(width.show(units)).0, together(height.show(units)))
        }
        Body::Tumbler { diameter, height } => {
            format!("tumbler {} across, {} high", together(diameter.show(units)), together(height.show(units)))
        }
    };
    let side = match blank.carve_from {
        Side::Front => "front",
        Side::Back => "back",
    };
    let thickness = together(blank.thickness.show(units));
    format!("{}, {form}, {thickness} thick, carved from the {side}", blank.material.name)
}

/// The picture with the sentence and the recipe: over them at the full width if that is no higher than
/// `room`, else beside them.
fn hero(plan: &Plan, photo: &Photo, width: f64, room: f64, scale: Scale) -> Frame {
    let sentence = Words::new(&plan::words::sentence(plan), scale.lede());
    let gap = scale.section_gap() * 0.7;
    let wide = picture(plan, photo, width, width / photo.aspect());
    let over = stack([wide, paragraph(&sentence, width), recipe::row(plan, width, scale)], gap);
    if over.height <= room {
        return over;
    }
    let (w, h) = photo.fit(width - TEXT_MIN - GUTTER, room.max(10.0));
    let beside = width - w - GUTTER;
    let (said, recipe) = (paragraph(&sentence, beside), recipe::list(plan, beside, scale));
    // The sentence starts with the picture and the recipe ends with it, if the picture is high enough.
    let drop = h - recipe.height;
    if drop >= said.height + gap {
        let side = Frame::new(beside, h).with(said).with(recipe.at(0.0, drop));
        return crate::stack::beside(picture(plan, photo, w, h), side, GUTTER);
    }
    let under = recipe::row(plan, width, scale);
    let (w, h) = photo.fit(width - TEXT_MIN - GUTTER, (room - under.height - gap).max(10.0));
    let said = paragraph(&sentence, width - w - GUTTER);
    stack([crate::stack::beside(picture(plan, photo, w, h), said, GUTTER), under], gap)
}

fn picture(plan: &Plan, photo: &Photo, width: f64, height: f64) -> Frame {
    let shows = format!("{}, as it will look: {}.", plan.piece.name, blank(plan));
    let mut frame = Frame::new(width, height).role(Role::Figure(shows));
    frame.items.push(Item::Photo(photo.clone()));
    frame
}

/// The run strip at a height.
fn strip(plan: &Plan, width: f64, height: f64, scale: Scale) -> Frame {
    let text_mm = scale.small().size_mm();
    let options = StripOptions { width_mm: width, text_mm, height_mm: Some(height), units: plan.units, now: None };
    let scene = run_strip(&plan.strip, &options);
    let shows = format!("{}. {}", scene.title, scene.description);
    let mut frame = Frame::new(scene.width_mm, scene.height_mm).role(Role::Figure(shows));
    frame.items.push(Item::Scene(scene));
    frame
}
