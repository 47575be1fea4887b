//! What some work takes, and what a shop runs, as the sizing page shows it.

use super::shop::{map_drawing, map_of};
use crate::view::{SetupField, SizingParts};
use air::map::RunMap;
use air::size::{Sizing, Work};
use language::say;
use picture::air::NozzleMark;
use piece::Shop;
use plan::size_document::told;
use quantity::UnitSystem;

/// The parts of the page.
pub(crate) fn sizing_parts(
    fields: Vec<SetupField>,
    shop: &Shop,
    units: UnitSystem,
    sized: Result<(Work, Sizing), String>,
    proposed: Option<RunMap>,
    today: Option<RunMap>,
) -> SizingParts {
    let wanted = |(work, _): &(Work, Sizing)| {
        [NozzleMark { name: say!(in "the nozzle one asks about", "wanted").to_owned(), bore: work.bore }]
    };
    let proposed = sized.as_ref().ok().zip(proposed).map(|(sized, map)| map_of(&map, &wanted(sized), units));
    SizingParts {
        fields,
        told: sized.map(|(work, sizing)| told(&work, &sizing, units)),
        proposed,
        shop: shop.name.clone(),
        today: today.map(|map| map_drawing(shop, &map)),
    }
}
