//! Why a piece cannot be planned at all. A plan that can be made but should not be is a finding.

use language::say;
use quantity::{Length, OutOfRange};

/// Why a piece cannot be planned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The blank or the abrasive must not be carved or blasted.
    #[error("{}", say!("blank: {fault}", fault = _0))]
    Blank(#[from] safety::refusal::Refusal),
    /// The drawing and the depths do not fit each other.
    #[error("{}", say!("depth: {fault}", fault = _0))]
    Depth(#[from] artwork::depth::DepthError),
    /// The drawing does not fit the blank.
    #[error("{}", say!("artwork: {fault}", fault = _0))]
    Place(#[from] artwork::place::PlaceError),
    /// Nothing of the drawing is open after all depths are given.
    #[error("{}", say!("artwork: nothing is left to carve; give a depth to a group that has an area"))]
    NothingOpen,
    /// A depth reaches through the blank.
    #[error("{}", say!("depth: {depth} goes through the blank's {thickness}; give less than its thickness"))]
    Through {
        /// The deepest depth asked for.
        depth: Length,
        /// The blank's thickness.
        thickness: Length,
    },
    /// No abrasive of the shop suits the recipe.
    #[error("{}", say!("recipe: the shop stocks no abrasive that is both of this kind and of this grit; change one of the two"))]
    NoAbrasive,
    /// The last stages' own abrasive would be that of all stages.
    #[error(
        "{}",
        say!(
            "recipe.finish: stages: {own} of the piece's {stages} stages leave none for the first abrasive; give fewer \
             stages, or one abrasive for all"
        )
    )]
    FinishStages {
        /// How many are given.
        own: usize,
        /// How many the piece has.
        stages: usize,
    },
    /// The only abrasive that suits the first stages is the one given for the last.
    #[error(
        "{}",
        say!(
            "recipe.finish: {abrasive} is all that the recipe leaves for the first stages too; give another abrasive or \
             grit for either, or leave [recipe.finish] out"
        )
    )]
    FinishSame {
        /// Its name and grit.
        abrasive: String,
    },
    /// More depths than a plan keeps apart.
    #[error("{}", say!("depth: {given} layers are more than the {most} that a plan keeps apart; give some the same rule"))]
    TooManyLayers {
        /// How many there are.
        given: usize,
        /// How many may be.
        most: usize,
    },
    /// The air line cannot be computed.
    #[error(transparent)]
    Line(#[from] air::LineError),
    /// Parts through which no air can flow.
    #[error("{}", say!("shop: {fault}", fault = _0))]
    Network(#[from] air::NetworkError),
    /// The line in balance.
    #[error("{}", say!("shop: {fault}", fault = _0))]
    Station(#[from] air::ladder::UnknownStation),
    /// The line in time.
    #[error("{}", say!("shop: {fault}", fault = _0))]
    Course(#[from] air::course::CourseError),
    /// Water in the line.
    #[error("{}", say!("shop: {fault}", fault = _0))]
    Damp(#[from] air::damp::DampError),
    /// The shop has no nozzle of the name that a station gives.
    #[error("{}", say!("shop: a station names a nozzle that the shop does not have; give one of [[nozzle]]"))]
    NoNozzle,
    /// A regulator's numbers.
    #[error("{}", say!("shop: regulator: {fault}", fault = _0))]
    Regulator(#[from] air::conductance::ConductanceError),
    /// A regulator's droop.
    #[error("{}", say!("shop: regulator: {fault}", fault = _0))]
    Droop(#[from] air::regulator::DroopOutOfRange),
    /// A hose's numbers.
    #[error("{}", say!("shop: hose: {fault}", fault = _0))]
    Hose(#[from] air::hose::HoseError),
    /// A nozzle's numbers.
    #[error("{}", say!("shop: nozzle: {fault}", fault = _0))]
    Nozzle(#[from] air::FlowError),
    /// The receiver in time.
    #[error(transparent)]
    Transient(#[from] air::TransientError),
    /// The jet or the erosion.
    #[error("{}", say!("recipe: {fault}", fault = _0))]
    Jet(#[from] carve::jet::JetError),
    /// The model's constants.
    #[error("{}", say!("shop: coupon: {fault}", fault = _0))]
    Model(#[from] carve::model::ModelError),
    /// What the coupons say.
    #[error("{}", say!("shop: coupons: {fault}", fault = _0))]
    Calibration(#[from] carve::calibrate::CalibrateError),
    /// The slope exponent.
    #[error("{}", say!("model: {fault}", fault = _0))]
    Rule(#[from] carve::distance_rule::RuleError),
    /// Targets that cannot be staged.
    #[error("{}", say!("depth: {fault}", fault = _0))]
    Staging(#[from] carve::staging::StagingError),
    /// The instant profile.
    #[error("{}", say!("carving: {fault}", fault = _0))]
    Quick(#[from] carve::quick::QuickError),
    /// The solver gave up.
    #[error("{}", say!("carving: {fault}", fault = _0))]
    Solve(#[from] carve::height_field::SolveError),
    /// A number that no quantity holds.
    #[error("{}", say!("{fault}; check the sizes of the piece and the shop", fault = _0))]
    Range(#[from] OutOfRange),
}
