//! Synthetic shops whose constants are known.

use super::*;
use crate::grain::{Gas, Grain};
use crate::jet::Blast;
use crate::resist::Resist;
use crate::sampling::{mixed, normal_deviate};
use quantity::{AbsolutePressure, Area, Density, Diameter, Estimate, Fraction, MassRate, Speed, Temperature, Time};

fn mm(value: f64) -> Length {
    Length::mm(value).unwrap()
}

fn setting(kpa: f64, um: f64, standoff: f64) -> Setting {
    let warm = Temperature::celsius(20.0).unwrap();
    let air = 0.0404 * 0.82 * 4.52e-6 * (kpa + 101.3) * 1e3 / 293f64.sqrt();
    let blast = Blast {
        gas: Gas::choked(AbsolutePressure::kpa(kpa + 101.325).unwrap(), warm).unwrap(),
        room: Gas {
            speed: Speed::metres_per_second(0.0).unwrap(),
            temperature: warm,
            density: Density::kg_per_cubic_metre(1.204).unwrap(),
            viscosity_pa_s: 1.81e-5,
        },
        bore: Diameter::mm(2.4).unwrap(),
        bore_length: mm(50.0),
        standoff: mm(standoff),
        grain: Grain { size: Diameter::um(um).unwrap(), density: Density::kg_per_cubic_metre(3950.0).unwrap() },
        grit_rate: MassRate::kg_per_second(0.7 * air).unwrap(),
        air_rate: MassRate::kg_per_second(air).unwrap(),
        angle_deg: 90.0,
        target_factor: 1.0,
        abrasive_factor: 1.0,
    };
    Setting {
        blast,
        swept: Area::square_cm(16.0).unwrap(),
        on_target: Fraction::ratio(0.8).unwrap(),
        opening: mm(12.0),
        pairing: 0,
    }
}

/// A number from 0 to 1, the same for the same arguments.
fn chance(trial: u64, what: u64) -> f64 {
    ((mixed(0x5ab0_0000 + (trial << 16 | what)) >> 11) as f64 + 0.5) / (1u64 << 53) as f64
}

fn deviate(trial: u64, what: u64) -> f64 {
    normal_deviate(chance(trial, what))
}

/// Constants drawn from the prior, by chance and not by the even samples of the calibration.
fn hidden(prior: &Prior, trial: u64) -> Model {
    let numbers = std::array::from_fn(|i| {
        let (min, max) = crate::model::CONSTANTS[i].range;
        prior.spreads[i].at(deviate(trial, i as u64)).clamp(min, max)
    });
    Model::from_numbers(numbers).unwrap()
}

fn coupon(setting: &Setting, truth: &Model, trial: u64, i: u64) -> Coupon {
    let gauge = mm(0.02);
    let rate = setting.rate(truth).unwrap().dose;
    // Blasted until about 0.8 mm.
    let seconds = (0.8e-3 / rate).clamp(5.0, 3600.0);
    let depth = setting.depth(truth, rate * seconds) * (SCATTER * deviate(trial, 100 + i)).exp();
    let gauged = (depth + gauge.to_metres() * deviate(trial, 200 + i)).max(1e-6);
    let time = Time::seconds(seconds).unwrap();
    Coupon { setting: *setting, time, depth: metres(gauged), gauge, resist: None }
}

#[test]
fn after_five_coupons_the_interval_covers_the_truth_and_is_four_times_narrower() {
    const TRIALS: u64 = 400;
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let settings = [(150.0, 109.0), (300.0, 109.0), (450.0, 109.0), (300.0, 58.0), (200.0, 58.0)];
    let settings = settings.map(|(kpa, um)| setting(kpa, um, 120.0));
    let target = setting(350.0, 82.0, 150.0);
    let rates: Vec<Rates> = settings.iter().map(|setting| calibration.rates(setting).unwrap()).collect();
    let target_rates = calibration.rates(&target).unwrap();
    // Every draw is a sample with another level: its rate is the sample's, times the level.
    let width = |posterior: &Posterior| {
        let mut logs: Vec<f64> =
            posterior.models().map(|(model, _)| log_rate(&calibration, &target_rates, model)).collect();
        quantity::percentiles(&mut logs)
    };
    let [low, _, high] = width(&calibration.posterior(&[]).unwrap());
    let before = high - low;
    let (mut covered, mut widths, mut least) = (0, 0.0, f64::INFINITY);
    for trial in 0..TRIALS {
        let truth = hidden(&Prior::default(), trial);
        let coupons: Vec<Coupon> =
            settings.iter().enumerate().map(|(i, setting)| coupon(setting, &truth, trial, i as u64)).collect();
        let posterior = calibration.weighed(&coupons, &rates.iter().collect::<Vec<_>>()).unwrap();
        let [low, _, high] = width(&posterior);
        let want = target.rate(&truth).unwrap().dose.ln();
        covered += u32::from(low <= want && want <= high);
        widths += high - low;
        least = least.min(posterior.effective_share());
    }
    let (share, narrower) = (f64::from(covered) / TRIALS as f64, before / (widths / TRIALS as f64));
    println!("covered {:.1} %, {narrower:.1} times narrower, least effective share {least:.3}", share * 100.0);
    assert!((0.85..=0.95).contains(&share) && narrower >= 4.0);
}

/// Logarithm of the rate of a draw, from the rate of the sample that it is made from.
fn log_rate(calibration: &Calibration, rates: &Rates, model: &Model) -> f64 {
    let from = calibration.samples.iter().position(|sample| sample.velocity_exponent == model.velocity_exponent);
    let sample = from.expect("a draw keeps its sample's exponent");
    let level =
        model.erosion_ref.to_cubic_metres_per_kg() / calibration.samples[sample].erosion_ref.to_cubic_metres_per_kg();
    (rates[sample].dose * level).ln()
}

#[test]
fn one_coupon_is_worth_about_a_fifth_either_way() {
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let (truth, one) = (hidden(&Prior::default(), 7), setting(300.0, 109.0, 120.0));
    let posterior = calibration.posterior(&[coupon(&one, &truth, 7, 0)]).unwrap();
    let depth = posterior.depth(&one, Time::seconds(60.0).unwrap()).unwrap();
    let half = (depth.high().to_metres() / depth.low().to_metres()).sqrt();
    println!("after one coupon: a factor of {half:.3} either way");
    assert!((1.12..1.25).contains(&half), "15 to 20 % (judgement)");
}

#[test]
fn without_readings_the_posterior_is_the_prior() {
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let posterior = calibration.posterior(&[]).unwrap();
    let mut levels: Vec<f64> =
        posterior.samples(0, 384).iter().map(|model| model.erosion_ref.to_cubic_mm_per_gram()).collect();
    let [low, mid, high] = quantity::percentiles(&mut levels);
    println!("level {low:.2} {mid:.2} {high:.2}");
    assert!(
        (low / (4.0 / 3.0) - 1.0).abs() < 0.15 && (mid / 4.0 - 1.0).abs() < 0.1 && (high / 12.0 - 1.0).abs() < 0.15
    );
    assert_eq!(posterior, calibration.posterior(&[]).unwrap(), "the same on every call");
}

#[test]
fn a_stored_posterior_comes_back() {
    let calibration = Calibration::new(Prior::default(), vec![0.0, 0.2]).unwrap();
    let truth = hidden(&Prior::default(), 3);
    let posterior = calibration.posterior(&[coupon(&setting(300.0, 109.0, 120.0), &truth, 3, 0)]).unwrap();
    let back = Posterior::from_rows(&posterior.to_rows()).unwrap();
    let close = |(a, b): (&Vec<f64>, &Vec<f64>)| a.iter().zip(b).all(|(a, b)| (a - b).abs() <= 1e-9 * a.abs());
    assert!(posterior.to_rows().iter().zip(&back.to_rows()).all(close));
    assert_eq!(Posterior::from_rows(&[]), Err(CalibrateError::Rows));
    assert!(Posterior::from_rows(&[vec![1.0; 5]]).is_err() && Posterior::from_rows(&[vec![-1.0; 13]]).is_err());
}

#[test]
fn a_coupon_of_one_pairing_tells_less_of_another() {
    let calibration = Calibration::new(Prior::default(), vec![0.0, 0.3]).unwrap();
    let truth = hidden(&Prior::default(), 11);
    let one = setting(300.0, 109.0, 120.0);
    let posterior = calibration.posterior(&[coupon(&one, &truth, 11, 0)]).unwrap();
    let width = |pairing: usize| {
        let depth = posterior.depth(&Setting { pairing, ..one }, Time::seconds(60.0).unwrap()).unwrap();
        (depth.high().to_metres() / depth.low().to_metres()).ln()
    };
    // 0.1 of scatter alone, and with 0.3 of the pairing: 3.29 standard deviations wide.
    println!("own pairing {:.2}, another {:.2}", width(0), width(1));
    assert!((width(1) / (3.29 * 0.1f64.hypot(0.3)) - 1.0).abs() < 0.2 && width(0) < 0.5 * width(1));
}

#[test]
fn the_most_telling_coupon_is_the_one_like_the_work() {
    let calibration = Calibration::new(Prior::default(), vec![0.0, 0.6]).unwrap();
    let posterior = calibration.posterior(&[]).unwrap();
    let target = Setting { pairing: 1, ..setting(350.0, 82.0, 150.0) };
    let minute = Time::seconds(60.0).unwrap();
    let candidates = [(setting(350.0, 82.0, 150.0), minute), (target, minute), (setting(100.0, 29.0, 60.0), minute)];
    let telling = posterior.most_telling(&candidates, (&target, minute), mm(0.02)).unwrap();
    println!("{telling:?}");
    assert_eq!(telling[0].candidate, 1);
    assert!(telling[0].narrows_to < 0.3 && telling.iter().all(|t| (0.0..=1.0).contains(&t.narrows_to)));
    // What was promised comes about, on the average of shops (here, of three).
    let now = posterior.depth(&target, minute).unwrap();
    let log_width = |e: Estimate<Length>| (e.high().to_metres() / e.low().to_metres()).ln();
    let then: f64 = (20..23)
        .map(|trial| {
            let reading = coupon(&target, &hidden(&Prior::default(), trial), trial, 0);
            log_width(calibration.posterior(&[reading]).unwrap().depth(&target, minute).unwrap()) / 3.0
        })
        .sum();
    let got = then / log_width(now);
    assert!((got / telling[0].narrows_to - 1.0).abs() < 0.35, "promised {}, got {got}", telling[0].narrows_to);
}

#[test]
fn a_worn_resist_tells_of_its_selectivity() {
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let truth = hidden(&Prior::default(), 5);
    let plain = coupon(&setting(300.0, 109.0, 120.0), &truth, 5, 0);
    let resist = Resist { thickness: mm(0.4), selectivity: Estimate::new(20.0, 25.0, 60.0).unwrap() };
    let with = |state| Coupon { resist: Some(ResistReading { resist, state }), ..plain };
    let deviate = |state| {
        let posterior = calibration.posterior(&[with(state)]).unwrap();
        posterior.samples(0, 384).iter().map(|model| model.resist_deviate).sum::<f64>() / 384.0
    };
    let worn = |share: f64| ResistState::Worn(metres(share * plain.depth.to_metres()));
    // Gauged to a quarter, against a band of a factor of three: 60 must pull up, 15 down.
    let (high, low) = (deviate(worn(1.0 / 60.0)), deviate(worn(1.0 / 15.0)));
    println!("selectivity 60: {high:.2}, 15: {low:.2} standard deviations");
    assert!(high > 0.5 && low < -0.3);
    assert!(deviate(ResistState::Failed) < deviate(ResistState::Sound));
}

#[test]
fn useless_and_contradicting_coupons_are_refused_by_name() {
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let truth = hidden(&Prior::default(), 1);
    let good = coupon(&setting(300.0, 109.0, 120.0), &truth, 1, 0);
    let empty = Coupon { depth: mm(0.0), ..good };
    assert_eq!(calibration.posterior(&[good, empty]), Err(CalibrateError::Empty { coupon: 2 }));
    let other = Coupon { setting: Setting { pairing: 3, ..good.setting }, ..good };
    assert_eq!(calibration.posterior(&[other]), Err(CalibrateError::Pairing { coupon: 1, given: 3, count: 1 }));
    let typo = Coupon { depth: metres(30.0 * good.depth.to_metres()), ..good };
    assert!(matches!(calibration.posterior(&[good, good, typo]), Err(CalibrateError::Contradiction { .. })));
    assert!(Calibration::new(Prior::default(), vec![f64::NAN]).is_err());
}

#[test]
fn a_narrow_line_counts_too() {
    let calibration = Calibration::new(Prior::default(), vec![0.0]).unwrap();
    let truth = hidden(&Prior::default(), 17);
    let line = Setting { opening: mm(0.8), ..setting(300.0, 58.0, 120.0) };
    let wide = Setting { opening: mm(12.0), ..line };
    let posterior = calibration.posterior(&[coupon(&line, &truth, 17, 0)]).unwrap();
    let minute = Time::seconds(60.0).unwrap();
    let depth = posterior.depth(&wide, minute).unwrap();
    let want = wide.depth(&truth, wide.rate(&truth).unwrap().dose * 60.0);
    println!("wide ground from a line: {:?}, truly {want:.6}", depth);
    assert!(depth.low().to_metres() < want && want < depth.high().to_metres());
    let time = posterior.time(&wide, metres(want)).unwrap();
    assert!(time.low().to_seconds() < 60.0 && 60.0 < time.high().to_seconds());
}
