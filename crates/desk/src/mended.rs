//! Readings as their instruments would show them now, where they were set right since; the record keeps them as they were read.

use crate::field::{self, Role};
use crate::findings::ToldOfPlant;
use crate::round::Round;
use crate::view::Compared;

/// Whether a reading is mended; what the expectation is worked out from stands as it was read.
fn is_mended(key: &str) -> bool {
    field::reading(key).is_some_and(|reading| matches!(reading.role, Role::Answer(_)))
}

/// The round as its instruments would read it now.
pub(crate) fn round(settings: &ToldOfPlant, round: &Round) -> Round {
    let mut round = round.clone();
    let at = round.at;
    for (key, cell) in round.cells.iter_mut().filter(|(key, _)| is_mended(key)) {
        if let Some(right) = cell.value.and_then(|read| settings.set_right(key, at, read)) {
            cell.value = Some(right);
        }
    }
    round
}

/// Tells each row, read in the last of these rounds that has it, by which setting it is mended.
pub(crate) fn tell(settings: &ToldOfPlant, rounds: &[Round], rows: &mut [Compared]) {
    for row in rows.iter_mut().filter(|row| is_mended(&row.key)) {
        let read = rounds.iter().rfind(|round| round.value(&row.key).is_some());
        row.set_right = read.and_then(|round| settings.setting(&row.key, round.at));
    }
}
