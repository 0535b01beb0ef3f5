//! The evidence of the last readings: what a healthy plant would show, what was read, what the likeliest explanation shows.

use crate::cause::Cause;
use crate::explain::Finding;
use crate::hypothesis::Hypothesis;
use crate::instrument::Instrument;
use crate::normal::quantile;
use crate::problem::Problem;
use crate::search::Mixture;

/// One reading beside what was expected of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// The instrument.
    pub instrument: Instrument,
    /// As read, in the unit of its name.
    pub read: f64,
    /// What a healthy plant would show.
    pub healthy: f64,
    /// What the likeliest explanation shows, its instruments' errors included.
    pub fitted: f64,
    /// The same of an instrument without an error of its own.
    pub sound: f64,
    /// Read less healthy, in standard deviations of all that may be between them.
    pub off: f64,
    /// Read less fitted, in standard deviations of the reading itself.
    pub left: f64,
}

impl Finding {
    /// What the last readings would be with this cause alone, as large as it is taken to be now, beside those of a healthy plant:
    /// instrument, healthy, with it. None where the plant cannot run so, or the cause is not one of the table's.
    #[must_use]
    pub fn with_alone(&self, cause: Cause) -> Option<Vec<(Instrument, f64, f64)>> {
        let problem = &self.problem;
        let last = problem.moments.len().checked_sub(1)?;
        let ready = &problem.moments[last];
        let none = Hypothesis::default();
        let healthy = problem.sound();
        let mut with = healthy.clone();
        let at = match cause {
            Cause::Instrument(i) => problem.layout.error_at(i, ready.fraction)?,
            _ => problem.tables.causes.iter().find(|l| l.cause == cause)?.unknown as usize,
        };
        with[at] = quantile(&problem.now(&self.mixture, at), 0.5);
        if let Some(restart) = problem.not_yet(at, last) {
            // The last round is of the time before.
            let before = self.mixture.parts.iter().map(|part| {
                let (mean, sd) = part.fit.sum(&[(restart.before, 1.0)]);
                (part.weight, mean, sd)
            });
            with[restart.before] = quantile(&before.collect::<Vec<_>>(), 0.5);
        }
        let shown = |x: &[f64]| -> Option<Vec<f64>> {
            let u = problem.plant_at(&none, x, last);
            let plant = problem.observer.plant(&u).ok()?;
            let slopes = problem.observer.slopes(&plant).ok()?;
            let moment = problem.moment_at(&none, x, last);
            let foretold = problem.observer.at(&slopes, &u, &moment, None)?;
            let rows = ready.rows.iter().map(|row| {
                let line = &problem.tables.instruments[row.line];
                let error = problem.error_at(&none, x, row.error, last);
                let shows = line.shows(foretold.value[row.quantity as usize], error).0;
                let gauge = line.instrument == Instrument::ShellGauge;
                line.unscaled(if gauge { shows - ready.moment.barometer_hpa } else { shows })
            });
            Some(rows.collect())
        };
        let (before, after) = (shown(&healthy)?, shown(&with)?);
        let instruments = ready.rows.iter().map(|r| problem.tables.instruments[r.line].instrument);
        Some(instruments.zip(before.into_iter().zip(after)).map(|(i, (b, a))| (i, b, a)).collect())
    }
}

/// The evidence of the last readings, in the order of the instruments.
pub(crate) fn evidence(problem: &Problem, mixture: &Mixture) -> Option<Vec<Evidence>> {
    let last = problem.moments.len().checked_sub(1)?;
    let fit = &mixture.parts.first()?.fit;
    let ready = &problem.moments[last];
    let none = Hypothesis::default();
    let (prior, sound) = (problem.healthy(), problem.sound());
    let n = sound.len();
    let u = problem.plant_at(&none, &sound, last);
    let plant = problem.observer.plant(&u).ok()?;
    let slopes = problem.observer.slopes(&plant).ok()?;
    let healthy = problem.observer.at(&slopes, &u, &ready.moment, None)?;
    let fitted = fit.around.last.as_ref()?;
    let moved: Vec<f64> = fit.mean.iter().zip(&fit.here).map(|(m, h)| m - h).collect();
    let mut out = Vec::new();
    for row in &ready.rows {
        let line = &problem.tables.instruments[row.line];
        let quantity = row.quantity as usize;
        let back = |scaled: f64| {
            let gauge = line.instrument == Instrument::ShellGauge;
            line.unscaled(if gauge { scaled - ready.moment.barometer_hpa } else { scaled })
        };
        let (expected, shown) = line.shows(healthy.value[quantity], 0.0);
        let by = healthy.slope[quantity].map(|s| s * shown);
        let mut slope = problem.slopes_of(&none, last, &by, n);
        slope[row.error] += shown;
        if let Some(model) = row.model {
            slope[model] = shown;
        }
        let spread: f64 = slope.iter().zip(&prior.sd).map(|(s, sd)| (s * sd).powi(2)).sum();
        // The fit's own slopes carry its quantity from where they were taken to the mean.
        let by = fitted.slope[quantity];
        let by = problem.slopes_of(&fit.hypothesis, last, &by, fit.mean.len());
        let carried: f64 = by.iter().zip(&moved).map(|(s, m)| s * m).sum();
        let own = problem.error_at(&fit.hypothesis, &fit.mean, row.error, last);
        let model = row.model.map_or(0.0, |at| fit.mean[at]);
        let (shows, _) = line.shows(fitted.value[quantity] + carried, own + model);
        let (sound, _) = line.shows(fitted.value[quantity] + carried, model);
        out.push(Evidence {
            instrument: line.instrument,
            read: back(row.figure),
            healthy: back(expected),
            fitted: back(shows),
            sound: back(sound),
            off: (row.figure - expected) / (spread + row.variance).sqrt(),
            left: (row.figure - shows) / row.variance.sqrt(),
        });
    }
    Some(out)
}
