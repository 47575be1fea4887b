//! The shop's line into what its page shows.

use crate::shop_form::{Field, FieldKind, Part, TriedShop, is_usual, parts, value_in};
use crate::view::{Card, CardField, Choice, Drawn, LineView, ShopParts, ShopPictures, Summary, WhatIf};
use air::ladder::Ladder;
use air::map::RunMap;
use picture::Scene;
use picture::air::{AirOptions, NozzleMark, capacity, course, ladder};
use picture::svg::{self, Colours};
use piece::{Shop, ShopStation};
use plan::line_answer::LineAnswer;
use plan::{State, air_words};
use quantity::show::Show as _;
use quantity::{GaugePressure, Quantity as _, UnitSystem};

/// Width of the drawings, at which their words are of the page's size.
const WIDE_MM: f64 = 240.0;

/// What changes on the page when a value does.
pub(crate) fn shop_parts(
    address: &str,
    revision: u32,
    tried: &TriedShop,
    asked: &WhatIf,
    answer: Result<(&Shop, &LineAnswer, &RunMap), String>,
) -> ShopParts {
    let units = tried.shop.as_ref().map_or(UnitSystem::Metric, |shop| shop.units);
    let cards =
        |ladder: Option<&Ladder>| parts(&tried.file).into_iter().map(|part| card(part, tried, ladder, units)).collect();
    let line = |ladder: Option<&Ladder>| LineView {
        address: address.to_owned(),
        revision,
        changed: !tried.changes.is_empty(),
        reads: tried.shop.is_ok(),
        asked: asked.clone(),
        cards: cards(ladder),
    };
    match answer {
        Ok((shop, answer, map)) => ShopParts {
            summary: summary(shop, answer),
            findings: findings(shop, answer),
            line: line(Some(&answer.ladder)),
            pictures: Some(pictures(shop, answer, map)),
        },
        Err(why) => ShopParts {
            summary: Summary { state: State::Stop, sentence: why, against: None },
            findings: Vec::new(),
            line: line(None),
            pictures: None,
        },
    }
}

pub(super) fn summary(shop: &Shop, answer: &LineAnswer) -> Summary {
    let state = answer.findings(shop).first().map_or(State::Holds, |(state, _)| *state);
    Summary { state, sentence: capital(&air_words::sentence(answer, shop)), against: None }
}

/// With a capital: a sentence may begin with a station's name.
fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

pub(super) fn findings(shop: &Shop, answer: &LineAnswer) -> Vec<crate::view::Finding> {
    let found = answer.findings(shop).into_iter().enumerate();
    found
        .map(|(at, (state, finding))| {
            let (title, why) = air_words::finding(answer, shop, &finding);
            crate::view::Finding {
                id: format!("line-{}", at + 1),
                number: None,
                state,
                title,
                why,
                source: air_words::source(&finding).to_owned(),
                remedies: Vec::new(),
            }
        })
        .collect()
}

fn card(part: Part, tried: &TriedShop, ladder: Option<&Ladder>, units: UnitSystem) -> Card {
    let own =
        |name: &str| name == part.name || name.strip_prefix(&part.name).is_some_and(|rest| rest.starts_with(" of "));
    let rung = ladder.and_then(|ladder| ladder.rungs.iter().find(|rung| own(&rung.part)));
    // All pressures of the line in one unit, so that they can be compared.
    let unit = GaugePressure::rung(
        ladder.and_then(|ladder| ladder.rungs.first()).map_or(1e5, |rung| rung.inlet.to_base()),
        units,
    );
    let decimals = if unit.unit == "bar" { 2 } else { 1 };
    let told = |pressure: f64| language::number(format!("{:.decimals$}\u{202f}{}", pressure / unit.factor, unit.unit));
    Card {
        word: part.word,
        behind: rung.map(|rung| told(rung.outlet.to_base())),
        takes: rung.map(|rung| told(rung.loss_pa())),
        fields: part.fields.iter().map(|field| card_field(field, tried)).collect(),
        further: part.further,
        // The shop's only receiver, regulator, hose and pot have no name but what they are.
        name: if is_usual(&part.name) { part.word.to_owned() } else { part.name },
    }
}

fn card_field(field: &Field, tried: &TriedShop) -> CardField {
    let fault = tried.shop.as_ref().err().and_then(|faults| faults.get(&field.key)).cloned();
    let kept = match value_in(&tried.text, &field.key) {
        name if field.kind == FieldKind::Nozzle => name,
        number => language::number(number),
    };
    let value = if fault.is_some() { tried.sent.get(&field.key).cloned().unwrap_or(kept) } else { kept };
    let names = tried.file.nozzle.iter().map(|nozzle| Choice {
        value: nozzle.name.clone(),
        words: nozzle.name.clone(),
        selected: nozzle.name == value,
    });
    let choices = if field.kind == FieldKind::Nozzle { names.collect() } else { Vec::new() };
    CardField { key: field.key.clone(), label: field.label, value, fault, choices }
}

/// The map of what a line runs, as SVG that takes the page's colours.
pub(super) fn map_drawing(shop: &Shop, map: &RunMap) -> Drawn {
    map_of(map, &marks(shop), shop.units)
}

/// The same with other nozzles marked.
pub(super) fn map_of(map: &RunMap, marks: &[NozzleMark], units: UnitSystem) -> Drawn {
    drawn(0.6 * WIDE_MM, units, |options| capacity(map, marks, options))
}

fn drawn(width_mm: f64, units: UnitSystem, draw: impl Fn(&AirOptions) -> Scene) -> Drawn {
    let wide = AirOptions { width_mm, units, ..AirOptions::default() };
    let write = |options: &AirOptions| svg::write(&draw(options), Colours::Properties);
    Drawn { wide: write(&wide), phone: write(&AirOptions::phone(units)) }
}

fn marks(shop: &Shop) -> Vec<NozzleMark> {
    shop.nozzles.iter().map(|nozzle| NozzleMark { name: nozzle.name.clone(), bore: nozzle.bore }).collect()
}

fn pictures(shop: &Shop, answer: &LineAnswer, map: &RunMap) -> ShopPictures {
    ShopPictures {
        ladder: drawn(WIDE_MM, shop.units, |options| ladder(&answer.ladder, options)),
        course: drawn(WIDE_MM, shop.units, |options| course(&answer.network, &answer.course, options)),
        map: drawn(WIDE_MM, shop.units, |options| capacity(map, &marks(shop), options)),
    }
}

/// What a shop without stations is asked with.
pub(crate) fn what_if(shop: &Shop, station: &ShopStation) -> WhatIf {
    let names = shop.nozzles.iter().map(|nozzle| Choice {
        value: nozzle.name.clone(),
        words: nozzle.name.clone(),
        selected: nozzle.name == station.nozzle,
    });
    WhatIf {
        shown: shop.stations.is_empty(),
        nozzles: names.collect(),
        pressure: language::number(quantity::schema::written(station.pressure)),
        on: language::number(quantity::schema::written(station.on)),
        off: language::number(quantity::schema::written(station.off)),
        faults: Vec::new(),
    }
}
