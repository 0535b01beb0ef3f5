//! The rest of a route at other speeds or with other stays, from an instant on; what lies behind stays as it was.

use jiff::{SignedDuration, Timestamp};
use ocean::Distance;
use quantity::Fraction;

use crate::route::Route;
use crate::schedule::{Schedule, ScheduledLeg};
use crate::waypoint::{Lying, Pace, Stay, Waypoint};

/// How a leg is to be sailed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sail {
    /// Speed over the ground, knots.
    pub kn: f64,
    /// Engine load as a share of rated; without one the load of the leg before holds.
    pub load: Option<Fraction>,
}

impl Sail {
    /// As the leg is scheduled.
    #[must_use]
    pub fn as_scheduled(leg: &ScheduledLeg) -> Self {
        Self { kn: leg.speed_kn, load: leg.load }
    }
}

/// Nearer than this to a waypoint she is taken as there.
const THERE: Distance = Distance::from_m(20.0);

impl Route {
    /// This route, whose times are `schedule`, sailed otherwise from an instant on.
    ///
    /// `sail` says how each leg that is not yet behind her is sailed, by its number counted from 0, and `lies` how long
    /// she lies at a waypoint, by its index; `None` leaves a stay as long as it was. The leg she is on is cut where she
    /// is then. An ETA or ETD further on gives way to the speed, or to the length of the stay, it led to.
    #[must_use]
    pub fn resailed(
        &self,
        schedule: &Schedule,
        from: Timestamp,
        sail: impl Fn(usize, &ScheduledLeg) -> Sail,
        lies: impl Fn(usize) -> Option<SignedDuration>,
    ) -> Route {
        let calls = schedule.calls();
        let ahead = calls.iter().position(|call| call.arrive > from).unwrap_or(calls.len()).max(1);
        let mut waypoints: Vec<Waypoint> = Vec::with_capacity(self.waypoints.len() + 1);
        for (i, (waypoint, call)) in self.waypoints.iter().zip(calls).enumerate() {
            let mut changed = waypoint.clone();
            let own = call.leave.duration_since(call.arrive);
            let stay = lies(i).filter(|_| i > 0);
            if i < ahead {
                changed.pace = Some(Pace::Eta(call.arrive));
                if i == 0 || waypoint.lies() {
                    changed.etd = Some(call.leave);
                }
                // She lies there now: another length holds, though not one that is over already.
                if let Some(stay) = stay.filter(|_| call.leave > from)
                    && let Ok(leave) = call.arrive.checked_add(stay)
                {
                    lie(&mut changed, stay);
                    changed.etd = Some(leave.max(from));
                }
            } else if let Some(leg) = schedule.legs().get(i - 1) {
                if i == ahead {
                    waypoints.extend(here(waypoint, leg, schedule, from));
                }
                let Sail { kn, load } = sail(i - 1, leg);
                changed.pace = Some(Pace::Speed { kn });
                changed.load = load;
                match stay {
                    Some(stay) => lie(&mut changed, stay),
                    None if waypoint.etd.is_some() => lie(&mut changed, own),
                    None => {}
                }
            }
            waypoints.push(changed);
        }
        Route { waypoints, ..self.clone() }
    }
}

/// Where she is on the leg to a waypoint, as a waypoint of its own.
fn here(
    to: &Waypoint,
    leg: &ScheduledLeg,
    schedule: &Schedule,
    from: Timestamp,
) -> Option<Waypoint> {
    let moment = schedule.at(from);
    let sailed = moment.run - leg.run_before;
    moment.leg.filter(|_| sailed > THERE && leg.leg.length() - sailed > THERE)?;
    let pace = Some(Pace::Eta(from));
    Some(Waypoint { track: to.track, pace, load: leg.load, ..Waypoint::at(moment.position) })
}

/// Makes her lie so long in all: the last of the stays takes what the others leave, or all where they are longer.
fn lie(waypoint: &mut Waypoint, length: SignedDuration) {
    waypoint.etd = None;
    if length <= SignedDuration::ZERO {
        waypoint.stays.clear();
        return;
    }
    let Some(last) = waypoint.stays.pop() else {
        waypoint.stays = vec![Stay { lying: Lying::AtAnchor, length: Some(length) }];
        return;
    };
    let others = waypoint.stays.iter().filter_map(|stay| stay.length);
    let others = others.fold(SignedDuration::ZERO, SignedDuration::saturating_add);
    let left = length.saturating_sub(others);
    if left <= SignedDuration::ZERO {
        waypoint.stays.clear();
        waypoint.stays.push(Stay { lying: last.lying, length: Some(length) });
    } else {
        waypoint.stays.push(Stay { lying: last.lying, length: Some(left) });
    }
}
