//! Whether the next thing may be done in a run: what is asked of every act, and what a guard answers.

use jiff::Timestamp;

use crate::act::{Act, Beside, UNNAMED};
use crate::kind::{Nature, Who};
use crate::run::Run;
use crate::seen::{Seen, Unmet};
use crate::standing::Standing;
use crate::wrong::Wrong;

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

impl Run<'_> {
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
        let found = self.found(step, seen, act.at(), (looked, second));
        let why = self.holding(step, &found);
        let guarded = guarded || !why.is_empty();
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
            Act::Done { .. } => Ok(Answer::Go { warned: found }),
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
}

/// The second person is another than the first.
fn apart(by: &str, beside: &Beside) -> Result<(), Wrong> {
    let second = beside.second.trim();
    let same = !second.is_empty() && second.eq_ignore_ascii_case(by.trim());
    if same { Err(Wrong::SameHand) } else { Ok(()) }
}
