//! How deposits grow and when it costs least to take them off, by the ship's own prices.

use ::findings::{Cause, CleaningCosts, Finding};
use jiff::{SignedDuration, Timestamp};

use crate::round::Round;
use crate::setup::Setup;
use crate::ship::Prices;
use crate::view::Band;

use super::view::{CleaningLine, FindingsView, GrowthLine};
use super::words::ToldOfPlant;

/// Growth is told by this many days.
const MONTH_DAYS: f64 = 30.0;

/// Growth of every deposit, with its cleaning; `part` is what is left of its cost by what is short, 0 to 1.
pub(super) fn growth(
    setup: &Setup,
    finding: &Finding,
    rounds: &[Round],
    told: &ToldOfPlant,
    from: Timestamp,
    part: f64,
) -> Vec<GrowthLine> {
    let running = running(rounds, told, from.max(first_at(rounds)), finding.until);
    finding
        .growth
        .iter()
        .map(|growth| {
            let (middle, low, high) = growth.rate_m2k_w_day;
            let rate = Band { middle: middle * 1.0e6, low: low * 1.0e6, high: high * 1.0e6 };
            let until_s = finding.until.as_second() as f64;
            let course = growth.course.iter().map(|level| {
                let band = Band {
                    middle: level.middle * 1.0e4,
                    low: level.low * 1.0e4,
                    high: level.high * 1.0e4,
                };
                (until_s + 86_400.0 * level.days, band)
            });
            let sizes = finding.sizes();
            let level = finding.judged(growth.cause).map_or(0.0, |j| j.value);
            let lost = |r: f64| 100.0 * sizes.lost(growth.cause, r).unwrap_or_default();
            let month = |rate: f64| lost(level.max(0.0) + MONTH_DAYS * rate) - lost(level);
            let cleaning = cleaning(setup, finding, growth.cause, told, running)
                .map(|line| CleaningLine { loss_t_day: part * line.loss_t_day, ..line });
            let more_t_day_month = finding
                .loss
                .as_ref()
                .and_then(|loss| loss.of(growth.cause))
                .map(|cost| cost.cure_t_day)
                .filter(|cost| *cost > 0.05 && level > 0.0)
                // Resistances in line: what it costs goes with its size while that is small, and never past what she makes.
                .zip(finding.loss.as_ref())
                .map(|(cost, loss)| {
                    let (clean, more) = (loss.made_t_day + cost, 1.0 + MONTH_DAYS * middle / level);
                    let part = cost / loss.made_t_day * more;
                    clean * part / (1.0 + part) - cost
                });
            let clean = [0.5, 0.05, 0.95].map(|p| finding.clean_of(growth.cause, p));
            GrowthLine {
                percent_month: Band { middle: month(middle), low: month(low), high: month(high) },
                more_t_day_month,
                p_grows: growth.p_grows,
                key: growth.cause.key(),
                words: growth.cause.words(),
                rate,
                clean: Band {
                    middle: clean[0] * 1.0e4,
                    low: clean[1] * 1.0e4,
                    high: clean[2] * 1.0e4,
                },
                limit: finding.judged(growth.cause).map_or(f64::NAN, |j| j.limit * 1.0e4),
                crossed: growth.crossed,
                course: course.collect(),
                cleaning,
            }
        })
        .collect()
}

impl GrowthLine {
    /// What the curve begins with, as a sentence: what cleaning left, with its band, or what stood at the first round. Empty without a curve.
    #[must_use]
    pub fn begins(&self, view: &FindingsView) -> String {
        let cleaned = self.cleaning.as_ref().and_then(|clean| clean.cleaned);
        let since = cleaned.map_or(f64::NEG_INFINITY, |at| at.as_second() as f64);
        let Some((at_s, band)) = self.course.iter().find(|(at_s, _)| *at_s >= since) else {
            return String::new();
        };
        let at = Timestamp::from_second(*at_s as i64).unwrap_or(view.from);
        let level = format!("{:.2} ({:.2} to {:.2})", band.middle, band.low, band.high);
        let near = cleaned.is_some_and(|at| at_s - at.as_second() as f64 <= 3.0 * 86_400.0);
        if near {
            format!(
                "The curve begins at {level} on {}: what the cleaning left, and what the first rounds cannot tell from it, the standing errors of gauges and sheet and a quick growth in the first days. A plant just cleaned lies between {:.2} and {:.2} by our estimate, which no round of hers is in.",
                view.day(at),
                self.clean.low,
                self.clean.high
            )
        } else {
            format!(
                "The curve begins with the first of these rounds, {}, at {level}.",
                view.day(at)
            )
        }
    }
}

/// The first round: a record cannot tell of the time before.
fn first_at(rounds: &[Round]) -> Timestamp {
    rounds.first().map_or(Timestamp::UNIX_EPOCH, |round| round.at)
}

fn cleaning(
    setup: &Setup,
    finding: &Finding,
    cause: Cause,
    told: &ToldOfPlant,
    running: f64,
) -> Option<CleaningLine> {
    let (prices, usual) = (&setup.ship.prices, Prices::default());
    let (price, usual_price) = match cause {
        Cause::Scale => (prices.clean_evaporator, usual.clean_evaporator),
        _ => (prices.clean_condenser, usual.clean_condenser),
    };
    let costs = CleaningCosts {
        cleaning: price + standing(finding, prices, running),
        water_t: prices.end_t,
        standing_h: prices.clean_h,
        running,
    };
    let now = finding.until;
    let cleaned = told.last_cleaned(cause);
    let age = cleaned.map(|at| (now.as_second() - at.as_second()) as f64 / 86_400.0);
    let found = finding.cleaning(cause, age, &costs)?;
    let day = |days: f64| {
        SignedDuration::try_from_secs_f64(86_400.0 * days)
            .ok()
            .and_then(|span| now.checked_add(span).ok())
            .unwrap_or(now)
    };
    let curve = found.curve.iter().map(|(days, cost)| (day(*days).as_second() as f64, *cost));
    Some(CleaningLine {
        curve: curve.collect(),
        best: day(found.best.0),
        due: found.best.0 < 1.0,
        within: (day(found.within.0), day(found.within.1)),
        between: (day(found.best_between.0), found.best_between.1.map(day)),
        loss_t_day: finding
            .loss
            .as_ref()
            .and_then(|loss| loss.of(cause))
            .map_or(found.loss_t_day, |cost| cost.cure_t_day),
        lost_t: found.lost_t.iter().map(|(d, t)| (day(*d).as_second() as f64, *t)).collect(),
        cost_day: found.best.1,
        cleaning: price,
        water_t: costs.water_t,
        standing_h: costs.standing_h,
        running,
        cleaned,
        currency: setup.ship.currency.clone(),
        usual_price: price == usual_price,
    })
}

/// Water that is not made while the plant stands for a cleaning, as money.
fn standing(finding: &Finding, prices: &Prices, running: f64) -> f64 {
    let made = finding.loss.as_ref().map_or(0.0, |loss| loss.clean_t_day);
    made * running * prices.clean_h / 24.0 * prices.end_t
}

/// Part of the time in which the plant ran, by when it was put on and shut down; by the rounds where nobody wrote that.
fn running(rounds: &[Round], told: &ToldOfPlant, from: Timestamp, until: Timestamp) -> f64 {
    let (begin, end) = (from.as_second(), until.as_second());
    let mut switched: Vec<(i64, bool)> =
        told.switched.iter().map(|(at, on)| (at.as_second(), *on)).collect();
    switched.reverse();
    let before = switched.iter().rfind(|(at, _)| *at <= begin).map(|(_, on)| *on);
    let within: Vec<(i64, bool)> =
        switched.iter().copied().filter(|(at, _)| (begin..end).contains(at)).collect();
    let share = match before.or(within.first().map(|(_, on)| !on)) {
        Some(first) if end > begin => {
            let (mut on, mut since, mut ran) = (first, begin, 0);
            for (at, now_on) in within.into_iter().chain([(end, false)]) {
                ran += if on { at - since } else { 0 };
                (on, since) = (now_on, at);
            }
            ran as f64 / (end - begin) as f64
        }
        _ => {
            let all: Vec<&Round> = rounds.iter().filter(|r| r.at >= from).collect();
            let ran = all.iter().filter(|r| r.running()).count();
            ran as f64 / all.len().max(1) as f64
        }
    };
    share.clamp(LEAST_RUNNING, 1.0)
}

/// A plant that is kept is run so much at least, as part of the time.
const LEAST_RUNNING: f64 = 0.05;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_the_part_of_the_time_she_runs_is_that_between_on_and_shut_down() {
        let at = |hours: i64| Timestamp::from_second(3600 * hours).expect("moment");
        let told = ToldOfPlant {
            switched: vec![(at(30), true), (at(20), false), (at(10), true)],
            ..ToldOfPlant::default()
        };
        // Off to 10 h, on to 20 h, off to 30 h, on to 40 h.
        assert!((running(&[], &told, at(0), at(40)) - 0.5).abs() < 1e-12);
        // Begins while she runs.
        assert!((running(&[], &told, at(15), at(25)) - 0.5).abs() < 1e-12);
    }
}
