//! What coupons say, in words.

use crate::calibration::{Calibrated, Told};
use language::say;
use piece::Coupon;
use quantity::UnitSystem;
use quantity::show::{Show as _, clock, significant};

/// As `Posterior::misfit` and `effective_share` advise.
const MISFIT: f64 = 3.0;
const FEW: f64 = 0.02;

/// How an opening is blasted, without the time.
#[must_use]
pub fn setting(coupon: &Coupon, units: UnitSystem) -> String {
    say!(
        "{} with {} {}, nozzle {}, {} at {}, opening {}",
        coupon.material.name,
        coupon.abrasive.name,
        coupon.grit.name,
        coupon.nozzle,
        coupon.pressure.show(units),
        coupon.standoff.show(units),
        coupon.opening.show(units),
    )
}

/// What all coupons together come to, a sentence each.
#[must_use]
pub fn outcome(answer: &Calibrated) -> Vec<String> {
    let widest = answer.coupons.iter().map(Told::widths).max_by(|a, b| a[1].total_cmp(&b[1]));
    let narrows = widest.map(|[before, after]| {
        say!(
            "The 90 % range of a depth narrows from {} times to {} times, highest over lowest.",
            significant(before, 3),
            significant(after, 3)
        )
    });
    let misfit = (answer.misfit > MISFIT).then(|| {
        say!("One coupon lies {} standard deviations from all the rest: gauge it again.", significant(answer.misfit, 2))
    });
    let few = (answer.effective_share < FEW).then(|| {
        say!("The range rests on few sets of constants: more coupons of other kinds would make it surer.").to_owned()
    });
    [narrows, misfit, few].into_iter().flatten().collect()
}

/// The coupon to blast next, and what it is for; `None` when nothing can be blasted.
#[must_use]
pub fn next(answer: &Calibrated, units: UnitSystem) -> Option<[String; 2]> {
    let next = answer.next.as_ref()?;
    Some([
        say!("Next: {}, for {}.", setting(&next.coupon, units), clock(next.coupon.time)),
        say!(
            "Least sure now is {} ({} times between its ends); that coupon leaves {} times.",
            setting(&next.unsure, units),
            significant(next.width, 3),
            significant(next.width.powf(next.narrows_to), 3),
        ),
    ])
}
