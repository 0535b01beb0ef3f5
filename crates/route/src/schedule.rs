//! The route in time: where the ship is at any instant, what she is doing, and when each sea passage begins and ends.

use jiff::{SignedDuration, Timestamp};
use ocean::{Course, Distance, Leg, Position};
use quantity::Fraction;

use crate::clock::Clock;
use crate::phase::{self, Phase};
use crate::problem::{Fault, Place, Problem};
use crate::route::{MOST_CLOCK_CHANGES, MOST_WAYPOINTS, Route};
use crate::times::{self, Call};
use crate::waypoint::{HIGHEST_LOAD, Lying, Waypoint};

/// A route with all its times.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    calls: Vec<Call>,
    legs: Vec<ScheduledLeg>,
    stretches: Vec<Stretch>,
    sea_passages: Vec<SeaPassage>,
    clock: Clock,
}

/// A leg with its speed and load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScheduledLeg {
    /// The line sailed.
    pub leg: Leg,
    /// Speed over the ground, knots.
    pub speed_kn: f64,
    /// What the ship is doing on it.
    pub phase: Phase,
    /// Engine load as a share of rated; `None` where the route does not say.
    pub load: Option<Fraction>,
    /// Distance run since the first waypoint when the leg begins.
    pub run_before: Distance,
}

/// From full away to the end of the sea passage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeaPassage {
    /// Full away.
    pub full_away: Timestamp,
    /// The end of the sea passage.
    pub end: Timestamp,
    /// The waypoint, counted from 0, where it begins.
    pub from_waypoint: usize,
    /// The waypoint, counted from 0, where it ends.
    pub to_waypoint: usize,
}

/// Where the ship is at an instant, and what she is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Where she is.
    pub position: Position,
    /// What she is doing.
    pub phase: Phase,
    /// The leg she is on, counted from 0; `None` where she lies.
    pub leg: Option<usize>,
    /// Her course; `None` where she lies.
    pub course: Option<Course>,
    /// Speed over the ground, knots; 0 where she lies.
    pub speed_kn: f64,
    /// Engine load as a share of rated; `None` where the route does not say, 0 where she lies.
    pub load: Option<Fraction>,
    /// Distance run since the first waypoint.
    pub run: Distance,
}

impl Moment {
    /// Whether she is under way.
    #[must_use]
    pub const fn is_under_way(&self) -> bool {
        self.phase.is_under_way()
    }
}

/// A time in which she does one thing.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    start: Timestamp,
    end: Timestamp,
    what: Doing,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Doing {
    Lying { waypoint: usize, lying: Lying },
    Sailing { leg: usize },
}

impl Schedule {
    /// Works out the times of a route.
    ///
    /// # Errors
    /// Every [`Problem`] that keeps it from being sailed as written.
    pub(crate) fn new(route: &Route) -> Result<Self, Vec<Problem>> {
        let mut problems = limits(route);
        if !problems.is_empty() {
            return Err(problems);
        }
        let legs: Vec<Leg> = route.legs().collect();
        problems.extend(load_problems(route));
        let times = match times::settle(route, &legs) {
            Ok(times) if problems.is_empty() => times,
            Ok(_) => return Err(problems),
            Err(more) => {
                problems.extend(more);
                return Err(problems);
            }
        };
        let phases = phase::of_legs(&route.waypoints);
        let loads = loads(&route.waypoints, &phases);
        let mut run = Distance::ZERO;
        let mut scheduled = Vec::with_capacity(legs.len());
        for (i, leg) in legs.into_iter().enumerate() {
            let (speed_kn, phase, load) = (times.speeds_kn[i], phases[i], loads[i]);
            scheduled.push(ScheduledLeg { leg, speed_kn, phase, load, run_before: run });
            run = run + leg.length();
        }
        let stretches = stretches(route, &times.calls);
        let sea_passages = sea_passages(&stretches, &phases);
        let by_place = route.waypoints.iter().zip(&times.calls);
        let by_place = by_place.filter_map(|(waypoint, call)| Some((call.arrive, waypoint.zone?)));
        let clock = Clock::new(route.zone, route.clock_changes.iter().copied().chain(by_place));
        Ok(Self { calls: times.calls, legs: scheduled, stretches, sea_passages, clock })
    }

    /// When she comes to each waypoint and when she leaves it.
    #[must_use]
    pub fn calls(&self) -> &[Call] {
        &self.calls
    }

    /// The legs, the first being that from the first waypoint to the second.
    #[must_use]
    pub fn legs(&self) -> &[ScheduledLeg] {
        &self.legs
    }

    /// The ship's clock along the way.
    #[must_use]
    pub const fn clock(&self) -> &Clock {
        &self.clock
    }

    /// The sea passages, in order of time.
    #[must_use]
    pub fn sea_passages(&self) -> &[SeaPassage] {
        &self.sea_passages
    }

    /// The sea passage in which this instant lies: from full away up to, but not including, its end.
    #[must_use]
    pub fn sea_passage_at(&self, at: Timestamp) -> Option<&SeaPassage> {
        let after = self.sea_passages.partition_point(|passage| passage.full_away <= at);
        self.sea_passages.get(after.checked_sub(1)?).filter(|passage| at < passage.end)
    }

    /// When the route begins: her arrival at the first waypoint, which is her departure where she does not lie there.
    #[must_use]
    pub fn start(&self) -> Timestamp {
        self.calls.first().map_or(Timestamp::UNIX_EPOCH, |call| call.arrive)
    }

    /// When she sails from the first waypoint.
    #[must_use]
    pub fn departure(&self) -> Timestamp {
        self.calls.first().map_or(Timestamp::UNIX_EPOCH, |call| call.leave)
    }

    /// When she comes to the last waypoint.
    #[must_use]
    pub fn arrival(&self) -> Timestamp {
        self.calls.last().map_or(Timestamp::UNIX_EPOCH, |call| call.arrive)
    }

    /// The end of what is planned: her arrival, or the end of her stay at the last waypoint.
    #[must_use]
    pub fn end(&self) -> Timestamp {
        self.calls.last().map_or(Timestamp::UNIX_EPOCH, |call| call.leave)
    }

    /// The length of the whole route.
    #[must_use]
    pub fn length(&self) -> Distance {
        self.legs.last().map_or(Distance::ZERO, |last| last.run_before + last.leg.length())
    }

    /// Where she is at an instant. Before the route begins she lies at the first waypoint, after its end at the last.
    #[must_use]
    pub fn at(&self, at: Timestamp) -> Moment {
        let after = self.stretches.partition_point(|stretch| stretch.start <= at);
        let stretch = &self.stretches[after.saturating_sub(1)];
        match stretch.what {
            Doing::Lying { waypoint, lying } => self.lying(waypoint, lying),
            Doing::Sailing { leg } => {
                let scheduled = &self.legs[leg];
                let way = scheduled.leg.length() * share(stretch, at);
                Moment {
                    position: scheduled.leg.point_at(way),
                    phase: scheduled.phase,
                    leg: Some(leg),
                    course: scheduled.leg.course_at(way),
                    speed_kn: scheduled.speed_kn,
                    load: scheduled.load,
                    run: scheduled.run_before + way,
                }
            }
        }
    }

    fn lying(&self, waypoint: usize, lying: Lying) -> Moment {
        let (position, run) = match self.legs.get(waypoint) {
            Some(next) => (next.leg.from(), next.run_before),
            None => (self.legs[waypoint - 1].leg.to(), self.length()),
        };
        Moment {
            position,
            phase: lying.phase(),
            leg: None,
            course: None,
            speed_kn: 0.0,
            load: Some(Fraction::from_ratio(0.0)),
            run,
        }
    }

    /// Where she is at `from` and every so many minutes after it, up to but not including `to`.
    pub fn samples(
        &self,
        from: Timestamp,
        to: Timestamp,
        step_min: u32,
    ) -> impl Iterator<Item = (Timestamp, Moment)> + '_ {
        let step = SignedDuration::from_mins(i64::from(step_min.max(1)));
        std::iter::successors(Some(from), move |at| at.checked_add(step).ok())
            .take_while(move |at| *at < to)
            .map(|at| (at, self.at(at)))
    }
}

/// How much of a stretch has gone at an instant, 0 to 1.
fn share(stretch: &Stretch, at: Timestamp) -> f64 {
    let whole = stretch.end.duration_since(stretch.start).as_secs_f64();
    let gone = at.duration_since(stretch.start).as_secs_f64();
    if whole > 0.0 { (gone / whole).clamp(0.0, 1.0) } else { 0.0 }
}

/// What is too much or too little of before anything is worked out.
fn limits(route: &Route) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut note = |fault| problems.push(Problem::at(Place::Whole, fault));
    match route.waypoints.len() {
        0 => note(Fault::NoWaypoint),
        1 => note(Fault::OneWaypoint),
        count if count > MOST_WAYPOINTS => note(Fault::ManyWaypoints { count }),
        _ => {}
    }
    if route.clock_changes.len() > MOST_CLOCK_CHANGES {
        note(Fault::ManyClockChanges { count: route.clock_changes.len() });
    }
    problems
}

fn load_problems(route: &Route) -> impl Iterator<Item = Problem> + '_ {
    let loads = route.waypoints.iter().enumerate();
    loads.filter_map(|(i, waypoint)| {
        let load = waypoint.load?;
        let is_right = load.si() >= 0.0 && load <= HIGHEST_LOAD;
        (!is_right).then(|| Problem::at(Place::waypoint(route, i), Fault::Load { load }))
    })
}

/// The load on each leg: as given, or as on the leg before where the phase is the same.
fn loads(waypoints: &[Waypoint], phases: &[Phase]) -> Vec<Option<Fraction>> {
    let mut loads = Vec::with_capacity(phases.len());
    let mut held: Option<(Phase, Fraction)> = None;
    for (i, phase) in phases.iter().enumerate() {
        if let Some(load) = waypoints[i + 1].load {
            held = Some((*phase, load));
        }
        loads.push(held.filter(|(on, _)| on == phase).map(|(_, load)| load));
    }
    loads
}

/// Everything she does, one thing after the other; the first and the last are for all time before and after.
fn stretches(route: &Route, calls: &[Call]) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    let last = calls.len().saturating_sub(1);
    for (i, (waypoint, call)) in route.waypoints.iter().zip(calls).enumerate() {
        let mut start = call.arrive;
        for (k, stay) in waypoint.stays.iter().enumerate() {
            let end = match stay.length {
                // She waits in the last place until she leaves.
                Some(length) if k + 1 < waypoint.stays.len() => {
                    start.checked_add(length).unwrap_or(call.leave)
                }
                _ => call.leave,
            };
            out.push(Stretch { start, end, what: Doing::Lying { waypoint: i, lying: stay.lying } });
            start = end;
        }
        let is_edge = i == 0 || i == last;
        if waypoint.stays.is_empty() && (call.leave > call.arrive || is_edge) {
            let lying = if is_edge { Lying::AtBerth } else { Lying::AtAnchor };
            let what = Doing::Lying { waypoint: i, lying };
            out.push(Stretch { start: call.arrive, end: call.leave, what });
        }
        if let Some(next) = calls.get(i + 1) {
            let what = Doing::Sailing { leg: i };
            out.push(Stretch { start: call.leave, end: next.arrive, what });
        }
    }
    out
}

fn sea_passages(stretches: &[Stretch], phases: &[Phase]) -> Vec<SeaPassage> {
    let mut passages: Vec<SeaPassage> = Vec::new();
    for stretch in stretches {
        let Doing::Sailing { leg } = stretch.what else { continue };
        if phases[leg] != Phase::SeaPassage {
            continue;
        }
        match passages.last_mut() {
            Some(last) if last.end == stretch.start && last.to_waypoint == leg => {
                last.end = stretch.end;
                last.to_waypoint = leg + 1;
            }
            _ => passages.push(SeaPassage {
                full_away: stretch.start,
                end: stretch.end,
                from_waypoint: leg,
                to_waypoint: leg + 1,
            }),
        }
    }
    passages
}
