//! Invented strips for tests and for looking at.

use plan::{Act, AirLane, DepthLine, HandBlock, RunStrip};
use quantity::{GaugePressure, Length, Quantity as _, Time};

/// A strip of `stages` stages with `blasts` blasts each; the first stage's blasts take `minutes`,
/// the later ones half of it.
pub(crate) fn strip(stages: usize, blasts: usize, minutes: f64) -> RunStrip {
    let mut maker = Maker::new(stages);
    maker.hands(Act::Prepare, 1, 12.0);
    for stage in 1..=stages {
        maker.hands(Act::Weed, stage, 4.0);
        for blast in 0..blasts {
            maker.blast(stage, if stage == 1 { minutes } else { minutes / 2.0 });
            if blast + 1 < blasts {
                maker.rest(stage, 0.8);
            }
        }
        maker.hands(Act::Clear, stage, 2.0);
    }
    maker.door_from = maker.now;
    maker.hands(Act::Finish, stages, 8.0);
    maker.finish()
}

struct Maker {
    now: f64,
    door_from: f64,
    receiver: f64,
    wear: f64,
    strip: RunStrip,
}

fn time(minutes: f64) -> Time {
    Time::clamped(minutes * 60.0)
}

fn bar(bar: f64) -> GaugePressure {
    GaugePressure::clamped(bar * 1e5)
}

impl Maker {
    fn new(stages: usize) -> Self {
        let names = ["deep water", "reeds and neck", "shallow frost", "line work", "veins", "glints"];
        let line = |i: usize| DepthLine {
            layer: i,
            name: names[i % names.len()].to_owned(),
            target: Length::clamped(1e-3 * 1.8 * (stages - i) as f64 / stages as f64),
            points: vec![(time(0.0), Length::clamped(0.0))],
        };
        let (cut_in, cut_out, set) = (bar(7.0), bar(9.0), bar(4.1));
        let air = AirLane { cut_in, cut_out, set, receiver: vec![(time(0.0), cut_out)], nozzle: vec![] };
        let strip = RunStrip {
            length: time(0.0),
            hands: vec![],
            depth: (0..stages).map(line).collect(),
            air,
            resist_left: vec![(time(0.0), 1.0)],
            dust: vec![(time(0.0), 0.0)],
            door: vec![],
        };
        Self { now: 0.0, door_from: 0.0, receiver: 9.0, wear: 0.0, strip }
    }

    fn hands(&mut self, act: Act, stage: usize, minutes: f64) {
        let (from, to) = (self.now, self.now + minutes);
        self.strip.hands.push(HandBlock { from: time(from), to: time(to), act, stage });
        self.now = to;
        self.receiver = (self.receiver + 0.9 * minutes).min(9.0);
        self.strip.air.receiver.push((time(to), bar(self.receiver)));
        if act == Act::Clear {
            let decay = |i: usize| (time(from + minutes * i as f64 / 8.0), 0.95 * (-0.5 * i as f64).exp());
            self.strip.dust.extend((0..=8).map(decay));
            self.door_from = to;
        }
    }

    fn rest(&mut self, stage: usize, minutes: f64) {
        self.strip.dust.push((time(self.now), 0.95));
        self.hands(Act::Rest, stage, minutes);
        self.strip.dust.push((time(self.now), 0.55));
    }

    fn blast(&mut self, stage: usize, minutes: f64) {
        let (from, to) = (self.now, self.now + minutes);
        if self.door_from < from {
            self.strip.door.push((time(self.door_from), time(from)));
        }
        self.door_from = f64::INFINITY;
        self.strip.hands.push(HandBlock { from: time(from), to: time(to), act: Act::Blast, stage });
        let end = (self.receiver - 1.6 * minutes).max(4.6);
        self.strip.air.receiver.push((time(to), bar(end)));
        let sag = if end < 4.8 { 3.7 } else { 4.05 };
        let nozzle = [(from, None), (from, Some(4.05)), (to, Some(sag)), (to, None)];
        self.strip.air.nozzle.extend(nozzle.map(|(t, p)| (time(t), p.map(bar))));
        self.receiver = end;
        let dust = self.strip.dust.last().map_or(0.0, |&(_, d)| d);
        self.strip.dust.extend([(time(from), dust), (time(from + 0.2 * minutes), 0.9), (time(to), 0.95)]);
        self.strip.resist_left.push((time(from), 1.0 - self.wear));
        self.wear += 0.03 * minutes;
        self.strip.resist_left.push((time(to), 1.0 - self.wear));
        for (i, line) in self.strip.depth.iter_mut().enumerate() {
            let depth = line.points.last().map_or(0.0, |&(_, d)| d.to_mm());
            let gain = if i < stage { 0.12 * minutes } else { 0.0 };
            line.points.push((time(from), Length::clamped(1e-3 * depth)));
            line.points.push((time(to), Length::clamped(1e-3 * (depth + gain))));
        }
        self.now = to;
    }

    fn finish(mut self) -> RunStrip {
        let end = time(self.now);
        let scale = |line: &mut DepthLine| {
            let last = line.points.last().map_or(1.0, |&(_, d)| d.to_mm()).max(1e-6);
            let factor = 0.97 * line.target.to_mm() / last;
            for (_, depth) in &mut line.points {
                *depth = Length::clamped(depth.to_base() * factor);
            }
            line.points.extend(line.points.last().copied().map(|(_, depth)| (end, depth)));
        };
        self.strip.depth.iter_mut().for_each(scale);
        self.strip.resist_left.push((end, 1.0 - self.wear));
        self.strip.dust.push((end, 0.0));
        self.strip.door.push((time(self.door_from), end));
        self.strip.length = end;
        self.strip
    }
}
