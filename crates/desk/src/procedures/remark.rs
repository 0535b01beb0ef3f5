//! What the record says against beginning a list now: a start of a plant that makes water, a stop of one that stands.

use jiff::{SignedDuration, Timestamp};

use crate::desk::{Desk, DeskError};
use crate::history;

use super::view::{RunLine, Sort};
use super::words::time;

/// A round older than this says nothing of now.
const OLDEST: SignedDuration = SignedDuration::from_hours(26);
/// Moments looked through for the newest whole round.
const LOOKED: usize = 20;
/// Lists that bring the plant up, and those that take it down.
const UP: [&str; 1] = ["start"];
const DOWN: [&str; 2] = ["stop", "coast"];

impl Desk {
    /// "She is making water by the round of 12:00: is it a start?" Told, never held.
    pub(super) fn speaks_against(
        &self,
        key: &str,
        runs: &[RunLine],
        now: Timestamp,
    ) -> Result<Option<String>, DeskError> {
        let (up, down) = (UP.contains(&key), DOWN.contains(&key));
        if !up && !down {
            return Ok(None);
        }
        let from = now.checked_sub(OLDEST).unwrap_or(Timestamp::MIN);
        let rounds = history::between(&self.reader(), Some(from), now, LOOKED)?;
        let Some(round) =
            rounds.iter().rev().find(|round| round.is_whole() && (round.running() || round.idle()))
        else {
            return Ok(None);
        };
        // What was done since the round says more than the round.
        let since = |of: &dyn Fn(&RunLine) -> bool| {
            runs.iter().any(|run| of(run) && run.done > 0 && run.ended.unwrap_or(now) >= round.at)
        };
        let clock = self.clock()?;
        let at = time(&clock, round.at, now);
        Ok(if up && round.running() && !since(&|run| run.sort != Sort::Work) {
            Some(format!("She is making water by the round of {at}: is it a start?"))
        } else if down && round.idle() && !since(&|run| UP.contains(&run.key.as_str())) {
            Some(format!("She stands by the round of {at}: is it a stop?"))
        } else {
            None
        })
    }
}
