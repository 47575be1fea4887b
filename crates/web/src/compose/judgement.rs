//! Recipes, prices and a class in words.

use crate::form::{Kind, exact};
use crate::planner::Question;
use crate::view::{ClassTold, FoundRecipe, FoundRecipes, Offer, PriceTold};
use ::class::{Class, words as class_words};
use cost::Quote;
use cost::currency::number;
use language::say;
use picture::rotation::{RotationOptions, rotation};
use picture::svg::{self, Colours};
use piece::Shop;
use plan::ClassRun;
use plan::search::Search;
use plan::search_words as words;
use quantity::Estimate;

/// What a search found.
pub(crate) fn recipes(question: &Question, search: &Search) -> FoundRecipes {
    let few = search.few.iter().enumerate().map(|(place, &(_, at))| FoundRecipe {
        words: words::few(search, place),
        address: address(question, &search.front[at].recipe),
    });
    let own = search.own.as_ref().map(|own| words::told(own, &search.currency, search.units));
    FoundRecipes {
        summary: words::summary(search),
        few: few.collect(),
        own,
        stopped_by: (search.front.is_empty()).then(|| words::stopped_by(search)),
        unlocks: search.unlocks.iter().map(|one| words::unlock(one, &search.currency, search.units)).collect(),
        ranked: words::ranked(&search.unlocks),
    }
}

/// The plan page with a recipe tried.
fn address(question: &Question, recipe: &plan::Recipe) -> String {
    let units = question.shop.units;
    let fields = [
        ("resist", recipe.resist.id.clone()),
        ("grit", format!("{} {}", recipe.abrasive.id, recipe.grit.name)),
        ("finish", super::recipe::finish(recipe)),
        ("nozzle", recipe.nozzle.name.clone()),
        ("pressure", exact(recipe.pressure, Kind::Pressure, units)),
        ("standoff", exact(recipe.standoff, Kind::Size, units)),
    ];
    format!("/piece/{}?{}", question.stored.id, serde_urlencoded::to_string(fields).unwrap_or_default())
}

/// The share of a price that is left, which may be less than nothing.
fn left(margin: Estimate<f64>) -> String {
    let percent = |share: f64| format!("{:.0}", (100.0 * share).round() + 0.0).replace('-', "\u{2212}");
    let (low, high) = (percent(margin.low()), format!("{}\u{202f}%", percent(margin.high())));
    // Beside a minus the dash of a range would read as another one.
    if low.starts_with('\u{2212}') { say!("{low} to {high}") } else { format!("{low}–{high}") }
}

/// What is asked, and what it costs.
pub(crate) fn offer(quote: &Quote) -> PriceTold {
    let code = &quote.currency;
    let range = |low, high| match number(low, code) == number(high, code) {
        true => number(low, code),
        false => format!("{}–{}", number(low, code), number(high, code)),
    };
    let row = |offer: &cost::Offer| Offer {
        quantity: offer.quantity.to_string(),
        each: number(offer.each, code),
        net: number(offer.net, code),
        tax: number(offer.tax, code),
        gross: number(offer.gross, code),
        cost: range(offer.each_cost.low(), offer.each_cost.high()),
        left: left(offer.margin),
    };
    let first = quote.offers.first();
    let lines = first.map(|offer| {
        let lines = offer.costed.lines.iter();
        lines.map(|line| (line.kind.name(), number(line.amount, code))).collect::<Vec<_>>()
    });
    PriceTold {
        currency: code.clone(),
        tax_name: quote.tax_name.clone(),
        offers: quote.offers.iter().map(row).collect(),
        of: first.map_or(1, |offer| offer.quantity),
        lines: lines.unwrap_or_default(),
        each: first.map(|offer| number(offer.costed.each, code)).unwrap_or_default(),
        causes: quote
            .causes
            .iter()
            .map(|(cause, chance)| {
                say!("{cause} in {chance:.1} % of pieces", cause = cause.name(), chance = chance.to_percent())
            })
            .collect(),
    }
}

/// A class that was run.
pub(crate) fn class(class: &Class, run: &ClassRun, shop: &Shop) -> ClassTold {
    let told =
        class_words::all(class, &run.outcome, run.search.as_ref(), &run.shopping, (&shop.rates.currency, shop.units));
    let options = RotationOptions { width_mm: 330.0, ..RotationOptions::default() };
    ClassTold {
        holds: run.outcome.holds,
        lines: told.lines().map(str::to_owned).collect(),
        chart: svg::write(&rotation(class, &run.rotation, &options), Colours::Properties),
    }
}
