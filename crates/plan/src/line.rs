//! The shop's air line with one nozzle at one setting.

use crate::refusal::Refusal;
use air::{
    AirLine, Altitude, Compressor, Conductance, Discharge, Droop, Fittings, Hose, Loading, Nozzle, Regulator, Site,
};
use piece::{Shop, ShopNozzle};
use quantity::{GaugePressure, Length, known};

/// Rubber and plastic hose, drawn smooth. From memory, the usual textbook value (air.md section 3).
const HOSE_ROUGHNESS: Length = known(Length::mm(air::hose::SMOOTH_HOSE_MM));

/// The shop's line, with `nozzle` on it and the regulator at `set`.
///
/// # Errors
/// [`Refusal`] when a part's numbers are outside what the air model covers.
pub(crate) fn air_line(shop: &Shop, nozzle: &ShopNozzle, set: GaugePressure) -> Result<AirLine, Refusal> {
    let regulator = &shop.regulator;
    let compressors = shop.compressors.iter().map(|compressor| Compressor {
        free_air: compressor.free_air,
        cut_in: compressor.cut_in,
        cut_out: compressor.cut_out,
        duty_max: compressor.duty,
        power: compressor.power,
    });
    Ok(AirLine {
        site: site(shop)?,
        compressors: compressors.collect(),
        receiver: shop.receiver,
        regulator: Regulator {
            set,
            droop: Droop::bar_per_litre_per_minute(regulator.droop_bar_per_100_l_min / 100.0)?,
            valve: Conductance::dm3_per_s_bar(regulator.conductance_dm3_s_bar, regulator.critical_ratio)?,
        },
        hose: Hose {
            bore: shop.hose.bore,
            length: shop.hose.length,
            roughness: HOSE_ROUGHNESS,
            fittings: Fittings::new(shop.hose.fittings_k)?,
        },
        nozzle: Nozzle {
            bore: nozzle.bore,
            discharge: Discharge::new(nozzle.discharge)?,
            loading: Loading::new(shop.loading)?,
        },
    })
}

/// The air around the shop.
///
/// # Errors
/// [`Refusal`] for an altitude outside -500 m to 5000 m.
pub(crate) fn site(shop: &Shop) -> Result<Site, Refusal> {
    Ok(Site::at_altitude(Altitude::metres(shop.altitude_m)?, shop.temperature, shop.humidity))
}
