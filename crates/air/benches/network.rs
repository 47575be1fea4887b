//! Half an hour of a shop with two stations, a map of 60 pressures by 40 bores, a sizing; against
//! classic Runge-Kutta at a fixed step with the flows of each set of open valves in a ready table.
//!
//! The peer's step is 0.02 s for half an hour: even at that its receiver is farther from a solution at 1 ms than
//! ours. Making its tables is not counted. In the map it stops at the first loss, as ours does, and only its stepping is
//! counted.

use air::course::{Course, Pattern, RunOptions};
use air::ladder::{Open, Settings};
use air::machine::{Delivery, Duty};
use air::map::Holds;
use air::part::{Dryer, Pot, Tip, Trap, Vessel};
use air::size::{Sizes, Work, size};
use air::{
    Conductance, Discharge, Droop, Fittings, Hose, Loading, Machine, MachineKind, Network, Part, PartKind, Regulator,
    Site, Valve,
};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Quantity, Temperature, Time, Volume,
    known,
};
use std::hint::black_box;
use std::time::Instant;

const HALF_AN_HOUR: Time = known(Time::minutes(30.0));
const CUT_IN: GaugePressure = known(GaugePressure::bar(7.0));
const CUT_OUT: GaugePressure = known(GaugePressure::bar(9.0));
const FREE_AIR: FreeFlow = known(FreeFlow::litres_per_minute(350.0));

fn site() -> Site {
    Site {
        pressure: known(AbsolutePressure::pascals(101_325.0)),
        temperature: known(Temperature::celsius(20.0)),
        humidity: known(Fraction::ratio(0.5)),
    }
}

fn passes(c: f64) -> Conductance {
    Conductance::dm3_per_s_bar(c, 0.3).expect("a usual part")
}

fn run_of(bore: Diameter, length: Length) -> Hose {
    Hose { bore, length, roughness: known(Length::mm(0.0015)), fittings: Fittings::new(2.0).expect("a usual sum") }
}

fn station(number: usize, bore: Diameter) -> Vec<Part> {
    let name = |word: &str| format!("{word} {number}");
    let regulator = Regulator { set: known(GaugePressure::bar(4.0)), droop: Droop::NONE, valve: passes(12.0) };
    let pot = Pot { passes: passes(40.0), loading: Loading::new(0.5).expect("a usual loading") };
    let hose = run_of(known(Diameter::mm(10.0)), known(Length::metres(8.0)));
    vec![
        Part::new(&name("regulator"), &name("hose"), PartKind::Regulator(regulator)),
        Part::new(&name("hose"), &name("pot"), PartKind::Hose(hose)),
        Part::new(&name("pot"), &name("nozzle"), PartKind::Pot(pot)),
        Part::last(&name("nozzle"), PartKind::Nozzle(Tip::new(bore, Discharge::ROUNDED))),
    ]
}

/// One compressor, one receiver or two, dryer, separator, pipe, two stations.
fn shop(receivers: usize) -> Network {
    let machine = Machine {
        kind: MachineKind::TwoStage,
        delivery: Delivery::Constant(FREE_AIR),
        cut_in: CUT_IN,
        cut_out: CUT_OUT,
        duty: Duty::reported(known(Fraction::ratio(0.7))),
        power: known(Power::kilowatts(3.0)),
        switched_on: true,
    };
    let dew_point = known(Temperature::celsius(3.0));
    let dryer = Dryer { dew_point, purge: known(Fraction::ratio(0.0)), passes: passes(50.0) };
    let trap = Trap { passes: passes(50.0), catches: known(Fraction::ratio(0.9)), bowl: known(Volume::litres(0.1)) };
    let vessel = Vessel::of(known(Volume::litres(150.0)));
    let pipe = run_of(known(Diameter::mm(16.0)), known(Length::metres(15.0)));
    let mut parts = vec![Part::new("compressor", "receiver", PartKind::Compressor(machine))];
    if receivers == 2 {
        parts.push(Part::new("receiver", "link", PartKind::Receiver(vessel)));
        parts.push(Part::new("link", "second receiver", PartKind::Pipe(pipe)));
        parts.push(Part::new("second receiver", "dryer", PartKind::Receiver(vessel)));
    } else {
        parts.push(Part::new("receiver", "dryer", PartKind::Receiver(vessel)));
    }
    parts.push(Part::new("dryer", "separator", PartKind::Dryer(dryer)));
    parts.push(Part::new("separator", "pipe", PartKind::Separator(trap)));
    let feeds = vec!["regulator 1".to_owned(), "regulator 2".to_owned()];
    parts.push(Part { name: "pipe".to_owned(), feeds, kind: PartKind::Pipe(pipe) });
    parts.extend(station(1, known(Diameter::mm(3.0))));
    parts.extend(station(2, known(Diameter::mm(2.4))));
    Network::new(site(), parts).expect("a line that is one")
}

/// Open and closed stretches of the two stations, s.
const RHYTHMS: [[f64; 2]; 2] = [[90.0, 30.0], [60.0, 45.0]];

fn patterns() -> Vec<Pattern> {
    let valve = |open, s| Valve { open, for_: Time::seconds(s).expect("a short time") };
    let pattern = |(number, [on, off]): (usize, [f64; 2])| {
        Pattern::repeating(&format!("nozzle {}", number + 1), &[valve(true, on), valve(false, off)])
    };
    RHYTHMS.into_iter().enumerate().map(pattern).collect()
}

fn ours(network: &Network) -> Course {
    network.run(&patterns(), HALF_AN_HOUR, &RunOptions::default()).expect("it runs")
}

const PIECES: usize = 1000;

/// Flow at equal steps of receiver pressure up to cut-out, for each set of open valves.
fn tables(network: &Network) -> [Vec<f64>; 4] {
    [0, 1, 2, 3].map(|mask: usize| {
        let names = ["nozzle 1", "nozzle 2"];
        let open: Vec<&str> = (0..2).filter(|number| mask >> number & 1 == 1).map(|number| names[number]).collect();
        let flow = |piece: usize| {
            let gauge = CUT_OUT.to_pascals() * piece as f64 / PIECES as f64;
            let receiver = GaugePressure::pascals(gauge).expect("a receiver's pressure");
            let settings = Settings { receiver, open: Open::These(&open) };
            network.steady(&settings).expect("known stations").flow.to_base()
        };
        (0..=PIECES + 1).map(flow).collect()
    })
}

/// Receiver gauge pressure every step, by the plain method.
fn plain(tables: &[Vec<f64>; 4], step_s: f64) -> Vec<f64> {
    let capacity = 0.15 / (287.05 * 293.15);
    let rate = 1.185 * FREE_AIR.to_base() * 1.01325;
    let (mut p, mut on) = (CUT_OUT.to_pascals(), false);
    let steps = (HALF_AN_HOUR.to_seconds() / step_s).round() as usize;
    let mut trace = Vec::with_capacity(steps + 1);
    trace.push(p);
    for step in 0..steps {
        let time = step as f64 * step_s;
        let open = |number: usize| time.rem_euclid(RHYTHMS[number].iter().sum()) < RHYTHMS[number][0] - 1e-9;
        let table = &tables[usize::from(open(0)) + 2 * usize::from(open(1))];
        let flow = |p: f64| {
            let place = (p / CUT_OUT.to_pascals() * PIECES as f64).clamp(0.0, PIECES as f64);
            let below = place as usize;
            table[below] + (table[below + 1] - table[below]) * place.fract()
        };
        let slope = |p: f64| (f64::from(u8::from(on)) * rate - flow(p)) / capacity;
        let k1 = slope(p);
        let k2 = slope(p + 0.5 * step_s * k1);
        let k3 = slope(p + 0.5 * step_s * k2);
        let k4 = slope(p + step_s * k3);
        p += step_s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
        on = p <= CUT_IN.to_pascals() || on && p < CUT_OUT.to_pascals();
        trace.push(p);
    }
    trace
}

/// Mean seconds of a job.
fn time(job: &dyn Fn(), times: u32) -> f64 {
    let begun = Instant::now();
    (0..times).for_each(|_| job());
    begun.elapsed().as_secs_f64() / f64::from(times)
}

/// Largest difference of receiver pressure each 15 s, Pa.
fn apart(a: impl Fn(f64) -> f64, b: impl Fn(f64) -> f64) -> f64 {
    (1..=120).map(|n| f64::from(n) * 15.0 - 0.5).map(|at| (a(at) - b(at)).abs()).fold(0.0, f64::max)
}

fn half_an_hour(criterion: &mut Criterion) {
    let (one, two) = (shop(1), shop(2));
    let tables = tables(&one);
    const STEP_S: f64 = 0.02;
    let mut group = criterion.benchmark_group("half_an_hour_of_two_stations");
    group.sample_size(20);
    group.bench_function("one_receiver", |bencher| bencher.iter(|| ours(black_box(&one))));
    group.bench_function("two_receivers", |bencher| bencher.iter(|| ours(black_box(&two))));
    group.bench_function("plain_from_tables", |bencher| bencher.iter(|| plain(black_box(&tables), STEP_S)));
    group.finish();
    let mine = time(&|| drop(black_box(ours(&one))), 50);
    let with_two = time(&|| drop(black_box(ours(&two))), 20);
    let peer = time(&|| drop(black_box(plain(&tables, STEP_S))), 20);
    let course = ours(&one);
    let finest = plain(&tables, 0.001);
    let coarse = plain(&tables, STEP_S);
    let at = |trace: &[f64], step: f64, s: f64| trace[(s / step).round() as usize];
    let of_ours = |s: f64| course.at(Time::seconds(s).expect("inside")).expect("inside").receivers[0].to_pascals();
    println!(
        "half an hour of two stations: {:.3} ms; two receivers {:.3} ms; plain from ready tables {:.3} ms, {:.1} times ours",
        mine * 1e3,
        with_two * 1e3,
        peer * 1e3,
        peer / mine
    );
    println!(
        "receiver apart from the plain method at 1 ms: ours {:.0} Pa, plain at {STEP_S} s {:.0} Pa",
        apart(of_ours, |s| at(&finest, 0.001, s)),
        apart(|s| at(&coarse, STEP_S, s), |s| at(&finest, 0.001, s))
    );
}

fn axes() -> (Vec<GaugePressure>, Vec<Diameter>) {
    let pressures = (0..60).map(|n| GaugePressure::bar(0.5 + 0.14 * f64::from(n)).expect("a setting"));
    let bores = (0..40).map(|n| Diameter::mm(0.6 + 0.12 * f64::from(n)).expect("a bore"));
    (pressures.collect(), bores.collect())
}

/// Longest blast of one cell by the plain method: demand is constant while it holds.
fn plain_cell(demand: f64, lowest: f64, horizon_s: f64) -> f64 {
    const STEP_S: f64 = 0.1;
    let capacity = 0.15 / (287.05 * 293.15);
    let rate = 1.185 * FREE_AIR.to_base() * 1.01325;
    let (mut p, mut on, mut time) = (CUT_OUT.to_pascals(), false, 0.0);
    while time < horizon_s && p >= lowest {
        p += STEP_S * (f64::from(u8::from(on)) * rate - demand) / capacity;
        on = p <= CUT_IN.to_pascals() || on && p < CUT_OUT.to_pascals();
        time += STEP_S;
    }
    time
}

fn map(criterion: &mut Criterion) {
    let network = shop(1);
    let (pressures, bores) = axes();
    let horizon = known(Time::hours(1.0));
    let ours = || network.map("nozzle 1", &pressures, &bores, horizon).expect("it runs");
    let mut group = criterion.benchmark_group("map_60_by_40");
    group.sample_size(10);
    group.bench_function("ours", |bencher| bencher.iter(ours));
    group.finish();
    let seconds = time(&|| drop(black_box(ours())), 5);
    let cells = ours().cells;
    let count = |wanted: fn(&Holds) -> bool| cells.iter().filter(|cell| wanted(&cell.holds)).count();
    // The peer gets each cell's demand and lowest pressure for nothing: what is compared is time stepping.
    let stepping = |demand: f64| {
        let job = || {
            black_box(plain_cell(black_box(demand), 4.2e5, 3600.0));
        };
        time(&job, 50)
    };
    let (typical, endless) = (stepping(5e-3), stepping(1e-3));
    let peer = typical * count(|holds| matches!(holds, Holds::For(_))) as f64
        + endless * count(|holds| matches!(holds, Holds::Throughout)) as f64;
    println!(
        "map of {} cells: {:.0} ms on {} cores ({} end, {} go on, {} never); plain stepping alone about {:.0} ms on one",
        cells.len(),
        seconds * 1e3,
        std::thread::available_parallelism().map_or(1, usize::from),
        count(|holds| matches!(holds, Holds::For(_))),
        count(|holds| matches!(holds, Holds::Throughout)),
        count(|holds| matches!(holds, Holds::Never)),
        peer * 1e3
    );
}

fn sizing(criterion: &mut Criterion) {
    let flow = |value: &f64| FreeFlow::litres_per_minute(*value).expect("a size");
    let flows: Vec<_> = [100.0, 200.0, 300.0, 400.0, 600.0, 800.0, 1200.0, 2000.0].iter().map(flow).collect();
    let receivers: Vec<_> = [50.0, 100.0, 200.0, 270.0, 500.0].map(|l| Volume::litres(l).expect("a size")).to_vec();
    let hoses: Vec<_> = [6.0, 8.0, 10.0, 13.0, 16.0].map(|mm| Diameter::mm(mm).expect("a size")).to_vec();
    let regulators: Vec<_> = [3.0, 6.0, 12.0, 25.0].map(passes).to_vec();
    let work = Work {
        site: site(),
        bore: known(Diameter::mm(2.5)),
        discharge: Discharge::ROUNDED,
        loading: Loading::NONE,
        pressure: known(GaugePressure::bar(3.5)),
        stations: 2,
        share: known(Fraction::ratio(0.5)),
        growth: 1.2,
        hose_length: known(Length::metres(10.0)),
        loss_max: known(GaugePressure::bar(0.5)),
        kind: MachineKind::TwoStage,
        duty: known(Fraction::ratio(0.7)),
        cut_in: CUT_IN,
        cut_out: CUT_OUT,
    };
    let sizes = Sizes {
        free_air: &flows,
        receivers: &receivers,
        hoses: &hoses,
        regulators: &regulators,
        dryers: &flows,
        separators: &flows,
    };
    criterion.bench_function("size", |bencher| bencher.iter(|| size(black_box(&work), &sizes).expect("a size holds")));
}

criterion_group!(benches, half_an_hour, map, sizing);
criterion_main!(benches);
