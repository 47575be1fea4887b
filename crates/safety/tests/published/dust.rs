//! Exposure, lead, silica, respirators, breathing air. Regulations stand in the rows; the main ones beside each.

use crate::{Check, Row};
use quantity::{Fraction, Time};
use reference::{Concentration, Respirator, tables};
use safety::dust::{carrying, eight_hour_average, lead_limit, lead_share, maximum_use};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    // 29 CFR 1910.1053; NIOSH 1974; ACGIH.
    ("SIL-AL", |_| vec![tables().limits.rcs_action.value.to_ug_per_m3()]),
    ("SIL-REL", |_| vec![tables().limits.rcs_rel.value.to_ug_per_m3()]),
    ("SIL-TLV", |_| vec![tables().limits.rcs_tlv.value.to_ug_per_m3()]),
    // 29 CFR 1915.1000(d)(1), 1910.1000(d)(1).
    ("TWA-", average),
    // 29 CFR 1910.1025.
    ("PBC-1", |_| vec![crystal().to_ratio()]),
    ("PBC-3", |_| vec![carrying(tables().limits.lead_action.value, crystal()).unwrap().to_mg_per_m3()]),
    ("PBC-4", |row| vec![lead_limit(Time::hours(row.inputs()[0]).unwrap()).to_ug_per_m3()]),
    // 29 CFR 1910.1053(b).
    ("STN-", |row| {
        let share = Fraction::ratio(row.input("fraction ")).unwrap();
        vec![carrying(tables().limits.rcs_action.value, share).unwrap().to_ug_per_m3()]
    }),
    // 29 CFR 1910.1024.
    ("BE-1", |row| vec![beryllium(row, tables().limits.beryllium_pel.value)]),
    ("BE-2", |row| vec![beryllium(row, tables().limits.beryllium_action.value)]),
    // 29 CFR 1910.134(d)(3)(i)(A) Table 1.
    ("APF-", |row| {
        let class = Respirator::ALL.into_iter().find(|class| class.factor() == row.input("APF ")).unwrap();
        vec![maximum_use(class, Concentration::ug_per_m3(row.input("PEL ")).unwrap()).to_ug_per_m3()]
    }),
    // CGA G-7.1 Grade D, WAC 296-307-61605; 29 CFR 1910.134(i).
    ("GRD-1", |_| vec![tables().limits.breathing_co.value]),
    ("GRD-3", |_| vec![tables().limits.breathing_oil.value.to_mg_per_m3()]),
    ("GRD-4", |_| {
        let oxygen = tables().limits.breathing_oxygen.value;
        vec![oxygen.low.to_percent(), oxygen.high.to_percent()]
    }),
    ("GRD-5", |_| vec![tables().limits.breathing_dew_below.value.to_kelvins()]),
    // 29 CFR 1910.1000 Table Z-1; ACGIH.
    ("NUI-1", |_| vec![tables().limits.alumina_total.value.to_mg_per_m3()]),
    ("NUI-3", |_| vec![tables().limits.aluminium_tlv.value.to_mg_per_m3()]),
];

/// Spans as the rows write them: "120 ug/m3 x 1.5 h; 30 x 2 h" or "… x 20 min".
fn average(row: &Row) -> Vec<f64> {
    let span = |text: &str| {
        let (dust, time) = text.split_once(" x ").unwrap();
        let dust: f64 = dust.trim().trim_end_matches(" ug/m3").parse().unwrap();
        let (number, unit) = time.trim().split_once(' ').unwrap();
        let number: f64 = number.parse().unwrap();
        let time = if unit == "min" { Time::minutes(number) } else { Time::hours(number) };
        (Concentration::ug_per_m3(dust).unwrap(), time.unwrap())
    };
    let spans: Vec<_> = row.inputs.split(';').map(span).collect();
    vec![eight_hour_average(&spans).unwrap().to_ug_per_m3()]
}

/// Lead of 24 % lead crystal.
fn crystal() -> Fraction {
    lead_share(tables().material("lead_crystal").unwrap().lead_oxide.as_ref().unwrap().value)
}

fn beryllium(row: &Row, level: Concentration) -> f64 {
    let share = Fraction::ratio(row.inputs()[0] * 1e-6).unwrap();
    carrying(level, share).unwrap().to_mg_per_m3()
}
