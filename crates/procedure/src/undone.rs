//! What was undone since by somebody else: nothing leads on from a step that is not so any more.

use jiff::Timestamp;

use crate::kind::{Nature, Who};
use crate::run::Run;
use crate::seen::Unmet;
use crate::standing::Standing;

/// Something outside a run that undoes what one of its steps did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// Key of the step.
    pub step: String,
    /// When it was undone.
    pub at: Timestamp,
    /// What is so since, by what: "by the list Stop the plant the heat is off".
    pub says: String,
}

impl Run<'_> {
    /// The same with what was undone outside of it, whenever that was: it counts against a step that was done before.
    #[must_use]
    pub fn undone_by(mut self, undone: Vec<Undone>) -> Self {
        self.undone = undone;
        self
    }

    /// What a step of work stands on and is not so any more: of the first step that was undone, the newest.
    pub(crate) fn stands_on_undone(&self, step: usize, now: Timestamp) -> Option<Unmet> {
        if self.procedure.nature != Nature::Work {
            return None;
        }
        let Undone { step, at, says } = self.first_undone(step, now)?.clone();
        Some(Unmet::Undone { step, at, says })
    }

    /// Of the steps before a place the first that was undone since it was done, up to a moment; the newest of what did it.
    fn first_undone(&self, before: usize, until: Timestamp) -> Option<&Undone> {
        let place = |undone: &Undone| {
            let place = self.procedure.place(&undone.step).filter(|place| *place < before)?;
            let done = self.standing[place].as_ref().filter(|standing| standing.is_done());
            let since = done.map(Standing::at).is_some_and(|done| done < undone.at);
            (since && undone.at <= until).then_some(place)
        };
        let found = self.undone.iter().filter_map(|undone| Some((place(undone)?, undone)));
        let first = found.min_by_key(|(place, undone)| (*place, std::cmp::Reverse(undone.at)));
        first.map(|(_, undone)| undone)
    }

    /// What of it was undone by its end, or is so now where it is under way, and was not done again; none of one given up.
    #[must_use]
    pub fn stands_undone(&self) -> Option<&Undone> {
        let over = self.standing.iter().all(Option::is_some);
        let last = self.standing.iter().flatten().map(Standing::at).max();
        let until = if over { last? } else { Timestamp::MAX };
        self.first_undone(self.standing.len(), until).filter(|_| self.abandoned.is_none())
    }

    /// Those of what a step finds that hold it: all where its guard holds; what was undone since before every step of work, so
    /// that none is ticked as if it were so still.
    #[must_use]
    pub fn holding(&self, step: usize, found: &[Unmet]) -> Vec<Unmet> {
        let guarded = self.procedure.steps.get(step).is_some_and(|of| self.procedure.holds(of));
        let holds = |unmet: &&Unmet| guarded || matches!(unmet, Unmet::Undone { .. });
        found.iter().filter(holds).cloned().collect()
    }

    /// When what a step did was undone last: what was read before tells nothing of doing it again.
    pub(crate) fn undone_at(&self, step: usize, now: Timestamp) -> Option<Timestamp> {
        let key = &self.procedure.steps.get(step)?.key;
        let of = self.undone.iter().filter(|undone| undone.step == *key && undone.at <= now);
        of.map(|undone| undone.at).max()
    }

    /// Who may go on from a step against what holds it: of what was undone since and of what shut the way to a tank, the chief.
    #[must_use]
    pub fn overridden_by(&self, step: usize, why: &[Unmet]) -> Who {
        let outside = |unmet: &Unmet| {
            matches!(unmet, Unmet::Undone { .. } | Unmet::Shut { .. } | Unmet::StillOut { .. })
        };
        let outside = why.iter().any(outside);
        let own = self.procedure.steps.get(step).map_or(Who::Chief, |step| step.overridden_by);
        if outside { Who::Chief } else { own }
    }
}
