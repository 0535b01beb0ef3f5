//! The times in a route exchange file: its first schedule, what was entered by hand before what was worked out.

use std::collections::HashMap;

use jiff::Timestamp;
use roxmltree::Node;

use super::read::Told;
use super::{children, length};
use crate::problem::{Fault, Place, Problem};
use crate::route::{MOST_WAYPOINTS, Route};
use crate::waypoint::{Lying, Pace, Stay, Waypoint};
use crate::when::read_instant;
use crate::words;

/// Takes the times of the first schedule into the route.
pub(super) fn take(root: Node<'_, '_>, route: &mut Route, told: &[Told]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let all = children(root, "schedules").flat_map(|schedules| children(schedules, "schedule"));
    let all: Vec<Node<'_, '_>> = all.collect();
    let Some(schedule) = all.first() else { return problems };
    if all.len() > 1 {
        let taken = words::tidy(schedule.attribute("name").unwrap_or_default());
        let fault = Fault::Schedules { count: all.len(), taken };
        problems.push(Problem::at(Place::Whole, fault));
    }
    let index: HashMap<&str, usize> =
        told.iter().enumerate().filter_map(|(i, told)| Some((told.id.as_deref()?, i))).collect();
    let manual = elements(*schedule, "manual");
    let calculated = elements(*schedule, "calculated");
    let says = |element: &Node<'_, '_>| {
        ["eta", "etd", "speed", "stay"].iter().any(|name| element.has_attribute(*name))
    };
    let taken = if manual.iter().any(says) { &manual } else { &calculated };
    for element in taken.iter().take(MOST_WAYPOINTS) {
        let id = words::tidy(element.attribute("waypointId").unwrap_or_default());
        let mut note = |fault| problems.push(Problem::at(Place::Id(id.clone()), fault));
        let Some(i) = index.get(id.as_str()) else {
            note(Fault::NoSuchWaypoint);
            continue;
        };
        let faults = take_element(*element, &mut route.waypoints[*i], *i == 0, told[*i].is_ours);
        faults.into_iter().for_each(note);
    }
    // Worked out from a departure that the entries by hand leave out.
    let first = route.waypoints.first_mut().zip(told.first().and_then(|told| told.id.as_deref()));
    if let Some((first, id)) = first
        && first.etd.is_none()
        && !matches!(first.pace, Some(Pace::Eta(_)))
    {
        let of_first =
            calculated.iter().find(|element| element.attribute("waypointId") == Some(id));
        first.etd = of_first.and_then(|element| {
            let text = element.attribute("etd").or_else(|| element.attribute("eta"))?;
            read_instant("ETD", text).ok().map(|(at, _)| at)
        });
    }
    problems
}

/// The elements of one kind of schedule; the schema of 1.0 misspells their name, and files are found with either.
fn elements<'a, 'input>(schedule: Node<'a, 'input>, kind: &'static str) -> Vec<Node<'a, 'input>> {
    let kind = children(schedule, kind).next();
    let both = ["scheduleElement", "sheduleElement"];
    kind.into_iter()
        .flat_map(|kind| both.into_iter().flat_map(move |name| children(kind, name)))
        .collect()
}

fn take_element(
    element: Node<'_, '_>,
    waypoint: &mut Waypoint,
    is_first: bool,
    is_ours: bool,
) -> Vec<Fault> {
    let mut faults = Vec::new();
    let (eta, etd) = {
        // Times are in UTC by the format, said or not.
        let mut instant = |field: &'static str, name: &str| -> Option<Timestamp> {
            match read_instant(field, element.attribute(name)?) {
                Ok((at, _)) => Some(at),
                Err(fault) => {
                    faults.push(fault);
                    None
                }
            }
        };
        (instant("ETA", "eta"), instant("ETD", "etd"))
    };
    let speed = element.attribute("speed").map(|text| words::number("speed", text, text));
    let speed = match speed.transpose() {
        Ok(speed) => speed,
        Err(fault) => {
            faults.push(fault);
            None
        }
    };
    // The time counts where both are given: the speed is then rounded.
    waypoint.pace = eta.map(Pace::Eta).or(speed.map(|kn| Pace::Speed { kn }));
    if let Some(etd) = etd.filter(|etd| is_first || eta != Some(*etd)) {
        if is_first || is_ours || eta.is_some() || speed.is_some() || element.has_attribute("stay")
        {
            waypoint.etd = Some(etd);
        } else {
            // Alone, it is when she passes.
            waypoint.pace = Some(Pace::Eta(etd));
        }
    }
    if let Some(text) = element.attribute("stay").filter(|_| waypoint.stays.is_empty()) {
        match length::read(text) {
            Ok(length) if length.is_zero() => {}
            Ok(length) => {
                waypoint.stays.push(Stay { lying: Lying::AtAnchor, length: Some(length) });
                faults.push(Fault::LyingTaken { hours: length.as_secs_f64() / 3600.0 });
            }
            Err(fault) => faults.push(fault),
        }
    }
    faults
}
