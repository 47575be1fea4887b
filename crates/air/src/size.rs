//! Sizing the other way: for this work, the smallest compressor, receiver, hose, dryer and separator
//! that hold, what is to spare, and what the next standard size would allow.

use crate::course::{CourseError, Pattern, RunOptions};
use crate::machine::{Delivery, Duty};
use crate::network::{Network, NetworkError};
use crate::part::{Part, PartKind, Pot, Tip, Vessel};
use crate::trace::Valve;
use crate::{Conductance, Discharge, Droop, Fittings, Hose, Loading, Machine, MachineKind, Regulator, Site};
use language::{number, say};
use quantity::{
    Diameter, Fraction, FreeFlow, GaugePressure, Length, MassRate, OutOfRange, Power, Quantity, Time, Volume,
};

/// The work that a line must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// The air around.
    pub site: Site,
    /// Nozzle bore when new.
    pub bore: Diameter,
    /// Discharge coefficient with clean air.
    pub discharge: Discharge,
    /// Abrasive for each mass of air; give [`Loading::NONE`] to size on the clean coefficient, which
    /// errs on the side of too much air.
    pub loading: Loading,
    /// Pressure at the nozzle.
    pub pressure: GaugePressure,
    /// Stations that blast at the same time, at least 1.
    pub stations: usize,
    /// Share of each ten minutes that they blast, in one go.
    pub share: Fraction,
    /// Room to grow: times the demand of today, 1 to 10. 1.2 covers a bore worn by a tenth.
    pub growth: f64,
    /// Length of each station's hose.
    pub hose_length: Length,
    /// Most pressure that hose and regulator may take from a nozzle's.
    pub loss_max: GaugePressure,
    /// How the compressor would be built.
    pub kind: MachineKind,
    /// Its duty limit.
    pub duty: Fraction,
    /// Where it would start.
    pub cut_in: GaugePressure,
    /// Where it would stop.
    pub cut_out: GaugePressure,
}

/// Standard sizes to choose from, each ascending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes<'a> {
    /// Free air delivered by compressors, at their cut-out.
    pub free_air: &'a [FreeFlow],
    /// Receivers.
    pub receivers: &'a [Volume],
    /// Hose bores.
    pub hoses: &'a [Diameter],
    /// Regulators, by `C` and `b` of the fully open valve.
    pub regulators: &'a [Conductance],
    /// Free air that dryers are rated for.
    pub dryers: &'a [FreeFlow],
    /// Free air that separators are rated for.
    pub separators: &'a [FreeFlow],
}

/// What holds.
#[derive(Debug, Clone)]
pub struct Sizing {
    /// Air through one nozzle, with growth.
    pub demand: MassRate,
    /// What its regulator is to hold while it blasts: pressure at the nozzle and what the hose loses. A
    /// regulator that droops is set higher by its droop.
    pub set: GaugePressure,
    /// Lowest receiver pressure that holds it.
    pub lowest_receiver: GaugePressure,
    /// The compressor.
    pub free_air: Choice<FreeFlow>,
    /// The receiver.
    pub receiver: Choice<Volume>,
    /// The hose.
    pub hose: Choice<Diameter>,
    /// The regulator.
    pub regulator: Choice<Conductance>,
    /// The dryer, rated for what the compressor delivers.
    pub dryer: Choice<FreeFlow>,
    /// The separator, rated for what the stations draw.
    pub separator: Choice<FreeFlow>,
    /// The line made of these, for a look at it in time.
    pub network: Network,
}

/// One size chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice<T> {
    /// The smallest that holds.
    pub size: T,
    /// What it has to spare, as a share of what is needed: 0.25 is a quarter more than needed.
    pub margin: f64,
    /// The next size up; none when it is the largest.
    pub next: Option<Next<T>>,
}

/// The next size up and what it would allow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next<T> {
    /// The size.
    pub size: T,
    /// What it would allow.
    pub allows: Allows,
}

/// What a larger size allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Allows {
    /// A larger compressor: this share of ten minutes with the same bore, or this bore at the same share.
    Blasting {
        /// Share of each ten minutes.
        share: Fraction,
        /// Bore at the share asked for.
        bore: Diameter,
    },
    /// A larger receiver: one blast as long as this, from full; none where it never ends.
    OneBlast(Option<Time>),
    /// A wider hose or larger regulator: pressure lost between receiver and nozzle at the least.
    Loss(GaugePressure),
    /// A larger dryer or separator: this much more air.
    Flow(FreeFlow),
}

/// Why no size holds.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SizeError {
    /// A number of the work that makes no sense.
    #[error(
        "{}",
        say!(
            "work wanted, {what}: {given} is outside {least} to {most}; correct it",
            given = number(given.to_string()),
            least = number(least.to_string()),
            most = number(most.to_string())
        )
    )]
    Work {
        /// Which number.
        what: &'static str,
        /// What was given.
        given: f64,
        /// Least allowed.
        least: f64,
        /// Greatest allowed.
        most: f64,
    },
    /// No size on the list is enough.
    #[error(
        "{}",
        say!("{what}: even the largest on the list is too small for this work; add larger ones, or ask for less")
    )]
    TooSmall {
        /// Which list.
        what: &'static str,
    },
    /// The pressure asked for leaves nothing to store.
    #[error("{}", say!("cut-in of {cut_in} is not above the {needs} that the receiver needs; choose a higher one"))]
    CutInTooLow {
        /// Where the compressor would start.
        cut_in: GaugePressure,
        /// Lowest receiver pressure that holds.
        needs: GaugePressure,
    },
    /// The line made of the sizes is none.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// Its run was given up.
    #[error(transparent)]
    Course(#[from] CourseError),
    /// A result outside its kind's range.
    #[error("{}", say!("sizing: {0}; check the work wanted", _0))]
    Range(#[from] OutOfRange),
}

/// Ten minutes, the window of a share.
const WINDOW_S: f64 = 600.0;
/// How long the chosen line is watched, s.
const WATCHED_S: f64 = 7200.0;

/// The smallest sizes that hold the work, each by itself.
///
/// The hose and regulator by the pressure that they take at the demand with growth: the smallest
/// bore, then the smallest valve, within `loss_max`. The compressor by the long run: `q >= N demand share /
/// duty`. The receiver by a run in time of the whole line, blasting `share` of every ten minutes in one
/// go for two hours: the smallest that never loses the hold. Dryer and separator by rated flow.
///
/// Margins: compressor, dryer, separator `size/needed - 1`; hose and regulator `loss_max/loss - 1`;
/// receiver: volume over the least volume that holds, less 1, found by bisection to 1 %.
///
/// # Errors
/// [`SizeError`].
pub fn size(work: &Work, sizes: &Sizes) -> Result<Sizing, SizeError> {
    check(work)?;
    let hose = choose_hose(work, sizes)?;
    let regulator = choose_regulator(work, sizes, hose.size)?;
    let station = station(work, hose.size, regulator.size)?;
    if work.cut_in <= station.lowest {
        return Err(SizeError::CutInTooLow { cut_in: work.cut_in, needs: station.lowest });
    }
    let all = station.demand * work.stations as f64;
    let free_air = choose_free_air(work, sizes, all)?;
    let line = |free_air, volume| network(work, &station, hose.size, regulator.size, free_air, volume);
    let receiver = choose_receiver(work, sizes, |volume| line(free_air.size, volume))?;
    Ok(Sizing {
        demand: MassRate::clamped(station.demand),
        set: station.set,
        lowest_receiver: station.lowest,
        free_air,
        receiver,
        hose,
        regulator,
        dryer: by_rating(say!(in "a list of sizes", "dryer"), sizes.dryers, free_air.size)?,
        separator: by_rating(say!(in "a list of sizes", "separator"), sizes.separators, free(work, all))?,
        network: line(free_air.size, receiver.size)?,
    })
}

fn check(work: &Work) -> Result<(), SizeError> {
    let within = |what, given: f64, least: f64, most: f64| {
        if (least..=most).contains(&given) { Ok(()) } else { Err(SizeError::Work { what, given, least, most }) }
    };
    within(say!(in "work wanted", "growth"), work.growth, 1.0, 10.0)?;
    within(say!(in "work wanted", "stations"), work.stations as f64, 1.0, crate::tree::STATIONS_MAX as f64)?;
    within(say!(in "work wanted", "share of ten minutes"), work.share.to_ratio(), 0.001, 1.0)?;
    within(say!(in "work wanted", "duty"), work.duty.to_ratio(), 0.01, 1.0)?;
    within(say!(in "work wanted", "bore in mm"), work.bore.to_mm(), 0.1, 50.0)?;
    within(say!(in "work wanted", "pressure in bar"), work.pressure.to_bar(), 0.1, 15.0)?;
    within(say!(in "work wanted", "most loss in bar"), work.loss_max.to_bar(), 0.001, 10.0)?;
    within(say!(in "work wanted", "hose length in m"), work.hose_length.to_metres(), 0.01, 100.0)
}

/// One station at the demand with growth; kg/s.
struct Station {
    demand: f64,
    bore: Diameter,
    set: GaugePressure,
    lowest: GaugePressure,
}

/// The bore whose demand is the grown one.
fn grown(work: &Work) -> Diameter {
    Diameter::clamped(work.bore.to_metres() * work.growth.sqrt())
}

fn hose_of(work: &Work, bore: Diameter) -> Hose {
    let roughness = Length::clamped(crate::hose::SMOOTH_HOSE_MM * 1e-3);
    Hose { bore, length: work.hose_length, roughness, fittings: Fittings::NONE }
}

/// A station whose nozzle has the pressure asked for: everything else follows from it.
fn station(work: &Work, hose: Diameter, regulator: Conductance) -> Result<Station, SizeError> {
    let bore = grown(work);
    let site = work.site.pressure.to_pascals();
    let nozzle = site + work.pressure.to_pascals();
    let discharge = crate::nozzle::loaded_discharge(work.discharge, work.loading, bore).to_ratio();
    let passes = discharge * crate::nozzle::bore_area(bore) / crate::gas::RT.sqrt();
    let demand = passes * nozzle * crate::gas::psi(site / nozzle);
    let run = crate::hose::Run::of(hose_of(work, hose));
    let regulator_out = run.inlet(nozzle.max(run.choking_pressure(demand)), demand);
    let lowest = regulator.inlet_for(demand, regulator_out);
    Ok(Station {
        demand,
        bore,
        set: GaugePressure::pascals(regulator_out - site)?,
        lowest: GaugePressure::pascals(lowest - site)?,
    })
}

fn loss(work: &Work, station: &Station) -> f64 {
    station.lowest.to_pascals() - work.pressure.to_pascals()
}

fn choose_hose(work: &Work, sizes: &Sizes) -> Result<Choice<Diameter>, SizeError> {
    let loss_of = |bore: Diameter| station(work, bore, Conductance::WIDE).map(|station| loss(work, &station));
    let most = work.loss_max.to_pascals();
    let allows = |bore| loss_of(bore).ok().map(|loss| Allows::Loss(GaugePressure::clamped(loss)));
    choose(
        say!(in "a list of sizes", "hose bore"),
        sizes.hoses,
        |&bore| loss_of(bore).map_or(-1.0, |loss| most / loss.max(1e-3) - 1.0),
        allows,
    )
}

fn choose_regulator(work: &Work, sizes: &Sizes, hose: Diameter) -> Result<Choice<Conductance>, SizeError> {
    let loss_of = |valve: Conductance| station(work, hose, valve).map(|station| loss(work, &station));
    let most = work.loss_max.to_pascals();
    let allows = |valve| loss_of(valve).ok().map(|loss| Allows::Loss(GaugePressure::clamped(loss)));
    choose(
        say!(in "a list of sizes", "regulator"),
        sizes.regulators,
        |&valve| loss_of(valve).map_or(-1.0, |loss| most / loss.max(1e-3) - 1.0),
        allows,
    )
}

/// Free air at the site that a mass is.
fn free(work: &Work, mass: f64) -> FreeFlow {
    let litre = crate::machine::Curve::of(&Delivery::Constant(FreeFlow::clamped(1.0)), &work.site).rate(1e6);
    FreeFlow::clamped(mass / litre)
}

fn choose_free_air(work: &Work, sizes: &Sizes, all: f64) -> Result<Choice<FreeFlow>, SizeError> {
    let needed = free(work, all).to_base() * work.share.to_ratio() / work.duty.to_ratio();
    let allows = |size: FreeFlow| {
        let times = size.to_base() / needed;
        let share = Fraction::clamped(work.share.to_ratio() * times);
        Some(Allows::Blasting { share, bore: Diameter::clamped(work.bore.to_metres() * times.sqrt()) })
    };
    choose(say!(in "a list of sizes", "compressor"), sizes.free_air, |size| size.to_base() / needed - 1.0, allows)
}

fn by_rating(what: &'static str, sizes: &[FreeFlow], needed: FreeFlow) -> Result<Choice<FreeFlow>, SizeError> {
    let allows = |size: FreeFlow| Some(Allows::Flow(FreeFlow::clamped(size.to_base() - needed.to_base())));
    choose(what, sizes, |size| size.to_base() / needed.to_base() - 1.0, allows)
}

/// The first size whose margin is not negative.
fn choose<T: Copy>(
    what: &'static str,
    sizes: &[T],
    margin: impl Fn(&T) -> f64,
    allows: impl Fn(T) -> Option<Allows>,
) -> Result<Choice<T>, SizeError> {
    let place = sizes.iter().position(|size| margin(size) >= 0.0).ok_or(SizeError::TooSmall { what })?;
    let next = sizes.get(place + 1).and_then(|&size| Some(Next { size, allows: allows(size)? }));
    Ok(Choice { size: sizes[place], margin: margin(&sizes[place]), next })
}

fn choose_receiver(
    work: &Work,
    sizes: &Sizes,
    line: impl Fn(Volume) -> Result<Network, SizeError>,
) -> Result<Choice<Volume>, SizeError> {
    let holds = |volume: Volume| -> Result<bool, SizeError> {
        let network = line(volume)?;
        Ok(network.run(&patterns(&network, work), Time::clamped(WATCHED_S), &quiet())?.first_loss().is_none())
    };
    let mut place = None;
    for (at, &volume) in sizes.receivers.iter().enumerate() {
        if holds(volume)? {
            place = Some(at);
            break;
        }
    }
    let place = place.ok_or(SizeError::TooSmall { what: say!(in "a list of sizes", "receiver") })?;
    let size = sizes.receivers[place];
    let least = least_volume(size, &holds)?;
    let next = match sizes.receivers.get(place + 1) {
        Some(&size) => Some(Next { size, allows: Allows::OneBlast(one_blast(&line(size)?)?) }),
        None => None,
    };
    Ok(Choice { size, margin: size.to_base() / least - 1.0, next })
}

/// The least volume that holds, m³, to 1 %; a hundredth of the size where even that does.
fn least_volume(size: Volume, holds: &dyn Fn(Volume) -> Result<bool, SizeError>) -> Result<f64, SizeError> {
    let (mut low, mut high) = (0.01 * size.to_base(), size.to_base());
    while high / low > 1.01 {
        let middle = (low * high).sqrt();
        if holds(Volume::clamped(middle))? { high = middle } else { low = middle }
    }
    Ok(high)
}

fn quiet() -> RunOptions {
    RunOptions { gap: Some(Time::clamped(WATCHED_S)), until_lost: true, ..RunOptions::default() }
}

fn patterns(network: &Network, work: &Work) -> Vec<Pattern> {
    let on = work.share.to_ratio() * WINDOW_S;
    let valve = |open, seconds| Valve { open, for_: Time::clamped(seconds) };
    let valves = [valve(true, on), valve(false, WINDOW_S - on)];
    network.stations().map(|station| Pattern::repeating(station, &valves)).collect()
}

fn one_blast(network: &Network) -> Result<Option<Time>, SizeError> {
    let patterns: Vec<Pattern> = network.stations().map(Pattern::held_open).collect();
    Ok(network.run(&patterns, Time::clamped(WATCHED_S), &quiet())?.first_loss())
}

/// The line of some sizes.
fn network(
    work: &Work,
    station: &Station,
    hose: Diameter,
    valve: Conductance,
    free_air: FreeFlow,
    volume: Volume,
) -> Result<Network, SizeError> {
    let machine = Machine {
        kind: work.kind,
        delivery: Delivery::Constant(free_air),
        cut_in: work.cut_in,
        cut_out: work.cut_out,
        duty: Duty::reported(work.duty),
        power: Power::clamped(0.0),
        switched_on: true,
    };
    let names = |word: &str| (1..=work.stations).map(|number| format!("{word} {number}")).collect::<Vec<_>>();
    let mut parts = vec![
        Part::new("compressor", "receiver", PartKind::Compressor(machine)),
        Part { name: "receiver".to_owned(), feeds: names("regulator"), kind: PartKind::Receiver(Vessel::of(volume)) },
    ];
    for number in 1..=work.stations {
        let name = |word: &str| format!("{word} {number}");
        let regulator = Regulator { set: station.set, droop: Droop::NONE, valve };
        let pot = Pot { passes: Conductance::WIDE, loading: work.loading };
        parts.extend([
            Part::new(&name("regulator"), &name("hose"), PartKind::Regulator(regulator)),
            Part::new(&name("hose"), &name("pot"), PartKind::Hose(hose_of(work, hose))),
            Part::new(&name("pot"), &name("nozzle"), PartKind::Pot(pot)),
            Part::last(&name("nozzle"), PartKind::Nozzle(Tip::new(station.bore, work.discharge))),
        ]);
    }
    Ok(Network::new(work.site, parts)?)
}
