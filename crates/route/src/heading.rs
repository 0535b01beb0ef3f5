//! What is said of a route as a whole: its name, ports, departure and planned clock changes, one `word: value` a line.

use jiff::Timestamp;

use crate::problem::Fault;
use crate::route::Route;
use crate::when::{read_instant, read_zone, write_instant, write_zone};
use crate::words::tidy;

/// The words that may stand before the colon.
const KEYS: [&str; 6] = ["route", "from", "to", "departure", "zone", "clock"];

/// A heading that a line holds, if it is one: its key and its value. A sign `#` before it is passed over.
pub(crate) fn find(line: &str) -> Option<(&'static str, &str)> {
    let (key, value) = line.trim_start_matches('#').split_once(':')?;
    let key = key.trim();
    let key = KEYS.into_iter().find(|known| known.eq_ignore_ascii_case(key))?;
    Some((key, value.trim()))
}

/// Takes a heading into a route; a departure is kept apart, since the first waypoint may not be known yet.
pub(crate) fn take(
    route: &mut Route,
    departure: &mut Option<Timestamp>,
    key: &str,
    value: &str,
) -> Vec<Fault> {
    match key {
        "route" => route.name = tidy(value),
        "from" => route.from_port = Some(tidy(value)).filter(|port| !port.is_empty()),
        "to" => route.to_port = Some(tidy(value)).filter(|port| !port.is_empty()),
        "departure" => match read_instant("departure", value) {
            Ok((at, note)) => {
                *departure = Some(at);
                return note.into_iter().collect();
            }
            Err(fault) => return vec![fault],
        },
        "zone" => match read_zone(value) {
            Ok(zone) => route.zone = zone,
            Err(fault) => return vec![fault],
        },
        _ => {
            // An instant, then the zone behind the last space.
            let (at, zone) = value.rsplit_once(' ').unwrap_or((value, ""));
            return match (read_instant("clock", at), read_zone(zone)) {
                (Ok((at, note)), Ok(zone)) => {
                    route.clock_changes.push((at, zone));
                    note.into_iter().collect()
                }
                (Err(fault), _) | (_, Err(fault)) => vec![fault],
            };
        }
    }
    Vec::new()
}

/// The headings of a route, each with its key.
pub(crate) fn write(route: &Route) -> Vec<(&'static str, String)> {
    let mut out = vec![("route", tidy(&route.name))];
    out.extend(write_ports_and_clock(route));
    out.retain(|(_, value)| !value.is_empty());
    out
}

/// The headings of a route without its name.
pub(crate) fn write_ports_and_clock(route: &Route) -> Vec<(&'static str, String)> {
    let mut out = Vec::new();
    out.extend(route.from_port.as_ref().map(|port| ("from", tidy(port))));
    out.extend(route.to_port.as_ref().map(|port| ("to", tidy(port))));
    if route.zone.seconds() != 0 {
        out.push(("zone", write_zone(route.zone)));
    }
    for (at, zone) in &route.clock_changes {
        out.push(("clock", format!("{} {}", write_instant(*at), write_zone(*zone))));
    }
    out
}
