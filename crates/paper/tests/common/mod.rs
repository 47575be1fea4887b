//! A plan made by hand and a placeholder for its preview.

use artwork::bounds::Bounds;
use artwork::grid::{Field, Grid, Point};
use artwork::region::Region;
use piece::{Blank, Body, Coupon, Depth, Money, OpenRecipe, Piece, Placing, Select, ShopNozzle, Side, Temper};
use plan::*;
use quantity::*;
use reference::{Source, tables};
use stencil::masking::{Face, MaskingPlan};

/// What a made-up plan is like.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Like {
    /// Layers, each with its own stage.
    pub(crate) layers: usize,
    /// Findings, of every kind and state in turn.
    pub(crate) findings: usize,
    /// What the shop reads.
    pub(crate) units: UnitSystem,
    /// Whether every name is very long.
    pub(crate) long_names: bool,
}

/// Three layers, eight findings, ordinary names.
pub(crate) const USUAL: Like = Like { layers: 3, findings: 8, units: UnitSystem::Metric, long_names: false };

/// A plan that nobody computed.
pub(crate) fn plan(like: Like) -> Plan {
    let layers: Vec<LayerPlan> = (0..like.layers).map(|i| layer(like, i)).collect();
    let stages: Vec<Stage> = (0..like.layers).map(|i| stage(&layers, i)).collect();
    let strip = strip(&layers, &stages);
    let recipe = recipe();
    let piece = piece(like);
    Plan {
        cautions: cautions(&piece, &recipe),
        safety: Vec::new(),
        findings: (0..like.findings).map(|i| finding(i, &layers)).collect(),
        shop: named(like, "Weir Lane workshop"),
        units: like.units,
        air: air(),
        resist: ResistPlan {
            life: range(Time::minutes, 14.0, 22.0, 41.0),
            used: Estimate::new(0.31, 0.58, 0.9).unwrap(),
        },
        resists: resists(),
        masking: masking(&piece),
        consumables: consumables(&recipe),
        time: times(&stages, strip.length),
        cost: cost(),
        narrowing: narrowing(),
        work: work(),
        relief: relief(),
        notes: plan::Notes::default(),
        piece,
        recipe,
        layers,
        stages,
        strip,
    }
}

fn named(like: Like, name: &str) -> String {
    if like.long_names {
        return format!(
            "{name}, the second of the pair for the landing by the staircase in the east wing, as agreed in spring"
        );
    }
    name.to_owned()
}

fn range<T: Copy + PartialOrd>(
    make: impl Fn(f64) -> Result<T, OutOfRange>,
    low: f64,
    mid: f64,
    high: f64,
) -> Estimate<T> {
    Estimate::new(make(low).unwrap(), make(mid).unwrap(), make(high).unwrap()).unwrap()
}

fn mm(mm: f64) -> Length {
    Length::mm(mm).unwrap()
}

fn money(cents: i64) -> Money {
    Money(rust_decimal::Decimal::new(cents, 2))
}

fn piece(like: Like) -> Piece {
    Piece {
        name: named(like, "Heron at the weir"),
        customer: Some(named(like, "the reading room")),
        quantity: 2,
        artwork: "heron.svg".to_owned(),
        placing: Placing { width: None, height: None, left: None, top: None },
        blank: Blank {
            material: tables().material("float_glass").unwrap(),
            body: Body::Panel { width: mm(300.0), height: mm(400.0) },
            thickness: mm(10.0),
            temper: Temper::Annealed,
            laminated: false,
            insulated: false,
            edges: None,
            carve_from: Side::Back,
            handle: None,
            gores: None,
            price: money(4200),
        },
        place: None,
        depths: vec![Depth { select: Select::Layer("body".to_owned()), depth: mm(3.0) }],
        recipe: OpenRecipe::default(),
    }
}

fn recipe() -> Recipe {
    Recipe {
        resist: tables().resist("rubber_medium").unwrap(),
        abrasive: tables().abrasive("white_alumina").unwrap(),
        grit: tables().grit("F150").unwrap(),
        finish: None,
        nozzle: ShopNozzle {
            name: "3/32 in boron carbide".to_owned(),
            bore: Diameter::mm(2.381_25).unwrap(),
            length: mm(32.0),
            discharge: 0.95,
            price: money(8500),
            life: Time::hours(300.0).unwrap(),
            material: None,
        },
        pressure: GaugePressure::bar(3.5).unwrap(),
        standoff: mm(150.0),
        grain_speed: range(Speed::metres_per_second, 80.0, 105.0, 130.0),
    }
}

const NAMES: [&str; 8] = ["body", "wing", "reeds", "water", "neck feathers", "eye", "far bank", "signature"];

fn target(i: usize, count: usize) -> f64 {
    3.0 * (1.0 - i as f64 / (count as f64 + 0.5))
}

fn layer(like: Like, i: usize) -> LayerPlan {
    let depth = target(i, like.layers);
    let worst = ShortSpot { at: Point { x: 120.0, y: 88.0 }, opening: mm(0.7), depth: mm(depth * 0.6) };
    LayerPlan {
        name: if like.long_names { format!("{} as seen from below", NAMES[i % 8]) } else { NAMES[i % 8].to_owned() },
        target: mm(depth),
        region: Region::default(),
        area: Area::square_cm(40.0 + 25.0 * i as f64).unwrap(),
        reach: Reach {
            wide: range(Length::mm, depth * 0.78, depth, depth * 1.27),
            has_flat: i != 1,
            short: Fraction::percent(6.0).unwrap(),
            worst: Some(worst),
        },
    }
}

fn stage(layers: &[LayerPlan], i: usize) -> Stage {
    let next = layers.get(i + 1).map_or(0.0, |next| next.target.to_mm());
    let dose = layers[i].target.to_mm() - next;
    let depth = |layer: usize| {
        let deep = layers[layer].target.to_mm() - next;
        (layer, range(Length::mm, deep * 0.78, deep, deep * 1.27))
    };
    Stage {
        order: i + 1,
        opens: vec![i],
        dose: mm(dose),
        abrasive: recipe().abrasive,
        grit: recipe().grit,
        weed: Time::seconds(150.0 + 40.0 * i as f64).unwrap(),
        blast: Time::seconds(dose * 160.0).unwrap(),
        wait: Time::seconds(if i == 0 { 150.0 } else { 0.0 }).unwrap(),
        depth: (0..=i).map(depth).collect(),
    }
}

fn air() -> AirPlan {
    AirPlan {
        demand: MassRate::litres_anr_per_minute(412.0).unwrap(),
        available: MassRate::litres_anr_per_minute(335.0).unwrap(),
        nozzle_pressure: GaugePressure::bar(3.22).unwrap(),
        longest_blast: Some(Time::seconds(190.0).unwrap()),
        recovery: Time::seconds(75.0).unwrap(),
        duty: Fraction::percent(58.0).unwrap(),
        duty_limit: Fraction::percent(70.0).unwrap(),
    }
}

/// Blocks of hand work one after the other, and lines that follow them.
fn strip(layers: &[LayerPlan], stages: &[Stage]) -> RunStrip {
    let at = |s: f64| Time::seconds(s).unwrap();
    let bar = |b: f64| GaugePressure::bar(b).unwrap();
    let (mut now, mut hands) = (0.0, Vec::new());
    let mut block = |act, stage, seconds: f64| {
        if seconds > 0.0 {
            hands.push(HandBlock { from: at(now), to: at(now + seconds), act, stage });
            now += seconds;
        }
    };
    block(Act::Prepare, 1, 600.0);
    for stage in stages {
        block(Act::Weed, stage.order, stage.weed.to_seconds());
        let spells = if stage.wait.to_seconds() > 0.0 { 3 } else { 1 };
        for spell in 0..spells {
            block(Act::Blast, stage.order, stage.blast.to_seconds() / f64::from(spells));
            block(Act::Rest, stage.order, if spell < 2 { stage.wait.to_seconds() / 2.0 } else { 0.0 });
        }
        block(Act::Clear, stage.order, 140.0);
    }
    block(Act::Finish, stages.len(), 480.0);
    let blasts = |f: &mut dyn FnMut(&HandBlock)| hands.iter().filter(|b| b.act == Act::Blast).for_each(f);
    let mut depth: Vec<Vec<(Time, Length)>> = layers.iter().map(|_| vec![(at(0.0), mm(0.0))]).collect();
    let (mut receiver, mut nozzle) = (vec![(at(0.0), bar(10.0))], vec![(at(0.0), None)]);
    let (mut resist, mut dust) = (vec![(at(0.0), 1.0)], vec![(at(0.0), 0.0)]);
    blasts(&mut |b| {
        let (from, to) = (b.from, b.to);
        for (layer, line) in depth.iter_mut().enumerate().filter(|(layer, _)| *layer < b.stage) {
            let _ = layer;
            let before = line[line.len() - 1].1.to_mm();
            line.push((from, mm(before)));
            line.push((to, mm(before + (to.to_seconds() - from.to_seconds()) / 160.0)));
        }
        let low = 10.0 - (to.to_seconds() - from.to_seconds()) / 70.0;
        receiver.extend([
            (from, receiver[receiver.len() - 1].1),
            (to, bar(low)),
            (at(to.to_seconds() + 0.9 * 75.0), bar(10.0)),
        ]);
        nozzle.extend([(from, None), (from, Some(bar(3.22))), (to, Some(bar(3.18))), (to, None)]);
        let left = resist[resist.len() - 1].1;
        resist.extend([(from, left), (to, left - (to.to_seconds() - from.to_seconds()) / 900.0)]);
        dust.extend([(from, 0.0), (at(from.to_seconds() + 20.0), 1.0), (to, 1.0), (at(to.to_seconds() + 70.0), 0.05)]);
    });
    let depth = layers.iter().enumerate().zip(depth).map(|((layer, plan), points)| DepthLine {
        layer,
        name: plan.name.clone(),
        target: plan.target,
        points,
    });
    let clears = hands.iter().filter(|b| b.act == Act::Clear);
    RunStrip {
        length: at(now),
        depth: depth.collect(),
        air: AirLane { cut_in: bar(8.0), cut_out: bar(10.0), set: bar(3.5), receiver, nozzle },
        resist_left: resist,
        dust,
        door: clears.map(|b| (b.to, at(b.to.to_seconds() + 150.0))).collect(),
        hands,
    }
}

fn cautions(piece: &Piece, recipe: &Recipe) -> Vec<safety::caution::Caution> {
    safety::caution::cautions(&safety::caution::Facts {
        material: piece.blank.material,
        abrasive: recipe.abrasive,
        collector: true,
        door_wait: Some(Time::seconds(140.0).unwrap()),
        photo_resist: false,
        pressure_vessel: true,
        supplied_air: false,
        noise: None,
        entered: false,
        mass: None,
        sealed: false,
        place: None,
    })
}

fn finding(i: usize, layers: &[LayerPlan]) -> Finding {
    let layer = layers[i % layers.len()].name.clone();
    let length = |low: f64, mid: f64, high: f64| Amount::Length(range(Length::mm, low, mid, high));
    let share = |low, mid, high| Amount::Share(range(Fraction::percent, low, mid, high));
    let exactly = |mm: f64| length(mm, mm, mm);
    let (check, value, limit) = match i % 11 {
        0 => (Check::NarrowDepth { layer }, length(1.6, 1.9, 2.2), exactly(2.7)),
        1 => (Check::ResistWear, share(31.0, 58.0, 90.0), share(80.0, 80.0, 80.0)),
        2 => (
            Check::AirHolds,
            Amount::Time(Estimate::exact(Time::seconds(190.0).unwrap())),
            Amount::Time(Estimate::exact(Time::seconds(240.0).unwrap())),
        ),
        3 => (Check::Opening { layer }, exactly(0.7), exactly(0.6)),
        4 => (Check::Wall, exactly(1.4), exactly(0.8)),
        5 => (Check::Thickness, share(23.0, 30.0, 38.0), share(33.0, 33.0, 33.0)),
        6 => (
            Check::NozzlePressure,
            Amount::Pressure(Estimate::exact(GaugePressure::bar(3.22).unwrap())),
            Amount::Pressure(Estimate::exact(GaugePressure::bar(3.5).unwrap())),
        ),
        7 => (
            Check::Collector,
            Amount::Air(Estimate::exact(MassRate::scfm(212.0).unwrap())),
            Amount::Air(Estimate::exact(MassRate::scfm(180.0).unwrap())),
        ),
        8 => (Check::Silica, share(0.0, 0.0, 0.0), share(0.1, 0.1, 0.1)),
        9 => (Check::Duty, share(58.0, 58.0, 58.0), share(70.0, 70.0, 70.0)),
        _ => (Check::RollWidth, exactly(400.0), exactly(610.0)),
    };
    let state =
        [State::Watch, State::Watch, State::Stop, State::Holds, State::Holds, State::Watch, State::Holds][i % 7];
    let source = match i % 3 {
        0 => Source::judgement("forward simulation over the model's spread"),
        1 => Source::CommonPractice,
        _ => Source::second_hand("OSHA 29 CFR 1910.94(a)", "a trade summary"),
    };
    let change = |change, gives, time_s| Remedy {
        changes: vec![change],
        mark: None,
        gives,
        value,
        time_s,
        cost: piece::Money::ZERO,
        others: Vec::new(),
    };
    let remedies = match state {
        State::Holds => vec![],
        State::Watch => vec![change(Change::LayerDepth(layers[0].name.clone(), mm(2.4)), State::Holds, -95.0)],
        State::Stop => vec![
            change(Change::Nozzle("5/64 in".to_owned()), State::Holds, 260.0),
            change(Change::Pressure(GaugePressure::bar(2.8).unwrap()), State::Watch, 130.0),
        ],
    };
    let places = vec![Point { x: 120.0, y: 88.0 }];
    Finding { check, state, value, limit, about: None, source, places, remedies, no_remedy: None }
}

fn resists() -> Vec<ResistOption> {
    let option = |id: &str, chosen, state, extra_s| ResistOption {
        resist: tables().resist(id).unwrap(),
        chosen,
        state,
        findings: match state {
            State::Holds => Vec::new(),
            _ => vec![Finding { check: Check::Wall, ..finding(2, &[layer(USUAL, 0)]) }],
        },
        used: Estimate::new(0.31, 0.58, 0.9).unwrap(),
        life: range(Time::minutes, 14.0, 22.0, 41.0),
        extra_s,
    };
    vec![
        option("rubber_medium", true, State::Holds, 0.0),
        option("rubber_thin", false, State::Holds, -140.0),
        option("photo_6mil", false, State::Stop, -300.0),
    ]
}

fn masking(piece: &Piece) -> MaskingPlan {
    let stencil = Bounds { min: Point { x: 60.0, y: 80.0 }, max: Point { x: 240.0, y: 320.0 } };
    let face = Face::Panel { width: mm(300.0), height: mm(400.0), thickness: piece.blank.thickness };
    stencil::masking::masking(face, stencil, mm(12.0))
}

fn consumables(recipe: &Recipe) -> Vec<Consumable> {
    let item = |what, amount, cents| Consumable { what, amount, price: money(cents) };
    vec![
        item(
            ConsumableKind::Resist(recipe.resist.name.clone()),
            ConsumableAmount::Area(Area::square_metres(0.15).unwrap()),
            390,
        ),
        item(ConsumableKind::TransferTape, ConsumableAmount::Area(Area::square_metres(0.13).unwrap()), 80),
        item(
            ConsumableKind::Abrasive(recipe.abrasive.name.clone(), recipe.grit.name.clone()),
            ConsumableAmount::Mass(Mass::kilograms(1.9).unwrap()),
            620,
        ),
        item(
            ConsumableKind::Nozzle(recipe.nozzle.name.clone()),
            ConsumableAmount::Life(Fraction::percent(0.045).unwrap()),
            4,
        ),
    ]
}

/// A coupon for two numbers, one with a look at the resist, and a compressor to be timed.
fn narrowing() -> Vec<Narrowing> {
    let tables = reference::tables();
    let coupon = Coupon {
        material: tables.material("float_glass").unwrap(),
        abrasive: tables.abrasive("white_alumina").unwrap(),
        grit: tables.grit("F150").unwrap(),
        nozzle: "carver".to_owned(),
        pressure: GaugePressure::bar(3.5).unwrap(),
        standoff: Length::mm(120.0).unwrap(),
        opening: Length::mm(25.0).unwrap(),
        time: Time::seconds(74.0).unwrap(),
        depth: Length::mm(1.0).unwrap(),
        gauge: piece::CALIPER,
        resist: None,
    };
    let resist = tables.resist("rubber_thick").unwrap();
    let looked_at = Coupon { resist: Some((resist, piece::ResistAfter::Sound)), ..coupon.clone() };
    let one = |number, by| Narrowing { number, width: 3.4, by, narrows_to: 1.7 };
    vec![
        one(Number::BlastTime, Measurement::Coupon(coupon.clone())),
        one(Number::Depth, Measurement::Coupon(coupon)),
        one(Number::ResistWear, Measurement::Coupon(looked_at)),
        one(Number::Delivered("two-stage, 4 kW".to_owned()), Measurement::FillReceiver("two-stage, 4 kW".to_owned())),
    ]
}

fn times(stages: &[Stage], total: Time) -> Times {
    let sum = |of: fn(&Stage) -> Time| stages.iter().map(|stage| of(stage).to_seconds()).sum::<f64>();
    let blast = sum(|stage| stage.blast);
    let range = range(Time::seconds, blast * 0.7, blast, blast * 1.5);
    Times {
        hands: Time::seconds(1080.0 + sum(|stage| stage.weed)).unwrap(),
        blast: range,
        blast_with: [range, Estimate::exact(Time::seconds(0.0).unwrap())],
        wait: Time::seconds(sum(|stage| stage.wait) + 140.0 * stages.len() as f64).unwrap(),
        total,
    }
}

fn cost() -> Cost {
    let each = Estimate::new(money(11_800), money(12_650), money(14_100)).unwrap();
    let lines = vec![CostLine { what: CostKind::Blank, amount: money(4200) }];
    Cost { currency: "EUR".to_owned(), lines, each, price: money(38_000) }
}

/// What one piece takes: round numbers.
fn work() -> cost::Work {
    let task = |kind, min| cost::Task { kind, time: Time::minutes(min).unwrap() };
    cost::Work {
        blank: money(4200),
        materials: vec![cost::Material {
            name: cost::MaterialName::Table { name: "resist".to_owned(), grade: None },
            price: money(390),
            grows: false,
        }],
        tasks: vec![task(cost::TaskKind::Weed, 10.0), task(cost::TaskKind::Blast, 8.0)],
        energy: Vec::new(),
        equipment: Vec::new(),
        blast: range(Time::minutes, 6.0, 8.0, 12.0),
        risk: cost::Risk::default(),
    }
}

fn relief() -> Relief {
    let grid = Grid { origin: Point::default(), cell: 1.0, width: 2, height: 2 };
    Relief {
        depth_mm: Field::filled(grid, 0.0),
        layer: Field::filled(grid, 0),
        body: Body::Panel { width: mm(300.0), height: mm(400.0) },
        thickness: mm(10.0),
        side: Side::Back,
        roughness: Length::um(3.0).unwrap(),
    }
}

/// A dark pane with a grey disc on it, as a PNG.
pub(crate) fn preview(width: u32, height: u32) -> Vec<u8> {
    let mut pixels = Vec::with_capacity((3 * width * height) as usize);
    let (cx, cy, radius) = (f64::from(width) / 2.0, f64::from(height) * 0.45, f64::from(width.min(height)) * 0.32);
    for y in 0..height {
        for x in 0..width {
            let far = (f64::from(x) - cx).hypot(f64::from(y) - cy);
            // A cheap speckle, so that the picture packs about as badly as frosted glass does.
            let speckle = (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)).rotate_left(7) % 23;
            let frost = if far < radius { 170.0 + 50.0 * (1.0 - far / radius) } else { 22.0 };
            let grey = (frost + if far < radius { f64::from(speckle) } else { 0.0 }).min(255.0) as u8;
            pixels.extend([grey, grey.saturating_add(2), grey.saturating_add(5)]);
        }
    }
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&pixels).unwrap();
    writer.finish().unwrap();
    bytes
}
