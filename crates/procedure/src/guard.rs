//! What is not as it must be before going on from a step, and from when on readings count for it.

use jiff::{SignedDuration, Timestamp};

use crate::kind::{Nature, Step};
use crate::run::Run;
use crate::seen::{Seen, Unmet};
use crate::standing::Standing;

impl Run<'_> {
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
        unmet.extend(self.shut(of, seen, now, &unmet));
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
}

#[allow(clippy::cast_possible_truncation)] // some days of seconds
fn waiting(min: f64) -> SignedDuration {
    SignedDuration::from_secs((min * 60.0) as i64)
}
