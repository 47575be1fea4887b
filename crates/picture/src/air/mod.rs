//! The air line's pictures: where the pressure goes ([`ladder()`]), what happens in time ([`course()`]), and
//! what a shop can run ([`capacity()`]).
//!
//! All read in grey: lines differ by weight and dashes, states by words.

mod capacity;
mod course;
mod ladder;

pub use capacity::{NozzleMark, capacity};
pub use course::course;
pub use ladder::ladder;

use quantity::{GaugePressure, Quantity as _, UnitSystem, show::Rung, show::Show as _};

/// How a picture of the air line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirOptions {
    /// Width of the whole drawing, 100 mm or more.
    pub width_mm: f64,
    /// Size of the words, 2 mm to 6 mm. Everything else grows with it.
    pub text_mm: f64,
    /// Units that the reader reads.
    pub units: UnitSystem,
}

impl Default for AirOptions {
    fn default() -> Self {
        Self { width_mm: 180.0, text_mm: 2.7, units: UnitSystem::Metric }
    }
}

/// Below so many text sizes a drawing is laid out for a phone held upright. Our judgement.
const NARROW: f64 = 44.0;

impl AirOptions {
    /// For a phone held upright: 26 letters' heights wide, so that words of 12 px fit into 312 px.
    #[must_use]
    pub const fn phone(units: UnitSystem) -> Self {
        Self { width_mm: 104.0, text_mm: 4.0, units }
    }

    /// The same, with every number drawn into its range.
    fn in_range(self) -> Self {
        Self { width_mm: self.width_mm.clamp(100.0, 2000.0), text_mm: self.text_mm.clamp(2.0, 6.0), ..self }
    }

    /// Whether it is too narrow for names beside what they name: then they stand above it.
    fn is_narrow(self) -> bool {
        self.width_mm < NARROW * self.text_mm
    }

    /// The unit in which pressures up to `most` are drawn.
    fn pressure(self, most: GaugePressure) -> Rung {
        GaugePressure::rung(most.to_base(), self.units)
    }
}

fn in_unit(pressure: GaugePressure, rung: &Rung) -> f64 {
    (pressure.to_base() - rung.offset) / rung.factor
}

/// Decimals that a pressure is told with: a hundredth of a bar, a tenth of a psi.
fn told(pressure: f64, rung: &Rung) -> String {
    let decimals = if rung.unit == "bar" { 2 } else { 1 };
    language::number(format!("{pressure:.decimals$}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::looks::{assert_readable, show};
    use crate::theme::Theme;
    use air::course::{Pattern, RunOptions};
    use air::ladder::{Open, Settings};
    use air::machine::{Delivery, Duty, MachineKind};
    use air::part::{Pot, Tip, Trap, Vessel};

    use air::{
        Altitude, Conductance, Discharge, Droop, Fittings, Hose, Loading, Machine, Network, Part, PartKind, Regulator,
        Site, Valve,
    };
    use quantity::{Diameter, Fraction, FreeFlow, Length, Power, Temperature, Time, Volume, known};

    fn bar(value: f64) -> GaugePressure {
        GaugePressure::bar(value).unwrap()
    }

    fn station(name: &str, bore_mm: f64, set: f64) -> Vec<Part> {
        let named = |part: &str| format!("{part} of {name}");
        let hose = Hose {
            bore: Diameter::mm(10.0).unwrap(),
            length: Length::metres(8.0).unwrap(),
            roughness: Length::mm(0.0015).unwrap(),
            fittings: Fittings::new(3.0).unwrap(),
        };
        let valve = Conductance::dm3_per_s_bar(8.0, 0.3).unwrap();
        let regulator = Regulator { set: bar(set), droop: Droop::bar_per_litre_per_minute(0.0005).unwrap(), valve };
        let pot = Pot { passes: valve, loading: Loading::new(1.0).unwrap() };
        vec![
            Part::new(&named("regulator"), &named("hose"), PartKind::Regulator(regulator)),
            Part::new(&named("hose"), &named("pot"), PartKind::Hose(hose)),
            Part::new(&named("pot"), name, PartKind::Pot(pot)),
            Part::last(name, PartKind::Nozzle(Tip::new(Diameter::mm(bore_mm).unwrap(), Discharge::ROUNDED))),
        ]
    }

    /// An invented shop of two stations.
    fn network() -> Network {
        let site = Site::at_altitude(
            Altitude::metres(120.0).unwrap(),
            Temperature::celsius(18.0).unwrap(),
            Fraction::percent(60.0).unwrap(),
        );
        let machine = Machine {
            kind: MachineKind::TwoStage,
            delivery: Delivery::Constant(FreeFlow::litres_per_minute(460.0).unwrap()),
            cut_in: bar(7.5),
            cut_out: bar(10.0),
            duty: Duty::reported(Fraction::percent(60.0).unwrap()),
            power: Power::kilowatts(4.0).unwrap(),
            switched_on: true,
        };
        let trap = Trap {
            passes: Conductance::dm3_per_s_bar(18.0, 0.3).unwrap(),
            catches: Fraction::percent(90.0).unwrap(),
            bowl: Volume::litres(0.1).unwrap(),
        };
        let mut parts = vec![
            Part::new("two-stage, 4 kW", "receiver", PartKind::Compressor(machine)),
            Part::new("receiver", "separator", PartKind::Receiver(Vessel::of(Volume::litres(270.0).unwrap()))),
            Part {
                name: "separator".to_owned(),
                feeds: vec!["regulator of left".to_owned(), "regulator of right".to_owned()],
                kind: PartKind::Separator(trap),
            },
        ];
        parts.extend(station("left", 2.4, 2.5));
        parts.extend(station("right", 3.2, 4.0));
        Network::new(site, parts).unwrap()
    }

    /// The English scene, once it is readable in every language.
    fn both(draw: impl Fn() -> crate::Scene, name: &str) -> crate::Scene {
        for language in language::Language::ALL {
            assert_readable(&language.scope(&draw));
        }
        let scene = draw();
        show(&scene, Theme::Dark, name);
        show(&scene, Theme::Light, &format!("{name}-light"));
        scene
    }

    #[test]
    fn a_ladder_names_every_part_and_what_it_takes() {
        let network = network();
        let steady = network.steady(&Settings { receiver: bar(8.0), open: Open::All }).unwrap();
        let scene = both(|| ladder(&steady, &AirOptions::default()), "air-ladder");
        let passed =
            network.parts().iter().filter(|part| !matches!(part.kind, PartKind::Compressor(_) | PartKind::Receiver(_)));
        assert!(passed.into_iter().all(|part| scene.description.contains(&part.name)), "{}", scene.description);
        let us = AirOptions { units: UnitSystem::Us, ..AirOptions::default() };
        both(|| ladder(&steady, &us), "air-ladder-us");
        both(|| ladder(&steady, &AirOptions::phone(UnitSystem::Us)), "air-ladder-phone");
        // Only what chokes without being meant to says so, whatever a nozzle is called.
        for language in language::Language::ALL {
            let (drawn, word) =
                language.scope(|| (ladder(&steady, &AirOptions::default()), language::text("", "chokes")));
            let drawn = crate::svg::write(&drawn, crate::svg::Colours::Resolved(Theme::Light));
            assert!(!drawn.contains(&format!(">{}<", word.unwrap_or("chokes"))), "{language:?}");
        }
    }

    #[test]
    fn a_course_shows_pressures_runs_and_where_the_pressure_was_lost() {
        let network = network();
        let valves = |on: f64, off: f64| {
            [(true, on), (false, off)].map(|(open, s)| Valve { open, for_: Time::seconds(s).unwrap() })
        };
        let patterns =
            [Pattern::repeating("left", &valves(120.0, 60.0)), Pattern::repeating("right", &valves(90.0, 120.0))];
        let run = network.run(&patterns, known(Time::minutes(30.0)), &RunOptions::default()).unwrap();
        let scene = both(|| course(&network, &run, &AirOptions::default()), "air-course");
        assert!(scene.description.contains("two-stage, 4 kW runs"), "{}", scene.description);
        both(|| course(&network, &run, &AirOptions::phone(UnitSystem::Metric)), "air-course-phone");
    }

    #[test]
    fn a_map_tells_each_step_in_words() {
        let pressures: Vec<GaugePressure> = (1..=40).map(|n| bar(0.2 * f64::from(n))).collect();
        let bores: Vec<Diameter> = (0..60).map(|n| Diameter::mm(0.8 + 0.09 * f64::from(n)).unwrap()).collect();
        let map = network().map("left", &pressures, &bores, known(Time::minutes(30.0))).unwrap();
        let marks = [("detail", 1.2), ("carver", 2.4), ("broad", 3.2)]
            .map(|(name, mm)| NozzleMark { name: name.to_owned(), bore: Diameter::mm(mm).unwrap() });
        let scene = both(|| capacity(&map, &marks, &AirOptions::default()), "air-map");
        assert!(scene.description.contains("detail runs without end up to"), "{}", scene.description);
        let us = AirOptions { units: UnitSystem::Us, ..AirOptions::default() };
        both(|| capacity(&map, &marks, &us), "air-map-us");
        both(|| capacity(&map, &marks, &AirOptions::phone(UnitSystem::Metric)), "air-map-phone");
    }
}
