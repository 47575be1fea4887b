//! What a recipe does to a piece, and every check of it: numbers against limits.
//!
//! This is the fast half of a plan: it knows the piece by its [`Sketch`] alone, so that a change can
//! be tried in well under a millisecond.

use crate::at_work::{AtWork, Shares, Supplies};
use crate::blast::{Blasting, Spreading};
use crate::calibration::Belief;
use crate::finding::{Amount, Check, Finding, State};
use crate::gores;
use crate::model::Recipe;
use crate::refusal::Refusal;
use crate::safety_checks;
use crate::sketch::{Narrow, Sketch, SketchLayer, apart};
use crate::spent::{Spent, Work, works};
use air::machine::{StatedFlow, check_plate};
use air::{Hold, LineError, Site, Steady};
use artwork::grid::Point;
use carve::distance_rule::DistanceRule;
use carve::{resist, staging};
use piece::{Body, Finish, Piece, Shop};
use quantity::{Estimate, Fraction, FreeFlow, GAS_CONSTANT_AIR, GaugePressure, Length, Quantity, Time};
use reference::{Abrasive, Grit, Source, tables};
use safety::clearing::{Clearing, Exhaust};
use std::borrow::Cow;
use std::sync::Arc;
use stencil::choice::{self, Answer, Fit, Held, Narrowest, Question};
use stencil::vessel::frustum::Frustum;
use stencil::vessel::handle::{Handle, free_box};

/// A recipe on a piece in a shop.
#[derive(Debug, Clone)]
pub(crate) struct Case<'a> {
    pub piece: Cow<'a, Piece>,
    pub shop: Cow<'a, Shop>,
    pub sketch: Cow<'a, Sketch>,
    pub recipe: Recipe,
    /// What is believed of the model's constants; the same for every change that is tried.
    pub belief: Arc<Belief>,
    /// What this shop's air does at settings that were looked at.
    pub supplies: Arc<Supplies>,
}

/// What the recipe does.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    pub at_work: Arc<AtWork>,
    pub stages: Arc<[staging::Stage]>,
    /// Weeding and blasting of each stage.
    pub works: Vec<Work>,
    pub wear: resist::Wear,
    /// Door shut after a stage; `None` without a collector.
    pub clearing: Option<Clearing>,
    pub clear: Time,
    /// Worst first, without remedies and places.
    pub findings: Vec<Finding>,
    /// All of the work by the shop's rhythm: an instant answer that the timeline later makes exact.
    pub spent: Spent,
}

impl Judged {
    /// Setup, weeding, blasting, resting and clearing.
    pub(crate) fn total(&self) -> Time {
        self.spent.total()
    }

    /// Nozzle open in all stages, over the model's spread.
    pub(crate) fn blast_time(&self) -> Estimate<Time> {
        self.at_work.time_range(self.blasts())
    }

    /// The same with each abrasive, in the order of their use.
    pub(crate) fn blast_times(&self) -> [Estimate<Time>; 2] {
        let Shares { first, last } = self.blasts();
        [Shares { first, last: 0.0 }, Shares { first: 0.0, last }].map(|share| self.at_work.time_range(share))
    }

    /// Nozzle open in one stage, over the model's spread.
    pub(crate) fn stage_time(&self, stage: usize) -> Estimate<Time> {
        let blast = |(at, work): (usize, &Work)| if at == stage { work.blast.to_seconds() } else { 0.0 };
        self.at_work.time_range(self.at_work.shares(&self.works.iter().enumerate().map(blast).collect::<Vec<_>>()))
    }

    /// Share of that of all, at the middle, with the abrasive of the last stages.
    pub(crate) fn finishing_share(&self) -> Fraction {
        let blasts = self.blasts();
        Fraction::clamped(blasts.last / blasts.sum().max(1e-12))
    }

    fn blasts(&self) -> Shares {
        self.at_work.shares(&self.works.iter().map(|work| work.blast.to_seconds()).collect::<Vec<_>>())
    }

    /// Depth of wide ground from one stage to another, over the model's spread.
    pub(crate) fn gained(&self, stages: std::ops::Range<usize>) -> Estimate<Length> {
        let gained =
            |(at, stage): (usize, &staging::Stage)| if stages.contains(&at) { stage.dose.to_metres() } else { 0.0 };
        self.at_work.depth_range(self.at_work.shares(&self.stages.iter().enumerate().map(gained).collect::<Vec<_>>()))
    }

    /// A depth of a layer as a range: a share of what all stages from its own on give.
    pub(crate) fn depth_of(&self, layer: usize, mid: Length) -> Estimate<Length> {
        let opened = opened_in(layer, &self.stages);
        let gained = |(at, stage): (usize, &staging::Stage)| if at >= opened { stage.dose.to_metres() } else { 0.0 };
        let shares = self.at_work.shares(&self.stages.iter().enumerate().map(gained).collect::<Vec<_>>());
        let last = mid.to_metres() * shares.last / shares.sum().max(1e-12);
        self.at_work.depth_range(Shares { first: mid.to_metres() - last, last })
    }
}

/// Without a collector nothing clears the cabinet: only the floor of the wait can be named.
fn door_wait(clearing: Option<Clearing>) -> Time {
    let floor = tables().limits.clearing_floor.value;
    clearing.and_then(|clearing| clearing.door_wait().ok()).unwrap_or(floor)
}

/// Judges a case.
///
/// # Errors
/// [`Refusal`] when the recipe cannot be computed at all.
pub(crate) fn judge(case: &Case<'_>, spreading: Spreading) -> Result<Judged, Refusal> {
    judge_at_work(case, AtWork::of(case, spreading)?)
}

/// Judges a case whose nozzle has been looked at.
///
/// # Errors
/// [`Refusal`] when the recipe cannot be computed at all.
pub(crate) fn judge_at_work(case: &Case<'_>, at_work: Arc<AtWork>) -> Result<Judged, Refusal> {
    let mut judged = reckoned(case, at_work, stages(&case.sketch)?)?;
    judged.findings = findings(case, &judged)?;
    Ok(judged)
}

/// Stages, times and wear of a case, held against nothing yet.
///
/// # Errors
/// [`Refusal`] when the recipe cannot be computed at all.
pub(crate) fn reckoned(
    case: &Case<'_>,
    at_work: Arc<AtWork>,
    stages: Arc<[staging::Stage]>,
) -> Result<Judged, Refusal> {
    has_stages_for(case.recipe.finish, stages.len())?;
    let works = works(case, &at_work, None, &stages)?;
    let stock = resist::Resist {
        thickness: case.recipe.resist.thickness.value,
        selectivity: case.recipe.resist.selectivity.value,
    };
    let wear = worn(&stock, &at_work, &stages)?;
    let cabinet = &case.shop.cabinet;
    let clearing = cabinet.collector.and_then(|flow| Clearing::new(cabinet.volume, flow).ok());
    let clear = door_wait(clearing);
    let spent = Spent::new(case, &works, &at_work.hold, clear);
    Ok(Judged { at_work, stages, works, wear, clearing, clear, findings: Vec::new(), spent })
}

/// The order of the work.
///
/// # Errors
/// [`Refusal::NothingOpen`].
pub(crate) fn stages(sketch: &Sketch) -> Result<Arc<[staging::Stage]>, Refusal> {
    let targets: Vec<Length> = sketch.layers.iter().map(|layer| layer.target).collect();
    staging::stages(&targets).map(Arc::from).map_err(|_| Refusal::NothingOpen)
}

/// An abrasive of their own is for the last stages, not for all.
fn has_stages_for(finish: Option<Finish>, stages: usize) -> Result<(), Refusal> {
    match finish {
        Some(Finish { stages: own, .. }) if own >= stages => Err(Refusal::FinishStages { own, stages }),
        _ => Ok(()),
    }
}

fn worn(stock: &resist::Resist, at_work: &AtWork, stages: &[staging::Stage]) -> Result<resist::Wear, Refusal> {
    let speeds = |blasting: &Blasting| -> Vec<_> {
        blasting.samples.iter().map(|(model, removal)| (*model, removal.grain_speed)).collect()
    };
    let doses = at_work.doses(stages);
    let first = speeds(&at_work.blasting);
    Ok(match &at_work.finishing {
        None => resist::wear(stock, Length::metres(doses.first)?, &first)?,
        Some(finishing) => {
            let last = speeds(&finishing.blasting);
            let [before, after] = [Length::metres(doses.first)?, Length::metres(doses.last)?];
            resist::wear_by_both(stock, [(before, &first), (after, &last)])?
        }
    })
}

/// Every check, each by its own function, which is given what it hangs on besides the case. The search makes them in
/// the same order, each once for all recipes that share what it hangs on.
fn findings(case: &Case<'_>, judged: &Judged) -> Result<Vec<Finding>, Refusal> {
    let AtWork { blasting, hold, .. } = &*judged.at_work;
    let mut findings = Vec::new();
    for (at, layer) in case.sketch.layers.iter().enumerate() {
        findings.push(opening(case, layer, coarsest(&case.recipe, at, &judged.stages)));
        findings.push(narrow_depth(layer, &blasting.rule));
    }
    findings.extend(wall(case));
    findings.push(wear(&judged.wear));
    findings.push(thickness(case, &judged.at_work, &judged.stages));
    findings.push(air_holds(hold, &judged.works));
    findings.extend(air_line(case, &judged.at_work)?);
    findings.push(silica(case));
    findings.extend(roll_width(case));
    findings.extend(safety_checks::findings(case, judged));
    findings.extend(handle(case));
    findings.extend(gores::finding(case));
    // Worst first; among equals in the order above.
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.state));
    Ok(findings)
}

/// The places of findings that have some, for whoever is shown them.
pub(crate) fn located(case: &Case<'_>, rule: &DistanceRule, mut findings: Vec<Finding>) -> Vec<Finding> {
    for finding in &mut findings {
        finding.places = match &finding.check {
            Check::Opening { layer } => {
                case.sketch.layer(layer).map(|layer| places(&layer.narrow, limit_mm(finding))).unwrap_or_default()
            }
            Check::NarrowDepth { layer } if finding.state != State::Holds => {
                case.sketch.layer(layer).map(|layer| layer.short_places(rule)).unwrap_or_default()
            }
            Check::Wall => places(&case.sketch.walls, limit_mm(finding)),
            _ => Vec::new(),
        };
    }
    findings
}

pub(crate) fn finding(check: Check, state: State, value: Amount, limit: Amount, source: Source) -> Finding {
    Finding {
        check,
        state,
        value,
        limit,
        about: None,
        source,
        places: Vec::new(),
        remedies: Vec::new(),
        no_remedy: None,
    }
}

/// What a resist answered, as a finding.
fn answered(answer: Answer) -> Finding {
    let check = match answer.question {
        Question::Opening { layer } => Check::Opening { layer },
        Question::Wall => Check::Wall,
        Question::Wear => Check::ResistWear,
        Question::Width => Check::RollWidth,
    };
    let state = match answer.fit {
        Fit::Holds => State::Holds,
        Fit::Tight => State::Watch,
        Fit::Fails => State::Stop,
    };
    let exact = |length: Length| Amount::Length(Estimate::exact(length));
    let (value, limit) = match answer.held {
        Held::Width { found, limit } => (exact(found), exact(limit)),
        Held::Wear(used) => (Amount::Ratio(used), Amount::Ratio(Estimate::exact(1.0))),
    };
    finding(check, state, value, limit, answer.source)
}

fn places(narrow: &[Narrow], below_mm: f64) -> Vec<Point> {
    apart(narrow.iter().filter(|spot| !spot.tip && spot.width_mm < below_mm))
}

/// The coarsest grit that has to find its way into a layer's openings: of the stages in which it is open.
fn coarsest(recipe: &Recipe, layer: usize, stages: &[staging::Stage]) -> &'static Grit {
    let opened = opened_in(layer, stages);
    let grits = recipe.abrasives().filter(|(abrasive, grit)| {
        (opened..stages.len()).any(|stage| {
            let (own, size) = recipe.abrasive_of(stage, stages.len());
            own.id == abrasive.id && size.name == grit.name
        })
    });
    grits
        .map(|(_, grit)| grit)
        .max_by(|a, b| a.d50.value.mid().to_base().total_cmp(&b.d50.value.mid().to_base()))
        .unwrap_or(recipe.grit)
}

/// The stage that opens a layer.
pub(crate) fn opened_in(layer: usize, stages: &[staging::Stage]) -> usize {
    stages.iter().position(|stage| stage.opens.contains(&layer)).unwrap_or(0)
}

/// The narrowest opening against what the resist yields and three median grains.
pub(crate) fn opening(case: &Case<'_>, layer: &SketchLayer, grit: &Grit) -> Finding {
    let share_below = |width: Length| layer.share_below(width.to_mm());
    let narrowest = Narrowest { width: Length::clamped(layer.narrowest_mm() * 1e-3), share_below: &share_below };
    let finest = choice::finest(case.recipe.resist, case.shop.stencil.film_finest);
    answered(choice::opening(&layer.name, &narrowest, &finest, grit.d50.value.mid()))
}

pub(crate) fn wall(case: &Case<'_>) -> Option<Finding> {
    let width = Length::clamped(case.sketch.walls.first()?.width_mm * 1e-3);
    let share_below = |width: Length| case.sketch.wall_share_below(width.to_mm());
    let narrowest = Narrowest { width, share_below: &share_below };
    Some(answered(choice::wall(&narrowest, case.recipe.resist)))
}

fn limit_mm(finding: &Finding) -> f64 {
    match finding.limit {
        Amount::Length(limit) => limit.mid().to_mm(),
        _ => 0.0,
    }
}

/// Share of a layer in lines that stay short, above which a carver looks, and above which the layer
/// is not what was drawn. Judgement.
const SHORT_WATCH: f64 = 0.01;
const SHORT_STOP: f64 = 0.5;

/// How a share of short lines stands.
pub(crate) fn short_state(share: f64) -> State {
    match share {
        share if share <= SHORT_WATCH => State::Holds,
        share if share <= SHORT_STOP => State::Watch,
        _ => State::Stop,
    }
}

/// Whether the middles of a layer's lines come within a tenth of its depth.
pub(crate) fn narrow_depth(layer: &SketchLayer, rule: &DistanceRule) -> Finding {
    let reach = layer.reach(rule);
    let state = short_state(reach.short_share);
    let reached = if state == State::Holds { layer.target } else { reach.shallowest };
    let check = Check::NarrowDepth { layer: layer.name.clone() };
    let source = Source::computed("closed form of the carving equation, from distance to the resist's edge");
    let exact = |length: Length| Amount::Length(Estimate::exact(length));
    finding(check, state, exact(reached), exact(layer.target), source)
}

pub(crate) fn wear(wear: &resist::Wear) -> Finding {
    answered(choice::wear(wear.used))
}

/// The deepest layer against the blank: a third is watched, half stops. The high end of the depth is
/// watched too: a person gauges, and stops, before it is reached.
pub(crate) fn thickness(case: &Case<'_>, at_work: &AtWork, stages: &[staging::Stage]) -> Finding {
    let limits = &tables().limits;
    let whole = case.piece.blank.thickness.to_mm();
    let deepest = case.sketch.layers.iter().map(|layer| layer.target.to_mm()).fold(0.0, f64::max);
    let deepest = at_work.of_whole(deepest, stages);
    let share = |sample| (at_work.depth_under(deepest, sample) / whole).min(1.0);
    let mut shares: Vec<f64> = at_work.samples().map(share).collect();
    let [low, _, high] = quantity::percentiles(&mut shares);
    // By the clock; at the middle just what is wanted.
    let mid = (at_work.depth_at_middle(deepest) / whole).min(1.0);
    let (watch, stop) = (limits.carve_depth_watch.value, limits.carve_depth_stop.value);
    let (state, limit) = match () {
        () if mid > stop.to_ratio() => (State::Stop, stop),
        () if mid > watch.to_ratio() => (State::Watch, watch),
        () if high > stop.to_ratio() => (State::Watch, stop),
        () => (State::Holds, watch),
    };
    let value = range(low.min(mid), mid, high.max(mid), Fraction::clamped);
    let source = limits.carve_depth_watch.source.clone();
    finding(Check::Thickness, state, Amount::Share(value), Amount::Share(Estimate::exact(limit)), source)
}

fn range<T: Copy + PartialOrd>(low: f64, mid: f64, high: f64, make: fn(f64) -> T) -> Estimate<T> {
    Estimate::new(make(low), make(mid), make(high)).unwrap_or(Estimate::exact(make(mid)))
}

/// A blast shorter than this is no blast: the hand has hardly found its place. Judgement.
const SHORTEST_BLAST_S: f64 = 10.0;

pub(crate) fn air_holds(hold: &Result<Hold, LineError>, works: &[Work]) -> Finding {
    let needed = works.iter().map(|work| work.blast.to_seconds()).fold(0.0, f64::max);
    let limit = Amount::Time(Estimate::exact(Time::clamped(needed)));
    let source = Source::computed("receiver balance: demand of the nozzle against the compressors' delivery");
    let (state, seconds) = air_state(hold, needed);
    finding(Check::AirHolds, state, Amount::Time(Estimate::exact(Time::clamped(seconds))), limit, source)
}

/// Whether the air holds for the longest stage, and for how many seconds at a time.
pub(crate) fn air_state(hold: &Result<Hold, LineError>, needed: f64) -> (State, f64) {
    match hold {
        Err(_) => (State::Stop, 0.0),
        Ok(Hold { longest_blast: None, .. }) => (State::Holds, needed),
        Ok(Hold { longest_blast: Some(longest), .. }) => match longest.to_seconds() {
            longest if longest >= needed => (State::Holds, longest),
            longest if longest >= SHORTEST_BLAST_S => (State::Watch, longest),
            longest => (State::Stop, longest),
        },
    }
}

/// What hangs on the nozzle and its setting alone.
pub(crate) fn air_line(case: &Case<'_>, at_work: &AtWork) -> Result<Vec<Finding>, Refusal> {
    let AtWork { blasting, hold, .. } = at_work;
    let mut findings: Vec<Finding> = duty(case, hold).into_iter().collect();
    findings.extend(plates(case, blasting.line.site));
    findings.push(nozzle_pressure(case, &blasting.steady));
    findings.push(collector(case, blasting)?);
    Ok(findings)
}

/// Share of the time that the compressors run while the nozzle is open, against their plates. Where the
/// shares differ the plan rests them, which is to be watched and not more.
fn duty(case: &Case<'_>, hold: &Result<Hold, LineError>) -> Option<Finding> {
    let hold = hold.as_ref().ok()?;
    let limit = case.shop.compressors.iter().map(|compressor| compressor.duty).fold(None, lower)?;
    let share = (hold.demand.to_kg_per_second() / hold.available.to_kg_per_second()).min(1.0);
    let state = if share <= limit.to_ratio() { State::Holds } else { State::Watch };
    let value = Amount::Share(Estimate::exact(Fraction::clamped(share)));
    let source = Source::seen("the compressor's plate", "the shop file");
    Some(finding(Check::Duty, state, value, Amount::Share(Estimate::exact(limit)), source))
}

/// Compressors whose power shows that their plate states displacement: the plan reckons with less.
fn plates<'a>(case: &'a Case<'_>, site: Site) -> impl Iterator<Item = Finding> + 'a {
    case.shop.compressors.iter().filter_map(move |compressor| {
        let plate = check_plate(compressor.free_air, compressor.power, compressor.cut_out, &site);
        let derated = matches!(plate.stated, StatedFlow::LooksLikeDisplacement | StatedFlow::Impossible);
        let (value, limit) = (Amount::FreeAir(plate.likely), Amount::FreeAir(Estimate::exact(compressor.free_air)));
        let check = Check::CompressorPlate { compressor: compressor.name.clone() };
        derated.then(|| finding(check, State::Watch, value, limit, Source::CommonPractice))
    })
}

fn lower(least: Option<Fraction>, next: Fraction) -> Option<Fraction> {
    Some(least.map_or(next, |least| if next < least { next } else { least }))
}

/// Share of the setting that droop and hose may take before it is worth a wider hose. Judgement.
const LOSS_WATCH: f64 = 0.15;

fn nozzle_pressure(case: &Case<'_>, steady: &Steady) -> Finding {
    let seen = steady.nozzle_gauge;
    let set = case.recipe.pressure;
    let lost = 1.0 - seen.to_kpa() / set.to_kpa();
    let state = if lost > LOSS_WATCH { State::Watch } else { State::Holds };
    let exact = |pressure: GaugePressure| Amount::Pressure(Estimate::exact(pressure));
    let source = Source::computed("regulator droop and isothermal hose flow at the demanded flow");
    finding(Check::NozzlePressure, state, exact(seen), exact(set), source)
}

fn collector(case: &Case<'_>, blasting: &Blasting) -> Result<Finding, Refusal> {
    let cabinet = &case.shop.cabinet;
    let site = blasting.line.site;
    let density = site.pressure.to_pascals() / (GAS_CONSTANT_AIR * site.temperature.to_kelvins());
    let blast = FreeFlow::cubic_metres_per_second(blasting.steady.flow.to_kg_per_second() / density)?;
    let needed = Exhaust::of_cabinet(cabinet.openings, cabinet.volume, blast)?.needed;
    let drawn = cabinet.collector.unwrap_or(FreeFlow::clamped(0.0));
    let state = match cabinet.collector {
        None => State::Stop,
        Some(drawn) if drawn < needed => State::Watch,
        Some(_) => State::Holds,
    };
    let source = tables().limits.cabinet_face_velocity.source.clone();
    let exact = |flow: FreeFlow| Amount::FreeAir(Estimate::exact(flow));
    Ok(finding(Check::Collector, state, exact(drawn), exact(needed), source))
}

/// Crystalline silica in the blank or the abrasive: whatever the exposure, it has to be measured.
pub(crate) fn silica(case: &Case<'_>) -> Finding {
    let limit = &tables().limits.silica_label;
    let blank = case.piece.blank.material.crystalline_silica.as_ref();
    let free = |(abrasive, _): (&Abrasive, _)| abrasive.free_silica_max.value.to_ratio();
    let grit = case.recipe.abrasives().map(free).fold(0.0, f64::max);
    let (low, high) = blank.map_or((0.0, 0.0), |silica| (silica.value.low.to_ratio(), silica.value.high.to_ratio()));
    let value = range(low.max(grit), 0.5 * (low + high).max(2.0 * grit), high.max(grit), Fraction::clamped);
    let state = if value.high() > limit.value { State::Watch } else { State::Holds };
    let source = limit.source.clone();
    finding(Check::Silica, state, Amount::Share(value), Amount::Share(Estimate::exact(limit.value)), source)
}

/// The stencil's lesser side against the roll: it is turned when that helps.
pub(crate) fn roll_width(case: &Case<'_>) -> Option<Finding> {
    let stock = case.shop.resists.iter().find(|stock| stock.resist.id == case.recipe.resist.id)?;
    let across = case.sketch.stencil_width_mm.min(case.sketch.stencil_height_mm);
    Some(answered(choice::roll(Length::clamped(across * 1e-3), stock.width)))
}

/// How far the artwork reaches around a tumbler against what its handle leaves free at the artwork's height.
pub(crate) fn handle(case: &Case<'_>) -> Option<Finding> {
    let (blank, Body::Tumbler { diameter, foot, height }) = (&case.piece.blank, case.piece.blank.body) else {
        return None;
    };
    let on = blank.handle?;
    let side = Frustum::new(diameter, foot, height).ok()?;
    let handle = Handle { width: on.width, clear: on.clear, from: on.from, to: on.to };
    let (from_mm, to_mm) = case.sketch.down_mm;
    let free_mm = free_box(&side, &handle, from_mm, to_mm).width_mm();
    let state = if case.sketch.around_mm <= free_mm { State::Holds } else { State::Stop };
    let source = Source::computed("way around the vessel at the artwork's height, less the handle and its room");
    let length = |mm: f64| Amount::Length(Estimate::exact(Length::clamped(mm * 1e-3)));
    Some(finding(Check::Handle, state, length(case.sketch.around_mm), length(free_mm), source))
}
