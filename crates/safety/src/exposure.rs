//! A planned shift's exposure: measured levels over planned times, against the limits of what the dust holds.
//!
//! Nothing here predicts a level: exposure can only be measured. What was not measured is not known.

use crate::dust::{Agent, Dust, DustError, eight_hour_average, lead_limit};
use piece::Shift;
use quantity::{Quantity as _, Time};
use reference::Concentration;

/// A shift as planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day<'a> {
    /// What was measured, and how long the shift is.
    pub shift: &'a Shift,
    /// How long the nozzle is open in it; the shift's own when it says so.
    pub blasting: Time,
}

/// Exposure to one agent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposed {
    /// Average over 8 h, at the highest share of the agent in the dust.
    pub average: Concentration,
    /// The most for this shift.
    pub limit: Concentration,
    /// Where an employer's duties begin; the limit where there is no such level.
    pub action: Concentration,
}

impl<'a> Day<'a> {
    /// A shift in which pieces are made: as many as fit, each with its own time at the nozzle.
    #[must_use]
    pub fn of_pieces(shift: &'a Shift, nozzle_open: Time, making: Time, quantity: u32) -> Self {
        let fitting = (shift.length.to_seconds() / making.to_seconds().max(1.0)).floor().max(1.0);
        let pieces = fitting.min(f64::from(quantity));
        let planned = Time::clamped((pieces * nozzle_open.to_seconds()).min(shift.length.to_seconds()));
        Self { shift, blasting: shift.blasting.unwrap_or(planned) }
    }

    fn door(&self) -> Time {
        self.shift.door.unwrap_or(Time::clamped(0.0))
    }

    /// The shift without blasting and without standing at the door.
    fn rest(&self) -> Time {
        let busy = self.blasting.to_seconds() + self.door().to_seconds();
        Time::clamped((self.shift.length.to_seconds() - busy).max(0.0))
    }

    /// Respirable dust over 8 h; `None` when a part of it was not measured.
    ///
    /// # Errors
    /// [`DustError`] when the average is beyond what air can carry.
    pub fn respirable(&self) -> Result<Option<Concentration>, DustError> {
        let Some(blasting) = self.shift.dust_blasting else { return Ok(None) };
        let mut spans = vec![(blasting, self.blasting)];
        match (self.door().to_seconds() > 0.0, self.shift.dust_door) {
            (true, None) => return Ok(None),
            (true, Some(dust)) => spans.push((dust, self.door())),
            (false, _) => {}
        }
        spans.extend(self.shift.dust_else.map(|dust| (dust, self.rest())));
        eight_hour_average(&spans).map(Some)
    }

    /// Exposure to the agent of a dust, as if all that was measured were that dust.
    ///
    /// `None` when it was not measured, or when the agent's share is not known.
    ///
    /// # Errors
    /// [`DustError`] when the average is beyond what air can carry.
    pub fn exposed(&self, dust: &Dust) -> Result<Option<Exposed>, DustError> {
        let (Some(respirable), Some(share)) = (self.respirable()?, dust.share) else { return Ok(None) };
        let limit = match dust.agent {
            Agent::Lead => lead_limit(self.shift.length),
            _ => dust.limit.value,
        };
        let average = Concentration::clamped(respirable.to_mg_per_m3() * share.high.to_ratio());
        Ok(Some(Exposed { average, limit, action: dust.action.map_or(limit, |action| action.value) }))
    }

    /// How long the nozzle may be open so that the average comes to `level`, the rest of the shift as it is.
    ///
    /// `None` when that is not known, or when no time is left.
    #[must_use]
    pub fn blasting_for(&self, dust: &Dust, level: Concentration) -> Option<Time> {
        let share = dust.share?.high.to_ratio();
        let blasting = self.shift.dust_blasting?.to_mg_per_m3() * share;
        let elsewhere = self.shift.dust_else.map_or(0.0, |dust| dust.to_mg_per_m3() * share);
        let door = self.shift.dust_door.map_or(0.0, |dust| dust.to_mg_per_m3() * share);
        let day = 8.0 * 3600.0 * level.to_mg_per_m3();
        let open = self.shift.length.to_seconds() - self.door().to_seconds();
        let seconds = (day - door * self.door().to_seconds() - elsewhere * open) / (blasting - elsewhere);
        // A minute is the least that anybody would plan with.
        (blasting > elsewhere && seconds >= 60.0).then(|| Time::clamped((seconds / 60.0).floor() * 60.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dust::{Origin, freed};
    use reference::tables;

    fn ug(value: f64) -> Option<Concentration> {
        Concentration::ug_per_m3(value).ok()
    }

    fn hours(value: f64) -> Time {
        Time::hours(value).unwrap()
    }

    fn granite() -> Dust {
        let t = tables();
        let dusts = freed(t.material("granite").unwrap(), t.abrasive("white_alumina").unwrap());
        *dusts.iter().find(|dust| dust.origin == Origin::Blank).unwrap()
    }

    #[test]
    fn a_shift_is_averaged_as_the_worked_example_is() {
        // TWA-4: 1500 µg/m³ for 20 min at the door, 3 for the rest, is 65.4 µg/m³.
        let shift = Shift {
            dust_blasting: ug(3.0),
            dust_door: ug(1500.0),
            door: Some(Time::minutes(20.0).unwrap()),
            dust_else: ug(3.0),
            ..Shift::default()
        };
        let average = Day { shift: &shift, blasting: hours(2.0) }.respirable().unwrap().unwrap();
        assert!((average.to_ug_per_m3() / 65.375 - 1.0).abs() < 1e-9);
        let unmeasured = Shift { dust_door: None, ..shift };
        assert_eq!(Day { shift: &unmeasured, blasting: hours(2.0) }.respirable(), Ok(None));
    }

    #[test]
    fn as_many_pieces_as_fit_are_made_in_a_shift() {
        let shift = Shift::default();
        let blasting = |quantity| Day::of_pieces(&shift, hours(0.5), hours(2.0), quantity).blasting.to_hours();
        assert_eq!([blasting(1), blasting(4), blasting(100)], [0.5, 2.0, 2.0]);
        let told = Shift { blasting: Some(hours(3.0)), ..Shift::default() };
        assert_eq!(Day::of_pieces(&told, hours(0.5), hours(2.0), 1).blasting, hours(3.0));
    }

    #[test]
    fn the_time_worked_out_brings_the_average_to_the_level() {
        let shift = Shift { dust_blasting: ug(600.0), dust_else: ug(10.0), ..Shift::default() };
        let day = Day { shift: &shift, blasting: hours(4.0) };
        let exposed = day.exposed(&granite()).unwrap().unwrap();
        assert!(exposed.average > exposed.limit, "{exposed:?}");
        let blasting = day.blasting_for(&granite(), exposed.action).unwrap();
        let there = Day { shift: &shift, blasting }.exposed(&granite()).unwrap().unwrap();
        assert!(there.average <= exposed.action);
        assert!(there.average.to_ug_per_m3() > 0.98 * exposed.action.to_ug_per_m3(), "to the minute");
    }
}
