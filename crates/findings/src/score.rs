//! Scoring without solving: what one more fault, or two, would gain on the linear problem around a fit, by low-rank updates.

use crate::dense::{Factor, dot, times};
use crate::fit::Fit;
use crate::hypothesis::{Blame, Shape, Suspect, shapes};
use crate::problem::{Prior, Problem};

/// One blame laid beside the linear problem.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    pub(crate) blame: Blame,
    /// ln of evidence and prior odds over those of the fit it was scored on.
    pub(crate) ln_gain: f64,
    columns: Vec<Column>,
    /// Shift of the prior's mean along the columns.
    shift: Vec<f64>,
    /// Change of the prior's covariance along the columns, by rows.
    spread: Vec<f64>,
}

/// A direction in which the prior changes, as the readings see it.
#[derive(Debug, Clone)]
struct Column {
    suspect_at: usize,
    shape: Shape,
    /// Factor⁻¹ Uᵀ a.
    seen: Vec<f64>,
    /// a · a as whitened.
    own: f64,
    /// ⟨v, a⟩ under the fit's data covariance.
    pull: f64,
}

/// The linear problem around a fit, made ready for scoring.
pub(crate) struct Scorer<'a> {
    problem: &'a Problem,
    fit: &'a Fit,
    prior: Prior,
    factor: Factor,
    /// Factor⁻¹ Uᵀ v.
    seen_pull: Vec<f64>,
    /// State less the prior's mean.
    off: Vec<f64>,
}

impl<'a> Scorer<'a> {
    /// Around `fit`, with `prior` in place of the prior it was fitted under.
    pub(crate) fn new(problem: &'a Problem, fit: &'a Fit, prior: Prior) -> Option<Self> {
        let n = prior.mean.len();
        let mut matrix = fit.around.information.clone();
        for i in 0..n {
            matrix[i * n + i] += (prior.sd[i] * prior.sd[i]).recip();
        }
        let factor = Factor::of(n, matrix)?;
        let off: Vec<f64> = fit.here.iter().zip(&prior.mean).map(|(x, m)| x - m).collect();
        // Uᵀ v, with v the misses against the prior's mean.
        let moved = times(&fit.around.information, &off);
        let pull: Vec<f64> = fit.around.gradient.iter().zip(moved).map(|(g, m)| g + m).collect();
        let seen_pull = factor.forward(&pull);
        Some(Scorer { problem, fit, prior, factor, seen_pull, off })
    }

    /// Mean of the posterior of the linear problem under another prior (of the same unknowns, end values included).
    pub(crate) fn mean_under(&self, blames: &[Blame], prior: &Prior) -> Option<Vec<f64>> {
        let n0 = self.prior.mean.len();
        let n = prior.mean.len();
        let changed: Vec<&Blame> = blames.iter().filter(|b| b.shape.changed()).collect();
        let mut matrix = vec![0.0; n * n];
        let mut right = vec![0.0; n];
        let mut row = vec![0.0; n];
        for (place, whitened) in self.fit.around.moments.iter().enumerate() {
            for (slopes, miss) in whitened.slopes.chunks_exact(n0).zip(&whitened.misses) {
                row[..n0].copy_from_slice(slopes);
                for (end, blame) in (n0..).zip(&changed) {
                    let fraction = self.problem.fraction_of(blame.suspect.at, place);
                    let w = blame.shape.come(place, fraction);
                    row[end] = w * slopes[blame.suspect.at];
                    row[blame.suspect.at] = (1.0 - w) * slopes[blame.suspect.at];
                }
                // Miss against the prior's mean, all unknowns at nought of the whole scale.
                let target = miss + dot(slopes, &self.fit.here);
                for i in (0..n).filter(|i| row[*i] != 0.0) {
                    right[i] += row[i] * target;
                    for j in 0..=i {
                        matrix[i * n + j] += row[i] * row[j];
                    }
                }
            }
        }
        for i in 0..n {
            let weight = (prior.sd[i] * prior.sd[i]).recip();
            matrix[i * n + i] += weight;
            right[i] += prior.mean[i] * weight;
        }
        Some(Factor::of(n, matrix)?.solve(&right))
    }

    /// Every shape of every suspect not yet blamed, scored, each suspect's best first.
    pub(crate) fn singles(&self, suspects: &[Suspect]) -> Vec<Vec<Candidate>> {
        suspects
            .iter()
            .filter(|s| !self.fit.hypothesis.blames_at(s.at))
            .map(|suspect| {
                let mut all = self.suspect(suspect);
                all.sort_by(|a, b| b.ln_gain.total_cmp(&a.ln_gain));
                all
            })
            .collect()
    }

    /// ln of evidence and odds of two blames together over those of the fit.
    pub(crate) fn pair(&self, a: &Candidate, b: &Candidate) -> f64 {
        let columns: Vec<&Column> = a.columns.iter().chain(&b.columns).collect();
        let shift = [&a.shift[..], &b.shift[..]].concat();
        let (ka, k) = (a.columns.len(), columns.len());
        let mut spread = vec![0.0; k * k];
        for i in 0..ka {
            for j in 0..ka {
                spread[i * k + j] = a.spread[i * ka + j];
            }
        }
        let kb = k - ka;
        for i in 0..kb {
            for j in 0..kb {
                spread[(ka + i) * k + ka + j] = b.spread[i * kb + j];
            }
        }
        a.blame.ln_odds + b.blame.ln_odds + self.gain(&columns, &shift, &spread)
    }

    fn suspect(&self, suspect: &Suspect) -> Vec<Candidate> {
        let n = self.prior.mean.len();
        let moments = &self.fit.around.moments;
        let count = moments.len();
        // What each moment alone adds: Uᵀ a, v · a, a · a.
        let mut seen = vec![vec![0.0; n]; count];
        let mut pull = vec![0.0; count];
        let mut own = vec![0.0; count];
        for (t, whitened) in moments.iter().enumerate() {
            for (row, miss) in whitened.slopes.chunks_exact(n).zip(&whitened.misses) {
                let a = row[suspect.at];
                if a == 0.0 {
                    continue;
                }
                for (sum, b) in seen[t].iter_mut().zip(row) {
                    *sum += a * b;
                }
                pull[t] += a * miss;
                own[t] += a * a;
            }
            pull[t] += dot(&seen[t], &self.off);
        }
        let column = |shape: Shape, weight: &dyn Fn(usize) -> f64| {
            let mut sum = vec![0.0; n];
            let (mut raw_pull, mut raw_own) = (0.0, 0.0);
            for t in 0..count {
                let w = weight(t);
                if w == 0.0 {
                    continue;
                }
                for (sum, x) in sum.iter_mut().zip(&seen[t]) {
                    *sum += w * x;
                }
                raw_pull += w * pull[t];
                raw_own += w * w * own[t];
            }
            let seen = self.factor.forward(&sum);
            let pull = raw_pull - dot(&seen, &self.seen_pull);
            Column { suspect_at: suspect.at, shape, seen, own: raw_own, pull }
        };
        let (mean0, sd0) = (self.prior.mean[suspect.at], self.prior.sd[suspect.at]);
        let (v0, v1) = (sd0 * sd0, suspect.sd * suspect.sd);
        let whole = column(Shape::Standing, &|_| 1.0);
        let mut out = Vec::new();
        for (shape, ln_share) in shapes(suspect, count) {
            let blame = Blame { suspect: *suspect, shape, ln_odds: suspect.ln_odds + ln_share };
            let shift = suspect.mean - mean0;
            let (columns, shift, spread) = if shape.changed() {
                let fraction = |t: usize| self.problem.fraction_of(suspect.at, t);
                let end = column(shape, &|t| shape.come(t, fraction(t)));
                (vec![whole.clone(), end], vec![0.0, shift], vec![0.0, -v0, -v0, v0 + v1])
            } else {
                (vec![whole.clone()], vec![shift], vec![v1 - v0])
            };
            let all: Vec<&Column> = columns.iter().collect();
            let ln_gain = blame.ln_odds + self.gain(&all, &shift, &spread);
            out.push(Candidate { blame, ln_gain, columns, shift, spread });
        }
        out
    }

    /// a · b as whitened, before the fit's unknowns take their part.
    fn raw(&self, a: &Column, b: &Column) -> f64 {
        let n = self.prior.mean.len();
        if a.shape == Shape::Standing && b.shape == Shape::Standing {
            return self.fit.around.information[a.suspect_at * n + b.suspect_at];
        }
        let mut sum = 0.0;
        for (t, whitened) in self.fit.around.moments.iter().enumerate() {
            let weight = |c: &Column| match c.shape {
                Shape::Standing => 1.0,
                shape => shape.come(t, self.problem.fraction_of(c.suspect_at, t)),
            };
            let w = weight(a) * weight(b);
            if w != 0.0 {
                let rows = whitened.slopes.chunks_exact(n);
                sum += w * rows.map(|r| r[a.suspect_at] * r[b.suspect_at]).sum::<f64>();
            }
        }
        sum
    }

    /// ln evidence gained when the prior's mean and covariance change along these columns:
    /// −½ ln det(I + C G) − ½ (⟨v′,v′⟩ − ⟨v,v⟩ − pᵀ (I + C G)⁻¹ C p) with v′ = v − B s, p = Bᵀ v′, G = Bᵀ B.
    fn gain(&self, columns: &[&Column], shift: &[f64], spread: &[f64]) -> f64 {
        let k = columns.len();
        let mut gram = vec![0.0; k * k];
        for i in 0..k {
            for j in 0..=i {
                let raw = if i == j { columns[i].own } else { self.raw(columns[i], columns[j]) };
                let inside = raw - dot(&columns[i].seen, &columns[j].seen);
                gram[i * k + j] = inside;
                gram[j * k + i] = inside;
            }
        }
        let mut pull = vec![0.0; k];
        let mut moved = 0.0;
        for i in 0..k {
            let through: f64 = (0..k).map(|j| gram[i * k + j] * shift[j]).sum();
            pull[i] = columns[i].pull - through;
            moved += shift[i] * (through - 2.0 * columns[i].pull);
        }
        let mut matrix = vec![0.0; k * k];
        let mut right = vec![0.0; k];
        for i in 0..k {
            for j in 0..k {
                let product: f64 = (0..k).map(|l| spread[i * k + l] * gram[l * k + j]).sum();
                matrix[i * k + j] = product + f64::from(u8::from(i == j));
            }
            right[i] = (0..k).map(|l| spread[i * k + l] * pull[l]).sum();
        }
        let Some((det, answer)) = eliminate(k, matrix, right) else { return f64::NEG_INFINITY };
        if det <= 0.0 {
            return f64::NEG_INFINITY;
        }
        -0.5 * (det.ln() + moved - dot(&pull, &answer))
    }
}

/// Determinant and solution of a few linear equations, with row exchange; `None` when singular.
fn eliminate(k: usize, mut a: Vec<f64>, mut b: Vec<f64>) -> Option<(f64, Vec<f64>)> {
    let mut det = 1.0;
    for c in 0..k {
        let pivot = (c..k).max_by(|i, j| a[i * k + c].abs().total_cmp(&a[j * k + c].abs()))?;
        if a[pivot * k + c].abs() < f64::MIN_POSITIVE {
            return None;
        }
        if pivot != c {
            for j in 0..k {
                a.swap(pivot * k + j, c * k + j);
            }
            b.swap(pivot, c);
            det = -det;
        }
        det *= a[c * k + c];
        for i in c + 1..k {
            let factor = a[i * k + c] / a[c * k + c];
            for j in c..k {
                a[i * k + j] -= factor * a[c * k + j];
            }
            b[i] -= factor * b[c];
        }
    }
    for i in (0..k).rev() {
        let sum: f64 = (i + 1..k).map(|j| a[i * k + j] * b[j]).sum();
        b[i] = (b[i] - sum) / a[i * k + i];
    }
    Some((det, b))
}
