//! The heat that went in, held against the water that the counter tells: where they part, the counter is read again first.

use crate::round::{Round, made};

use super::fresh::From;

/// Rounds before a break from which the water of a kelvin is taken.
const BEFORE: usize = 6;
/// So much of the water that the heat is enough for, and so many t/day, is missing before anything is said (ours).
const MISSING: (f64, f64) = (0.15, 1.5);
/// A jacket that falls by less gives no figure, K.
const LEAST_K: f64 = 2.0;
/// By-pass or throttle moved by more changes the water of a kelvin, %.
const MOVED_PERCENT: f64 = 2.0;

/// Made and the fall of the jacket water in a round, t/day and K; none where either was not read.
fn heat(from: &From<'_>, place: usize) -> Option<(f64, f64)> {
    let round = &from.rounds[place];
    let most = from.setup.ship.sheet.product_max_t_day;
    let made = made(&from.rounds[..place], &round.figures(), round.at, most, from.switches)?;
    let fall_k = round.value("jacket_in_c")? - round.value("jacket_out_c")?;
    (fall_k >= LEAST_K).then_some((made.t_day, fall_k))
}

fn set_alike(a: &Round, b: &Round) -> bool {
    ["bypass_percent", "condenser_throttle_percent"].iter().all(|key| {
        match (a.value(key), b.value(key)) {
            (Some(a), Some(b)) => (a - b).abs() <= MOVED_PERCENT,
            _ => true,
        }
    })
}

/// What the fall of the jacket water says of the newest round, where by it more was made than the counter shows: a sentence; none
/// where heat and counter agree, or where by-pass or throttle was moved. A plant that makes less takes less heat (energy balance).
pub(super) fn against_counter(from: &From<'_>, place: usize) -> Option<String> {
    let last = &from.rounds[from.last];
    let (made_t_day, fall_k) = heat(from, from.last)?;
    let before: Vec<(f64, f64)> = (0..place)
        .rev()
        .filter(|place| from.rounds[*place].counts() && set_alike(&from.rounds[*place], last))
        .filter_map(|place| heat(from, place))
        .take(BEFORE)
        .collect();
    let (water, kelvin) =
        before.iter().fold((0.0, 0.0), |(water, kelvin), (w, k)| (water + w, kelvin + k));
    let enough_t_day = fall_k * water / kelvin;
    let missing = enough_t_day - made_t_day;
    (missing > (MISSING.0 * enough_t_day).max(MISSING.1)).then(|| {
        format!(
            "The heat says otherwise: the jacket water fell by {fall_k:.1} K, by {:.1} before, and that is enough for {enough_t_day:.1} t/day. Read the counter again, and see that no water runs off before it.",
            kelvin / before.len() as f64
        )
    })
}
