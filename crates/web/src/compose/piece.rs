//! The parts of the plan page.

use super::{findings, lists, recipe, seen, stock};
use crate::planner::Question;
use crate::view::{Parts, Planned, Summary};
use ::stock::Entry;
use language::{say, say_count};
use piece::{Body, Piece, Side};
use plan::drawn::draws;
use plan::{Plan, State, words};
use quantity::show::{Show, clock};
use quantity::{Time, UnitSystem};
use store::StoredRun;

/// The parts of a page with a plan. `kept` is the plan of what is kept, when something else is tried.
pub(crate) fn compose(
    question: &Question,
    plan: &Plan,
    kept: Option<&Plan>,
    runs: &[StoredRun],
    ledger: &[Entry],
) -> Parts {
    let state = plan.findings.iter().map(|finding| finding.state).max().unwrap_or(State::Holds);
    let each = draws(plan, &question.shop, None);
    let against = kept.map(|kept| against(plan, kept));
    Parts {
        summary: Summary { state, sentence: words::sentence(plan), against },
        recipe: recipe::recipe(question, Some(plan)),
        plan: Some(Planned {
            picture: seen::picture(question, plan),
            findings: findings::findings(plan),
            notes: words::artwork_notes(plan),
            strip: seen::strip(question, plan),
            cautions: findings::cautions(plan),
            safety: question.full_address("/safety"),
            stages: lists::stages(question, plan),
            cabinet: format!("/cabinet/{}", question.stored.id),
            recipes: format!("/piece/{}/recipes", question.stored.id),
            price: format!("/piece/{}/price", question.stored.id),
            order: format!("/piece/{}/order", question.stored.id),
            narrowing: plan.narrowing.iter().map(|one| words::narrowing(one, plan.units)).collect(),
            layers: plan.layers.iter().map(|layer| layer.name.clone()).collect(),
            lists: [lists::consumables(plan), lists::time(plan), lists::cost(plan)].into_iter().collect(),
            resists: lists::resists(plan),
            masking: lists::masking(plan),
            stock: stock::left(&each, &each.times(plan.piece.quantity), ledger, plan.units),
            stock_page: format!("/shop/{}/stock", question.stored.shop),
            runs: format!("/piece/{}/runs", question.stored.id),
            done: lists::runs(question, plan, runs),
            files: lists::files(question, plan),
            packed: question.full_address("/files.zip"),
        }),
    }
}

/// The parts of a page without a plan: why there is none, and the recipe to mend.
pub(crate) fn unplanned(question: &Question, why: &str) -> Parts {
    let summary = Summary { state: State::Stop, sentence: why.to_owned(), against: None };
    Parts { summary, recipe: recipe::recipe(question, None), plan: None }
}

/// Time and price of a tried recipe against those of the kept one.
fn against(plan: &Plan, kept: &Plan) -> String {
    let seconds = plan.time.total.to_seconds() - kept.time.total.to_seconds();
    let time = match seconds.abs().round() {
        0.0 => say!("the same time").to_owned(),
        span => format!("{}{}", sign(seconds), clock(Time::seconds(span).unwrap_or(plan.time.total))),
    };
    let money = match plan.cost.price.cents() - kept.cost.price.cents() {
        change if change.is_zero() => say!("the same price").to_owned(),
        change => format!(
            "{}{}\u{202f}{}",
            if change.is_sign_negative() { "−" } else { "+" },
            language::number(change.abs().to_string()),
            plan.cost.currency
        ),
    };
    say!("Against what is kept: {time}, {money}.")
}

const fn sign(change: f64) -> &'static str {
    if change < 0.0 { "−" } else { "+" }
}

/// The blank in one line.
pub(crate) fn facts(piece: &Piece, units: UnitSystem) -> String {
    let blank = &piece.blank;
    let size = match blank.body {
        Body::Panel { width, height } => {
            say!("{width} wide, {height} high", width = width.show(units), height = height.show(units))
        }
        Body::Tumbler { diameter, height, .. } | Body::Bowl { diameter, height, .. } => {
            say!("{diameter} across, {height} high", diameter = diameter.show(units), height = height.show(units))
        }
    };
    let side = match blank.carve_from {
        Side::Front => say!("carved from the front"),
        Side::Back => say!("carved from the back"),
    };
    let thick = say!("{size}, {thickness} thick", thickness = blank.thickness.show(units));
    let n = piece.quantity;
    let number = (n != 1).then(|| say_count!(n, "{n} piece", "{n} pieces"));
    let whom = piece.customer.as_ref().map(|customer| say!("for {customer}"));
    let facts = [blank.material.name.to_string(), thick, side.to_owned()].into_iter().chain(number).chain(whom);
    facts.collect::<Vec<_>>().join(" · ")
}
