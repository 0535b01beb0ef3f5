//! A run of a procedure: what was done folded into where it stands.

use jiff::Timestamp;

use crate::act::{Act, Beside, UNNAMED};
use crate::kind::{Nature, Procedure};
use crate::seen::{Seen, Unmet};
use crate::shut::{Second, Shut};
use crate::standing::{Change, Handed, Look, Standing, Told};
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
    pub(crate) confirmed: Vec<(usize, Timestamp, usize, Timestamp)>,
    /// When it was given up, by whom and why.
    pub abandoned: Option<(Timestamp, String, String)>,
    /// What was undone outside of it.
    pub(crate) undone: Vec<crate::undone::Undone>,
    /// What shut the way to a tank outside of it.
    pub(crate) shut: Vec<Shut>,
    /// What every step towards a tank asks of a second instrument.
    pub(crate) second: Vec<Second>,
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
            shut: Vec::new(),
            second: Vec::new(),
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
        match self.holding(step, &why).is_empty() {
            false => State::Held { step, why },
            true => State::AtStep { step, warned: why },
        }
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

    pub(crate) fn open(&self) -> Result<(), Wrong> {
        if self.began.is_none() {
            return Err(Wrong::NotBegun);
        }
        let over = self.abandoned.is_some() || self.standing.iter().all(Option::is_some);
        if over { Err(Wrong::Ended) } else { Ok(()) }
    }

    pub(crate) fn done_step(&self, key: &str) -> Result<usize, Wrong> {
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

    pub(crate) fn open_step(&self, key: &str) -> Result<usize, Wrong> {
        let step = key.to_owned();
        match self.procedure.place(key) {
            None => Err(Wrong::NoStep { step }),
            Some(place) if self.standing[place].is_some() => Err(Wrong::Stands { step }),
            Some(place) => Ok(place),
        }
    }
}
