//! A run of a procedure: what was done folded into where it stands, and whether the next thing may be done.

use jiff::{SignedDuration, Timestamp};

use crate::act::{Act, Beside, UNNAMED};
use crate::kind::{Nature, Procedure, Step, Who};
use crate::seen::{Seen, Unmet};
use crate::standing::{Change, Handed, Look, OutOfOrder, Standing, Told};
use crate::wrong::Wrong;

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

/// A run.
#[derive(Debug, Clone, PartialEq)]
pub struct Run<'a> {
    /// What is run.
    pub procedure: &'a Procedure,
    /// When it was begun, by whom, and the version of its text.
    pub began: Option<(Timestamp, String, String)>,
    /// How each step stands; none for those that are open.
    pub standing: Vec<Option<Standing>>,
    /// What the record says of each step beside how it stands.
    pub told: Vec<Told>,
    /// Each time it was handed over.
    pub handed: Vec<Handed>,
    /// Pairs of steps with their times that run against the list, of which somebody said that so it was.
    confirmed: Vec<(usize, Timestamp, usize, Timestamp)>,
    /// When it was given up, by whom and why.
    pub abandoned: Option<(Timestamp, String, String)>,
    /// What was undone outside of it.
    pub(crate) undone: Vec<crate::undone::Undone>,
    /// What does not fit this procedure or came twice, as two tablets may send it: it changes nothing.
    pub strange: Vec<Act>,
}

impl<'a> Run<'a> {
    /// Folds what was done, in the order of the record.
    #[must_use]
    pub fn of<'b>(procedure: &'a Procedure, acts: impl IntoIterator<Item = &'b Act>) -> Self {
        let standing = vec![None; procedure.steps.len()];
        let told = vec![Told::default(); procedure.steps.len()];
        let mut run = Run {
            procedure,
            began: None,
            standing,
            told,
            handed: Vec::new(),
            confirmed: Vec::new(),
            abandoned: None,
            undone: Vec::new(),
            strange: Vec::new(),
        };
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
        if self.afterwards(act)? {
            return Ok(());
        }
        self.open()?;
        let (mut told, mut seen) = (Beside::default(), false);
        let standing = match act.clone() {
            Act::Abandoned { at, by, reason } => {
                self.abandoned = Some((at, by, reason));
                return Ok(());
            }
            Act::HandedOver { at, by, to } => {
                self.handed.push(Handed { at, by, to });
                return Ok(());
            }
            Act::Done { at, by, looked, beside, step } => {
                (told, seen) = (self.with_look(&step, looked, beside), looked);
                Standing::Done { at, by }
            }
            Act::Passed { at, by, reason, .. } => Standing::Passed { at, by, reason },
            Act::Overrode { at, by, who, reason, held, looked, beside, step } => {
                (told, seen) = (self.with_look(&step, looked, beside), looked);
                Standing::Overridden { at, by, who, reason, held }
            }
            _ => return Err(Wrong::Begun),
        };
        let step = self.open_step(act.step().unwrap_or_default())?;
        self.standing[step] = Some(standing);
        (self.told[step].beside, self.told[step].looked) = (told, seen);
        Ok(())
    }

    /// Takes in what is said of steps that stand, in a run that is over too; whether it was such.
    fn afterwards(&mut self, act: &Act) -> Result<bool, Wrong> {
        match act {
            Act::Looked { at, by, step, looked, beside } => {
                let place = self.done_step(step)?;
                let beside = self.with_look(step, *looked, beside.clone());
                self.told[place].looks.push(Look { at: *at, by: by.clone(), beside });
            }
            Act::TakenBack { at, by, step, reason } => {
                let place = self.done_step(step)?;
                let Some(was) = self.standing[place].take() else { return Ok(true) };
                let told = &mut self.told[place];
                (told.beside, told.looks) = (Beside::default(), Vec::new());
                let (at, by, reason) = (*at, by.clone(), reason.clone());
                told.changes.push(Change { at, by, reason, was, back: true });
            }
            Act::Mended { at, by, step, time, hand, reason, anew } => {
                let place = self.done_step(step)?;
                let Some(standing) = &mut self.standing[place] else { return Ok(true) };
                let was = standing.clone();
                let (own_time, own_hand) = standing.parts_mut();
                *own_time = *time;
                hand.clone_into(own_hand);
                let (at, by, reason) = (*at, by.clone(), reason.clone());
                let told = &mut self.told[place];
                if let Some(anew) = anew {
                    told.beside.unmet.clone_from(&anew.unmet);
                    told.beside.remark.clone_from(&anew.remark);
                }
                told.changes.push(Change { at, by, reason, was, back: false });
            }
            Act::SoItWas { .. } => {
                let open = self.questions();
                if open.is_empty() {
                    return Err(Wrong::InOrder);
                }
                let times = open.iter().filter_map(|pair| self.times(pair.later, pair.before));
                let times: Vec<_> = times.collect();
                self.confirmed.extend(times);
            }
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// What was to be looked at and is not ticked as seen is not as wanted, also where the record does not say so in words.
    fn with_look(&self, step: &str, looked: bool, mut beside: Beside) -> Beside {
        let look =
            self.procedure.place(step).map(|place| self.procedure.steps[place].look.as_str());
        if let Some(look) = look.filter(|look| !look.is_empty() && !looked)
            && beside.unmet.is_empty()
        {
            beside.unmet = format!("Not ticked as seen: {}.", look.trim_end_matches('.'));
        }
        beside
    }

    fn times(&self, later: usize, before: usize) -> Option<(usize, Timestamp, usize, Timestamp)> {
        let at = |place: usize| self.standing[place].as_ref().map(Standing::at);
        Some((later, at(later)?, before, at(before)?))
    }

    /// Steps whose times run against the list, by the minute, every pair of them; then each open step behind which another is
    /// done, once.
    #[must_use]
    pub fn out_of_order(&self) -> Vec<OutOfOrder> {
        let minute = |at: Timestamp| at.as_second().div_euclid(60);
        let done = |place: usize| self.standing[place].as_ref().filter(|s| s.is_done());
        let mut found = Vec::new();
        for (later, step) in self.procedure.steps.iter().enumerate() {
            let Some(at) = done(later).map(|standing| minute(standing.at())) else { continue };
            let pair = |before: usize, harm: Option<&str>| OutOfOrder {
                later,
                before,
                harm: harm.map(str::to_owned),
                confirmed: self.times(later, before).is_some_and(|t| self.confirmed.contains(&t)),
            };
            let behind = |before: usize| done(before).is_some_and(|other| at < minute(other.at()));
            let mut told = Vec::new();
            for (key, harm) in &step.after {
                let Some(before) = self.procedure.place(key) else { continue };
                told.push(before);
                if behind(before) || self.standing[before].is_none() {
                    found.push(pair(before, Some(harm)));
                }
            }
            let others = (0..later).filter(|before| !told.contains(before) && behind(*before));
            found.extend(others.map(|before| pair(before, None)));
        }
        for before in 0..self.standing.len() {
            let open = self.standing[before].is_none();
            if open && found.iter().all(|pair| pair.before != before) {
                let later = (before + 1..self.standing.len()).find(|later| done(*later).is_some());
                found.extend(later.map(|later| OutOfOrder {
                    later,
                    before,
                    harm: None,
                    confirmed: false,
                }));
            }
        }
        found
    }

    /// Those of [`Run::out_of_order`] that both stand and nobody has confirmed.
    #[must_use]
    pub fn questions(&self) -> Vec<OutOfOrder> {
        let stands = |pair: &OutOfOrder| self.standing[pair.before].is_some() && !pair.confirmed;
        self.out_of_order().into_iter().filter(stands).collect()
    }

    /// Who leads it now: who began it, or to whom it was handed over last.
    #[must_use]
    pub fn led_by(&self) -> Option<&str> {
        let began = self.began.as_ref().map(|(_, by, _)| by.as_str());
        self.handed.last().map(|handed| handed.to.as_str()).or(began)
    }

    /// Everything that stands without initials.
    fn unnamed(&mut self) -> impl Iterator<Item = &mut String> {
        let steps = self.standing.iter_mut().flatten().map(|standing| standing.parts_mut().1);
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
        let reason = match act {
            Act::Passed { reason, .. }
            | Act::Overrode { reason, .. }
            | Act::TakenBack { reason, .. }
            | Act::Mended { reason, .. }
            | Act::Abandoned { reason, .. } => Some(reason),
            _ => None,
        };
        let no_reason = reason.is_some_and(|reason| reason.trim().is_empty());
        if let Some(answer) = self.asked_afterwards(act, seen, now, no_reason)? {
            return Ok(answer);
        }
        self.open()?;
        if no_reason {
            return Err(Wrong::NoReason);
        }
        if let Act::HandedOver { by, to, .. } = act {
            return self.may_hand_over(by, to).map(|()| Answer::Go { warned: Vec::new() });
        }
        let Some(key) = act.step() else { return go };
        let step = self.open_step(key)?;
        let guarded = self.procedure.holds(&self.procedure.steps[step]);
        self.not_too_early(step, act.at())?;
        if let Act::Done { by, beside, .. } = act {
            apart(by, beside)?;
        }
        let (looked, second) = match act {
            Act::Done { looked, beside, .. } => (*looked, beside.second.as_str()),
            _ => (false, ""),
        };
        let why = self.found(step, seen, act.at(), (looked, second));
        match act {
            Act::Passed { .. } if guarded => Err(Wrong::Guarded),
            Act::Overrode { by, .. } | Act::Done { by, .. } if guarded && by == UNNAMED => {
                Err(Wrong::NoInitials)
            }
            Act::Overrode { .. } if !guarded || why.is_empty() => Err(Wrong::NothingHolds),
            Act::Overrode { who, .. } if *who < self.overridden_by(step, &why) => {
                Err(Wrong::NotYours { needs: self.overridden_by(step, &why) })
            }
            Act::Done { .. } if guarded && !why.is_empty() => {
                Ok(Answer::Held(Held { overridden_by: self.overridden_by(step, &why), why }))
            }
            Act::Done { .. } => Ok(Answer::Go { warned: why }),
            _ => go,
        }
    }

    /// A run is handed over by who leads it, or taken over by who leads it then.
    fn may_hand_over(&self, by: &str, to: &str) -> Result<(), Wrong> {
        let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
        let led_by = self.led_by().unwrap_or_default();
        if to.trim().is_empty() || by == UNNAMED {
            return Err(Wrong::NoInitials);
        }
        if same(to, led_by) {
            return Err(Wrong::LedAlready { by: led_by.to_owned() });
        }
        match same(by, led_by) || same(by, to) || led_by == UNNAMED {
            true => Ok(()),
            false => Err(Wrong::NotLed { led_by: led_by.to_owned(), to: to.to_owned() }),
        }
    }

    /// What is said of steps that stand; none where the act is none of those.
    fn asked_afterwards(
        &self,
        act: &Act,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
        no_reason: bool,
    ) -> Result<Option<Answer>, Wrong> {
        let mut warned = Vec::new();
        match act {
            Act::Looked { at, by, step, looked, beside } => {
                let place = self.done_step(step)?;
                let was = self.standing[place].as_ref().map(Standing::at);
                if let Some(after) = was.filter(|was| at < was) {
                    return Err(Wrong::TooEarly { at: *at, after });
                }
                apart(by, beside)?;
                let signed = &self.told[place].beside.second;
                let second = if signed.is_empty() { &beside.second } else { signed };
                warned = self.found(place, seen, *at, (*looked, second));
            }
            Act::TakenBack { step, .. } => {
                self.done_step(step)?;
            }
            Act::Mended { step, time, hand, .. } => {
                let place = self.done_step(step)?;
                if hand.trim().is_empty() {
                    return Err(Wrong::NoInitials);
                }
                if *time > now {
                    return Err(Wrong::Ahead { at: *time, now });
                }
                self.not_too_early(place, *time)?;
                let stands = self.standing[place].as_ref();
                if stands.is_some_and(|s| s.at() == *time && s.by() == hand) {
                    return Err(Wrong::NothingChanged);
                }
            }
            Act::SoItWas { .. } if self.questions().is_empty() => return Err(Wrong::InOrder),
            Act::SoItWas { .. } => {}
            _ => return Ok(None),
        }
        if no_reason { Err(Wrong::NoReason) } else { Ok(Some(Answer::Go { warned })) }
    }

    /// Work goes on in the order of time; a stop or an emergency may be written afterwards as it was.
    fn not_too_early(&self, step: usize, at: Timestamp) -> Result<(), Wrong> {
        let after = self.since(step).or(self.began.as_ref().map(|(at, ..)| *at));
        match after.filter(|after| at < *after && self.procedure.nature == Nature::Work) {
            Some(after) => Err(Wrong::TooEarly { at, after }),
            None => Ok(()),
        }
    }

    /// What a tick or a look finds not as it should be, by whether what must be looked at was seen and by the initials of
    /// the second person. In a stop or an emergency steps are ticked in any order.
    #[must_use]
    pub fn found(
        &self,
        step: usize,
        seen: &(impl Seen + ?Sized),
        at: Timestamp,
        (looked, second): (bool, &str),
    ) -> Vec<Unmet> {
        let mut unmet = self.unmet(step, seen, at, looked);
        let asked = self.procedure.steps.get(step).map_or("", |step| step.second.as_str());
        if !asked.is_empty() && second.trim().is_empty() {
            unmet.push(Unmet::NoSecond { second: asked.to_owned() });
        }
        let any_order = self.procedure.nature != Nature::Work;
        unmet.retain(|unmet| !(any_order && matches!(unmet, Unmet::Before { .. })));
        unmet
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
        let Some(of) = self.procedure.steps.get(step) else { return Vec::new() };
        let Step { look, see, wait_min, .. } = of;
        let mut unmet: Vec<Unmet> = self.stands_on_undone(step, now).into_iter().collect();
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
        let from = self.counted_from(step, now);
        unmet.extend(see.iter().filter_map(|condition| condition.met(seen, from, now).err()));
        unmet.extend(self.too_soon(of, seen, now));
        if !look.is_empty() && !looked {
            unmet.push(Unmet::NotLooked { look: look.clone() });
        }
        unmet
    }

    /// From when on readings count for a step: from when the one before it was done, and from when what it did was undone; behind the first step of a stop or an
    /// emergency, whose steps are ticked in any order, at the earliest from its begin.
    #[must_use]
    pub fn counted_from(&self, step: usize, now: Timestamp) -> Option<Timestamp> {
        let began = self.began.as_ref().map(|(at, ..)| *at);
        let began =
            began.filter(|at| step > 0 && self.procedure.nature != Nature::Work && *at <= now);
        self.since(step).or(began).max(self.undone_at(step, now))
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

    /// What is left of it, least and most, min: of the steps that are open.
    #[must_use]
    pub fn left_min(&self) -> (f64, f64) {
        let open = self.standing.iter().map(Option::is_none);
        let open = self.procedure.steps.iter().zip(open).filter(|(_, open)| *open);
        open.fold((0.0, 0.0), |(least, most), (step, _)| {
            let (a, b) = step.takes();
            (least + a, most + b)
        })
    }

    fn open(&self) -> Result<(), Wrong> {
        if self.began.is_none() {
            return Err(Wrong::NotBegun);
        }
        let over = self.abandoned.is_some() || self.standing.iter().all(Option::is_some);
        if over { Err(Wrong::Ended) } else { Ok(()) }
    }

    fn done_step(&self, key: &str) -> Result<usize, Wrong> {
        if self.began.is_none() {
            return Err(Wrong::NotBegun);
        }
        let step = key.to_owned();
        match self.procedure.place(key) {
            None => Err(Wrong::NoStep { step }),
            Some(place) if self.standing[place].is_none() => Err(Wrong::NotDone { step }),
            Some(place) => Ok(place),
        }
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

/// The second person is another than the first.
fn apart(by: &str, beside: &Beside) -> Result<(), Wrong> {
    let second = beside.second.trim();
    let same = !second.is_empty() && second.eq_ignore_ascii_case(by.trim());
    if same { Err(Wrong::SameHand) } else { Ok(()) }
}

#[allow(clippy::cast_possible_truncation)] // some days of seconds
fn waiting(min: f64) -> SignedDuration {
    SignedDuration::from_secs((min * 60.0) as i64)
}
