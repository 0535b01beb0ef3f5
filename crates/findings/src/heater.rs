//! A leaking heater: told by the jacket's expansion tank alone, before any output is lost.

use crate::cause::Cause;
use crate::judge::Judged;
use crate::normal::under;
use crate::set::ReadingSet;

/// Scatter of one look at the tank: roll, trim and warmth of the water, cm (our estimate).
const EACH_CM: f64 = 1.0;
/// A sound system wanders by this much a day, cm (our estimate).
const SOUND_CM_DAY: f64 = 0.1;
/// A leak worth looking for: middle and spread, cm a day (our estimate; a tank of a square metre loses 10 L by each).
const LEAK_CM_DAY: (f64, f64) = (1.0, 0.6);
/// How likely a leaking heater is before anything is read (our estimate).
const ODDS: f64 = 0.02;
/// Past this something must be done, cm a day.
const LIMIT_CM_DAY: f64 = 0.3;
/// A rise from one look to the next over this is a filling, cm.
const FILLED_CM: f64 = 3.0;

/// The fall is told by the levels of so many days (our estimate).
const LATELY_DAYS: f64 = 10.0;

/// Judges the heater from the tank's levels of the last days; none with fewer than three looks, or all within half a day.
///
/// Fillings are taken out: the level goes on from where it was filled to.
pub(crate) fn heater(sets: &[ReadingSet]) -> Option<Judged> {
    let mut looks: Vec<(f64, f64)> = Vec::new();
    let mut filled = 0.0;
    let mut before: Option<f64> = None;
    for set in sets {
        let Some(level) = set.expansion_tank_cm else { continue };
        if let Some(before) = before.filter(|b| level - b > FILLED_CM) {
            filled += level - before;
        }
        before = Some(level);
        looks.push((set.time.as_second() as f64 / 86_400.0, level - filled));
    }
    // A leak that began of late would drown in a long record.
    let newest = looks.last()?.0;
    looks.retain(|(day, _)| newest - day <= LATELY_DAYS);
    let count = looks.len() as f64;
    let (first, last) = (looks.first()?.0, looks.last()?.0);
    if looks.len() < 3 || last - first < 0.5 {
        return None;
    }
    let day = looks.iter().map(|l| l.0).sum::<f64>() / count;
    let level = looks.iter().map(|l| l.1).sum::<f64>() / count;
    let spread: f64 = looks.iter().map(|l| (l.0 - day).powi(2)).sum();
    let falls = -looks.iter().map(|l| (l.0 - day) * (l.1 - level)).sum::<f64>() / spread;
    let variance = EACH_CM * EACH_CM / spread;
    // Two normal densities of the fall, one measurement of it.
    let part = |weight: f64, mean: f64, sd: f64| {
        let total = variance + sd * sd;
        let evidence = (-0.5 * (falls - mean).powi(2) / total).exp() / total.sqrt();
        let posterior = (mean * variance + falls * sd * sd) / total;
        (weight * evidence, posterior, (variance * sd * sd / total).sqrt())
    };
    let mut parts = [part(1.0 - ODDS, 0.0, SOUND_CM_DAY), part(ODDS, LEAK_CM_DAY.0, LEAK_CM_DAY.1)];
    let sum: f64 = parts.iter().map(|p| p.0).sum();
    for part in &mut parts {
        part.0 /= sum;
    }
    let p_over_limit = parts.iter().map(|(w, m, s)| w * under((m - LIMIT_CM_DAY) / s)).sum::<f64>();
    let quantile = |p: f64| crate::normal::quantile(&parts, p);
    Some(Judged {
        cause: Cause::HeaterLeak,
        p_over_limit,
        p_changed: parts[1].0,
        value: quantile(0.5),
        low: quantile(0.05),
        high: quantile(0.95),
        limit: LIMIT_CM_DAY,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn looks(levels: &[f64]) -> Vec<ReadingSet> {
        levels
            .iter()
            .enumerate()
            .map(|(day, level)| {
                let mut set =
                    ReadingSet::at(jiff::Timestamp::from_second(86_400 * day as i64).unwrap());
                set.expansion_tank_cm = Some(*level);
                set
            })
            .collect()
    }

    #[test]
    fn ident_a_falling_tank_is_told_and_a_steady_or_filled_one_is_not() {
        let falls = [80.0, 78.5, 78.0, 76.5, 76.0, 74.5, 74.0, 72.5];
        assert!(heater(&looks(&falls)).unwrap().p_over_limit > 0.95);
        let steady = [80.0, 81.0, 79.5, 80.0, 79.0, 80.5, 80.0, 80.5];
        assert!(heater(&looks(&steady)).unwrap().p_over_limit < 0.05);
        let filled = [80.0, 78.5, 77.0, 86.0, 84.5, 83.0, 92.0, 90.5];
        assert!(heater(&looks(&filled)).unwrap().p_over_limit > 0.8);
        assert!(heater(&looks(&[80.0, 79.0])).is_none());
    }
}
