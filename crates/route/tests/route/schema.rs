//! The rules of the public RTZ schemas, written down as a check: which elements stand where and how often, and what their
//! attributes may hold.
//!
//! Sources: schema revision 1.0 of IEC 61174:2015 annex S (cirm.org/rtz, 17 February 2015), and revisions 1.1 and 1.2
//! (IEC PAS 61174-1:2021) as they go round with the open test files of the format. Facts only; the check is ours.

use route::Version;
use roxmltree::{Document, Node};

/// What an attribute may hold.
#[derive(Clone, Copy, PartialEq)]
enum Holds {
    Text,
    /// With a letter or digit in it.
    Filled,
    Count,
    Whole,
    Decimal,
    /// From 0 on.
    Positive,
    /// From 0 up to but not including 10.
    Xtd,
    /// Turn radius, as the version has it.
    Radius,
    Lat,
    Lon,
    Course,
    Geometry,
    DateTime,
    Time,
    /// A duration from 1.2 on, a time of day before.
    Length,
    Version,
}

/// An attribute: its name, what it holds, and whether it must be there.
type Attribute = (&'static str, Holds, bool);

/// An element that may stand in another: its name, how often at least, and at most.
type Child = (&'static str, usize, usize);

const MANY: usize = usize::MAX;
const EXTENSIONS: Child = ("extensions", 0, 1);

fn children(name: &str, version: Version) -> Vec<Child> {
    let scheduled = if version == Version::V1_0 { "sheduleElement" } else { "scheduleElement" };
    match name {
        "route" => vec![("routeInfo", 1, 1), ("waypoints", 1, 1), ("schedules", 0, 1), EXTENSIONS],
        "waypoints" => vec![("defaultWaypoint", 0, 1), ("waypoint", 2, MANY), EXTENSIONS],
        "defaultWaypoint" => vec![("leg", 0, 1), EXTENSIONS],
        "waypoint" => vec![("position", 1, 1), ("leg", 0, 1), EXTENSIONS],
        "leg" if version == Version::V1_2 => vec![EXTENSIONS],
        "schedules" => vec![("schedule", 0, MANY), EXTENSIONS],
        "schedule" => vec![("manual", 0, 1), ("calculated", 0, 1), EXTENSIONS],
        "manual" => vec![(scheduled, 1, MANY), EXTENSIONS],
        "calculated" => vec![(scheduled, 0, MANY), EXTENSIONS],
        "routeInfo" => vec![EXTENSIONS],
        name if name == scheduled => vec![EXTENSIONS],
        "extensions" => vec![("extension", 0, MANY)],
        _ => Vec::new(),
    }
}

fn attributes(name: &str, version: Version) -> Vec<Attribute> {
    use Holds::{
        Count, Course, DateTime, Decimal, Filled, Geometry, Lat, Length, Lon, Positive, Radius,
        Text, Time, Whole, Xtd,
    };
    let optional = |names: &[&'static str], holds| -> Vec<Attribute> {
        names.iter().map(|name| (*name, holds, false)).collect()
    };
    let is_1_0 = version == Version::V1_0;
    match name {
        "route" => vec![("version", Holds::Version, true)],
        "routeInfo" => {
            let mut all = vec![("routeName", Text, true)];
            let texts =
                ["routeAuthor", "routeStatus", "vesselName", "vesselVoyage", "optimizationMethod"];
            all.extend(optional(&texts, Text));
            all.extend(optional(&["validityPeriodStart", "validityPeriodStop"], DateTime));
            let counts =
                ["vesselMMSI", "vesselIMO", "vesselDisplacement", "vesselCargo", "vesselMaxRoll"];
            all.extend(optional(&counts, Count));
            let positive = [
                "vesselGM",
                "vesselMaxWave",
                "vesselSpeedMax",
                "vesselServiceMin",
                "vesselServiceMax",
            ];
            all.extend(optional(&positive, Positive));
            all.push(("vesselMaxWind", if is_1_0 { Decimal } else { Positive }, false));
            all.push(("routeChangesHistory", if is_1_0 { Positive } else { Text }, false));
            all
        }
        "defaultWaypoint" => vec![("radius", Radius, false)],
        "waypoint" => vec![
            ("id", Count, true),
            ("revision", Count, false),
            ("name", Text, false),
            ("radius", Radius, false),
        ],
        "position" => vec![("lat", Lat, true), ("lon", Lon, true)],
        "leg" => {
            let mut all = optional(&["starboardXTD", "portsideXTD"], Xtd);
            let positive = [
                "safetyContour",
                "safetyDepth",
                "speedMin",
                "speedMax",
                "draughtForward",
                "draughtAft",
                "staticUKC",
                "dynamicUKC",
                "masthead",
            ];
            all.extend(optional(&positive, Positive));
            all.push(("geometryType", Geometry, false));
            all.extend(optional(&["legReport", "legInfo", "legNote1", "legNote2"], Text));
            all
        }
        "schedule" => vec![("id", Count, true), ("name", Text, false)],
        "sheduleElement" | "scheduleElement" => {
            let mut all = vec![("waypointId", Count, true)];
            all.extend(optional(&["etd", "eta"], DateTime));
            let windows =
                ["etdWindowBefore", "etdWindowAfter", "etaWindowBefore", "etaWindowAfter"];
            let window = if version == Version::V1_2 { Length } else { Time };
            all.extend(optional(&windows, window));
            all.push(("stay", Length, false));
            let speeds =
                ["speed", "windSpeed", "currentSpeed", "windLoss", "waveLoss", "totalLoss"];
            all.extend(optional(&speeds, Positive));
            all.push(("speedWindow", if is_1_0 { Decimal } else { Positive }, false));
            all.extend(optional(&["windDirection", "currentDirection"], Course));
            all.push(("rpm", Count, false));
            all.push(("pitch", Whole, false));
            let saved = if is_1_0 { "absFuelSace" } else { "absFuelSave" };
            all.extend(optional(&["fuel", "relFuelSave", saved], Decimal));
            all.push(("Note", Text, false));
            all
        }
        "extension" => {
            vec![("manufacturer", Filled, true), ("name", Filled, true), ("version", Filled, false)]
        }
        _ => Vec::new(),
    }
}

/// XML Schema decimal: digits with at most one point, no exponent.
fn decimal(text: &str) -> Option<f64> {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    let is_plain = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && digits.bytes().filter(|b| *b == b'.').count() <= 1
        && digits.bytes().any(|b| b.is_ascii_digit());
    is_plain.then(|| text.parse().ok()).flatten()
}

fn is_time(text: &str) -> bool {
    let parts: Vec<&str> = text.split(':').collect();
    let two = |text: &str| text.len() == 2 && text.bytes().all(|b| b.is_ascii_digit());
    let [hours, minutes, seconds] = parts.as_slice() else { return false };
    let (whole, fraction) = seconds.split_once('.').unwrap_or((seconds, "0"));
    let is_fraction = !fraction.is_empty() && fraction.bytes().all(|b| b.is_ascii_digit());
    two(hours)
        && *hours < "24"
        && two(minutes)
        && *minutes < "60"
        && two(whole)
        && whole < "60"
        && is_fraction
}

fn is_duration(text: &str) -> bool {
    let Some(rest) = text.strip_prefix('P') else { return false };
    let (days, time) = rest.split_once('T').map_or((rest, None), |(days, time)| (days, Some(time)));
    let in_order = |text: &str, units: &str| {
        let mut units = units.chars();
        let mut rest = text;
        while !rest.is_empty() {
            let Some(end) = rest.find(|c: char| c.is_ascii_alphabetic()) else { return false };
            let unit = rest[end..].chars().next();
            let is_number = if unit == Some('S') {
                decimal(&rest[..end]).is_some()
            } else {
                end > 0 && rest[..end].bytes().all(|b| b.is_ascii_digit())
            };
            if !is_number || !units.any(|known| Some(known) == unit) {
                return false;
            }
            rest = &rest[end + 1..];
        }
        true
    };
    let is_any = !days.is_empty() || time.is_some();
    is_any
        && in_order(days, "YMD")
        && time.is_none_or(|time| !time.is_empty() && in_order(time, "HMS"))
}

/// `YYYY-MM-DDThh:mm:ss` with or without a fraction and a zone.
fn is_date_time(text: &str) -> bool {
    let text = text.strip_suffix('Z').unwrap_or(text);
    let Some((date, time)) = text.split_once('T') else { return false };
    let date: Vec<&str> = date.split('-').collect();
    date.len() == 3
        && date[0].len() == 4
        && date.iter().all(|part| part.bytes().all(|b| b.is_ascii_digit()))
        && (1..=12).contains(&date[1].parse::<u8>().unwrap_or(0))
        && (1..=31).contains(&date[2].parse::<u8>().unwrap_or(0))
        && is_time(time)
}

fn may_hold(text: &str, holds: Holds, version: Version) -> bool {
    let within =
        |low: f64, high: f64| decimal(text).is_some_and(|value| value >= low && value <= high);
    let below = |low: f64, end: f64| decimal(text).is_some_and(|value| value >= low && value < end);
    match holds {
        Holds::Text => true,
        Holds::Filled => text.bytes().any(|b| b.is_ascii_alphanumeric()),
        Holds::Count => !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit()),
        Holds::Whole => text.parse::<i64>().is_ok(),
        Holds::Decimal => decimal(text).is_some(),
        Holds::Positive => below(0.0, f64::INFINITY),
        Holds::Xtd => below(0.0, 10.0),
        Holds::Radius if version == Version::V1_0 => below(0.0, 10.0),
        Holds::Radius => within(0.0, 5.0),
        Holds::Lat => within(-90.0, 90.0),
        Holds::Lon => below(-180.0, 180.0),
        Holds::Course => below(0.0, 360.0),
        Holds::Geometry => matches!(text, "Loxodrome" | "Orthodrome"),
        Holds::DateTime => is_date_time(text),
        Holds::Time => is_time(text),
        Holds::Length if version == Version::V1_2 => is_duration(text),
        Holds::Length => is_time(text),
        Holds::Version => text == version.number(),
    }
}

/// Everything in which a document breaks the rules of its version.
pub fn faults(text: &str, version: Version) -> Vec<String> {
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => return vec![error.to_string()],
    };
    let root = document.root_element();
    let mut faults = Vec::new();
    if !root.has_tag_name((version.namespace(), "route")) {
        faults.push("root".to_owned());
    }
    check(root, version, &mut faults);
    faults
}

fn check(node: Node<'_, '_>, version: Version, faults: &mut Vec<String>) {
    let name = node.tag_name().name();
    // What stands in an extension is free, and all that stands in those of 1.0 is.
    let is_free = name == "extension" || (name == "extensions" && version == Version::V1_0);
    let rules = attributes(name, version);
    for (attribute, holds, must) in &rules {
        match node.attribute(*attribute) {
            Some(text) if !may_hold(text, *holds, version) => {
                faults.push(format!("{name}/@{attribute}=\"{text}\""));
            }
            None if *must => faults.push(format!("{name}/@{attribute} missing")),
            _ => {}
        }
    }
    if !is_free {
        let strays = node.attributes().filter(|attribute| {
            attribute.namespace().is_none()
                && !rules.iter().any(|(name, ..)| *name == attribute.name())
        });
        faults.extend(strays.map(|attribute| format!("{name}/@{} unknown", attribute.name())));
    }
    if name == "extension" {
        return;
    }
    if node
        .children()
        .any(|child| child.is_text() && !child.text().unwrap_or_default().trim().is_empty())
    {
        faults.push(format!("{name} holds text"));
    }
    let allowed = children(name, version);
    let mut at = 0;
    for child in node.children().filter(Node::is_element) {
        let tag = child.tag_name();
        let is_ours = tag.namespace() == Some(version.namespace());
        match allowed[at..].iter().position(|(name, ..)| *name == tag.name() && is_ours) {
            Some(further) => at += further,
            None if is_free => continue,
            None => faults.push(format!("{}/{} out of place", name, tag.name())),
        }
        check(child, version, faults);
    }
    for (child, least, most) in allowed {
        let count = node.children().filter(|one| one.tag_name().name() == child).count();
        if count < least || count > most {
            faults.push(format!("{name} has {count} {child}"));
        }
    }
}

/// The check must see what is wrong: each change to a right document breaks a rule.
#[test]
fn ref_the_rules_tell_right_from_wrong() {
    let right = r#"<?xml version="1.0"?><route xmlns="http://www.cirm.org/RTZ/1/2" version="1.2">
<routeInfo routeName="A"/><waypoints><defaultWaypoint radius="0.5"><leg geometryType="Loxodrome"/></defaultWaypoint>
<waypoint id="1" revision="0"><position lat="10.5" lon="-179.5"/><leg starboardXTD="0.1"/></waypoint>
<waypoint id="2"><position lat="11" lon="179.99"/></waypoint></waypoints>
<schedules><schedule id="1"><manual><scheduleElement waypointId="1" etd="2026-11-09T02:00:00Z" stay="PT6H" speed="12.5"/></manual>
</schedule></schedules></route>"#;
    assert_eq!(faults(right, Version::V1_2), [""; 0]);
    for (from, to) in [
        ("1/2\"", "1/1\""),
        ("version=\"1.2\"", ""),
        (" routeName=\"A\"", ""),
        ("<position lat=\"11\" lon=\"179.99\"/>", ""),
        ("lon=\"179.99\"", "lon=\"180\""),
        ("lat=\"11\"", "lat=\"1.1e1\""),
        ("<waypoint id=\"2\"><position lat=\"11\" lon=\"179.99\"/></waypoint>", ""),
        ("id=\"2\"", "id=\"-2\""),
        ("radius=\"0.5\"", "radius=\"7\""),
        ("Loxodrome", "Rhumb"),
        ("stay=\"PT6H\"", "stay=\"06:00:00\""),
        ("02:00:00Z", "02:00Z"),
        ("speed=\"12.5\"", "speed=\"-1\""),
        ("speed=\"12.5\"", "knots=\"12.5\""),
        ("<scheduleElement", "<sheduleElement"),
        ("<leg starboardXTD=\"0.1\"/></waypoint>", "</waypoint><leg/>"),
        ("<routeInfo routeName=\"A\"/>", ""),
        ("<manual>", "<manual>noon"),
    ] {
        assert!(right.contains(from));
        assert_ne!(faults(&right.replacen(from, to, 1), Version::V1_2), [""; 0], "{from} → {to}");
    }
}
