//! Where the plant stands anyway: the stop of the kept route at which a cleaning costs least.

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
        let x = at.as_second() as f64;
        let pair = self.curve.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&x))?;
        let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
        Some(if x1 > x0 { y0 + (y1 - y0) * (x - x0) / (x1 - x0) } else { y0 })
    }

    /// Where on the route it is best cleaned, in sentences: the plant makes no water there anyway. Empty without a route ahead.
    #[must_use]
    pub fn where_to(&self, view: &FindingsView, stands: &[Stand]) -> String {
        if stands.is_empty() {
            return String::new();
        }
        let told = |stand: &Stand| {
            let at = stand.zone.to_datetime(stand.arrives).strftime("%-d %B %H:%M").to_string();
            let lies = match stand.hours {
                Some(hours) if hours >= 48.0 => format!(", {:.0} days there", hours / 24.0),
                Some(hours) => format!(", {hours:.0} hours there"),
                None => String::new(),
            };
            format!("{} ({at}{lies})", stand.name)
        };
        let cost = |stand: &Stand| self.cost_at(stand.arrives);
        let cheapest = stands
            .iter()
            .filter_map(|stand| Some((stand, cost(stand)?)))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let next = stands.iter().find(|stand| stand.arrives >= self.best);
        let at_best = match next {
            Some(next) => format!(" The next stop after that day is {}.", told(next)),
            None if self.due => String::new(),
            None => format!(" The route ends before {}.", view.day(self.best)),
        };
        match cheapest {
            Some((stand, cost)) if next != Some(stand) => format!(
                "She stands anyway at {}: cleaned there a day costs {cost:.1} {} against {:.1} at the least.{at_best}",
                told(stand),
                self.currency,
                self.cost_day
            ),
            Some((stand, cost)) => format!(
                "The next stop after that day is {}, where she stands anyway: cleaned there a day costs {cost:.1} {} against {:.1} at the least.",
                told(stand),
                self.currency,
                self.cost_day
            ),
            None => at_best.trim_start().to_owned(),
        }
    }
}
