//! A quantity over rounds: read, struck, expected, one spot a round.

use plant::Banding;

use crate::expected::{self, Expectation};
use crate::field::Reading;
use crate::now::with_last;
use crate::round::{Round, made_t_day};
use crate::setup::Setup;
use crate::view::{Series, Spot};

/// Rounds before one that its lasting conditions may come from.
const LASTING: usize = 8;

/// A series of this reading with nothing in it yet.
pub(crate) fn empty(setup: &Setup, reading: &Reading) -> Series {
    Series {
        key: reading.key.into(),
        label: reading.label.into(),
        unit: crate::typed::unit_of(reading).symbol().into(),
        digits: reading.digits,
        spots: Vec::new(),
        // Over many days with as many barometers the vacuum's limit is drawn for the standard atmosphere.
        gates: expected::gates(setup, reading.key, None),
    }
}

/// What a sound plant would have shown in round `i`; none where it was not running or nothing can be expected.
pub(crate) fn expectation(
    setup: &Setup,
    banding: &Banding<'_>,
    rounds: &[Round],
    i: usize,
) -> Option<Expectation> {
    let round = rounds.get(i).filter(|r| r.running())?;
    let window = &rounds[i.saturating_sub(LASTING)..=i];
    expected::expect(setup, banding, &with_last(window, round)).ok()
}

/// The spot of round `i`: output comes from the counter, everything else as read.
pub(crate) fn spot(
    key: &str,
    rounds: &[Round],
    i: usize,
    expectation: Option<&Expectation>,
) -> Spot {
    let round = &rounds[i];
    let read = if key == "product_t_day" {
        made_t_day(i.checked_sub(1).map(|j| &rounds[j]), round)
    } else {
        round.value(key)
    };
    let struck = round.cells.get(key).and_then(|c| c.struck.as_ref()).and_then(|(v, _)| *v);
    let expected = expectation.and_then(|e| e.readings.get(key).copied());
    Spot { at_s: round.at_s(), read, struck, expected, envelope: None }
}
