//! What a route leaves to be taken: full away and end of passage not marked, stays without a word, positions changed over.

use ocean::{Distance, Leg, Position, Track};

use crate::phase::{self, Phase};
use crate::problem::{Fault, Place, Problem};
use crate::route::Route;
use crate::schedule::Schedule;
use crate::waypoint::Mark;

/// A tenth of a knot over a leg's most is the rounding of its times.
const ROUNDING_KN: f64 = 0.1;

/// Legs must shrink to this share for a position to be suspected of being changed over.
const SHRINKS_TO: f64 = 1.0 / 3.0;

/// And by at least so much.
const SHRINKS_BY: Distance = Distance::from_nmi(600.0);

impl Route {
    /// What is taken because nobody has said it; the schedule stands on it.
    #[must_use]
    pub fn notes(&self) -> Vec<Problem> {
        let mut notes = Vec::new();
        let mut note = |i: usize, fault| notes.push(Problem::at(Place::waypoint(self, i), fault));
        let phases = phase::of_legs(&self.waypoints);
        for (i, phase) in phases.iter().enumerate() {
            let is_sea = *phase == Phase::SeaPassage;
            let was_sea = i > 0 && phases[i - 1] == Phase::SeaPassage && !self.waypoints[i].lies();
            if is_sea && !was_sea && self.waypoints[i].mark != Some(Mark::FullAway) {
                note(i, Fault::FullAwayTaken);
            }
            let to = &self.waypoints[i + 1];
            let goes_on = !to.lies() && phases.get(i + 1).is_some();
            if is_sea && !goes_on && to.mark != Some(Mark::EndOfPassage) {
                note(i + 1, Fault::EndOfPassageTaken);
            }
        }
        let Ok(schedule) = self.schedule() else { return notes };
        let calls = schedule.calls();
        let last = self.waypoints.len().saturating_sub(1);
        for (i, call) in calls.iter().enumerate().take(last).skip(1) {
            let lain = call.leave.duration_since(call.arrive);
            if self.waypoints[i].stays.is_empty() && !lain.is_zero() {
                note(i, Fault::LyingTaken { hours: lain.as_secs_f64() / 3600.0 });
            }
        }
        notes.extend(self.too_fast(&schedule));
        notes
    }

    /// Legs that are sailed faster than the most that was written for them.
    #[must_use]
    pub fn too_fast(&self, schedule: &Schedule) -> Vec<Problem> {
        let legs = schedule.legs().iter().zip(self.waypoints.iter().skip(1)).enumerate();
        let over = legs.filter_map(|(i, (leg, to))| {
            let most_kn = to.most_kn.filter(|most| leg.speed_kn > most + ROUNDING_KN)?;
            let fault = Fault::OverLegLimit { kn: leg.speed_kn, most_kn };
            Some(Problem::at(Place::waypoint(self, i + 1), fault))
        });
        over.collect()
    }

    /// Waypoints that would lie far nearer the track with latitude and longitude changed over; of neighbours that one for which
    /// it makes the most.
    #[must_use]
    pub fn suspects(&self) -> Vec<Problem> {
        let gains: Vec<Option<Changed>> =
            (0..self.waypoints.len()).map(|i| self.changed(i)).collect();
        let gain = |i: usize| gains.get(i)?.as_ref().map(|changed| changed.gain);
        let mut suspects = Vec::new();
        for (i, changed) in gains.iter().enumerate() {
            let Some(changed) = changed else { continue };
            let beside = [i.checked_sub(1).and_then(gain), gain(i + 1)];
            if beside.into_iter().flatten().all(|beside| changed.gain > beside) {
                suspects.push(Problem::at(Place::waypoint(self, i), changed.fault.clone()));
            }
        }
        suspects
    }

    /// What changing over latitude and longitude of one waypoint would make, if it is enough for a suspicion.
    fn changed(&self, i: usize) -> Option<Changed> {
        let position = self.waypoints[i].position;
        let swapped = Position::from_degrees(position.lon_deg(), position.lat_deg()).ok()?;
        let neighbours = [i.checked_sub(1), i.checked_add(1)];
        let neighbours = neighbours.into_iter().flatten().filter_map(|k| self.waypoints.get(k));
        let (mut as_read, mut if_swapped) = (Distance::ZERO, Distance::ZERO);
        for neighbour in neighbours {
            let way = |from| Leg::new(from, neighbour.position, Track::GreatCircle).length();
            as_read = as_read + way(position);
            if_swapped = if_swapped + way(swapped);
        }
        let gain = as_read - if_swapped;
        let is_enough = if_swapped < as_read * SHRINKS_TO && gain > SHRINKS_BY;
        let fault = Fault::Swapped { position, swapped, as_read, if_swapped };
        is_enough.then_some(Changed { gain, fault })
    }
}

/// A waypoint that may have been changed over.
struct Changed {
    /// How much shorter its legs would be.
    gain: Distance,
    fault: Fault,
}
