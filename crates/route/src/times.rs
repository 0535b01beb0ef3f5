//! The times of every waypoint: from the departure onwards, by leg speeds, by ETAs, or both mixed.

use jiff::{SignedDuration, Timestamp};
use ocean::{Distance, Leg};

use crate::problem::{Fault, Place, Problem};
use crate::route::Route;
use crate::waypoint::{FASTEST_KN, LONGEST_STAY_DAYS, Pace, Waypoint};

/// When she comes to a waypoint and when she leaves it; the same instant where she passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Call {
    /// She arrives.
    pub arrive: Timestamp,
    /// She leaves; on the last waypoint the end of what is planned.
    pub leave: Timestamp,
}

/// Calls at all waypoints, and the speed of each leg, knots.
pub(crate) struct Times {
    pub calls: Vec<Call>,
    pub speeds_kn: Vec<f64>,
}

/// Two waypoints nearer than this are the same place.
const SAME_PLACE: Distance = Distance::from_m(1.0);

const S_PER_DAY: f64 = 86_400.0;

/// Works out all times, or says everything that stands in the way.
pub(crate) fn settle(route: &Route, legs: &[Leg]) -> Result<Times, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut note = |i: usize, fault| problems.push(Problem::at(Place::waypoint(route, i), fault));
    for (i, waypoint) in route.waypoints.iter().enumerate() {
        for fault in stay_faults(waypoint, i + 1 == route.waypoints.len()) {
            note(i, fault);
        }
    }
    for (i, leg) in legs.iter().enumerate() {
        if leg.length() < SAME_PLACE {
            note(i + 1, Fault::SamePlace { position: leg.to() });
        }
    }
    let Some(first) = route.waypoints.first() else {
        return Err(vec![Problem::at(Place::Whole, Fault::NoWaypoint)]);
    };
    let out: Vec<(usize, Fault)> = out_of_order(route).chain(speeds_beyond(route)).collect();
    let is_out = !out.is_empty();
    out.into_iter().for_each(|(i, fault)| note(i, fault));
    let departure = match first_call(first) {
        Ok(call) => call,
        Err(fault) => {
            note(0, fault);
            return Err(problems);
        }
    };
    if is_out {
        return Err(problems);
    }
    let mut calls = vec![departure];
    let mut speeds_kn: Vec<f64> = Vec::with_capacity(legs.len());
    let mut held = match first.pace {
        Some(Pace::Speed { kn }) => Some(kn),
        _ => None,
    };
    let mut left = departure.leave;
    // What is known of the ETAs further on, up to which waypoint: the speed that one asks for, or that there is none.
    let mut ahead = (0, None);
    for (i, leg) in legs.iter().enumerate() {
        let to = i + 1;
        let pace = route.waypoints[to].pace;
        if to > ahead.0 && !matches!(pace, Some(Pace::Speed { .. })) {
            ahead = match eta_ahead(route, legs, to, left, departure.leave) {
                Ok(ahead) => ahead,
                Err((at, fault)) => {
                    note(at, fault);
                    return Err(problems);
                }
            };
        }
        let own = match pace {
            Some(Pace::Speed { kn }) => Some(kn),
            _ => ahead.1.filter(|_| to <= ahead.0),
        };
        let Some(kn) = own.or(held) else {
            note(to, Fault::NoSpeed);
            return Err(problems);
        };
        if !(kn > 0.0 && kn <= FASTEST_KN) {
            note(to, Fault::Speed { kn });
            return Err(problems);
        }
        held = Some(kn);
        speeds_kn.push(kn);
        let arrive = match pace {
            Some(Pace::Eta(eta)) => Some(eta),
            _ => after_s(left, leg.length().nmi() / kn * 3600.0),
        };
        let call = arrive.ok_or(Fault::TooLong).and_then(|arrive| {
            let leave = leave(&route.waypoints[to], arrive)?;
            Ok(Call { arrive, leave })
        });
        match call {
            Ok(call) => {
                left = call.leave;
                calls.push(call);
            }
            Err(fault) => {
                note(to, fault);
                return Err(problems);
            }
        }
    }
    if problems.is_empty() { Ok(Times { calls, speeds_kn }) } else { Err(problems) }
}

/// Speeds that no ship sails at.
fn speeds_beyond(route: &Route) -> impl Iterator<Item = (usize, Fault)> + '_ {
    let paces = route.waypoints.iter().map(|waypoint| waypoint.pace).enumerate();
    paces.filter_map(|(i, pace)| match pace {
        Some(Pace::Speed { kn }) if !(kn > 0.0 && kn <= FASTEST_KN) => {
            Some((i, Fault::Speed { kn }))
        }
        _ => None,
    })
}

/// ETAs that are not later than the departure, or than the latest ETA of the waypoints before and the stay there.
fn out_of_order(route: &Route) -> impl Iterator<Item = (usize, Fault)> + '_ {
    let departure = route.waypoints.first().and_then(|first| first.etd);
    let mut latest = departure;
    let legs = route.waypoints.iter().enumerate().skip(1);
    legs.filter_map(move |(i, waypoint)| {
        let Some(Pace::Eta(eta)) = waypoint.pace else { return None };
        let fault = match (departure, latest) {
            (Some(departure), _) if eta <= departure => {
                return Some((i, Fault::EtaBeforeDeparture { eta, departure }));
            }
            (_, Some(earliest)) if eta <= earliest => Fault::EtaOutOfOrder { eta, earliest },
            _ => {
                latest = eta.checked_add(stayed(waypoint)).ok();
                return None;
            }
        };
        Some((i, fault))
    })
}

/// When she comes to the first waypoint and sails from it.
fn first_call(first: &Waypoint) -> Result<Call, Fault> {
    let eta = match first.pace {
        Some(Pace::Eta(eta)) => Some(eta),
        _ => None,
    };
    match (eta, first.etd) {
        (None, None) => Err(Fault::NoDeparture),
        (Some(arrive), _) => Ok(Call { arrive, leave: leave(first, arrive)? }),
        (None, Some(etd)) => {
            let arrive = etd.checked_sub(stayed(first)).map_err(|_| Fault::TooLong)?;
            Ok(Call { arrive, leave: etd })
        }
    }
}

/// All the stays at a waypoint whose length is given.
fn stayed(waypoint: &Waypoint) -> SignedDuration {
    let lengths = waypoint.stays.iter().filter_map(|stay| stay.length);
    lengths.fold(SignedDuration::ZERO, SignedDuration::saturating_add)
}

/// When she leaves a waypoint she came to then.
fn leave(waypoint: &Waypoint, arrive: Timestamp) -> Result<Timestamp, Fault> {
    let ready = arrive.checked_add(stayed(waypoint)).map_err(|_| Fault::TooLong)?;
    match waypoint.etd {
        Some(etd) if etd < ready => Err(Fault::LeavesTooEarly { etd, ready }),
        Some(etd) if days(etd.duration_since(arrive)) > LONGEST_STAY_DAYS => {
            Err(Fault::Stay { days: days(etd.duration_since(arrive)) })
        }
        Some(etd) => Ok(etd),
        None => Ok(ready),
    }
}

fn days(length: SignedDuration) -> f64 {
    length.as_secs_f64() / S_PER_DAY
}

/// To the millisecond, so that figures that are written back read the same.
fn after_s(from: Timestamp, seconds: f64) -> Option<Timestamp> {
    let way = SignedDuration::try_from_secs_f64((seconds * 1000.0).round() / 1000.0).ok()?;
    from.checked_add(way).ok()
}

/// Looks ahead from the leg to `to`: up to which waypoint its speed hangs together, and the speed that an ETA there asks for.
fn eta_ahead(
    route: &Route,
    legs: &[Leg],
    to: usize,
    left: Timestamp,
    departure: Timestamp,
) -> Result<(usize, Option<f64>), (usize, Fault)> {
    let mut way = Distance::ZERO;
    let mut lain = SignedDuration::ZERO;
    for (at, (waypoint, leg)) in route.waypoints[1..].iter().zip(legs).enumerate().skip(to - 1) {
        let at = at + 1;
        way = way + leg.length();
        match waypoint.pace {
            Some(Pace::Speed { .. }) => return Ok((at - 1, None)),
            Some(Pace::Eta(eta)) => {
                let time = eta.duration_since(left).saturating_sub(lain);
                if eta <= departure {
                    return Err((at, Fault::EtaBeforeDeparture { eta, departure }));
                }
                if time <= SignedDuration::ZERO {
                    let earliest = left.checked_add(lain).unwrap_or(left);
                    return Err((at, Fault::EtaOutOfOrder { eta, earliest }));
                }
                let hours = time.as_secs_f64() / 3600.0;
                let kn = way.nmi() / hours;
                return if kn > FASTEST_KN {
                    Err((at, Fault::EtaNeeds { kn, way, hours }))
                } else {
                    Ok((at, Some(kn)))
                };
            }
            // Her departure from there is fixed, whatever comes after.
            None if waypoint.etd.is_some() => return Ok((at, None)),
            None => lain = lain.saturating_add(stayed(waypoint)),
        }
    }
    Ok((legs.len(), None))
}

/// What is wrong with the stays at one waypoint by themselves.
fn stay_faults(waypoint: &Waypoint, is_last: bool) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (i, stay) in waypoint.stays.iter().enumerate() {
        match stay.length.map(days) {
            Some(days) if !(0.0..=LONGEST_STAY_DAYS).contains(&days) => {
                faults.push(Fault::Stay { days });
            }
            Some(_) => {}
            // The last of them may run until she leaves.
            None if i + 1 == waypoint.stays.len() && (is_last || waypoint.etd.is_some()) => {}
            None => faults.push(Fault::OpenStay { lying: stay.lying }),
        }
    }
    faults
}
