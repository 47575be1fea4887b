//! Pressure loss of hoses and pipes.

use crate::{Row, agree, percent, rows, the};
use air::hose::{HoseError, SMOOTH_HOSE_MM, STEEL_PIPE_MM, friction};
use air::{Fittings, Hose};
use quantity::{AbsolutePressure, Diameter, Length, MassRate};

const SITE_PA: f64 = 101_325.0;

fn smooth(bore: Diameter, length: Length) -> Hose {
    Hose { bore, length, roughness: Length::mm(SMOOTH_HOSE_MM).unwrap(), fittings: Fittings::NONE }
}

fn metric(row: &Row) -> (Hose, AbsolutePressure, MassRate) {
    let hose = smooth(Diameter::mm(row.after("id=")).unwrap(), Length::metres(row.after("L=")).unwrap());
    let inlet = AbsolutePressure::pascals(row.after("p1=") * 1e5 + SITE_PA).unwrap();
    (hose, inlet, MassRate::litres_anr_per_minute(row.after("Q=")).unwrap())
}

fn drop_pa(hose: Hose, inlet: AbsolutePressure, flow: MassRate) -> f64 {
    let outlet = hose.outlet(inlet, flow).unwrap();
    let back = hose.inlet(outlet, flow).unwrap();
    assert!((back.to_pascals() / inlet.to_pascals() - 1.0).abs() < 1e-9, "inlet and outlet are inverses");
    let through = hose.flow(inlet, outlet).unwrap();
    assert!((through.to_kg_per_second() / flow.to_kg_per_second() - 1.0).abs() < 1e-6, "and so is the flow");
    inlet.to_pascals() - outlet.to_pascals()
}

#[test]
fn hose_loss_agrees_with_an_independent_solver() {
    // fluids 1.3.1 isothermal_gas with the inlet's density, and an own root-find.
    let metric_rows: Vec<Row> = rows("HOSE-").into_iter().filter(|row| row.inputs.contains("Q=")).collect();
    agree("HOSE", 0.5, " %", &metric_rows, |row| {
        let (hose, inlet, flow) = metric(row);
        percent(drop_pa(hose, inlet, flow) / 1e5, row.value())
    });
    agree("HOSE friction factor", 0.01, " %", &metric_rows, |row| {
        let reynolds = row.after("Re=");
        percent(friction(reynolds, SMOOTH_HOSE_MM / row.after("id=")), row.after("f="))
    });
}

#[test]
fn hose_loss_in_us_units_agrees_too() {
    agree("HOSEUS", 0.5, " %", &rows("HOSEUS-"), |row| {
        let hose = smooth(Diameter::inches(row.after("id=")).unwrap(), Length::feet(50.0).unwrap());
        let psi = 6_894.757;
        // Gauge readings of these rows are above 14.7 psia.
        let inlet = AbsolutePressure::pascals(row.before(" psig") * psi + SITE_PA).unwrap();
        percent(drop_pa(hose, inlet, MassRate::scfm(row.before(" scfm")).unwrap()) / psi, row.value())
    });
}

#[test]
fn fittings_and_a_rough_wall_add_to_the_loss() {
    // Base case 10 mm, 15 m, 550 l/min, 6 bar gauge: air.md section 3.
    let base = smooth(Diameter::mm(10.0).unwrap(), Length::metres(15.0).unwrap());
    let inlet = AbsolutePressure::pascals(6e5 + SITE_PA).unwrap();
    let flow = MassRate::litres_anr_per_minute(550.0).unwrap();
    let off = |hose: Hose, bar: f64| percent(drop_pa(hose, inlet, flow) / 1e5, bar);
    let with_fittings = Hose { fittings: Fittings::new(4.0).unwrap(), ..base };
    let rough = Hose { roughness: Length::mm(0.05).unwrap(), ..base };
    let offs = [off(base, 0.349_255_3), off(with_fittings, the("HOSE-K4").value()), off(rough, 0.568_65)];
    println!("HOSE base, K 4, rough: off by {offs:.4?} %");
    assert!(offs.iter().all(|off| off.abs() < 0.5));
}

#[test]
fn pipe_loss_agrees_with_a_printed_chart() {
    // Chart of loss in 100 ft of clean commercial steel pipe at 80 psi.
    agree("PIPE", 20.0, " %", &rows("PIPE-"), |row| {
        let pipe = Hose {
            bore: Diameter::inches(row.after("ID ")).unwrap(),
            length: Length::feet(100.0).unwrap(),
            roughness: Length::mm(STEEL_PIPE_MM).unwrap(),
            fittings: Fittings::NONE,
        };
        let inlet = AbsolutePressure::psi(80.0 + 14.7).unwrap();
        let flow = MassRate::scfm(row.before(" cfm")).unwrap();
        let outlet = pipe.outlet(inlet, flow).unwrap();
        percent(inlet.to_psi() - outlet.to_psi(), row.value())
    });
}

#[test]
fn a_chart_reading_for_hose_is_within_its_width() {
    let row = the("HOSE-CHART");
    let hose = smooth(Diameter::inches(row.before(" in hose")).unwrap(), Length::feet(50.0).unwrap());
    let inlet = AbsolutePressure::psi(row.before(" psi") + 14.7).unwrap();
    let outlet = hose.outlet(inlet, MassRate::scfm(row.before(" cfm")).unwrap()).unwrap();
    let ratio = (inlet.to_psi() - outlet.to_psi()) / row.value();
    println!("HOSE-CHART: {ratio:.3} times the reading");
    assert!((1.0 / 1.5..1.5).contains(&ratio));
}

#[test]
fn a_hose_too_small_is_an_answer() {
    // air.md section 3: 6 mm, 20 m, 450 l/min from 5 bar gauge is impossible.
    let hose = smooth(Diameter::mm(6.0).unwrap(), Length::metres(20.0).unwrap());
    let inlet = AbsolutePressure::pascals(5e5 + SITE_PA).unwrap();
    let refused = hose.outlet(inlet, MassRate::litres_anr_per_minute(450.0).unwrap());
    assert!(matches!(refused, Err(HoseError::TooSmall { .. })), "{refused:?}");
}
