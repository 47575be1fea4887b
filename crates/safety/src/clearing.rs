//! How long the door stays shut after a blast, and the air that a collector must move.

use language::{number, say};
use quantity::{Area, FreeFlow, MassRate, OutOfRange, Time, Volume};
use reference::{Concentration, tables};

/// A box of air that an exhaust clears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clearing {
    volume: Volume,
    exhaust: FreeFlow,
    mixing: f64,
}

/// Why a wait cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ClearingError {
    /// Nothing moves the air.
    #[error("{}", say!("without exhaust the dust does not leave: give the collector's flow at the cabinet"))]
    NoExhaust,
    /// The box has no room.
    #[error("{}", say!("the cabinet has no volume: give its inside volume"))]
    NoVolume,
    /// The mixing factor is outside 1 to 10.
    #[error(
        "{}",
        say!(
            "the mixing factor is {given}; it goes from 1, perfect, to 10, very poor",
            given = number(given.to_string())
        )
    )]
    Mixing {
        /// What was given.
        given: f64,
    },
    /// Dust cannot fall to more than it was.
    #[error(
        "{}",
        say!("the dust is to fall {given}-fold; give a number of 1 or more", given = number(given.to_string()))
    )]
    Reduction {
        /// What was given.
        given: f64,
    },
    /// An answer is outside what its quantity allows.
    #[error("{}", say!("the exhaust is too small for this cabinet: {0}", _0))]
    OutOfRange(#[from] OutOfRange),
}

impl Clearing {
    /// A box of `volume` cleared by `exhaust`, a flow at the state of the room, with the mixing
    /// factor K of the limits' table (3).
    ///
    /// # Errors
    /// [`ClearingError::NoExhaust`] and [`ClearingError::NoVolume`] when one is zero.
    pub fn new(volume: Volume, exhaust: FreeFlow) -> Result<Self, ClearingError> {
        Self::with_mixing(volume, exhaust, tables().limits.clearing_mixing.value)
    }

    /// The same with a mixing factor K of one's own, 1 (perfect) to 10 (very poor).
    ///
    /// # Errors
    /// As [`Clearing::new`], and [`ClearingError::Mixing`] outside 1 to 10.
    pub fn with_mixing(volume: Volume, exhaust: FreeFlow, mixing: f64) -> Result<Self, ClearingError> {
        if exhaust.to_litres_per_second() == 0.0 {
            return Err(ClearingError::NoExhaust);
        }
        if volume.to_litres() == 0.0 {
            return Err(ClearingError::NoVolume);
        }
        // Written so that a NaN is refused too.
        if !(1.0..=10.0).contains(&mixing) {
            return Err(ClearingError::Mixing { given: mixing });
        }
        Ok(Self { volume, exhaust, mixing })
    }

    /// Time in which dust falls to one part in `reduction`.
    ///
    /// `t = K (V/Q) ln(C0/C)`.
    ///
    /// * K: mixing factor. * V: volume. * Q: exhaust. * `reduction`: C0/C, 1 or more.
    ///
    /// Range: no dust is made meanwhile; dust on floors and walls does not count.
    /// Source: MMWR 28 Oct 1994, Table S3-1 (K = 1), K up to 10 in its text.
    /// Checked: 0.60 m³ at 12 m³/min, K 3, 1000-fold is 62.2 s.
    ///
    /// # Errors
    /// [`ClearingError::Reduction`] below 1; [`ClearingError::OutOfRange`] when it takes years.
    pub fn time_to_fall(self, reduction: f64) -> Result<Time, ClearingError> {
        if !(reduction >= 1.0 && reduction.is_finite()) {
            return Err(ClearingError::Reduction { given: reduction });
        }
        Ok(Time::seconds(self.time_constant_s() * reduction.ln())?)
    }

    /// How long the door stays shut after the blast, exhaust running: the time for the reduction of
    /// the limits' table (1000-fold), never under its floor (60 s). A user may lengthen it, never
    /// shorten it. Clear view is not clean air.
    ///
    /// # Errors
    /// [`ClearingError::OutOfRange`] when it takes years.
    pub fn door_wait(self) -> Result<Time, ClearingError> {
        let limits = &tables().limits;
        let formula = self.time_to_fall(limits.clearing_reduction.value)?;
        let floor = limits.clearing_floor.value;
        Ok(if formula > floor { formula } else { floor })
    }

    /// Dust left after a wait: `C = C0 exp(-Q t / (K V))`.
    ///
    /// Source: as [`Clearing::time_to_fall`]. Checked: 50 mg/m³ in 0.6 m³ at 6 m³/min, K 3, is
    /// 1.78 mg/m³ after 60 s.
    #[must_use]
    pub fn after(self, start: Concentration, wait: Time) -> Concentration {
        let share = (-wait.to_seconds() / self.time_constant_s()).exp();
        quantity::Quantity::clamped(start.to_mg_per_m3() * share)
    }

    /// Dust that settles in while it is made at a constant rate: `C = K G / Q`.
    ///
    /// * G: `release`, mass of dust that becomes airborne.
    ///
    /// Source: mass balance, mixing factor as above. Checked: 1 mg/min at 10 m³/min, K 3, is
    /// 0.3 mg/m³.
    ///
    /// # Errors
    /// [`ClearingError::OutOfRange`] above 1 kg/m³.
    pub fn steady(self, release: MassRate) -> Result<Concentration, ClearingError> {
        let mg_per_s = release.to_kg_per_second() * 1e6;
        Ok(Concentration::mg_per_m3(self.mixing * mg_per_s / self.exhaust.to_cubic_metres_per_second())?)
    }

    /// `K V / Q`.
    fn time_constant_s(self) -> f64 {
        self.mixing * self.volume.to_cubic_metres() / self.exhaust.to_cubic_metres_per_second()
    }
}

/// The air that a cabinet's collector must move, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exhaust {
    /// For inward speed at the openings.
    pub face: FreeFlow,
    /// For changes of the cabinet's air.
    pub changes: FreeFlow,
    /// The blast's own air, which comes in under pressure.
    pub blast: FreeFlow,
    /// The larger of the first two, and the blast's air with it.
    pub needed: FreeFlow,
}

impl Exhaust {
    /// What a cabinet's collector must move.
    ///
    /// `Q = max(v A, n V) + q`.
    ///
    /// * `open_area`: A, of all openings that stand open while blasting. * `volume`: V, inside.
    /// * `blast`: q, the nozzle's air expanded to the state of the room. * v: 2.54 m/s. * n: 20 a minute.
    ///
    /// Source: v from UFC 3-410-04N (2004) para 6-3.2, read; n is ACGIH practice, from memory.
    /// Checked: 0.05 m² and 0.60 m³ are 0.127 and 0.200 m³/s.
    ///
    /// # Errors
    /// [`OutOfRange`] above 100 m³/s.
    pub fn of_cabinet(open_area: Area, volume: Volume, blast: FreeFlow) -> Result<Self, OutOfRange> {
        let limits = &tables().limits;
        let inward = limits.cabinet_face_velocity.value.to_metres_per_second();
        let per_second = limits.cabinet_air_changes.value.to_per_minute() / 60.0;
        let face = open_area.to_square_metres() * inward;
        let changes = volume.to_cubic_metres() * per_second;
        let flow = FreeFlow::cubic_metres_per_second;
        let needed = flow(face.max(changes) + blast.to_cubic_metres_per_second())?;
        Ok(Self { face: flow(face)?, changes: flow(changes)?, blast, needed })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn boxed(cubic_metres: f64, per_minute: f64, mixing: f64) -> Clearing {
        let volume = Volume::cubic_metres(cubic_metres).unwrap();
        Clearing::with_mixing(volume, FreeFlow::cubic_metres_per_minute(per_minute).unwrap(), mixing).unwrap()
    }

    #[track_caller]
    fn check(have: f64, want: f64, tolerance: f64) {
        assert!((have / want - 1.0).abs() <= tolerance, "{have} is not {want}");
    }

    #[test]
    fn purge_times_are_those_of_mmwr_1994_table_s3_1() {
        // Changes an hour, share removed, minutes, minutes as printed: rows PRG-6-099 and so on.
        let rows = [
            (6.0, 0.99, 46.0517, 46.0),
            (15.0, 0.99, 18.4207, 18.0),
            (10.0, 0.999, 41.4465, 41.0),
            (50.0, 0.999, 8.289_31, 8.0),
            (1.0, 0.9, 138.155, 138.0),
            (30.0, 0.9, 4.605_17, 5.0),
        ];
        for (changes, removed, want, printed) in rows {
            let minutes = boxed(1.0, changes / 60.0, 1.0).time_to_fall(1.0 / (1.0 - removed)).unwrap().to_minutes();
            check(minutes, want, 1e-4);
            assert_eq!(minutes.round(), printed);
        }
    }

    #[test]
    fn waits_worked_by_hand_agree() {
        check(boxed(0.6, 12.0, 3.0).time_to_fall(1000.0).unwrap().to_seconds(), 62.1698, 1e-3); // PRG-A
        check(boxed(60.0, 10.0, 3.0).time_to_fall(2.0 / 0.05).unwrap().to_minutes(), 66.3998, 1e-3); // PRG-B
        check(boxed(60.0, 10.0, 10.0).time_to_fall(100.0).unwrap().to_hours(), 4.605_17, 1e-3); // PRG-C
        let left = boxed(0.6, 6.0, 3.0).after(Concentration::mg_per_m3(50.0).unwrap(), Time::seconds(60.0).unwrap());
        check(left.to_mg_per_m3(), 1.7837, 1e-3); // PRG-D
        let settled = boxed(0.6, 10.0, 3.0).steady(MassRate::grams_per_minute(1e-3).unwrap()).unwrap();
        check(settled.to_mg_per_m3(), 0.3, 1e-3); // PRG-E
    }

    #[test]
    fn the_door_waits_for_the_formula_and_never_under_a_minute() {
        let volume = Volume::cubic_metres(0.6).unwrap();
        let wait = |per_minute| {
            let exhaust = FreeFlow::cubic_metres_per_minute(per_minute).unwrap();
            Clearing::new(volume, exhaust).unwrap().door_wait().unwrap().to_seconds()
        };
        check(wait(12.0), 62.1698, 1e-3); // PRG-A
        assert_eq!(wait(24.0), 60.0);
    }

    #[test]
    fn a_collector_moves_the_larger_need_and_the_blasts_own_air() {
        let blast = FreeFlow::cubic_metres_per_second(0.010).unwrap();
        let of = |area, volume| {
            let (area, volume) = (Area::square_metres(area).unwrap(), Volume::cubic_metres(volume).unwrap());
            Exhaust::of_cabinet(area, volume, blast).unwrap()
        };
        let cabinet = of(0.05, 0.6);
        check(cabinet.face.to_cubic_metres_per_second(), 0.127, 1e-3); // VNT-3
        check(cabinet.changes.to_cubic_metres_per_second(), 0.2, 1e-3); // VNT-4
        check(cabinet.changes.to_cfm(), 423.776, 1e-3); // VNT-5
        check(cabinet.needed.to_cubic_metres_per_second(), 0.21, 1e-9);
        check(of(0.05, 0.3).needed.to_cubic_metres_per_second(), 0.137, 1e-9);
    }

    #[test]
    fn what_cannot_be_computed_is_refused_with_its_mend() {
        let (volume, exhaust) = (Volume::litres(600.0).unwrap(), FreeFlow::litres_per_minute(12_000.0).unwrap());
        let still = FreeFlow::litres_per_minute(0.0).unwrap();
        assert_eq!(Clearing::new(volume, still), Err(ClearingError::NoExhaust));
        assert_eq!(Clearing::new(Volume::litres(0.0).unwrap(), exhaust), Err(ClearingError::NoVolume));
        for mixing in [0.5, 11.0, f64::NAN] {
            assert!(matches!(Clearing::with_mixing(volume, exhaust, mixing), Err(ClearingError::Mixing { .. })));
        }
        for reduction in [0.9, f64::NAN, f64::INFINITY] {
            let fault = boxed(0.6, 12.0, 3.0).time_to_fall(reduction);
            assert!(matches!(fault, Err(ClearingError::Reduction { .. })));
        }
        let trickle = Clearing::new(volume, FreeFlow::litres_per_minute(1e-6).unwrap()).unwrap();
        assert!(matches!(trickle.door_wait(), Err(ClearingError::OutOfRange(_))));
    }

    proptest! {
        #[test]
        fn waiting_the_computed_time_leaves_the_computed_share(
            volume in 0.05..100.0, flow in 0.1..50.0, mixing in 1.0..10.0, reduction in 1.0..1e5,
        ) {
            let clearing = boxed(volume, flow, mixing);
            let left = clearing.after(Concentration::mg_per_m3(1000.0).unwrap(), clearing.time_to_fall(reduction).unwrap());
            prop_assert!((left.to_mg_per_m3() * reduction / 1000.0 - 1.0).abs() < 1e-9);
        }

        #[test]
        fn more_exhaust_never_lengthens_the_wait(a in 0.1..50.0, b in 0.1..50.0) {
            let wait = |flow: f64| boxed(0.6, flow, 3.0).door_wait().unwrap();
            prop_assert!(wait(f64::max(a, b)) <= wait(f64::min(a, b)));
        }
    }
}
