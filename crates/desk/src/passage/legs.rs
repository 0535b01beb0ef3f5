//! The legs of a passage that are still to be sailed, with what may be changed of them.

use jiff::Timestamp;
use jiff::tz::Offset;
use ocean::Position;
use passage::timeline::{Timeline, Waters};
use route::{Pace, Phase, Route, Schedule};

use super::changes::fits;
use super::events::Events;

/// A leg as it is planned.
#[derive(Debug, Clone, PartialEq)]
pub struct LegLine {
    /// The waypoint it leads to, counted from 1.
    pub to: usize,
    /// That waypoint's name; empty where it has none.
    pub name: String,
    /// Where it is.
    pub position: Position,
    /// What is still to be sailed of it, nmi.
    pub nmi: f64,
    /// Speed over the ground, kn.
    pub kn: f64,
    /// Engine load planned with, percent of rated, on what is still to be sailed of it.
    pub load_percent: Option<f64>,
    /// Mean temperature of the sea on what is still to be sailed of it, °C.
    pub sea_temp_c: Option<f64>,
    /// She arrives then.
    pub arrives: Timestamp,
    /// The ship's zone then.
    pub zone: Offset,
    /// She leaves then; as she arrives where she only passes.
    pub leaves: Timestamp,
    /// The ship's zone then.
    pub leaves_zone: Offset,
    /// How long she lies at its end, hours.
    pub stop_h: f64,
    /// Speed, sea temperature and stop as told in place of the route's and the climatology's.
    pub told: (Option<f64>, Option<f64>, Option<f64>),
}

/// So far from the coast a waypoint of a sea passage is on land and not in a harbour of it, nmi.
const INLAND_NMI: f64 = 2.0;

/// Waypoints of the sea passage that lie on land, each in a sentence.
pub(super) fn inland(route: &Route, schedule: &Schedule, waters: &dyn Waters) -> Vec<String> {
    let at_sea = |leg: Option<usize>| {
        leg.and_then(|i| schedule.legs().get(i)).is_some_and(|leg| leg.phase == Phase::SeaPassage)
    };
    let waypoints = route.waypoints.iter().zip(schedule.calls()).enumerate();
    let wrong = waypoints.filter_map(|(i, (waypoint, call))| {
        let date = schedule.clock().local(call.arrive).date();
        let sea = waters.at(waypoint.position, date);
        let off = sea.coast_off.nmi();
        let is_wrong = sea.land && off >= INLAND_NMI && (at_sea(Some(i)) || at_sea(i.checked_sub(1)));
        let name = match waypoint.name.as_str() {
            "" => String::new(),
            name => format!(" ({name})"),
        };
        is_wrong.then(|| {
            format!(
                "Waypoint {}{name}: its position {} lies on land, {off:.0} nmi from the coast. Correct it in the route: look at N and S, E and W, and at degrees and minutes.",
                i + 1,
                waypoint.position
            )
        })
    });
    wrong.collect()
}

/// An ETA may ask for so much more than the fastest speed that is written before it is asked about: what 110 % of an engine at
/// 85 % make of its speed by the third power (propeller law, common practice).
const HURRIED: f64 = 1.09;

/// Where no speed is written an ETA that asks for more than this is asked about, kn (ours).
const UNUSUAL_KN: f64 = 20.0;

/// Legs of the sea passage whose ETA asks for much more speed than any written one, each in a sentence.
pub(super) fn hurried(route: &Route, schedule: &Schedule) -> Vec<String> {
    let legs = schedule.legs().iter().zip(route.waypoints.iter().skip(1)).enumerate();
    let at_sea = legs.filter(|(_, (leg, _))| leg.phase == Phase::SeaPassage);
    let (timed, written): (Vec<_>, Vec<_>) =
        at_sea.partition(|(_, (_, to))| matches!(to.pace, Some(Pace::Eta(_))));
    // Legs without a speed of their own before an ETA are sailed at what it asks: they are no measure of it.
    let own = written.iter().filter(|(_, (_, to))| to.pace.is_some());
    let fastest_kn = own.map(|(_, (leg, _))| leg.speed_kn).fold(0.0, f64::max);
    let most_kn = if fastest_kn > 0.0 { HURRIED * fastest_kn } else { UNUSUAL_KN };
    let hurried =
        timed.into_iter().filter(|(_, (leg, to))| to.load.is_none() && leg.speed_kn > most_kn);
    let beside = if fastest_kn > 0.0 {
        format!("the fastest speed written on this route is {fastest_kn:.1}")
    } else {
        "few cargo ships make that".to_owned()
    };
    let told = hurried.map(|(i, (leg, to))| {
        let name = match to.name.as_str() {
            "" => String::new(),
            name => format!(" ({name})"),
        };
        format!(
            "Waypoint {}{name}: its ETA asks for {:.1} kn, {beside}. Mend the ETA, or write the leg’s load behind it: it is planned with the usual load at sea.",
            i + 2,
            leg.speed_kn
        )
    });
    told.collect()
}

/// The legs that the timeline reaches into, in order.
pub(super) fn lines(
    route: &Route,
    schedule: &Schedule,
    line: &Timeline,
    events: &Events,
) -> Vec<LegLine> {
    let from = line.samples.first().map(|sample| sample.at);
    let run_nmi = line.samples.first().map_or(0.0, |sample| sample.moment.run.nmi());
    let legs = schedule.legs().iter().zip(schedule.calls().iter().skip(1)).enumerate();
    let legs = legs.zip(route.waypoints.iter().skip(1));
    let ahead = legs.filter(|((_, (_, call)), _)| from.is_none_or(|from| call.leave > from));
    ahead
        .map(|((i, (leg, call)), waypoint)| {
            let to = i + 2;
            let on = || line.samples.iter().filter(|sample| sample.moment.leg == Some(i));
            let mean = |of: &dyn Fn(&passage::timeline::Sample) -> f64| {
                let count = on().count();
                (count > 0).then(|| on().map(of).sum::<f64>() / count as f64)
            };
            let change = events
                .legs
                .iter()
                .find(|change| change.to == to && fits(route, to, change.position));
            let stop =
                events.stops.iter().find(|stop| stop.at == to && fits(route, to, stop.position));
            LegLine {
                to,
                name: waypoint.name.clone(),
                position: waypoint.position,
                nmi: (leg.run_before.nmi() + leg.leg.length().nmi() - run_nmi)
                    .clamp(0.0, leg.leg.length().nmi()),
                kn: leg.speed_kn,
                load_percent: mean(&|sample| 100.0 * sample.load),
                sea_temp_c: mean(&|sample| sample.sea.temp_c),
                arrives: call.arrive,
                zone: schedule.clock().zone(call.arrive),
                leaves: call.leave,
                leaves_zone: schedule.clock().zone(call.leave),
                stop_h: call.leave.duration_since(call.arrive).as_secs_f64() / 3600.0,
                told: (
                    change.and_then(|change| change.kn),
                    change.and_then(|change| change.sea_temp_c),
                    stop.map(|stop| stop.hours),
                ),
            }
        })
        .collect()
}
