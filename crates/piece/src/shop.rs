//! A shop as a value: ids have become rows of the reference tables.

use crate::Money;
use crate::coupon::ResistAfter;
use crate::line::{self, ShopPart, ShopStation};
use crate::piece::{keep, unknown, unless};
use crate::reader::{Complaint, Complaints, Fault, Read, nearest, read};
use crate::safety_file::{EnclosureKind, OtherDust, Pressures, Protection, Shift};
use crate::shop_file::{
    CompressorKind, CompressorPart, CornerKind, CouponPart, HosePart, RegulatorPart, ShopFile, StencilPart,
};
use language::say;
use quantity::{
    Area, Diameter, Estimate, Fraction, FreeFlow, GaugePressure, Length, Power, Quantity as _, Temperature, Time,
    UnitSystem, Volume,
};
use reference::{Abrasive, Filter, Grit, Material, NozzleMaterial, Resist, tables};

/// What a shop owns, stocks and charges.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Its name.
    pub name: String,
    /// Units that it reads.
    pub units: UnitSystem,
    /// What its gauges and rules are marked in: the units of its file, in whatever units somebody looks at it.
    pub gauges: UnitSystem,
    /// Metres above the sea, -500 to 5000.
    pub altitude_m: f64,
    /// Air in the shop.
    pub temperature: Temperature,
    /// Relative humidity in the shop.
    pub humidity: Fraction,
    /// Never empty.
    pub compressors: Vec<ShopCompressor>,
    /// Fed by the compressors.
    pub receiver: Volume,
    /// Lost by leaks at the cut-out pressure.
    pub leaks: FreeFlow,
    /// Before the pot or gun.
    pub regulator: ShopRegulator,
    /// From the regulator to the nozzle.
    pub hose: ShopHose,
    /// The hose gives off oil.
    pub oiled: bool,
    /// Mass of abrasive for each mass of air.
    pub loading: f64,
    /// What else is in the line.
    pub parts: Vec<ShopPart>,
    /// Where people blast; empty: one place, with the shop's regulator, hose and pot.
    pub stations: Vec<ShopStation>,
    /// Never empty; names differ.
    pub nozzles: Vec<ShopNozzle>,
    /// Never empty.
    pub abrasives: Vec<StockedAbrasive>,
    /// Never empty.
    pub resists: Vec<StockedResist>,
    /// How stencils are made.
    pub stencil: StencilMaking,
    /// The cabinet and its collector.
    pub cabinet: Cabinet,
    /// How dust is kept in and drawn off.
    pub enclosure: Enclosure,
    /// What protects the one who blasts.
    pub protection: Protection,
    /// A shift at the cabinet.
    pub shift: Shift,
    /// Vessels, hoses, and how the blast is held.
    pub pressures: Pressures,
    /// How the hands work.
    pub hands: Hands,
    /// What is charged.
    pub rates: Rates,
    /// Test pieces.
    pub coupons: Vec<Coupon>,
}

/// A compressor by its plate.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopCompressor {
    /// What the shop calls it.
    pub name: String,
    /// How it is built.
    pub kind: CompressorKind,
    /// Free air delivered.
    pub free_air: FreeFlow,
    /// Starts at.
    pub cut_in: GaugePressure,
    /// Stops at; above `cut_in`.
    pub cut_out: GaugePressure,
    /// Largest share of the time that it may run, above zero.
    pub duty: Fraction,
    /// While it runs.
    pub power: Power,
    /// A thermal switch stops it at its duty.
    pub thermal_stop: bool,
    /// It is switched on.
    pub running: bool,
}

/// A regulator by ISO 6358's numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopRegulator {
    /// Sonic conductance, dm³/(s bar).
    pub conductance_dm3_s_bar: f64,
    /// Critical pressure ratio.
    pub critical_ratio: f64,
    /// Bar for each 100 l/min ANR.
    pub droop_bar_per_100_l_min: f64,
}

/// A hose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopHose {
    /// Inside.
    pub bore: Diameter,
    /// Length.
    pub length: Length,
    /// Sum of loss coefficients referred to the bore.
    pub fittings_k: f64,
}

impl ShopRegulator {
    pub(crate) const fn of(file: &RegulatorPart) -> Self {
        Self {
            conductance_dm3_s_bar: file.conductance_dm3_s_bar,
            critical_ratio: file.critical_ratio,
            droop_bar_per_100_l_min: file.droop_bar_per_100_l_min,
        }
    }
}

impl ShopHose {
    pub(crate) const fn of(file: &HosePart) -> Self {
        Self { bore: file.bore, length: file.length, fittings_k: file.fittings_k }
    }
}

/// A nozzle.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopNozzle {
    /// What the shop calls it.
    pub name: String,
    /// Inside, as worn.
    pub bore: Diameter,
    /// Of the straight bore.
    pub length: Length,
    /// With air alone, 0.5 to 1.
    pub discharge: f64,
    /// Of a new one.
    pub price: Money,
    /// Of a new one, as its wear is charged.
    pub life: Time,
    /// What its bore is made of, where that is told.
    pub material: Option<&'static NozzleMaterial>,
}

impl ShopNozzle {
    /// How long one may last with an abrasive, nozzle open: by its material, or else half to twice the life that the
    /// shop states, which is judged.
    #[must_use]
    pub fn life_with(&self, abrasive: &Abrasive) -> Estimate<Time> {
        let stated = |share: f64| Time::clamped(self.life.to_base() * share);
        let judged = || Estimate::new(stated(0.5), self.life, stated(2.0)).unwrap_or(Estimate::exact(self.life));
        self.material.map_or_else(judged, |material| material.life(abrasive).value)
    }
}

/// An abrasive of one grit.
#[derive(Debug, Clone)]
pub struct StockedAbrasive {
    /// What it is.
    pub abrasive: &'static Abrasive,
    /// How coarse.
    pub grit: &'static Grit,
    /// Free crystalline silica on the sheet of the bag in use; `None`: the table's goes.
    pub free_silica: Option<Fraction>,
    /// Of a kilogram.
    pub price_per_kg: Money,
    /// How often a charge is blasted before it is thrown away; `None`: it is only topped up.
    pub turns: Option<u32>,
}

/// A resist on a roll or in sheets.
#[derive(Debug, Clone)]
pub struct StockedResist {
    /// What it is.
    pub resist: &'static Resist,
    /// Of the roll or sheet.
    pub width: Length,
    /// Of a square metre.
    pub price_per_m2: Money,
}

/// How stencils are made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StencilMaking {
    /// What the cutter reaches across; `None` as wide as the resist.
    pub cutter_width: Option<Length>,
    /// What two strips share.
    pub overlap: Length,
    /// How far each closed cut goes past its beginning.
    pub overcut: Length,
    /// What the cutter does at corners.
    pub corners: CornerKind,
    /// How far around the corner.
    pub corner_by: Length,
    /// How far weed frames stand from openings; 0 for none.
    pub weed_frames: Length,
    /// Width of bridges to islands that would not hold; `None`: none are made.
    pub bridges: Option<Length>,
    /// How much wider an opening in film comes out on each edge, mm; below 0 narrower.
    pub film_gain_mm: f64,
    /// The finest line that washes out to the ground here; `None`: the table's.
    pub film_finest: Option<Length>,
    /// Dots per inch of the film printer.
    pub printer_dpi: f64,
}

impl StencilMaking {
    /// As in a shop file that says nothing of it.
    #[must_use]
    pub fn usual() -> Self {
        Self::of(&StencilPart::default())
    }

    fn of(part: &StencilPart) -> Self {
        let mm = |length: Option<Length>| length.map_or(0.0, Length::to_mm);
        Self {
            cutter_width: part.cutter_width,
            overlap: part.overlap,
            overcut: part.overcut,
            corners: part.corners,
            corner_by: part.corner_by,
            weed_frames: part.weed_frames,
            bridges: part.bridges,
            film_gain_mm: mm(part.film_widens) - mm(part.film_narrows),
            film_finest: part.film_finest,
            printer_dpi: part.printer_dpi,
        }
    }
}

/// The cabinet and its collector.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cabinet {
    /// Inside.
    pub volume: Volume,
    /// All openings through which air enters.
    pub openings: Area,
    /// What the collector draws; `None`: there is none.
    pub collector: Option<FreeFlow>,
    /// Of the collector.
    pub collector_power: Power,
}

/// How dust is kept in and drawn off. What is `None` is not known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Enclosure {
    /// Cabinet, booth or tent.
    pub kind: EnclosureKind,
    /// Bore of the duct.
    pub duct: Option<Diameter>,
    /// In the order of the air.
    pub filters: Vec<&'static Filter>,
    /// Of the first filter; above zero.
    pub filter_area: Option<Area>,
    /// Cleaned air goes back into the room.
    pub recirculates: Option<bool>,
    /// The blast waits for the collector.
    pub interlock: Option<bool>,
    /// Nozzle, hose, cabinet and collector are bonded and grounded.
    pub grounded: Option<bool>,
    /// What else the collector draws.
    pub also_takes: Vec<OtherDust>,
    /// How long the door is kept shut after a blast.
    pub door_wait: Option<Time>,
}

/// How the hands at the cabinet work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hands {
    /// Masking, taping and washing one piece.
    pub setup: Time,
    /// Share of the blast that lands inside the swept area, above zero.
    pub on_target: Fraction,
    /// Weeding: seconds for a metre of edge.
    pub weed_s_per_m: f64,
    /// Weeding: seconds for each part.
    pub weed_s_per_part: f64,
    /// Changing the abrasive in pot, hose and cabinet.
    pub change_abrasive: Time,
}

/// What is charged.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// ISO 4217 code.
    pub currency: String,
    /// An hour of work.
    pub labour_per_hour: Money,
    /// A kilowatt-hour.
    pub energy_per_kwh: Money,
    /// On labour and materials.
    pub overhead: Fraction,
    /// Share of the price, below 1.
    pub margin: Fraction,
    /// Share of pieces that spoil by breakage and slips, below 1.
    pub spoilage: Fraction,
    /// Share of waiting that is charged as work.
    pub waiting: Fraction,
    /// Hands once for an order.
    pub order_time: Time,
    /// An hour of cabinet and collector.
    pub cabinet_per_hour: Money,
    /// An hour of the compressors.
    pub compressor_per_hour: Money,
    /// Surcharge for an order that goes before others.
    pub rush: Fraction,
    /// On the price.
    pub tax: Fraction,
    /// What it is called.
    pub tax_name: String,
    /// Prices are rounded up to multiples of this, above zero; `None`: to the smallest coin.
    pub round_to: Option<Money>,
    /// From a quantity on, so much less; ascending, each below 1.
    pub breaks: Vec<(u32, Fraction)>,
}

/// A test piece that was blasted and gauged.
#[derive(Debug, Clone)]
pub struct Coupon {
    /// What was blasted.
    pub material: &'static Material,
    /// With what.
    pub abrasive: &'static Abrasive,
    /// How coarse.
    pub grit: &'static Grit,
    /// Name of the nozzle.
    pub nozzle: String,
    /// Regulator setting.
    pub pressure: GaugePressure,
    /// Nozzle to work.
    pub standoff: Length,
    /// Edge of the square opening.
    pub opening: Length,
    /// Blasting time, above zero.
    pub time: Time,
    /// Gauged depth, above zero.
    pub depth: Length,
    /// Standard deviation of the gauge itself, above zero.
    pub gauge: Length,
    /// The resist, as new, and what became of it.
    pub resist: Option<(&'static Resist, ResistAfter)>,
}

impl Shop {
    /// The nozzle of a name.
    #[must_use]
    pub fn nozzle(&self, name: &str) -> Option<&ShopNozzle> {
        self.nozzles.iter().find(|nozzle| nozzle.name == name)
    }

    /// An abrasive of a grit, where it is in stock.
    #[must_use]
    pub fn abrasive(&self, abrasive: &Abrasive, grit: &Grit) -> Option<&StockedAbrasive> {
        self.abrasives.iter().find(|stock| stock.abrasive.id == abrasive.id && stock.grit.name == grit.name)
    }
}

/// Reads a shop file.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn read_shop(text: &str, file: &str) -> Result<Shop, Complaints> {
    resolve_shop(&read::<ShopFile>(text, file)?)
}

/// Makes a shop of a file that was read.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn resolve_shop(read: &Read<ShopFile>) -> Result<Shop, Complaints> {
    let file = &read.value;
    let mut complaints = Vec::new();
    let compressors = keep(compressors(read, &file.compressor), &mut complaints);
    let nozzles = keep(nozzles(read), &mut complaints);
    let abrasives = keep(abrasives(read), &mut complaints);
    let resists = keep(resists(read), &mut complaints);
    let coupons = keep(coupons(read), &mut complaints);
    let parts = keep(line::parts(read), &mut complaints);
    let stations = keep(line::stations(read), &mut complaints);
    let filters = keep(filters(read), &mut complaints);
    complaints.extend(rates_faults(read));
    complaints.extend(shift_faults(read));
    complaints.extend(
        read.value.enclosure.filter_area.and_then(|area| positive(read, "enclosure.filter_area", area.to_square_mm())),
    );
    complaints.extend(positive(read, "receiver.volume", file.receiver.volume.to_litres()));
    complaints.extend(positive(read, "hose.length", file.hose.length.to_mm()));
    complaints.extend(positive(read, "cabinet.volume", file.cabinet.volume.to_litres()));
    if file.stencil.film_widens.is_some() && file.stencil.film_narrows.is_some() {
        complaints.push(read.complain("stencil", Fault::ExactlyOne { keys: vec!["film_widens", "film_narrows"] }));
    }
    complaints.extend(positive(read, "hands.on_target", file.hands.on_target.to_ratio()));
    let (Some(compressors), Some(nozzles), Some(abrasives), Some(resists), Some(coupons)) =
        (compressors, nozzles, abrasives, resists, coupons)
    else {
        return Err(Complaints(complaints));
    };
    let (Some(parts), Some(stations), Some(filters)) = (parts, stations, filters) else {
        return Err(Complaints(complaints));
    };
    if !complaints.is_empty() {
        return Err(Complaints(complaints));
    }
    Ok(Shop {
        name: file.name.clone(),
        units: file.units,
        gauges: file.units,
        altitude_m: file.site.altitude_m,
        temperature: file.site.temperature,
        humidity: file.site.humidity,
        compressors,
        receiver: file.receiver.volume,
        leaks: file.receiver.leaks,
        regulator: ShopRegulator::of(&file.regulator),
        hose: ShopHose::of(&file.hose),
        oiled: file.hose.oiled,
        parts,
        stations,
        loading: file.pot.loading,
        nozzles,
        abrasives,
        resists,
        stencil: StencilMaking::of(&file.stencil),
        cabinet: Cabinet {
            volume: file.cabinet.volume,
            openings: file.cabinet.openings,
            collector: file.cabinet.collector,
            collector_power: file.cabinet.collector_power,
        },
        enclosure: enclosure(file, filters),
        protection: file.protection.clone(),
        shift: file.shift.clone(),
        pressures: file.pressure.clone(),
        hands: Hands {
            setup: file.hands.setup,
            on_target: file.hands.on_target,
            weed_s_per_m: file.hands.weed_s_per_m,
            weed_s_per_part: file.hands.weed_s_per_part,
            change_abrasive: file.hands.change_abrasive,
        },
        rates: Rates {
            currency: file.rates.currency.clone(),
            labour_per_hour: file.rates.labour_per_hour,
            energy_per_kwh: file.rates.energy_per_kwh,
            overhead: file.rates.overhead,
            margin: file.rates.margin,
            spoilage: file.rates.spoilage,
            waiting: file.rates.waiting,
            order_time: file.rates.order_time,
            cabinet_per_hour: file.rates.cabinet_per_hour,
            compressor_per_hour: file.rates.compressor_per_hour,
            rush: file.rates.rush,
            tax: file.rates.tax,
            tax_name: file.rates.tax_name.clone(),
            round_to: file.rates.round_to,
            breaks: file.rates.breaks.iter().map(|part| (part.from, part.less)).collect(),
        },
        coupons,
    })
}

fn positive(read: &Read<ShopFile>, key: &str, value: f64) -> Option<Complaint> {
    let why = say!("it must be above zero");
    let fault = Fault::Impossible { given: "0".to_owned(), why, mend: say!("give its real value") };
    (value <= 0.0).then(|| read.complain(key, fault))
}

fn compressors(read: &Read<ShopFile>, parts: &[CompressorPart]) -> Result<Vec<ShopCompressor>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let key = format!("compressor[{}]", index + 1);
        if part.cut_in >= part.cut_out {
            let given = quantity::schema::written(part.cut_in);
            let why = say!("a compressor starts below the pressure at which it stops");
            let fault = Fault::Impossible { given, why, mend: say!("give a cut_in below the cut_out") };
            complaints.push(read.complain(&format!("{key}.cut_in"), fault));
        }
        complaints.extend(positive(read, &format!("{key}.duty"), part.duty.to_ratio()));
        complaints.extend(positive(read, &format!("{key}.free_air"), part.free_air.to_cfm()));
    }
    let made = parts.iter().map(|part| ShopCompressor {
        name: part.name.clone(),
        free_air: part.free_air,
        cut_in: part.cut_in,
        cut_out: part.cut_out,
        duty: part.duty,
        power: part.power,
        kind: part.kind,
        thermal_stop: part.thermal_stop,
        running: part.running,
    });
    unless(complaints, made.collect())
}

fn nozzles(read: &Read<ShopFile>) -> Result<Vec<ShopNozzle>, Vec<Complaint>> {
    let parts = &read.value.nozzle;
    let mut complaints = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let key = format!("nozzle[{}]", index + 1);
        if parts[..index].iter().any(|earlier| earlier.name == part.name) {
            let why = say!("another nozzle has this name, and a recipe names its nozzle by it");
            let fault =
                Fault::Impossible { given: part.name.clone(), why, mend: say!("give each nozzle its own name") };
            complaints.push(read.complain(&format!("{key}.name"), fault));
        }
        if !(0.3..=20.0).contains(&part.bore.to_mm()) {
            let given = quantity::schema::written(part.bore);
            let why = say!("a carving nozzle's bore is 0.3 mm to 20 mm");
            let fault = Fault::Impossible { given, why, mend: say!("give the inside diameter") };
            complaints.push(read.complain(&format!("{key}.bore"), fault));
        }
        complaints.extend(positive(read, &format!("{key}.length"), part.length.to_mm()));
        complaints.extend(positive(read, &format!("{key}.life"), part.life.to_seconds()));
        if let Some(given) = part.material.as_ref().filter(|given| tables().nozzle(given).is_err()) {
            let known = tables().nozzles.iter().map(|row| row.id.clone()).collect();
            complaints.push(read.complain(&format!("{key}.material"), unknown("nozzle material", given, known)));
        }
    }
    let made = parts.iter().map(|part| ShopNozzle {
        name: part.name.clone(),
        bore: part.bore,
        length: part.length,
        discharge: part.discharge,
        price: part.price,
        life: part.life,
        material: part.material.as_ref().and_then(|given| tables().nozzle(given).ok()),
    });
    unless(complaints, made.collect())
}

fn abrasives(read: &Read<ShopFile>) -> Result<Vec<StockedAbrasive>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut made = Vec::new();
    for (index, part) in read.value.abrasive.iter().enumerate() {
        let key = format!("abrasive[{}]", index + 1);
        let abrasive = find_abrasive(read, &part.kind, &format!("{key}.kind"), &mut complaints);
        let grit = find_grit(read, &part.grit, &format!("{key}.grit"), &mut complaints);
        if let (Some(abrasive), Some(grit)) = (abrasive, grit) {
            made.push(StockedAbrasive {
                abrasive,
                grit,
                free_silica: part.free_silica,
                price_per_kg: part.price_per_kg,
                turns: part.turns,
            });
        }
    }
    unless(complaints, made)
}

fn resists(read: &Read<ShopFile>) -> Result<Vec<StockedResist>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut made = Vec::new();
    let known = &tables().resists;
    for (index, part) in read.value.resist.iter().enumerate() {
        let key = format!("resist[{}]", index + 1);
        match known.iter().find(|resist| resist.id == part.kind) {
            Some(resist) => made.push(StockedResist { resist, width: part.width, price_per_m2: part.price_per_m2 }),
            None => {
                let ids = known.iter().map(|resist| resist.id.clone()).collect();
                complaints.push(
                    read.complain(
                        &format!("{key}.kind"),
                        unknown(say!(in "a kind in a file", "resist"), &part.kind, ids),
                    ),
                );
            }
        }
        complaints.extend(positive(read, &format!("{key}.width"), part.width.to_mm()));
    }
    unless(complaints, made)
}

fn filters(read: &Read<ShopFile>) -> Result<Vec<&'static Filter>, Vec<Complaint>> {
    let known = &tables().filters;
    let (mut complaints, mut made) = (Vec::new(), Vec::new());
    for given in &read.value.enclosure.filters {
        match known.iter().find(|filter| filter.id == *given) {
            Some(filter) => made.push(filter),
            None => {
                let ids = known.iter().map(|filter| filter.id.clone()).collect();
                complaints.push(read.complain("enclosure.filters", unknown(say!("filter class"), given, ids)));
            }
        }
    }
    unless(complaints, made)
}

fn enclosure(file: &ShopFile, filters: Vec<&'static Filter>) -> Enclosure {
    let part = &file.enclosure;
    Enclosure {
        kind: part.kind,
        duct: part.duct,
        filters,
        filter_area: part.filter_area,
        recirculates: part.recirculates,
        interlock: part.interlock,
        grounded: part.grounded,
        also_takes: part.also_takes.clone(),
        door_wait: part.door_wait,
    }
}

/// A shift is a day at most, and what happens in it is no longer than it.
fn shift_faults(read: &Read<ShopFile>) -> Vec<Complaint> {
    let shift = &read.value.shift;
    let hours = shift.length.to_hours();
    let within = |time: Option<Time>| time.map_or(0.0, Time::to_hours);
    let fault = |given: Time, why, mend| Fault::Impossible { given: quantity::schema::written(given), why, mend };
    let mut complaints = Vec::new();
    if !(hours > 0.0 && hours <= 24.0) {
        let why = say!("a shift is longer than nothing and no longer than a day");
        complaints.push(read.complain("shift.length", fault(shift.length, why, say!("give 8h, or its real length"))));
    }
    if within(shift.blasting) + within(shift.door) > hours {
        let why = say!("blasting and standing at the door are longer than the shift");
        let key = if shift.blasting.is_some() { "shift.blasting" } else { "shift.door" };
        let given = shift.blasting.or(shift.door).unwrap_or(shift.length);
        complaints.push(read.complain(key, fault(given, why, say!("give times that fit into shift.length"))));
    }
    complaints
}

fn coupons(read: &Read<ShopFile>) -> Result<Vec<Coupon>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut made = Vec::new();
    for (index, part) in read.value.coupon.iter().enumerate() {
        let key = format!("coupon[{}]", index + 1);
        if let Some(coupon) = coupon(read, part, &key, &mut complaints) {
            made.push(coupon);
        }
    }
    unless(complaints, made)
}

fn coupon(read: &Read<ShopFile>, part: &CouponPart, key: &str, complaints: &mut Vec<Complaint>) -> Option<Coupon> {
    let materials = &tables().materials;
    let material = materials.iter().find(|material| material.id == part.material);
    if material.is_none() {
        let ids = materials.iter().map(|material| material.id.clone()).collect();
        complaints.push(read.complain(
            &format!("{key}.material"),
            unknown(say!(in "a kind in a file", "material"), &part.material, ids),
        ));
    }
    let abrasive = find_abrasive(read, &part.abrasive, &format!("{key}.abrasive"), complaints);
    let grit = find_grit(read, &part.grit, &format!("{key}.grit"), complaints);
    if !read.value.nozzle.iter().any(|nozzle| nozzle.name == part.nozzle) {
        let names = read.value.nozzle.iter().map(|nozzle| nozzle.name.clone()).collect();
        complaints
            .push(read.complain(&format!("{key}.nozzle"), unknown(say!("nozzle of this shop"), &part.nozzle, names)));
    }
    complaints.extend(positive(read, &format!("{key}.time"), part.time.to_seconds()));
    complaints.extend(positive(read, &format!("{key}.depth"), part.depth.to_mm()));
    complaints.extend(positive(read, &format!("{key}.opening"), part.opening.to_mm()));
    complaints.extend(positive(read, &format!("{key}.gauge"), part.gauge.to_mm()));
    let resist = coupon_resist(read, part, key, complaints)?;
    Some(Coupon {
        material: material?,
        abrasive: abrasive?,
        grit: grit?,
        nozzle: part.nozzle.clone(),
        pressure: part.pressure,
        standoff: part.standoff,
        opening: part.opening,
        time: part.time,
        depth: part.depth,
        gauge: part.gauge,
        resist,
    })
}

/// Both keys or neither.
fn coupon_resist(
    read: &Read<ShopFile>,
    part: &CouponPart,
    key: &str,
    complaints: &mut Vec<Complaint>,
) -> Option<Option<(&'static Resist, ResistAfter)>> {
    let known = &tables().resists;
    match (&part.resist, part.resist_state) {
        (None, None) => Some(None),
        (Some(id), Some(state)) => match known.iter().find(|resist| resist.id == *id) {
            Some(resist) => Some(Some((resist, state))),
            None => {
                let ids = known.iter().map(|resist| resist.id.clone()).collect();
                complaints.push(
                    read.complain(&format!("{key}.resist"), unknown(say!(in "a kind in a file", "resist"), id, ids)),
                );
                None
            }
        },
        (Some(id), None) => {
            let why = say!("a resist tells nothing without its state");
            let mend = say!("add resist_state = \"sound\", \"failed\" or the thickness lost");
            let fault = Fault::Impossible { given: id.clone(), why, mend };
            complaints.push(read.complain(&format!("{key}.resist"), fault));
            None
        }
        (None, Some(state)) => {
            let why = say!("which resist was it");
            let fault = Fault::Impossible { given: state.to_string(), why, mend: say!("add resist = \"its id\"") };
            complaints.push(read.complain(&format!("{key}.resist_state"), fault));
            None
        }
    }
}

fn find_abrasive(
    read: &Read<ShopFile>,
    id: &str,
    key: &str,
    complaints: &mut Vec<Complaint>,
) -> Option<&'static Abrasive> {
    let known = &tables().abrasives;
    let found = known.iter().find(|abrasive| abrasive.id == id);
    if found.is_none() {
        let accepted = known.iter().filter(|abrasive| abrasive.refused.is_none());
        let known: Vec<String> = accepted.map(|abrasive| abrasive.id.clone()).collect();
        let nearest = nearest(id, known.iter().map(String::as_str));
        complaints.push(read.complain(key, Fault::Unlisted { given: id.to_owned(), nearest, known }));
    }
    found
}

fn find_grit(read: &Read<ShopFile>, text: &str, key: &str, complaints: &mut Vec<Complaint>) -> Option<&'static Grit> {
    let found = tables().grit(text).ok();
    if found.is_none() {
        let names = tables().grits.iter().map(|grit| grit.name.clone()).collect();
        complaints.push(read.complain(key, unknown(say!(in "a kind in a file", "grit"), text, names)));
    }
    found
}

fn rates_faults(read: &Read<ShopFile>) -> Vec<Complaint> {
    let rates = &read.value.rates;
    let shares = [("rates.margin", rates.margin), ("rates.spoilage", rates.spoilage)];
    let whole = shares.iter().filter(|(_, share)| share.to_ratio() >= 1.0);
    let fault = |given: String, why, mend| Fault::Impossible { given, why, mend };
    let mut complaints: Vec<Complaint> = whole
        .map(|(key, _)| {
            let why = say!("a share of 100 % leaves nothing to divide by");
            read.complain(key, fault("100%".to_owned(), why, say!("give less than 100%")))
        })
        .collect();
    if let Some(step) = rates.round_to.filter(|step| *step <= Money::ZERO) {
        let why = say!("nothing can be rounded to multiples of it");
        complaints
            .push(read.complain("rates.round_to", fault(step.to_string(), why, say!("give a coin, such as \"0.50\""))));
    }
    for (index, part) in rates.breaks.iter().enumerate() {
        let key = |key: &str| format!("rates.break[{}].{key}", index + 1);
        if part.less.to_ratio() >= 1.0 {
            let why = say!("nothing is left of the price");
            complaints.push(read.complain(&key("less"), fault("100%".to_owned(), why, say!("give less than 100%"))));
        }
        if index > 0 && rates.breaks[index - 1].from >= part.from {
            let why = say!("the break before it begins as late or later");
            complaints.push(
                read.complain(&key("from"), fault(part.from.to_string(), why, say!("list breaks in ascending order"))),
            );
        }
    }
    complaints
}
