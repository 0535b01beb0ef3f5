//! The round that ends a start: its step says that one was taken, and the record knows whether.

use jiff::Timestamp;
use procedure::{Run, Standing};

use crate::desk::{Desk, DeskError};
use crate::history;

use super::plant::{HEAT_ON, ticked};
use super::runs;
use super::words::time;

/// The step and its list.
const STEP: (&str, &str) = ("start", "first-round");
/// The list by which a round may be walked, and its last step.
const WALKED: (&str, &str) = ("round", "tank");
/// Moments looked through.
const LOOKED: usize = 200;

impl Desk {
    /// Why the step of the first round is not ticked: none stands since the heat came on.
    pub(super) fn no_round_since(
        &self,
        run: &Run<'_>,
        step: &str,
        now: Timestamp,
    ) -> Result<Option<String>, DeskError> {
        let heat = run.procedure.place(HEAT_ON).and_then(|place| run.standing[place].as_ref());
        let Some(heat) = heat.filter(|s| s.is_done()).map(Standing::at) else { return Ok(None) };
        if (run.procedure.key.as_str(), step) != STEP {
            return Ok(None);
        }
        let reader = self.reader();
        let rounds = history::between(&reader, Some(heat), now, LOOKED)?;
        let walked = runs::lately(&reader)?
            .iter()
            .any(|run| run.key == WALKED.0 && ticked(run, WALKED.1).is_some_and(|at| at >= heat));
        if walked || rounds.iter().any(|round| round.is_whole() && round.running()) {
            return Ok(None);
        }
        Ok(Some(format!(
            "No whole round stands since the heat came on, {}: write one on the page Readings, then tick. Where there is none, say why under “Pass this step over”.",
            time(&reader.ship_clock()?, heat, now)
        )))
    }
}
