//! What is dated on a passage: draws, areas without water, own discharges, ceilings, water for sale; changes of legs and stops.

use std::fmt;

use jiff::Timestamp;
use passage::timeline::{Area, Draw, Timeline};
use route::{Phase, Route};

use super::changes::{LegChange, StopChange};

/// The dated events as they are written, `events.toml` in the ship's folder.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Events {
    /// Dated draws.
    pub draws: Vec<Draw>,
    /// Areas where no water is made.
    pub areas: Vec<Area>,
    /// Own discharges ahead of the suction: from, until.
    pub discharges: Vec<(Timestamp, Timestamp)>,
    /// From these moments so much may be aboard at most, t.
    pub ceilings: Vec<(Timestamp, f64)>,
    /// Water for sale: name, when, a tonne, fixed, most.
    pub for_sale: Vec<(String, Timestamp, f64, f64, f64)>,
    /// Legs that are otherwise than the route has them.
    pub legs: Vec<LegChange>,
    /// Stops that are longer or less long than the route has them.
    pub stops: Vec<StopChange>,
}

/// Why the events are not taken: every fault, one a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventsRefused(pub(super) String);

impl fmt::Display for EventsRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for EventsRefused {}

/// Before a fault of the events where the route is asked for.
pub const EVENTS_LEAD: &str = "dated events: ";

impl EventsRefused {
    /// The faults as they are told beside those of a route.
    pub(super) fn in_the_plan(&self) -> String {
        let lines = self.0.lines().map(|line| format!("{EVENTS_LEAD}{line}"));
        lines.collect::<Vec<_>>().join("\n")
    }
}

/// An empty file with every kind of event shown as a remark.
pub const EXAMPLE: &str = r#"# Dated events of this passage. Times are UTC. Take the # away and put your own figures.
# [[draw]]
# name = "hold 1, last rinse"
# from = "2026-11-29T00:00Z"
# hours = 6
# t = 30
# less_price_t = 30        # leave out where it cannot be done with less
#
# [[area]]
# name = "no water order"
# corners = ["12 30.0 S 045 00.0 E", "12 30.0 S 046 00.0 E", "13 30.0 S 046 00.0 E"]
# only = "distilled"       # water for the distilled tank only, nearer to land than ordered too; leave out for no water at all
#
# [[discharge]]
# from = "2026-11-20T08:00Z"
# until = "2026-11-20T09:00Z"
#
# [[ceiling]]
# from = "2026-11-23T00:00Z"
# t = 240
#
# [[for_sale]]
# name = "barge"
# at = "2026-11-23T06:00Z"
# price_t = 9
# fixed = 250
# most_t = 300
#
# [[leg]]                  # the leg to this waypoint, counted from 1
# to = 3
# kn = 12.5
# sea_temp_c = 28.5        # as measured, in place of the climatology
#
# [[stop]]
# at = 3
# hours = 36
"#;

/// From the departure to the end of what is planned.
pub(super) type Sailed = (Timestamp, Timestamp);

impl Events {
    /// Dated draws that begin while she is not on sea passage, each in words: a stay that was lengthened leaves them behind.
    pub(super) fn in_port(&self, line: &Timeline) -> Vec<String> {
        let lies = |draw: &&Draw| {
            let sample = line.samples.get(line.index(draw.from))?;
            let within = sample.at <= draw.from && line.samples.last()?.at >= draw.from;
            (within && sample.moment.phase != Phase::SeaPassage).then_some(sample.moment.phase)
        };
        let drawn = self.draws.iter().filter_map(|draw| Some((draw, lies(&draw)?)));
        let told = drawn.map(|(draw, phase)| {
            let at = line.clock.local(draw.from).strftime("%-d %b %H:%M");
            format!("{}, {at}: {phase}", draw.name)
        });
        told.collect()
    }

    /// What is dated before the route's departure or after its end, or was written for another route; each in words.
    pub(super) fn outside(&self, (from, to): Sailed, route: &Route) -> Vec<String> {
        let day = |at: Timestamp| at.strftime("%-d %b %Y").to_string();
        let out = |begins: Timestamp, ends: Timestamp| ends < from || begins > to;
        let mut told = Vec::new();
        for draw in &self.draws {
            let hours = jiff::SignedDuration::from_secs_f64(3600.0 * draw.hours);
            if out(draw.from, draw.from.checked_add(hours).unwrap_or(draw.from)) {
                told.push(format!("{}, {}", draw.name, day(draw.from)));
            }
        }
        for (begins, _) in self.discharges.iter().filter(|(a, b)| out(*a, *b)) {
            told.push(format!("discharge, {}", day(*begins)));
        }
        for (at, t) in self.ceilings.iter().filter(|(at, _)| out(*at, *at)) {
            let holds = if *at < from { ", which still holds" } else { "" };
            told.push(format!("at most {t} t aboard from {}{holds}", day(*at)));
        }
        for (name, at, ..) in self.for_sale.iter().filter(|(_, at, ..)| out(*at, *at)) {
            told.push(format!("{name}, {}", day(*at)));
        }
        told.extend(self.of_another_route(route));
        told
    }

    /// The text without the events dated outside and those of an earlier route; everything else stands as it was typed.
    pub(super) fn inside(text: &str, sailed: Sailed, route: &Route) -> String {
        let stays = |block: &String| {
            Events::of(block, route).is_ok_and(|(events, earlier)| {
                earlier.is_empty() && events.outside(sailed, route).is_empty()
            })
        };
        blocks(text).into_iter().filter(stays).collect()
    }
}

/// The text cut before each event.
pub(super) fn blocks(text: &str) -> Vec<String> {
    let mut blocks = vec![String::new()];
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with("[[") {
            blocks.push(String::new());
        }
        if let Some(block) = blocks.last_mut() {
            block.push_str(line);
        }
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    fn route() -> Route {
        let lines = "departure: 2026-11-20T00:00Z\n1 N 1 E\n2 N 2 E, 12 kn\n3 N 3 E, 12 kn\n";
        route::Reading::of_bytes(lines.as_bytes()).route.expect("a route")
    }

    #[test]
    fn ident_the_example_is_empty_and_its_figures_are_taken_when_uncovered() {
        assert_eq!(Events::read(EXAMPLE), Ok(Events::default()));
        let uncovered: String = EXAMPLE
            .lines()
            .skip(1)
            .map(|line| format!("{}\n", line.trim_start_matches(['#', ' '])))
            .collect();
        let events = Events::read(&uncovered).expect("taken");
        assert_eq!(
            (
                events.draws.len(),
                events.areas.len(),
                events.discharges.len(),
                events.ceilings.len(),
                events.for_sale.len(),
                events.legs.len(),
                events.stops.len()
            ),
            (1, 1, 1, 1, 1, 1, 1)
        );
    }

    #[test]
    fn ident_events_of_another_voyage_are_told_and_dropped_and_the_rest_stands_as_typed() {
        let old = "# rinsing\n[[draw]]\nname = \"hold 1\"\nfrom = \"2026-08-29T00:00Z\"\nhours = 6\nt = 30\n\n";
        let kept = "[[draw]]\nname = \"hold 2\" # as agreed\nfrom = \"2026-11-29T00:00Z\"\nhours = 6\nt = 30\n\n[[area]]\nname = \"a\"\ncorners = [\"1 N 1 E\", \"1 N 2 E\", \"2 N 2 E\"]\n";
        let ceiling = "[[ceiling]]\nfrom = \"2026-08-01T00:00Z\"\nt = 240\n";
        let sailed = (
            "2026-11-20T00:00Z".parse().expect("a time"),
            "2026-12-20T00:00Z".parse().expect("a time"),
        );
        let text = format!("{old}{kept}{ceiling}");
        let told = Events::read(&text).expect("taken").outside(sailed, &route());
        assert_eq!(
            told,
            ["hold 1, 29 Aug 2026", "at most 240 t aboard from 1 Aug 2026, which still holds"]
        );
        assert_eq!(Events::inside(&text, sailed, &route()), format!("# rinsing\n{kept}"));
        // One that began before the departure and runs on is not of another voyage.
        let text = "[[draw]]\nname = \"tank\"\nfrom = \"2026-11-19T22:00Z\"\nhours = 6\nt = 3\n";
        assert!(Events::read(text).expect("taken").outside(sailed, &route()).is_empty());
    }

    #[test]
    fn ident_dates_are_taken_as_officers_write_them() {
        let draw = |from: &str| {
            Events::read(&format!("[[draw]]\nname = \"h\"\nfrom = \"{from}\"\nhours = 6\nt = 3"))
        };
        let wanted = draw("2026-11-29T06:00Z");
        assert!(wanted.is_ok());
        for from in
            ["2026-11-29 06:00", "29.11.2026 06:00", "29/11/2026 0600", "29 Nov 2026 16:00+10"]
        {
            assert_eq!(draw(from), wanted, "{from}");
        }
    }

    /// A change holds for the waypoint it was written for; on another route it is told and dropped.
    #[test]
    fn ident_a_change_of_another_route_is_told_and_dropped() {
        let sailed = (
            "2026-11-20T00:00:00Z".parse().expect("a time"),
            "2026-12-20T00:00:00Z".parse().expect("a time"),
        );
        let kept = "[[leg]]\nto = 3\nposition = \"3 N 3 E\"\nkn = 11\n";
        let other =
            "[[stop]]\nat = 2\nposition = \"9 N 2 E\"\nhours = 4\n[[leg]]\nto = 7\nkn = 9\n";
        let text = format!("{kept}{other}");
        let told = Events::read(&text).expect("taken").outside(sailed, &route());
        assert_eq!(told, ["the leg to waypoint 7", "the stop at waypoint 2"]);
        assert_eq!(Events::inside(&text, sailed, &route()), kept);
    }

    #[test]
    fn ident_a_slip_is_told_with_its_place() {
        for (text, says) in [
            ("[[draw]]\nname = \"h\"\nfrom = \"soon\"\nhours = 6\nt = 3", "draw \"h\": from"),
            (
                "[[draw]]\nname = \"h\"\nfrom = \"2026-11-29T00:00Z\"\nhours = -6\nt = 3",
                "allowed 0.1 to 240",
            ),
            (
                "[[draw]]\nname = \"h\"\nfrom = \"11.29.2026 06:00\"\nhours = 6\nt = 3",
                "write 2026-11-29 or",
            ),
            ("[[drew]]\n", "unknown word"),
            ("[[leg]]\nto = 1\nkn = 12", "counted from 1"),
            ("[[leg]]\nto = 3", "give kn, sea_temp_c or both"),
            ("[[leg]]\nto = 3\nkn = 70", "allowed 1 to 40 kn"),
            ("[[leg]]\nto = 3\nsea_temp_c = 83", "allowed -2 to 38"),
            ("[[leg]]\nto = 3\nkn = 9\n[[leg]]\nto = 3\nsea_temp_c = 9", "told twice"),
            ("[[stop]]\nat = 3\nhours = -1", "allowed 0 to 2400 h"),
            (
                "[[area]]\nname = \"a\"\nonly = \"taps\"\ncorners = [\"1 N 1 E\", \"1 N 2 E\", \"2 N 2 E\"]",
                "allowed is \"distilled\"",
            ),
            ("[[area]]\nname = \"a\"\ncorners = [\"1 1\"]", "1 corners"),
            (
                "[[discharge]]\nfrom = \"2026-11-29T00:00Z\"\nuntil = \"2026-11-28T00:00Z\"",
                "turn them round",
            ),
        ] {
            let refused = Events::read(text).expect_err(text).to_string();
            assert!(refused.contains(says), "{refused}");
        }
    }
}
