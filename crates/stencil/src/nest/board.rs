//! The rectangle that is laid on, what lies where, and which pairs overlap by how much.

use super::kind::{Kind, Reach};
use super::overlap::{Circles, overlap};
use jagua_rs::collision_detection::hazards::collector::HazardCollector;
use jagua_rs::collision_detection::hazards::filter::HazardFilter;
use jagua_rs::collision_detection::hazards::{HazKey, Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::TransformableFrom as _;
use jagua_rs::geometry::primitives::{Rect, SPolygon};
use jagua_rs::geometry::{DTransformation, Transformation};
use std::sync::Arc;

/// Levels of the engine's tree of squares: as many as make a cell about half of a piece, within these.
const LEVELS: std::ops::RangeInclusive<u8> = 3..=8;
/// Edges in a cell below which the engine compares them all, instead of going down.
const EDGES_COMPARED: u8 = 24;

/// Where a piece lies: turned about its origin by radians, then moved there, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) turn: f32,
    pub(super) x: f32,
    pub(super) y: f32,
}

/// A rectangle from the origin: x along the strip, y across.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Room {
    pub(super) length: f32,
    pub(super) width: f32,
}

/// What the engine finds in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Occupant {
    /// Beyond the room: never asked about, as places are kept inside.
    Outside,
    /// A piece, by its number on the board.
    Piece(usize),
}

/// Pieces in a room, some of them perhaps on top of others, some not laid yet.
#[derive(Clone)]
pub(super) struct Board<'k> {
    pub(super) kinds: &'k [Kind],
    /// The kind of each piece.
    pub(super) pieces: Vec<usize>,
    pub(super) room: Room,
    engine: CDEngine<Occupant>,
    laid: Vec<Option<Laid>>,
    /// Overlap of each pair, and how much it counts; both of each pair, so that a row is one piece's.
    losses: Vec<f32>,
    weights: Vec<f32>,
}

#[derive(Clone)]
struct Laid {
    place: Place,
    key: HazKey,
    shape: Arc<SPolygon>,
    circles: Circles,
}

/// The places of all pieces; `None` where one is not laid.
pub(super) type Places = Vec<Option<Place>>;

impl HazardEntity for Occupant {
    fn scope(&self) -> GeoPosition {
        match self {
            Self::Outside => GeoPosition::Exterior,
            Self::Piece(_) => GeoPosition::Interior,
        }
    }

    fn is_dynamic(&self) -> bool {
        matches!(self, Self::Piece(_))
    }
}

/// All pieces but one.
struct Others(usize);

impl HazardFilter<Occupant> for Others {
    fn is_irrelevant(&self, _: HazKey, entity: &Occupant) -> bool {
        matches!(entity, Occupant::Outside) || *entity == Occupant::Piece(self.0)
    }
}

/// What a piece was found to overlap: a handful, so a list beats a table.
#[derive(Default)]
struct Met(Vec<(HazKey, Occupant)>);

impl HazardCollector for Met {
    type Entity = Occupant;

    fn contains_key(&self, key: HazKey) -> bool {
        self.0.iter().any(|(met, _)| *met == key)
    }

    fn insert(&mut self, key: HazKey, entity: Occupant) {
        self.0.push((key, entity));
    }

    fn remove_by_key(&mut self, key: HazKey) {
        self.0.retain(|(met, _)| *met != key);
    }

    fn len(&self) -> usize {
        self.0.len()
    }

    fn iter(&self) -> impl Iterator<Item = (HazKey, &Occupant)> {
        self.0.iter().map(|(key, entity)| (*key, entity))
    }
}

/// Room to turn and move one kind in, without laying it.
pub(super) struct Trial {
    shape: SPolygon,
    met: Met,
}

impl Trial {
    pub(super) fn new(kind: &Kind) -> Self {
        Self { shape: kind.shape.clone(), met: Met::default() }
    }
}

impl Place {
    pub(super) fn transformation(self) -> Transformation {
        DTransformation::new(self.turn, (self.x, self.y)).compose()
    }
}

impl Room {
    /// The place moved inside; `None` when the piece is too large at that angle.
    pub(super) fn inside(self, place: Place, reach: Reach) -> Option<Place> {
        let (x, y) = (self.along(reach)?, self.across(reach)?);
        Some(Place { turn: place.turn, x: place.x.clamp(x.0, x.1), y: place.y.clamp(y.0, y.1) })
    }

    /// From where to where the origin of a piece may lie along the room.
    pub(super) fn along(self, reach: Reach) -> Option<(f32, f32)> {
        (reach.left <= self.length - reach.right).then_some((reach.left, self.length - reach.right))
    }

    /// From where to where the origin of a piece may lie across the room.
    pub(super) fn across(self, reach: Reach) -> Option<(f32, f32)> {
        (reach.down <= self.width - reach.up).then_some((reach.down, self.width - reach.up))
    }
}

impl<'k> Board<'k> {
    /// An empty room. `pieces`: the kind of each piece.
    pub(super) fn new(kinds: &'k [Kind], pieces: Vec<usize>, room: Room) -> Self {
        let count = pieces.len();
        Self {
            engine: engine(kinds, &pieces, room),
            laid: vec![None; count],
            losses: vec![0.0; count * count],
            weights: vec![1.0; count * count],
            kinds,
            pieces,
            room,
        }
    }

    pub(super) fn count(&self) -> usize {
        self.pieces.len()
    }

    pub(super) fn kind(&self, piece: usize) -> &'k Kind {
        &self.kinds[self.pieces[piece]]
    }

    pub(super) fn place(&self, piece: usize) -> Option<Place> {
        self.laid[piece].as_ref().map(|laid| laid.place)
    }

    pub(super) fn places(&self) -> Places {
        self.laid.iter().map(|laid| laid.as_ref().map(|laid| laid.place)).collect()
    }

    /// The box of a piece that lies; `None` when it does not.
    pub(super) fn bounds(&self, piece: usize) -> Option<Rect> {
        self.laid[piece].as_ref().map(|laid| laid.shape.bbox())
    }

    /// Lays a piece, or moves it.
    pub(super) fn lay(&mut self, piece: usize, place: Place) {
        self.lift(piece);
        let mut shape = self.kind(piece).shape.clone();
        shape.transform_from(&self.kind(piece).shape, &place.transformation());
        let shape = Arc::new(shape);
        self.engine.register_hazard(Hazard::new(Occupant::Piece(piece), Arc::clone(&shape)));
        let key = self.engine.haz_key(&Occupant::Piece(piece)).expect("it was put in on the line above");
        self.laid[piece] = Some(Laid { place, key, circles: Circles::of(&shape), shape });
        self.measure(piece);
    }

    /// Takes a piece away.
    pub(super) fn lift(&mut self, piece: usize) {
        let Some(laid) = self.laid[piece].take() else { return };
        self.engine.deregister_hazard_by_key(laid.key);
        for other in 0..self.count() {
            self.set_loss(piece, other, 0.0);
        }
    }

    /// Makes everything lie as it did; only what differs is moved.
    pub(super) fn restore(&mut self, places: &Places) {
        for (piece, place) in places.iter().enumerate() {
            match place {
                Some(place) if self.place(piece) == Some(*place) => (),
                Some(place) => self.lay(piece, *place),
                None => self.lift(piece),
            }
        }
    }

    /// Another length. The caller moves what would lie outside.
    pub(super) fn set_length(&mut self, length: f32) {
        if length > self.engine.bbox().width() {
            let places = self.places();
            self.room.length = length;
            let weights = std::mem::take(&mut self.weights);
            *self = Self { weights, ..Self::new(self.kinds, std::mem::take(&mut self.pieces), self.room) };
            self.restore(&places);
        }
        self.room.length = length;
    }

    /// What lying there would cost: the weighted overlaps with all others. `None` as soon as it reaches the bound.
    pub(super) fn cost(&self, piece: usize, place: Place, trial: &mut Trial, bound: f32) -> Option<f32> {
        let Trial { shape, met } = trial;
        let kind = self.kind(piece);
        shape.transform_from(&kind.shape, &place.transformation());
        met.0.clear();
        let mut sum = 0.0;
        let row = &self.weights[piece * self.count()..][..self.count()];
        let mut add = |occupant| {
            let Occupant::Piece(other) = occupant else { return false };
            let most = 1.001 * (bound - sum) / row[other];
            sum += row[other] * self.overlap_with(other, shape, kind, most);
            sum >= bound
        };
        let others = Others(piece);
        let full = self.engine.collect_surrogate_collisions_until(shape, &others, met, &mut add)
            || self.engine.collect_poly_collisions_until(shape, &others, met, &mut add);
        (!full).then_some(sum)
    }

    fn overlap_with(&self, other: usize, shape: &SPolygon, kind: &Kind, most: f32) -> f32 {
        let laid = self.laid[other].as_ref().expect("the engine holds laid pieces only");
        overlap(shape, kind, &laid.circles, self.kind(other), most)
    }

    /// Renews a laid piece's row of overlaps.
    fn measure(&mut self, piece: usize) {
        let laid = self.laid[piece].as_ref().expect("measured after it was laid");
        let mut met = Met::default();
        self.engine.collect_poly_collisions(&laid.shape, &Others(piece), &mut met);
        let shape = Arc::clone(&laid.shape);
        for (_, occupant) in met.0 {
            let Occupant::Piece(other) = occupant else { continue };
            self.set_loss(piece, other, self.overlap_with(other, &shape, self.kind(piece), f32::INFINITY));
        }
    }

    fn set_loss(&mut self, a: usize, b: usize, loss: f32) {
        let count = self.count();
        self.losses[a * count + b] = loss;
        self.losses[b * count + a] = loss;
    }

    /// All overlaps together, not weighted: 0 when no two pieces overlap.
    pub(super) fn loss(&self) -> f32 {
        0.5 * self.losses.iter().sum::<f32>()
    }

    /// A piece's weighted overlaps.
    pub(super) fn weighted(&self, piece: usize) -> f32 {
        let row = piece * self.count()..(piece + 1) * self.count();
        self.losses[row.clone()].iter().zip(&self.weights[row]).map(|(loss, weight)| loss * weight).sum()
    }

    /// Whether a piece overlaps any other.
    pub(super) fn overlaps(&self, piece: usize) -> bool {
        self.losses[piece * self.count()..][..self.count()].iter().any(|loss| *loss > 0.0)
    }

    /// Overlaps that persist come to count more, the largest most; the others slowly less again.
    pub(super) fn reweigh(&mut self) {
        let most = self.losses.iter().copied().fold(f32::MIN_POSITIVE, f32::max);
        for (weight, loss) in self.weights.iter_mut().zip(&self.losses) {
            *weight = match *loss {
                loss if loss > 0.0 => *weight * (GROW_LEAST + (GROW_MOST - GROW_LEAST) * loss / most),
                _ => (*weight * DECAY).max(1.0),
            };
        }
    }

    /// All pairs count the same again.
    pub(super) fn forget_weights(&mut self) {
        self.weights.fill(1.0);
    }
}

/// Factors on a weight at each round: for the smallest and the largest overlap, and for none.
const GROW_LEAST: f32 = 1.2;
const GROW_MOST: f32 = 2.0;
const DECAY: f32 = 0.95;

fn engine(kinds: &[Kind], pieces: &[usize], room: Room) -> CDEngine<Occupant> {
    // A hair larger than the room: what lies along its edge is inside.
    let slack = 0.01 * room.length.max(room.width);
    let square = Rect::try_new(-slack, -slack, room.length + slack, room.width + slack)
        .expect("a room has an area")
        .inflate_to_square();
    let outside = Hazard::new(Occupant::Outside, Arc::new(SPolygon::from(square)));
    let size = pieces.iter().map(|&kind| kinds[kind].shape.diameter()).sum::<f32>() / pieces.len().max(1) as f32;
    let levels = (2.0 * square.width() / size.max(1e-6)).log2().round().max(0.0) as u8;
    let config = CDEConfig {
        quadtree_depth: levels.clamp(*LEVELS.start(), *LEVELS.end()),
        cd_threshold: EDGES_COMPARED,
        item_surrogate_config: SPSurrogateConfig::none(),
    };
    CDEngine::new(square, vec![outside], config)
}
