//! Noise by 29 CFR 1910.95 Appendix A and NIOSH 98-126.

use crate::{Check, Row};
use quantity::Time;
use reference::SoundLevel;
use safety::noise::{Rule, falls_off, together};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    ("NOI-T", |row| vec![Rule::Osha.allowed(dba(row.input("L="))).to_hours()]),
    ("NOI-N", |row| vec![Rule::Niosh.allowed(dba(row.input("L="))).to_hours()]),
    ("NOI-D", dose),
    ("NOI-S2", |_| vec![together(&[dba(88.0), dba(96.0), dba(82.0)]).to_dba()]),
    ("NOI-S3", |row| vec![falls_off(row.inputs()[1] / row.inputs()[0])]),
];

fn dba(level: f64) -> SoundLevel {
    SoundLevel::dba(level).unwrap()
}

/// The mixed day of the rows NOI-D2 to NOI-D5. Its 75 dBA are left out by the row, also of NIOSH's dose.
fn day() -> Vec<(SoundLevel, Time)> {
    [(103.0, 0.75), (95.0, 2.0), (85.0, 3.0)].map(|(level, hours)| (dba(level), Time::hours(hours).unwrap())).to_vec()
}

fn dose(row: &Row) -> Vec<f64> {
    let of = |rule: Rule| rule.dose(&day()).unwrap();
    vec![match row.last() {
        "D1" => {
            let [level, hours] = row.inputs()[..] else { panic!("{}", row.inputs) };
            100.0 * Rule::Osha.dose(&[(dba(level), Time::hours(hours).unwrap())]).unwrap()
        }
        "D2" => 100.0 * of(Rule::Osha),
        "D3" => Rule::Osha.average(of(Rule::Osha)).to_dba(),
        "D4" => 100.0 * of(Rule::Niosh),
        "D5" => Rule::Niosh.average(of(Rule::Niosh)).to_dba(),
        "D6" => Rule::Osha.average(0.01 * row.input("D=")).to_dba(),
        other => panic!("{}: {other} is not known", row.id),
    }]
}

#[test]
fn levels_under_80_dba_are_left_out_of_oshas_dose() {
    let mut day = day();
    let before = Rule::Osha.dose(&day).unwrap();
    day.push((dba(75.0), Time::hours(2.25).unwrap()));
    assert_eq!(Rule::Osha.dose(&day).unwrap(), before);
    assert!(Rule::Niosh.dose(&day).unwrap() > Rule::Niosh.dose(&day[..3]).unwrap());
}
