//! A depth gauged on a finished piece, as the coupon that would have told the same.
//!
//! A coupon is a wide square blasted for a known time. A layer of a piece is blasted together with others, and one
//! stage after another, so its own time is none: what the model expected of it under the seconds that were really
//! blasted is put as the time for which the same blast carves a wide square so deep. The depth that was gauged then
//! tells of the model exactly what it told on the piece.

use crate::calibration::{Belief, Blasted};
use crate::model::Plan;
use crate::refusal::Refusal;
use language::say;
use piece::{Coupon, ResistAfter, Shop};
use quantity::{Length, Quantity as _, Time, known};
use reference::{Abrasive, Grit};

/// What came back from the cabinet about one layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauged {
    /// Index of the layer in the plan.
    pub layer: usize,
    /// Seconds with the nozzle open in each stage of the plan, in its order.
    pub blasted: Vec<Time>,
    /// Depth gauged in a wide part.
    pub depth: Length,
    /// Standard deviation of the gauge, above zero.
    pub gauge: Length,
    /// What became of the resist, if it was looked at.
    pub resist: Option<ResistAfter>,
}

/// A log that tells nothing of the model.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LoggedError {
    /// The plan has other layers or stages than the log.
    #[error("{}", say!("the plan has changed since this was blasted: its stages are others"))]
    OtherPlan,
    /// A groove's floor is narrower than a gauge's foot, and its depth hangs on its width.
    #[error("{}", say!("{layer} has no part wide enough for a flat floor; gauge a layer that has"))]
    NoFlat {
        /// Name of the layer.
        layer: String,
    },
    /// Nothing was blasted, or no depth was gauged.
    #[error("{}", say!("{layer} was not blasted, or its depth is 0"))]
    Nothing {
        /// Name of the layer.
        layer: String,
    },
    /// Its depth is the work of two abrasives.
    #[error("{}", say!("{layer} was blasted with two abrasives, and its depth tells of neither alone; gauge a layer that was opened after the change"))]
    TwoAbrasives {
        /// Name of the layer.
        layer: String,
    },
    /// The blast cannot be computed.
    #[error(transparent)]
    Refused(#[from] Refusal),
}

/// Edge of the square that stands for the layer: its middle never meets the walls down to 20 mm.
const OPENING: Length = known(Length::mm(40.0));

/// The coupon that tells what a gauged layer told.
///
/// * `plan`: as it was blasted. * `shop`: as it stands, whose coupons the plan rests on.
///
/// # Errors
/// [`LoggedError`] for a log of another plan, a layer without a wide part, nothing blasted.
pub fn coupon(plan: &Plan, shop: &Shop, gauged: &Gauged) -> Result<Coupon, LoggedError> {
    let layer = plan.layers.get(gauged.layer).ok_or(LoggedError::OtherPlan)?;
    if gauged.blasted.len() != plan.stages.len() {
        return Err(LoggedError::OtherPlan);
    }
    if !layer.reach.has_flat {
        return Err(LoggedError::NoFlat { layer: layer.name.clone() });
    }
    let expected = expected(plan, gauged);
    if expected <= 0.0 || gauged.depth.to_base() <= 0.0 {
        return Err(LoggedError::Nothing { layer: layer.name.clone() });
    }
    let (recipe, material) = (&plan.recipe, plan.piece.blank.material);
    let (abrasive, grit) =
        alone(plan, gauged).ok_or_else(|| LoggedError::TwoAbrasives { layer: layer.name.clone() })?;
    let pairing = (material, abrasive);
    let blasted = Blasted {
        pairing,
        grit,
        nozzle: &recipe.nozzle,
        pressure: recipe.pressure,
        standoff: recipe.standoff,
        opening: OPENING,
    };
    let setting = blasted.setting(shop, &[pairing])?;
    let model = Belief::of(shop, material)?.middle(pairing);
    let removal = setting.blast.removal(&model).map_err(Refusal::from)?;
    let speed = removal.dose_rate(setting.swept).map_err(Refusal::from)?.to_metres_per_second();
    let seconds = expected / (speed * setting.on_target.to_ratio());
    Ok(Coupon {
        material,
        abrasive,
        grit,
        nozzle: recipe.nozzle.name.clone(),
        pressure: recipe.pressure,
        standoff: recipe.standoff,
        opening: OPENING,
        time: Time::seconds(seconds).map_err(Refusal::from)?,
        depth: gauged.depth,
        gauge: gauged.gauge,
        resist: gauged.resist.map(|state| (recipe.resist, state)),
    })
}

/// The abrasive that a layer was blasted with, where it was one.
fn alone(plan: &Plan, gauged: &Gauged) -> Option<(&'static Abrasive, &'static Grit)> {
    let open = plan.stages.iter().zip(&gauged.blasted).skip_while(|(stage, _)| !stage.opens.contains(&gauged.layer));
    let mut used = open.filter(|(_, blasted)| blasted.to_base() > 0.0).map(|(stage, _)| (stage.abrasive, stage.grit));
    let first = used.next()?;
    used.all(|other| other.0.id == first.0.id && other.1.name == first.1.name).then_some(first)
}

fn expected(plan: &Plan, gauged: &Gauged) -> f64 {
    expected_of(plan, gauged.layer, &gauged.blasted)
}

/// Depth in metres that the middle of the model expected of a layer under the seconds that were blasted.
pub(crate) fn expected_of(plan: &Plan, layer: usize, blasted: &[Time]) -> f64 {
    let stages = plan.stages.iter().zip(blasted);
    let open = stages.skip_while(|(stage, _)| !stage.opens.contains(&layer));
    let gained = |(stage, blasted): (&crate::Stage, &Time)| match stage.blast.to_seconds() {
        planned if planned > 0.0 => stage.dose.to_metres() * blasted.to_seconds() / planned,
        _ => 0.0,
    };
    open.map(gained).sum()
}

/// The row of a shop file that says this coupon.
#[must_use]
pub fn row(coupon: &Coupon) -> piece::shop_file::CouponPart {
    piece::shop_file::CouponPart {
        material: coupon.material.id.clone(),
        abrasive: coupon.abrasive.id.clone(),
        grit: coupon.grit.name.clone(),
        nozzle: coupon.nozzle.clone(),
        pressure: coupon.pressure,
        standoff: coupon.standoff,
        opening: coupon.opening,
        time: coupon.time,
        depth: coupon.depth,
        gauge: coupon.gauge,
        resist: coupon.resist.map(|(resist, _)| resist.id.clone()),
        resist_state: coupon.resist.map(|(_, state)| state),
    }
}
