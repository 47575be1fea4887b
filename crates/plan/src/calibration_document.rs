//! What coupons say, as programs read it.

use crate::calibration::{Calibrated, Next, Told};
use crate::carving_document::range;
use crate::document::RangeEntry;
use piece::Coupon;
use schemars::JsonSchema;
use serde::Serialize;

/// A calibration.
#[derive(Debug, Clone, Serialize)]
pub struct CalibrationDocument {
    /// Those of the shop file first.
    pub coupons: Vec<CouponEntry>,
    /// Of the worst coupon, in standard deviations.
    pub misfit: f64,
    /// Share of the prior's samples that still count.
    pub effective_share: f64,
    /// What would narrow most next; null when nothing can be blasted.
    pub next: Option<NextEntry>,
}

/// One coupon.
#[derive(Debug, Clone, Serialize)]
pub struct CouponEntry {
    /// How it was blasted.
    #[serde(flatten)]
    pub setting: SettingEntry,
    /// Depth gauged.
    pub depth_mm: f64,
    /// Standard deviation of the gauge.
    pub gauge_mm: f64,
    /// Expected before any coupon.
    pub expected_before_mm: RangeEntry,
    /// Expected after all of them.
    pub expected_after_mm: RangeEntry,
    /// High over low, before.
    pub width_before: f64,
    /// High over low, after.
    pub width_after: f64,
}

/// How an opening is blasted.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SettingEntry {
    /// Id.
    pub material: String,
    /// Id.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Name.
    pub nozzle: String,
    /// The regulator's.
    pub pressure_kpa: f64,
    /// Nozzle to work.
    pub standoff_mm: f64,
    /// Edge of the square.
    pub opening_mm: f64,
    /// Blasting.
    pub time_s: f64,
}

/// A coupon worth blasting.
#[derive(Debug, Clone, Serialize)]
pub struct NextEntry {
    /// What to blast.
    pub coupon: SettingEntry,
    /// What is least sure now.
    pub unsure: SettingEntry,
    /// Its interval's high over low now.
    pub width: f64,
    /// Expected width afterwards over that now, as logarithms.
    pub narrows_to: f64,
}

impl From<&Calibrated> for CalibrationDocument {
    fn from(calibrated: &Calibrated) -> Self {
        Self {
            coupons: calibrated.coupons.iter().map(CouponEntry::new).collect(),
            misfit: calibrated.misfit,
            effective_share: calibrated.effective_share,
            next: calibrated.next.as_ref().map(NextEntry::new),
        }
    }
}

impl CouponEntry {
    fn new(told: &Told) -> Self {
        let [width_before, width_after] = told.widths();
        Self {
            setting: SettingEntry::new(&told.coupon),
            depth_mm: told.coupon.depth.to_mm(),
            gauge_mm: told.coupon.gauge.to_mm(),
            expected_before_mm: range(&told.before),
            expected_after_mm: range(&told.after),
            width_before,
            width_after,
        }
    }
}

impl SettingEntry {
    pub(crate) fn new(coupon: &Coupon) -> Self {
        Self {
            material: coupon.material.id.clone(),
            abrasive: coupon.abrasive.id.clone(),
            grit: coupon.grit.name.clone(),
            nozzle: coupon.nozzle.clone(),
            pressure_kpa: coupon.pressure.to_kpa(),
            standoff_mm: coupon.standoff.to_mm(),
            opening_mm: coupon.opening.to_mm(),
            time_s: coupon.time.to_seconds(),
        }
    }
}

impl NextEntry {
    fn new(next: &Next) -> Self {
        Self {
            coupon: SettingEntry::new(&next.coupon),
            unsure: SettingEntry::new(&next.unsure),
            width: next.width,
            narrows_to: next.narrows_to,
        }
    }
}
