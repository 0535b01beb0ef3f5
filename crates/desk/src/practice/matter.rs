//! "What is the matter?": asked of the one at the handles, answered at any time, told after.

use transient::{Action, Do, Hidden, Stopped, Verdict, cause, cause_named};

use crate::desk::DeskError;

use super::doing::clock;
use super::room::Room;
use super::view::Said;

/// What was the matter, told after.
#[derive(Debug, Clone, PartialEq)]
pub struct MatterLine {
    /// What it was.
    pub what: &'static str,
    /// When it came, by the run's clock.
    pub came: String,
    /// When a gauge could show it first, and which.
    pub shown: Option<(String, &'static str)>,
    /// What came of the answers: "named first and in time".
    pub says: &'static str,
    /// When it was named, where that stood to the end.
    pub named: Option<String>,
    /// There was time to see it.
    pub counts: bool,
}

/// Every cause that can be named: name, and what it is called aboard.
pub(super) fn causes() -> Vec<(&'static str, &'static str)> {
    transient::causes().into_iter().map(|cause| (cause.name, cause.aboard)).collect()
}

pub(super) fn line(verdict: &Verdict) -> MatterLine {
    MatterLine {
        what: verdict.what,
        came: clock(verdict.came_s),
        shown: verdict.shown_s.map(clock).zip(verdict.gauge),
        says: verdict.says,
        named: verdict.named_s.map(clock),
        counts: verdict.counts,
    }
}

impl Room {
    /// What was said last to be the matter.
    pub(super) fn answered(&self) -> Option<Said> {
        self.said().pop()
    }

    /// Everything that was said to be the matter, in order of time.
    pub(super) fn said(&self) -> Vec<Said> {
        let told = |at_s: f64, place: usize| {
            let cause = cause(place);
            Said { clock: clock(at_s), name: cause.name, aboard: cause.aboard }
        };
        let answers = self.play.live.run().noted().answers.iter();
        answers.map(|answer| told(answer.at_s, answer.cause)).collect()
    }

    /// Takes an answer; after the end it is the last.
    pub(super) fn answer(&mut self, name: &str) -> Result<(), DeskError> {
        if self.over() && self.asked {
            return Err(DeskError::Asked("the debrief has told what it was".to_owned()));
        }
        if self.told {
            return Err(DeskError::Asked(
                "The debrief has told what it was before you went back: no answer counts any more in this run. Begin the exercise anew to be asked."
                    .to_owned(),
            ));
        }
        if !name.is_empty() {
            let Some(cause) = cause_named(name) else {
                return Err(DeskError::Asked(format!("“{name}” is no cause that can be named.")));
            };
            self.act(Do::Answer { cause });
        }
        self.asked = self.over();
        Ok(())
    }

    /// Troubles set here, as they came and went.
    fn planted_actions(&self) -> Vec<Action> {
        let action = |planted: &super::room::Planted| Action {
            time_s: planted.at_s,
            what: if planted.mended { planted.trouble.goes() } else { planted.trouble.comes() },
        };
        self.planted.iter().map(action).collect()
    }

    /// Those of them that the one at the handles was not told of, each with when it came, s.
    fn planted_unseen(&self) -> Vec<(usize, f64)> {
        let mut unseen: Vec<(usize, f64)> = Vec::new();
        for planted in self.planted.iter().filter(|p| p.hidden && !p.mended) {
            let Some(place) = cause_named(planted.trouble.name) else { continue };
            if unseen.iter().all(|(known, _)| *known != place) && planted.at_s <= self.time_s() {
                unseen.push((place, planted.at_s));
            }
        }
        unseen
    }

    /// Whether it is still to be asked what was the matter, before the debrief tells.
    pub(super) fn asks(&self) -> bool {
        let of_drill = self.drill.as_ref().is_some_and(|drill| !drill.matter.is_empty());
        self.over() && !self.asked && (of_drill || !self.planted_unseen().is_empty())
    }

    /// What was hidden in the run, with when the gauges could show each; nothing before the end.
    pub(super) fn hidden(&self) -> Result<Vec<Hidden>, Stopped> {
        if !self.over() {
            return Ok(Vec::new());
        }
        let live = &self.play.live;
        let (hands, rows) = (live.done(), live.rows());
        let (unseen, planted) = (self.planted_unseen(), self.planted_actions());
        match &self.drill {
            Some(drill) => drill.hidden(&self.model, (hands, rows), (&unseen, &planted)),
            None => transient::hidden(&self.model, &self.scenario, &unseen, &planted, hands, rows),
        }
    }
}
