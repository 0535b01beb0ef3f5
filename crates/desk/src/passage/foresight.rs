//! Planning before anybody asks: whenever what a plan is made from has changed, and as its beginning goes by.

use jiff::Timestamp;

use crate::desk::{Desk, DeskError};

use super::How;
use super::kept::Asked;

/// Keeps the desk's plan new. It looks when it is told to; whoever tells it has the clock.
#[derive(Debug, Default)]
pub struct Foresight {
    /// What the last look planned from, whatever came of it: a refusal is not asked for twice.
    seen: Option<Asked>,
}

impl Foresight {
    /// Plans the route that is kept where anything has changed since the last look: a sounding, a reading, the route, the
    /// events, the ship's file, or the quarter of an hour. Whether it planned.
    ///
    /// # Errors
    /// The record or a file cannot be read. A route that cannot be planned is no error here: the page says why.
    pub fn look(&mut self, desk: &Desk, now: Timestamp) -> Result<bool, DeskError> {
        let asked = desk.asked(now, How::AtOnce)?;
        if asked.is_none() || asked == self.seen {
            return Ok(false);
        }
        match desk.passage(now, How::AtOnce) {
            Ok(_) | Err(DeskError::Asked(_)) => {}
            Err(other) => return Err(other),
        }
        self.seen = asked;
        // As the passage begins its plan is kept, to be held against what comes.
        match desk.departure_at_once(now) {
            Ok(()) | Err(DeskError::Asked(_)) => {}
            Err(other) => return Err(other),
        }
        Ok(true)
    }
}
