//! Steps whose times run against the list.

use jiff::Timestamp;

use crate::run::Run;
use crate::standing::{OutOfOrder, Standing};

impl Run<'_> {
    pub(crate) fn times(
        &self,
        later: usize,
        before: usize,
    ) -> Option<(usize, Timestamp, usize, Timestamp)> {
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
}
