//! Random pieces in random shops, as files: what tests of many cases draw from. The same seed draws the same.

use artwork::svg::{Drawing, ReadOptions, read_svg};
use piece::piece_file::PieceFile;
use piece::reader::Read;
use piece::safety_file::{BlastValve, EdgeFinish, PlaceKind, PlacePart, Supports};
use piece::shop_file::{AbrasivePart, NozzlePart, ResistPart, ShopFile};
use piece::{Hearing, Piece, Shop, reader, resolve_piece, resolve_shop};
use quantity::{Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Time, Volume};
use reference::{AreaLoad, Concentration, Force, SoundLevel, tables};
use std::cell::RefCell;
use std::fmt::Write as _;

const SHOP: &str = include_str!("../../../examples/shop.toml");

/// A piece in a shop.
#[derive(Debug, Clone)]
pub(crate) struct Scene {
    pub piece: PieceFile,
    pub shop: ShopFile,
    pub drawing: Drawing,
}

/// Numbers drawn from a seed (SplitMix64).
pub(crate) struct Draws(u64);

impl Draws {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly between two numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1u64 << 53) as f64)
    }

    /// One of `n`.
    pub(crate) fn of(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.of(from.len())]
    }
}

impl Scene {
    pub(crate) fn draw(seed: u64) -> Self {
        let mut draws = Draws::new(seed);
        let layers = 1 + draws.of(3);
        let shop = shop(&mut draws);
        let svg = svg(&mut draws, layers);
        let drawing = read_svg(svg.as_bytes(), &ReadOptions::default()).unwrap();
        let piece = piece(&mut draws, layers, &shop);
        Self { piece, shop, drawing }
    }

    /// One layer of wide and fine lines in the demonstration's shop, with nothing wrong.
    pub(crate) fn plain() -> Self {
        let mut draws = Draws::new(3);
        let drawing = read_svg(svg(&mut draws, 1).as_bytes(), &ReadOptions::default()).unwrap();
        let piece = reader::read::<PieceFile>(&text(1), "piece.toml").unwrap().value;
        let shop = reader::read::<ShopFile>(SHOP, "shop.toml").unwrap().value;
        Self { piece, shop, drawing }
    }

    /// The shop and the piece as values, read from the files as they would be written.
    pub(crate) fn resolved(&self) -> Result<(Piece, Shop), String> {
        READ.with_borrow_mut(|(piece, shop)| {
            shop.value = self.shop.clone();
            let shop = resolve_shop(shop).map_err(|faults| faults.to_string())?;
            piece.value = self.piece.clone();
            let piece = resolve_piece(piece, &shop).map_err(|faults| faults.to_string())?;
            Ok((piece, shop))
        })
    }
}

thread_local! {
    /// The texts that every scene begins with, read once.
    static READ: RefCell<(Read<PieceFile>, Read<ShopFile>)> = RefCell::new((
        reader::read::<PieceFile>(&text(1), "piece.toml").unwrap(),
        reader::read::<ShopFile>(SHOP, "shop.toml").unwrap(),
    ));
    static SHOP_FILE: ShopFile = reader::read::<ShopFile>(SHOP, "shop.toml").unwrap().value;
}

fn mm(value: f64) -> Length {
    Length::mm((value * 100.0).round() / 100.0).unwrap()
}

/// Rectangles of random width, each layer in its own column of 25 mm.
fn svg(draws: &mut Draws, layers: usize) -> String {
    let mut svg =
        String::from(r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="40mm" viewBox="0 0 80 40">"#);
    for layer in 0..layers {
        write!(svg, r#"<g id="l{layer}">"#).unwrap();
        let x = 2.0 + 26.0 * layer as f64;
        let wide = draws.between(4.0, 18.0);
        write!(svg, r#"<rect x="{x}" y="2" width="{wide:.2}" height="12"/>"#).unwrap();
        let mut y = 16.0;
        for _ in 0..1 + draws.of(3) {
            let fine = draws.between(0.3, 3.0);
            write!(svg, r#"<rect x="{x}" y="{y:.2}" width="20" height="{fine:.2}"/>"#).unwrap();
            y += fine + draws.between(0.5, 3.0);
        }
        svg.push_str("</g>");
    }
    svg + "</svg>"
}

fn text(layers: usize) -> String {
    let mut text = String::from(
        "sabulo = \"piece 1\"\nname = \"Scene\"\n[artwork]\nfile = \"scene.svg\"\n[blank]\nmaterial = \"float_glass\"\n\
         width = \"200mm\"\nheight = \"120mm\"\nthickness = \"10mm\"\n",
    );
    for layer in 0..layers {
        write!(text, "[[depth]]\nlayer = \"l{layer}\"\ndepth = \"1mm\"\n").unwrap();
    }
    text
}

fn piece(draws: &mut Draws, layers: usize, shop: &ShopFile) -> PieceFile {
    let mut piece = reader::read::<PieceFile>(&text(layers), "piece.toml").unwrap().value;
    piece.quantity = draws.pick(&[1, 1, 6, 40]);
    piece.blank.material = draws.pick(&["float_glass", "float_glass", "borosilicate", "granite", "marble"]).to_owned();
    piece.blank.thickness = mm(draws.between(3.0, 14.0).round());
    piece.blank.width = Some(mm(draws.between(90.0, 400.0)));
    piece.blank.height = mm(draws.between(60.0, 300.0));
    let deepest = draws.between(0.2, 0.65) * piece.blank.thickness.to_mm().min(6.0);
    for depth in &mut piece.depth {
        depth.depth = mm((draws.between(0.3, 1.0) * deepest).max(0.1));
    }
    if draws.chance(0.15) {
        piece.blank.shape = piece::piece_file::Shape::Tumbler;
        piece.blank.width = None;
        piece.blank.diameter = Some(Diameter::mm(draws.between(70.0, 110.0).round()).unwrap());
        piece.blank.height = mm(draws.between(80.0, 160.0).round());
        piece.blank.handle = draws.chance(0.5).then(|| piece::piece_file::HandlePart {
            width: mm(draws.between(12.0, 60.0)),
            from: mm(15.0),
            to: mm(70.0),
            clear: mm(4.0),
        });
    }
    if draws.chance(0.2) {
        piece.artwork.width = Some(mm(draws.between(50.0, 85.0)));
    }
    piece.blank.edges = draws.pick(&[None, Some(EdgeFinish::Cut), Some(EdgeFinish::Seamed)]);
    piece.blank.insulated = draws.chance(0.03);
    piece.blank.laminated = draws.chance(0.03);
    piece.place = draws.chance(0.15).then(|| place(draws));
    recipe(draws, shop, &mut piece);
    piece
}

fn place(draws: &mut Draws) -> PlacePart {
    PlacePart {
        kind: draws.pick(&[PlaceKind::Wall, PlaceKind::Shelf, PlaceKind::Door, PlaceKind::Standing]),
        supports: draws.pick(&[None, Some(Supports::FourSides), Some(Supports::LeftAndRight), Some(Supports::Points)]),
        flat: draws.chance(0.3),
        wind: draws.chance(0.3).then(|| AreaLoad::kpa(draws.between(0.3, 2.0)).unwrap()),
        load: draws.chance(0.2).then(|| AreaLoad::kpa(draws.between(0.5, 30.0)).unwrap()),
        push: draws.chance(0.4).then(|| Force::newtons(draws.between(50.0, 1000.0)).unwrap()),
        patch: mm(100.0),
    }
}

/// Mostly all of it is prescribed; what is not, the plan chooses.
fn recipe(draws: &mut Draws, shop: &ShopFile, piece: &mut PieceFile) {
    if draws.chance(0.1) {
        return;
    }
    let (resist, grit) = (draws.of(shop.resist.len()), draws.of(shop.abrasive.len()));
    piece.recipe.resist = Some(shop.resist[resist].kind.clone());
    piece.recipe.abrasive = Some(shop.abrasive[grit].kind.clone());
    piece.recipe.grit = Some(shop.abrasive[grit].grit.clone());
    piece.recipe.nozzle = Some(shop.nozzle[draws.of(shop.nozzle.len())].name.clone());
    piece.recipe.pressure = Some(GaugePressure::bar((draws.between(1.0, 6.5) * 10.0).round() / 10.0).unwrap());
    piece.recipe.standoff = draws.chance(0.7).then(|| mm(draws.between(50.0, 200.0).round()));
}

fn shop(draws: &mut Draws) -> ShopFile {
    let mut shop = SHOP_FILE.with(ShopFile::clone);
    if draws.chance(0.3) {
        shop.units = quantity::UnitSystem::Us;
    }
    if draws.chance(0.6) {
        shop.part.clear();
    }
    let flow = draws.between(80.0, 900.0).round();
    let compressor = &mut shop.compressor[0];
    compressor.free_air = FreeFlow::litres_per_minute(flow).unwrap();
    // From a plate that states displacement to one that is honest.
    compressor.power = Power::kilowatts(flow * draws.between(0.0045, 0.011)).unwrap();
    compressor.duty = Fraction::percent(draws.between(40.0, 100.0).round()).unwrap();
    let cut_out = draws.between(7.0, 11.0);
    compressor.cut_out = GaugePressure::bar(cut_out).unwrap();
    compressor.cut_in = GaugePressure::bar(cut_out - draws.between(1.0, 3.0)).unwrap();
    shop.receiver.volume = Volume::litres(draws.pick(&[24.0, 50.0, 100.0, 270.0, 500.0])).unwrap();
    shop.hose.bore = Diameter::mm(draws.pick(&[6.0, 8.0, 10.0, 13.0])).unwrap();
    shop.hose.length = Length::metres(draws.between(3.0, 15.0)).unwrap();
    stock(draws, &mut shop);
    shop.cabinet.collector =
        draws.chance(0.9).then(|| FreeFlow::cubic_metres_per_minute(draws.between(0.3, 25.0)).unwrap());
    people(draws, &mut shop);
    if draws.chance(0.01) {
        shop.coupon.push(coupon(draws, &shop));
    }
    shop
}

fn stock(draws: &mut Draws, shop: &mut ShopFile) {
    let nozzles = 1 + draws.of(3);
    let like = shop.nozzle[0].clone();
    let nozzle = |at: usize, draws: &mut Draws| NozzlePart {
        name: format!("nozzle {at}"),
        bore: Diameter::mm(draws.between(0.9, 5.0)).unwrap(),
        length: mm(draws.between(15.0, 60.0)),
        ..like.clone()
    };
    shop.nozzle = (0..nozzles).map(|at| nozzle(at, draws)).collect();
    let grits = ["F60", "F100", "F120", "F150", "F180", "F220"];
    let kinds = ["white_alumina", "brown_alumina", "silicon_carbide"];
    let stocks = 1 + draws.of(3);
    shop.abrasive = (0..stocks)
        .map(|_| AbrasivePart {
            kind: draws.pick(&kinds).to_owned(),
            grit: draws.pick(&grits).to_owned(),
            turns: None,
            free_silica: None,
            price_per_kg: piece::Money::ZERO,
        })
        .collect();
    let rolls = 1 + draws.of(4);
    let all = &tables().resists;
    shop.resist = (0..rolls)
        .map(|_| ResistPart {
            kind: all[draws.of(all.len())].id.clone(),
            width: mm(draws.pick(&[50.0, 305.0, 610.0])),
            price_per_m2: piece::Money(rust_decimal::Decimal::from(10 + draws.of(90) as u64)),
        })
        .collect();
    let mut seen = std::collections::HashSet::new();
    shop.resist.retain(|part| seen.insert(part.kind.clone()));
}

/// What protects people, told or not, well or badly.
fn people(draws: &mut Draws, shop: &mut ShopFile) {
    let told = |draws: &mut Draws| draws.pick(&[None, Some(true), Some(true), Some(true), Some(false)]);
    shop.enclosure.interlock = told(draws);
    shop.enclosure.grounded = told(draws);
    shop.enclosure.recirculates = told(draws).map(|well| !well);
    shop.enclosure.door_wait = draws.chance(0.5).then(|| Time::seconds(draws.between(10.0, 200.0)).unwrap());
    shop.enclosure.duct = draws.chance(0.3).then(|| Diameter::mm(draws.between(80.0, 200.0)).unwrap());
    shop.protection.hearing = draws.pick(&[None, Some(Hearing::None), Some(Hearing::One)]);
    shop.protection.lamp_closed = told(draws);
    shop.shift.noise_blasting = draws.chance(0.5).then(|| SoundLevel::dba(draws.between(78.0, 112.0)).unwrap());
    shop.shift.dust_blasting = draws.chance(0.5).then(|| Concentration::mg_per_m3(draws.between(0.05, 6.0)).unwrap());
    shop.shift.blasting = draws.chance(0.2).then(|| Time::hours(draws.between(0.5, 6.0)).unwrap());
    shop.pressure.hose_lashed = told(draws);
    shop.pressure.tied_open = told(draws).map(|well| !well);
    shop.pressure.nozzle_rest = told(draws);
    shop.pressure.valve = draws.pick(&[None, Some(BlastValve::DeadMan), Some(BlastValve::HandValve)]);
    let bar = |draws: &mut Draws, low, high| {
        draws.chance(0.6).then(|| GaugePressure::bar((draws.between(low, high) * 10.0).round() / 10.0).unwrap())
    };
    shop.pressure.hose_rated = bar(draws, 7.0, 14.0);
    shop.pressure.pot_rated = bar(draws, 7.0, 14.0);
    shop.pressure.relief = bar(draws, 9.0, 12.5);
    shop.pressure.cleaning = bar(draws, 1.0, 4.0);
}

fn coupon(draws: &mut Draws, shop: &ShopFile) -> piece::shop_file::CouponPart {
    let stock = &shop.abrasive[0];
    piece::shop_file::CouponPart {
        material: "float_glass".to_owned(),
        abrasive: stock.kind.clone(),
        grit: stock.grit.clone(),
        nozzle: shop.nozzle[0].name.clone(),
        pressure: GaugePressure::bar(2.5).unwrap(),
        standoff: mm(120.0),
        opening: mm(25.0),
        time: Time::seconds(60.0).unwrap(),
        depth: mm(draws.between(0.3, 1.2)),
        gauge: piece::CALIPER,
        resist: None,
        resist_state: None,
    }
}
