//! What can be checked, by name, and what is read together.

use language::say;

/// Everything that can be checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Hazard {
    /// Free silica in the abrasive.
    FreeSilica,
    /// Exposure to crystalline silica over a shift.
    SilicaExposure,
    /// Exposure to lead over a shift.
    LeadExposure,
    /// Exposure to other dust over a shift.
    DustExposure,
    /// The respirator against what is needed.
    Respirator,
    /// Where breathing air comes from.
    BreathingAir,
    /// Its last test against Grade D.
    GradeD,
    /// Whether anything draws the dust off.
    NoCollector,
    /// Blast air against what the collector takes out.
    BlastOut,
    /// Speed of air into the openings.
    Inflow,
    /// Changes of the cabinet's air.
    AirChanges,
    /// Speed in the duct.
    DuctSpeed,
    /// Speed through the filter.
    FilterArea,
    /// Class of the filter that air is led back into the room through.
    FilterClass,
    /// The wait before the door is opened.
    DoorWait,
    /// Whether the blast waits for the collector.
    Interlock,
    /// What else the collector draws.
    SharedCollector,
    /// Noise of the day by OSHA.
    NoiseDose,
    /// Noise of the day by NIOSH.
    NoiseRecommended,
    /// The level itself.
    NoiseCeiling,
    /// What is worn on the ears.
    Hearing,
    /// Relief valve against the receiver's plate.
    Relief,
    /// Compressor's cut-out against the relief valve.
    CutOut,
    /// A valve between receiver and relief valve.
    ValveBeforeRelief,
    /// Pressure in the pot against its plate.
    PotRating,
    /// Pressure in the hose against its print.
    HoseRating,
    /// Lashings on the couplings.
    Couplings,
    /// How the blast is held.
    BlastValve,
    /// Whether that is tied open.
    TiedValve,
    /// A rest for the nozzle.
    NozzleRest,
    /// Pressure of the cleaning gun.
    CleaningAir,
    /// Its chip guard.
    ChipGuard,
    /// Bonding and grounding.
    Static,
    /// The exposure lamp's lid.
    Lamp,
    /// Sharp edges of the blank.
    Edges,
    /// The blank's mass.
    Lifting,
    /// Where the piece will stand.
    Place,
    /// A pane of a sealed unit.
    SealedUnit,
    /// A ply of a laminate.
    Laminate,
    /// How it is held, where that cannot be worked out.
    Supports,
    /// Stress against what frosted glass is allowed.
    Strength,
    /// Sinking against the thickness.
    Sinking,
    /// Distance of deep carving from the edge.
    EdgeDistance,
}

impl Hazard {
    /// Every hazard, in order.
    pub const ALL: [Self; 43] = [
        Self::FreeSilica,
        Self::SilicaExposure,
        Self::LeadExposure,
        Self::DustExposure,
        Self::Respirator,
        Self::BreathingAir,
        Self::GradeD,
        Self::NoCollector,
        Self::BlastOut,
        Self::Inflow,
        Self::AirChanges,
        Self::DuctSpeed,
        Self::FilterArea,
        Self::FilterClass,
        Self::DoorWait,
        Self::Interlock,
        Self::SharedCollector,
        Self::NoiseDose,
        Self::NoiseRecommended,
        Self::NoiseCeiling,
        Self::Hearing,
        Self::Relief,
        Self::CutOut,
        Self::ValveBeforeRelief,
        Self::PotRating,
        Self::HoseRating,
        Self::Couplings,
        Self::BlastValve,
        Self::TiedValve,
        Self::NozzleRest,
        Self::CleaningAir,
        Self::ChipGuard,
        Self::Static,
        Self::Lamp,
        Self::Edges,
        Self::Lifting,
        Self::Place,
        Self::SealedUnit,
        Self::Laminate,
        Self::Supports,
        Self::Strength,
        Self::Sinking,
        Self::EdgeDistance,
    ];

    /// A word for files and addresses, as it is written in JSON.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::FreeSilica => "free_silica",
            Self::SilicaExposure => "silica_exposure",
            Self::LeadExposure => "lead_exposure",
            Self::DustExposure => "dust_exposure",
            Self::Respirator => "respirator",
            Self::BreathingAir => "breathing_air",
            Self::GradeD => "grade_d",
            Self::NoCollector => "no_collector",
            Self::BlastOut => "blast_out",
            Self::Inflow => "inflow",
            Self::AirChanges => "air_changes",
            Self::DuctSpeed => "duct_speed",
            Self::FilterArea => "filter_area",
            Self::FilterClass => "filter_class",
            Self::DoorWait => "door_wait",
            Self::Interlock => "interlock",
            Self::SharedCollector => "shared_collector",
            Self::NoiseDose => "noise_dose",
            Self::NoiseRecommended => "noise_recommended",
            Self::NoiseCeiling => "noise_ceiling",
            Self::Hearing => "hearing",
            Self::Relief => "relief",
            Self::CutOut => "cut_out",
            Self::ValveBeforeRelief => "valve_before_relief",
            Self::PotRating => "pot_rating",
            Self::HoseRating => "hose_rating",
            Self::Couplings => "couplings",
            Self::BlastValve => "blast_valve",
            Self::TiedValve => "tied_valve",
            Self::NozzleRest => "nozzle_rest",
            Self::CleaningAir => "cleaning_air",
            Self::ChipGuard => "chip_guard",
            Self::Static => "static",
            Self::Lamp => "lamp",
            Self::Edges => "edges",
            Self::Lifting => "lifting",
            Self::Place => "place",
            Self::SealedUnit => "sealed_unit",
            Self::Laminate => "laminate",
            Self::Supports => "supports",
            Self::Strength => "strength",
            Self::Sinking => "sinking",
            Self::EdgeDistance => "edge_distance",
        }
    }
}

/// What checks are read together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// What is breathed.
    Dust,
    /// What keeps dust in and draws it off.
    Enclosure,
    /// What is heard.
    Noise,
    /// Vessels, hoses, the blast.
    Pressure,
    /// What hands touch and eyes see.
    Handling,
    /// The pane where it will stand.
    Glass,
}

impl Group {
    /// Every group, in order.
    pub const ALL: [Self; 6] = [Self::Dust, Self::Enclosure, Self::Noise, Self::Pressure, Self::Handling, Self::Glass];

    /// Its heading.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Dust => say!("Dust and breathing"),
            Self::Enclosure => say!("Enclosure and collector"),
            Self::Noise => say!(in "a group of checks", "Noise"),
            Self::Pressure => say!(in "a group of checks", "Pressure"),
            Self::Handling => say!("Static, lamp and handling"),
            Self::Glass => say!("The pane and its place"),
        }
    }
}

impl Hazard {
    /// What it is read together with. The order of the hazards is that of the groups.
    #[must_use]
    pub fn group(self) -> Group {
        match self {
            hazard if hazard <= Self::GradeD => Group::Dust,
            hazard if hazard <= Self::SharedCollector => Group::Enclosure,
            hazard if hazard <= Self::Hearing => Group::Noise,
            hazard if hazard <= Self::ChipGuard => Group::Pressure,
            hazard if hazard <= Self::Lifting => Group::Handling,
            _ => Group::Glass,
        }
    }
}
