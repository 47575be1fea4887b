//! Named limits: exposure limits of regulations, rules of the trade and rules of ours.

use crate::{AirChanges, Angle, Concentration, SoundLevel, Source, Span, Stress, TemperatureStep, Unknown, lookup};
use language::say;
use quantity::show::{Show, significant};
use quantity::{Fraction, GaugePressure, Length, Mass, Speed, Time, UnitSystem};
use serde::Deserialize;

/// A limit, in the words and for the place that set it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit<T> {
    /// The limit.
    pub value: T,
    /// What it limits, for people.
    pub says: String,
    /// Where it holds: a country, a standard's readers, or "rule of the trade".
    pub jurisdiction: String,
    /// Year of the text that was used; absent where there is no text, or its year is not known.
    #[serde(default)]
    pub as_of: Option<u16>,
    /// Where the number came from.
    pub source: Source,
}

/// The value of any limit, for code that lists them all.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Amount {
    /// A share of something.
    Share(Fraction),
    /// A range of shares.
    Shares(Span<Fraction>),
    /// A bare number; what it counts stands in the limit's words.
    Number(f64),
    /// Dust in air.
    Concentration(Concentration),
    /// Speed of air.
    Speed(Speed),
    /// A span of time.
    Time(Time),
    /// A gauge pressure.
    Pressure(GaugePressure),
    /// An angle.
    Angle(Angle),
    /// A sound level.
    Level(SoundLevel),
    /// Air changes.
    AirChanges(AirChanges),
    /// A range of speeds.
    Speeds(Span<Speed>),
    /// A width or bore.
    Length(Length),
    /// A mass.
    Mass(Mass),
    /// Force in a section.
    Stress(Stress),
    /// A difference of temperatures.
    Step(TemperatureStep),
}

impl Amount {
    /// The amount as people read it.
    #[must_use]
    pub fn show(self, system: UnitSystem) -> String {
        match self {
            Self::Share(share) => share.show(system).to_string(),
            Self::Shares(Span { low, high }) => say!("{} to {}", low.show(system), high.show(system)),
            Self::Number(number) => significant(number, 4),
            Self::Concentration(dust) => dust.show(system).to_string(),
            Self::Speed(speed) => speed.show(system).to_string(),
            Self::Time(time) => time.show(system).to_string(),
            Self::Pressure(pressure) => pressure.show(system).to_string(),
            Self::Angle(angle) => angle.show(system).to_string(),
            Self::Level(level) => level.show(system).to_string(),
            Self::AirChanges(changes) => changes.show(system).to_string(),
            Self::Speeds(Span { low, high }) => say!("{} to {}", low.show(system), high.show(system)),
            Self::Length(length) => length.show(system).to_string(),
            Self::Mass(mass) => mass.show(system).to_string(),
            Self::Stress(stress) => stress.show(system).to_string(),
            Self::Step(step) => step.show(system).to_string(),
        }
    }
}

macro_rules! amounts {
    ($($kind:ty => $variant:ident),+ $(,)?) => {$(
        impl From<$kind> for Amount {
            fn from(value: $kind) -> Self {
                Self::$variant(value)
            }
        }
    )+};
}
amounts! {
    Fraction => Share,
    Span<Fraction> => Shares,
    f64 => Number,
    Concentration => Concentration,
    Speed => Speed,
    Time => Time,
    GaugePressure => Pressure,
    Angle => Angle,
    SoundLevel => Level,
    AirChanges => AirChanges,
    Span<Speed> => Speeds,
    Length => Length,
    Mass => Mass,
    Stress => Stress,
    TemperatureStep => Step,
}

/// A limit looked up by its id, its type forgotten.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitView<'a> {
    /// Name in files, `rcs_pel`.
    pub id: &'static str,
    /// The limit.
    pub value: Amount,
    /// What it limits, for people.
    pub says: &'a str,
    /// Where it holds.
    pub jurisdiction: &'a str,
    /// Year of the text that was used.
    pub as_of: Option<u16>,
    /// Where the number came from.
    pub source: &'a Source,
}

impl<T: Copy + Into<Amount>> Limit<T> {
    fn view(&self, id: &'static str) -> LimitView<'_> {
        LimitView {
            id,
            value: self.value.into(),
            says: &self.says,
            jurisdiction: &self.jurisdiction,
            as_of: self.as_of,
            source: &self.source,
        }
    }
}

macro_rules! limits {
    ($($(#[$doc:meta])* $id:ident: $kind:ty;)+) => {
        /// Every named limit with its own type, as the rows of `limits.toml`.
        #[derive(Debug, Clone, PartialEq, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[non_exhaustive]
        pub struct Limits {
            $($(#[$doc])* pub $id: Limit<$kind>,)+
        }

        impl Limits {
            /// Every limit, in the order of this type's fields.
            pub fn iter(&self) -> impl Iterator<Item = LimitView<'_>> {
                [$(self.$id.view(stringify!($id))),+].into_iter()
            }
        }
    };
}

limits! {
    /// Share of selectivity times thickness that a resist may be worn to.
    resist_use_share: Fraction;
    /// Carved depth over the blank's thickness above which to watch.
    carve_depth_watch: Fraction;
    /// Carved depth over the blank's thickness above which to stop.
    carve_depth_stop: Fraction;
    /// Least width of an opening, in median grains.
    opening_grains: f64;
    /// Greatest tilt of the jet away from the surface's normal.
    jet_angle: Angle;
    /// Growth of a worn nozzle's air demand at which it is replaced.
    nozzle_wear_demand: Span<Fraction>;
    /// Longest share of the time that a light single-stage compressor runs.
    compressor_duty_light: Fraction;
    /// The same for heavier reciprocating machines.
    compressor_duty_heavy: Span<Fraction>;
    /// Load factor that a handbook recommends for reciprocating compressors.
    compressor_load_factor: Span<Fraction>;
    /// Respirable crystalline silica, permissible exposure.
    rcs_pel: Concentration;
    /// Respirable crystalline silica, action level.
    rcs_action: Concentration;
    /// Respirable crystalline silica, threshold limit value.
    rcs_tlv: Concentration;
    /// Respirable crystalline silica, recommended exposure limit.
    rcs_rel: Concentration;
    /// Respirable crystalline silica, binding limit of the European Union.
    rcs_eu: Concentration;
    /// Crystalline silica in a product from which it must be named on the label.
    silica_label: Fraction;
    /// Lead, permissible exposure.
    lead_pel: Concentration;
    /// Lead, action level.
    lead_action: Concentration;
    /// Beryllium, permissible exposure.
    beryllium_pel: Concentration;
    /// Beryllium, action level.
    beryllium_action: Concentration;
    /// Alumina, all of the dust.
    alumina_total: Concentration;
    /// Alumina, its respirable part.
    alumina_respirable: Concentration;
    /// Aluminium and its insoluble compounds, respirable.
    aluminium_tlv: Concentration;
    /// Silicon carbide, its respirable part.
    silicon_carbide_respirable: Concentration;
    /// Dust that has no limit of its own, all of it.
    nuisance_total: Concentration;
    /// Dust that has no limit of its own, its respirable part.
    nuisance_respirable: Concentration;
    /// Free silica in an abrasive from which it is refused.
    free_silica_abrasive: Fraction;
    /// Inward speed of air at every opening of a cabinet.
    cabinet_face_velocity: Speed;
    /// Air changes of a cabinet.
    cabinet_air_changes: AirChanges;
    /// Air speed that carries blast dust in a duct.
    duct_velocity: Speed;
    /// Mixing factor K of a cabinet's air, 1 for perfect mixing.
    clearing_mixing: f64;
    /// How many times the dust must have fallen before the door opens.
    clearing_reduction: f64;
    /// Shortest wait before the door opens, whatever the formula says.
    clearing_floor: Time;
    /// Noise at which hearing conservation begins, over 8 hours.
    noise_action: SoundLevel;
    /// Noise that may not be exceeded over 8 hours.
    noise_pel: SoundLevel;
    /// Dead-ended pressure of air used for cleaning.
    cleaning_air: GaugePressure;
    /// Carbon monoxide in breathing air, parts in a million.
    breathing_co: f64;
    /// Carbon dioxide in breathing air, parts in a million.
    breathing_co2: f64;
    /// Condensed hydrocarbons in breathing air.
    breathing_oil: Concentration;
    /// Oxygen in breathing air, by volume.
    breathing_oxygen: Span<Fraction>;
    /// How far the dew point of breathing air lies below the lowest temperature that it meets.
    breathing_dew_below: TemperatureStep;
    /// Air speed in a duct for heavy dust.
    duct_velocity_heavy: Speed;
    /// Speed of air through filter cloth: what needs care, what is the most.
    filter_speed: Span<Speed>;
    /// Noise over 8 hours that NIOSH recommends not to exceed.
    noise_rel: SoundLevel;
    /// Level at which nobody is exposed.
    noise_ceiling: SoundLevel;
    /// Level above which two protectors are worn together.
    noise_double: SoundLevel;
    /// How far above a vessel's rated pressure its relief valve lets it rise.
    relief_accumulation: Fraction;
    /// Bore from which couplings are chained.
    hose_chain_bore: Length;
    /// Most that one person lifts.
    lift_one_person: Mass;
    /// Characteristic bending strength of annealed float glass.
    glass_strength: Stress;
    /// Share of it that evenly frosted glass keeps.
    glass_blasted: Fraction;
    /// What the characteristic strength is divided by.
    glass_partial_factor: f64;
    /// How long wind is reckoned to act.
    wind_duration: Time;
    /// How long a person is reckoned to push.
    push_duration: Time;
    /// Share of its strength that glass keeps under a load that lasts.
    glass_lasting: f64;
    /// Sinking over thickness up to which linear plate theory is used.
    plate_linear: Fraction;
    /// Distance of deep carving from the edge, in thicknesses.
    edge_thicknesses: f64;
    /// Strength left to glass that was frosted and then tempered.
    frosted_then_tempered: Fraction;
    /// Strength left to glass that was tempered and then frosted.
    tempered_then_frosted: Fraction;
    /// Strain that vinyl and film take at a gore's edge without folds.
    gore_strain: Fraction;
    /// The same of rubber-type resist.
    gore_strain_stiff: Fraction;
}

impl Limits {
    /// The limit of this id.
    pub(crate) fn find(&self, given: &str) -> Result<LimitView<'_>, Unknown> {
        let id = lookup::as_id(given);
        self.iter().find(|limit| limit.id == id).ok_or_else(|| Unknown::Limit {
            given: given.to_owned(),
            nearest: lookup::nearest(&id, self.iter().map(|limit| limit.id)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;

    #[test]
    fn exposure_limits_are_those_of_the_regulations() {
        let limits = &tables().limits;
        let ug = |limit: &Limit<Concentration>| limit.value.to_ug_per_m3();
        let close = |have: f64, want: f64| assert!((have / want - 1.0).abs() < 1e-9, "{have} is not {want}");
        close(ug(&limits.rcs_pel), 50.0); // 29 CFR 1910.1053(c)
        close(ug(&limits.rcs_action), 25.0); // 29 CFR 1910.1053(b); process-checks.csv SIL-AL
        close(ug(&limits.rcs_tlv), 25.0); // ACGIH; SIL-TLV
        close(ug(&limits.lead_pel), 50.0); // 29 CFR 1910.1025(c)
        close(ug(&limits.lead_action), 30.0); // 29 CFR 1910.1025(b); in PBC-3
        close(ug(&limits.beryllium_pel), 0.2); // 29 CFR 1910.1024; in BE-1
        close(ug(&limits.beryllium_action), 0.1); // 29 CFR 1910.1024; in BE-2
        close(ug(&limits.alumina_total), 15_000.0); // 29 CFR 1910.1000 Table Z-1; NUI-1
        close(ug(&limits.nuisance_respirable), 5_000.0); // 29 CFR 1910.1000 Table Z-3
    }

    #[test]
    fn limits_of_air_and_noise_are_those_of_their_documents() {
        let limits = &tables().limits;
        // UFC 3-410-04N 6-3.2: 500 ft/min; VNT-1.
        assert!((limits.cabinet_face_velocity.value.to_feet_per_minute() - 500.0).abs() < 1e-6);
        // 29 CFR 1910.242(b): 30 psi; PRS-1: 206.843 kPa.
        assert!((limits.cleaning_air.value.to_kpa() - 206.843).abs() < 1e-3);
        // 29 CFR 1910.95: 85 dBA is a dose of 50 %, 90 dBA of 100 %; NOI-D6.
        let dose = |level: SoundLevel| 100.0 * 2f64.powf((level.to_dba() - 90.0) / 5.0);
        assert!((dose(limits.noise_action.value) - 50.0).abs() < 1e-9);
        assert!((dose(limits.noise_pel.value) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn a_limit_looked_up_by_id_is_the_typed_one() {
        let view = tables().limit("rcs_pel").unwrap();
        assert_eq!(view.value, Amount::Concentration(tables().limits.rcs_pel.value));
        assert_eq!(view.value.show(UnitSystem::Metric).replace('\u{202f}', " "), "50.0 µg/m³");
    }

    #[test]
    fn watch_comes_before_stop() {
        let limits = &tables().limits;
        assert!((limits.carve_depth_watch.value.to_ratio() - 1.0 / 3.0).abs() < 1e-12);
        assert!((limits.carve_depth_stop.value.to_ratio() - 0.5).abs() < 1e-12);
        assert!(limits.rcs_action.value < limits.rcs_pel.value && limits.lead_action.value < limits.lead_pel.value);
    }

    /// Taken from pages or memories that gave no year; each needs a look at the text in force.
    const YEAR_NOT_KNOWN: &[&str] = &[
        "compressor_load_factor",
        "rcs_tlv",
        "lead_pel",
        "lead_action",
        "alumina_total",
        "alumina_respirable",
        "silicon_carbide_respirable",
        "cabinet_air_changes",
        "noise_action",
        "noise_pel",
        "cleaning_air",
        "aluminium_tlv",
        "breathing_co",
        "breathing_co2",
        "breathing_oil",
        "breathing_oxygen",
        "breathing_dew_below",
        "duct_velocity_heavy",
        "filter_speed",
        "noise_ceiling",
        "noise_double",
        "relief_accumulation",
        "hose_chain_bore",
        "glass_strength",
        "glass_blasted",
        "glass_partial_factor",
        "wind_duration",
        "push_duration",
        "glass_lasting",
        "plate_linear",
        "frosted_then_tempered",
        "tempered_then_frosted",
    ];

    #[test]
    fn a_limit_of_a_document_has_its_year_or_is_listed_here() {
        for limit in tables().limits.iter() {
            let ours_or_the_trades = matches!(limit.source, Source::CommonPractice | Source::Judgement { .. });
            let listed = YEAR_NOT_KNOWN.contains(&limit.id);
            assert_eq!(limit.as_of.is_none(), ours_or_the_trades || listed, "{}", limit.id);
            assert!(!limit.says.is_empty() && !limit.jurisdiction.is_empty(), "{}", limit.id);
        }
    }
}
