//! From work wanted to the smallest line that holds it, in the sizes that such things are sold in.

use crate::line_answer::what_runs;
use air::map::RunMap;
use air::size::{SizeError, Sizes, Sizing, Work, size};
use air::{Altitude, Conductance, Discharge, Loading, MachineKind, Site};
use piece::CompressorKind;
use quantity::{Diameter, Fraction, GaugePressure, Length, OutOfRange, Temperature, Time, known};
use reference::Unknown;

/// Work that somebody wants to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Of the nozzle.
    pub bore: Diameter,
    /// At the nozzle.
    pub pressure: GaugePressure,
    /// Blasting in each ten minutes, up to all of them.
    pub on: Time,
    /// So much more air than today.
    pub growth: Fraction,
    /// That blast at the same time, 1 or more.
    pub stations: usize,
    /// Of each station's hose.
    pub hose: Length,
    /// Most pressure that hose and regulator may take.
    pub loss_max: GaugePressure,
    /// How the compressor is built.
    pub kind: CompressorKind,
    /// Abrasive for each mass of air, 0 or more; none errs on the side of too much air.
    pub loading: f64,
    /// Metres above the sea.
    pub altitude_m: f64,
}

/// Why there is no size.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum WantedError {
    /// A number that no quantity holds.
    #[error(transparent)]
    Range(#[from] OutOfRange),
    /// The abrasive's share.
    #[error(transparent)]
    Flow(#[from] air::FlowError),
    /// A regulator of the tables.
    #[error(transparent)]
    Conductance(#[from] air::conductance::ConductanceError),
    /// The tables have no compressor of this kind.
    #[error(transparent)]
    Kind(#[from] Unknown),
    /// Nothing of the series holds it.
    #[error(transparent)]
    Size(#[from] SizeError),
}

impl Wanted {
    /// What it takes: the question as `air` puts it, and its answer.
    ///
    /// # Errors
    /// [`WantedError`] for a number out of range, or when no size of the series holds it.
    pub fn sized(&self) -> Result<(Work, Sizing), WantedError> {
        let work = self.work()?;
        let equipment = &reference::tables().equipment;
        let regulators: Vec<Conductance> = equipment
            .regulators
            .iter()
            .map(|row| Conductance::dm3_per_s_bar(row.conductance_dm3_s_bar.value.mid(), row.critical_ratio.value))
            .collect::<Result<_, _>>()?;
        let series = &equipment.series;
        let sizes = Sizes {
            free_air: &series.free_air.value,
            receivers: &series.receivers.value,
            hoses: &series.hoses.value,
            regulators: &regulators,
            dryers: &series.dryers.value,
            separators: &series.separators.value,
        };
        let sizing = size(&work, &sizes)?;
        Ok((work, sizing))
    }

    fn work(&self) -> Result<Work, WantedError> {
        let (id, kind) = machine(self.kind);
        let typical = reference::tables().equipment.compressor(id)?;
        let (temperature, humidity) = (known(Temperature::celsius(20.0)), known(Fraction::percent(50.0)));
        Ok(Work {
            site: Site::at_altitude(Altitude::metres(self.altitude_m)?, temperature, humidity),
            bore: self.bore,
            discharge: Discharge::ROUNDED,
            loading: Loading::new(self.loading)?,
            pressure: self.pressure,
            stations: self.stations,
            share: Fraction::ratio(self.on.to_minutes() / 10.0)?,
            growth: 1.0 + self.growth.to_ratio(),
            hose_length: self.hose,
            loss_max: self.loss_max,
            kind,
            duty: typical.duty.value.mid(),
            cut_in: typical.cut_in.value,
            cut_out: typical.cut_out.value,
        })
    }
}

/// What the line made of the sizes runs; an empty map when it cannot be followed.
#[must_use]
pub fn runs(sizing: &Sizing, bore: Diameter) -> RunMap {
    let none = RunMap { pressures: Vec::new(), bores: Vec::new(), cells: Vec::new() };
    what_runs(&sizing.network, bore).unwrap_or(none)
}

const fn machine(kind: CompressorKind) -> (&'static str, MachineKind) {
    match kind {
        CompressorKind::Diaphragm => ("diaphragm", MachineKind::Diaphragm),
        CompressorKind::SmallPiston => ("small_piston", MachineKind::SmallPiston),
        CompressorKind::SingleStage => ("single_stage", MachineKind::SingleStage),
        CompressorKind::TwoStage => ("two_stage", MachineKind::TwoStage),
        CompressorKind::Screw => ("screw", MachineKind::Screw),
    }
}
