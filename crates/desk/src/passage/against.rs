//! Plan against actual: what was sounded and made since departure beside what was planned then.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::desk::{Desk, DeskError};
use crate::history;
use crate::round::{Round, SOUNDING};
use crate::ship::Ship;

use super::departure::{Departure, Then};

/// Rounds looked at: three months of four-hour watches.
const MOST_ROUNDS: usize = 600;

/// The passage so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The plan of the departure, as it is kept.
    pub plan: Departure,
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
    sounded_t: Vec<(Timestamp, f64)>,
    rounds: Vec<Round>,
}

impl Desk {
    /// Holds what was sounded since the last departure against the plan of then, which is reckoned and kept where none
    /// is; none before departure and where nothing has been sounded since.
    ///
    /// # Errors
    /// As [`Desk::passage`].
    pub fn against(&self, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let plan = self.departure(now)?;
        plan.map_or(Ok(None), |plan| self.held_against(plan, now))
    }

    /// The same where the plan of the departure is kept: nobody waits for it.
    ///
    /// # Errors
    /// The folder or the record cannot be read.
    pub fn against_at_hand(&self, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let plan = self.departure_kept(now)?;
        plan.map_or(Ok(None), |plan| self.held_against(plan, now))
    }

    fn held_against(&self, plan: Departure, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let since = self.since(plan.away, now)?;
        Ok(since.map(|since| Against::of(plan, since.sounded_t, &since.rounds)))
    }

    fn since(&self, away: Timestamp, now: Timestamp) -> Result<Option<Since>, DeskError> {
        let setup = self.setup();
        let rounds = history::between(&self.reader(), Some(away), now, MOST_ROUNDS)?;
        let before = self.now(away)?.tanks;
        let known = before.iter().filter_map(|tank| Some((tank.key.clone(), tank.pumpable_m3?)));
        let sounded_t = stocks(&setup.ship, known.collect(), &rounds);
        Ok((!sounded_t.is_empty()).then_some(Since { sounded_t, rounds }))
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
    fn of(plan: Departure, sounded_t: Vec<(Timestamp, f64)>, rounds: &[Round]) -> Against {
        let at = |when: &Timestamp| plan.samples.get(plan.index(*when)).map(|then| then.stock_t);
        let inside = |(when, t): &&(Timestamp, f64)| {
            at(when).is_some_and(|(low, _, high)| (low..=high).contains(t))
        };
        let inside = sounded_t.iter().filter(inside).count();
        let (last, newest) = sounded_t.last().copied().unwrap_or((plan.away, 0.0));
        let off_t = newest - at(&last).map_or(newest, |(_, middle, _)| middle);
        let meter = |round: &Round| round.value("distillate_meter_m3").map(|m3| (round.at, m3));
        let (first, end) = (rounds.iter().find_map(meter), rounds.iter().rev().find_map(meter));
        let made_t = first.zip(end).map(|(a, b)| b.1 - a.1).filter(|made| *made >= 0.0);
        let upto = plan.index(end.map_or(last, |(at, _)| at));
        let step_days = f64::from(passage::timeline::STEP_MIN) / 1440.0;
        let made_t_day = |then: &Then| then.making_t_day;
        let to_be_made_t = plan.samples.iter().take(upto).map(made_t_day).sum::<f64>() * step_days;
        Against { plan, sounded_t, inside, off_t, made_t, to_be_made_t }
    }

    /// More or less than reckoned, and what was made for it, in a sentence of its own.
    #[must_use]
    pub fn ahead(&self) -> String {
        let made = match self.made_t {
            // A plan reckoned later is nobody's promise: what was made is not held against it.
            Some(made) if self.plan.at_once() && (made - self.to_be_made_t).abs() >= 1.0 => {
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
        let made = self.made_t.filter(|_| self.plan.at_once());
        let made = made.map_or_else(String::new, |made| {
            format!(" {made:.0} t have been made, {:.0} were to be.", self.to_be_made_t)
        });
        format!("{sounded}; {off}.{made}")
    }
}
