//! Writing a route exchange file that keeps the schema of its version, element by element in its order.

use jiff::{SignedDuration, Timestamp};
use ocean::{Position, Track};

use super::{MANUFACTURER, Version, length};
use crate::heading;
use crate::route::Route;
use crate::schedule::Schedule;
use crate::waypoint::{Pace, Waypoint};
use crate::words;

impl Route {
    /// The route as a route exchange file that [`Reading::of_bytes`](crate::Reading::of_bytes) reads back to the same. The
    /// schema asks for two waypoints at least. Times as entered stand in its schedule as `manual`, all of them worked out as
    /// `calculated` where the route can be sailed as written.
    #[must_use]
    pub fn to_rtz(&self, version: Version) -> String {
        let mut out = Out { text: String::new(), depth: 0 };
        out.text.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        let root = [("version", version.number()), ("xmlns", version.namespace())];
        out.element("route", &own(&root), |out| {
            let name = [("routeName".to_owned(), words::tidy(&self.name))];
            out.element("routeInfo", &name, |out| self.write_heading(out));
            out.element("waypoints", &[], |out| {
                for (i, waypoint) in self.waypoints.iter().enumerate() {
                    write_waypoint(out, i + 1, waypoint);
                }
            });
            self.write_schedules(out, version);
        });
        out.text
    }

    fn write_heading(&self, out: &mut Out) {
        let mut said: Vec<(String, String)> = Vec::new();
        for (key, value) in heading::write_ports_and_clock(self) {
            match said.last_mut().filter(|(last, _)| last == key) {
                Some((_, values)) => {
                    values.push_str("; ");
                    values.push_str(&value);
                }
                None => said.push((key.to_owned(), value)),
            }
        }
        if !said.is_empty() {
            write_extension(out, "voyage", said);
        }
    }

    fn write_schedules(&self, out: &mut Out, version: Version) {
        let manual: Vec<Vec<(String, String)>> = self
            .waypoints
            .iter()
            .enumerate()
            .filter_map(|(i, one)| entered(i, one, version))
            .collect();
        let worked_out = self.schedule().ok();
        if manual.is_empty() && worked_out.is_none() {
            return;
        }
        out.element("schedules", &[], |out| {
            let schedule = [("id", "1"), ("name", "Plan")];
            out.element("schedule", &own(&schedule), |out| {
                if !manual.is_empty() {
                    out.element("manual", &[], |out| {
                        for element in &manual {
                            out.element(version.schedule_element(), element, |_| {});
                        }
                    });
                }
                if let Some(schedule) = worked_out {
                    out.element("calculated", &[], |out| {
                        for element in calculated(&schedule) {
                            out.element(version.schedule_element(), &element, |_| {});
                        }
                    });
                }
            });
        });
    }
}

fn write_waypoint(out: &mut Out, id: usize, waypoint: &Waypoint) {
    let mut attributes = vec![("id".to_owned(), id.to_string())];
    let name = words::tidy(&waypoint.name);
    if !name.is_empty() {
        attributes.push(("name".to_owned(), name));
    }
    out.element("waypoint", &attributes, |out| {
        let (lat, lon) = degrees(waypoint.position);
        let place = [("lat".to_owned(), lat), ("lon".to_owned(), lon)];
        out.element("position", &place, |_| {});
        let geometry = match waypoint.track {
            Track::RhumbLine => "Loxodrome",
            Track::GreatCircle => "Orthodrome",
        };
        let mut leg = own(&[("geometryType", geometry)]);
        leg.extend(waypoint.most_kn.map(|kn| ("speedMax".to_owned(), kn.to_string())));
        out.element("leg", &leg, |_| {});
        let said = words::write_marks(waypoint);
        if !said.is_empty() || waypoint.etd.is_some() {
            write_extension(out, "waypoint", vec![("words".to_owned(), said.join("; "))]);
        }
    });
}

/// An extension as the schemas of 1.1 and 1.2 ask for it; that of 1.0 takes any.
fn write_extension(out: &mut Out, name: &str, said: Vec<(String, String)>) {
    let mut attributes = own(&[("manufacturer", MANUFACTURER), ("name", name), ("version", "1")]);
    attributes.extend(said);
    out.element("extensions", &[], |out| out.element("extension", &attributes, |_| {}));
}

/// The schema ends longitude before 180.
fn degrees(position: Position) -> (String, String) {
    let lon = if position.lon_deg() == 180.0 { -180.0 } else { position.lon_deg() };
    (position.lat_deg().to_string(), lon.to_string())
}

/// What was entered for one waypoint; `None` where nothing was.
fn entered(index: usize, waypoint: &Waypoint, version: Version) -> Option<Vec<(String, String)>> {
    let mut said = Vec::new();
    if let Some(etd) = waypoint.etd {
        said.push(("etd".to_owned(), etd.to_string()));
    }
    if let Some(Pace::Eta(eta)) = waypoint.pace {
        said.push(("eta".to_owned(), eta.to_string()));
    }
    let lengths: Option<Vec<SignedDuration>> =
        waypoint.stays.iter().map(|stay| stay.length).collect();
    let stay = lengths
        .map(|all| all.into_iter().fold(SignedDuration::ZERO, SignedDuration::saturating_add));
    if let Some(stay) = stay.filter(SignedDuration::is_positive) {
        let text = match version {
            Version::V1_2 => Some(length::write_duration(stay)),
            Version::V1_0 | Version::V1_1 => length::write_time(stay),
        };
        said.extend(text.map(|text| ("stay".to_owned(), text)));
    }
    if let Some(Pace::Speed { kn }) = waypoint.pace.filter(|pace| is_speed(*pace)) {
        said.push(("speed".to_owned(), kn.to_string()));
    }
    (!said.is_empty()).then(|| {
        let mut all = vec![("waypointId".to_owned(), (index + 1).to_string())];
        all.extend(said);
        all
    })
}

/// The schema takes no other.
fn is_speed(pace: Pace) -> bool {
    matches!(pace, Pace::Speed { kn } if kn.is_finite() && kn >= 0.0)
}

/// All times as worked out, to the second.
fn calculated(schedule: &Schedule) -> Vec<Vec<(String, String)>> {
    let mut elements = Vec::new();
    for (i, call) in schedule.calls().iter().enumerate() {
        let mut element = vec![("waypointId".to_owned(), (i + 1).to_string())];
        let is_last = i + 1 == schedule.calls().len();
        if !is_last {
            element.push(("etd".to_owned(), second(call.leave)));
        }
        if i > 0 || call.arrive != call.leave {
            element.push(("eta".to_owned(), second(call.arrive)));
        }
        if let Some(leg) = i.checked_sub(1).and_then(|leg| schedule.legs().get(leg)) {
            element.push(("speed".to_owned(), format!("{:.2}", leg.speed_kn)));
        }
        elements.push(element);
    }
    elements
}

fn second(at: Timestamp) -> String {
    at.round(jiff::Unit::Second).unwrap_or(at).to_string()
}

fn own(attributes: &[(&str, &str)]) -> Vec<(String, String)> {
    attributes.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}

/// XML as it grows.
struct Out {
    text: String,
    depth: usize,
}

impl Out {
    /// An element with its attributes and what stands in it.
    fn element(
        &mut self,
        name: &str,
        attributes: &[(String, String)],
        inside: impl FnOnce(&mut Self),
    ) {
        self.indent();
        self.text.push('<');
        self.text.push_str(name);
        for (key, value) in attributes {
            self.text.push(' ');
            self.text.push_str(key);
            self.text.push_str("=\"");
            value.chars().for_each(|c| self.escaped(c));
            self.text.push('"');
        }
        let open = self.text.len();
        self.text.push_str(">\n");
        let before = self.text.len();
        self.depth += 1;
        inside(self);
        self.depth -= 1;
        if self.text.len() == before {
            self.text.truncate(open);
            self.text.push_str("/>\n");
        } else {
            self.indent();
            self.text.push_str("</");
            self.text.push_str(name);
            self.text.push_str(">\n");
        }
    }

    fn indent(&mut self) {
        (0..self.depth).for_each(|_| self.text.push_str("  "));
    }

    fn escaped(&mut self, c: char) {
        match c {
            '&' => self.text.push_str("&amp;"),
            '<' => self.text.push_str("&lt;"),
            '>' => self.text.push_str("&gt;"),
            '"' => self.text.push_str("&quot;"),
            c => self.text.push(c),
        }
    }
}
