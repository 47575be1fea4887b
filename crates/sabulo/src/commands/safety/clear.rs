//! `sabulo safety clear`: the wait at the door, and the collector.

use super::code;
use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use clap::Args;
use language::say;
use quantity::show::{Show as _, clock, significant};
use quantity::{Area, Diameter, FreeFlow, Quantity as _, Time, UnitSystem, Volume};
use reference::tables;
use safety::clearing::{Clearing, Exhaust};
use safety::enclosure::{Net, changes, duct_bore, duct_speed, face_speed, filter_area, filter_speed, net};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct ClearArguments {
    /// Inside volume of the cabinet or room, such as 600l or 60m3.
    #[arg(long)]
    volume: String,
    /// What the collector draws, such as 12m3/min or 420cfm.
    #[arg(long)]
    flow: String,
    /// All openings while blasting.
    #[arg(long, default_value = "0cm2")]
    openings: String,
    /// The nozzle's own air, at the state of the room.
    #[arg(long, default_value = "0l/min")]
    blast_air: String,
    /// Mixing factor, 1 (perfect) to 10 (very poor); common practice is 3.
    #[arg(long)]
    mixing: Option<f64>,
    /// How many times less dust is to be left.
    #[arg(long)]
    reduction: Option<f64>,
    /// Bore of the duct.
    #[arg(long)]
    duct: Option<String>,
    /// Area of the filter.
    #[arg(long)]
    filter_area: Option<String>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// What programs read.
#[derive(Debug, Serialize)]
struct ClearReport {
    /// By the formula, for the reduction asked for.
    clear_s: f64,
    /// The same, never under the floor of a minute.
    door_wait_s: f64,
    mixing: f64,
    reduction: f64,
    collector_m3_min: f64,
    collector_needed_m3_min: f64,
    /// Below zero: the nozzle blows more in than the collector takes out.
    inward_m3_min: f64,
    face_speed_m_s: Option<f64>,
    face_speed_m_s_min: f64,
    air_changes_1_min: f64,
    air_changes_1_min_min: f64,
    duct_speed_m_s: Option<f64>,
    duct_speed_m_s_min: f64,
    duct_bore_mm_max: f64,
    filter_speed_m_s: Option<f64>,
    filter_speed_m_s_max: f64,
    filter_area_m2_min: f64,
    blows_out: bool,
}

pub(super) fn clear(arguments: &ClearArguments) -> Result<ExitCode, Failure> {
    let report = report(arguments)?;
    match arguments.json {
        true => print_json(&report)?,
        false => print(&told(&report))?,
    }
    Ok(code(report.blows_out))
}

fn report(arguments: &ClearArguments) -> Result<ClearReport, Failure> {
    let limits = &tables().limits;
    let volume: Volume = quantity("--volume", &arguments.volume)?;
    let flow: FreeFlow = quantity("--flow", &arguments.flow)?;
    let openings: Area = quantity("--openings", &arguments.openings)?;
    let blast: FreeFlow = quantity("--blast-air", &arguments.blast_air)?;
    let duct: Option<Diameter> = arguments.duct.as_ref().map(|text| quantity("--duct", text)).transpose()?;
    let area: Option<Area> = arguments.filter_area.as_ref().map(|text| quantity("--filter-area", text)).transpose()?;
    let mixing = arguments.mixing.unwrap_or(limits.clearing_mixing.value);
    let reduction = arguments.reduction.unwrap_or(limits.clearing_reduction.value);
    let clear = Clearing::with_mixing(volume, flow, mixing)?.time_to_fall(reduction)?;
    let (inward, blows_out) = match net(flow, blast) {
        Net::In(inward) => (inward, false),
        Net::Out(_) => (FreeFlow::clamped(0.0), true),
    };
    Ok(ClearReport {
        clear_s: clear.to_seconds(),
        door_wait_s: clear.to_seconds().max(limits.clearing_floor.value.to_seconds()),
        mixing,
        reduction,
        collector_m3_min: flow.to_cubic_metres_per_minute(),
        collector_needed_m3_min: Exhaust::of_cabinet(openings, volume, blast)?.needed.to_cubic_metres_per_minute(),
        inward_m3_min: flow.to_cubic_metres_per_minute() - blast.to_cubic_metres_per_minute(),
        face_speed_m_s: face_speed(inward, openings).map(|speed| speed.to_metres_per_second()),
        face_speed_m_s_min: limits.cabinet_face_velocity.value.to_metres_per_second(),
        air_changes_1_min: changes(inward, volume).to_per_minute(),
        air_changes_1_min_min: limits.cabinet_air_changes.value.to_per_minute(),
        duct_speed_m_s: duct.map(|bore| duct_speed(flow, bore).to_metres_per_second()),
        duct_speed_m_s_min: limits.duct_velocity.value.to_metres_per_second(),
        duct_bore_mm_max: duct_bore(flow, limits.duct_velocity.value)?.to_mm(),
        filter_speed_m_s: area.and_then(|area| filter_speed(flow, area)).map(|speed| speed.to_metres_per_second()),
        filter_speed_m_s_max: limits.filter_speed.value.high.to_metres_per_second(),
        filter_area_m2_min: filter_area(flow).to_square_metres(),
        blows_out,
    })
}

fn told(report: &ClearReport) -> String {
    let limits = &tables().limits;
    let wait = Time::clamped(report.door_wait_s.ceil());
    let mut lines = vec![
        say!(
            "Keep the door shut for {} after the blast, exhaust running: {}-fold less dust by the formula in {}, mixing \
             factor {} [MMWR 28 Oct 1994, Table S3-1].",
            clock(wait),
            significant(report.reduction, 3),
            clock(Time::clamped(report.clear_s)),
            significant(report.mixing, 2)
        ),
        say!(
            "The cabinet wants {} m³/min; the collector draws {} [inflow {}; air changes {}].",
            significant(report.collector_needed_m3_min, 3),
            significant(report.collector_m3_min, 3),
            limits.cabinet_face_velocity.source,
            limits.cabinet_air_changes.source
        ),
    ];
    if report.blows_out {
        lines.push(
            say!("stop: the nozzle gives more air than the collector takes: dust leaves by every gap.").to_owned(),
        );
    }
    if let Some(speed) = report.face_speed_m_s {
        let [found, wanted] = [speed, report.face_speed_m_s_min].map(|speed| significant(speed, 3));
        lines.push(say!("Air goes in at {found} m/s, wanted {wanted}."));
    }
    lines.push(say!(
        "The air changes {} times a minute, wanted {}.",
        significant(report.air_changes_1_min, 3),
        significant(report.air_changes_1_min_min, 3)
    ));
    let (least, most) = (significant(report.duct_speed_m_s_min, 3), significant(report.duct_bore_mm_max.floor(), 3));
    let source = &limits.duct_velocity.source;
    lines.push(match report.duct_speed_m_s {
        Some(speed) => say!(
            "In the duct air moves at {found} m/s; dust stays up from {least} m/s on: a bore of {most} mm at most \
             [{source}].",
            found = significant(speed, 3)
        ),
        None => say!("In the duct air dust stays up from {least} m/s on: a bore of {most} mm at most [{source}]."),
    });
    lines.push(say!(
        "The filter wants {} m² or more, at {} [{}].",
        significant(report.filter_area_m2_min, 3),
        limits.filter_speed.value.high.show(UnitSystem::Metric),
        limits.filter_speed.source
    ));
    lines.push(say!("A clear view is not clean air.").to_owned());
    lines.join("\n") + "\n"
}
