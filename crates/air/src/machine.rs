//! A compressor as a machine: what it delivers at each pressure, how hot, how long it may run, and
//! whether its plate tells delivered air or swept volume.

use crate::energy::{Stages, compression_work, discharge_temperature};
use crate::{Compressor, Site};
use quantity::{
    ANR_DENSITY, AbsolutePressure, Estimate, Fraction, FreeFlow, GaugePressure, MassRate, Power, Quantity, Temperature,
    Time,
};

/// A compressor of a network.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// How it is built.
    pub kind: MachineKind,
    /// What it delivers.
    pub delivery: Delivery,
    /// Pressure in the first receiver at which it starts.
    pub cut_in: GaugePressure,
    /// Pressure there at which it stops.
    pub cut_out: GaugePressure,
    /// How long it may run.
    pub duty: Duty,
    /// Electrical power while it runs.
    pub power: Power,
    /// Whether it is switched on at all.
    pub switched_on: bool,
}

/// How a compressor is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MachineKind {
    /// A small diaphragm pump, as for an airbrush.
    Diaphragm,
    /// A small direct-driven piston on a flat tank.
    SmallPiston,
    /// A single-stage piston machine of a garage.
    SingleStage,
    /// A two-stage piston machine with an intercooler.
    TwoStage,
    /// An oil-flooded rotary screw.
    Screw,
}

impl MachineKind {
    /// All of them, smallest first.
    pub const ALL: [Self; 5] = [Self::Diaphragm, Self::SmallPiston, Self::SingleStage, Self::TwoStage, Self::Screw];

    /// Stages of compression.
    #[must_use]
    pub const fn stages(self) -> Stages {
        match self {
            Self::TwoStage => Stages::Two,
            _ => Stages::One,
        }
    }

    /// Temperature of the air as it leaves the machine, before any cooler.
    ///
    /// Pistons and diaphragms: [`discharge_temperature`] with n = 1.3, their heads being cooled.
    /// A screw is held by its oil at about 85 °C (common practice, no source), whatever the pressure.
    #[must_use]
    pub fn discharge(self, site: &Site, outlet: AbsolutePressure) -> Temperature {
        const OIL_COOLED_C: f64 = 85.0;
        match self {
            Self::Screw => Temperature::clamped(273.15 + OIL_COOLED_C),
            _ => discharge_temperature(site.temperature, site.pressure, outlet, COOLED_EXPONENT, self.stages()),
        }
    }
}

/// Polytropic exponent of a cooled piston machine: between 1 (isothermal) and 1.4. From memory.
const COOLED_EXPONENT: f64 = 1.3;

/// Free air delivered against the pressure that the machine works into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Delivery {
    /// The same at every pressure.
    Constant(FreeFlow),
    /// Two points of its curve, a straight line through them, level beyond them.
    TwoPoints {
        /// At the lower pressure.
        low: DeliveryPoint,
        /// At the higher pressure.
        high: DeliveryPoint,
    },
    /// A piston's swept volume with what its clearance and its leaks take off.
    Swept {
        /// Swept volume each second of the first stage.
        displacement: FreeFlow,
        /// Volume left above the piston, as a share of the swept volume.
        clearance: Fraction,
        /// Share of what is drawn in that is not lost past rings and valves.
        tightness: Fraction,
        /// Stages.
        stages: Stages,
    },
}

/// One point of a delivery curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeliveryPoint {
    /// Discharge pressure.
    pub at: GaugePressure,
    /// Free air delivered there.
    pub free_air: FreeFlow,
}

impl Delivery {
    /// Free air delivered into a pressure.
    ///
    /// Swept: `q = q_swept λ (1 - c ((p2/p1)^(1/n) - 1))`, never below 0, with the first stage's
    /// pressure ratio (its square root for two stages), n = 1.3.
    ///
    /// Source: volumetric efficiency of a piston with clearance, textbook (from memory).
    /// Checked: c 5 %, λ 1, 8:1 is 0.8025 by hand.
    #[must_use]
    pub fn free_air(&self, site: &Site, into: GaugePressure) -> FreeFlow {
        let curve = Curve::of(self, site);
        FreeFlow::clamped(curve.free_air(site.pressure.to_pascals() + into.to_pascals()))
    }

    /// The most that it delivers anywhere: into the site's own pressure.
    #[must_use]
    pub fn most(&self, site: &Site) -> FreeFlow {
        self.free_air(site, GaugePressure::clamped(0.0))
    }
}

/// How long a machine may run.
///
/// The share on the plate is read over a window: 50 % of ten minutes is five minutes on, five off.
/// The machine's warmth is a tank that fills by `1 - k` of a second each second that it runs and
/// empties by `k` each second that it stands; full at `k (1 - k)` of the window. So it runs at most
/// `k` windows from cold, needs `1 - k` windows from full to cold, and in the long run keeps to `k`.
/// The model is ours; the share is the plate's (a trade text says duty has no official definition).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    /// Largest share of time: 50–80 % for piston machines is recommended, never 100 % (a
    /// maintenance handbook, p. 36, as read for air.md section 2).
    pub share: Fraction,
    /// Time over which it is meant.
    pub window: Time,
    /// Whether a thermal switch stops the machine at the limit and lets it start again when cold.
    /// Without one the limit is only reported.
    pub stops: bool,
}

impl Duty {
    /// A share of ten minutes without a thermal switch.
    #[must_use]
    pub fn reported(share: Fraction) -> Self {
        Self { share, window: Time::clamped(600.0), stops: false }
    }

    /// A share of ten minutes, kept by a thermal switch.
    #[must_use]
    pub fn kept(share: Fraction) -> Self {
        Self { stops: true, ..Self::reported(share) }
    }

    /// Seconds of warmth at which the limit is reached.
    pub(crate) fn capacity_s(&self) -> f64 {
        let k = self.share.to_ratio();
        k * (1.0 - k) * self.window.to_seconds()
    }
}

impl From<&Compressor> for Machine {
    fn from(compressor: &Compressor) -> Self {
        Self {
            kind: MachineKind::SingleStage,
            delivery: Delivery::Constant(compressor.free_air),
            cut_in: compressor.cut_in,
            cut_out: compressor.cut_out,
            duty: Duty::reported(compressor.duty_max),
            power: compressor.power,
            switched_on: true,
        }
    }
}

/// A delivery curve as numbers: absolute Pa to m³/s of free air and kg/s.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Curve {
    form: Form,
    kg_per_cubic_metre: f64,
}

#[derive(Debug, Clone, Copy)]
enum Form {
    Constant(f64),
    Line { from: f64, to: f64, at_from: f64, slope: f64 },
    Swept { most: f64, clearance: f64, site: f64, power: f64 },
}

impl Curve {
    pub(crate) fn of(delivery: &Delivery, site: &Site) -> Self {
        let pressure = site.pressure.to_pascals();
        let form = match *delivery {
            Delivery::Constant(free_air) => Form::Constant(free_air.to_base()),
            Delivery::TwoPoints { low, high } => line(pressure, low, high),
            Delivery::Swept { displacement, clearance, tightness, stages } => Form::Swept {
                most: displacement.to_base() * tightness.to_ratio(),
                clearance: clearance.to_ratio(),
                site: pressure,
                power: stages.exponent() / COOLED_EXPONENT,
            },
        };
        // l/min ANR of one l/min of free air at the site, as `Compressor::mass_rate` has it.
        let kg_per_cubic_metre = ANR_DENSITY * pressure / 1e5 * 293.15 / site.temperature.to_kelvins();
        Self { form, kg_per_cubic_metre }
    }

    fn free_air(&self, into: f64) -> f64 {
        match self.form {
            Form::Constant(rate) => rate,
            Form::Line { from, to, at_from, slope } => (at_from + slope * (into.clamp(from, to) - from)).max(0.0),
            Form::Swept { most, clearance, site, power } => {
                most * (1.0 - clearance * ((into / site).max(1.0).powf(power) - 1.0)).max(0.0)
            }
        }
    }

    /// kg/s into a pressure.
    pub(crate) fn rate(&self, into: f64) -> f64 {
        self.free_air(into) * self.kg_per_cubic_metre
    }

    /// Whether the delivery is the same at every pressure.
    pub(crate) fn is_constant(&self) -> bool {
        matches!(self.form, Form::Constant(_))
    }
}

fn line(site: f64, low: DeliveryPoint, high: DeliveryPoint) -> Form {
    let (from, to) = (site + low.at.to_pascals(), site + high.at.to_pascals());
    let rise = high.free_air.to_base() - low.free_air.to_base();
    Form::Line { from, to, at_from: low.free_air.to_base(), slope: rise / (to - from).max(1.0) }
}

impl Machine {
    /// Mass each second into a receiver pressure.
    #[must_use]
    pub fn mass_rate(&self, site: &Site, into: GaugePressure) -> MassRate {
        MassRate::clamped(Curve::of(&self.delivery, site).rate(site.pressure.to_pascals() + into.to_pascals()))
    }
}

/// What a flow stated on a plate looks like when its power is held against it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateCheck {
    /// Electrical power for each flow stated, kW for each m³/min.
    pub specific_kw_per_m3_min: f64,
    /// Ideal single-stage isentropic power over the power stated: what would be needed of the machine.
    pub isentropic_share: f64,
    /// What that says of the flow.
    pub stated: StatedFlow,
    /// What the machine likely delivers. Equal to the flow stated where that is plausible; else the
    /// swept volume times 60 to 75 % (common practice, no source).
    pub likely: Estimate<FreeFlow>,
}

/// What a flow on a plate seems to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StatedFlow {
    /// Delivered air, as far as power can tell.
    Plausible,
    /// More air than the power stated delivers in machines of this kind: swept volume, most likely.
    LooksLikeDisplacement,
    /// More than any machine delivers from this power.
    Impossible,
    /// Far less than the power would deliver: another pressure, or a typing error.
    LittleForThePower,
}

/// Isentropic share above which a flow looks like swept volume. Own choice between 0.81, the 4.5 cfm
/// for each hp that trade tables assume (air.md section 5, seen), and 1.
const SHARE_MAX: f64 = 0.87;
/// Isentropic share below which a flow is little for its power. Own choice: half of the 22 kW for
/// 100 cfm of small package machines (air.md section 5, from memory).
const SHARE_MIN: f64 = 0.25;
/// Delivered over swept: 60 to 75 % for small single-stage machines. Common practice, no source.
const DELIVERED: [f64; 3] = [0.60, 0.675, 0.75];

/// Whether a stated flow can be delivered air, given the power and the pressure that go with it.
///
/// `share = w_s / (P / q)`: isentropic work of one stage for each volume, over the power stated for
/// it. Above the isothermal work no machine can be; above 0.87 few are.
///
/// Source: the bounds are ours, set between figures of air.md section 5. Checked: 4.5 cfm for each
/// hp at 100 psi is a share of 0.80 and passes; 7 cfm for each hp is refused.
#[must_use]
pub fn check_plate(stated: FreeFlow, power: Power, at: GaugePressure, site: &Site) -> PlateCheck {
    let outlet = AbsolutePressure::clamped(site.pressure.to_pascals() + at.to_pascals());
    let flow = stated.to_cubic_metres_per_minute().max(1e-9);
    let specific = power.to_kilowatts() / flow;
    let work = |exponent| compression_work(site.pressure, outlet, exponent, Stages::One) / 60e3;
    let (isentropic, isothermal) = (work(1.4), work(1.0));
    let share = isentropic / specific.max(1e-9);
    let verdict = if specific < isothermal {
        StatedFlow::Impossible
    } else if share > SHARE_MAX {
        StatedFlow::LooksLikeDisplacement
    } else if share < SHARE_MIN {
        StatedFlow::LittleForThePower
    } else {
        StatedFlow::Plausible
    };
    let derated = matches!(verdict, StatedFlow::LooksLikeDisplacement | StatedFlow::Impossible);
    PlateCheck {
        specific_kw_per_m3_min: specific,
        isentropic_share: share,
        stated: verdict,
        likely: if derated { derate(stated) } else { Estimate::exact(stated) },
    }
}

/// What a swept volume delivers: 60 to 75 % of it in small single-stage machines (common practice, no
/// source).
#[must_use]
pub fn derate(displacement: FreeFlow) -> Estimate<FreeFlow> {
    let [low, mid, high] = DELIVERED.map(|share| FreeFlow::clamped(displacement.to_base() * share));
    Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::known;

    fn site() -> Site {
        Site {
            pressure: known(AbsolutePressure::pascals(101_325.0)),
            temperature: known(Temperature::celsius(20.0)),
            humidity: known(Fraction::ratio(0.5)),
        }
    }

    fn bar(value: f64) -> GaugePressure {
        GaugePressure::bar(value).unwrap()
    }

    #[test]
    fn clearance_takes_off_what_the_textbook_says() {
        let swept = Delivery::Swept {
            displacement: known(FreeFlow::litres_per_minute(100.0)),
            clearance: known(Fraction::ratio(0.05)),
            tightness: known(Fraction::ratio(1.0)),
            stages: Stages::One,
        };
        let into = GaugePressure::pascals(7.0 * 101_325.0).unwrap();
        // 8^(1/1.3) = 4.9506: 1 - 0.05 (4.9506 - 1) = 0.80247.
        let share = swept.free_air(&site(), into).to_litres_per_minute() / 100.0;
        assert!((share - 0.80247).abs() < 1e-4, "{share}");
        assert!(swept.most(&site()).to_litres_per_minute() > 99.9);
    }

    #[test]
    fn two_points_are_met_and_nothing_beyond_them_is_invented() {
        let point = |at, litres| DeliveryPoint { at: bar(at), free_air: FreeFlow::litres_per_minute(litres).unwrap() };
        let curve = Delivery::TwoPoints { low: point(4.0, 200.0), high: point(8.0, 160.0) };
        let at = |pressure| curve.free_air(&site(), bar(pressure)).to_litres_per_minute();
        for (pressure, want) in [(4.0, 200.0), (6.0, 180.0), (8.0, 160.0), (1.0, 200.0), (12.0, 160.0)] {
            assert!((at(pressure) - want).abs() < 1e-9, "{pressure}: {}", at(pressure));
        }
    }

    #[test]
    fn a_plate_of_swept_volume_is_recognised_by_its_power() {
        let check = |cfm: f64, hp: f64| {
            let (flow, power) = (FreeFlow::cfm(cfm).unwrap(), Power::horsepower(hp).unwrap());
            check_plate(flow, power, GaugePressure::psi(100.0).unwrap(), &site())
        };
        // 4.5 cfm for each hp: the assumption of a trade table (air.md section 5, seen).
        let honest = check(9.0, 2.0);
        println!("4.5 cfm/hp: share {:.3}", honest.isentropic_share);
        assert_eq!(honest.stated, StatedFlow::Plausible);
        assert_eq!(honest.likely, Estimate::exact(FreeFlow::cfm(9.0).unwrap()));
        let swept = check(11.4, 2.0);
        assert_eq!(swept.stated, StatedFlow::LooksLikeDisplacement);
        assert!((swept.likely.high().to_cfm() - 8.55).abs() < 1e-9);
        assert_eq!(check(16.0, 2.0).stated, StatedFlow::Impossible);
        assert_eq!(check(1.0, 2.0).stated, StatedFlow::LittleForThePower);
    }

    #[test]
    fn a_machine_of_one_delivery_is_the_compressor_that_it_was_made_of() {
        let compressor = Compressor {
            free_air: known(FreeFlow::litres_per_minute(400.0)),
            cut_in: bar(8.0),
            cut_out: bar(10.0),
            duty_max: known(Fraction::ratio(0.6)),
            power: known(Power::kilowatts(3.0)),
        };
        let (machine, site) = (Machine::from(&compressor), site());
        let (a, b) = (machine.mass_rate(&site, bar(9.0)), compressor.mass_rate(&site));
        assert!((a.to_base() / b.to_base() - 1.0).abs() < 1e-14);
    }
}
