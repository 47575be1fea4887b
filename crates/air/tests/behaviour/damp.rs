//! Water along the line is kept, falls where it is cold, and says so.

use crate::bar;
use crate::network::{litres, machine, share, site, usual};
use air::damp::{Clogging, DampSettings, Dampness, OilCause};
use air::ladder::Open;
use air::machine::Duty;
use air::moisture::condensate;
use air::{MachineKind, Network, Part, PartKind, Site};
use proptest::prelude::*;
use quantity::{Fraction, FreeFlow, Quantity, Temperature};

fn celsius(value: f64) -> Temperature {
    Temperature::celsius(value).unwrap()
}

fn settings(running: f64) -> DampSettings<'static> {
    DampSettings { receiver: bar(7.0), open: Open::All, running: share(running), room: celsius(20.0), lubricated: &[] }
}

fn collected(damp: &Dampness) -> f64 {
    damp.parts.iter().map(|part| part.collects.to_base()).sum()
}

#[test]
fn a_receiver_alone_collects_what_the_condensate_formula_says() {
    // A receiver with so much wall that it stands at the room's temperature; rows COND-* hold the formula.
    let at = |inlet_c: f64, humidity: f64| Site { temperature: celsius(inlet_c), humidity: share(humidity), ..site() };
    for (inlet_c, humidity, room_c) in [(25.0, 0.6, 25.0), (30.0, 0.7, 30.0), (10.0, 0.8, 15.0)] {
        let site = at(inlet_c, humidity);
        let mut vessel = litres(200.0);
        vessel.heat_loss_w_per_k = Some(9e4);
        let parts = vec![
            Part::new("compressor", "receiver", PartKind::Compressor(machine(300.0, Duty::reported(share(1.0))))),
            Part::new("receiver", "regulator 1", PartKind::Receiver(vessel)),
        ];
        let parts = parts.into_iter().chain(crate::network::station(1, 3.0, 2.0)).collect();
        let damp = Network::new(site, parts)
            .unwrap()
            .moisture(&DampSettings { room: celsius(room_c), ..settings(1.0) })
            .unwrap();
        let litres = FreeFlow::litres_per_minute(300.0).unwrap();
        let want = condensate(&site, litres, bar(7.0), celsius(room_c)).unwrap().to_base();
        let ours = damp.parts.iter().find(|part| part.part == "receiver").unwrap().condenses.to_base();
        // The mass of a litre differs by 0.3 % (1.185 kg/m³ against moist air of the site).
        assert!((ours / want - 1.0).abs() < 0.012, "{ours} {want}");
    }
}

#[test]
fn a_compressor_that_never_rests_sends_more_water_on() {
    let network = usual(&[(4.0, 2.5)]).network();
    let water = |running: f64| {
        let damp = network.moisture(&settings(running)).unwrap();
        let receiver = damp.parts.iter().find(|part| part.part == "receiver 1").unwrap().clone();
        let dryer = damp.parts.iter().find(|part| part.part == "dryer").unwrap().clone();
        (receiver.temperature, receiver.collects.to_base() / running, dryer.collects.to_base() / running)
    };
    let (cool, hot) = (water(0.2), water(1.0));
    assert!(hot.0 > cool.0, "a warmer receiver: {hot:?} {cool:?}");
    assert!(hot.1 < cool.1 && hot.2 > cool.2, "which catches less of each kilogram: {hot:?} {cool:?}");
}

#[test]
fn without_a_dryer_a_hot_line_is_wet_and_with_one_only_the_jet_is() {
    let dried = usual(&[(4.0, 2.5)]).network();
    let damp = dried.moisture(&settings(1.0)).unwrap();
    assert_eq!(damp.stations[0].clog, Clogging::FogInJet, "{:?}", damp.stations);
    // 3 °C at 8 bar absolute is drier still at 5; ISO 8573-1 class 4 or better.
    assert!(damp.stations[0].water <= air::iso8573::Class::Number(4), "{:?}", damp.stations);
    let humid = Site { temperature: celsius(30.0), humidity: share(0.8), ..site() };
    let mut parts = usual(&[(6.0, 2.5)]).parts();
    parts.retain(|part| part.name != "dryer" && part.name != "separator");
    parts.iter_mut().filter(|part| part.name == "receiver 1").for_each(|part| part.feeds = vec!["pipe".to_owned()]);
    let wet =
        Network::new(humid, parts).unwrap().moisture(&DampSettings { room: celsius(18.0), ..settings(1.0) }).unwrap();
    assert_eq!(wet.stations[0].clog, Clogging::Wet, "{:?}", wet.stations);
    assert!(wet.stations[0].liquid.to_base() > 0.0);
    let full = wet.parts.iter().find(|part| part.word == "aftercooler").unwrap();
    assert!(full.condenses.to_base() > 0.0 && full.collects < full.condenses);
}

#[test]
fn a_bowl_is_to_be_drained_before_it_is_full() {
    let humid = Site { temperature: celsius(30.0), humidity: share(0.8), ..site() };
    let mut parts = usual(&[(4.0, 2.5)]).parts();
    parts.retain(|part| part.name != "dryer");
    parts
        .iter_mut()
        .filter(|part| part.name == "receiver 1")
        .for_each(|part| part.feeds = vec!["separator".to_owned()]);
    let damp = Network::new(humid, parts).unwrap().moisture(&settings(1.0)).unwrap();
    let separator = damp.parts.iter().find(|part| part.part == "separator").unwrap();
    let every = separator.drain_every.unwrap();
    // 0.1 l of bowl at 1 kg for each litre.
    assert!((every.to_seconds() * separator.collects.to_base() / 0.1 - 1.0).abs() < 1e-9);
}

#[test]
fn oil_is_flagged_where_it_may_come_from() {
    let network = usual(&[(4.0, 2.5)])
        .network()
        .changed(|part| {
            if let PartKind::Compressor(machine) = &mut part.kind {
                machine.kind = MachineKind::Screw;
            }
        })
        .unwrap();
    let damp = network.moisture(&DampSettings { lubricated: &["hose 1"], ..settings(0.5) }).unwrap();
    let causes: Vec<_> = damp.oil.iter().map(|risk| (risk.part.as_str(), risk.why)).collect();
    assert!(causes.contains(&("hose 1", OilCause::Lubricated)));
    assert!(causes.contains(&("first compressor", OilCause::FloodedCompressor)));
}

proptest! {
    #[test]
    fn water_is_neither_made_nor_lost(
        inlet_c in 2.0..40.0, humidity in 0.0..1.0, room_c in 2.0..40.0, running in 0.01..1.0, stations in 1usize..4, two in any::<bool>(),
    ) {
        let site = Site { temperature: celsius(inlet_c), humidity: Fraction::ratio(humidity).unwrap(), ..site() };
        let mut shop = usual(&vec![(4.0, 2.0); stations]);
        if two {
            shop.receivers_l.push(90.0);
        }
        let network = Network::new(site, shop.parts()).unwrap();
        let damp = network.moisture(&DampSettings { room: celsius(room_c), ..settings(running) }).unwrap();
        let leaves: f64 = damp.stations.iter().map(|station| station.liquid.to_base()).sum();
        let taken = collected(&damp) + leaves;
        prop_assert!(taken <= damp.drawn_in.to_base() * (1.0 + 1e-9), "{taken} of {}", damp.drawn_in.to_base());
        for part in &damp.parts {
            prop_assert!(part.humidity.to_ratio() <= 1.0 && part.temperature.to_celsius() > -20.0, "{part:?}");
            prop_assert!(part.dew_point.is_none_or(|dew| dew.to_kelvins() <= part.temperature.to_kelvins() + 0.01), "{part:?}");
        }
        for station in &damp.stations {
            prop_assert!(station.dew_point.is_none_or(|dew| dew.to_celsius() < 3.1), "the dryer leaves 3 °C: {station:?}");
        }
    }
}
