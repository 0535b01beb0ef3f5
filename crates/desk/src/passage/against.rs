//! Plan against actual: what was sounded and made since departure beside what was planned then.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::Timestamp;
use route::Reading;

use crate::desk::{Desk, DeskError};
use crate::round::{Round, SOUNDING};
use crate::ship::Ship;

use super::events::Events;
use super::{How, PassageView, as_changed};

/// Rounds looked at: three months of four-hour watches.
const MOST_ROUNDS: usize = 600;

/// The passage so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The plan as it would be made at departure: with the soundings of then, and route, events and ship's file as they are now.
    pub plan: Arc<PassageView>,
    /// Pumpable water of all tanks as sounded since: when, and t.
    pub sounded_t: Vec<(Timestamp, f64)>,
    /// How many of them lay between one in ten below and one in ten above.
    pub inside: usize,
    /// The newest less what was planned for its moment, t.
    pub off_t: f64,
    /// Made since by the distillate meter, t; none where it was not read.
    pub made_t: Option<f64>,
    /// Planned to be made until the newest reading, t.
    pub to_be_made_t: f64,
}

/// What was sounded since a departure, and what was read.
struct Since {
    away: Timestamp,
    sounded_t: Vec<(Timestamp, f64)>,
    rounds: Vec<Round>,
}

impl Desk {
    /// Holds what was sounded since the last departure against the plan of then; none before departure and where
    /// nothing has been sounded since.
    ///
    /// # Errors
    /// As [`Desk::passage`].
    pub fn against(&self, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let Some(since) = self.since_departure(now)? else { return Ok(None) };
        let Some(plan) = self.passage(since.away, How::AtDeparture)? else { return Ok(None) };
        Ok(Some(Against::of(plan, since.sounded_t, &since.rounds)))
    }

    /// The same where the plan of the departure is at hand: nobody waits for it.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn against_at_hand(&self, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let Some(since) = self.since_departure(now)? else { return Ok(None) };
        let Some(asked) = self.asked(since.away, How::AtDeparture)? else { return Ok(None) };
        let plan = self.plans().of_departure(&asked);
        Ok(plan.map(|plan| Against::of(plan, since.sounded_t, &since.rounds)))
    }

    fn since_departure(&self, now: Timestamp) -> Result<Option<Since>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(None) };
        let Some(route) = Reading::of_bytes(text.as_bytes()).route else { return Ok(None) };
        let events = self.events_text()?.and_then(|text| Events::read(&text).ok());
        let setup = self.setup();
        let changed = as_changed(&route, &events.unwrap_or_default(), &setup.ship);
        let Ok((_, schedule)) = changed else { return Ok(None) };
        let passages = schedule.sea_passages();
        let Some(away) = passages.iter().rev().map(|p| p.full_away).find(|at| *at <= now) else {
            return Ok(None);
        };
        let rounds: Vec<Round> =
            self.rounds(now, MOST_ROUNDS)?.into_iter().filter(|round| round.at >= away).collect();
        let before = self.now(away)?.tanks;
        let known = before.iter().filter_map(|tank| Some((tank.key.clone(), tank.pumpable_m3?)));
        let sounded_t = stocks(&setup.ship, known.collect(), &rounds);
        Ok((!sounded_t.is_empty()).then_some(Since { away, sounded_t, rounds }))
    }
}

/// The stock, t, after each round in which a tank was sounded, from the time on when every tank is known. A tonne of fresh
/// water is a cubic metre to one part in two hundred.
fn stocks(
    ship: &Ship,
    mut known: BTreeMap<String, f64>,
    rounds: &[Round],
) -> Vec<(Timestamp, f64)> {
    let mut stocks = Vec::new();
    for round in rounds {
        let mut fresh = false;
        for tank in &ship.tanks {
            let cm = round.value(&format!("{SOUNDING}{}", tank.key));
            if let Some(content) = cm.and_then(|cm| tank.volume_m3(cm)) {
                known.insert(tank.key.clone(), tank.pumpable_m3(content));
                fresh = true;
            }
        }
        if fresh && known.len() == ship.tanks.len() {
            stocks.push((round.at, known.values().sum()));
        }
    }
    stocks
}

impl Against {
    fn of(plan: Arc<PassageView>, sounded_t: Vec<(Timestamp, f64)>, rounds: &[Round]) -> Against {
        let bands = &plan.brief.bands;
        let at = |band: &[f64], when| band.get(plan.timeline.index(when)).copied();
        let inside = sounded_t.iter().filter(|(when, t)| {
            at(&bands.p10, *when).is_some_and(|low| low <= *t)
                && at(&bands.p90, *when).is_some_and(|high| *t <= high)
        });
        let inside = inside.count();
        let (last, newest) = sounded_t.last().copied().unwrap_or((plan.from, 0.0));
        let off_t = newest - at(&bands.p50, last).unwrap_or(newest);
        let meter = |round: &Round| round.value("distillate_meter_m3").map(|m3| (round.at, m3));
        let (first, end) = (rounds.iter().find_map(meter), rounds.iter().rev().find_map(meter));
        let made_t = first.zip(end).map(|(a, b)| b.1 - a.1).filter(|made| *made >= 0.0);
        let upto = plan.timeline.index(end.map_or(last, |(at, _)| at));
        let step_days = f64::from(passage::timeline::STEP_MIN) / 1440.0;
        let to_be_made_t = plan.making_t_day.iter().take(upto).sum::<f64>() * step_days;
        Against { plan, sounded_t, inside, off_t, made_t, to_be_made_t }
    }

    /// More or less than reckoned, and what was made for it, in a sentence of its own.
    #[must_use]
    pub fn ahead(&self) -> String {
        let made = match self.made_t {
            Some(made) if (made - self.to_be_made_t).abs() >= 1.0 => {
                format!(": {made:.0} t have been made since, {:.0} were to be", self.to_be_made_t)
            }
            _ => String::new(),
        };
        format!("By the last sounding {}{made}.", self.off())
    }

    fn off(&self) -> String {
        match self.off_t.round() {
            t if t > 0.0 => format!("she holds {t:.0} t more than reckoned from departure"),
            t if t < 0.0 => format!("she holds {:.0} t less than reckoned from departure", -t),
            _ => "as much is aboard as was reckoned from departure".to_owned(),
        }
    }

    /// The comparison in words.
    #[must_use]
    pub fn says(&self) -> String {
        let sounded = match (self.sounded_t.len(), self.inside) {
            (1, 1) => "The sounding since departure lies in the band of eight in ten".to_owned(),
            (1, _) => {
                "The sounding since departure lies outside the band of eight in ten".to_owned()
            }
            (count, inside) => {
                let lie = if inside == 1 { "lies" } else { "lie" };
                format!(
                    "Of {count} soundings since departure {inside} {lie} in the band of eight in ten"
                )
            }
        };
        let off = self.off();
        let made = self.made_t.map_or_else(String::new, |made| {
            format!(" {made:.0} t have been made, {:.0} were to be.", self.to_be_made_t)
        });
        format!("{sounded}; {off}.{made}")
    }
}
