//! A nozzle that wears: hours against the life that such nozzles have, and the bore that it may have by now.
//!
//! The bore grows evenly with the time that the nozzle is open (judged; no published curve was found). At the end of its
//! life it takes [`WORN_DEMAND`] times the air of a new one, so its diameter has then grown by
//! `Δ = d (√WORN_DEMAND - 1)`. In a run of `t` seconds with an abrasive under which such nozzles last `L`, it grows by
//! `k Δ t / L`, where `L` is the middle of a range that spans a factor of two and more, and `k` says how this shop's
//! nozzles stand to that middle: 1 before anything was gauged, with the spread of the range.
//!
//! A gauged bore ends the doubt about the bore, and says something of `k`: growth since the last known bore was
//! `y = k G + noise`, where `G` is the growth at `k = 1`. With `k` normal and the gauge's error `σ`, the rule for a normal
//! mean gives `1/s'² = 1/s² + G²/σ²` and `k' = s'² (k/s² + G y/σ²)`.

use crate::ledger::Movement;
use air::nozzle::demand_growth;
use quantity::{Diameter, Estimate, OutOfRange, Quantity as _, Time};

/// A nozzle that takes so many times its first air is worn out: 25 % more. Common practice, no source; large nozzles are
/// changed at 1/16 in more bore, which for a carving nozzle would be nearly three times the air.
pub const WORN_DEMAND: f64 = 1.25;

/// Before it takes so many times its first air, it is gauged. Judged: in time to have a new one at hand.
pub const GAUGE_DEMAND: f64 = 1.15;

/// Standard deviation of a bore that a drill's shank or a pin was tried in, and of a new nozzle: within 0.05 mm nine
/// times in ten. Common practice, no source.
const GAUGE_SD_MM: f64 = 0.03;

/// Standard deviations from the middle to an end of a 90 % interval.
const TO_THE_END: f64 = 1.645;

/// What happened to a nozzle.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// The ledger was begun when it had this bore: the shop's file then says another as it wears.
    Began(Diameter),
    /// It was open in a run.
    Open {
        /// For how long.
        time: Time,
        /// Id of what went through it.
        abrasive: String,
    },
    /// Its bore was gauged.
    Gauged(Diameter),
    /// A new one of this bore took its place.
    Renewed(Diameter),
}

/// How a nozzle stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Wear {
    /// When it was put in, where that is known.
    pub renewed_utc: Option<String>,
    /// When it was gauged last.
    pub gauged_utc: Option<String>,
    /// Open since it was new, by the logs.
    pub open: Time,
    /// Share of its life that is used, 1 at its end.
    pub used: Estimate<f64>,
    /// Its bore when it was new.
    pub new: Diameter,
    /// Its bore by now.
    pub bore: Estimate<Diameter>,
    /// How many times the air of a new one it takes.
    pub demand: Estimate<f64>,
    /// How many times as fast as the middle of its kind it wears here; the range has narrowed when bores were gauged.
    pub pace: Estimate<f64>,
    /// Open for so long more, it may take [`GAUGE_DEMAND`] times the air: gauge it then. Zero is now.
    pub gauge_in: Time,
}

/// What is to be done about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Due {
    /// Nothing yet.
    Nothing,
    /// It may be worn: gauge it.
    Gauge,
    /// It takes a quarter more air than a new one, at the middle: change it, or plan with the bore that it has.
    Change,
}

impl Wear {
    /// What is to be done.
    #[must_use]
    pub fn due(&self) -> Due {
        match () {
            () if self.demand.mid() >= WORN_DEMAND => Due::Change,
            () if self.demand.high() >= GAUGE_DEMAND => Due::Gauge,
            () => Due::Nothing,
        }
    }
}

/// How a nozzle stands by what happened to it, in order.
///
/// * `bore`: as the shop's file says, for a nozzle of which the ledger knows no beginning.
/// * `life`: how long such nozzles last with an abrasive of this id. * `usual`: with the one that is used next.
///
/// Checked by hand in the tests: growth to the end of a life, and a gauge that halves the doubt.
///
/// # Errors
/// [`OutOfRange`] when a bore grows past 2 m.
pub fn wear(
    ledger: &[Movement<Event>],
    bore: Diameter,
    life: &dyn Fn(&str) -> Estimate<Time>,
    usual: Estimate<Time>,
) -> Result<Wear, OutOfRange> {
    // A log that came late may stand before the entry that its ledger was begun by.
    let began = ledger.iter().find_map(|one| if let Event::Began(bore) = one.act { Some(bore) } else { None });
    let mut so_far = SoFar::new(began.unwrap_or(bore), usual);
    for Movement { at_utc, act, .. } in ledger {
        match act {
            Event::Began(_) => {}
            Event::Open { time, abrasive } => so_far.open(*time, life(abrasive)),
            Event::Gauged(bore) => so_far.gauged(*bore, at_utc),
            Event::Renewed(bore) => so_far.renewed(*bore, at_utc),
        }
    }
    so_far.wear(usual)
}

/// What a walk along the ledger knows. Bores in millimetres.
struct SoFar {
    renewed_utc: Option<String>,
    gauged_utc: Option<String>,
    open_s: f64,
    used: [f64; 3],
    new_mm: f64,
    /// The bore that was known last.
    known_mm: f64,
    /// Growth since then at the middle of such nozzles' lives.
    grown_mm: f64,
    /// How fast it wears here, and the standard deviation of that.
    pace: (f64, f64),
}

impl SoFar {
    fn new(bore: Diameter, usual: Estimate<Time>) -> Self {
        Self {
            renewed_utc: None,
            gauged_utc: None,
            open_s: 0.0,
            used: [0.0; 3],
            new_mm: bore.to_mm(),
            known_mm: bore.to_mm(),
            grown_mm: 0.0,
            pace: (1.0, spread(usual)),
        }
    }

    /// Growth of the diameter over a whole life.
    fn growth_mm(&self) -> f64 {
        self.new_mm * (WORN_DEMAND.sqrt() - 1.0)
    }

    fn open(&mut self, time: Time, life: Estimate<Time>) {
        let share = |life: Time| time.to_seconds() / life.to_seconds().max(1.0);
        self.open_s += time.to_seconds();
        let shares = [share(life.high()), share(life.mid()), share(life.low())];
        self.used.iter_mut().zip(shares).for_each(|(used, share)| *used += share);
        self.grown_mm += self.growth_mm() * share(life.mid());
    }

    fn gauged(&mut self, bore: Diameter, at_utc: &str) {
        let grown = bore.to_mm() - self.known_mm;
        // The bore before was known as well as this one.
        let noise = 2.0 * GAUGE_SD_MM * GAUGE_SD_MM;
        let (pace, sd) = self.pace;
        let precision = sd.powi(-2) + self.grown_mm.powi(2) / noise;
        let mean = (pace * sd.powi(-2) + self.grown_mm * grown / noise) / precision;
        self.pace = (mean.max(0.0), precision.powf(-0.5));
        (self.known_mm, self.grown_mm) = (bore.to_mm(), 0.0);
        self.gauged_utc = Some(at_utc.to_owned());
    }

    /// The pace stays: the next nozzle is of the same kind, in the same hands.
    fn renewed(&mut self, bore: Diameter, at_utc: &str) {
        (self.new_mm, self.known_mm, self.grown_mm) = (bore.to_mm(), bore.to_mm(), 0.0);
        (self.open_s, self.used) = (0.0, [0.0; 3]);
        (self.renewed_utc, self.gauged_utc) = (Some(at_utc.to_owned()), None);
    }

    /// The bore after `more` millimetres of growth at the middle: low, middle and high. It never shrinks.
    fn bore_mm(&self, more: f64) -> [f64; 3] {
        let grown = self.grown_mm + more;
        let (pace, sd) = self.pace;
        let mid = self.known_mm + pace * grown;
        let off = TO_THE_END * GAUGE_SD_MM.hypot(grown * sd);
        [(mid - off).max(self.known_mm - TO_THE_END * GAUGE_SD_MM), mid, mid + off]
    }

    fn wear(self, usual: Estimate<Time>) -> Result<Wear, OutOfRange> {
        let [low, mid, high] = self.bore_mm(0.0).map(Diameter::mm);
        let (low, mid, high) = (low?, mid?, high?);
        let new = Diameter::mm(self.new_mm)?;
        let demand = |bore: Diameter| demand_growth(new, bore);
        let (pace, sd) = self.pace;
        let ends = |low: f64, mid: f64, high: f64| Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid));
        let gauge_in = self.gauge_in(usual);
        Ok(Wear {
            open: Time::clamped(self.open_s),
            used: ends(self.used[0], self.used[1], self.used[2]),
            new,
            bore: Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid)),
            demand: ends(demand(low), demand(mid), demand(high)),
            pace: ends((pace - TO_THE_END * sd).max(0.0), pace, pace + TO_THE_END * sd),
            gauge_in,
            renewed_utc: self.renewed_utc,
            gauged_utc: self.gauged_utc,
        })
    }

    /// Found by halving, to a thousandth of a life and no farther than ten lives.
    fn gauge_in(&self, usual: Estimate<Time>) -> Time {
        let limit = self.new_mm * GAUGE_DEMAND.sqrt();
        let reaches = |lives: f64| self.bore_mm(lives * self.growth_mm())[2] >= limit;
        let (mut from, mut to) = (0.0, 10.0);
        if reaches(from) {
            return Time::clamped(0.0);
        }
        while to - from > 1e-3 {
            let middle = 0.5 * (from + to);
            if reaches(middle) { to = middle } else { from = middle }
        }
        Time::clamped(from * usual.mid().to_seconds())
    }
}

/// Standard deviation of the pace before anything was gauged: the ends of the range of lives are the ends of a 90 %
/// interval of it.
fn spread(life: Estimate<Time>) -> f64 {
    let pace = |of: Time| life.mid().to_seconds() / of.to_seconds().max(1.0);
    ((pace(life.low()) - pace(life.high())) / (2.0 * TO_THE_END)).max(0.01)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hours(hours: f64) -> Time {
        Time::hours(hours).unwrap()
    }

    fn life() -> Estimate<Time> {
        Estimate::new(hours(100.0), hours(200.0), hours(400.0)).unwrap()
    }

    fn mm(mm: f64) -> Diameter {
        Diameter::mm(mm).unwrap()
    }

    fn stands(events: &[Event]) -> Wear {
        let at = |(id, act): (usize, &Event)| Movement { id: id as i64, at_utc: format!("{id}"), act: act.clone() };
        let ledger: Vec<_> = events.iter().enumerate().map(at).collect();
        wear(&ledger, mm(3.2), &|_| life(), life()).unwrap()
    }

    fn open(time: f64) -> Event {
        Event::Open { time: hours(time), abrasive: "white_alumina".to_owned() }
    }

    #[test]
    fn at_the_end_of_its_life_it_takes_a_quarter_more_air() {
        let worn = stands(&[open(120.0), open(80.0)]);
        assert!((worn.demand.mid() - 1.25).abs() < 1e-9, "{worn:?}");
        // 3.2 mm times the root of 1.25 is 3.577 709 mm.
        assert!((worn.bore.mid().to_mm() - 3.577_709).abs() < 1e-6);
        assert!((worn.used.mid() - 1.0).abs() < 1e-12 && (worn.open.to_hours() - 200.0).abs() < 1e-9);
        assert!((worn.used.low() - 0.5).abs() < 1e-12 && (worn.used.high() - 2.0).abs() < 1e-12);
        assert_eq!(worn.due(), Due::Change);
    }

    #[test]
    fn a_new_one_wants_nothing_and_is_gauged_in_time() {
        let new = stands(&[Event::Renewed(mm(3.2))]);
        assert_eq!((new.due(), new.open, new.renewed_utc.as_deref()), (Due::Nothing, hours(0.0), Some("0")));
        // After that time the high end of the bore takes 15 % more air than a new one.
        let later = stands(&[Event::Renewed(mm(3.2)), open(new.gauge_in.to_hours())]);
        assert!((later.demand.high() - GAUGE_DEMAND).abs() < 2e-3, "{later:?}");
        assert_eq!(stands(&[open(new.gauge_in.to_hours() + 1.0)]).due(), Due::Gauge);
        assert_eq!(stands(&[open(150.0)]).gauge_in, hours(0.0));
    }

    #[test]
    fn a_gauge_sets_the_bore_and_narrows_the_pace() {
        // Half a life at the middle is 0.188 854 mm; twice that was gauged.
        let before = stands(&[open(100.0)]);
        let after = stands(&[open(100.0), Event::Gauged(mm(3.2 + 2.0 * 0.188_854))]);
        assert!((after.bore.mid().to_mm() - 3.577_709).abs() < 1e-5);
        let width = |range: Estimate<f64>| range.high() - range.low();
        assert!(width(after.pace) < 0.7 * width(before.pace), "{:?} {:?}", before.pace, after.pace);
        // By hand: s = 1.5 / 3.29 = 0.455 927; G²/σ² = 0.035 666 / 0.0018 = 19.814; 1/s² = 4.8108;
        // k' = (4.8108 + 19.814 * 2) / 24.625 = 1.8046.
        assert!((after.pace.mid() - 1.8046).abs() < 1e-3, "{:?}", after.pace);
        assert_eq!(after.gauged_utc.as_deref(), Some("1"));
    }

    #[test]
    fn growth_counts_from_the_bore_that_the_ledger_began_with_whatever_the_file_says_now() {
        // The file says 3.2 mm by now.
        let began = stands(&[open(100.0), Event::Began(mm(3.0)), Event::Gauged(mm(3.2))]);
        assert_eq!(began.new, mm(3.0));
        assert!((began.demand.mid() - (3.2_f64 / 3.0).powi(2)).abs() < 1e-9 && began.pace.mid() > 1.0, "{began:?}");
    }

    #[test]
    fn a_new_nozzle_begins_anew_and_keeps_the_pace() {
        let worn = [open(100.0), Event::Gauged(mm(3.5)), open(10.0)];
        let pace = stands(&worn).pace;
        let new = stands(&[worn.as_slice(), &[Event::Renewed(mm(2.4))]].concat());
        assert_eq!((new.pace, new.open, new.new), (pace, hours(0.0), mm(2.4)));
        assert!((new.demand.mid() - 1.0).abs() < 1e-9 && new.gauged_utc.is_none());
    }

    proptest! {
        #[test]
        fn hours_never_narrow_a_bore_and_the_ends_stay_in_order(
            times in prop::collection::vec(0.0..500.0f64, 1..8), gauged in 2.5..6.0f64, at in 0usize..8,
        ) {
            let mut events: Vec<Event> = times.iter().map(|time| open(*time)).collect();
            events.insert(at.min(events.len()), Event::Gauged(mm(gauged)));
            let before = stands(&events);
            events.push(open(5.0));
            let after = stands(&events);
            prop_assert!(after.bore.high() >= before.bore.high() && after.bore.mid() >= before.bore.mid());
            prop_assert!(after.bore.low() <= after.bore.mid() && after.bore.mid() <= after.bore.high());
            prop_assert!(after.gauge_in <= before.gauge_in && after.pace.low() >= 0.0);
        }
    }
}
