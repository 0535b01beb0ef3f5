//! What was read before the last start or stop: told with its time, never as how the plant is.

use jiff::Timestamp;

use crate::now::with_newer;
use crate::round::Round;
use crate::switched::{self, Switch};

/// Salinity as the ship's own cell reads it.
const SALT: &str = "product_salt_mg_kg";

/// The newest round is of before the last start or stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Before {
    /// The start (`true`) or stop since.
    pub switch: Switch,
    /// The salinity as it was last read before that, ppm, and when; none where it was read since.
    pub salt: Option<(Timestamp, f64)>,
}

/// How the newest round (its place in `rounds`) stands to the last start or stop; none where there was none since.
pub(crate) fn of(
    rounds: &[Round],
    newest: usize,
    switches: &[Switch],
    now: Timestamp,
) -> Option<Before> {
    let switch = switched::between(switches, rounds[newest].at, now)?;
    let salt = rounds.iter().rev().find_map(|round| Some((round.at, round.value(SALT)?)));
    Some(Before { switch, salt: salt.filter(|(at, _)| *at < switch.0) })
}

/// A round with every figure read anew after it; of those from before a start or stop none, where there was one since.
pub(crate) fn newest(rounds: &[Round], before: Option<&Before>) -> Round {
    let Some(before) = before else { return with_newer(rounds) };
    let since: Vec<Round> =
        rounds.iter().filter(|round| round.at >= before.switch.0).cloned().collect();
    match since.is_empty() {
        false => with_newer(&since),
        true => Round { cells: std::collections::BTreeMap::new(), ..rounds[0].clone() },
    }
}
