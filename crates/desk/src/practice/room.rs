//! One run that is practised: the plant in motion, its marks, who has the handles, and how time goes on in it.

use std::cmp::Ordering;
use std::sync::Arc;
use std::time::Duration;

use procedure::{Act, Procedure};
use transient::{Do, Drill, Event, Foretold, Live, Model, Scenario, Trouble};

use crate::desk::DeskError;
use crate::setup::Setup;

use super::panel::{Look, moment};

/// Nobody has looked for so long: the run is held where it stood.
pub(super) const AWAY: Duration = Duration::from_secs(20);
/// Marks, at most.
const MOST_MARKS: usize = 12;
const MINUTE_S: f64 = 60.0;

/// How fast time goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// It stands.
    Hold,
    /// As real.
    Real,
    /// Ten times.
    Ten,
    /// Sixty times.
    Sixty,
}

impl Pace {
    /// All of them, as they stand on the page.
    pub const ALL: [Pace; 4] = [Pace::Hold, Pace::Real, Pace::Ten, Pace::Sixty];

    /// How many times faster than real.
    #[must_use]
    pub fn times(self) -> f64 {
        match self {
            Pace::Hold => 0.0,
            Pace::Real => 1.0,
            Pace::Ten => 10.0,
            Pace::Sixty => 60.0,
        }
    }

    /// In words.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Pace::Hold => "Hold",
            Pace::Real => "As real",
            Pace::Ten => "Ten times",
            Pace::Sixty => "Sixty times",
        }
    }

    /// From its words.
    #[must_use]
    pub fn named(word: &str) -> Option<Pace> {
        Pace::ALL.into_iter().find(|pace| pace.word() == word)
    }
}

/// A procedure that is followed beside the run.
#[derive(Debug, Clone)]
pub(super) struct Following {
    pub(super) key: String,
    pub(super) procedure: Arc<Procedure>,
    pub(super) acts: Vec<Act>,
}

/// Everything that a mark brings back.
#[derive(Debug, Clone)]
pub(super) struct Play {
    pub(super) live: Live,
    /// Every gauge, once a minute.
    pub(super) looks: Vec<Look>,
    pub(super) following: Option<Following>,
    /// Lists that were followed before it, each as it was left.
    pub(super) followed: Vec<Following>,
    /// What was done beside the handles, samples and steps ticked, each with how much had been done at them before.
    pub(super) notes: Vec<(usize, Event)>,
    /// Steps ticked that the handles do not bear out.
    pub(super) untrue: Vec<Event>,
}

/// A moment to go back to.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    pub(super) time_s: f64,
    play: Play,
}

/// How a mark lies to where the run stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Behind: the run came by it.
    Back,
    /// Ahead, with nothing done otherwise yet since it was gone back.
    On,
    /// On a way that was left: something else was done since.
    Left,
}

impl Play {
    /// Whether all that had been done by then was done here too, in the same order.
    fn goes_on_from(&self, then: &Play) -> bool {
        self.live.done().starts_with(then.live.done()) && self.notes.starts_with(&then.notes)
    }
}

/// A trouble that another set for the one at the handles.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Planted {
    pub(super) at_s: f64,
    pub(super) trouble: Trouble,
    /// It is put right at this moment, not begun.
    pub(super) mended: bool,
    /// The one at the handles was not told of it.
    pub(super) hidden: bool,
}

/// One run.
#[derive(Debug)]
pub(super) struct Room {
    pub(super) id: u64,
    pub(super) title: String,
    pub(super) story: String,
    pub(super) drill: Option<Drill>,
    pub(super) scenario: Scenario,
    pub(super) model: Arc<Model>,
    pub(super) setup: Arc<Setup>,
    pub(super) play: Play,
    pub(super) marks: Vec<Mark>,
    pub(super) pace: Pace,
    /// When it was last looked at, by a clock that never runs back.
    pub(super) seen: Duration,
    /// Who has the handles.
    pub(super) hands: Option<String>,
    pub(super) planted: Vec<Planted>,
    /// How often it was gone back in.
    pub(super) backs: u32,
    /// It was ended by hand.
    pub(super) ended: bool,
    /// It was asked what was the matter, after the end.
    pub(super) asked: bool,
    /// The debrief has told what was the matter: whatever is lived again, it is known.
    pub(super) told: bool,
    /// Nobody looked, and it was held.
    pub(super) away: bool,
    /// The equations could not be carried on from here.
    pub(super) broke: bool,
    /// What is foretold of a start and a stop of the sound plant here.
    pub(super) foretold: Option<Foretold>,
}

impl Room {
    /// Where its clock stands, s.
    pub(super) fn time_s(&self) -> f64 {
        self.play.live.time_s()
    }

    /// Whether nothing goes on in it any more.
    pub(super) fn over(&self) -> bool {
        self.ended || self.time_s() >= self.scenario.until_s
    }

    /// Lets time go on as its pace says since it was last looked at.
    pub(super) fn catch_up(&mut self, steady: Duration) {
        let passed = steady.saturating_sub(self.seen);
        self.seen = self.seen.max(steady);
        if self.pace == Pace::Hold {
            return;
        }
        if passed > AWAY {
            self.pace = Pace::Hold;
            self.away = true;
            return;
        }
        self.go_on(passed.as_secs_f64() * self.pace.times());
    }

    /// Lets some time go on, s.
    pub(super) fn go_on(&mut self, span_s: f64) {
        let until = (self.time_s() + span_s).min(self.scenario.until_s);
        while self.time_s() < until && !self.ended {
            let from = self.time_s();
            let minute = ((from / MINUTE_S + 1.0e-9).floor() + 1.0) * MINUTE_S;
            let planted = self.planted.iter().map(|planted| planted.at_s).filter(|at| *at > from);
            let next = planted.fold(minute.min(until), f64::min);
            if self.play.live.advance(next).is_err() {
                (self.broke, self.pace) = (true, Pace::Hold);
                return;
            }
            for planted in self.planted.iter().filter(|p| p.at_s > from && p.at_s <= next) {
                let comes = &planted.trouble;
                self.play.live.spoil(if planted.mended { comes.goes() } else { comes.comes() });
            }
            if next >= minute {
                self.play.looks.push(Look::at(&self.play.live));
            }
        }
        if self.over() {
            self.pace = Pace::Hold;
        }
    }

    /// How a mark lies to where the run stands: by what had been done at either.
    pub(super) fn way_to(&self, mark: &Mark) -> Way {
        let (now, then) = (&self.play, &mark.play);
        match mark.time_s.total_cmp(&self.time_s()) {
            Ordering::Greater if then.goes_on_from(now) => Way::On,
            Ordering::Less | Ordering::Equal if now.goes_on_from(then) => Way::Back,
            _ => Way::Left,
        }
    }

    /// Sets a mark here; the first, at the beginning, is never given up.
    pub(super) fn mark(&mut self) {
        let (time_s, play) = (self.time_s(), self.play.clone());
        self.marks.retain(|mark| mark.time_s != time_s);
        self.marks.push(Mark { time_s, play });
        if self.marks.len() > MOST_MARKS {
            self.marks.remove(1);
        }
    }

    /// Goes to a mark set by hand; else back to a moment of the run as it went, which is lived again from the last mark before it.
    ///
    /// # Errors
    /// There is no mark to go back to.
    pub(super) fn back(&mut self, to_s: f64) -> Result<(), DeskError> {
        let exactly = self.marks.iter().find(|mark| mark.time_s == to_s);
        let before = |mark: &&Mark| mark.time_s <= to_s.max(0.0) && self.way_to(mark) == Way::Back;
        let last = || {
            let of_this_way = self.marks.iter().filter(before);
            of_this_way.max_by(|a, b| a.time_s.total_cmp(&b.time_s))
        };
        let mark = exactly
            .or_else(last)
            .ok_or_else(|| DeskError::Asked("there is no mark to go back to yet".to_owned()))?;
        let (time_s, then) = (mark.time_s, mark.play.clone());
        let was = std::mem::replace(&mut self.play, then);
        self.backs += 1;
        self.told |= self.asked;
        (self.ended, self.asked, self.broke, self.away) = (false, false, false, false);
        if to_s > time_s {
            self.live_again(&was, to_s);
        }
        Ok(())
    }

    /// Lives on from here to a moment as the run went before: the same hands, troubles and ticks, each at its time.
    fn live_again(&mut self, was: &Play, to_s: f64) {
        let from = self.play.live.done().len();
        let hands = was.live.done()[from..].iter().take_while(|action| action.time_s <= to_s);
        for action in hands {
            self.go_on(action.time_s - self.time_s());
            self.play.live.act(action.what);
        }
        self.go_on(to_s - self.time_s());
        let by_then = |event: &&Event| event.time_s <= to_s;
        self.play.notes = was.notes.iter().filter(|(_, event)| by_then(&event)).cloned().collect();
        self.play.untrue = was.untrue.iter().filter(by_then).cloned().collect();
        let now = moment(to_s);
        // The list that was followed then, as far as it was ticked by then.
        let mut lists: Vec<Following> =
            was.followed.iter().chain(&was.following).cloned().collect();
        lists.retain(|list| list.acts.first().is_some_and(|act| act.at() <= now));
        self.play.following = lists.pop().map(|mut list| {
            list.acts.retain(|act| act.at() <= now);
            list
        });
        self.play.followed = lists;
    }

    /// Does something at the handles.
    pub(super) fn act(&mut self, what: Do) {
        self.play.live.act(what);
    }

    /// Writes down what is no handle's.
    pub(super) fn note(&mut self, says: impl Into<String>) {
        let time_s = self.time_s();
        let done = self.play.live.done().len();
        self.play.notes.push((done, Event { time_s, says: says.into() }));
    }
}
