//! Changes that better a check, and how each is made in a shop or a piece, as values or as files.

use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use piece::{AirFrom, BlastValve, EdgeFinish, Hearing, Piece, Pressures, Protection, Shift, Shop};
use quantity::{Area, Diameter, FreeFlow, GaugePressure, Length, Time};
use reference::{Respirator, tables};

/// A change, at the size that was worked out for it.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Mend {
    /// Fit a collector that draws this.
    Collector(FreeFlow),
    /// Fit a duct of this bore.
    Duct(Diameter),
    /// Fit filters of this area.
    FilterArea(Area),
    /// Fit a last filter of this class, by id.
    LastFilter(&'static str),
    /// Lead the air outdoors.
    Outdoors,
    /// Let the blast wait for the collector.
    Interlock,
    /// Bond and ground nozzle, hose, cabinet and collector.
    Ground,
    /// Give the blast a collector of its own.
    OwnCollector,
    /// Keep the door shut this long.
    DoorWait(Time),
    /// Wear this.
    Respirator(Respirator),
    /// Feed the hood from a line of its own.
    OwnAir,
    /// Blast no longer than this in a shift.
    Blasting(Time),
    /// Wear this on the ears.
    Hearing(Hearing),
    /// Set the relief valve to this.
    Relief(GaugePressure),
    /// Let the compressors stop at this.
    CutOut(GaugePressure),
    /// Take the valve before the relief valve out.
    NoValveBeforeRelief,
    /// Use a pot rated for this.
    PotRated(GaugePressure),
    /// Use a hose rated for this.
    HoseRated(GaugePressure),
    /// Lash the couplings.
    Lash,
    /// Hold the blast with this.
    Valve(BlastValve),
    /// Untie the valve.
    Untie,
    /// Hang up a rest for the nozzle.
    NozzleRest,
    /// Set the cleaning gun to this.
    Cleaning(GaugePressure),
    /// Fit a chip guard.
    ChipGuard,
    /// Fit a lid that puts the lamp out when it is opened.
    LampLid,
    /// Take the edges off.
    Seam,
    /// Carve a single pane, before the unit is sealed.
    SinglePane,
    /// Carve no deeper than this.
    Depth(Length),
    /// Take a blank this thick.
    Thickness(Length),
}

/// What a change reaches, in a shop and a piece of either form.
struct Reach<'a> {
    protection: &'a mut Protection,
    shift: &'a mut Shift,
    pressures: &'a mut Pressures,
    collector: &'a mut Option<FreeFlow>,
    cut_outs: Vec<(&'a mut GaugePressure, &'a mut GaugePressure)>,
    duct: &'a mut Option<Diameter>,
    filter_area: &'a mut Option<Area>,
    recirculates: &'a mut Option<bool>,
    interlock: &'a mut Option<bool>,
    grounded: &'a mut Option<bool>,
    door_wait: &'a mut Option<Time>,
    edges: Option<&'a mut Option<EdgeFinish>>,
    insulated: Option<&'a mut bool>,
    thickness: Option<&'a mut Length>,
    depths: Vec<&'a mut Length>,
}

impl Mend {
    /// Makes the change in values. Without a piece, changes of one change nothing.
    pub fn make(self, shop: &mut Shop, piece: Option<&mut Piece>) {
        match self {
            Self::LastFilter(id) => shop.enclosure.filters.extend(tables().filter(id)),
            Self::OwnCollector => shop.enclosure.also_takes.clear(),
            _ => self.reach(&mut Reach::of(shop, piece)),
        }
    }

    /// Makes the change in files.
    pub fn write(self, shop: &mut ShopFile, piece: Option<&mut PieceFile>) {
        match self {
            Self::LastFilter(id) => shop.enclosure.filters.push(id.to_owned()),
            Self::OwnCollector => shop.enclosure.also_takes.clear(),
            _ => self.reach(&mut Reach::of_files(shop, piece)),
        }
    }

    fn reach(self, at: &mut Reach<'_>) {
        match self {
            Self::Collector(flow) => *at.collector = Some(flow),
            Self::Duct(bore) => *at.duct = Some(bore),
            Self::FilterArea(area) => *at.filter_area = Some(area),
            Self::Outdoors => *at.recirculates = Some(false),
            Self::Interlock => *at.interlock = Some(true),
            Self::Ground => *at.grounded = Some(true),
            Self::DoorWait(wait) => *at.door_wait = Some(wait),
            Self::Respirator(class) => at.protection.respirator = Some(class),
            Self::OwnAir => at.protection.air.get_or_insert_default().from = AirFrom::OwnLine,
            Self::Blasting(time) => at.shift.blasting = Some(time),
            Self::Hearing(worn) => at.protection.hearing = Some(worn),
            Self::LampLid => at.protection.lamp_closed = Some(true),
            Self::CutOut(pressure) => lower(&mut at.cut_outs, pressure),
            Self::Seam => at.edges.iter_mut().for_each(|edges| **edges = Some(EdgeFinish::Seamed)),
            Self::SinglePane => at.insulated.iter_mut().for_each(|insulated| **insulated = false),
            Self::Thickness(thickness) => at.thickness.iter_mut().for_each(|now| **now = thickness),
            Self::Depth(most) => at.depths.iter_mut().filter(|depth| ***depth > most).for_each(|depth| **depth = most),
            Self::LastFilter(_) | Self::OwnCollector => {}
            _ => self.reach_pressures(at.pressures),
        }
    }

    fn reach_pressures(self, at: &mut Pressures) {
        match self {
            Self::Relief(pressure) => at.relief = Some(pressure),
            Self::NoValveBeforeRelief => at.valve_before_relief = Some(false),
            Self::PotRated(pressure) => at.pot_rated = Some(pressure),
            Self::HoseRated(pressure) => at.hose_rated = Some(pressure),
            Self::Lash => at.hose_lashed = Some(true),
            Self::Valve(valve) => at.valve = Some(valve),
            Self::Untie => at.tied_open = Some(false),
            Self::NozzleRest => at.nozzle_rest = Some(true),
            Self::Cleaning(pressure) => at.cleaning = Some(pressure),
            Self::ChipGuard => at.chip_guard = Some(true),
            _ => {}
        }
    }

    /// The key of the shop or piece file that the change sets.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Collector(_) => "shop: cabinet.collector",
            Self::Duct(_) => "shop: enclosure.duct",
            Self::FilterArea(_) => "shop: enclosure.filter_area",
            Self::LastFilter(_) => "shop: enclosure.filters",
            Self::Outdoors => "shop: enclosure.recirculates",
            Self::Interlock => "shop: enclosure.interlock",
            Self::Ground => "shop: enclosure.grounded",
            Self::OwnCollector => "shop: enclosure.also_takes",
            Self::DoorWait(_) => "shop: enclosure.door_wait",
            Self::Respirator(_) => "shop: protection.respirator",
            Self::OwnAir => "shop: protection.air.from",
            Self::Blasting(_) => "shop: shift.blasting",
            Self::Hearing(_) => "shop: protection.hearing",
            Self::Relief(_) => "shop: pressure.relief",
            Self::CutOut(_) => "shop: compressor[].cut_out",
            Self::NoValveBeforeRelief => "shop: pressure.valve_before_relief",
            Self::PotRated(_) => "shop: pressure.pot_rated",
            Self::HoseRated(_) => "shop: pressure.hose_rated",
            Self::Lash => "shop: pressure.hose_lashed",
            Self::Valve(_) => "shop: pressure.valve",
            Self::Untie => "shop: pressure.tied_open",
            Self::NozzleRest => "shop: pressure.nozzle_rest",
            Self::Cleaning(_) => "shop: pressure.cleaning",
            Self::ChipGuard => "shop: pressure.chip_guard",
            Self::LampLid => "shop: protection.lamp_closed",
            Self::Seam => "blank.edges",
            Self::SinglePane => "blank.insulated",
            Self::Depth(_) => "depth[].depth at most",
            Self::Thickness(_) => "blank.thickness",
        }
    }
}

/// Compressors that stop above a pressure stop at it, and start no higher than they did or a bar below.
fn lower(cut_outs: &mut [(&mut GaugePressure, &mut GaugePressure)], most: GaugePressure) {
    for (cut_in, cut_out) in cut_outs.iter_mut().filter(|(_, cut_out)| **cut_out > most) {
        **cut_out = most;
        let below = GaugePressure::bar(most.to_bar() - 1.0).unwrap_or(**cut_in);
        if **cut_in > below {
            **cut_in = below;
        }
    }
}

/// What a change reaches. Values and files differ in the names of three fields; nothing else is told twice.
macro_rules! reach {
    ($shop:ident: $pressures:ident, $compressors:ident; $piece:ident: $depths:ident) => {{
        let mut reach = Reach {
            protection: &mut $shop.protection,
            shift: &mut $shop.shift,
            pressures: &mut $shop.$pressures,
            collector: &mut $shop.cabinet.collector,
            cut_outs: $shop.$compressors.iter_mut().map(|one| (&mut one.cut_in, &mut one.cut_out)).collect(),
            duct: &mut $shop.enclosure.duct,
            filter_area: &mut $shop.enclosure.filter_area,
            recirculates: &mut $shop.enclosure.recirculates,
            interlock: &mut $shop.enclosure.interlock,
            grounded: &mut $shop.enclosure.grounded,
            door_wait: &mut $shop.enclosure.door_wait,
            edges: None,
            insulated: None,
            thickness: None,
            depths: Vec::new(),
        };
        if let Some(piece) = $piece {
            reach.edges = Some(&mut piece.blank.edges);
            reach.insulated = Some(&mut piece.blank.insulated);
            reach.thickness = Some(&mut piece.blank.thickness);
            reach.depths = piece.$depths.iter_mut().map(|depth| &mut depth.depth).collect();
        }
        reach
    }};
}

impl<'a> Reach<'a> {
    fn of(shop: &'a mut Shop, piece: Option<&'a mut Piece>) -> Self {
        reach!(shop: pressures, compressors; piece: depths)
    }

    fn of_files(shop: &'a mut ShopFile, piece: Option<&'a mut PieceFile>) -> Self {
        reach!(shop: pressure, compressor; piece: depth)
    }
}
