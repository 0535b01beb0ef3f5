//! The search over hypotheses: none, each cause, pairs; scored on the linear problem, the likely ones fitted again.

use crate::fit::{Around, Fit, Starts};
use crate::hypothesis::{Blame, Hypothesis, Shape, Suspect, shapes, suspects};
use crate::jumps::jumps;
use crate::problem::{Prior, Problem};
use crate::score::{Candidate, Scorer};
use crate::slips::{drawn_together, gather, weaken};

/// A hypothesis that lies this far under the best is not fitted again.
pub(crate) const FAR: f64 = 8.0;
/// Part of what a fault gains on the linear problem by which that problem may be wrong: what gains much moves the plant far.
pub(crate) const BENT: f64 = 0.5;
/// A cause's second shape is fitted again when its score lies within this of its best.
const NEAR: f64 = 4.0;
/// A leading cause that gains less than this over none does not say when something came.
const TELLING: f64 = 2.0;
/// Pairs fitted again from the first scores.
const PAIRS: usize = 8;
/// Shapes of a cause that are tried in pairs.
const SHAPES_IN_PAIRS: usize = 3;
/// Shapes of leading causes in which others are tried.
const LED: usize = 2;
/// Moments of a history that are told apart.
const MOST_MOMENTS: usize = 45;
/// A fit that will end so far under the best there is, in ln, is not brought to its end.
const LOST: f64 = 20.0;
/// A fit that is brought to its end whatever it comes to.
const ANY: f64 = f64::NEG_INFINITY;
/// Weight under which a hypothesis is forgotten.
const FORGOTTEN: f64 = 1.0e-5;

/// The hypotheses that count, fitted, with their weights.
#[derive(Debug, Clone)]
pub(crate) struct Mixture {
    pub(crate) parts: Vec<Part>,
    /// Fits made, for the record.
    pub(crate) fits: usize,
    /// Probability that no cause of the table, and no two, explain the readings.
    pub(crate) unexplained: f64,
}

/// One hypothesis of the mixture.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub(crate) weight: f64,
    pub(crate) fit: Fit,
}

pub(crate) struct Search<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) healthy: Prior,
    pub(crate) suspects: Vec<Suspect>,
    pub(crate) starts: Starts,
    pub(crate) fits: Vec<Fit>,
}

/// Searches; `None` when not even a healthy plant can be fitted to the readings. Slips of a history are weakened on the way.
///
/// A long history is drawn together into fewer moments, each reading's miss being worked out at its own conditions.
pub(crate) fn search(problem: &mut Problem) -> Option<Mixture> {
    let none = Hypothesis::default();
    let healthy = problem.healthy();
    let broad = problem.broad();
    let single = problem.clone();
    if single.moments.len() > MOST_MOMENTS {
        *problem = drawn_together(&single, MOST_MOMENTS);
    }
    let mut starts: Starts = vec![None; problem.moments.len()];
    let mut base = problem.fit(&none, broad.clone(), healthy.mean.clone(), &mut starts, ANY)?;
    if single.moments.len() > 1 {
        if single.moments.len() > problem.moments.len() {
            let mut single = single;
            let mut each: Starts = vec![None; single.moments.len()];
            let here = single.around(&none, &base.here, &mut each)?;
            weaken(&mut single, &here);
            gather(problem, &base.around, &single, &here, MOST_MOMENTS);
        } else {
            weaken(problem, &base.around);
        }
        base = problem.fit(&none, broad, base.mean, &mut starts, ANY)?;
    }
    let problem = &*problem;
    let mut search = Search {
        problem,
        suspects: suspects(problem),
        healthy: healthy.clone(),
        starts,
        fits: Vec::new(),
    };
    let scorer = Scorer::new(problem, &base, healthy.clone())?;
    let singles = scorer.singles(&search.suspects);
    // The likeliest first: what lies far behind it need not be fitted to its end.
    let leader = singles
        .iter()
        .filter_map(|shapes| shapes.first())
        .max_by(|a, b| a.ln_gain.total_cmp(&b.ln_gain))
        .filter(|c| c.ln_gain > 0.0);
    if let Some(leader) = leader {
        search.refit(&scorer, &Hypothesis { blames: vec![leader.blame] });
    }
    search.refit(&scorer, &none);
    let extra = search.refit_singles(&scorer, &singles, &base.around);
    search.refit_pairs(&scorer, &singles);
    search.forward();
    Some(search.mixture(&extra)).filter(|mixture| !mixture.parts.is_empty())
}

impl Search<'_> {
    /// Fits a hypothesis from where the linear problem puts it; where its slope may be blind, from its fault's middle as well.
    fn refit(&mut self, scorer: &Scorer<'_>, hypothesis: &Hypothesis) {
        if self.fits.iter().any(|fit| fit.hypothesis.same(hypothesis)) {
            return;
        }
        let prior = hypothesis.prior(&self.healthy);
        let Some(start) = scorer.mean_under(&hypothesis.blames, &prior) else { return };
        let start = held(&start, &prior);
        let worth = self.worth(hypothesis);
        let mut best =
            self.problem.fit(hypothesis, prior.clone(), start.clone(), &mut self.starts, worth);
        let single = hypothesis.blames.len() == 1;
        if let Some(last) = hypothesis.blames.last().filter(|b| single && b.suspect.kinked) {
            let changed = hypothesis.changes(self.problem.layout.count).last();
            let at = match changed {
                Some((blame, end)) if blame == last => end,
                _ => last.suspect.at,
            };
            // Not worth a second fit where the first start was there already.
            if ((start[at] - last.suspect.mean) / last.suspect.sd).abs() > 0.5 {
                // In a history much else was moved to make up for it.
                let mut start =
                    if self.problem.moments.len() > 1 { prior.mean.clone() } else { start };
                start[at] = last.suspect.mean;
                let again = self.problem.fit(hypothesis, prior, start, &mut self.starts, worth);
                best = match (best, again) {
                    (Some(a), Some(b)) if b.ln_evidence > a.ln_evidence => Some(b),
                    (Some(a), _) => Some(a),
                    (None, b) => b,
                };
            }
        }
        self.fits.extend(best);
    }

    /// The ln of its evidence under which a hypothesis is not worth fitting to its end.
    pub(crate) fn worth(&self, hypothesis: &Hypothesis) -> f64 {
        self.best() - hypothesis.ln_odds() - LOST
    }

    /// Fits the likely shapes of the likely causes; by suspect, ln of all shapes' mass over that of the fitted ones.
    fn refit_singles(
        &mut self,
        scorer: &Scorer<'_>,
        singles: &[Vec<Candidate>],
        around: &Around,
    ) -> Vec<(Suspect, f64)> {
        let best = singles.iter().filter_map(|s| s.first()).map(|c| c.ln_gain).fold(0.0, f64::max);
        let mut extra = Vec::new();
        for scored in singles {
            let Some(first) = scored.first() else { continue };
            let suspect = first.blame.suspect;
            let blind = self.problem.moments.len() == 1 && first.blame.suspect.kinked;
            if first.ln_gain < best - FAR - self.bent() * best && !blind {
                continue;
            }
            let mut fitted = vec![first];
            let other = |c: &&Candidate| {
                std::mem::discriminant(&c.blame.shape) != std::mem::discriminant(&first.blame.shape)
            };
            fitted.extend(
                scored.iter().filter(other).take(1).filter(|c| c.ln_gain > first.ln_gain - NEAR),
            );
            let mass = |list: &mut dyn Iterator<Item = f64>| ln_sum(list);
            let all = mass(&mut scored.iter().map(|c| c.ln_gain));
            let some = mass(&mut fitted.iter().map(|c| c.ln_gain));
            let spread = all - some;
            extra.push((suspect, if spread.is_finite() { spread } else { 0.0 }));
            for candidate in fitted {
                self.refit(scorer, &Hypothesis { blames: vec![candidate.blame] });
            }
        }
        self.refit_blind(&mut extra, around);
        extra
    }

    /// In a history the linear problem may not see a fault until it bites, and so not when it came either: such causes are fitted
    /// from their fault's middle, in the shape in which the leading cause came.
    fn refit_blind(&mut self, extra: &mut Vec<(Suspect, f64)>, around: &Around) {
        if self.problem.moments.len() == 1 {
            return;
        }
        let (none, mut leaders): (Vec<&Fit>, Vec<&Fit>) =
            self.fits.iter().partition(|fit| fit.hypothesis.blames.is_empty());
        let none = none.first().map_or(f64::NEG_INFINITY, |fit| fit.ln_weight());
        leaders.sort_by(|a, b| b.ln_weight().total_cmp(&a.ln_weight()));
        let best = leaders.first().map_or(none, |fit| fit.ln_weight());
        if best < none + TELLING {
            return;
        }
        let mut led: Vec<Blame> = Vec::new();
        for blame in leaders.iter().filter_map(|fit| fit.hypothesis.blames.first()) {
            if led.len() < LED && led.iter().all(|b| b.shape != blame.shape) {
                led.push(*blame);
            }
        }
        let moved = jumps(self.problem, around).into_iter().map(|t| (None, Shape::Step(t)));
        let led = led.into_iter().map(|blame| (Some(blame.suspect), blame.shape));
        for (led, shape) in led.chain(moved) {
            self.refit_as(led, shape, extra);
        }
    }

    /// Fits the kinked causes from their fault's middle in the shape of a leading blame, or as of a jump of the readings.
    fn refit_as(&mut self, led: Option<Suspect>, shape: Shape, extra: &mut Vec<(Suspect, f64)>) {
        let mass = extra.iter().find(|(s, _)| led.is_none_or(|led| *s == led)).map_or(0.0, |e| e.1);
        let other = |s: &&Suspect| s.kinked && led.is_none_or(|led| s.cause != led.cause);
        let kinked: Vec<Suspect> = self.suspects.iter().filter(other).copied().collect();
        for suspect in kinked {
            let all = shapes(&suspect, self.problem.moments.len());
            let Some((_, share)) = all.iter().find(|(s, _)| *s == shape) else { continue };
            let blame = Blame { suspect, shape, ln_odds: suspect.ln_odds + share };
            let hypothesis = Hypothesis { blames: vec![blame] };
            if self.fits.iter().any(|fit| fit.hypothesis.same(&hypothesis)) {
                continue;
            }
            let prior = hypothesis.prior(&self.healthy);
            let start = prior.mean.clone();
            let worth = self.worth(&hypothesis);
            let fit = self.problem.fit(&hypothesis, prior, start, &mut self.starts, worth);
            // Far behind the leader it would only be carried along.
            let near = self.best() - FAR;
            if let Some(fit) = fit.filter(|f| f.ln_weight() > near) {
                if !extra.iter().any(|(s, _)| *s == suspect) {
                    extra.push((suspect, mass));
                }
                self.fits.push(fit);
            }
        }
    }

    /// Fits the pairs that score best on the first linear problem.
    fn refit_pairs(&mut self, scorer: &Scorer<'_>, singles: &[Vec<Candidate>]) {
        let mut scored: Vec<(f64, &Candidate, &Candidate)> = Vec::new();
        for (i, left) in singles.iter().enumerate() {
            for right in &singles[i + 1..] {
                let mut best: Option<(f64, &Candidate, &Candidate)> = None;
                for a in left.iter().take(SHAPES_IN_PAIRS) {
                    for b in right.iter().take(SHAPES_IN_PAIRS) {
                        if a.blame.suspect.at == b.blame.suspect.at {
                            continue;
                        }
                        let gain = scorer.pair(a, b);
                        if best.is_none_or(|(g, ..)| gain > g) {
                            best = Some((gain, a, b));
                        }
                    }
                }
                scored.extend(best);
            }
        }
        scored.sort_by(|a, b| b.0.total_cmp(&a.0));
        let best = scored.first().map_or(0.0, |s| s.0).max(0.0);
        for (gain, a, b) in scored.into_iter().take(PAIRS) {
            if gain > best - FAR - self.bent() * best {
                self.refit(scorer, &Hypothesis { blames: vec![a.blame, b.blame] });
            }
        }
    }

    fn mixture(self, extra: &[(Suspect, f64)]) -> Mixture {
        let spread = |fit: &Fit| -> f64 {
            let of = |b: &Blame| extra.iter().find(|(s, _)| *s == b.suspect).map_or(0.0, |e| e.1);
            fit.hypothesis.blames.iter().map(of).sum()
        };
        let weights: Vec<f64> = self.fits.iter().map(|f| f.ln_weight() + spread(f)).collect();
        let all = ln_sum(&mut weights.iter().copied());
        let unexplained = self
            .fits
            .iter()
            .zip(&weights)
            .map(|(fit, weight)| unlisted(self.problem, fit) - all + weight)
            .fold(f64::NEG_INFINITY, f64::max);
        let unexplained = (1.0 + (-unexplained).exp()).recip();
        let count = self.fits.len();
        let mut parts: Vec<Part> = self
            .fits
            .into_iter()
            .zip(weights)
            .map(|(fit, weight)| Part { weight: (weight - all).exp(), fit })
            .filter(|part| part.weight > FORGOTTEN)
            .collect();
        let sum: f64 = parts.iter().map(|p| p.weight).sum();
        for part in &mut parts {
            part.weight /= sum;
        }
        parts.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        Mixture { parts, fits: count, unexplained }
    }
}

/// ln of the odds of something unlisted against a fit: all scatter and all doubts so many times as wide.
fn unlisted(problem: &Problem, fit: &Fit) -> f64 {
    const ODDS: f64 = 0.01;
    const WIDER: f64 = 4.0;
    let rows: usize = problem.moments.iter().map(|m| m.rows.len()).sum();
    let quiet = fit.surprise();
    ODDS.ln() - rows as f64 * WIDER.ln() + 0.5 * quiet * (1.0 - (WIDER * WIDER).recip())
}

/// A start held to what the prior finds thinkable.
pub(crate) fn held(start: &[f64], prior: &Prior) -> Vec<f64> {
    const FARTHEST: f64 = 4.0;
    start
        .iter()
        .zip(prior.mean.iter().zip(&prior.sd))
        .map(|(x, (mean, sd))| x.clamp(mean - FARTHEST * sd, mean + FARTHEST * sd))
        .collect()
}

/// ln Σ exp.
pub(crate) fn ln_sum(list: &mut dyn Iterator<Item = f64>) -> f64 {
    let all: Vec<f64> = list.collect();
    let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + all.iter().map(|x| (x - most).exp()).sum::<f64>().ln()
}
