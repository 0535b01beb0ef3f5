//! The grid along stock that rides on the use, so that a path which only uses water is exact on it.
//!
//! Riding cell `j` before step `k` stands for `x₀ − U_k + (j − i₀)·Δ`: making nothing leaves the cell as it is.
//! Whole cells are made and used in each step, with the rounding error carried on.

use super::problem::Problem;
use super::steps::Steps;

/// Riding cells: size, floor and ceiling at every sample.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    /// Size of a cell, t.
    pub cell: f64,
    /// Cells in a tonne.
    per_t: f64,
    /// Cell of the stock at the beginning.
    pub start: i32,
    /// Lowest cell before each step: the cells used until there. One more than steps.
    pub lo: Vec<i32>,
    /// Highest cell before each step.
    pub hi: Vec<i32>,
    /// Tonnes used until there.
    used_t: Vec<f64>,
    stock_t: f64,
}

/// Most riding cells that are ever laid out.
const MOST_CELLS: f64 = 400_000.0;
/// Most cells of stock at one step.
const MOST_STOCK_CELLS: f64 = 40_000.0;

/// Running sum rounded to whole cells: what each step counts, the error carried on.
pub(super) fn whole_cells(tonnes: impl Iterator<Item = f64>, cell: f64) -> Vec<i32> {
    let mut sum = 0.0;
    let mut before = 0.0;
    tonnes
        .map(|t| {
            sum += t;
            let after = (sum / cell + 0.5).floor();
            let step = after - before;
            before = after;
            step as i32
        })
        .collect()
}

impl Grid {
    /// Cells of `cell` tonnes, or of more where the passage would need too many of them.
    pub fn new(problem: &Problem, steps: &Steps, cell: f64) -> Self {
        let highest = steps.ceiling_t.iter().copied().fold(problem.stock_t, f64::max);
        let made = steps.trims.iter().map(|t| t.make_t.iter().copied().fold(0.0, f64::max));
        let span = highest + steps.use_t.iter().sum::<f64>() + 2.0 * made.fold(0.0, f64::max);
        let cell = cell.max(span / MOST_CELLS).max(highest / MOST_STOCK_CELLS);
        let start = (problem.stock_t / cell).round() as i32;
        let mut used_t = vec![0.0; steps.n + 1];
        let mut lo = vec![0; steps.n + 1];
        for (k, n) in whole_cells(steps.use_t.iter().copied(), cell).into_iter().enumerate() {
            used_t[k + 1] = used_t[k] + steps.use_t[k];
            lo[k + 1] = lo[k] + n;
        }
        let (hi, per_t, stock_t) = (Vec::new(), 1.0 / cell, problem.stock_t);
        let mut grid = Self { cell, per_t, start, lo, hi, used_t, stock_t };
        let top = |k: usize, ceiling: f64| {
            let cells = ((ceiling - grid.stock(k, grid.lo[k])) / cell + 1.0e-9).floor();
            grid.lo[k] + (cells as i32).max(0)
        };
        let first = steps.ceiling_t.first().map_or(start, |c| top(0, *c).max(start));
        let hi = std::iter::once(first)
            .chain((1..=steps.n).map(|k| top(k, steps.ceiling_t[k - 1])))
            .collect();
        grid.hi = hi;
        grid
    }

    /// Stock a cell stands for before step `k`, t.
    pub fn stock(&self, k: usize, cell: i32) -> f64 {
        self.stock_t - self.used_t[k] + f64::from(cell - self.start) * self.cell
    }

    /// The cell nearest to a stock, a share `part` of step `k` having passed.
    pub fn cell_at(&self, k: usize, part: f64, stock_t: f64) -> i32 {
        let used = self.used_t[k] + part * (self.used_t[k + 1] - self.used_t[k]);
        let cells = (stock_t - self.stock_t + used) * self.per_t;
        // Adding a half and cutting off is exact enough here, and rounding by library is ten times as slow.
        self.start + (cells + 16_777_216.5) as i32 - 16_777_216
    }

    /// Cells that must be laid out, above the highest.
    pub fn top(&self) -> i32 {
        self.hi.iter().copied().max().unwrap_or(0)
    }
}
