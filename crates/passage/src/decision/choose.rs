//! The choice at every cell of a step that may make water: go on, change the trim, or take the heat off.
//!
//! A chunk of cells is handled in each pass; actions are told by the least and the most by which one choice is dearer
//! than another in the chunk, and only chunks in which a break lies are looked through cell by cell.

#![allow(clippy::needless_range_loop, reason = "several rows run side by side, one index for all")]

use super::actions::{Asked, Finding, GO, RETRIM, STAY};
use super::cells::{CHUNK, Row};
use super::mode::{Choice, Mode};

/// Less than this is no reason to change anything.
const TIE: f64 = 1.0e-9;

/// Lists for so many trims.
const MOST_TRIMS: usize = 4;

/// Steps every making row of `mode` back over one step; fills `ready` with the first step of making.
#[inline(always)]
pub(super) fn choose(
    mode: &mut Mode,
    keep: bool,
    choice: &Choice,
    stop: &Row,
    ready: Option<&mut Row>,
) {
    match (mode.making.len().min(MOST_TRIMS), keep) {
        (1, false) => run::<1, false>(mode, choice, stop, ready),
        (1, true) => run::<1, true>(mode, choice, stop, ready),
        (2, false) => run::<2, false>(mode, choice, stop, ready),
        (2, true) => run::<2, true>(mode, choice, stop, ready),
        (3, false) => run::<3, false>(mode, choice, stop, ready),
        (3, true) => run::<3, true>(mode, choice, stop, ready),
        (_, false) => run::<4, false>(mode, choice, stop, ready),
        (_, true) => run::<4, true>(mode, choice, stop, ready),
    }
}

#[inline(always)]
fn run<const L: usize, const KEEP: bool>(
    mode: &mut Mode,
    choice: &Choice,
    stop: &Row,
    mut ready: Option<&mut Row>,
) {
    let k = choice.k;
    let mut found = std::mem::take(&mut mode.found);
    let mut made = [0_i32; L];
    let mut paid = [0.0; L];
    for trim in 0..L {
        made[trim] = mode.made[trim][k];
        paid[trim] = mode.paid[trim][k];
    }
    // Value of making at each trim; place i is the cell before the chunk's i-th, so that i + 1 is the i-th itself.
    let mut going = [[0.0_f64; CHUNK + 1]; L];
    for trim in 0..L {
        let from = choice.lo - 1 + made[trim];
        going[trim][CHUNK] = paid[trim] + mode.making[trim].at(from) + mode.nothing.at(from);
    }
    let mut base = choice.lo;
    while base <= choice.hi {
        let len = ((choice.hi - base + 1) as usize).min(CHUNK);
        let nothing: &[f64; CHUNK] = chunk(mode.nothing.onward(base));
        for trim in 0..L {
            let row: &[f64; CHUNK] = chunk(mode.making[trim].onward(base + made[trim]));
            let rest: &[f64; CHUNK] = chunk(mode.nothing.onward(base + made[trim]));
            going[trim][0] = going[trim][CHUNK];
            for i in 0..CHUNK {
                going[trim][i + 1] = paid[trim] + (row[i] + rest[i]);
            }
        }
        let mut off = [0.0_f64; CHUNK];
        let stopped: &[f64; CHUNK] = chunk(stop.onward(base));
        for i in 0..CHUNK {
            off[i] = choice.stop_run + (stopped[i] + nothing[i]);
        }
        let foreseen = choice.callout[0];
        // Of two trims, by how much the second is dearer tells all: less or more than a change costs, either way.
        let second = if KEEP && L == 2 {
            spread(chunk(&going[0][1..]), chunk(&going[L - 1][1..]), len)
        } else {
            (f64::NEG_INFINITY, f64::INFINITY)
        };
        // By how much stopping is dearer than going on at the first trim.
        let mut of_first = (f64::NEG_INFINITY, f64::INFINITY);
        for trim in 0..L {
            let go_on: &[f64; CHUNK] = chunk(&going[trim][1..]);
            let other = best_other::<L>(&going, trim, choice.retrim);
            let row: &mut [f64; CHUNK] = chunk_mut(mode.making[trim].onward_mut(base));
            if L > 1 && choice.retrim_foreseen {
                for i in 0..CHUNK {
                    let best = least(least(go_on[i], off[i] + foreseen), other[i]);
                    row[i] = best - nothing[i];
                }
            } else {
                for i in 0..CHUNK {
                    row[i] = least(go_on[i], off[i] + foreseen) - nothing[i];
                }
            }
            if KEEP {
                let [_, hands, none] = choice.callout;
                let changes = match (L, trim) {
                    (2, 0) => (second.0 + choice.retrim, second.1 + choice.retrim),
                    (2, _) => (choice.retrim - second.1, choice.retrim - second.0),
                    (1, _) => (f64::INFINITY, f64::INFINITY),
                    _ => spread(go_on, &other, len),
                };
                let mut stops = (of_first.0 - second.1, of_first.1 - second.0);
                if trim == 0 || !settled(stops, changes.0, [hands, none]) {
                    stops = spread(go_on, &off, len);
                }
                if trim == 0 {
                    of_first = stops;
                }
                let (go_on, off) = (&go_on[..len], &off[..len]);
                unmanned(&mut found[2 * trim], base, stops, (go_on, off), none);
                let list = &mut found[2 * trim + 1];
                if L > 1 {
                    let which = |i: usize| RETRIM + which_other::<L>(&going, trim, i);
                    let rows = (go_on, off, &other[..len]);
                    manned(list, base, (stops, changes), rows, hands, (L == 2, which));
                } else {
                    unmanned(list, base, stops, (go_on, off), hands);
                }
            }
        }
        if let Some(ready) = ready.as_deref_mut() {
            let row: &mut [f64; CHUNK] = chunk_mut(ready.onward_mut(base));
            // One cell is given away: the plan never promises what will not be made.
            let mut best: [f64; CHUNK] = *chunk(&going[0]);
            for trim in 2..L {
                best = lesser(&best, &going[trim], 0.0);
            }
            if L == 1 {
                for i in 0..CHUNK {
                    row[i] = best[i] - nothing[i];
                }
            } else {
                for i in 0..CHUNK {
                    row[i] = least(best[i], going[L.min(2) - 1][i]) - nothing[i];
                }
            }
            if KEEP {
                first_trim::<L>(&mut found[2 * L], base, len, &going, second);
            }
        }
        base += CHUNK as i32;
    }
    if KEEP {
        for trim in 0..L {
            mode.actions.keep(k, Asked::Unmanned(trim), &mut found[2 * trim]);
            mode.actions.keep(k, Asked::Manned(trim), &mut found[2 * trim + 1]);
        }
        mode.actions.keep(k, Asked::Ready, &mut found[2 * L]);
    }
    mode.found = found;
}

#[inline(always)]
fn least(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

#[inline(always)]
fn most(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The first chunk of a row; a row has room for it past its last cell.
#[inline(always)]
fn chunk(row: &[f64]) -> &[f64; CHUNK] {
    row.first_chunk().unwrap_or(&[0.0; CHUNK])
}

#[inline(always)]
#[allow(
    clippy::expect_used,
    reason = "rows are laid out with two chunks of room past the last cell"
)]
fn chunk_mut(row: &mut [f64]) -> &mut [f64; CHUNK] {
    // proof: `Row::new` lays out two chunks past the highest cell, and a chunk begins at or below it.
    row.first_chunk_mut().expect("room past the last cell")
}

/// The best trim to change to, a cell given away and the change paid.
#[inline(always)]
fn best_other<const L: usize>(
    going: &[[f64; CHUNK + 1]; L],
    trim: usize,
    retrim: f64,
) -> [f64; CHUNK] {
    let mut best = [f64::INFINITY; CHUNK];
    let first = usize::from(trim == 0).min(L - 1);
    for i in 0..CHUNK {
        best[i] = going[first][i] + retrim;
    }
    for (other, row) in going.iter().enumerate().skip(first + 1) {
        if other != trim {
            best = lesser(&best, row, retrim);
        }
    }
    best
}

/// The lesser of two, cell by cell, so much being added to the second.
#[inline(always)]
fn lesser(best: &[f64; CHUNK], row: &[f64; CHUNK + 1], more: f64) -> [f64; CHUNK] {
    let mut lesser = [0.0; CHUNK];
    for i in 0..CHUNK {
        lesser[i] = least(best[i], row[i] + more);
    }
    lesser
}

#[inline(always)]
fn which_other<const L: usize>(going: &[[f64; CHUNK + 1]; L], trim: usize, i: usize) -> u8 {
    let others = (0..L).filter(|other| *other != trim);
    let best = others.reduce(|a, b| if going[b][i] < going[a][i] - TIE { b } else { a });
    best.unwrap_or(trim) as u8
}

/// The least and the most by which the second is dearer than the first, over the first `len` cells.
#[inline(always)]
fn spread(first: &[f64; CHUNK], second: &[f64; CHUNK], len: usize) -> (f64, f64) {
    const PART: usize = CHUNK / 4;
    let (mut low, mut high) = ([0.0; PART], [0.0; PART]);
    if len < CHUNK {
        let mut ends = (f64::INFINITY, f64::NEG_INFINITY);
        for (first, second) in first.iter().zip(second).take(len) {
            ends = (least(second - first, ends.0), most(second - first, ends.1));
        }
        return ends;
    }
    // Quarter against quarter, then half against half, so that several cells go through a register together.
    for i in 0..PART {
        let [a, b, c, d] = [i, i + PART, i + 2 * PART, i + 3 * PART].map(|i| second[i] - first[i]);
        low[i] = least(least(a, b), least(c, d));
        high[i] = most(most(a, b), most(c, d));
    }
    let (low, high) = halved::<PART, { PART / 2 }>(&low, &high);
    let (low, high) = halved::<{ PART / 2 }, { PART / 4 }>(&low, &high);
    (low.into_iter().fold(f64::INFINITY, least), high.into_iter().fold(f64::NEG_INFINITY, most))
}

/// Into arrays of their own: what is written where it was read from is written cell by cell as it is needed, which is slow.
#[inline(always)]
fn halved<const N: usize, const M: usize>(low: &[f64; N], high: &[f64; N]) -> ([f64; M], [f64; M]) {
    let (mut least_of, mut most_of) = ([0.0; M], [0.0; M]);
    for i in 0..M {
        least_of[i] = least(low[i], low[i + M]);
        most_of[i] = most(high[i], high[i + M]);
    }
    (least_of, most_of)
}

/// Whether bounds of what stopping is dearer say all: that it pays nowhere, or everywhere and more than any change of trim.
#[inline(always)]
fn settled(stops: (f64, f64), change: f64, callouts: [f64; 2]) -> bool {
    let nowhere = callouts.iter().all(|callout| stops.0 >= -callout);
    let everywhere = |callout: &f64| stops.1 + callout < (-2.0 * TIE).min(change - 2.0 * TIE);
    nowhere || callouts.iter().all(everywhere)
}

/// Whether to stop without hands, told by how much dearer stopping is, the call-out apart.
#[inline(always)]
fn unmanned(
    found: &mut Finding,
    base: i32,
    stops: (f64, f64),
    (go_on, off): (&[f64], &[f64]),
    callout: f64,
) {
    let pays = -(callout + TIE);
    if stops.0 >= pays {
        found.from(base, STAY);
    } else if stops.1 < pays {
        found.from(base, GO);
    } else {
        for (i, (on, off)) in go_on.iter().zip(off).enumerate() {
            found.from(base + i as i32, if off - on < pays { GO } else { STAY });
        }
    }
}

/// Whether to stop or to change the trim with hands there.
#[inline(always)]
fn manned(
    found: &mut Finding,
    base: i32,
    (stops, changes): ((f64, f64), (f64, f64)),
    (go_on, off, other): (&[f64], &[f64], &[f64]),
    callout: f64,
    (one_other, which): (bool, impl Fn(usize) -> u8),
) {
    let pays = -(callout + TIE);
    if stops.0 >= pays && changes.0 >= -0.5 * TIE {
        return found.from(base, STAY);
    }
    // Where stopping gains more everywhere than any change does anywhere.
    if stops.1 < pays && stops.1 + callout <= changes.0 - TIE {
        return found.from(base, GO);
    }
    // Where a change gains everywhere, more than stopping does anywhere, and there is but one trim to change to.
    if changes.1 < -2.0 * TIE && stops.0 + callout > changes.1 + TIE && one_other {
        return found.from(base, which(0));
    }
    for (i, ((on, off), other)) in go_on.iter().zip(off).zip(other).enumerate() {
        let (off, on) = (off + callout + TIE, *on);
        let act = if off < on && off - TIE <= *other {
            GO
        } else if other + TIE < on {
            which(i)
        } else {
            STAY
        };
        found.from(base + i as i32, act);
    }
}

#[inline(always)]
fn first_trim<const L: usize>(
    found: &mut Finding,
    base: i32,
    len: usize,
    going: &[[f64; CHUNK + 1]; L],
    second: (f64, f64),
) {
    if L == 1 {
        return found.from(base, 0);
    }
    if L == 2 {
        // A cell is given away: the one before the chunk counts, and the last of it does no harm.
        let before = going[1][0] - going[0][0];
        let dearer = (least(before, second.0), most(before, second.1));
        if dearer.0 >= -TIE || dearer.1 < -TIE {
            return found.from(base, u8::from(dearer.1 < -TIE));
        }
    }
    for i in 0..len {
        let best = (0..L).reduce(|a, b| if going[b][i] < going[a][i] - TIE { b } else { a });
        found.from(base + i as i32, best.unwrap_or(0) as u8);
    }
}

/// Where it pays to begin a start, given the rows of staying off and of being ready.
#[inline(always)]
pub(super) fn starts(found: &mut Finding, lo: i32, off: &[f64], ready: &[f64], price: f64) {
    let chunks = off.chunks(CHUNK).zip(ready.chunks(CHUNK));
    for (at, (off, ready)) in chunks.enumerate() {
        let base = lo + (at * CHUNK) as i32;
        let dearer = match (off.first_chunk(), ready.first_chunk()) {
            (Some(off), Some(ready)) => spread(off, ready, CHUNK),
            _ => (f64::NEG_INFINITY, f64::INFINITY),
        };
        unmanned(found, base, dearer, (off, ready), price);
    }
}
