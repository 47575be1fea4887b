//! What the crate promises, beyond figures: what holds keeps holding, mass is conserved, more is
//! more, and a fault names its place.

mod damp;
mod equipment;
mod faults;
mod holding;
mod network;
mod network_faults;
mod properties;
mod sizing;
mod solver;

use air::{
    AirLine, Compressor, Conductance, Discharge, Droop, Fittings, Hose, Loading, Nozzle, Regulator, Site, Valve,
};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Temperature, Time, Volume,
};

pub(crate) fn bar(value: f64) -> GaugePressure {
    GaugePressure::bar(value).unwrap()
}

pub(crate) fn seconds(value: f64) -> Time {
    Time::seconds(value).unwrap()
}

pub(crate) fn valve(open: bool, for_s: f64) -> Valve {
    Valve { open, for_: seconds(for_s) }
}

pub(crate) fn compressor(l_min: f64, cut_in: f64, cut_out: f64, duty: f64) -> Compressor {
    Compressor {
        free_air: FreeFlow::litres_per_minute(l_min).unwrap(),
        cut_in: bar(cut_in),
        cut_out: bar(cut_out),
        duty_max: Fraction::ratio(duty).unwrap(),
        power: Power::kilowatts(2.0).unwrap(),
    }
}

/// A shop with a 2.5 mm nozzle at 4 bar: about 226 l/min against what `l_min` says.
pub(crate) fn shop(l_min: f64, receiver_l: f64, duty: f64) -> AirLine {
    AirLine {
        site: Site {
            pressure: AbsolutePressure::pascals(101_325.0).unwrap(),
            temperature: Temperature::celsius(20.0).unwrap(),
            humidity: Fraction::ratio(0.5).unwrap(),
        },
        compressors: vec![compressor(l_min, 6.0, 8.0, duty)],
        receiver: Volume::litres(receiver_l).unwrap(),
        regulator: Regulator {
            set: bar(4.0),
            droop: Droop::NONE,
            valve: Conductance::dm3_per_s_bar(10.0, 0.3).unwrap(),
        },
        hose: Hose {
            bore: Diameter::mm(8.0).unwrap(),
            length: Length::metres(10.0).unwrap(),
            roughness: Length::mm(0.0015).unwrap(),
            fittings: Fittings::new(2.0).unwrap(),
        },
        nozzle: Nozzle {
            bore: Diameter::mm(2.5).unwrap(),
            discharge: Discharge::new(0.8).unwrap(),
            loading: Loading::NONE,
        },
    }
}
