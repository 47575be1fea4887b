//! The shop's air line with one nozzle at one setting.

use crate::network;
use crate::refusal::Refusal;
use air::ladder::{Open, Settings};
use air::{
    AirLine, Altitude, Compressor, Conductance, Discharge, Droop, Fittings, Hose, Loading, Network, Nozzle, Regulator,
    Site,
};
use piece::{Shop, ShopCompressor, ShopNozzle};
use quantity::{AbsolutePressure, FreeFlow, GaugePressure, Length, MassRate, Quantity as _, known};

/// Rubber and plastic hose, drawn smooth. From memory, the usual textbook value (air.md section 3).
const HOSE_ROUGHNESS: Length = known(Length::mm(air::hose::SMOOTH_HOSE_MM));

/// The shop's line, with `nozzle` on it and the regulator at `set`; with further parts, the simple line
/// that does the same.
///
/// # Errors
/// [`Refusal`] when a part's numbers are outside what the air model covers, or no air can flow.
pub(crate) fn air_line(shop: &Shop, nozzle: &ShopNozzle, set: GaugePressure) -> Result<AirLine, Refusal> {
    let line = usual(shop, nozzle, set)?;
    if shop.parts.is_empty() {
        return Ok(line);
    }
    let station = network::station(shop, nozzle, set);
    with_parts(line, &network::network(shop, &[station])?)
}

/// A simple line that holds what a network of one station holds.
///
/// While the regulator holds, flow and every pressure behind it stand still. So two numbers carry over
/// all that the further parts do: fittings of the hose that bring the nozzle to its pressure, and a
/// regulator that is fully open at the receiver pressure at which the network's is. What a dryer blows
/// off is taken from what the compressors give. Exact while the pressure holds; where it is lost, the
/// simple line falls along the same way within a few percent.
fn with_parts(line: AirLine, network: &Network) -> Result<AirLine, Refusal> {
    let ladder = network.steady(&Settings { receiver: network.full(), open: Open::All })?;
    // Without a station there is no network.
    let Some(state) = ladder.stations.first() else { return Ok(line) };
    let site = line.site.pressure;
    let absolute = |gauge| AbsolutePressure::from_gauge(gauge, site);
    let (behind, nozzle) = (absolute(state.regulator_out)?, absolute(state.nozzle)?);
    let b = line.regulator.valve.critical_ratio();
    let unit = Conductance::dm3_per_s_bar(1.0, b)?.flow(absolute(state.holds_from)?, behind)?;
    let wide = line.regulator.valve.to_dm3_per_s_bar();
    let valve = Conductance::dm3_per_s_bar((state.flow.to_base() / unit.to_base().max(1e-12)).clamp(0.1, wide), b)?;
    let given = state.flow.to_base() / ladder.flow.to_base().max(state.flow.to_base());
    let compressors = line
        .compressors
        .iter()
        .map(|compressor| Ok(Compressor { free_air: compressor.free_air.scaled(given)?, ..*compressor }));
    Ok(AirLine {
        regulator: Regulator { valve, ..line.regulator },
        hose: Hose { fittings: fittings(&line.hose, behind, nozzle, state.flow)?, ..line.hose },
        compressors: compressors.collect::<Result<_, Refusal>>()?,
        ..line
    })
}

/// Fittings with which a hose lets a flow out at a pressure.
fn fittings(
    hose: &Hose,
    inlet: AbsolutePressure,
    outlet: AbsolutePressure,
    flow: MassRate,
) -> Result<Fittings, Refusal> {
    let lets_out = |k: f64| {
        let hose = Hose { fittings: Fittings::new(k)?, ..*hose };
        // One that chokes lets nothing out at the flow asked for.
        Ok::<_, Refusal>(hose.outlet(inlet, flow).map_or(0.0, |outlet| outlet.to_pascals()))
    };
    let (mut low, mut high) = (0.0, FITTINGS_MOST);
    // Forty halvings of 200 leave less than a hair.
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if lets_out(middle)? > outlet.to_pascals() { low = middle } else { high = middle }
    }
    Ok(Fittings::new(0.5 * (low + high))?)
}

/// Most that a hose's fittings may sum to.
const FITTINGS_MOST: f64 = 200.0;

/// Compressors, receiver, regulator, hose and nozzle alone.
fn usual(shop: &Shop, nozzle: &ShopNozzle, set: GaugePressure) -> Result<AirLine, Refusal> {
    let regulator = &shop.regulator;
    let site = site(shop)?;
    let compressors = shop.compressors.iter().filter(|compressor| compressor.running).map(|compressor| Compressor {
        free_air: delivered(compressor, &site),
        cut_in: compressor.cut_in,
        cut_out: compressor.cut_out,
        duty_max: compressor.duty,
        power: compressor.power,
    });
    Ok(AirLine {
        site,
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

/// What a compressor delivers: what its plate says, or what is left of that where its power shows that
/// it says displacement.
pub(crate) fn delivered(compressor: &ShopCompressor, site: &Site) -> FreeFlow {
    air::machine::check_plate(compressor.free_air, compressor.power, compressor.cut_out, site).likely.mid()
}

/// The air around the shop.
///
/// # Errors
/// [`Refusal`] for an altitude outside -500 m to 5000 m.
pub(crate) fn site(shop: &Shop) -> Result<Site, Refusal> {
    Ok(Site::at_altitude(Altitude::metres(shop.altitude_m)?, shop.temperature, shop.humidity))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Time;

    const SHOP: &str = include_str!("../../../examples/shop.toml");

    /// A pipe and a separator before the regulator, a blast valve and a filter behind it.
    const PARTS: &str = r#"
[[part]]
name = "pipe"
kind = "pipe"
after = "receiver"
bore = "13mm"
length = "15m"

[[part]]
name = "bowl"
kind = "separator"
after = "pipe"

[[part]]
name = "second valve"
kind = "valve"
after = "regulator"
conductance_dm3_s_bar = 6.0

[[part]]
name = "last filter"
kind = "filter"
after = "hose"

"#;

    fn shop(parts: &str) -> Shop {
        piece::read_shop(&SHOP.replacen("[hose]", &format!("{parts}[hose]"), 1), "shop.toml").unwrap()
    }

    #[test]
    fn a_line_with_parts_holds_as_its_network_does() {
        let shop = shop(PARTS);
        for (nozzle, bar) in [(0, 5.0), (1, 2.5), (2, 4.0)] {
            let (nozzle, set) = (&shop.nozzles[nozzle], GaugePressure::bar(bar).unwrap());
            let network = network::network(&shop, &[network::station(&shop, nozzle, set)]).unwrap();
            let state =
                network.steady(&Settings { receiver: network.full(), open: Open::All }).unwrap().stations.remove(0);
            let held = air::hold(&air_line(&shop, nozzle, set).unwrap()).unwrap();
            assert!((held.nozzle.to_bar() - state.nozzle.to_bar()).abs() < 1e-4, "{held:?} {state:?}");
            assert!((held.lowest_receiver.to_bar() - state.holds_from.to_bar()).abs() < 1e-4, "{held:?} {state:?}");
            assert!((held.demand.to_base() / state.flow.to_base() - 1.0).abs() < 1e-4);
            // And in time: the longest blast by the network's own solver.
            let open = [air::course::Pattern::held_open("nozzle")];
            let options = air::course::RunOptions { until_lost: true, ..air::course::RunOptions::default() };
            let course = network.run(&open, Time::hours(1.0).unwrap(), &options).unwrap();
            match (held.longest_blast, course.first_loss()) {
                (None, None) => {}
                (Some(a), Some(b)) => assert!((a.to_seconds() - b.to_seconds()).abs() < 0.1, "{a:?} {b:?}"),
                other => panic!("{other:?}"),
            }
        }
    }

    #[test]
    fn parts_cost_pressure_and_none_cost_nothing() {
        let set = GaugePressure::bar(4.0).unwrap();
        let seen = |parts: &str| {
            let shop = shop(parts);
            air::hold(&air_line(&shop, &shop.nozzles[2], set).unwrap()).unwrap().nozzle.to_bar()
        };
        assert!(seen(PARTS) < seen("") - 0.05, "{} {}", seen(PARTS), seen(""));
    }
}
