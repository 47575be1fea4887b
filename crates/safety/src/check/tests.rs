//! Each hazard has a shop or piece that triggers it and a neighbour, one value away, that does not.

use super::*;
use language::Language;
use piece::{
    AirFrom, BlastValve, BreathingAir, EdgeFinish, EnclosureKind, Hearing, OtherDust, PlaceKind, PlacePart, Side,
    Supports, read_piece, read_shop,
};
use quantity::Temperature;
use reference::{AreaLoad, Force, Respirator, tables};
use std::collections::BTreeSet;

const SHOP: &str = include_str!("../../../../examples/shop.toml");
const PIECE: &str = r#"sabulo = "piece 1"
name = "Pane"
[artwork]
file = "pane.svg"
[blank]
material = "float_glass"
width = "600mm"
height = "400mm"
thickness = "10mm"
[[depth]]
layer = "deep"
depth = "2mm"
"#;

/// A shop, a piece in it, and what its plan would say.
#[derive(Clone)]
struct Scene {
    shop: Shop,
    piece: Piece,
    abrasive: &'static Abrasive,
    free_silica: Option<Fraction>,
    photo_resist: bool,
    edge_distance: Option<Length>,
    blast_air: FreeFlow,
}

impl Scene {
    fn new() -> Self {
        let silent = SHOP.split_once("# What protects people here.").expect("the shop has a part about people").0;
        let shop = read_shop(silent, "shop.toml").unwrap();
        let piece = read_piece(PIECE, "piece.toml", &shop).unwrap();
        let blast_air = FreeFlow::litres_per_minute(400.0).unwrap();
        let abrasive = tables().abrasive("white_alumina").unwrap();
        Self { shop, piece, abrasive, free_silica: None, photo_resist: false, edge_distance: None, blast_air }
    }

    fn with(change: impl FnOnce(&mut Self)) -> Self {
        let mut scene = Self::new();
        change(&mut scene);
        scene
    }

    fn depth(&self) -> Length {
        self.piece.depths[0].depth
    }

    fn checks(&self) -> Vec<Checked> {
        let work = Work {
            piece: &self.piece,
            abrasive: self.abrasive,
            free_silica: self.free_silica,
            photo_resist: self.photo_resist,
            depth: self.depth(),
            edge_distance: self
                .edge_distance
                .filter(|_| self.depth().to_mm() * 3.0 > self.piece.blank.thickness.to_mm()),
            blast_air: self.blast_air,
            line_pressure: GaugePressure::bar(10.0).unwrap(),
            nozzle_open: Time::hours(2.0).unwrap(),
            making: Time::hours(3.0).unwrap(),
        };
        all(&Subject { shop: &self.shop, work: Some(work) })
    }

    fn check(&self, hazard: Hazard) -> Option<Checked> {
        self.checks().into_iter().filter(|checked| checked.hazard == hazard).max_by_key(|checked| checked.standing)
    }

    fn made(&self, mend: Mend) -> Self {
        let mut scene = self.clone();
        mend.make(&mut scene.shop, Some(&mut scene.piece));
        scene
    }
}

fn mm(value: f64) -> Length {
    Length::mm(value).unwrap()
}

fn bar(value: f64) -> Option<GaugePressure> {
    GaugePressure::bar(value).ok()
}

fn dba(value: f64) -> Option<SoundLevel> {
    SoundLevel::dba(value).ok()
}

fn ug(value: f64) -> Option<Concentration> {
    Concentration::ug_per_m3(value).ok()
}

fn air(co_ppm: f64) -> BreathingAir {
    let celsius = |at| Temperature::celsius(at).ok();
    BreathingAir {
        from: AirFrom::OwnLine,
        co_ppm: Some(co_ppm),
        co2_ppm: Some(600.0),
        oil: Concentration::mg_per_m3(1.0).ok(),
        oxygen: Fraction::percent(20.9).ok(),
        dew_point: celsius(-20.0),
        coldest: celsius(10.0),
    }
}

fn place(kind: PlaceKind, change: impl FnOnce(&mut PlacePart)) -> Option<PlacePart> {
    let mut place =
        PlacePart { kind, supports: None, flat: false, wind: None, load: None, push: None, patch: mm(100.0) };
    change(&mut place);
    Some(place)
}

fn material(id: &str) -> &'static reference::Material {
    tables().material(id).unwrap()
}

type Change = fn(&mut Scene);

/// A hazard, what triggers it, and the neighbour that does not.
const PAIRS: [(Hazard, Change, Change); 43] = [
    (
        Hazard::FreeSilica,
        |s| s.free_silica = Fraction::percent(1.0).ok(),
        |s| s.free_silica = Fraction::percent(0.9).ok(),
    ),
    (Hazard::SilicaExposure, |s| granite(s, 300.0), |s| granite(s, 100.0)),
    (
        Hazard::LeadExposure,
        |s| (s.piece.blank.material, s.shop.shift.dust_blasting) = (material("lead_crystal"), ug(2000.0)),
        |s| (s.piece.blank.material, s.shop.shift.dust_blasting) = (material("lead_crystal"), ug(300.0)),
    ),
    (
        Hazard::DustExposure,
        |s| s.shop.shift.dust_blasting = ug(30_000.0),
        |s| s.shop.shift.dust_blasting = ug(15_000.0),
    ),
    (
        Hazard::Respirator,
        |s| (s.shop.enclosure.kind, s.shop.protection.respirator) = (EnclosureKind::Booth, Some(Respirator::HalfMask)),
        |s| (s.shop.enclosure.kind, s.shop.protection.respirator) = (EnclosureKind::Booth, Some(Respirator::Hood)),
    ),
    (
        Hazard::BreathingAir,
        |s| s.shop.protection.air = Some(BreathingAir::default()),
        |s| s.shop.protection.air = Some(air(5.0)),
    ),
    (Hazard::GradeD, |s| s.shop.protection.air = Some(air(12.0)), |s| s.shop.protection.air = Some(air(10.0))),
    (Hazard::NoCollector, |s| s.shop.cabinet.collector = None, |_| {}),
    (
        Hazard::BlastOut,
        |s| s.shop.cabinet.collector = FreeFlow::litres_per_minute(399.0).ok(),
        |s| s.shop.cabinet.collector = FreeFlow::litres_per_minute(401.0).ok(),
    ),
    (Hazard::Inflow, |s| draws(s, 3.1), |s| draws(s, 3.2)),
    (Hazard::AirChanges, |s| draws(s, 14.3), |s| draws(s, 14.5)),
    (Hazard::DuctSpeed, |s| s.shop.enclosure.duct = bore(135.0), |s| s.shop.enclosure.duct = bore(133.0)),
    (
        Hazard::FilterArea,
        |s| s.shop.enclosure.filter_area = Area::square_metres(12.0).ok(),
        |s| s.shop.enclosure.filter_area = Area::square_metres(12.5).ok(),
    ),
    (
        Hazard::FilterClass,
        |s| s.shop.enclosure.recirculates = Some(true),
        |s| {
            (s.shop.enclosure.recirculates, s.shop.enclosure.filters) =
                (Some(true), vec![tables().filter("h13").unwrap()])
        },
    ),
    (
        Hazard::DoorWait,
        |s| s.shop.enclosure.door_wait = Time::seconds(59.0).ok(),
        |s| s.shop.enclosure.door_wait = Time::seconds(60.0).ok(),
    ),
    (Hazard::Interlock, |s| s.shop.enclosure.interlock = Some(false), |s| s.shop.enclosure.interlock = Some(true)),
    (Hazard::SharedCollector, |s| s.shop.enclosure.also_takes.push(OtherDust::Wood), |_| {}),
    (Hazard::NoiseDose, |s| s.shop.shift.noise_blasting = dba(96.0), |s| s.shop.shift.noise_blasting = dba(90.0)),
    (
        Hazard::NoiseRecommended,
        |s| s.shop.shift.noise_blasting = dba(92.0),
        |s| s.shop.shift.noise_blasting = dba(90.0),
    ),
    (Hazard::NoiseCeiling, |s| s.shop.shift.noise_blasting = dba(116.0), |s| s.shop.shift.noise_blasting = dba(115.0)),
    (Hazard::Hearing, |s| ears(s, Hearing::None), |s| ears(s, Hearing::One)),
    (Hazard::Relief, |s| vessel(s, 11.5, 11.0), |s| vessel(s, 11.0, 11.0)),
    (Hazard::CutOut, |s| vessel(s, 10.0, 11.0), |s| vessel(s, 11.0, 11.0)),
    (
        Hazard::ValveBeforeRelief,
        |s| s.shop.pressures.valve_before_relief = Some(true),
        |s| s.shop.pressures.valve_before_relief = Some(false),
    ),
    (Hazard::PotRating, |s| s.shop.pressures.pot_rated = bar(9.0), |s| s.shop.pressures.pot_rated = bar(10.0)),
    (Hazard::HoseRating, |s| s.shop.pressures.hose_rated = bar(9.0), |s| s.shop.pressures.hose_rated = bar(10.0)),
    (Hazard::Couplings, |s| s.shop.pressures.hose_lashed = Some(false), |s| s.shop.pressures.hose_lashed = Some(true)),
    (
        Hazard::BlastValve,
        |s| s.shop.pressures.valve = Some(BlastValve::HandValve),
        |s| s.shop.pressures.valve = Some(BlastValve::DeadMan),
    ),
    (Hazard::TiedValve, |s| s.shop.pressures.tied_open = Some(true), |s| s.shop.pressures.tied_open = Some(false)),
    (Hazard::NozzleRest, |s| s.shop.pressures.nozzle_rest = Some(false), |s| s.shop.pressures.nozzle_rest = Some(true)),
    (
        Hazard::CleaningAir,
        |s| s.shop.pressures.cleaning = GaugePressure::psi(30.0).ok(),
        |s| s.shop.pressures.cleaning = GaugePressure::psi(29.0).ok(),
    ),
    (Hazard::ChipGuard, |s| guarded(s, false), |s| guarded(s, true)),
    (Hazard::Static, |s| s.shop.enclosure.grounded = Some(false), |s| s.shop.enclosure.grounded = Some(true)),
    (Hazard::Lamp, |s| lamp(s, false), |s| lamp(s, true)),
    (
        Hazard::Edges,
        |s| s.piece.blank.edges = Some(EdgeFinish::Cut),
        |s| s.piece.blank.edges = Some(EdgeFinish::Seamed),
    ),
    (Hazard::Lifting, |s| s.piece.blank.thickness = mm(40.0), |s| s.piece.blank.thickness = mm(38.0)),
    (
        Hazard::Place,
        |s| s.piece.place = place(PlaceKind::Door, |_| {}),
        |s| s.piece.place = place(PlaceKind::Wall, |_| {}),
    ),
    (Hazard::SealedUnit, |s| s.piece.blank.insulated = true, |_| {}),
    (Hazard::Laminate, |s| s.piece.blank.laminated = true, |_| {}),
    (
        Hazard::Supports,
        |s| s.piece.place = place(PlaceKind::Shelf, |p| p.supports = Some(Supports::Points)),
        |s| shelf(s, 0.1, 2.0),
    ),
    (Hazard::Strength, |s| shelf(s, 0.5, 4.0), |s| shelf(s, 0.5, 2.0)),
    (Hazard::Sinking, |s| shelf(s, 6.0, 8.0), |s| shelf(s, 6.0, 2.0)),
    (Hazard::EdgeDistance, |s| near_edge(s, 19.0), |s| near_edge(s, 20.0)),
];

fn granite(scene: &mut Scene, dust: f64) {
    scene.piece.blank.material = material("granite");
    scene.shop.shift.dust_blasting = ug(dust);
}

fn draws(scene: &mut Scene, m3_min: f64) {
    scene.shop.cabinet.collector = FreeFlow::cubic_metres_per_minute(m3_min).ok();
}

fn bore(value: f64) -> Option<Diameter> {
    Diameter::mm(value).ok()
}

fn ears(scene: &mut Scene, worn: Hearing) {
    scene.shop.shift.noise_blasting = dba(97.0);
    scene.shop.protection.hearing = Some(worn);
}

fn vessel(scene: &mut Scene, relief: f64, rated: f64) {
    (scene.shop.pressures.relief, scene.shop.pressures.receiver_rated) = (bar(relief), bar(rated));
}

fn guarded(scene: &mut Scene, guard: bool) {
    (scene.shop.pressures.cleaning, scene.shop.pressures.chip_guard) = (bar(1.8), Some(guard));
}

fn lamp(scene: &mut Scene, closed: bool) {
    (scene.photo_resist, scene.shop.protection.lamp_closed) = (true, Some(closed));
}

/// A shelf of 600 mm on its two ends, loaded with so much and carved so deep.
fn shelf(scene: &mut Scene, kpa: f64, depth: f64) {
    scene.piece.place = place(PlaceKind::Shelf, |place| {
        (place.supports, place.flat, place.load) = (Some(Supports::LeftAndRight), true, AreaLoad::kpa(kpa).ok());
    });
    scene.piece.depths[0].depth = mm(depth);
}

fn near_edge(scene: &mut Scene, distance: f64) {
    scene.edge_distance = Some(mm(distance));
    scene.piece.depths[0].depth = mm(4.0);
}

#[test]
fn each_hazard_is_triggered_and_its_neighbour_is_not() {
    for (hazard, trigger, neighbour) in PAIRS {
        let triggered = Scene::with(trigger).check(hazard).unwrap_or_else(|| panic!("{hazard:?} is not checked"));
        assert!(triggered.standing >= Standing::Ask, "{hazard:?}: {triggered:?}");
        let beside = Scene::with(neighbour).check(hazard).map(|checked| checked.standing);
        assert!(beside.is_none_or(|standing| standing < Standing::NotTold), "{hazard:?}: {beside:?}");
    }
    let covered: BTreeSet<Hazard> = PAIRS.iter().map(|(hazard, ..)| *hazard).collect();
    assert_eq!(covered, Hazard::ALL.into_iter().collect());
}

#[test]
fn every_mend_that_is_offered_betters_its_check() {
    let mut mends = 0;
    for (hazard, trigger, _) in PAIRS {
        let scene = Scene::with(trigger);
        let before = scene.check(hazard).unwrap();
        for mend in &before.mends {
            let after = scene.made(*mend).check(hazard).map_or(Standing::Within, |checked| checked.standing);
            assert!(after < before.standing, "{hazard:?}: {mend:?} leaves it at {after:?}");
            mends += 1;
        }
    }
    assert!(mends >= 38, "{mends}");
}

#[test]
fn what_is_not_told_is_not_taken_for_granted() {
    let checks = Scene::new().checks();
    let not_told = checks.iter().filter(|checked| checked.standing == Standing::NotTold).count();
    assert!(not_told >= 12, "{not_told}");
    for checked in checks.iter().filter(|checked| checked.standing == Standing::NotTold) {
        assert!(checked.mends.is_empty() && words::key(checked.hazard).is_some(), "{:?}", checked.hazard);
    }
}

#[test]
fn a_carved_panel_in_a_door_is_never_called_within() {
    let scene = Scene::with(|s| {
        s.piece.place = place(PlaceKind::Door, |place| {
            (place.supports, place.push) = (Some(Supports::FourSides), Force::newtons(500.0).ok());
        });
        s.piece.depths[0].depth = mm(6.0);
    });
    let strength = scene.check(Hazard::Strength).unwrap();
    assert_eq!((scene.check(Hazard::Place).unwrap().standing, strength.standing), (Standing::Stop, Standing::Stop));
    let shallow = Scene {
        piece: {
            let mut p = scene.piece.clone();
            p.depths[0].depth = mm(0.5);
            p
        },
        ..scene
    };
    assert_eq!(shallow.check(Hazard::Strength).unwrap().standing, Standing::Screened);
}

#[test]
fn the_back_of_a_mirror_counts_only_when_it_is_carved() {
    let lead = |side: Side| {
        Scene::with(|s| (s.piece.blank.material, s.piece.blank.carve_from) = (material("mirror"), side))
            .check(Hazard::LeadExposure)
    };
    assert_eq!(lead(Side::Back).unwrap().standing, Standing::Ask);
    assert_eq!(lead(Side::Front), None);
}

#[test]
fn a_shop_alone_is_checked_without_a_piece() {
    let scene = Scene::new();
    let alone = all(&Subject { shop: &scene.shop, work: None });
    let hazards: BTreeSet<Hazard> = alone.iter().map(|checked| checked.hazard).collect();
    assert!(hazards.contains(&Hazard::NoCollector) && !hazards.contains(&Hazard::Place));
}

#[test]
fn the_words_are_whole_short_and_promise_nothing() {
    for (hazard, trigger, neighbour) in PAIRS {
        for scene in [Scene::with(trigger), Scene::with(neighbour), Scene::new()] {
            for checked in scene.checks() {
                for units in [quantity::UnitSystem::Metric, quantity::UnitSystem::Us] {
                    let said = words::words(&checked, units);
                    let all = [&[said.title.clone(), said.why.clone(), said.source], &said.mends[..]].concat();
                    for text in &all {
                        assert_eq!(crate::words::promise_in(text), None, "{text}");
                        assert!(!text.contains("  ") && !text.contains('!') && !text.contains("not known, "), "{text}");
                    }
                    assert!(said.title.chars().count() <= 110, "{hazard:?}: {}", said.title);
                    assert!(said.why.ends_with('.') && said.why.chars().count() <= 420, "{}", said.why);
                }
            }
        }
    }
}

#[test]
fn every_word_of_a_check_comes_through_the_catalogue() {
    let none_outside = |text: &str| assert_eq!(crate::words::outside_the_marks(text), "", "{text}");
    Language::Marked.scope(|| {
        for (hazard, trigger, neighbour) in PAIRS {
            none_outside(words::name(hazard));
            none_outside(hazard.group().name());
            for scene in [Scene::with(trigger), Scene::with(neighbour), Scene::new()] {
                for checked in scene.checks() {
                    none_outside(checked.standing.word());
                    for units in [quantity::UnitSystem::Metric, quantity::UnitSystem::Us] {
                        let said = words::words(&checked, units);
                        none_outside(&said.title);
                        none_outside(&said.why);
                        said.mends.iter().for_each(|mend| none_outside(mend));
                    }
                }
            }
        }
    });
}

#[test]
fn ids_are_those_of_json() {
    for hazard in Hazard::ALL {
        assert_eq!(serde_json::to_value(hazard).unwrap(), hazard.id());
    }
}
