//! The queue against closed forms, and what must hold of any run.

use super::{Day, Job, Place, Stay, Visit, run};
use crate::erlang::{mean_wait, mean_wait_at_fixed_service};
use crate::statistics::Mean;
use proptest::prelude::*;
use quantity::Time;
use rand::SeedableRng as _;
use rand::rngs::Xoshiro256PlusPlus;

fn seconds(s: f64) -> Time {
    Time::seconds(s).unwrap()
}

/// An exponential draw.
fn exponential(random: &mut Xoshiro256PlusPlus, mean: f64) -> f64 {
    let u: f64 = random.random();
    -mean * (1.0 - u).ln()
}

/// Mean wait at one place over replications of `jobs` Poisson arrivals each; the first fifth is left out, as the
/// queue begins empty.
fn waits(servers: usize, between: f64, service: impl Fn(&mut Xoshiro256PlusPlus) -> f64) -> Mean<f64> {
    const JOBS: usize = 16_000;
    let mean = |seed: u64| {
        let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
        let mut now = 0.0;
        let mut job = || {
            now += exponential(&mut random, between);
            let visit = Visit { place: 0, hands_s: service(&mut random), blast_s: 0.0, after_s: 0.0 };
            Job { arrives_s: now, visits: vec![visit] }
        };
        let jobs: Vec<Job> = (0..JOBS).map(|_| job()).collect();
        let day = run(&[Place { servers, holds: 1 }], &jobs, None).unwrap();
        let steady: Vec<&Stay> = day.stays.iter().filter(|stay| stay.job >= JOBS / 5).collect();
        steady.iter().map(|stay| stay.began_s - stay.queued_s).sum::<f64>() / steady.len() as f64
    };
    Mean::of(&(1001..=1060).map(mean).collect::<Vec<_>>())
}

fn agrees(what: &str, ours: Mean<f64>, want: f64) {
    println!("{what}: {:.2} s ({:.2} to {:.2}), formula {want:.2} s", ours.mid, ours.low, ours.high);
    // Five comparisons: each at 99 %, so that one seed in twenty would miss any of them (Bonferroni).
    let half = (ours.high - ours.mid) * 2.576 / 1.960;
    assert!((ours.mid - want).abs() <= half, "{what}: {ours:?} does not hold {want}");
    assert!((ours.high - ours.low) < 0.2 * want, "{what}: too wide to say anything");
}

#[test]
fn waits_agree_with_erlang_c_within_the_confidence_interval() {
    for (servers, between, service) in [(1, 100.0, 70.0), (2, 60.0, 90.0), (4, 30.0, 100.0)] {
        let want = mean_wait(servers as u32, seconds(between), seconds(service)).unwrap().to_seconds();
        let ours = waits(servers, between, |random| exponential(random, service));
        agrees(&format!("M/M/{servers}"), ours, want);
    }
}

#[test]
fn waits_at_fixed_service_agree_with_pollaczek_and_khinchine() {
    for (between, service) in [(100.0, 60.0), (100.0, 80.0)] {
        let want = mean_wait_at_fixed_service(seconds(between), seconds(service)).unwrap().to_seconds();
        agrees("M/D/1", waits(1, between, |_| service), want);
    }
}

#[test]
fn a_load_begins_with_whoever_waits_and_ends_together() {
    // One server for loads of 3, jobs at 0, 1, 2, 3, 4 s, 10 s each: 0 alone; then 1, 2, 3 together; then 4.
    let visit = Visit { place: 0, hands_s: 10.0, blast_s: 0.0, after_s: 0.0 };
    let jobs: Vec<Job> = (0..5).map(|at| Job { arrives_s: f64::from(at), visits: vec![visit] }).collect();
    let day = run(&[Place { servers: 1, holds: 3 }], &jobs, None).unwrap();
    let times: Vec<(f64, f64)> = day.stays.iter().map(|stay| (stay.began_s, stay.ended_s)).collect();
    assert_eq!(times, [(0.0, 10.0), (10.0, 20.0), (10.0, 20.0), (10.0, 20.0), (20.0, 30.0)]);
}

#[test]
fn a_place_without_servers_is_named() {
    let fault = run(&[Place { servers: 1, holds: 1 }, Place { servers: 0, holds: 1 }], &[], None).unwrap_err();
    assert!(fault.to_string().contains("place 1"), "{fault}");
}

/// What must hold of any day: everybody who comes makes every visit once, in order, and leaves; no server has two
/// loads at once and no load is too large; nobody is served out of turn.
fn sound(places: &[Place], jobs: &[Job], day: &Day) {
    for (index, job) in jobs.iter().enumerate() {
        let mut own: Vec<&Stay> = day.stays.iter().filter(|stay| stay.job == index).collect();
        own.sort_by_key(|stay| stay.visit);
        assert_eq!(own.len(), job.visits.len(), "job {index} makes each visit once");
        let mut free_s = job.arrives_s;
        for (stay, visit) in own.iter().zip(&job.visits) {
            assert_eq!(stay.place, visit.place);
            assert!((stay.queued_s - free_s).abs() < 1e-6, "job {index} goes straight on");
            assert!(stay.began_s >= stay.queued_s && stay.ended_s.is_finite());
            let least = visit.hands_s + visit.blast_s + visit.after_s;
            assert!(stay.ended_s - stay.began_s >= least - 1e-6, "job {index} is not cut short");
            free_s = stay.ended_s;
        }
    }
    for (number, place) in places.iter().enumerate() {
        let here: Vec<&Stay> = day.stays.iter().filter(|stay| stay.place == number).collect();
        for (i, a) in here.iter().enumerate() {
            assert!(a.server < place.servers);
            let together = here.iter().filter(|b| b.server == a.server && b.began_s == a.began_s).count();
            assert!(together <= place.holds, "a load of {together} at {number}");
            for b in &here[i + 1..] {
                if a.server == b.server && a.began_s != b.began_s {
                    let apart = a.ended_s <= b.began_s + 1e-9 || b.ended_s <= a.began_s + 1e-9;
                    assert!(apart, "two at once at {number}: {a:?} {b:?}");
                }
                let in_turn = a.queued_s >= b.queued_s - 1e-9 || a.began_s <= b.began_s + 1e-9;
                assert!(in_turn, "{b:?} before {a:?}");
            }
        }
    }
}

prop_compose! {
    fn place()(servers in 1usize..4, holds in 1usize..4) -> Place {
        Place { servers, holds }
    }
}

prop_compose! {
    fn job()(
        arrives_s in 0.0..300.0,
        visits in prop::collection::vec((0usize..3, 0.0..60.0, prop::bool::ANY, 0.0..90.0, 0.0..20.0), 1..6),
    ) -> Job {
        let visit = |(place, hands_s, blasts, blast_s, after_s)| {
            // Only the last place has nozzles.
            let blast_s = if place == 2 && blasts { blast_s } else { 0.0 };
            Visit { place, hands_s, blast_s, after_s: if blast_s > 0.0 { after_s } else { 0.0 } }
        };
        Job { arrives_s, visits: visits.into_iter().map(visit).collect() }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn everybody_who_enters_leaves_and_no_station_serves_two_at_once(
        mut places in prop::collection::vec(place(), 3),
        jobs in prop::collection::vec(job(), 1..12),
        with_air in any::<bool>(),
    ) {
        places[2].holds = 1;
        let supply = crate::supply::tests::small();
        let day = run(&places, &jobs, with_air.then_some(&supply)).unwrap();
        sound(&places, &jobs, &day);
        if let Some(air) = &day.air {
            let wanted: f64 = jobs.iter().flat_map(|job| &job.visits).map(|visit| visit.blast_s).sum();
            prop_assert!((air.blasted_s - wanted).abs() < 1e-3 * (1.0 + wanted), "nozzle time is neither lost nor made");
            let rested: f64 = day.stays.iter().map(|stay| stay.rested_s).sum();
            prop_assert!((air.rested_s - rested).abs() < 1e-6 * (1.0 + rested));
        }
    }
}
