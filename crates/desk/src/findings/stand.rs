//! Where the plant stands anyway: the stops of the kept route, each with what a cleaning there costs.

use jiff::Timestamp;
use jiff::tz::Offset;
use route::Reading;

use crate::desk::{Desk, DeskError};
use crate::passage::{Events, as_changed};

use super::view::{CleaningLine, FindingsView};

/// A stop of the route still ahead that is long enough for a cleaning.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// Where.
    pub name: String,
    /// She arrives.
    pub arrives: Timestamp,
    /// Hours she lies there; none at the end of the route, where nobody told how long.
    pub hours: Option<f64>,
    /// The ship's zone then.
    pub zone: Offset,
}

impl Stand {
    /// When she arrives, by the ship's clock then, and how long she lies.
    #[must_use]
    pub fn when(&self) -> String {
        let at = self.zone.to_datetime(self.arrives).strftime("%-d %B %H:%M").to_string();
        match self.hours {
            Some(hours) if hours >= 48.0 => format!("{at}, {:.0} days there", hours / 24.0),
            Some(hours) => format!("{at}, {hours:.0} hours there"),
            None => at,
        }
    }
}

/// A stop with what a day costs if it is cleaned there.
#[derive(Debug, Clone, PartialEq)]
pub struct StopCost<'s> {
    /// The stop.
    pub stand: &'s Stand,
    /// Average cost a day, money; none beyond what is reckoned.
    pub cost_day: Option<f64>,
    /// Whether none of the stops costs less.
    pub cheapest: bool,
}

/// A curve between its points, moments in seconds since 1970.
fn between(curve: &[(f64, f64)], at: Timestamp) -> Option<f64> {
    let x = at.as_second() as f64;
    let pair = curve.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&x))?;
    let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
    Some(if x1 > x0 { y0 + (y1 - y0) * (x - x0) / (x1 - x0) } else { y0 })
}

impl Desk {
    /// The stops ahead on the kept route at which the plant can be cleaned; none without a route that can be sailed.
    ///
    /// # Errors
    /// The route or the events cannot be read.
    pub fn stands(&self, now: Timestamp) -> Result<Vec<Stand>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(Vec::new()) };
        let Some(route) = Reading::of_bytes(text.as_bytes()).route else { return Ok(Vec::new()) };
        let setup = self.setup();
        let events = self.events_text()?.and_then(|text| Events::read(&text).ok());
        // What is wrong with them the page Passage tells.
        let changed = as_changed(&route, &events.unwrap_or_default(), &setup.ship);
        let Ok((route, schedule)) = changed else { return Ok(Vec::new()) };
        let last = route.waypoints.len().saturating_sub(1);
        let calls = schedule.calls().iter().zip(&route.waypoints).enumerate().skip(1);
        let ahead =
            calls.filter(|(i, (call, _))| call.leave > now || *i == last && call.arrive > now);
        Ok(ahead
            .filter_map(|(i, (call, waypoint))| {
                let hours = call.leave.duration_since(call.arrive).as_secs_f64() / 3600.0;
                let at_end = i == last && hours < setup.ship.prices.clean_h;
                (at_end || hours >= setup.ship.prices.clean_h.max(1.0)).then(|| Stand {
                    name: match &*waypoint.name {
                        "" => format!("waypoint {}", i + 1),
                        name => name.to_owned(),
                    },
                    arrives: call.arrive.max(now),
                    hours: (!at_end).then_some(hours),
                    zone: schedule.clock().zone(call.arrive),
                })
            })
            .collect())
    }
}

impl CleaningLine {
    /// What a day costs if it is cleaned then, between the points of the curve.
    #[must_use]
    pub fn cost_at(&self, at: Timestamp) -> Option<f64> {
        between(&self.curve, at)
    }

    /// Which to take of the days and stops that can be had, and what it costs until then: one line, before all reasons.
    #[must_use]
    pub fn advice(&self, view: &FindingsView, stands: &[Stand]) -> String {
        let until = |at: Timestamp| match between(&self.lost_t, at) {
            Some(t) if t >= 0.5 => format!("; until then it costs {t:.0} t of water"),
            _ => String::new(),
        };
        let stops = self.stops(stands);
        let priced = stops.iter().filter(|stop| stop.cost_day.is_some()).count();
        match stops.iter().find(|stop| stop.cheapest) {
            Some(StopCost { stand, .. }) => format!(
                "Clean at {} ({}): {}{}.",
                stand.name,
                stand.when(),
                if priced > 1 {
                    "of the stops you have it costs least"
                } else {
                    "the one stop you have"
                },
                until(stand.arrives)
            ),
            None if self.due => {
                "Clean when the plant is next off: the day that costs least has passed.".to_owned()
            }
            None => format!(
                "Clean about {}, the day that costs least: no stop is known{}.",
                view.day(self.best),
                until(self.best)
            ),
        }
    }

    /// Money as it is written: "16.4 USD".
    #[must_use]
    pub fn money(&self, money: f64) -> String {
        format!("{money:.1} {}", self.currency)
    }

    /// The stops ahead, in their order, each with what a day costs if it is cleaned there.
    #[must_use]
    pub fn stops<'s>(&self, stands: &'s [Stand]) -> Vec<StopCost<'s>> {
        let mut stops: Vec<StopCost<'s>> = stands
            .iter()
            .map(|stand| StopCost { stand, cost_day: self.cost_at(stand.arrives), cheapest: false })
            .collect();
        let costs = stops.iter().enumerate().filter_map(|(i, stop)| Some((i, stop.cost_day?)));
        let cheapest = costs.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i);
        if let Some(stop) = cheapest.and_then(|i| stops.get_mut(i)) {
            stop.cheapest = true;
        }
        stops
    }

    /// The same in a sentence, with the cheapest day beside. Empty without a stop ahead.
    #[must_use]
    pub fn where_to(&self, view: &FindingsView, stands: &[Stand]) -> String {
        let told = |stop: &StopCost<'_>| {
            let cost = stop.cost_day.map_or_else(|| "not reckoned".to_owned(), |c| self.money(c));
            format!("{} ({}) {cost}", stop.stand.name, stop.stand.when())
        };
        let stops: Vec<String> = self.stops(stands).iter().map(told).collect();
        if stops.is_empty() {
            return String::new();
        }
        format!(
            "Where she stands anyway, with the cost of a day if it is cleaned there: {}; on the day that costs least, {}, {}.",
            stops.join(", "),
            view.day(self.best),
            self.money(self.cost_day)
        )
    }
}
