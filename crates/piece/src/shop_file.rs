//! `shop.toml` as it is written: what a shop owns, stocks and charges.

use crate::Money;
use crate::coupon::ResistAfter;
use crate::line_file::{LinePart, StationPart};
use crate::safety_file::{EnclosurePart, Pressures, Protection, Shift, is_default};
use quantity::{Area, Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Temperature, Time, Volume};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The version that this program writes and reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum ShopVersion {
    /// The first version.
    #[serde(rename = "shop 1")]
    One,
}

/// A shop: what it owns, stocks and charges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShopFile {
    /// What this file is: "shop 1".
    pub sabulo: ShopVersion,
    /// The shop's name, as the job sheet prints it.
    pub name: String,
    /// Units that the shop reads: "us" or "metric".
    #[serde(default)]
    pub units: quantity::UnitSystem,
    /// Where the shop stands.
    #[serde(default)]
    pub site: SitePart,
    /// Its compressors. Several feed the same receiver.
    pub compressor: Vec<CompressorPart>,
    /// All receivers on the line together.
    pub receiver: ReceiverPart,
    /// The regulator before the pot or gun.
    #[serde(default)]
    pub regulator: RegulatorPart,
    /// The hose from the regulator to the nozzle.
    pub hose: HosePart,
    /// How abrasive meets air.
    #[serde(default)]
    pub pot: PotPart,
    /// What else the air passes: pipes, coolers, dryers, separators, a second receiver.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub part: Vec<LinePart>,
    /// Places where somebody blasts, when there are several.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub station: Vec<StationPart>,
    /// Its nozzles.
    pub nozzle: Vec<NozzlePart>,
    /// Abrasives in stock.
    pub abrasive: Vec<AbrasivePart>,
    /// Resists in stock.
    pub resist: Vec<ResistPart>,
    /// How stencils are made of them.
    #[serde(default, skip_serializing_if = "StencilPart::is_usual")]
    pub stencil: StencilPart,
    /// The cabinet and its collector.
    pub cabinet: CabinetPart,
    /// How dust is kept in and drawn off.
    #[serde(default, skip_serializing_if = "is_default")]
    pub enclosure: EnclosurePart,
    /// What protects the one who blasts.
    #[serde(default, skip_serializing_if = "is_default")]
    pub protection: Protection,
    /// A shift at the cabinet, and what was measured in it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub shift: Shift,
    /// What the plates of vessels and hoses say, and how the blast is held.
    #[serde(default, skip_serializing_if = "is_default")]
    pub pressure: Pressures,
    /// How the hands at the cabinet work.
    #[serde(default)]
    pub hands: HandsPart,
    /// What is charged.
    pub rates: RatesPart,
    /// Test pieces blasted here, whose depth was gauged: they replace the handbook's erosion rate.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub coupon: Vec<CouponPart>,
}

/// Where the shop stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SitePart {
    /// Metres above the sea, -500 to 5000.
    #[schemars(range(min = -500, max = 5000))]
    pub altitude_m: f64,
    /// Air temperature in the shop.
    pub temperature: Temperature,
    /// Relative humidity in the shop.
    pub humidity: Fraction,
}

impl Default for SitePart {
    fn default() -> Self {
        Self {
            altitude_m: 0.0,
            temperature: quantity::known(Temperature::celsius(20.0)),
            humidity: quantity::known(Fraction::percent(50.0)),
        }
    }
}

/// A compressor, as its plate states it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CompressorPart {
    /// What the shop calls it.
    pub name: String,
    /// How it is built.
    #[serde(default)]
    pub kind: CompressorKind,
    /// Free air delivered at the cut-out pressure. Not piston displacement, which is a third more.
    pub free_air: FreeFlow,
    /// It starts when the receiver has fallen to this.
    pub cut_in: GaugePressure,
    /// It stops at this.
    pub cut_out: GaugePressure,
    /// Largest share of the time that it may run.
    pub duty: Fraction,
    /// Electrical power while it runs.
    pub power: Power,
    /// Whether a thermal switch stops it at its duty and lets it start again when it has cooled.
    #[serde(default)]
    pub thermal_stop: bool,
    /// Whether it is switched on.
    #[serde(default = "yes")]
    pub running: bool,
}

const fn yes() -> bool {
    true
}

/// How a compressor is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CompressorKind {
    /// A small diaphragm pump.
    Diaphragm,
    /// A small direct-driven piston on a flat tank.
    SmallPiston,
    /// A single-stage piston machine.
    #[default]
    SingleStage,
    /// A two-stage piston machine.
    TwoStage,
    /// A rotary screw.
    Screw,
}

/// All receivers on the line together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReceiverPart {
    /// Volume.
    pub volume: Volume,
    /// Air lost by leaks at the cut-out pressure, as free air at 20 °C and 1 bar, measured with all valves
    /// shut. None when left out.
    #[serde(default = "no_leak")]
    pub leaks: FreeFlow,
}

const fn no_leak() -> FreeFlow {
    quantity::known(FreeFlow::litres_per_minute(0.0))
}

/// A regulator by ISO 6358's two numbers, from its data sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RegulatorPart {
    /// Sonic conductance C of the fully open valve, dm³/(s bar).
    #[schemars(range(min = 0.1, max = 200.0))]
    pub conductance_dm3_s_bar: f64,
    /// Critical pressure ratio b.
    #[schemars(range(min = 0.05, max = 0.6))]
    pub critical_ratio: f64,
    /// Fall of the set pressure for each 100 l/min ANR, in bar.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub droop_bar_per_100_l_min: f64,
}

impl Default for RegulatorPart {
    /// A half-inch regulator: common practice, no source.
    fn default() -> Self {
        Self { conductance_dm3_s_bar: 10.0, critical_ratio: 0.3, droop_bar_per_100_l_min: 0.05 }
    }
}

/// A hose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HosePart {
    /// Inside diameter.
    pub bore: Diameter,
    /// Length.
    pub length: Length,
    /// Sum of the loss coefficients of its fittings, referred to its own bore.
    #[serde(default = "two")]
    #[schemars(range(min = 0.0, max = 200.0))]
    pub fittings_k: f64,
    /// Whether it was ever used behind an oiler: it then gives off oil for long.
    #[serde(default)]
    pub oiled: bool,
}

const fn two() -> f64 {
    2.0
}

/// How abrasive meets air.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct PotPart {
    /// Mass of abrasive for each mass of air, as the metering valve stands. 0.3 to 2 is usual.
    #[schemars(range(min = 0.05, max = 4.0))]
    pub loading: f64,
}

impl Default for PotPart {
    fn default() -> Self {
        Self { loading: 1.0 }
    }
}

/// A nozzle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NozzlePart {
    /// What the shop calls it; a recipe names it so.
    pub name: String,
    /// Inside diameter as it is now, worn.
    pub bore: Diameter,
    /// Length of the straight bore.
    pub length: Length,
    /// Discharge coefficient with air alone. 0.95 for a smooth entry when left out.
    #[serde(default = "smooth_entry")]
    #[schemars(range(min = 0.5, max = 1.0))]
    pub discharge: f64,
    /// What a new one costs.
    #[serde(default)]
    pub price: Money,
    /// How long one lasts, nozzle open, as its wear is charged.
    #[serde(default = "nozzle_life")]
    pub life: Time,
    /// What its bore is made of: "ceramic", "tungsten_carbide", "silicon_carbide" or "boron_carbide". It says how long
    /// one may last with each abrasive; left out, half to twice `life`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<String>,
}

const fn smooth_entry() -> f64 {
    0.95
}

/// A carbide nozzle at moderate pressure: common practice, no source.
const fn nozzle_life() -> Time {
    quantity::known(Time::hours(200.0))
}

/// An abrasive in stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AbrasivePart {
    /// Id of the abrasive, such as "white_alumina".
    pub kind: String,
    /// Its grit, such as "F150".
    pub grit: String,
    /// Free crystalline silica on the data sheet of the bag in use. It goes before the table's; at 1 % or more
    /// the abrasive is not accepted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub free_silica: Option<Fraction>,
    /// Price of a kilogram.
    #[serde(default)]
    pub price_per_kg: Money,
    /// How often a charge goes through the nozzle before it is thrown away. Left out: it is only topped up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 1000))]
    pub turns: Option<u32>,
}

/// A resist in stock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ResistPart {
    /// Id of the resist, such as "rubber_thin".
    pub kind: String,
    /// Width of the roll or sheet.
    pub width: Length,
    /// Price of a square metre.
    #[serde(default)]
    pub price_per_m2: Money,
}

/// How the shop makes its stencils. Defaults are common practice, no source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct StencilPart {
    /// What the cutter reaches across. Left out: as wide as the resist.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutter_width: Option<Length>,
    /// What two strips of a stencil wider than the cutter share.
    pub overlap: Length,
    /// How far each closed cut goes past its beginning, so that the corner comes free.
    pub overcut: Length,
    /// What the cutter does at corners.
    pub corners: CornerKind,
    /// How far an eased corner begins before it, or a cut goes past it.
    pub corner_by: Length,
    /// Frames for weeding, this far from the openings; 0 for none.
    pub weed_frames: Length,
    /// Bridges of this width to islands that would not hold. Left out: none, the tape holds them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bridges: Option<Length>,
    /// How much wider an opening in film comes out on each edge than it was printed, as the calibration sheet says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub film_widens: Option<Length>,
    /// How much narrower. Give this or `film_widens`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub film_narrows: Option<Length>,
    /// The finest line that washes out to the ground here, as the calibration sheet says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub film_finest: Option<Length>,
    /// Dots per inch of the film printer.
    #[schemars(range(min = 300, max = 2880))]
    pub printer_dpi: f64,
}

/// What the cutter does at corners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CornerKind {
    /// Nothing.
    #[default]
    AsDrawn,
    /// Rounds them, so that thick resist does not tear from there.
    Eased,
    /// Cuts past them, so that they come free.
    Past,
}

impl Default for StencilPart {
    fn default() -> Self {
        Self {
            cutter_width: None,
            overlap: quantity::known(Length::mm(20.0)),
            overcut: quantity::known(Length::mm(0.6)),
            corners: CornerKind::AsDrawn,
            corner_by: quantity::known(Length::mm(0.5)),
            weed_frames: quantity::known(Length::mm(5.0)),
            bridges: None,
            film_widens: None,
            film_narrows: None,
            film_finest: None,
            printer_dpi: 1440.0,
        }
    }
}

impl StencilPart {
    /// Whether nothing is set otherwise than usual.
    #[must_use]
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

/// The cabinet and its collector.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CabinetPart {
    /// Inside volume.
    pub volume: Volume,
    /// All openings through which air enters while blasting.
    pub openings: Area,
    /// What the collector draws through the cabinet. Left out: there is no collector.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub collector: Option<FreeFlow>,
    /// Power of the collector.
    #[serde(default = "no_power")]
    pub collector_power: Power,
}

const fn no_power() -> Power {
    quantity::known(Power::watts(0.0))
}

/// How the hands at the cabinet work. Defaults are common practice, no source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct HandsPart {
    /// Masking, taping and washing one piece, without weeding.
    pub setup: Time,
    /// Share of the blast that lands inside the swept area: a hand overshoots at the turns.
    pub on_target: Fraction,
    /// Weeding by the tip of a knife: seconds for each metre of edge.
    #[schemars(range(min = 1.0, max = 600.0))]
    pub weed_s_per_m: f64,
    /// And for each separate part.
    #[schemars(range(min = 0.5, max = 120.0))]
    pub weed_s_per_part: f64,
    /// Emptying the pot, blowing out hose and cabinet and filling in another abrasive.
    pub change_abrasive: Time,
}

impl Default for HandsPart {
    fn default() -> Self {
        Self {
            setup: quantity::known(Time::minutes(15.0)),
            on_target: quantity::known(Fraction::percent(80.0)),
            weed_s_per_m: 25.0,
            weed_s_per_part: 4.0,
            change_abrasive: quantity::known(Time::minutes(10.0)),
        }
    }
}

/// What is charged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RatesPart {
    /// ISO 4217 code of the currency, such as "USD" or "EUR".
    #[schemars(regex(pattern = "^[A-Z]{3}$"))]
    pub currency: String,
    /// An hour of work, with its burden.
    pub labour_per_hour: Money,
    /// A kilowatt-hour.
    pub energy_per_kwh: Money,
    /// Overhead on labour and materials.
    #[serde(default = "nothing")]
    pub overhead: Fraction,
    /// Share of the price that is margin.
    #[serde(default = "nothing")]
    pub margin: Fraction,
    /// Share of pieces that spoil by breakage and slips; what the plan itself risks comes on top.
    #[serde(default = "nothing")]
    pub spoilage: Fraction,
    /// Share of the waiting for air and dust that is charged as work. All of it when left out.
    #[serde(default = "all_of_it", skip_serializing_if = "is_all_of_it")]
    pub waiting: Fraction,
    /// Hands once for an order, whatever its quantity: artwork, cutting, packing.
    #[serde(default = "no_time", skip_serializing_if = "is_no_time")]
    pub order_time: Time,
    /// An hour that cabinet and collector are in use: wear and filters, not electricity.
    #[serde(default, skip_serializing_if = "is_default")]
    pub cabinet_per_hour: Money,
    /// An hour that the compressors run: wear and service, not electricity.
    #[serde(default, skip_serializing_if = "is_default")]
    pub compressor_per_hour: Money,
    /// Surcharge for an order that goes before others.
    #[serde(default = "nothing", skip_serializing_if = "is_nothing")]
    pub rush: Fraction,
    /// Tax on the price, as a quote shows it.
    #[serde(default = "nothing", skip_serializing_if = "is_nothing")]
    pub tax: Fraction,
    /// What the tax is called on a quote, such as "VAT" or "sales tax".
    #[serde(default = "tax_word", skip_serializing_if = "is_tax_word")]
    pub tax_name: String,
    /// Prices of a piece are rounded up to multiples of this. Left out: to the currency's smallest coin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round_to: Option<Money>,
    /// Prices that fall with the quantity, in ascending order.
    #[serde(default, rename = "break", skip_serializing_if = "Vec::is_empty")]
    pub breaks: Vec<BreakPart>,
}

/// A price that falls with the quantity.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BreakPart {
    /// From so many pieces on.
    #[schemars(range(min = 2, max = 100_000))]
    pub from: u32,
    /// So much is taken off the price.
    pub less: Fraction,
}

const fn all_of_it() -> Fraction {
    quantity::known(Fraction::percent(100.0))
}

const fn no_time() -> Time {
    quantity::known(Time::seconds(0.0))
}

fn tax_word() -> String {
    "tax".to_owned()
}

fn is_all_of_it(share: &Fraction) -> bool {
    *share == all_of_it()
}

fn is_no_time(time: &Time) -> bool {
    *time == no_time()
}

fn is_nothing(share: &Fraction) -> bool {
    *share == nothing()
}

fn is_tax_word(word: &str) -> bool {
    word == tax_word()
}

const fn nothing() -> Fraction {
    quantity::known(Fraction::percent(0.0))
}

/// A test piece: a masked square, blasted for a known time, its depth gauged in the middle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CouponPart {
    /// Id of the material.
    pub material: String,
    /// Id of the abrasive.
    pub abrasive: String,
    /// Its grit.
    pub grit: String,
    /// Name of the nozzle.
    pub nozzle: String,
    /// What the regulator was set to.
    pub pressure: GaugePressure,
    /// From the nozzle to the work.
    pub standoff: Length,
    /// Edge of the square opening, 6 mm or more.
    pub opening: Length,
    /// Blasting time.
    pub time: Time,
    /// Depth gauged in the middle.
    pub depth: Length,
    /// What the gauge is good for, as a standard deviation. Left out: 0.05 mm, a caliper's.
    #[serde(default = "caliper")]
    pub gauge: Length,
    /// Id of the resist, if it was looked at afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resist: Option<String>,
    /// What became of it: "sound", "failed", or the thickness that it lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resist_state: Option<ResistAfter>,
}

/// Standard deviation of a caliper. Common practice, no source.
pub(crate) const fn caliper() -> Length {
    quantity::known(Length::mm(0.05))
}
