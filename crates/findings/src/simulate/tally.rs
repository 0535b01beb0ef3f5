//! Trials counted: the right cause first, the right family, false alarms, intervals that hold, probabilities that come true.

use std::collections::BTreeMap;

use crate::cause::Cause;
use crate::simulate::trial::{Group, SIX, Trial};

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Share {
    /// That were so.
    pub yes: usize,
    /// Of all.
    pub of: usize,
}

impl Share {
    /// Counts one more.
    pub fn count(&mut self, yes: bool) {
        self.yes += usize::from(yes);
        self.of += 1;
    }

    /// As a fraction; none when nothing was counted.
    #[must_use]
    pub fn fraction(self) -> Option<f64> {
        (self.of > 0).then(|| self.yes as f64 / self.of as f64)
    }
}

/// Bands of probability in which words and truth are compared: upper ends.
pub const BANDS: [f64; 7] = [0.05, 0.2, 0.5, 0.65, 0.8, 0.95, 1.000_001];

/// What was said in one band of probability.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Band {
    /// Sum of the probabilities said.
    pub said: f64,
    /// How many were true.
    pub held: Share,
}

/// Counts over trials of one experiment.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// One of six at its limit: it leads.
    pub at_limit: Share,
    /// One of six at twice its limit: it leads.
    pub six: Share,
    /// Any process cause at twice its limit: it leads.
    pub process: Share,
    /// An instrument off by twice its limit: it leads.
    pub instruments: Share,
    /// A process cause at twice its limit: the leader is of its family.
    pub family: Share,
    /// Two causes: the leader is one of them.
    pub pair_one: Share,
    /// Two causes: the first two are both.
    pub pair_both: Share,
    /// A sound plant: something is said to be past its limit with more than a half.
    pub alarms: Share,
    /// Intervals of plants dealt from the table that hold the truth, by cause.
    pub coverage: BTreeMap<Cause, Share>,
    /// Intervals of what is blamed with more than a half and truly past its limit.
    pub blamed: Share,
    /// Probabilities said of dealt plants, by [`BANDS`].
    pub reliability: [Band; 7],
    /// What led (columns) for each cause put in alone at twice its limit.
    pub confusion: BTreeMap<Cause, BTreeMap<Cause, usize>>,
    /// The same for each cause put in alone at its limit.
    pub confusion_at_limit: BTreeMap<Cause, BTreeMap<Cause, usize>>,
    /// Two causes: how often each was among the first two, of the times it was put in.
    pub in_pairs: BTreeMap<Cause, Share>,
    /// Trials that could not be run or explained.
    pub lost: usize,
}

impl Tally {
    /// Counts a trial.
    pub fn add(&mut self, trial: Option<&Trial>) {
        let Some(trial) = trial else {
            self.lost += 1;
            return;
        };
        let leader = trial.said.first().map(|s| s.cause);
        let first = leader.is_some_and(|l| trial.truth.contains(&l));
        if let (Group::Process | Group::Instrument, [truth], Some(leader)) =
            (trial.group, &trial.truth[..], leader)
        {
            *self.confusion.entry(*truth).or_default().entry(leader).or_default() += 1;
        }
        if let (Group::AtLimit, [truth], Some(leader)) = (trial.group, &trial.truth[..], leader) {
            *self.confusion_at_limit.entry(*truth).or_default().entry(leader).or_default() += 1;
        }
        match trial.group {
            Group::AtLimit => self.at_limit.count(first),
            Group::Process => {
                self.process.count(first);
                self.family.count(trial.family);
                if trial.truth.iter().any(|c| SIX.contains(c)) {
                    self.six.count(first);
                }
            }
            Group::Instrument => self.instruments.count(first),
            Group::Pair => {
                self.pair_one.count(first);
                let both = trial.said.iter().take(2).all(|s| trial.truth.contains(&s.cause));
                self.pair_both.count(both);
                for cause in &trial.truth {
                    let named = trial.said.iter().take(2).any(|s| s.cause == *cause);
                    self.in_pairs.entry(*cause).or_default().count(named);
                }
            }
            Group::Sound => self.alarms.count(trial.said.iter().any(|s| s.p > 0.5)),
            Group::Dealt => self.dealt(trial),
        }
        for said in trial.said.iter().filter(|s| s.p > 0.5 && s.over) {
            self.blamed.count(said.inside);
        }
    }

    fn dealt(&mut self, trial: &Trial) {
        for said in &trial.said {
            self.coverage.entry(said.cause).or_default().count(said.inside);
            let band = BANDS.iter().position(|end| said.p < *end).unwrap_or(BANDS.len() - 1);
            self.reliability[band].said += said.p;
            self.reliability[band].held.count(said.over);
        }
    }

    /// Intervals over all causes of the plant that hold the truth (feed counted once).
    #[must_use]
    pub fn coverage_of_plant(&self) -> Share {
        let mut all = Share::default();
        for (cause, share) in &self.coverage {
            if !matches!(cause, Cause::Instrument(_) | Cause::FeedHigh) {
                all.yes += share.yes;
                all.of += share.of;
            }
        }
        all
    }
}
