//! The route and the dated events as typed, kept in the ship's folder and remembered in the record.

use jiff::Timestamp;
use route::{Fault, Place, Problem, Reading, Route, Version};

use crate::desk::{Desk, DeskError};

use super::changes::Wanted;
use super::events::Events;

/// Name of the route file in the folder.
pub const ROUTE_FILE: &str = "route.txt";
/// Name of the file of dated events in the folder.
pub const EVENTS_FILE: &str = "events.toml";

/// That a route has been sailed already, in a sentence.
fn is_over(route: &Route, now: Timestamp) -> Option<String> {
    let schedule = route.schedule().ok()?;
    let (start, end) = (schedule.start(), schedule.end());
    (end < now).then(|| {
        let day = |at: Timestamp| at.strftime("%-d %b %Y").to_string();
        format!(
            "departure: she sails on {} and the route ends on {}; it is {} now. Correct the year or the departure",
            day(start),
            day(end),
            day(now)
        )
    })
}

impl Desk {
    /// The route as it is kept; none where no route has been given yet.
    ///
    /// # Errors
    /// [`DeskError::File`] when it is there and cannot be read.
    pub fn route_text(&self) -> Result<Option<String>, DeskError> {
        self.kept_text(ROUTE_FILE)
    }

    /// The route as a route exchange file of the first version, which every chart system reads; none without a route.
    ///
    /// # Errors
    /// The route cannot be read.
    pub fn route_rtz(&self) -> Result<Option<String>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(None) };
        let route = Reading::of_bytes(text.as_bytes()).route;
        Ok(route.map(|route| route.to_rtz(Version::V1_0)))
    }

    /// The dated events as they are kept.
    ///
    /// # Errors
    /// [`DeskError::File`] when they are there and cannot be read.
    pub fn events_text(&self) -> Result<Option<String>, DeskError> {
        self.kept_text(EVENTS_FILE)
    }

    /// Keeps a route that can be sailed as written.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with every problem of the route; or why it cannot be kept.
    pub fn save_route(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        let reading = Reading::of_bytes(text.as_bytes());
        if let Some(refusal) = refusal(&reading) {
            return Err(DeskError::Asked(refusal));
        }
        if let Some(over) = reading.route.as_ref().and_then(|route| is_over(route, now)) {
            return Err(DeskError::Asked(over));
        }
        let before = self.route_text()?.and_then(|text| Reading::of_bytes(text.as_bytes()).route);
        self.keep_text(ROUTE_FILE, text, actor, now)?;
        // Events stay with the route for which they were written.
        if let (Some(before), Some(route), Some(events)) =
            (before, reading.route, self.events_text()?)
            && super::earlier::is_another(&before, &route)
        {
            let marked = super::earlier::marked(&events, &before);
            if marked != events {
                self.keep_text(EVENTS_FILE, &marked, actor, now)?;
            }
        }
        Ok(())
    }

    /// Keeps dated events that can be read, and with which the route that is kept can be sailed.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with what is wrong; or why they cannot be kept.
    pub fn save_events(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        Events::read(text).map_err(|e| DeskError::Asked(e.to_string()))?;
        let route = self.route_text()?.and_then(|text| Reading::of_bytes(text.as_bytes()).route);
        // A route that cannot be sailed by itself is no fault of the events.
        if let Some(route) = route.filter(|route| route.schedule().is_ok()) {
            let (events, _) =
                Events::of(text, &route).map_err(|e| DeskError::Asked(e.to_string()))?;
            super::as_changed(&route, &events, &self.setup().ship)?;
        }
        self.keep_text(EVENTS_FILE, text, actor, now)
    }

    /// Keeps another speed or sea temperature of a leg, and another length of the stop at its end, among the events; the
    /// route is left alone.
    ///
    /// # Errors
    /// [`DeskError::Asked`]: there is no such waypoint, or the route cannot be sailed so; or why it cannot be kept.
    pub fn change_leg(
        &self,
        wanted: &Wanted,
        actor: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let route = self.route_text()?.and_then(|text| Reading::of_bytes(text.as_bytes()).route);
        let waypoints = route.map_or_else(Vec::new, |route| route.waypoints);
        let waypoint = wanted.to.checked_sub(1).filter(|i| *i > 0).and_then(|i| waypoints.get(i));
        let Some(waypoint) = waypoint else {
            return Err(DeskError::Asked(format!(
                "waypoint {}: the route has legs to waypoints 2 to {}; choose one of them",
                wanted.to,
                waypoints.len()
            )));
        };
        let text = self.events_text()?.unwrap_or_default();
        self.save_events(&wanted.written(&text, waypoint.position), actor, now)
    }
}

/// Why a route is not planned, in words; none where it can be.
pub(super) fn refusal(reading: &Reading) -> Option<String> {
    let wrong = reading.problems.iter().filter(|problem| !problem.is_note());
    let mut told: Vec<String> = wrong.map(ToString::to_string).collect();
    if reading.route.is_none() && told.is_empty() {
        told.push("no waypoint was read".to_owned());
    }
    (!told.is_empty()).then(|| told.join("\n"))
}

/// The largest route file looked at, bytes.
pub const LARGEST_ROUTE: u64 = route::LARGEST_FILE;

/// Why a file of so many bytes is no route; `None` where it may be one.
#[must_use]
pub fn too_large(bytes: u64) -> Option<String> {
    let fault = Fault::TooLarge { bytes, allowed: LARGEST_ROUTE };
    (bytes > LARGEST_ROUTE).then(|| Problem { place: Place::Whole, fault }.to_string())
}

/// A route file as it would be typed, with what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RouteRead {
    /// One waypoint a line, or the text of the file as it is where something of it could not be taken; in place of a waypoint
    /// of another kind of file that could not be taken a line that no route is kept with. Empty where none could be read.
    pub text: String,
    /// Waypoints that could be read.
    pub waypoints: usize,
    /// Whether a waypoint of the file could not be taken: nothing is planned over a hole.
    pub hole: bool,
    /// What was not taken: the route is not kept so.
    pub wrong: Vec<String>,
    /// What was taken with a doubt.
    pub doubts: Vec<String>,
}

/// Reads a route file of any kind: lines, a table, a route exchange file or its container.
#[must_use]
pub fn read_route(bytes: &[u8]) -> RouteRead {
    let reading = Reading::of_bytes(bytes);
    let refusal = refusal(&reading);
    let as_typed = || {
        let text = std::str::from_utf8(bytes).ok()?;
        let text = text.trim_start_matches('\u{feff}');
        (!text.trim_start().starts_with('<')).then(|| text.replace("\r\n", "\n"))
    };
    let text = match (&refusal, reading.waypoints_read()) {
        (_, 0) => String::new(),
        (Some(_), _) => as_typed().unwrap_or_else(|| reading.to_lines()),
        (None, _) => reading.to_lines(),
    };
    let doubts = reading.problems.iter().filter(|problem| problem.is_note());
    RouteRead {
        text,
        waypoints: reading.waypoints_read(),
        hole: reading.lacks_a_waypoint(),
        doubts: doubts.map(ToString::to_string).collect(),
        wrong: refusal.map_or_else(Vec::new, |told| told.lines().map(str::to_owned).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A waypoint that cannot be: the page refuses the file in the words in which it is refused as a route. What could be read
    /// stands in its form, with a line in place of the waypoint that keeps it from being kept.
    #[test]
    fn ident_a_file_with_an_impossible_waypoint_is_shown_and_not_kept() {
        let waypoint = |id: u8, lat: f64| {
            format!(
                "<waypoint id=\"{id}\"><position lat=\"{lat}\" lon=\"{}\"/></waypoint>",
                10 + id
            )
        };
        let file = |lat: f64| {
            format!(
                "<?xml version=\"1.0\"?><route version=\"1.0\" xmlns=\"http://www.cirm.org/RTZ/1/0\"><routeInfo routeName=\"x\"/><waypoints>{}{}{}</waypoints></route>",
                waypoint(1, 10.0),
                waypoint(2, lat),
                waypoint(3, 12.0)
            )
        };
        let read = read_route(file(95.0).as_bytes());
        assert!(read.hole && read.waypoints == 2, "{read:?}");
        let refused = refusal(&Reading::of_bytes(file(95.0).as_bytes())).expect("refused");
        assert_eq!(read.wrong, refused.lines().collect::<Vec<_>>());
        assert!(refused.contains("95") && refused.contains("waypoint"), "{refused}");
        let lines: Vec<&str> = read.text.lines().collect();
        assert!(lines[2].contains("id \"2\"") && lines[2].contains("not read"), "{lines:?}");
        let again = refusal(&Reading::of_bytes(read.text.as_bytes())).expect("refused");
        assert!(again.contains("line 3: position"), "{again}");
        // One that only lacks its times is read into the form, to be filled in there.
        let read = read_route(file(11.0).as_bytes());
        assert!(!read.hole && read.text.lines().count() >= 3, "{read:?}");
    }

    /// A text in which something could not be taken stands in the form as it is: nothing of it is lost that has to be mended.
    #[test]
    fn ident_a_text_with_faults_is_shown_as_it_is() {
        for text in [
            "departure: 2026-11-16 00:00Z\n20 S 160 E\nhalf way\n10 S 160 E, 12 kn\n",
            "name,lat,lon,speed\nA,-20,160,fast\nB,-10,160,12\nC,-95,160,12\n",
        ] {
            let read = read_route(text.as_bytes());
            assert_eq!(read.text, text);
            assert!(!read.wrong.is_empty());
        }
    }
}
