//! The plan as it was at departure, kept beside the route: written whole once, and held against what came.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use logbook::Hash;
use passage::timeline::STEP_MIN;
use route::Reading;
use serde::{Deserialize, Serialize};

use crate::desk::{Desk, DeskError, write_whole};

use super::events::Events;
use super::{How, OrderLine, PassageView, as_changed};

/// Name of the file of the plan at departure in the folder.
pub const DEPARTURE_FILE: &str = "departure.json";
/// Reckoned so soon after full away, a plan is one of the departure, hours.
const AT_ONCE_H: i64 = 1;

/// A quarter of an hour of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Then {
    /// Its beginning.
    pub at: Timestamp,
    /// Distance to the nearest land, nmi.
    pub distance_off_nmi: f64,
    /// Depth, m, where it is known.
    pub depth_m: Option<f64>,
    /// Temperature of the sea, °C.
    pub sea_temp_c: f64,
    /// Share of rated engine load.
    pub load: f64,
    /// Output as ordered, t/day.
    pub making_t_day: f64,
    /// Stock at its beginning, t: one in ten below, the middle, one in ten above.
    pub stock_t: (f64, f64, f64),
    /// The rule that forbade making water, in a word.
    pub rule: Option<String>,
}

/// What was to be foreseen at a departure.
#[derive(Debug, Clone, PartialEq)]
pub struct Departure {
    /// Full away.
    pub away: Timestamp,
    /// When this was reckoned.
    pub reckoned: Timestamp,
    /// The ship's zone at departure.
    pub zone: Offset,
    /// From the quarter of an hour of full away on.
    pub samples: Vec<Then>,
    /// Orders of the plant and the tanks in time.
    pub orders: Vec<OrderLine>,
    /// Why it could not be kept, where it could not.
    pub not_kept: Option<String>,
}

impl Departure {
    fn of(view: &PassageView, away: Timestamp, reckoned: Timestamp) -> Departure {
        let at = |band: &[f64], k: usize| band.get(k).copied().unwrap_or(0.0);
        let then = view.timeline.samples.iter().enumerate().map(|(k, sample)| Then {
            at: sample.at,
            distance_off_nmi: sample.sea.distance_off.nmi(),
            depth_m: sample.sea.depth_m,
            sea_temp_c: sample.sea.temp_c,
            load: sample.load,
            making_t_day: at(&view.making_t_day, k),
            stock_t: view.stock_t(k),
            rule: sample.rule.as_ref().map(|rule| rule.word().to_owned()),
        });
        Departure {
            away,
            reckoned,
            zone: view.timeline.clock.zone(away),
            samples: then.collect(),
            orders: view.orders.clone(),
            not_kept: None,
        }
    }

    /// Whether it was reckoned at departure, and not later from the record of then.
    #[must_use]
    pub fn at_once(&self) -> bool {
        self.reckoned.duration_since(self.away) <= SignedDuration::from_hours(AT_ONCE_H)
    }

    /// The sample in which a moment lies; the first before it, the last after it.
    #[must_use]
    pub fn index(&self, at: Timestamp) -> usize {
        self.samples.partition_point(|then| then.at <= at).saturating_sub(1)
    }

    /// Whose plan this is, in a sentence: of the departure, or reckoned later.
    #[must_use]
    pub fn says(&self) -> String {
        let told = |at: Timestamp| self.zone.to_datetime(at).strftime("%-d %b %H:%M").to_string();
        let reckoned = if self.at_once() {
            format!(
                "Reckoned at departure, {}, and kept: what was changed since does not move it.",
                told(self.away)
            )
        } else {
            format!(
                "No plan was kept at departure, {}. This one was reckoned from then on {}, with the soundings of departure; events, prices and ship’s file are those of the later day.",
                told(self.away),
                self.reckoned.strftime("%-d %b %H:%M UTC")
            )
        };
        match &self.not_kept {
            Some(why) => format!("{reckoned} It could not be kept: {why}."),
            None => reckoned,
        }
    }
}

/// The departure of a route: which of its sea passages, and when she was full away.
#[derive(Debug, Clone, PartialEq)]
struct Left {
    route: String,
    passage: usize,
    away: Timestamp,
}

impl Desk {
    /// The plan of the last departure as it is kept; `None` before a departure, and where none is kept that holds for it.
    ///
    /// A departure put off until after the plan was reckoned is another one.
    ///
    /// # Errors
    /// The folder or the record cannot be read.
    pub fn departure_kept(&self, now: Timestamp) -> Result<Option<Departure>, DeskError> {
        let Some(left) = self.left(now)? else { return Ok(None) };
        Ok(self.kept_of(&left)?.filter(|kept| kept.away <= now))
    }

    /// The same, reckoned and kept now where none is.
    ///
    /// # Errors
    /// As [`Desk::passage`]. That it cannot be written is no error: the plan says so.
    pub fn departure(&self, now: Timestamp) -> Result<Option<Departure>, DeskError> {
        let Some(left) = self.left(now)? else { return Ok(None) };
        let kept = self.kept_of(&left)?;
        // Who looks back before the departure that is kept gets a plan of his own.
        let newer = kept.as_ref().is_some_and(|kept| kept.away > now);
        if let Some(kept) = kept.filter(|_| !newer) {
            return Ok(Some(kept));
        }
        let Some(view) = self.passage(left.away, How::AtDeparture)? else { return Ok(None) };
        let mut departure = Departure::of(&view, left.away, now);
        if !newer {
            let written = Kept::of(&departure, &left).and_then(|text| {
                write_whole(&self.folder().join(DEPARTURE_FILE), &text).map_err(|e| e.to_string())
            });
            departure.not_kept = written.err();
        }
        Ok(Some(departure))
    }

    /// Reckons and keeps the plan of a departure that was just now; one that lies longer ago is left alone.
    ///
    /// # Errors
    /// As [`Desk::departure`].
    pub fn departure_at_once(&self, now: Timestamp) -> Result<(), DeskError> {
        let soon = SignedDuration::from_hours(AT_ONCE_H);
        let left = self.left(now)?.filter(|left| now.duration_since(left.away) <= soon);
        left.map_or(Ok(()), |_| self.departure(now).map(|_| ()))
    }

    /// The plan kept of a departure. A file that cannot be understood is as good as none.
    fn kept_of(&self, left: &Left) -> Result<Option<Departure>, DeskError> {
        let Some(text) = self.kept_text(DEPARTURE_FILE)? else { return Ok(None) };
        let kept = serde_json::from_str::<Kept>(&text).ok();
        let kept = kept.filter(|kept| kept.route == left.route && kept.passage == left.passage);
        Ok(kept.and_then(Kept::read).filter(|kept| left.away <= kept.reckoned))
    }

    /// The last departure before a moment, by the kept route with what is changed of it.
    fn left(&self, now: Timestamp) -> Result<Option<Left>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(None) };
        let Some(route) = Reading::of_bytes(text.as_bytes()).route else { return Ok(None) };
        let events = self.events_text()?.and_then(|text| Events::of(&text, &route).ok());
        let (events, _) = events.unwrap_or_default();
        let changed = as_changed(&route, &events, &self.setup().ship);
        let Ok((_, schedule)) = changed else { return Ok(None) };
        let mut passages = schedule.sea_passages().iter().enumerate();
        let last = passages.rfind(|(_, passage)| passage.full_away <= now);
        Ok(last.map(|(passage, sea)| Left {
            route: Hash::of(text.as_bytes()).to_string(),
            passage,
            away: sea.full_away,
        }))
    }
}

/// A sample in the file: distance off nmi, depth m, sea °C, load, output t/day, stock t (three), rule.
type Line = (f64, Option<f64>, f64, f64, f64, f64, f64, f64, Option<String>);
/// An order in the file: when, zone in seconds, what, of the plant.
type Order = (String, i32, String, bool);

/// The file.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    route: String,
    passage: usize,
    away: String,
    reckoned: String,
    zone_s: i32,
    from: String,
    step_min: i64,
    orders: Vec<Order>,
    samples: Vec<Line>,
}

/// To a thousandth: finer than anything of it is known.
fn short(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

impl Kept {
    /// The text of the file.
    fn of(departure: &Departure, left: &Left) -> Result<String, String> {
        let line = |then: &Then| {
            let (low, middle, high) = then.stock_t;
            let [low, middle, high] = [low, middle, high].map(short);
            let (off, depth) = (short(then.distance_off_nmi), then.depth_m.map(short));
            let (sea, load, making) =
                (short(then.sea_temp_c), short(then.load), short(then.making_t_day));
            (off, depth, sea, load, making, low, middle, high, then.rule.clone())
        };
        let order = |order: &OrderLine| {
            (order.at.to_string(), order.zone.seconds(), order.what.clone(), order.plant)
        };
        let first = departure.samples.first().map_or(departure.away, |then| then.at);
        let kept = Kept {
            route: left.route.clone(),
            passage: left.passage,
            away: departure.away.to_string(),
            reckoned: departure.reckoned.to_string(),
            zone_s: departure.zone.seconds(),
            from: first.to_string(),
            step_min: i64::from(STEP_MIN),
            orders: departure.orders.iter().map(order).collect(),
            samples: departure.samples.iter().map(line).collect(),
        };
        serde_json::to_string(&kept).map_err(|e| e.to_string())
    }

    /// What the file says; `None` where a time or a zone in it is none.
    fn read(self) -> Option<Departure> {
        let from: Timestamp = self.from.parse().ok()?;
        let step_s = self.step_min.checked_mul(60).filter(|step| *step > 0)?;
        let samples = self.samples.into_iter().enumerate().map(|(k, line)| {
            let (distance_off_nmi, depth_m, sea_temp_c, load, making_t_day, low, mid, high, rule) =
                line;
            let ahead_s = step_s.checked_mul(i64::try_from(k).ok()?)?;
            let at = from.checked_add(SignedDuration::from_secs(ahead_s)).ok()?;
            let stock_t = (low, mid, high);
            Some(Then {
                at,
                distance_off_nmi,
                depth_m,
                sea_temp_c,
                load,
                making_t_day,
                stock_t,
                rule,
            })
        });
        let orders = self.orders.into_iter().map(|(at, zone_s, what, plant)| {
            let (at, zone) = (at.parse().ok()?, Offset::from_seconds(zone_s).ok()?);
            Some(OrderLine { at, zone, what, plant })
        });
        Some(Departure {
            away: self.away.parse().ok()?,
            reckoned: self.reckoned.parse().ok()?,
            zone: Offset::from_seconds(self.zone_s).ok()?,
            samples: samples.collect::<Option<_>>()?,
            orders: orders.collect::<Option<_>>()?,
            not_kept: None,
        })
    }
}
