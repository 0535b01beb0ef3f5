//! The dynamic program over the whole horizon: days back from the end, modes side by side.

use std::sync::Arc;

use rayon::prelude::*;

use super::actions::Actions;
use super::grid::{Grid, whole_cells};
use super::halt::{Halt, taken_up};
use super::mode::{Board, Mode, mix};
use super::outlook::{Outlook, Tap};
use super::problem::Problem;
use super::reach::{Moves, narrow};
use super::steps::Steps;
use super::supplies::{Rule, offers};

/// A solved program: its value and, where asked for, what to do.
#[derive(Clone)]
pub(super) struct Solution {
    pub grid: Grid,
    pub outlook: Outlook,
    /// Expected cost from now.
    pub value: f64,
    /// By mode.
    pub actions: Vec<Actions>,
    /// By mode, in the order of the samples.
    pub rules: Vec<Vec<Arc<Rule>>>,
    /// What it can be taken up from again, the last midnight first.
    pub halts: Vec<Arc<Halt>>,
}

/// Cell of the policy's grid: 0.1 t, doubled for every doubling of the ceiling over 600 t.
pub(super) fn policy_cell(problem: &Problem) -> f64 {
    let highest = problem.samples.ceiling_t.iter().copied().fold(problem.stock_t, f64::max);
    0.1 * 2.0_f64.powf((highest / 600.0).log2().ceil().max(0.0))
}

/// What is kept of a program while it is solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Keep {
    /// Its value only.
    Value,
    /// What to do too.
    Actions,
    /// And halts from which it can be solved again.
    Halts,
}

/// Days between halts, and how many of them there are at most.
const HALTS: (usize, usize) = (3, 12);

/// Solves it on cells of `cell` tonnes at one price of being under the reserve.
pub(super) fn solve(
    problem: &Problem,
    steps: &Steps,
    outlook: Outlook,
    cell: f64,
    reserve_price: f64,
    keep: Keep,
) -> Solution {
    let mut grid = Grid::new(problem, steps, cell);
    let most_made = most_made(steps, &outlook, grid.cell);
    let moves = Moves {
        most_made: &most_made,
        shocks: &shocks(steps, &outlook, grid.cell),
        per_day: steps.per_day,
        offers: &offers(&problem.supply, grid.cell),
        stock_sd_t: problem.stock_sd_t,
    };
    narrow(&mut grid, &moves);
    solve_on((grid, None), problem, steps, outlook, reserve_price, keep)
}

/// Solves one again of which nothing but the reserve was changed, and that only before the sample `same_from`.
pub(super) fn solve_again(
    problem: &Problem,
    steps: &Steps,
    before: &Solution,
    reserve_price: f64,
    same_from: usize,
) -> Solution {
    // The halts go back in time: the last that is not too early saves most.
    let from = before.halts.iter().rposition(|halt| halt.step >= same_from);
    let from = from.map(|at| (before, at));
    let outlook = before.outlook.clone();
    solve_on((before.grid.clone(), from), problem, steps, outlook, reserve_price, Keep::Halts)
}

/// Cells made at most in each step.
fn most_made(steps: &Steps, outlook: &Outlook, cell: f64) -> Vec<i32> {
    let mut most = vec![0; steps.n];
    for ln in &outlook.modes {
        for trim in &steps.trims {
            let made = whole_cells(trim.make_t.iter().map(|m| m * ln.exp()), cell);
            most.iter_mut().zip(made).for_each(|(most, made)| *most = made.max(*most));
        }
    }
    most
}

/// Shocks of the midnights counted from now, the first at the end of the first day.
fn shocks(steps: &Steps, outlook: &Outlook, cell: f64) -> Vec<Vec<Tap>> {
    let day = |(day, used): (usize, &[f64])| outlook.shock(day, used.iter().sum(), cell);
    steps.scatter_t.chunks_exact(steps.per_day).enumerate().map(day).collect()
}

/// Solves it on a grid laid out before, from the end or from one of the halts of a solution.
pub(super) fn solve_on(
    (grid, from): (Grid, Option<(&Solution, usize)>),
    problem: &Problem,
    steps: &Steps,
    outlook: Outlook,
    reserve_price: f64,
    keep: Keep,
) -> Solution {
    let offers = offers(&problem.supply, grid.cell);
    let shocks = shocks(steps, &outlook, grid.cell);
    let board = Board {
        steps,
        grid: &grid,
        costs: &problem.costs,
        reserve_price,
        offers: &offers,
        state: problem.state,
        keep: keep != Keep::Value,
    };
    let mut end = steps.n;
    let mut halts: Vec<Arc<Halt>> = Vec::new();
    let halt = from.and_then(|(before, at)| Some((before, before.halts.get(at)?, at)));
    let mut modes: Vec<Mode> = if let Some((before, halt, at)) = halt {
        halts.extend_from_slice(&before.halts[..=at]);
        end = halt.step;
        taken_up(before, halt, &board, problem)
    } else {
        let new = |ln: &f64| {
            let mut mode = Mode::new(&board, ln.exp());
            mode.end(&board, problem.end.target_t, problem.end.price_t);
            mode
        };
        outlook.modes.iter().map(new).collect()
    };
    let halt_days = HALTS.0.max(steps.n.div_ceil(steps.per_day).div_ceil(HALTS.1));
    while end > 0 {
        // Back to the last midnight counted from now; the first day has none before it.
        let begin = (end - 1) / steps.per_day * steps.per_day;
        let shock = begin.checked_sub(1).and_then(|k| shocks.get(k / steps.per_day));
        let shock = shock.map(Vec::as_slice);
        let day = |mode: &mut Mode| super::wide::day(mode, &board, (begin, end), shock);
        match modes.as_mut_slice() {
            [only] => day(only),
            several => several.par_iter_mut().for_each(day),
        }
        if begin > 0 && modes.len() > 1 {
            mix(&mut modes, &outlook.follow, (grid.lo[begin], grid.hi[begin]));
        }
        end = begin;
        if keep == Keep::Halts && begin > 0 && (begin / steps.per_day).is_multiple_of(halt_days) {
            halts.push(Arc::new(Halt::new(begin, &modes)));
        }
    }
    let value = modes[outlook.middle()].value(problem.state, grid.start);
    let (actions, rules) = modes
        .into_iter()
        .map(|mode| (mode.actions, mode.rules.into_iter().rev().collect()))
        .unzip();
    drop(offers);
    Solution { grid, outlook, value, actions, rules, halts }
}

impl Solution {
    /// Whole cells made by trim and step in the middle mode.
    pub fn made(&self, steps: &Steps) -> Vec<Vec<i32>> {
        let factor = self.outlook.modes[self.outlook.middle()].exp();
        let cells = |trim: &super::steps::Trim| {
            whole_cells(trim.make_t.iter().map(|m| m * factor), self.grid.cell)
        };
        steps.trims.iter().map(cells).collect()
    }
}
