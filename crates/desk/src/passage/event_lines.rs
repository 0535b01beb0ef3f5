//! `events.toml` read event by event: each figure checked, every fault told with the line it stands on.

use jiff::Timestamp;
use jiff::tz::Offset;
use ocean::Position;
use passage::timeline::{Area, Draw};
use serde::Deserialize;

use super::changes::{LegLine, StopLine};
use super::events::{Events, EventsRefused, blocks};

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct File {
    draw: Vec<DrawLine>,
    area: Vec<AreaLine>,
    discharge: Vec<DischargeLine>,
    ceiling: Vec<CeilingLine>,
    for_sale: Vec<SaleLine>,
    leg: Vec<LegLine>,
    stop: Vec<StopLine>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct DrawLine {
    name: String,
    from: String,
    hours: f64,
    t: f64,
    less_price_t: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AreaLine {
    name: String,
    corners: Vec<String>,
    only: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct DischargeLine {
    from: String,
    until: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct CeilingLine {
    from: String,
    t: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SaleLine {
    name: String,
    at: String,
    price_t: f64,
    fixed: f64,
    most_t: f64,
}

/// What is wrong, in the order it was found.
#[derive(Debug, Default)]
pub(super) struct Faults(Vec<String>);

impl Faults {
    /// The value, or none and its fault kept.
    pub fn take<T>(&mut self, read: Result<T, EventsRefused>) -> Option<T> {
        read.map_err(|refused| self.0.push(refused.0)).ok()
    }

    fn put(&mut self, fault: String) {
        self.0.push(fault);
    }
}

impl Events {
    /// Reads `events.toml`.
    ///
    /// # Errors
    /// [`EventsRefused`]: of every fault where it is, what was read, what is allowed.
    pub fn read(text: &str) -> Result<Events, EventsRefused> {
        let text = &super::earlier::unmarked(text);
        let (mut events, mut faults) = (Events::default(), Faults::default());
        let mut above = 0;
        for block in blocks(text) {
            let lines = block.lines().count();
            match toml::from_str::<File>(&block) {
                Ok(file) => events.add(file, &mut faults),
                Err(error) => faults.put(told(&error, &block, above)),
            }
            above += lines;
        }
        let mut changed: Vec<(&str, usize)> =
            events.legs.iter().map(|leg| ("leg to", leg.to)).collect();
        changed.extend(events.stops.iter().map(|stop| ("stop at", stop.at)));
        changed.sort_unstable();
        let twice = changed.windows(2).filter(|pair| pair[0] == pair[1]);
        for (what, number) in twice.filter_map(|pair| pair.first()) {
            faults.put(format!("{what} waypoint {number}: told twice; leave one of them out"));
        }
        if faults.0.is_empty() { Ok(events) } else { Err(EventsRefused(faults.0.join("\n"))) }
    }

    /// Takes the events of a part of the file; what is wrong with one leaves it out.
    fn add(&mut self, file: File, faults: &mut Faults) {
        self.draws.extend(file.draw.into_iter().filter_map(|line| line.read(faults)));
        self.areas.extend(file.area.into_iter().filter_map(|line| line.read(faults)));
        for line in file.discharge {
            let at = format!("discharge {}", self.discharges.len() + 1);
            self.discharges.extend(line.read(&at, faults));
        }
        for line in file.ceiling {
            let at = format!("ceiling {}", self.ceilings.len() + 1);
            let t = faults.take(within(&at, "t", line.t, (0.0, 1.0e5), "t"));
            self.ceilings.extend(faults.take(instant(&at, "from", &line.from)).zip(t));
        }
        self.for_sale.extend(file.for_sale.into_iter().filter_map(|line| line.read(faults)));
        self.legs.extend(file.leg.into_iter().filter_map(|line| line.read(faults)));
        self.stops.extend(file.stop.into_iter().filter_map(|line| line.read(faults)));
    }
}

/// What the reader of TOML says, with the line in the file and without a programmer's words.
fn told(error: &toml::de::Error, block: &str, above: usize) -> String {
    let before = error.span().and_then(|span| block.get(..span.start));
    let line = above + before.map_or(1, |before| before.matches('\n').count() + 1);
    let mut says = error.message().trim().replace('\n', ", ");
    for (word, plain) in [
        ("floating point", "number"),
        ("expected f64", "wanted a number without quotes"),
        ("expected usize", "wanted a whole number without quotes"),
        ("expected a string", "wanted a text in \"quotes\""),
        ("expected a sequence", "wanted a list in [brackets]"),
        ("invalid type: map", "a date or a table stands here"),
        ("invalid type: ", "read "),
        ("expected one of", "known are"),
        ("unknown field", "unknown word"),
    ] {
        says = says.replace(word, plain);
    }
    format!("line {line}: {says}; write it as in the example")
}

impl DrawLine {
    fn read(self, faults: &mut Faults) -> Option<Draw> {
        let at = format!("draw \"{}\"", self.name);
        let from = faults.take(instant(&at, "from", &self.from));
        let hours = faults.take(within(&at, "hours", self.hours, (0.1, 240.0), "h"));
        let t = faults.take(within(&at, "t", self.t, (0.0, 5000.0), "t"));
        let price = self.less_price_t;
        let price = price.map(|p| within(&at, "less_price_t", p, (0.0, 1.0e5), "a tonne"));
        let less_price_t = faults.take(price.transpose())?;
        Some(Draw { from: from?, hours: hours?, t: t?, less_price_t, name: self.name })
    }
}

impl AreaLine {
    fn read(self, faults: &mut Faults) -> Option<Area> {
        let at = format!("area \"{}\"", self.name);
        let corners: Vec<Option<Position>> = self
            .corners
            .iter()
            .enumerate()
            .map(|(i, text)| {
                let read = text.parse::<Position>();
                let refused = |e| EventsRefused(format!("{at}: corner {}: {e}", i + 1));
                faults.take(read.map_err(refused))
            })
            .collect();
        let only = match self.only.as_deref() {
            None => Ok(false),
            Some("distilled") => Ok(true),
            Some(other) => Err(EventsRefused(format!(
                "{at}: only \"{other}\", allowed is \"distilled\"; leave it out where no water at all is to be made"
            ))),
        };
        let only = faults.take(only);
        let corners: Vec<Position> = corners.into_iter().collect::<Option<_>>()?;
        let bounds = Area::new(&self.name, &corners);
        let bounds = faults.take(bounds.map_err(|e| EventsRefused(e.to_string())))?;
        Some(if only? { bounds.for_distilled() } else { bounds })
    }
}

impl DischargeLine {
    fn read(&self, at: &str, faults: &mut Faults) -> Option<(Timestamp, Timestamp)> {
        let from = faults.take(instant(at, "from", &self.from));
        let until = faults.take(instant(at, "until", &self.until));
        let (from, until) = from.zip(until)?;
        if until < from {
            faults.put(format!("{at}: until {until} lies before from {from}; turn them round"));
            return None;
        }
        Some((from, until))
    }
}

/// Name, when, a tonne, fixed, most.
type Sale = (String, Timestamp, f64, f64, f64);

impl SaleLine {
    fn read(self, faults: &mut Faults) -> Option<Sale> {
        let named = format!("for_sale \"{}\"", self.name);
        let at = faults.take(instant(&named, "at", &self.at));
        let price = faults.take(within(&named, "price_t", self.price_t, (0.0, 1.0e5), "a tonne"));
        let fixed = faults.take(within(&named, "fixed", self.fixed, (0.0, 1.0e7), "in all"));
        let most = faults.take(within(&named, "most_t", self.most_t, (0.0, 1.0e5), "t"));
        Some((self.name, at?, price?, fixed?, most?))
    }
}

/// UTC where no offset stands behind it.
fn instant(at: &str, field: &str, text: &str) -> Result<Timestamp, EventsRefused> {
    let refused = |why: String| EventsRefused(format!("{at}: {field} {why}"));
    let no_time = || {
        refused(format!(
            "\"{text}\" is no time; write UTC as 2026-11-29 06:00Z or 29 Nov 2026 06:00Z"
        ))
    };
    let moment = quantity::read_moment(text).ok_or_else(no_time)?;
    let date = quantity::day_first(moment.date, text).map_err(|e| refused(e.to_string()))?;
    let local = date.to_datetime(moment.time.ok_or_else(no_time)?);
    moment.offset.unwrap_or(Offset::UTC).to_timestamp(local).map_err(|_| no_time())
}

pub(super) fn within(
    at: &str,
    field: &str,
    value: f64,
    (low, high): (f64, f64),
    unit: &str,
) -> Result<f64, EventsRefused> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(EventsRefused(format!(
            "{at}: {field} {value}, allowed {low} to {high} {unit}; correct it"
        )))
    }
}
