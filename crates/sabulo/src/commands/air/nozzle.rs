//! `sabulo air nozzle`: what a nozzle takes.

use crate::commands::{print, print_json, quantity};
use crate::error::Failure;
use air::{Discharge, NozzleFlow, Stagnation, nozzle};
use clap::Args;
use language::say;
use quantity::show::{Show, air_flow, bore, significant};
use quantity::{AbsolutePressure, Diameter, GaugePressure, Temperature, UnitSystem};
use serde::Serialize;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct NozzleArguments {
    /// Inside diameter, such as 1/8in or 3.2mm.
    #[arg(long, allow_hyphen_values = true)]
    bore: String,
    /// Gauge pressure at the nozzle, such as 100psi or 5bar.
    #[arg(long, allow_hyphen_values = true)]
    pressure: String,
    /// Discharge coefficient: 0.97 well rounded, 0.65 sharp.
    #[arg(long, default_value_t = Discharge::ROUNDED.to_ratio())]
    discharge_coefficient: f64,
    /// Temperature of the air before the nozzle.
    #[arg(long, default_value = "70°F", allow_hyphen_values = true)]
    temperature: String,
    /// Pressure of the air around, absolute.
    #[arg(long, default_value = "14.7psia")]
    ambient_pressure: String,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// What programs read. Standard cubic feet are at 70 °F and 14.7 psia, normal litres at 0 °C and 101.325 kPa.
#[derive(Debug, Serialize)]
struct NozzleReport {
    bore_mm: f64,
    pressure_kpa: f64,
    discharge_coefficient: f64,
    temperature_c: f64,
    ambient_pressure_kpa: f64,
    flow_scfm: f64,
    flow_nl_min: f64,
    flow_l_min_anr: f64,
    mass_flow_g_s: f64,
    choked: bool,
}

pub(super) fn nozzle_flow(arguments: &NozzleArguments) -> Result<ExitCode, Failure> {
    let diameter: Diameter = quantity("--bore", &arguments.bore)?;
    let gauge: GaugePressure = quantity("--pressure", &arguments.pressure)?;
    let ambient: AbsolutePressure = quantity("--ambient-pressure", &arguments.ambient_pressure)?;
    let temperature: Temperature = quantity("--temperature", &arguments.temperature)?;
    let discharge = Discharge::new(arguments.discharge_coefficient)?;
    let upstream = Stagnation { pressure: AbsolutePressure::from_gauge(gauge, ambient)?, temperature };
    let NozzleFlow { rate, choked } = nozzle::mass_flow(diameter, discharge, upstream, ambient)?;
    if arguments.json {
        print_json(&NozzleReport {
            bore_mm: diameter.to_mm(),
            pressure_kpa: gauge.to_kpa(),
            discharge_coefficient: discharge.to_ratio(),
            temperature_c: temperature.to_celsius(),
            ambient_pressure_kpa: ambient.to_kpa(),
            flow_scfm: rate.to_scfm(),
            flow_nl_min: rate.to_normal_litres_per_minute(),
            flow_l_min_anr: rate.to_litres_anr_per_minute(),
            mass_flow_g_s: rate.to_grams_per_second(),
            choked,
        })?;
    } else {
        let (bore, gauge) = (bore(diameter, UnitSystem::Us), gauge.show(UnitSystem::Us));
        let (us, metric) = (air_flow(rate, UnitSystem::Us), air_flow(rate, UnitSystem::Metric));
        let mass = rate.show(UnitSystem::Metric);
        let takes = match choked {
            true => say!("A {bore} nozzle at {gauge} takes {us} ({metric}, {mass}), choked: sonic in the bore."),
            false => say!("A {bore} nozzle at {gauge} takes {us} ({metric}, {mass}), not choked."),
        };
        let basis = say!(
            "Isentropic flow of an ideal gas, discharge coefficient {}. With abrasive in the stream it takes about a \
             fifth less.",
            significant(discharge.to_ratio(), 3),
        );
        print(&format!("{takes}\n{basis}\n"))?;
    }
    Ok(ExitCode::SUCCESS)
}
