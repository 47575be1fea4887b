//! What compressing air costs: ideal work, heat, money.

use crate::root::falling_root;
use quantity::{AbsolutePressure, Fraction, FreeFlow, MassRate, Power, Quantity, Temperature, Time};

/// Stages of compression, with an intercooler back to the inlet's temperature between two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stages {
    /// One.
    One,
    /// Two, at the geometric mean of the pressures.
    Two,
}

impl Stages {
    /// Exponent on the whole pressure ratio that gives each stage's.
    pub(crate) const fn exponent(self) -> f64 {
        match self {
            Self::One => 1.0,
            Self::Two => 0.5,
        }
    }
}

/// Ideal work for each cubic metre of free air, J/m³.
///
/// `w = n/(n-1) p1 (r^((n-1)/n) - 1)`, `r = p2/p1`; `n = 1`: `w = p1 ln r`; two stages: twice that
/// with `sqrt(r)`.
///
/// * `inlet`, `outlet`: absolute. * `exponent`: 1 isothermal, 1.3 a cooled piston, 1.4 isentropic.
///
/// Range: `outlet >= inlet`, else 0. Real air needs up to 0.1 % less (CoolProp 8.0.0).
/// Source: textbook; air.md section 5. Checked: 1 bar to 7 bar gauge: 4.7334 kW for 1 m³/min
/// isentropic, 3.4657 isothermal, 4.0355 in two stages.
#[must_use]
pub fn compression_work(inlet: AbsolutePressure, outlet: AbsolutePressure, exponent: f64, stages: Stages) -> f64 {
    let share = stages.exponent();
    let ratio = (outlet.to_pascals() / inlet.to_pascals()).max(1.0).powf(share);
    let power = 1.0 - 1.0 / exponent;
    // (r^k - 1)/k tends to ln r as k falls to 0.
    let each = if power.abs() < 1e-9 { ratio.ln() } else { (ratio.powf(power) - 1.0) / power };
    inlet.to_pascals() * each / share
}

/// Temperature of the air as a machine discharges it: `T2 = T1 r^((n-1)/n)`, `r` of the last stage.
///
/// Constant heat capacity: for `n` = 1.4 it is 5 K high at 10 bar gauge; see [`isentropic_discharge`].
/// Source: polytropic change of an ideal gas. Checked: n = 1.3, 1 bar at 20 °C to 7 bar gauge is
/// 200.6 °C by hand.
#[must_use]
pub fn discharge_temperature(
    inlet: Temperature,
    from: AbsolutePressure,
    to: AbsolutePressure,
    exponent: f64,
    stages: Stages,
) -> Temperature {
    let ratio = (to.to_pascals() / from.to_pascals()).max(1.0).powf(stages.exponent());
    Temperature::clamped(inlet.to_kelvins() * ratio.powf(1.0 - 1.0 / exponent))
}

/// Temperature of air compressed without loss or cooling: `∫ cp/T dT = R ln r`, `r` of the last stage.
///
/// `cp/R = 3.653 - 1.337e-3 T + 3.294e-6 T² - 1.913e-9 T³ + 0.2763e-12 T⁴`, 300 to 1000 K (an
/// engineering thermodynamics text's table for air, from memory).
///
/// Accuracy: within 1 K of real air to 10 bar gauge. Source: ideal gas with its true heat capacity.
/// Checked: 1 bar at 20 °C to 7 bar gauge: 255.0 °C, 121.4 °C in two stages (CoolProp 8.0.0, air.md
/// section 5).
#[must_use]
pub fn isentropic_discharge(
    inlet: Temperature,
    from: AbsolutePressure,
    to: AbsolutePressure,
    stages: Stages,
) -> Temperature {
    let start = inlet.to_kelvins();
    let wanted = (to.to_pascals() / from.to_pascals()).max(1.0).ln() * stages.exponent();
    let short = |kelvins: f64| wanted - (entropy(kelvins) - entropy(start));
    Temperature::clamped(falling_root(start, Temperature::MAX, short))
}

/// Entropy at constant pressure over R, up to a constant.
fn entropy(kelvins: f64) -> f64 {
    let t = kelvins;
    3.653 * t.ln() + t * (-1.337e-3 + t * (3.294e-6 / 2.0 + t * (-1.913e-9 / 3.0 + t * 0.276_3e-12 / 4.0)))
}

/// Power for a flow of free air: ideal work over an overall efficiency.
///
/// Source: air.md section 5. Checked: Esposito, *Fluid Power with Applications*, Ex. 13-8: 100 scfm,
/// 14.7 to 114.7 psia, 75 %: 24 hp.
#[must_use]
pub fn power_for(
    free_air: FreeFlow,
    inlet: AbsolutePressure,
    outlet: AbsolutePressure,
    stages: Stages,
    efficiency: Fraction,
) -> Power {
    let ideal = compression_work(inlet, outlet, 1.4, stages) * free_air.to_cubic_metres_per_second();
    Power::clamped(ideal / efficiency.to_ratio().max(1e-6))
}

/// What running costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunningCost {
    /// Electrical energy for each hour of work, kWh.
    pub kwh_per_hour: f64,
    /// Money for each hour of work, in the unit of the price.
    pub per_hour: f64,
    /// Money for each 1000 litres ANR blasted; none where nothing is.
    pub per_1000_litres: Option<f64>,
    /// Electrical power for each flow blasted, kW for each m³/min ANR; none where nothing is.
    pub specific_kw_per_m3_min: Option<f64>,
}

/// What a flow costs, given the power of the machines while they run and their share of running.
///
/// * `blasted`: air through the nozzles, averaged over the same time. * `price_per_kwh`: any money.
#[must_use]
pub fn running_cost(power: Power, running: Fraction, blasted: MassRate, price_per_kwh: f64) -> RunningCost {
    let kwh_per_hour = power.to_kilowatts() * running.to_ratio();
    let litres_per_minute = blasted.to_litres_anr_per_minute();
    let flows = litres_per_minute > 0.0;
    RunningCost {
        kwh_per_hour,
        per_hour: kwh_per_hour * price_per_kwh,
        per_1000_litres: flows.then(|| kwh_per_hour * price_per_kwh / (litres_per_minute * 60.0) * 1000.0),
        specific_kw_per_m3_min: flows.then(|| kwh_per_hour / (litres_per_minute / 1000.0)),
    }
}

/// Energy of machines that ran for given times, kWh.
#[must_use]
pub fn kilowatt_hours(machines: impl IntoIterator<Item = (Power, Time)>) -> f64 {
    machines.into_iter().map(|(power, ran)| power.to_kilowatts() * ran.to_hours()).sum()
}

/// Share of energy that a lower cut-out saves: `1 - w(lower)/w(higher)`.
///
/// Source: the ideal work. Checked: 7 to 6.86 bar gauge (2 psi) saves 1.1 % isentropic, the "1 % for
/// 2 psi" of the trade (air.md section 5).
#[must_use]
pub fn saving(inlet: AbsolutePressure, higher: AbsolutePressure, lower: AbsolutePressure, stages: Stages) -> Fraction {
    let work = |outlet| compression_work(inlet, outlet, 1.4, stages);
    Fraction::clamped(1.0 - work(lower) / work(higher).max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::known;

    fn bar(value: f64) -> AbsolutePressure {
        AbsolutePressure::bar(value).unwrap()
    }

    #[test]
    fn a_books_motor_has_its_horsepower() {
        // Esposito, Ex. 13-8: 23.96 hp by its formula with exponent 0.286 for 1 - 1/1.4 = 0.2857.
        let (from, to) = (AbsolutePressure::psi(14.7).unwrap(), AbsolutePressure::psi(114.7).unwrap());
        let power = power_for(FreeFlow::cfm(100.0).unwrap(), from, to, Stages::One, known(Fraction::ratio(0.75)))
            .to_horsepower();
        println!("PWR-1: {power:.3} hp, 23.96 in the book");
        assert!((power / 23.96 - 1.0).abs() < 5e-3);
    }

    #[test]
    fn a_cooled_piston_discharges_as_hot_as_worked_by_hand() {
        // 293.15 K * 8^(0.3/1.3) = 293.15 * 1.61588 = 473.70 K.
        let inlet = known(Temperature::celsius(20.0));
        let hot = discharge_temperature(inlet, bar(1.0), bar(8.0), 1.3, Stages::One).to_celsius();
        assert!((hot - 200.55).abs() < 0.1, "{hot}");
        assert!(discharge_temperature(inlet, bar(1.0), bar(8.0), 1.3, Stages::Two).to_celsius() < 100.0);
    }

    #[test]
    fn two_psi_is_about_one_percent() {
        let share = saving(bar(1.0), bar(8.0), bar(7.86), Stages::One).to_ratio();
        assert!((share - 0.011).abs() < 5e-4, "{share}");
    }

    #[test]
    fn money_follows_the_share_of_running() {
        let blasted = MassRate::litres_anr_per_minute(200.0).unwrap();
        let cost = running_cost(known(Power::kilowatts(3.0)), known(Fraction::ratio(0.5)), blasted, 0.4);
        assert!((cost.kwh_per_hour - 1.5).abs() < 1e-12 && (cost.per_hour - 0.6).abs() < 1e-12);
        assert!((cost.per_1000_litres.unwrap() - 0.05).abs() < 1e-12);
        assert!((cost.specific_kw_per_m3_min.unwrap() - 7.5).abs() < 1e-12);
        let idle = running_cost(known(Power::kilowatts(3.0)), known(Fraction::ratio(0.0)), MassRate::clamped(0.0), 0.4);
        assert_eq!(idle.per_1000_litres, None);
    }
}
