//! Half an hour of blasting that loses its hold, against classic Runge-Kutta at a fixed step.
//!
//! The peer is plain: order 4, 0.1 s, switchings looked at once a step. It runs twice, with the
//! balance solved afresh at each stage and with the flow read from a ready table of 400 straight
//! pieces, whose making is not counted; ours makes its own each time.

use air::{
    AirLine, Compressor, Conductance, Discharge, Droop, Fittings, Hose, Loading, Nozzle, Regulator, Site, Start, Trace,
    Valve, hold, pattern_for, run, steady,
};
use criterion::{Criterion, criterion_group, criterion_main};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Temperature, Time, Volume, known,
};
use std::hint::black_box;
use std::time::Instant;

const STEP_S: f64 = 0.1;

fn line() -> AirLine {
    AirLine {
        site: Site {
            pressure: known(AbsolutePressure::pascals(101_325.0)),
            temperature: known(Temperature::celsius(20.0)),
            humidity: known(Fraction::ratio(0.5)),
        },
        compressors: vec![Compressor {
            free_air: known(FreeFlow::litres_per_minute(150.0)),
            cut_in: known(GaugePressure::bar(6.0)),
            cut_out: known(GaugePressure::bar(8.0)),
            duty_max: known(Fraction::ratio(0.6)),
            power: known(Power::kilowatts(1.5)),
        }],
        receiver: known(Volume::litres(50.0)),
        regulator: Regulator {
            set: known(GaugePressure::bar(4.0)),
            droop: Droop::NONE,
            valve: Conductance::dm3_per_s_bar(10.0, 0.3).expect("a usual valve"),
        },
        hose: Hose {
            bore: known(Diameter::mm(8.0)),
            length: known(Length::metres(10.0)),
            roughness: known(Length::mm(0.0015)),
            fittings: Fittings::new(2.0).expect("a usual sum"),
        },
        nozzle: Nozzle {
            bore: known(Diameter::mm(2.5)),
            discharge: Discharge::new(0.8).expect("a usual coefficient"),
            loading: Loading::NONE,
        },
    }
}

/// 110 s open, 40 s closed, for half an hour: the hold is lost in most rounds.
fn pattern() -> Vec<Valve> {
    let valve = |open, s| Valve { open, for_: known(Time::seconds(s)) };
    [valve(true, 110.0), valve(false, 40.0)].repeat(12)
}

fn flow_at(line: &AirLine, gauge: f64) -> f64 {
    let receiver = GaugePressure::pascals(gauge).expect("a receiver's pressure");
    steady(line, receiver).expect("a line that balances").flow.to_kg_per_second()
}

/// Receiver pressure every step, by the plain method.
fn plain(line: &AirLine, flow: impl Fn(f64) -> f64) -> Vec<f64> {
    let capacity = line.receiver.to_cubic_metres() / (287.05 * 293.15);
    let [compressor] = line.compressors[..] else { unreachable!("one compressor") };
    let rate = compressor.mass_rate(&line.site).to_kg_per_second();
    let (mut p, mut on) = (compressor.cut_out.to_pascals(), false);
    let mut trace = vec![p];
    for valve in pattern() {
        for _ in 0..(valve.for_.to_seconds() / STEP_S).round() as u32 {
            let slope = |p: f64| (f64::from(u8::from(on)) * rate - if valve.open { flow(p) } else { 0.0 }) / capacity;
            let k1 = slope(p);
            let k2 = slope(p + 0.5 * STEP_S * k1);
            let k3 = slope(p + 0.5 * STEP_S * k2);
            let k4 = slope(p + STEP_S * k3);
            p += STEP_S / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            on = p <= compressor.cut_in.to_pascals() || on && p < compressor.cut_out.to_pascals();
            trace.push(p);
        }
    }
    trace
}

const PIECES: usize = 400;

/// Flow at equal steps of receiver pressure up to cut-out.
fn table(line: &AirLine) -> (f64, Vec<f64>) {
    let width = line.compressors[0].cut_out.to_pascals() / PIECES as f64;
    (width, (0..=PIECES + 1).map(|piece| flow_at(line, piece as f64 * width)).collect())
}

fn plain_from_table(line: &AirLine, (width, table): &(f64, Vec<f64>)) -> Vec<f64> {
    plain(line, |p| {
        let place = (p / width).clamp(0.0, PIECES as f64);
        let below = place as usize;
        table[below] + (table[below + 1] - table[below]) * place.fract()
    })
}

/// Largest difference of receiver pressure, Pa, where the valve closes.
fn apart(ours: &Trace, plain: &[f64]) -> f64 {
    let closes = (0..12).map(|round| 150.0 * f64::from(round) + 110.0);
    let difference = |at: f64| {
        let sample = ours.at(known(Time::seconds(at))).expect("inside the pattern");
        (sample.receiver.to_pascals() - plain[(at / STEP_S).round() as usize]).abs()
    };
    closes.map(difference).fold(0.0, f64::max)
}

fn compare(criterion: &mut Criterion) {
    let (line, pattern) = (line(), pattern());
    let start = Start::full(&line);
    let ours = || run(black_box(&line), start, black_box(&pattern)).expect("it runs");
    let afresh = || plain(black_box(&line), |p| flow_at(&line, p));
    let flows = table(&line);
    let tabled = || plain_from_table(black_box(&line), &flows);
    let mut group = criterion.benchmark_group("half_an_hour");
    group.sample_size(10);
    group.bench_function("ours", |bencher| bencher.iter(ours));
    group.bench_function("plain_from_table", |bencher| bencher.iter(tabled));
    group.bench_function("plain_afresh", |bencher| bencher.iter(afresh));
    group.finish();
    let time = |job: &dyn Fn(), times: u32| {
        let begun = Instant::now();
        (0..times).for_each(|_| job());
        begun.elapsed().as_secs_f64() / f64::from(times)
    };
    let mine = time(&|| drop(black_box(ours())), 200);
    let from_table = time(&|| drop(black_box(tabled())), 20);
    let solved = time(&|| drop(black_box(afresh())), 2);
    println!(
        "half an hour: {:.3} ms; plain from a table {:.1} times, plain afresh {:.0} times that",
        mine * 1e3,
        from_table / mine,
        solved / mine
    );
    let (table, solved) = (apart(&ours(), &tabled()), apart(&ours(), &afresh()));
    println!("receiver at the ends of blasts: {table:.0} Pa from the one with a table, {solved:.0} Pa from the other");
    criterion.bench_function("hold", |bencher| bencher.iter(|| hold(black_box(&line)).expect("it holds")));
    let needed = known(Time::minutes(20.0));
    criterion.bench_function("pattern_for", |bencher| {
        bencher.iter(|| pattern_for(black_box(&line), start, needed).expect("it holds"))
    });
}

criterion_group!(benches, compare);
criterion_main!(benches);
