//! Everything in its order on one time axis: what hands do, and what the air does meanwhile.

use crate::model::{Act, AirLane, DepthLine, HandBlock, LayerPlan, RunStrip};
use crate::refusal::Refusal;
use air::{AirLine, Start, Trace, Valve, pattern_for, run, transient};
use carve::staging;
use quantity::{Fraction, GaugePressure, Length, Quantity, Time};

/// Hand time of a stage and what it needs of the nozzle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct StageWork {
    /// To change the abrasive before it.
    pub refill: Time,
    /// To weed what it opens.
    pub weed: Time,
    /// Nozzle open.
    pub blast: Time,
}

/// The waits that are not the air's.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pace {
    /// Mask and lay before, peel and wash after.
    pub setup: Time,
    /// Door shut after each stage's blast.
    pub clear: Time,
    /// `K V / Q` of the cabinet: dust falls to 37 % in it. `None`: nothing draws it off.
    pub dust: Option<Time>,
}

/// Of the set-up time, what comes before the first knife. Common practice, no source.
pub(crate) const BEFORE: f64 = 0.7;

/// The job in time.
#[derive(Debug, Clone)]
pub(crate) struct Timeline {
    /// In order, without gaps.
    pub blocks: Vec<HandBlock>,
    /// The air line under these blocks.
    pub trace: Trace,
}

/// Lays the stages on the time axis, with the rests that the line asks for.
///
/// Each blast is broken where the line can no longer hold it ([`pattern_for`]); while hands weed and
/// the dust clears, the receiver fills.
///
/// # Errors
/// [`Refusal`] when the line cannot be run at all. A line that cannot *hold* is laid without rests:
/// the finding says so.
pub(crate) fn lay(stages: &[StageWork], pace: Pace, line: &AirLine) -> Result<Timeline, Refusal> {
    let mut layer = Layer { line, at: 0.0, blocks: Vec::new(), valves: Vec::new(), air: Start::full(line) };
    let setup = pace.setup.to_seconds();
    layer.shut(Act::Prepare, 1, setup * BEFORE)?;
    for (index, work) in stages.iter().enumerate() {
        layer.shut(Act::Refill, index + 1, work.refill.to_seconds())?;
        layer.shut(Act::Weed, index + 1, work.weed.to_seconds())?;
        for valve in layer.pattern(work.blast) {
            layer.block(if valve.open { Act::Blast } else { Act::Rest }, index + 1, valve)?;
        }
        layer.shut(Act::Clear, index + 1, pace.clear.to_seconds())?;
    }
    layer.shut(Act::Finish, stages.len(), setup * (1.0 - BEFORE))?;
    let trace = run(line, Start::full(line), &layer.valves)?;
    Ok(Timeline { blocks: layer.blocks, trace })
}

struct Layer<'a> {
    line: &'a AirLine,
    at: f64,
    blocks: Vec<HandBlock>,
    valves: Vec<Valve>,
    air: Start,
}

impl Layer<'_> {
    fn pattern(&self, blast: Time) -> Vec<Valve> {
        pattern_for(self.line, self.air, blast).unwrap_or_else(|_| vec![Valve { open: true, for_: blast }])
    }

    fn shut(&mut self, act: Act, stage: usize, seconds: f64) -> Result<(), Refusal> {
        if seconds <= 0.0 {
            return Ok(());
        }
        self.block(act, stage, Valve { open: false, for_: Time::seconds(seconds)? })
    }

    fn block(&mut self, act: Act, stage: usize, valve: Valve) -> Result<(), Refusal> {
        let to = self.at + valve.for_.to_seconds();
        self.blocks.push(HandBlock { from: Time::seconds(self.at)?, to: Time::seconds(to)?, act, stage });
        self.at = to;
        self.valves.push(valve);
        // Two samples are enough: only the end is wanted here.
        let gap = Time::clamped(valve.for_.to_seconds().max(1e-3));
        let trace = transient::run_every(self.line, self.air, &[valve], gap)?;
        if let Some(last) = trace.samples.last() {
            self.air = Start { receiver: last.receiver, running: last.compressor_on };
        }
        Ok(())
    }
}

impl Timeline {
    /// Length of the axis.
    pub(crate) fn length(&self) -> Time {
        self.blocks.last().map_or(Time::clamped(0.0), |block| block.to)
    }

    /// Time spent on some acts, in one stage or (`None`) in all.
    pub(crate) fn spent(&self, acts: &[Act], stage: Option<usize>) -> Time {
        let counts = |block: &&HandBlock| acts.contains(&block.act) && stage.is_none_or(|stage| stage == block.stage);
        self.blocks.iter().filter(counts).map(span).sum()
    }

    /// Share of the time that the busiest compressor runs, from the first blast to the last block's end.
    pub(crate) fn duty(&self) -> Fraction {
        let first =
            self.blocks.iter().find(|block| block.act == Act::Blast).map_or(0.0, |block| block.from.to_seconds());
        let ran = self.trace.ran.iter().map(|time| time.to_seconds()).fold(0.0, f64::max);
        Fraction::clamped(ran / (self.length().to_seconds() - first).max(1e-9))
    }

    /// The picture's values.
    pub(crate) fn strip(
        &self,
        line: &AirLine,
        stages: &[staging::Stage],
        layers: &[LayerPlan],
        used: f64,
        pace: Pace,
    ) -> RunStrip {
        let doses = self.doses(stages);
        let whole: f64 = stages.iter().map(|stage| stage.dose.to_mm()).sum();
        RunStrip {
            length: self.length(),
            depth: layers.iter().enumerate().map(|(index, layer)| depth_line(index, layer, stages, &doses)).collect(),
            air: self.air_lane(line),
            resist_left: doses.iter().map(|&(at, _, dose)| (at, 1.0 - used * dose / whole.max(1e-12))).collect(),
            dust: self.dust(pace),
            door: self.door(pace),
            hands: self.blocks.clone(),
        }
    }

    /// Dose so far at the ends of every blast: time, stage, millimetres.
    fn doses(&self, stages: &[staging::Stage]) -> Vec<(Time, usize, f64)> {
        let mut done = 0.0;
        let mut points = vec![(Time::clamped(0.0), 1, 0.0)];
        for block in self.blocks.iter().filter(|block| block.act == Act::Blast) {
            let Some(stage) = stages.get(block.stage - 1) else { continue };
            let share = span(block).to_seconds() / self.spent(&[Act::Blast], Some(block.stage)).to_seconds().max(1e-9);
            points.push((block.from, block.stage, done));
            done += stage.dose.to_mm() * share;
            points.push((block.to, block.stage, done));
        }
        points.push((self.length(), stages.len(), done));
        points
    }

    fn air_lane(&self, line: &AirLine) -> AirLane {
        let lowest = |of: fn(&air::Compressor) -> GaugePressure| {
            line.compressors.iter().map(of).map(GaugePressure::to_base).fold(f64::INFINITY, f64::min)
        };
        AirLane {
            cut_in: GaugePressure::clamped(lowest(|compressor| compressor.cut_in)),
            cut_out: Start::full(line).receiver,
            set: line.regulator.set,
            receiver: self.trace.samples.iter().map(|sample| (sample.at, sample.receiver)).collect(),
            nozzle: self.trace.samples.iter().map(|sample| (sample.at, sample.nozzle)).collect(),
        }
    }

    /// Dust rises towards its steady level while the nozzle is open and falls while it is shut, both
    /// with the time constant `K V / Q`.
    fn dust(&self, pace: Pace) -> Vec<(Time, f64)> {
        /// Points on each block's curve: straight lines between them stay within 1 % of it.
        const POINTS: usize = 8;
        let mut level: f64 = 0.0;
        let mut points = vec![(Time::clamped(0.0), 0.0)];
        for block in &self.blocks {
            let (start, seconds) = (level, span(block).to_seconds());
            let towards = if block.act == Act::Blast { 1.0 } else { 0.0 };
            for point in 1..=POINTS {
                // Closer together at the block's start, where the curve bends.
                let after = seconds * (point as f64 / POINTS as f64).powi(3);
                level = match pace.dust {
                    Some(constant) => towards + (start - towards) * (-after / constant.to_seconds()).exp(),
                    None => start.max(towards),
                };
                points.push((block.from + Time::clamped(after), level));
            }
        }
        points
    }

    /// From the start to the first blast, and from the end of each clearing to the next blast.
    fn door(&self, pace: Pace) -> Vec<(Time, Time)> {
        let mut spans = Vec::new();
        let mut open = Some(Time::clamped(0.0));
        for block in &self.blocks {
            match block.act {
                Act::Blast => spans.extend(open.take().map(|from| (from, block.from))),
                Act::Clear if pace.dust.is_some() => open = Some(block.to),
                _ => {}
            }
        }
        spans.extend(open.map(|from| (from, self.length())));
        spans
    }
}

fn span(block: &HandBlock) -> Time {
    Time::clamped(block.to.to_seconds() - block.from.to_seconds())
}

fn depth_line(index: usize, layer: &LayerPlan, stages: &[staging::Stage], doses: &[(Time, usize, f64)]) -> DepthLine {
    let opens_in = stages.iter().position(|stage| stage.opens.contains(&index)).map_or(usize::MAX, |stage| stage + 1);
    let before: f64 = stages.iter().take(opens_in - 1).map(|stage| stage.dose.to_mm()).sum();
    let depth = |dose: f64| Length::clamped((dose - before).max(0.0) * 1e-3);
    let points = doses.iter().map(|&(at, _, dose)| (at, depth(dose))).collect();
    DepthLine { layer: index, name: layer.name.clone(), target: layer.target, points }
}
