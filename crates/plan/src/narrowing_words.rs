//! What would narrow a plan's numbers, in words and as programs read it.

use crate::calibration_document::SettingEntry;
use crate::narrowing::{Measurement, Narrowing, Number};
use language::say;
use piece::Coupon;
use quantity::UnitSystem;
use quantity::show::{Show as _, clock, significant};
use schemars::JsonSchema;
use serde::Serialize;

/// What would narrow a number, in a sentence.
#[must_use]
pub fn narrowing(narrowing: &Narrowing, units: UnitSystem) -> String {
    let number = narrowed_number(&narrowing.number);
    let [now, then] = [narrowing.width, narrowing.narrows_to].map(|width| significant(width, 2));
    match &narrowing.by {
        Measurement::Coupon(coupon) => say!(
            "{number} is known to a factor of {now}; {then} is to be expected once you {blast}.",
            blast = blast(coupon, units)
        ),
        Measurement::FillReceiver(_) => say!(
            "{number} is known to a factor of {now}; {then} is to be expected once you time how long it takes to fill \
             the receiver from empty to the cut-out, the rest shut off."
        ),
    }
}

/// An uncertain number, as the start of a sentence.
#[must_use]
pub fn narrowed_number(number: &Number) -> String {
    match number {
        Number::BlastTime => say!("The blasting time").to_owned(),
        Number::Depth => say!("The depth after the planned times").to_owned(),
        Number::ResistWear => say!("The wear of the resist").to_owned(),
        Number::GrainSpeed => say!("The grain's speed").to_owned(),
        Number::Cost => say!("The cost").to_owned(),
        Number::Delivered(compressor) => say!("What \u{201c}{compressor}\u{201d} delivers"),
    }
}

/// What is done with a coupon, as the end of a sentence.
fn blast(coupon: &Coupon, units: UnitSystem) -> String {
    let (square, nozzle, pressure) = (coupon.opening.show(units), &coupon.nozzle, coupon.pressure.show(units));
    let (away, time, depth) = (coupon.standoff.show(units), clock(coupon.time), coupon.depth.show(units));
    match coupon.resist {
        None => say!(
            "blast a coupon, {square} square, with \u{201c}{nozzle}\u{201d} at {pressure} from {away} for {time}, and \
             gauge its depth (about {depth} deep)"
        ),
        Some((resist, _)) => say!(
            "blast a coupon, {square} square, with \u{201c}{nozzle}\u{201d} at {pressure} from {away} for {time}, and \
             gauge its depth and what {resist} lost (about {depth} deep)",
            resist = resist.name
        ),
    }
}

/// What would narrow a number.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NarrowingEntry {
    /// Which number.
    #[schemars(regex(pattern = "^(blast_time|depth|resist_wear|grain_speed|cost|delivered)$"))]
    pub number: &'static str,
    /// The compressor it concerns, when it concerns one.
    pub compressor: Option<String>,
    /// Its 95th over its 5th percentile now.
    pub width: f64,
    /// The same as it is to be expected afterwards.
    pub narrows_to: f64,
    /// The coupon to be blasted; null when it is another measurement.
    pub coupon: Option<SettingEntry>,
    /// Depth to be expected of it.
    pub coupon_depth_mm: Option<f64>,
    /// Id of the resist whose loss is to be gauged beside the depth.
    pub coupon_resist: Option<String>,
    /// In words.
    pub what: String,
}

impl NarrowingEntry {
    pub(crate) fn new(one: &Narrowing, units: UnitSystem) -> Self {
        let (number, compressor) = match &one.number {
            Number::BlastTime => ("blast_time", None),
            Number::Depth => ("depth", None),
            Number::ResistWear => ("resist_wear", None),
            Number::GrainSpeed => ("grain_speed", None),
            Number::Cost => ("cost", None),
            Number::Delivered(name) => ("delivered", Some(name.clone())),
        };
        let coupon = match &one.by {
            Measurement::Coupon(coupon) => Some(coupon),
            Measurement::FillReceiver(_) => None,
        };
        Self {
            number,
            compressor,
            width: one.width,
            narrows_to: one.narrows_to,
            coupon: coupon.map(SettingEntry::new),
            coupon_depth_mm: coupon.map(|coupon| coupon.depth.to_mm()),
            coupon_resist: coupon.and_then(|coupon| coupon.resist).map(|(resist, _)| resist.id.clone()),
            what: narrowing(one, units),
        }
    }
}
