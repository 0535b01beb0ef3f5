//! The dynamic program in one mode of output, backwards in time: the inner loop.
//!
//! Values are kept as differences from doing nothing to the end. In riding cells a state that makes nothing is then
//! the same row a step earlier, but for cells uncovered at the floor or the ceiling. So starting and stopping are
//! places in a ring of rows, and rows that nothing has changed are shared.

use std::collections::VecDeque;
use std::sync::Arc;

use super::actions::{Actions, Asked, Finding};
use super::cells::Row;
use super::grid::{Grid, whole_cells};
use super::outlook::Tap;
use super::problem::{Costs, State};
use super::steps::Steps;
use super::supplies::{Offer, Rule, buy};

/// What all modes share.
#[derive(Clone, Copy)]
pub(super) struct Board<'a> {
    pub steps: &'a Steps,
    pub grid: &'a Grid,
    pub costs: &'a Costs,
    /// Price of a tonne under the reserve for a day.
    pub reserve_price: f64,
    /// Supplies by sample.
    pub offers: &'a [Offer],
    /// What the plant is doing at the beginning.
    pub state: State,
    /// Whether actions are kept.
    pub keep: bool,
}

/// Rows whose number of owners is not one: those of plants that make nothing.
#[derive(Clone, Default)]
pub(super) struct Pool {
    rows: Vec<Row>,
    free: Vec<usize>,
}

impl Pool {
    fn take(&mut self, top: i32) -> usize {
        self.free.pop().unwrap_or_else(|| {
            self.rows.push(Row::new(top));
            self.rows.len() - 1
        })
    }
}

/// One mode while it is solved. All values are those before the decision at the step reached.
pub(super) struct Mode {
    /// Cells made and price paid, by trim and step.
    pub made: Vec<Vec<i32>>,
    pub paid: Vec<Vec<f64>>,
    most_made: i32,
    /// Cost of doing nothing to the end.
    pub nothing: Row,
    /// Making, by trim. Worth nothing where water may not be made before or after.
    pub making: Vec<Row>,
    pub making_live: bool,
    pub pool: Pool,
    /// Off now, after one step, after two, …: where a stop leads.
    pub off: VecDeque<usize>,
    /// The first making step now, after one step, …: where a start leads.
    pub ready: VecDeque<Option<usize>>,
    pub actions: Actions,
    /// By supply, in the order they were met (the last first).
    pub rules: Vec<Arc<Rule>>,
    pub found: Vec<Finding>,
    pub scratch: Vec<f64>,
}

/// Where a row stands among the states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// Off, or so many steps from it.
    Off(usize),
    /// About to make, or so many steps from it.
    Ready(usize),
    /// Making at a trim.
    Making(usize),
}

/// What a step of making, or a stop, costs and what the choice is between.
pub(super) struct Choice {
    pub k: usize,
    pub lo: i32,
    pub hi: i32,
    /// Pumps all through a stop.
    pub stop_run: f64,
    /// Call-out in a stop now, as foreseen; with hands; without.
    pub callout: [f64; 3],
    /// Price of a retrim, where there are hands.
    pub retrim: f64,
    pub retrim_foreseen: bool,
}

impl Mode {
    pub fn new(board: &Board, factor: f64) -> Self {
        let (steps, grid) = (board.steps, board.grid);
        let top = grid.top();
        let made: Vec<Vec<i32>> = (steps.trims.iter())
            .map(|trim| whole_cells(trim.make_t.iter().map(|m| m * factor), grid.cell))
            .collect();
        let paid = (steps.trims.iter())
            .map(|trim| {
                (0..steps.n)
                    .map(|k| steps.run + trim.fixed[k] + trim.price_t[k] * trim.make_t[k] * factor)
                    .collect()
            })
            .collect();
        let most_made = made.iter().flatten().copied().max().unwrap_or(0);
        let top = top + most_made + 4;
        let trims = steps.trims.len();
        let mut pool = Pool::default();
        let off = pool.take(top);
        let mut nothing = Row::new(top);
        nothing.span_mut(0, top).fill(0.0);
        Self {
            made,
            paid,
            most_made,
            nothing,
            making: vec![Row::new(top); trims],
            making_live: true,
            pool,
            off: VecDeque::from([off]),
            ready: VecDeque::from([None]),
            actions: Actions::new(if board.keep { steps.n } else { 0 }, trims),
            rules: Vec::new(),
            found: vec![Finding::default(); 2 * trims + 2],
            scratch: Vec::new(),
        }
    }

    /// The end of the horizon: only the stock has a value.
    pub fn end(&mut self, board: &Board, target_t: f64, price_t: f64) {
        let (n, grid) = (board.steps.n, board.grid);
        for cell in grid.lo[n]..=grid.hi[n] {
            let missing = (target_t - grid.stock(n, cell)).max(0.0);
            self.nothing.span_mut(cell, cell)[0] = price_t * missing;
        }
    }

    /// From the step after `k` to step `k`, the supplies at it taken in.
    #[inline(always)]
    pub fn step(&mut self, board: &Board, k: usize) {
        let (steps, grid) = (board.steps, board.grid);
        let after = (grid.lo[k + 1], grid.hi[k + 1]);
        let (lo, hi) = (grid.lo[k], grid.hi[k]);
        self.stage(board, k);
        let reach = (lo - 1, hi.max(after.1) + self.most_made);
        let slope = (board.costs.shortfall_t * grid.cell, board.costs.spill_t * grid.cell);
        self.nothing.extend(after, reach, slope);
        for id in self.idle() {
            self.pool.rows[id].extend(after, (lo, hi), (0.0, 0.0));
        }
        let stop_at = (steps.stop - 1).min(self.off.len() - 1);
        let stop_steps = steps.stop.min(steps.n - k);
        let callout = board.costs.callout;
        let hands = if steps.run_stop[k] { 0.0 } else { callout };
        let foreseen = if steps.hands_stop[k] { hands } else { callout };
        let choice = Choice {
            k,
            lo,
            hi,
            stop_run: stop_steps as f64 * steps.run,
            callout: [foreseen, if steps.manned[k] { foreseen } else { hands }, callout],
            retrim: board.costs.retrim,
            retrim_foreseen: steps.manned[k],
        };
        let ready = self.make(board, &choice, after, reach, stop_at);
        let off = self.start(board, k, (lo, hi));
        self.turn(off, ready, steps);
        for offer in board.offers.iter().rev().filter(|o| o.at == k) {
            self.supply(board, k, offer);
        }
    }

    /// Adds what the stock at the end of step `k` costs to the row of doing nothing.
    #[inline(always)]
    fn stage(&mut self, board: &Board, k: usize) {
        let (steps, grid) = (board.steps, board.grid);
        let (lo, hi) = (grid.lo[k + 1], grid.hi[k + 1]);
        let under = board.reserve_price * steps.hours / 24.0;
        let (carry, reserve) = (steps.carry[k], steps.reserve_t[k]);
        let bottom = grid.stock(k + 1, lo);
        let row = self.nothing.span_mut(lo, hi);
        let split = ((reserve - bottom) / grid.cell).ceil().clamp(0.0, row.len() as f64) as usize;
        let (low, high) = row.split_at_mut(split);
        for (i, value) in low.iter_mut().enumerate() {
            let stock = (bottom + grid.cell * i as f64).max(0.0);
            *value += carry * stock + under * (reserve - stock);
        }
        if carry > 0.0 {
            let bottom = bottom + grid.cell * split as f64;
            for (i, value) in high.iter_mut().enumerate() {
                *value += carry * (bottom + grid.cell * f64::from(i as i32));
            }
        }
    }

    /// Rows of plants that make nothing, each once.
    fn idle(&self) -> impl Iterator<Item = usize> + use<> {
        let mut ids: Vec<usize> = self.off.iter().copied().collect();
        ids.extend(self.ready.iter().flatten());
        ids.dedup();
        ids.into_iter()
    }

    /// Making at step `k`, and the row of a start that ends here where one is wanted.
    #[inline(always)]
    fn make(
        &mut self,
        board: &Board,
        choice: &Choice,
        after: (i32, i32),
        reach: (i32, i32),
        stop_at: usize,
    ) -> Option<usize> {
        let (steps, grid, k) = (board.steps, board.grid, choice.k);
        let (lo, hi) = (choice.lo, choice.hi);
        let may_end = k >= steps.start
            && steps.may_start[k - steps.start]
            && (board.keep || steps.hands_start[k - steps.start]);
        let begun = matches!(board.state, State::Starting { left } if left == k);
        if !steps.allowed[k] {
            // Only the heat can be taken off, and only a plant that was making before asks for it.
            self.making_live = k == 0 || steps.allowed[k - 1];
            let price = choice.stop_run + choice.callout[0];
            let stop = self.pool.rows[self.off[stop_at]].span(lo, hi);
            if self.making_live {
                for row in &mut self.making {
                    for (value, stop) in row.span_mut(lo, hi).iter_mut().zip(stop) {
                        *value = stop + price;
                    }
                }
            }
            if !begun {
                return None;
            }
            let mut row = Row::new(0);
            let id = self.pool.take(grid.top() + self.most_made + 4);
            std::mem::swap(&mut row, &mut self.pool.rows[id]);
            let stop = self.pool.rows[self.off[stop_at]].span(lo, hi);
            for (value, stop) in row.span_mut(lo, hi).iter_mut().zip(stop) {
                *value = stop + price;
            }
            self.pool.rows[id] = row;
            return Some(id);
        }
        for row in &mut self.making {
            row.extend(after, reach, (0.0, 0.0));
        }
        self.making_live = true;
        let id = (may_end || begun).then(|| self.pool.take(grid.top() + self.most_made + 4));
        let mut ready = id.map(|id| std::mem::replace(&mut self.pool.rows[id], Row::new(0)));
        let stop = std::mem::replace(&mut self.pool.rows[self.off[stop_at]], Row::new(0));
        super::choose::choose(self, board.keep, choice, &stop, ready.as_mut());
        self.pool.rows[self.off[stop_at]] = stop;
        if let (Some(id), Some(row)) = (id, ready) {
            self.pool.rows[id] = row;
        }
        id
    }

    /// Off at step `k`: the same row, or a new one where a start is foreseen to be possible.
    #[inline(always)]
    fn start(&mut self, board: &Board, k: usize, (lo, hi): (i32, i32)) -> usize {
        let steps = board.steps;
        let same = self.off[0];
        let ready = self.ready.get(steps.start - 1).copied().flatten();
        let (true, Some(ready)) = (steps.may_start[k], ready) else { return same };
        let price = board.costs.start + steps.start as f64 * steps.run;
        if board.keep {
            let (off, from) =
                (self.pool.rows[same].span(lo, hi), self.pool.rows[ready].span(lo, hi));
            let last = self.found.len() - 1;
            super::choose::starts(&mut self.found[last], lo, off, from, price);
            self.actions.keep(k, Asked::Off, &mut self.found[last]);
        }
        if !steps.hands_start[k] {
            return same;
        }
        let id = self.pool.take(board.grid.top() + self.most_made + 4);
        let mut row = std::mem::replace(&mut self.pool.rows[id], Row::new(0));
        let (off, from) = (self.pool.rows[same].span(lo, hi), self.pool.rows[ready].span(lo, hi));
        for ((value, off), from) in row.span_mut(lo, hi).iter_mut().zip(off).zip(from) {
            let from = from + price;
            *value = if from < *off { from } else { *off };
        }
        self.pool.rows[id] = row;
        id
    }

    /// Turns the rings by one step and gives back rows that nothing leads to any more.
    fn turn(&mut self, off: usize, ready: Option<usize>, steps: &Steps) {
        self.off.push_front(off);
        if self.off.len() > steps.stop + 1
            && let Some(gone) = self.off.pop_back()
            && self.off.back() != Some(&gone)
        {
            self.pool.free.push(gone);
        }
        self.ready.push_front(ready);
        if self.ready.len() > steps.start + 1
            && let Some(Some(gone)) = self.ready.pop_back()
        {
            self.pool.free.push(gone);
        }
    }

    /// Every place that has a row, rows shared by several places named by the first.
    fn places(&self) -> Vec<Place> {
        let mut places = Vec::new();
        let mut before = None;
        for (left, id) in self.off.iter().enumerate() {
            if before != Some(*id) {
                places.push(Place::Off(left));
            }
            before = Some(*id);
        }
        places.extend((0..self.ready.len()).filter(|i| self.ready[*i].is_some()).map(Place::Ready));
        if self.making_live {
            places.extend((0..self.making.len()).map(Place::Making));
        }
        places
    }

    /// The row of a place.
    fn row(&self, place: Place) -> Option<&Row> {
        match place {
            Place::Off(left) => self.off.get(left).map(|id| &self.pool.rows[*id]),
            Place::Ready(left) => {
                self.ready.get(left).copied().flatten().map(|id| &self.pool.rows[id])
            }
            Place::Making(trim) => self.making.get(trim).filter(|_| self.making_live),
        }
    }

    fn row_mut(&mut self, place: Place) -> Option<&mut Row> {
        match place {
            Place::Off(left) => self.off.get(left).map(|id| &mut self.pool.rows[*id]),
            Place::Ready(left) => {
                self.ready.get(left).copied().flatten().map(|id| &mut self.pool.rows[id])
            }
            Place::Making(trim) => {
                if self.making_live {
                    self.making.get_mut(trim)
                } else {
                    None
                }
            }
        }
    }

    fn supply(&mut self, board: &Board, k: usize, offer: &Offer) {
        let span = (board.grid.lo[k], board.grid.hi[k]);
        let mut rule = Rule::new(offer.index, span.0);
        let mut scratch = std::mem::take(&mut self.scratch);
        let nothing = std::mem::replace(&mut self.nothing, Row::new(0));
        let places = self.places();
        for (i, place) in places.iter().enumerate() {
            let Some(row) = self.row_mut(*place) else { continue };
            let taken = buy(
                row.span_mut(span.0, span.1),
                nothing.span(span.0, span.1),
                offer,
                board.grid.cell,
                &mut scratch,
            );
            if board.keep {
                rule.keep(*place, self.sharers(places.get(i + 1).copied(), *place), taken);
            }
        }
        self.nothing = nothing;
        self.scratch = scratch;
        if board.keep {
            self.rules.push(Arc::new(rule));
        }
    }

    /// How many places in a row share one with `place`.
    fn sharers(&self, next: Option<Place>, place: Place) -> usize {
        match (place, next) {
            (Place::Off(first), Some(Place::Off(next))) => next - first,
            (Place::Off(first), _) => self.off.len() - first,
            _ => 1,
        }
    }

    /// The day's use seen: the mean over its shocks.
    #[inline(always)]
    pub fn shock(&mut self, board: &Board, k: usize, taps: &[Tap]) {
        let span = (board.grid.lo[k], board.grid.hi[k]);
        let mut scratch = std::mem::take(&mut self.scratch);
        for place in self.places() {
            if let Some(row) = self.row_mut(place) {
                row.shock(span, taps, (0.0, 0.0), &mut scratch);
            }
        }
        let slope =
            (board.costs.shortfall_t * board.grid.cell, board.costs.spill_t * board.grid.cell);
        self.nothing.shock(span, taps, slope, &mut scratch);
        self.scratch = scratch;
    }

    /// The value before the first decision of a plant in this state.
    pub fn value(&self, state: State, cell: i32) -> f64 {
        let place = match state {
            State::Off => Place::Off(0),
            State::Starting { left } => Place::Ready(left),
            State::Making { trim } => Place::Making(trim),
            State::Stopping { left } => Place::Off(left),
        };
        self.nothing.at(cell) + self.row(place).map_or(0.0, |row| row.at(cell))
    }
}

/// The mode changes overnight: every row becomes the mean over the modes that may follow.
pub(super) fn mix(modes: &mut [Mode], follow: &[Vec<f64>], span: (i32, i32)) {
    let Some(places) = modes.first().map(Mode::places) else { return };
    let mut mixed: Vec<Vec<f64>> = vec![Vec::new(); modes.len()];
    for place in places {
        for (out, chances) in mixed.iter_mut().zip(follow) {
            out.clear();
            out.resize((span.1 - span.0 + 1) as usize, 0.0);
            for (mode, chance) in modes.iter().zip(chances) {
                let Some(row) = mode.row(place) else { continue };
                for (out, value) in out.iter_mut().zip(row.span(span.0, span.1)) {
                    *out += chance * value;
                }
            }
        }
        for (mode, out) in modes.iter_mut().zip(&mixed) {
            if let Some(row) = mode.row_mut(place) {
                row.span_mut(span.0, span.1).copy_from_slice(out);
            }
        }
    }
}
