//! Pressure loss of hoses and pipes.

use crate::{Family, Row, each, family, percent, the};
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

/// fluids 1.3.1 isothermal_gas with the inlet's density, and an own root-find.
fn of_the_solver(row: &Row) -> f64 {
    let (hose, inlet, flow) = metric(row);
    let factor = percent(friction(row.after("Re="), SMOOTH_HOSE_MM / row.after("id=")), row.after("f="));
    assert!(factor.abs() < 0.01, "{}: friction factor {factor:+} %", row.id);
    percent(drop_pa(hose, inlet, flow) / 1e5, row.value())
}

fn of_the_solver_us(row: &Row) -> f64 {
    let hose = smooth(Diameter::inches(row.after("id=")).unwrap(), Length::feet(50.0).unwrap());
    let psi = 6_894.757;
    // Gauge readings of these rows are above 101 325 Pa.
    let inlet = AbsolutePressure::pascals(row.before(" psig") * psi + SITE_PA).unwrap();
    percent(drop_pa(hose, inlet, MassRate::scfm(row.before(" scfm")).unwrap()) / psi, row.value())
}

/// Chart of loss in 100 ft of clean commercial steel pipe at 80 psi.
fn of_the_chart(row: &Row) -> f64 {
    let pipe = Hose {
        bore: Diameter::inches(row.after("ID ")).unwrap(),
        length: Length::feet(100.0).unwrap(),
        roughness: Length::mm(STEEL_PIPE_MM).unwrap(),
        fittings: Fittings::NONE,
    };
    let inlet = AbsolutePressure::psi(80.0 + 14.7).unwrap();
    let outlet = pipe.outlet(inlet, MassRate::scfm(row.before(" cfm")).unwrap()).unwrap();
    percent(inlet.to_psi() - outlet.to_psi(), row.value())
}

/// A reading of a chart, good to a factor of 1.5 either way: the logarithm over that of 1.5.
fn of_the_reading(row: &Row) -> f64 {
    let hose = smooth(Diameter::inches(row.before(" in hose")).unwrap(), Length::feet(50.0).unwrap());
    let inlet = AbsolutePressure::psi(row.before(" psi") + 14.7).unwrap();
    let outlet = hose.outlet(inlet, MassRate::scfm(row.before(" cfm")).unwrap()).unwrap();
    ((inlet.to_psi() - outlet.to_psi()) / row.value()).ln() / 1.5f64.ln()
}

/// 10 mm, 15 m, 550 l/min, 6 bar gauge: the base case of air.md section 3.
fn base() -> (Hose, AbsolutePressure, MassRate) {
    let hose = smooth(Diameter::mm(10.0).unwrap(), Length::metres(15.0).unwrap());
    let inlet = AbsolutePressure::pascals(6e5 + SITE_PA).unwrap();
    (hose, inlet, MassRate::litres_anr_per_minute(550.0).unwrap())
}

fn of_base_with(row: &Row, k: f64) -> f64 {
    let (hose, inlet, flow) = base();
    let hose = Hose { fittings: Fittings::new(k).unwrap(), ..hose };
    percent(drop_pa(hose, inlet, flow) / 1e5, row.value())
}

pub(crate) fn families() -> Vec<Family> {
    vec![
        family("HOSE-", 0.5, of_the_solver),
        family("HOSE-K4", 0.5, |row| of_base_with(row, row.after("K="))),
        family("HOSEUS-", 0.5, of_the_solver_us),
        family("PIPE-", 20.0, of_the_chart),
        each("HOSE-CHART", of_the_reading),
    ]
}

#[test]
fn a_rough_wall_adds_to_the_loss_and_fittings_do() {
    let (hose, inlet, flow) = base();
    let off = |hose: Hose, bar: f64| percent(drop_pa(hose, inlet, flow) / 1e5, bar);
    let rough = Hose { roughness: Length::mm(0.05).unwrap(), ..hose };
    let offs = [off(hose, 0.349_255_3), off(rough, 0.568_65)];
    println!("HOSE base, rough: off by {offs:.4?} %");
    assert!(offs.iter().all(|off| off.abs() < 0.5));
    assert!(the("HOSE-K4").value() > 0.349_255_3);
}

#[test]
fn a_hose_too_small_is_an_answer() {
    // air.md section 3: 6 mm, 20 m, 450 l/min from 5 bar gauge is impossible.
    let hose = smooth(Diameter::mm(6.0).unwrap(), Length::metres(20.0).unwrap());
    let inlet = AbsolutePressure::pascals(5e5 + SITE_PA).unwrap();
    let refused = hose.outlet(inlet, MassRate::litres_anr_per_minute(450.0).unwrap());
    assert!(matches!(refused, Err(HoseError::TooSmall { .. })), "{refused:?}");
}
