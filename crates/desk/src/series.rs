//! A quantity over rounds: read, struck, expected, one spot a round.

use std::sync::Arc;

use plant::Banding;

use crate::conditions::Figures;
use crate::expected;
use crate::field::Reading;
use crate::now::with_last;
use crate::remembered::Bands;
use crate::round::{Round, made_t_day};
use crate::setup::Setup;
use crate::switched::Switch;
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
        thinned: false,
        stopped: Vec::new(),
        // Over many days with as many barometers the vacuum's limit is drawn for the standard atmosphere.
        gates: expected::gates(setup, reading.key, None),
    }
}

/// What each round was under, by reading; nothing where the plant was not running.
pub(crate) fn read(rounds: &[Round]) -> Vec<Figures> {
    let under = |(i, round): (usize, &Round)| {
        let window = &rounds[i.saturating_sub(LASTING)..=i];
        if round.running() { with_last(window, round) } else { Figures::new() }
    };
    rounds.iter().enumerate().map(under).collect()
}

/// What a sound plant would have shown; none where nothing can be expected.
pub(crate) fn bands(setup: &Setup, banding: &Banding<'_>, read: &Figures) -> Bands {
    expected::expect(setup, banding, read).ok().map(|expectation| Arc::new(expectation.readings))
}

/// The spot of round `i`: output comes from the counter, everything else as read.
pub(crate) fn spot(
    key: &str,
    rounds: &[Round],
    i: usize,
    bands: &Bands,
    (most_t_day, switches): (f64, &[Switch]),
) -> Spot {
    let round = &rounds[i];
    let read = if key == "product_t_day" {
        made_t_day(&rounds[..i], &round.figures(), round.at, most_t_day, switches)
    } else {
        round.value(key)
    };
    let struck = round.cells.get(key).and_then(|c| c.struck.as_ref()).and_then(|(v, _)| *v);
    let expected = bands.as_ref().and_then(|bands| bands.get(key).copied());
    Spot { at_s: round.at_s(), read, struck, expected, envelope: None }
}
