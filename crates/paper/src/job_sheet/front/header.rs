//! The head of page 1: shop, date, name, for whom and on what.

use crate::Date;
use crate::frame::{Frame, Role};
use crate::job_sheet::nominal::{nominal, together};
use crate::lettering::Style;
use crate::stack::{Align, paragraph, stack, text};
use crate::words::Words;
use crate::wrap::wrap;
use language::{say, say_count};
use piece::{Body, Side};
use plan::Plan;
use quantity::show::Show;

pub(super) fn header(plan: &Plan, date: Option<Date>, width: f64) -> Frame {
    let small = Style::regular(9.0);
    let right = match date {
        Some(date) => say!("Job sheet · {}", date.words(plan.units)),
        None => say!("Job sheet").to_owned(),
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
    let customer = plan.piece.customer.as_ref().map(|customer| say!("For {customer}"));
    let count = match plan.piece.quantity {
        1 => say!("One piece").to_owned(),
        n => say_count!(n, "{n} piece", "{n} pieces"),
    };
    let parts = customer.into_iter().chain([count, blank(plan)]);
    parts.collect::<Vec<_>>().join(" · ")
}

/// The blank in words.
pub(super) fn blank(plan: &Plan) -> String {
    let (blank, units) = (&plan.piece.blank, plan.units);
    let form = match blank.body {
        Body::Panel { width, height } => {
            say!("panel {} × {}", nominal(width.show(units)).0, together(height.show(units)))
        }
        Body::Tumbler { diameter, height, .. } => {
            say!("tumbler {} across, {} high", together(diameter.show(units)), together(height.show(units)))
        }
        Body::Bowl { diameter, height, .. } => {
            say!("bowl {} across, {} high", together(diameter.show(units)), together(height.show(units)))
        }
    };
    let thickness = together(blank.thickness.show(units));
    let material = &blank.material.name;
    match blank.carve_from {
        Side::Front => say!("{material}, {form}, {thickness} thick, carved from the front"),
        Side::Back => say!("{material}, {form}, {thickness} thick, carved from the back"),
    }
}
