//! Plan against actual: what was sounded and made since departure beside what was planned then.

use std::collections::BTreeMap;
use std::sync::Arc;

use chart::{Clock, PassageStrip, Span, StripLane, StripPoint};
use jiff::Timestamp;
use route::Reading;

use crate::desk::{Desk, DeskError};
use crate::round::{Round, SOUNDING};
use crate::ship::Ship;

use super::{How, PassageView};

/// Rounds looked at: three months of four-hour watches.
const MOST_ROUNDS: usize = 600;

/// The passage so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// The plan as it was to be made at departure, with the soundings of then.
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

impl Desk {
    /// Holds what was sounded since the last departure against the plan of then; none before departure and where
    /// nothing has been sounded since.
    ///
    /// # Errors
    /// As [`Desk::passage`].
    pub fn against(&self, now: Timestamp) -> Result<Option<Against>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(None) };
        let Some(route) = Reading::of_bytes(text.as_bytes()).route else { return Ok(None) };
        let Ok(schedule) = route.schedule() else { return Ok(None) };
        let passages = schedule.sea_passages();
        let Some(away) = passages.iter().rev().map(|p| p.full_away).find(|at| *at <= now) else {
            return Ok(None);
        };
        let rounds: Vec<Round> =
            self.rounds(now, MOST_ROUNDS)?.into_iter().filter(|round| round.at >= away).collect();
        let ship = &self.setup().ship;
        let before = self.now(away)?.tanks;
        let known = before.iter().filter_map(|tank| Some((tank.key.clone(), tank.pumpable_m3?)));
        let sounded_t = stocks(ship, known.collect(), &rounds);
        if sounded_t.is_empty() {
            return Ok(None);
        }
        let Some(plan) = self.passage(away, How::AtDeparture)? else { return Ok(None) };
        Ok(Some(Against::of(plan, sounded_t, &rounds)))
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
        let off = match self.off_t.round() {
            t if t > 0.0 => format!("{t:.0} t more is aboard than was planned for now"),
            t if t < 0.0 => format!("{:.0} t less is aboard than was planned for now", -t),
            _ => "as much is aboard as was planned for now".to_owned(),
        };
        let made = self.made_t.map_or_else(String::new, |made| {
            format!(" {made:.0} t have been made, {:.0} were to be.", self.to_be_made_t)
        });
        format!("{sounded}; {off}.{made}")
    }

    /// What was planned and what was sounded, one above the other on one clock; the same scale is the reader's own.
    #[must_use]
    pub fn strip(&self, now: Timestamp) -> Option<PassageStrip> {
        let samples = &self.plan.timeline.samples;
        let first = samples.first()?.at;
        let span = Span { from_s: first.as_second() as f64, to_s: now.as_second() as f64 };
        let upto = self.plan.timeline.index(now);
        let bands = &self.plan.brief.bands;
        let planned = samples.iter().enumerate().take(upto + 1).map(|(k, sample)| {
            let at = |band: &[f64]| band.get(k).copied().unwrap_or(f64::NAN);
            let at_s = sample.at.as_second() as f64;
            StripPoint::banded(at_s, at(&bands.p50), at(&bands.p10), at(&bands.p90))
        });
        let sounded = self.sounded_t.iter().map(|(at, t)| StripPoint {
            at_s: at.as_second() as f64,
            value: Some(*t),
            band: None,
        });
        let lane = |name: &str, points| StripLane {
            name: name.to_owned(),
            unit: "t".to_owned(),
            points,
            tall: true,
            ..StripLane::default()
        };
        let clock = &self.plan.timeline.clock;
        Some(PassageStrip {
            title: "Plan against actual".to_owned(),
            says: self.says(),
            span,
            now_s: Some(span.to_s),
            clock: Clock::sampled(span, |at_s| {
                let at = Timestamp::from_second(at_s as i64).unwrap_or(Timestamp::UNIX_EPOCH);
                clock.zone(at).seconds()
            }),
            forbidden: Vec::new(),
            making: Vec::new(),
            events: Vec::new(),
            lanes: vec![lane("Planned", planned.collect()), lane("Sounded", sounded.collect())],
        })
    }
}
