//! Reading a route exchange file: no DTD, no entities of its own, and every waypoint told by its id.

use std::collections::HashSet;

use ocean::{Position, Track};
use roxmltree::{Document, Node, ParsingOptions};

use super::{Version, children, ours, schedules};
use crate::heading;
use crate::problem::{Fault, Place, Problem};
use crate::reading::{Reading, Taken};
use crate::route::{MOST_WAYPOINTS, Route};
use crate::waypoint::{FASTEST_KN, Waypoint};
use crate::words;

/// The most nodes taken from a file; a waypoint with its schedule and extensions has a few dozen.
const MOST_NODES: u32 = 400_000;

/// A waypoint, with how the file tells it from others.
pub(super) struct Told {
    /// Its id, as far as it has one.
    pub id: Option<String>,
    /// Whether an extension of ours speaks of it.
    pub is_ours: bool,
}

/// Reads the text of a route exchange file.
pub(crate) fn read(text: &str) -> Reading {
    let options =
        ParsingOptions { allow_dtd: false, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = match Document::parse_with_options(text, options) {
        Ok(document) => document,
        Err(error) => return Reading::refused(Fault::Xml { said: error.to_string() }),
    };
    let root = document.root_element();
    let namespace = root.tag_name().namespace().unwrap_or_default();
    let version = Version::ALL.into_iter().find(|version| version.namespace() == namespace);
    let Some(version) = version.filter(|_| root.tag_name().name() == "route") else {
        return Reading::refused(Fault::NotRtz {
            root: words::tidy(root.tag_name().name()),
            namespace: words::tidy(namespace),
        });
    };
    let mut problems = Vec::new();
    let written = root.attribute("version").unwrap_or_default();
    if written != version.number() {
        let fault =
            Fault::Version { version: words::tidy(written), namespace: namespace.to_owned() };
        problems.push(Problem::at(Place::Whole, fault));
    }
    let mut taken = Taken::default();
    for info in children(root, "routeInfo") {
        taken.route.name = words::tidy(info.attribute("routeName").unwrap_or_default());
        problems.extend(read_ours(info, &mut taken.route));
    }
    let Some(list) = children(root, "waypoints").next() else {
        let fault = Fault::Missing { what: "waypoints", of: "route" };
        return Reading::refused(fault);
    };
    let usual = children(list, "defaultWaypoint").flat_map(|usual| children(usual, "leg")).next();
    let count = children(list, "waypoint").count();
    if count > MOST_WAYPOINTS {
        return Reading::refused(Fault::ManyWaypoints { count });
    }
    let mut told: Vec<Told> = Vec::new();
    let mut ids = HashSet::new();
    for (i, node) in children(list, "waypoint").enumerate() {
        let id = node.attribute("id").map(words::tidy);
        let place = match &id {
            Some(id) => Place::Id(id.clone()),
            None => Place::Waypoint {
                number: i + 1,
                name: words::tidy(node.attribute("name").unwrap_or_default()),
            },
        };
        let mut note = |fault| problems.push(Problem::at(place.clone(), fault));
        match &id {
            None => note(Fault::Missing { what: "id", of: "waypoint" }),
            Some(id) if !ids.insert(id.clone()) => note(Fault::SameId),
            Some(_) => {}
        }
        let position = match position(node) {
            Ok(position) => position,
            Err(fault) => {
                note(fault);
                taken.push(None, place);
                continue;
            }
        };
        let mut waypoint = Waypoint::at(position);
        waypoint.name = words::tidy(node.attribute("name").unwrap_or_default());
        let leg = children(node, "leg").next();
        let geometry = [leg, usual].into_iter().flatten();
        if let Some(text) = geometry.filter_map(|leg| leg.attribute("geometryType")).next() {
            match track(text) {
                Ok(track) => waypoint.track = track,
                Err(fault) => note(fault),
            }
        }
        let extension = ours(node);
        let said = extension.and_then(|extension| extension.attribute("words"));
        let said = said.filter(|said| said.len() <= words::LONGEST_LINE);
        for word in said.into_iter().flat_map(words::split) {
            words::take(&mut waypoint, word).into_iter().for_each(&mut note);
        }
        let most = [leg, usual].into_iter().flatten().find_map(|leg| leg.attribute("speedMax"));
        match most.map(|text| words::number("speedMax", text, text)).transpose() {
            // None at all, or one that binds nobody, is none.
            Ok(most) => waypoint.most_kn = most.filter(|kn| *kn > 0.0 && *kn <= FASTEST_KN),
            Err(fault) => note(fault),
        }
        taken.push(Some(waypoint), place);
        told.push(Told { id, is_ours: extension.is_some() });
    }
    problems.extend(schedules::take(root, &mut taken.route, &told));
    Reading::of(taken, problems)
}

/// What an extension of ours says of the whole route.
fn read_ours(info: Node<'_, '_>, route: &mut Route) -> Vec<Problem> {
    let mut problems = Vec::new();
    for attribute in ours(info).into_iter().flat_map(|extension| extension.attributes()) {
        let key = attribute.name();
        if !matches!(key, "from" | "to" | "zone" | "clock") {
            continue;
        }
        // Only clocks are many.
        let values = attribute.value().split(|c| c == ';' && key == "clock");
        for value in values.map(str::trim).filter(|value| !value.is_empty()) {
            let faults = heading::take(route, &mut None, key, value);
            problems.extend(faults.into_iter().map(|fault| Problem::at(Place::Whole, fault)));
        }
    }
    problems
}

fn position(waypoint: Node<'_, '_>) -> Result<Position, Fault> {
    let missing = |what| Fault::Missing { what, of: "waypoint" };
    let node = children(waypoint, "position").next().ok_or_else(|| missing("position"))?;
    let degrees = |what: &'static str, attribute| {
        let text = node.attribute(attribute).ok_or_else(|| missing(what))?;
        words::number(what, text, text)
    };
    let (lat, lon) = (degrees("lat", "lat")?, degrees("lon", "lon")?);
    Position::from_degrees(lat, lon).map_err(Fault::Position)
}

fn track(text: &str) -> Result<Track, Fault> {
    match text.trim().to_ascii_lowercase().as_str() {
        "loxodrome" => Ok(Track::RhumbLine),
        "orthodrome" => Ok(Track::GreatCircle),
        _ => Err(Fault::Unknown {
            field: "geometryType",
            read: words::tidy(text),
            allowed: "Loxodrome and Orthodrome",
        }),
    }
}
