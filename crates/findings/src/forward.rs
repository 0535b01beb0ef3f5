//! The forward search: a fault more is joined to the best hypotheses, each scored around its own fit, and faults of the best are left out, exchanged and dated anew.

use crate::fit::Fit;
use crate::hypothesis::{Blame, Hypothesis, RAMPS, Shape, Suspect, shapes};
use crate::jumps::jumps;
use crate::score::{Candidate, Scorer};
use crate::search::{BENT, FAR, Search, held};

/// Faults together at most.
const MOST_FAULTS: usize = 4;
/// Hypotheses of one fault from which pairs are grown, and pairs grown from each.
const OF_ONE: (usize, usize) = (3, 4);
/// The same of two faults and more.
const OF_MORE: (usize, usize) = (1, 2);
/// A third fault must promise to come so near the best to be joined.
const WORTH: f64 = 0.0;
/// Faults that are joined in the place of one that is left out.
const EXCHANGED: usize = 2;

impl Search<'_> {
    /// Grows pairs, then three and four faults, as long as they come near the best; then leaves out and exchanges faults of the best.
    pub(crate) fn forward(&mut self) {
        if self.problem.moments.len() == 1 {
            // One set holds too few readings to tell three faults from two.
            return self.grow(1);
        }
        for faults in 1..MOST_FAULTS {
            self.grow(faults);
        }
        self.exchange();
    }

    /// [`BENT`] in a history; one set moves the plant no further than its readings do.
    pub(crate) fn bent(&self) -> f64 {
        if self.problem.moments.len() == 1 { 0.0 } else { BENT }
    }

    pub(crate) fn best(&self) -> f64 {
        self.fits.iter().map(Fit::ln_weight).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Grows from the best hypotheses of so many faults, each scored around its own fit.
    fn grow(&mut self, faults: usize) {
        let ((roots, each), near) = if faults == 1 { (OF_ONE, FAR) } else { (OF_MORE, WORTH) };
        let best = self.best();
        let mut order: Vec<&Fit> =
            self.fits.iter().filter(|fit| fit.hypothesis.blames.len() == faults).collect();
        order.sort_by(|a, b| b.ln_weight().total_cmp(&a.ln_weight()));
        let first = order.first().map_or(best, |fit| fit.ln_weight());
        let bent = self.bent();
        let (first, fixed) = if bent > 0.0 { (first, None) } else { (best, Some(best)) };
        let roots: Vec<Fit> = order
            .into_iter()
            .take(roots)
            .filter(|fit| fit.ln_weight() > first - FAR - bent * (best - first))
            .cloned()
            .collect();
        for (place, root) in roots.into_iter().enumerate() {
            self.grow_from(&root, each, near, fixed);
            if place == 0 {
                self.grow_at_jumps(&root);
            }
        }
    }

    /// Joins the causes whose slopes may be blind from their fault's middle, at the moments at which the hypothesis leaves the readings
    /// jumping.
    fn grow_at_jumps(&mut self, root: &Fit) {
        let count = self.problem.moments.len();
        for t in jumps(self.problem, &root.around) {
            let blind: Vec<Suspect> = self
                .suspects
                .iter()
                .filter(|s| s.kinked && !root.hypothesis.blames_at(s.at))
                .copied()
                .collect();
            for suspect in blind {
                let all = shapes(&suspect, count);
                let Some((shape, share)) = all.into_iter().find(|(s, _)| *s == Shape::Step(t))
                else {
                    continue;
                };
                let blame = Blame { suspect, shape, ln_odds: suspect.ln_odds + share };
                let mut start = root.mean.clone();
                start.push(suspect.mean);
                self.refit_at(&root.hypothesis.with(blame), start);
            }
        }
    }

    /// Joins to one hypothesis the faults that gain most beside it, so many at most: those that come near the best there is then, or near
    /// a fixed one.
    fn grow_from(&mut self, root: &Fit, each: usize, near: f64, fixed: Option<f64>) {
        let Some(scorer) = Scorer::new(self.problem, root, root.prior.clone()) else {
            return;
        };
        let mut grown: Vec<Candidate> = scorer
            .singles(&self.suspects)
            .into_iter()
            .filter_map(|shapes| shapes.into_iter().next())
            .collect();
        grown.sort_by(|a, b| b.ln_gain.total_cmp(&a.ln_gain));
        let bent = if near == FAR { self.bent() } else { 0.0 };
        let most = bent * grown.first().map_or(0.0, |c| c.ln_gain.max(0.0));
        for candidate in grown.into_iter().take(each) {
            let best = fixed.unwrap_or_else(|| self.best());
            if root.ln_weight() + candidate.ln_gain >= best - near - most {
                self.refit_grown(&scorer, root, &root.hypothesis.with(candidate.blame));
            }
        }
    }

    /// Leaves each fault of the best hypothesis out in turn and joins another, or the same at another date; tries the neighbours of its
    /// date as well.
    fn exchange(&mut self) {
        let count = self.problem.moments.len();
        let lead = self.fits.iter().max_by(|a, b| a.ln_weight().total_cmp(&b.ln_weight()));
        let Some(lead) = lead.cloned() else { return };
        for (place, blame) in lead.hypothesis.blames.iter().enumerate() {
            for (shape, share) in shapes(&blame.suspect, count) {
                if !beside(blame.shape, shape) {
                    continue;
                }
                let mut hypothesis = lead.hypothesis.clone();
                let ln_odds = blame.suspect.ln_odds + share;
                hypothesis.blames[place] = Blame { shape, ln_odds, ..*blame };
                self.refit_at(&hypothesis, lead.mean.clone());
            }
            if lead.hypothesis.blames.len() > 1 {
                let (others, start) = self.without(&lead, place);
                self.refit_at(&others, start);
                let root = self.fits.iter().find(|fit| fit.hypothesis.same(&others)).cloned();
                if let Some(root) = root {
                    self.grow_from(&root, EXCHANGED, WORTH, None);
                }
            }
        }
    }

    /// A hypothesis with one fault fewer, and where its fit may start.
    fn without(&self, lead: &Fit, place: usize) -> (Hypothesis, Vec<f64>) {
        let mut others = lead.hypothesis.clone();
        let blame = others.blames.remove(place);
        let count = self.problem.layout.count;
        let mut start = lead.mean.clone();
        let ends: Vec<usize> = lead
            .hypothesis
            .changes(count)
            .filter(|(b, _)| **b == blame)
            .map(|(_, at)| at)
            .collect();
        for at in ends {
            start.remove(at);
        }
        start[blame.suspect.at] = self.healthy.mean[blame.suspect.at];
        (others, start)
    }

    /// Fits a hypothesis from a state near by, unless it was fitted.
    fn refit_at(&mut self, hypothesis: &Hypothesis, start: Vec<f64>) {
        if self.fits.iter().any(|fit| fit.hypothesis.same(hypothesis)) {
            return;
        }
        let prior = hypothesis.prior(&self.healthy);
        if prior.mean.len() == start.len() {
            let start = held(&start, &prior);
            let worth = self.worth(hypothesis);
            self.fits.extend(self.problem.fit(hypothesis, prior, start, &mut self.starts, worth));
        }
    }

    /// As [`Search::refit`], the linear problem being that around the fit of fewer faults.
    fn refit_grown(&mut self, scorer: &Scorer<'_>, root: &Fit, hypothesis: &Hypothesis) {
        if self.fits.iter().any(|fit| fit.hypothesis.same(hypothesis)) {
            return;
        }
        let prior = hypothesis.prior(&self.healthy);
        let added = &hypothesis.blames[root.hypothesis.blames.len()..];
        let Some(start) = scorer.mean_under(added, &prior) else { return };
        let start = held(&start, &prior);
        let worth = self.worth(hypothesis);
        self.fits.extend(self.problem.fit(hypothesis, prior, start, &mut self.starts, worth));
    }
}

/// Whether a shape is another a little earlier or a little later.
fn beside(shape: Shape, other: Shape) -> bool {
    match (shape, other) {
        (Shape::Step(a), Shape::Step(b)) => a.abs_diff(b) == 1,
        (Shape::Ramp(a), Shape::Ramp(b)) => {
            RAMPS.windows(2).any(|pair| pair == [a, b] || pair == [b, a])
        }
        _ => false,
    }
}
