//! The fit of one hypothesis: damped Gauss-Newton on the exact slopes, and Laplace's evidence at its end.

use crate::dense::{Factor, dot};
use crate::hypothesis::Hypothesis;
use crate::observe::{
    BY_BACK_PRESSURE, BY_JACKET_IN, BY_SALINITY, BY_SEA_TEMP, DIRECTIONS, Foretold, Moment,
};
use crate::posterior::{Posterior, posterior};
use crate::prior::{BACK_PRESSURE_BAR, PLANT_UNKNOWNS, PROCESS_UNKNOWNS, SEA_SALINITY_G_KG};
use crate::problem::{KNOTS, Prior, Problem, Ready, drifted};

/// Longest step, in standard deviations of the prior.
const LONGEST: f64 = 4.0;
/// The fit ends when what is left to gain is under this.
const SETTLED: f64 = 0.05;
/// Steps at most.
const STEPS: usize = 12;
/// Halvings of a step at most.
const HALVINGS: usize = 6;

/// Everything foretold around one state of the unknowns, whitened by the readings' own scatter.
#[derive(Debug, Clone)]
pub(crate) struct Around {
    /// ln of the likelihood.
    pub(crate) ln_likelihood: f64,
    /// Information matrix of the readings, by rows.
    pub(crate) information: Vec<f64>,
    /// Slope of the ln likelihood.
    pub(crate) gradient: Vec<f64>,
    /// Sum of the squared whitened misses.
    pub(crate) misses: f64,
    /// Whitened slopes (rows × unknowns) and misses of every moment.
    pub(crate) moments: Vec<Whitened>,
    /// The last moment's quantities.
    pub(crate) last: Option<Foretold>,
}

/// One moment whitened.
#[derive(Debug, Clone, Default)]
pub(crate) struct Whitened {
    pub(crate) slopes: Vec<f64>,
    pub(crate) misses: Vec<f64>,
    /// Misses before whitening, in the instruments' scales.
    pub(crate) raw: Vec<f64>,
    /// The same, each in its own standard deviations.
    pub(crate) plain: Vec<f64>,
}

/// A hypothesis fitted.
#[derive(Debug, Clone)]
pub(crate) struct Fit {
    pub(crate) hypothesis: Hypothesis,
    pub(crate) prior: Prior,
    /// Mean of the posterior.
    pub(crate) mean: Vec<f64>,
    /// Where the slopes were taken.
    pub(crate) here: Vec<f64>,
    /// Factor of the posterior's precision.
    pub(crate) precision: Factor,
    /// ln of the evidence, prior odds not counted.
    pub(crate) ln_evidence: f64,
    pub(crate) around: Around,
}

/// Starts of the plant's own search, one a moment, carried from evaluation to evaluation.
pub(crate) type Starts = Vec<Option<(f64, f64)>>;

impl Problem {
    /// The plant's unknowns at a moment.
    pub(crate) fn plant_at(
        &self,
        hypothesis: &Hypothesis,
        x: &[f64],
        place: usize,
    ) -> [f64; PLANT_UNKNOWNS] {
        let mut u: [f64; PLANT_UNKNOWNS] = std::array::from_fn(|i| x[i]);
        for (blame, end) in hypothesis.changes(self.layout.count) {
            if blame.suspect.at < PROCESS_UNKNOWNS {
                let w = blame.shape.come(place, self.fraction_of(blame.suspect.at, place));
                u[blame.suspect.at] = (1.0 - w) * x[blame.suspect.at] + w * x[end];
            }
        }
        for unknown in &self.layout.drifts {
            if let Some(first) = self.layout.drift(*unknown) {
                let fraction = self.fraction_of(*unknown as usize, place);
                for knot in 0..KNOTS - 1 {
                    u[*unknown as usize] += x[first + knot] * drifted(knot, fraction);
                }
            }
        }
        for restart in &self.layout.restarts {
            let at = restart.unknown as usize;
            if self.not_yet(at, place).is_some() {
                let weights = restart.weights(self.moments[place].fraction);
                u[at] = weights.map(|(i, weight)| weight * x[i]).sum();
            }
        }
        u
    }

    /// A moment with jacket and sea water in as they truly are, by their instruments' errors.
    pub(crate) fn moment_at(&self, hypothesis: &Hypothesis, x: &[f64], place: usize) -> Moment {
        let moment = self.moments[place].moment;
        let error = |at: usize| self.error_at(hypothesis, x, at, place);
        Moment {
            jacket_in_c: moment.jacket_in_c - error(self.moments[place].input_error[0]),
            sea_temp_c: moment.sea_temp_c - error(self.moments[place].input_error[1]),
            ..moment
        }
    }

    /// An instrument's error at a moment.
    pub(crate) fn error_at(
        &self,
        hypothesis: &Hypothesis,
        x: &[f64],
        at: usize,
        place: usize,
    ) -> f64 {
        let mut error = x[at];
        for (blame, end) in hypothesis.changes(self.layout.count) {
            if blame.suspect.at == at {
                let w = blame.shape.come(place, self.moments[place].fraction);
                error = (1.0 - w) * x[at] + w * x[end];
            }
        }
        error
    }

    /// What is foretold around a state; `None` where the plant cannot run so.
    pub(crate) fn around(
        &self,
        hypothesis: &Hypothesis,
        x: &[f64],
        starts: &mut Starts,
    ) -> Option<Around> {
        let n = x.len();
        let mut out = Around {
            ln_likelihood: 0.0,
            information: vec![0.0; n * n],
            gradient: vec![0.0; n],
            misses: 0.0,
            moments: Vec::with_capacity(self.moments.len()),
            last: None,
        };
        // The closures stand: one calibration serves every moment.
        let closures: [f64; PLANT_UNKNOWNS] = std::array::from_fn(|i| x[i]);
        let plant = self.observer.plant(&closures).ok()?;
        let banding = self.observer.slopes(&plant).ok()?;
        let mut foretold = None;
        for (place, start) in starts.iter_mut().enumerate().take(self.moments.len()) {
            let u = self.plant_at(hypothesis, x, place);
            let moment = self.moment_at(hypothesis, x, place);
            let here = self.observer.at(&banding, &u, &moment, *start)?;
            *start = Some(here.start);
            self.add(hypothesis, x, place, &here, &mut out)?;
            foretold = Some(here);
        }
        for i in 0..n {
            for j in 0..i {
                out.information[j * n + i] = out.information[i * n + j];
            }
        }
        out.last = foretold;
        Some(out)
    }

    /// Adds one moment's readings.
    fn add(
        &self,
        hypothesis: &Hypothesis,
        x: &[f64],
        place: usize,
        here: &Foretold,
        out: &mut Around,
    ) -> Option<()> {
        let ready = &self.moments[place];
        let (m, n) = (ready.rows.len(), x.len());
        if m == 0 {
            out.moments.push(Whitened::default());
            return Some(());
        }
        let mut by_plant = vec![[0.0; DIRECTIONS]; m];
        let mut shown = vec![1.0; m];
        let mut misses = vec![0.0; m];
        for (i, row) in ready.rows.iter().enumerate() {
            let line = &self.tables.instruments[row.line];
            let error =
                self.error_at(hypothesis, x, row.error, place) + row.model.map_or(0.0, |at| x[at]);
            let (shows, slope) = line.shows(here.value[row.quantity as usize], error);
            misses[i] = row.figure - shows;
            shown[i] = slope;
            by_plant[i] = here.slope[row.quantity as usize].map(|s| s * slope);
        }
        // The readings' scatter, what the inputs' own scatter does through the plant with it.
        let inputs = [
            (BY_JACKET_IN, ready.input_variance[0]),
            (BY_SEA_TEMP, ready.input_variance[1]),
            (BY_BACK_PRESSURE, BACK_PRESSURE_BAR * BACK_PRESSURE_BAR / ready.of),
            (BY_SALINITY, SEA_SALINITY_G_KG * SEA_SALINITY_G_KG / ready.of),
        ];
        let mut scatter = vec![0.0; m * m];
        for i in 0..m {
            for j in 0..=i {
                scatter[i * m + j] = inputs
                    .iter()
                    .map(|(by, variance)| by_plant[i][*by] * by_plant[j][*by] * variance)
                    .sum();
            }
            scatter[i * m + i] += ready.rows[i].variance;
        }
        let plain = (0..m).map(|i| misses[i] / scatter[i * m + i].sqrt()).collect();
        let scatter = Factor::of(m, scatter)?;
        let slopes = self.spread(hypothesis, place, &by_plant, &shown, n);
        let mut whitened = slopes;
        scatter.forward_rows(&mut whitened, n);
        let raw = misses;
        let misses = scatter.forward(&raw);
        for (row, miss) in whitened.chunks_exact(n).zip(&misses) {
            for (i, a) in row.iter().enumerate().filter(|(_, a)| **a != 0.0) {
                out.gradient[i] += a * miss;
                // Its lower part; the upper is filled in at the end.
                let information = &mut out.information[i * n..=i * n + i];
                for (sum, b) in information.iter_mut().zip(row) {
                    *sum += a * b;
                }
            }
        }
        let squares = dot(&misses, &misses);
        out.misses += squares;
        let constant = m as f64 * std::f64::consts::TAU.ln();
        out.ln_likelihood -= 0.5 * (squares + scatter.ln_det() + constant);
        out.moments.push(Whitened { slopes: whitened, misses, raw, plain });
        Some(())
    }

    /// Slopes by every unknown from those by the plant's directions, errors of instrument and model left out.
    pub(crate) fn slopes_of(
        &self,
        hypothesis: &Hypothesis,
        place: usize,
        by: &[f64; DIRECTIONS],
        n: usize,
    ) -> Vec<f64> {
        let mut row = vec![0.0; n];
        row[..PLANT_UNKNOWNS].copy_from_slice(&by[..PLANT_UNKNOWNS]);
        let [jacket, sea] = self.moments[place].input_error;
        row[jacket] = -by[BY_JACKET_IN];
        row[sea] = -by[BY_SEA_TEMP];
        for unknown in &self.layout.drifts {
            if let Some(first) = self.layout.drift(*unknown) {
                let fraction = self.fraction_of(*unknown as usize, place);
                for knot in 0..KNOTS - 1 {
                    row[first + knot] = by[*unknown as usize] * drifted(knot, fraction);
                }
            }
        }
        for restart in &self.layout.restarts {
            let at = restart.unknown as usize;
            if self.not_yet(at, place).is_some() {
                for (i, weight) in restart.weights(self.moments[place].fraction) {
                    row[i] = weight * row[at];
                }
                row[at] = 0.0;
                if let Some(first) = self.layout.drift(restart.unknown) {
                    row[first..first + KNOTS - 1].fill(0.0);
                }
            }
        }
        self.share_out(hypothesis, place, &mut row);
        row
    }

    /// Splits slopes of what changed between its value before and its end value.
    fn share_out(&self, hypothesis: &Hypothesis, place: usize, row: &mut [f64]) {
        for (blame, end) in hypothesis.changes(self.layout.count) {
            let w = blame.shape.come(place, self.fraction_of(blame.suspect.at, place));
            let whole = row[blame.suspect.at];
            row[blame.suspect.at] = (1.0 - w) * whole;
            row[end] = w * whole;
        }
    }

    /// Slopes by every unknown (rows × unknowns) from those by the plant's directions.
    fn spread(
        &self,
        hypothesis: &Hypothesis,
        place: usize,
        by_plant: &[[f64; DIRECTIONS]],
        shown: &[f64],
        n: usize,
    ) -> Vec<f64> {
        let ready: &Ready = &self.moments[place];
        let none = Hypothesis::default();
        let mut slopes = Vec::with_capacity(by_plant.len() * n);
        for ((by, ready_row), shown) in by_plant.iter().zip(&ready.rows).zip(shown) {
            let mut row = self.slopes_of(&none, place, by, n);
            row[ready_row.error] += shown;
            if let Some(model) = ready_row.model {
                row[model] = *shown;
            }
            self.share_out(hypothesis, place, &mut row);
            slopes.extend(row);
        }
        slopes
    }

    /// Fits a hypothesis from a start; `None` where no state near it can run, and where twice what is still promised leaves the ln of its
    /// evidence under `worth`.
    pub(crate) fn fit(
        &self,
        hypothesis: &Hypothesis,
        prior: Prior,
        start: Vec<f64>,
        starts: &mut Starts,
        worth: f64,
    ) -> Option<Fit> {
        let n = start.len();
        let mut x = start;
        let mut around = self.around(hypothesis, &x, starts);
        for _ in 0..HALVINGS {
            if around.is_some() {
                break;
            }
            // Towards what is likely at first.
            x = x.iter().zip(&prior.mean).map(|(x, m)| 0.5 * (x + m)).collect();
            around = self.around(hypothesis, &x, starts);
        }
        let mut around = around?;
        let mut left = STEPS;
        loop {
            let Posterior { precision, step, slope: right, ln_prior } =
                posterior(&around.information, &around.gradient, &prior, &x)?;
            let gain = dot(&step, &right);
            let objective = around.ln_likelihood + ln_prior;
            if objective + gain - 0.5 * precision.ln_det() < worth {
                return None;
            }
            if gain < SETTLED || left == 0 {
                let mean: Vec<f64> = x.iter().zip(&step).map(|(x, s)| x + s).collect();
                // What the last step would still gain, if it is small enough to be believed.
                let believed = 0.5 * gain.min(1.0);
                let ln_evidence = objective + believed - 0.5 * precision.ln_det();
                if !ln_evidence.is_finite() || mean.iter().any(|x| !x.is_finite()) {
                    return None;
                }
                return Some(Fit {
                    hypothesis: hypothesis.clone(),
                    prior,
                    mean,
                    here: x,
                    ln_evidence,
                    precision,
                    around,
                });
            }
            left -= 1;
            let longest =
                step.iter().zip(&prior.sd).map(|(s, sd)| (s / sd).abs()).fold(0.0, f64::max);
            let mut share = (LONGEST / longest).min(1.0);
            let mut moved = None;
            for _ in 0..HALVINGS {
                let next: Vec<f64> = x.iter().zip(&step).map(|(x, s)| x + share * s).collect();
                if let Some(found) = self.around(hypothesis, &next, starts) {
                    let ln_prior: f64 = (0..n)
                        .map(|i| {
                            let off = (prior.mean[i] - next[i]) / prior.sd[i];
                            -0.5 * off * off - prior.sd[i].ln()
                        })
                        .sum();
                    if found.ln_likelihood + ln_prior > objective - 0.05 {
                        moved = Some((next, found));
                        break;
                    }
                }
                share *= 0.5;
            }
            match moved {
                Some((next, found)) => (x, around) = (next, found),
                // No better state along the step: a kink. The fit stands where it is.
                None => left = 0,
            }
        }
    }
}

impl Fit {
    /// ln of the evidence with the prior odds.
    pub(crate) fn ln_weight(&self) -> f64 {
        self.ln_evidence + self.hypothesis.ln_odds()
    }

    /// Squares of what is left of the readings and of the pulls on the prior, in standard deviations: about the number of readings
    /// when all is as assumed.
    pub(crate) fn surprise(&self) -> f64 {
        let n = self.here.len();
        let step: Vec<f64> = self.mean.iter().zip(&self.here).map(|(m, x)| m - x).collect();
        let curved: f64 =
            (0..n).map(|i| step[i] * dot(&self.around.information[i * n..i * n + n], &step)).sum();
        let misses = self.around.misses - 2.0 * dot(&self.around.gradient, &step) + curved;
        let pulls: f64 =
            (0..n).map(|i| ((self.mean[i] - self.prior.mean[i]) / self.prior.sd[i]).powi(2)).sum();
        misses + pulls
    }

    /// Mean and standard deviation of a linear sum of unknowns.
    pub(crate) fn sum(&self, weights: &[(usize, f64)]) -> (f64, f64) {
        let mut row = vec![0.0; self.mean.len()];
        for (at, weight) in weights {
            row[*at] += weight;
        }
        let z = self.precision.forward(&row);
        (dot(&row, &self.mean), dot(&z, &z).sqrt())
    }
}
