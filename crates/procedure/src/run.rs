//! A run of a procedure: what was done folded into where it stands, and whether the next thing may be done.

use std::fmt;

use jiff::{SignedDuration, Timestamp};

use crate::act::{Act, UNNAMED};
use crate::kind::{Nature, Procedure, Step, Who};
use crate::seen::{Seen, Unmet};

/// How a step stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// Done.
    Done {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
    },
    /// Done although a guard held.
    Overridden {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// What they are aboard.
        who: Who,
        /// Why.
        reason: String,
        /// What the guard said.
        held: String,
    },
    /// Passed over.
    Passed {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
}

impl Standing {
    /// When it was done or passed over.
    #[must_use]
    pub fn at(&self) -> Timestamp {
        match self {
            Self::Done { at, .. } | Self::Overridden { at, .. } | Self::Passed { at, .. } => *at,
        }
    }
}

/// Where a run stands.
#[derive(Debug, Clone, PartialEq)]
pub enum State {
    /// Not begun.
    NotStarted,
    /// At a step that may be ticked.
    AtStep {
        /// Its place.
        step: usize,
        /// What does not fit and does not hold.
        warned: Vec<Unmet>,
    },
    /// At a step whose guard holds.
    Held {
        /// Its place.
        step: usize,
        /// Why.
        why: Vec<Unmet>,
    },
    /// Every step is done or passed over.
    Done {
        /// When the last one was.
        at: Timestamp,
    },
    /// Given up.
    Abandoned {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
}

/// Why a guard does not let something be done, and who may do it all the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Why.
    pub why: Vec<Unmet>,
    /// Who may go on, with a reason.
    pub overridden_by: Who,
}

/// Whether something may be done.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// It may; what does not fit is told.
    Go {
        /// What does not fit.
        warned: Vec<Unmet>,
    },
    /// A guard holds.
    Held(Held),
    /// It cannot be done in this run.
    Wrong(Wrong),
}

/// Why something cannot be done in a run.
#[derive(Debug, Clone, PartialEq)]
pub enum Wrong {
    /// The run has been begun.
    Begun,
    /// The run has not been begun.
    NotBegun,
    /// The run is done or given up.
    Ended,
    /// There is no such step.
    NoStep {
        /// As it was named.
        step: String,
    },
    /// The step is done or passed over.
    Stands {
        /// Its key.
        step: String,
    },
    /// The moment lies ahead.
    Ahead {
        /// The moment.
        at: Timestamp,
        /// Now.
        now: Timestamp,
    },
    /// The moment lies before what was done before it.
    TooEarly {
        /// The moment.
        at: Timestamp,
        /// When the step before it was done, or the run begun.
        after: Timestamp,
    },
    /// No initials were given.
    NoInitials,
    /// Nothing stands without initials.
    AllNamed,
    /// No reason was given.
    NoReason,
    /// A guarded step is not passed over: it is done, or overridden with a name and a reason.
    Guarded,
    /// Nothing holds this step.
    NothingHolds,
    /// Others must say so.
    NotYours {
        /// Who may.
        needs: Who,
    },
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Begun => f.write_str("this run has been begun"),
            Self::NotBegun => f.write_str("this run has not been begun"),
            Self::Ended => f.write_str("this run is over: begin another"),
            Self::NoStep { step } => write!(f, "there is no step “{step}” in this procedure"),
            Self::Stands { step } => write!(f, "“{step}” is done or passed over"),
            Self::Ahead { at, now } => write!(f, "{at} lies ahead: it is {now}"),
            Self::TooEarly { at, after } => {
                write!(f, "{at} lies before the step before it, {after}: give the true time")
            }
            Self::NoInitials => f.write_str("no initials: say who does it"),
            Self::AllNamed => f.write_str("everything of it has its initials"),
            Self::NoReason => f.write_str("no reason: say why"),
            Self::Guarded => f.write_str(
                "a guarded step is not passed over: do it, or go on against the guard with a name and a reason",
            ),
            Self::NothingHolds => f.write_str("nothing holds this step: tick it"),
            Self::NotYours { needs } => write!(f, "this needs the word of the {}", needs.aboard()),
        }
    }
}

impl std::error::Error for Wrong {}

impl Who {
    /// As they are called aboard.
    #[must_use]
    pub fn aboard(self) -> &'static str {
        match self {
            Self::Watch => "watch-keeper",
            Self::Engineer => "engineer in charge",
            Self::Chief => "chief engineer",
        }
    }
}

/// A run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run<'a> {
    /// What is run.
    pub procedure: &'a Procedure,
    /// When it was begun, by whom, and the version of its text.
    pub began: Option<(Timestamp, String, String)>,
    /// How each step stands; none for those that are open.
    pub standing: Vec<Option<Standing>>,
    /// When it was given up, by whom and why.
    pub abandoned: Option<(Timestamp, String, String)>,
    /// What does not fit this procedure or came twice, as two tablets may send it: it changes nothing.
    pub strange: Vec<Act>,
}

impl<'a> Run<'a> {
    /// Folds what was done, in the order of the record.
    #[must_use]
    pub fn of<'b>(procedure: &'a Procedure, acts: impl IntoIterator<Item = &'b Act>) -> Self {
        let standing = vec![None; procedure.steps.len()];
        let mut run =
            Run { procedure, began: None, standing, abandoned: None, strange: Vec::new() };
        for act in acts {
            if run.apply(act).is_err() {
                run.strange.push(act.clone());
            }
        }
        run
    }

    /// Takes in what was done. Guards are not asked: what is in the record was done.
    ///
    /// # Errors
    /// [`Wrong`] where it does not fit; the run is as it was then.
    pub fn apply(&mut self, act: &Act) -> Result<(), Wrong> {
        if let Act::Began { at, by, version, .. } = act {
            if self.began.is_some() {
                return Err(Wrong::Begun);
            }
            self.began = Some((*at, by.clone(), version.clone()));
            return Ok(());
        }
        if let Act::Named { by, .. } = act {
            return self.name(by);
        }
        self.open()?;
        let standing = match act.clone() {
            Act::Began { .. } | Act::Named { .. } => return Err(Wrong::Begun),
            Act::Abandoned { at, by, reason } => {
                self.abandoned = Some((at, by, reason));
                return Ok(());
            }
            Act::Done { at, by, .. } => Standing::Done { at, by },
            Act::Passed { at, by, reason, .. } => Standing::Passed { at, by, reason },
            Act::Overrode { at, by, who, reason, held, .. } => {
                Standing::Overridden { at, by, who, reason, held }
            }
        };
        let step = self.open_step(act.step().unwrap_or_default())?;
        self.standing[step] = Some(standing);
        Ok(())
    }

    /// Everything that stands without initials.
    fn unnamed(&mut self) -> impl Iterator<Item = &mut String> {
        let steps = self.standing.iter_mut().flatten().map(|standing| match standing {
            Standing::Done { by, .. }
            | Standing::Overridden { by, .. }
            | Standing::Passed { by, .. } => by,
        });
        let began = self.began.iter_mut().map(|(_, by, _)| by);
        let ended = self.abandoned.iter_mut().map(|(_, by, _)| by);
        began.chain(steps).chain(ended).filter(|by| *by == UNNAMED)
    }

    fn name(&mut self, who: &str) -> Result<(), Wrong> {
        let mut named = 0;
        for by in self.unnamed() {
            who.clone_into(by);
            named += 1;
        }
        if named == 0 { Err(Wrong::AllNamed) } else { Ok(()) }
    }

    /// How much of it stands without initials.
    #[must_use]
    pub fn without_name(&self) -> usize {
        self.clone().unnamed().count()
    }

    /// Where it stands.
    #[must_use]
    pub fn state(&self, seen: &(impl Seen + ?Sized), now: Timestamp) -> State {
        if self.began.is_none() {
            return State::NotStarted;
        }
        if let Some((at, by, reason)) = self.abandoned.clone() {
            return State::Abandoned { at, by, reason };
        }
        let Some(step) = self.standing.iter().position(Option::is_none) else {
            let last = self.standing.iter().flatten().map(Standing::at).max();
            return State::Done { at: last.unwrap_or(now) };
        };
        let why = self.unmet(step, seen, now, true);
        match self.procedure.holds(&self.procedure.steps[step]) && !why.is_empty() {
            true => State::Held { step, why },
            false => State::AtStep { step, warned: why },
        }
    }

    /// Whether something may be done now. `looked` counts for [`Act::Done`] only.
    #[must_use]
    pub fn ask(&self, act: &Act, seen: &(impl Seen + ?Sized), now: Timestamp) -> Answer {
        match self.asked(act, seen, now) {
            Ok(answer) => answer,
            Err(wrong) => Answer::Wrong(wrong),
        }
    }

    fn asked(
        &self,
        act: &Act,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
    ) -> Result<Answer, Wrong> {
        let go = Ok(Answer::Go { warned: Vec::new() });
        if act.by().trim().is_empty() {
            return Err(Wrong::NoInitials);
        }
        if act.at() > now {
            return Err(Wrong::Ahead { at: act.at(), now });
        }
        if let Act::Began { .. } = act {
            return if self.began.is_some() { Err(Wrong::Begun) } else { go };
        }
        if let Act::Named { .. } = act {
            return if self.without_name() == 0 { Err(Wrong::AllNamed) } else { go };
        }
        self.open()?;
        let reason = match act {
            Act::Passed { reason, .. }
            | Act::Overrode { reason, .. }
            | Act::Abandoned { reason, .. } => Some(reason),
            Act::Began { .. } | Act::Named { .. } | Act::Done { .. } => None,
        };
        if reason.is_some_and(|reason| reason.trim().is_empty()) {
            return Err(Wrong::NoReason);
        }
        let Some(key) = act.step() else { return go };
        let step = self.open_step(key)?;
        let guarded = self.procedure.holds(&self.procedure.steps[step]);
        let after = self.since(step).or(self.began.as_ref().map(|(at, ..)| *at));
        if let Some(after) = after.filter(|after| act.at() < *after)
            && self.procedure.nature == Nature::Work
        {
            return Err(Wrong::TooEarly { at: act.at(), after });
        }
        let looked = matches!(act, Act::Done { looked: true, .. });
        let why = self.unmet(step, seen, act.at(), looked);
        match act {
            Act::Passed { .. } if guarded => Err(Wrong::Guarded),
            Act::Overrode { .. } if !guarded || why.is_empty() => Err(Wrong::NothingHolds),
            Act::Overrode { who, .. } if *who < self.procedure.steps[step].overridden_by => {
                Err(Wrong::NotYours { needs: self.procedure.steps[step].overridden_by })
            }
            Act::Done { .. } if guarded && !why.is_empty() => Ok(Answer::Held(Held {
                why,
                overridden_by: self.procedure.steps[step].overridden_by,
            })),
            Act::Done { .. } => Ok(Answer::Go { warned: why }),
            _ => go,
        }
    }

    /// What is not as it must be before going on from a step; `looked` as for a tick that says what was seen.
    #[must_use]
    pub fn unmet(
        &self,
        step: usize,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
        looked: bool,
    ) -> Vec<Unmet> {
        let Some(Step { look, see, wait_min, .. }) = self.procedure.steps.get(step) else {
            return Vec::new();
        };
        let mut unmet = Vec::new();
        let open = self.standing[..step].iter().zip(&self.procedure.steps);
        let before: Vec<String> = open
            .filter(|(standing, _)| standing.is_none())
            .map(|(_, step)| step.key.clone())
            .collect();
        if !before.is_empty() {
            unmet.push(Unmet::Before { steps: before });
        }
        let since = self.since(step);
        if let Some(until) = since.and_then(|since| since.checked_add(waiting(*wait_min)).ok())
            && *wait_min > 0.0
            && now < until
        {
            unmet.push(Unmet::Wait { until });
        }
        unmet.extend(see.iter().filter_map(|condition| condition.met(seen, since, now).err()));
        if !look.is_empty() && !looked {
            unmet.push(Unmet::NotLooked { look: look.clone() });
        }
        unmet
    }

    /// When the step before this one was done: readings from then on count.
    #[must_use]
    pub fn since(&self, step: usize) -> Option<Timestamp> {
        self.standing.get(..step)?.iter().flatten().map(Standing::at).max()
    }

    /// The safe way out from here: that of the last step done which has one.
    #[must_use]
    pub fn way_out(&self) -> Option<&'a str> {
        // Where steps may be ticked in any order, what lies behind a gap has no way out of its own.
        let last = match self.procedure.nature {
            Nature::Work => self.standing.iter().rposition(Option::is_some)?,
            _ => self
                .standing
                .iter()
                .position(Option::is_none)
                .unwrap_or(self.standing.len())
                .checked_sub(1)?,
        };
        let steps = &self.procedure.steps[..=last];
        steps.iter().rev().map(|step| step.way_out.as_str()).find(|way| !way.is_empty())
    }

    /// What is left of it, least and most, min.
    #[must_use]
    pub fn left_min(&self) -> (f64, f64) {
        let first = self.standing.iter().position(Option::is_none);
        self.procedure.takes_from(first.unwrap_or(self.standing.len()))
    }

    fn open(&self) -> Result<(), Wrong> {
        if self.began.is_none() {
            return Err(Wrong::NotBegun);
        }
        let over = self.abandoned.is_some() || self.standing.iter().all(Option::is_some);
        if over { Err(Wrong::Ended) } else { Ok(()) }
    }

    fn open_step(&self, key: &str) -> Result<usize, Wrong> {
        let step = key.to_owned();
        match self.procedure.place(key) {
            None => Err(Wrong::NoStep { step }),
            Some(place) if self.standing[place].is_some() => Err(Wrong::Stands { step }),
            Some(place) => Ok(place),
        }
    }
}

#[allow(clippy::cast_possible_truncation)] // some days of seconds
fn waiting(min: f64) -> SignedDuration {
    SignedDuration::from_secs((min * 60.0) as i64)
}
