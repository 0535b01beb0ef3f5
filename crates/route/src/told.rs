//! The words for each fault: the field, what was read, what is allowed and what to change.

use std::borrow::Cow;

use jiff::Timestamp;

use crate::fault::Fault;
use crate::route::{MOST_CLOCK_CHANGES, MOST_WAYPOINTS};
use crate::waypoint::{FASTEST_KN, HIGHEST_LOAD, LONGEST_STAY_DAYS};

/// The parts of a sentence about a fault.
pub(crate) struct Told {
    pub field: &'static str,
    pub read: String,
    pub allowed: Cow<'static, str>,
    pub remedy: Cow<'static, str>,
}

fn told(
    field: &'static str,
    read: impl Into<String>,
    allowed: impl Into<Cow<'static, str>>,
    remedy: impl Into<Cow<'static, str>>,
) -> Told {
    Told { field, read: read.into(), allowed: allowed.into(), remedy: remedy.into() }
}

fn quoted(read: &str) -> String {
    format!("\"{read}\"")
}

/// To the minute, as orders are given.
fn minute(at: &Timestamp) -> String {
    at.strftime("%Y-%m-%d %H:%MZ").to_string()
}

/// A length of a file; one of which no more is known than that it is too long reads so.
fn size(bytes: u64) -> String {
    let mb = bytes as f64 / f64::from(1 << 20);
    match mb.fract() {
        0.0 => format!("{mb} MB"),
        _ if mb < 10.0 => format!("more than {:.0} MB", mb.floor()),
        _ => format!("{mb:.0} MB"),
    }
}

/// A figure with no more decimals than it has.
fn figure(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    if rounded == 0.0 && value != 0.0 { format!("{value:e}") } else { format!("{rounded}") }
}

impl Fault {
    pub(crate) fn told(&self) -> Told {
        match self {
            Self::NoWaypoint => told(
                "waypoints",
                "none",
                format!("allowed are 2 to {MOST_WAYPOINTS}"),
                "write one waypoint a line, its position first",
            ),
            Self::OneWaypoint => told(
                "waypoints",
                "1",
                format!("allowed are 2 to {MOST_WAYPOINTS}"),
                "add the place she sails to on a line of its own",
            ),
            Self::ManyWaypoints { count } => told(
                "waypoints",
                count.to_string(),
                format!("allowed are 2 to {MOST_WAYPOINTS}"),
                "split the route into passages",
            ),
            Self::ManyClockChanges { count } => told(
                "changes of the ship's clocks",
                count.to_string(),
                format!("allowed are up to {MOST_CLOCK_CHANGES}"),
                "plan those of this passage only",
            ),
            Self::NoDeparture => told(
                "departure",
                "missing",
                "the first waypoint needs the time she sails",
                "write it there, such as ETD 2026-11-09 02:00Z",
            ),
            Self::NoSpeed => told(
                "speed",
                "missing",
                "the leg needs a speed or an ETA",
                "write a speed such as 13.2 kn here or on the first waypoint, or an ETA here or further on",
            ),
            Self::Speed { kn } => told(
                "speed",
                format!("{} kn", figure(*kn)),
                format!("allowed are above 0 up to {FASTEST_KN} kn"),
                "correct the speed, or the ETA it follows from; for a ship that lies still write berth or anchor and how long",
            ),
            Self::EtaBeforeDeparture { eta, departure } => told(
                "ETA",
                minute(eta),
                format!("she sails on {}", minute(departure)),
                "correct the ETA or the departure, and look at day and month",
            ),
            Self::EtaOutOfOrder { eta, earliest } => told(
                "ETA",
                minute(eta),
                format!(
                    "it must be after {}, when she leaves the waypoints before",
                    minute(earliest)
                ),
                "correct the ETA, shorten a stay before it, or put the waypoints in the order she comes to them",
            ),
            Self::EtaNeeds { kn, way, hours } => told(
                "ETA",
                format!("asks for {kn:.1} kn ({:.1} nmi in {hours:.1} h)", way.nmi()),
                format!("allowed are up to {FASTEST_KN} kn"),
                "correct the ETA, or a position before it",
            ),
            Self::LeavesTooEarly { etd, ready } => told(
                "ETD",
                minute(etd),
                format!(
                    "she is not ready before {}, her arrival and the stays written here",
                    minute(ready)
                ),
                "correct the ETD, or shorten the stay",
            ),
            Self::SamePlace { position } => told(
                "position",
                format!("{position:.3}"),
                "the waypoint before is the same place",
                "leave one of them out; for a stay write anchor 12 h or berth 3 d on one line",
            ),
            Self::Stay { days } => told(
                "stay",
                format!("{} days", figure(*days)),
                format!("allowed are 0 to {LONGEST_STAY_DAYS} days"),
                "correct its length, or its ETD",
            ),
            Self::OpenStay { lying } => told(
                "stay",
                format!("{} without a length", lying.word()),
                "she goes on from here",
                format!("write how long, such as {} 12 h, or an ETD", lying.word()),
            ),
            Self::Load { load } => told(
                "load",
                format!("{} %", figure(load.percent())),
                format!("allowed are 0 to {} %", figure(HIGHEST_LOAD.percent())),
                "write the engine load in per cent of rated",
            ),
            Self::TooLong => told(
                "passage",
                "goes on beyond the calendar",
                "allowed are the years to 9999",
                "look at the dates and for a very low speed",
            ),
            Self::Position(error) => told(
                "position",
                error.to_string().trim_start_matches("position").trim_start_matches([':', ' ']),
                "the waypoint is left out",
                "correct it, with a comma between it and the words, and read the route again",
            ),
            Self::Swapped { position, swapped, as_read, if_swapped } => told(
                "position",
                format!(
                    "{position}, {:.0} nmi to its neighbours ({:.0} nmi if it were {swapped})",
                    as_read.nmi(),
                    if_swapped.nmi()
                ),
                "latitude comes first",
                "if they are changed over, write the latitude first or add N or S and E or W",
            ),
            Self::OverLegLimit { kn, most_kn } => told(
                "speed",
                format!("{} kn", figure(*kn)),
                format!(
                    "the most written for this leg, speedMax in a route file, is {} kn",
                    figure(*most_kn)
                ),
                "sail it slower, give it more time, or take the limit out of the route where it is done with",
            ),
            Self::FullAwayTaken => told(
                "full away",
                "not marked",
                "taken here",
                "write full away on the waypoint where the sea passage begins",
            ),
            Self::EndOfPassageTaken => told(
                "end of passage",
                "not marked",
                "taken here",
                "write end of passage on the waypoint where the sea passage ends",
            ),
            Self::LyingTaken { hours } => told(
                "stay",
                format!("of {} h, not said how", figure(*hours)),
                "taken as at anchor",
                "write berth, anchor or drift",
            ),
            Self::Word { read } => told(
                "word",
                quoted(read),
                "known are a name, 13.2 kn, at most 10 kn, ETA, ETD, gc, rl, full away, end of passage, pilotage, manoeuvring, canal, anchor 12 h, berth 3 d, drift 6 h, load 80 %, zone +10",
                "correct it; a name comes straight behind the position or stands in \"quotes\"",
            ),
            Self::Nearly { read, meant } => told(
                "word",
                quoted(read),
                format!("“{meant}” was meant, or it is a name"),
                format!("write {meant}; as a name put it in quotes: \"{read}\""),
            ),
            Self::TwoMarks { kept, read } => told(
                "mark",
                quoted(read),
                format!(
                    "“{kept}” is marked here already (“pilot” alone is such a mark, not a name)"
                ),
                "leave one of them out; a name stands in quotes: \"pilot\"",
            ),
            Self::Twice { field, read } => {
                told(field, quoted(read), "it is said here already", "leave one of them out")
            }
            Self::SpeedBesideEta { kn } => told(
                "speed",
                format!("{kn} kn"),
                "an ETA stands beside it: the ETA is taken, and the speed follows from it",
                "leave the ETA out where the speed is to hold",
            ),
            Self::Number { field, read } => told(
                field,
                quoted(read),
                "it must be a number",
                "write digits with a decimal point, such as 13.2",
            ),
            Self::Instant { field, read } => told(
                field,
                quoted(read),
                "it must be a date and time",
                "write the date, the time and the zone, such as 2026-11-20 06:00Z or 20.11.2026 16:00+10",
            ),
            Self::MonthFirst { field, read, why } => {
                told(field, quoted(read), "a date in figures has the day first", why.to_string())
            }
            Self::UtcTaken { field, read } => told(
                field,
                quoted(read),
                "without a zone it is taken as UTC",
                "write Z behind it, or the ship's zone such as +10",
            ),
            Self::Length { read } => told(
                "stay",
                quoted(read),
                "it must be a length of time",
                "write such as 12 h, 3 d, 90 min or 1 d 6 h",
            ),
            Self::Zone { read } => told(
                "zone",
                quoted(read),
                "allowed are -14:00 to +14:00 in whole minutes",
                "write such as +10, -03:30 or UTC",
            ),
            Self::TooLarge { bytes, allowed } => told(
                "file",
                format!("of {}", size(*bytes)),
                format!("allowed are up to {}", size(*allowed)),
                "give the route alone, without attachments",
            ),
            Self::NotText { at } => told(
                "file",
                format!("no text from byte {at} on"),
                "it must be text in UTF-8, a route exchange file (.rtz) or its container (.rtzp)",
                "save it as text and give it again",
            ),
            Self::NothingRead => told(
                "file",
                "without any position",
                "a route needs at least two",
                "write one waypoint a line, its position first",
            ),
            Self::Unreadable { said } => told(
                "file",
                format!("cannot be read ({said})"),
                "it must be readable to its end",
                "copy it again",
            ),
            Self::NoPositionColumns { read } => told(
                "headings",
                quoted(read),
                "needed are lat and lon (also latitude, longitude; Breite, Länge), or position",
                "name the columns in the first line; known too are name, track, speed, eta, etd, stay, mark, load, zone",
            ),
            Self::Heading { read } => told(
                "heading",
                quoted(read),
                "its column is left out",
                "known are name, position, lat, lon, track, speed, eta, etd, stay, mark, load, zone",
            ),
            Self::Xml { said } => told(
                "file",
                format!("not taken as XML ({said})"),
                "it must be well-formed, without a DTD",
                "export the route again",
            ),
            Self::NotRtz { root, namespace } => told(
                "file",
                format!("begins with <{root}> in namespace \"{namespace}\""),
                "read are <route> in http://www.cirm.org/RTZ/1/0, /1/1 and /1/2",
                "export the route as RTZ 1.0, 1.1 or 1.2",
            ),
            Self::Version { version, namespace } => told(
                "version",
                quoted(version),
                format!("the namespace is {namespace}, which is taken"),
                "export the route again if something is missing",
            ),
            Self::Missing { what, of } => told(
                what,
                "missing",
                format!("every {of} has one"),
                "add it, or export the route again",
            ),
            Self::Unknown { field, read, allowed } => told(
                field,
                quoted(read),
                format!("there are {allowed}; the first is taken"),
                "correct it if that is not what was meant",
            ),
            Self::SameId => told(
                "id",
                "given to two waypoints",
                "it must be a waypoint's own",
                "number the waypoints anew",
            ),
            Self::NoSuchWaypoint => told(
                "schedule",
                "for a waypoint that is not in the route",
                "it is left out",
                "export the route again if times are missing",
            ),
            Self::Schedules { count, taken } => told(
                "schedule",
                format!("{count} of them"),
                format!("the first is taken, \"{taken}\""),
                "export the route with the schedule she sails by",
            ),
            Self::Zip { said } => told(
                "file",
                format!("not taken as a route container ({said})"),
                "it must be a ZIP file with one .rtz in it",
                "export the route again, or give the .rtz itself",
            ),
            Self::ZipRoutes { count } => told(
                "file",
                format!("holds {count} routes"),
                "a container has one .rtz",
                "give the .rtz itself",
            ),
        }
    }
}
