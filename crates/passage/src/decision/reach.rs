//! Stocks that she can come to from what is aboard: the others need no values.

use super::grid::Grid;
use super::outlook::Tap;
use super::supplies::Offer;

/// Passages may make so many times what the best mode of the program makes, as its modes are not the farthest.
const BEYOND: f64 = 1.1;
/// And stand so many tonnes farther off.
const MARGIN_T: f64 = 2.0;
/// They begin no farther off than so many standard deviations: one in two thousand does.
const BEGIN_SD: f64 = 3.5;

/// What moves the stock, in cells.
pub(super) struct Moves<'a> {
    /// Most made in each step, in any mode at any trim.
    pub most_made: &'a [i32],
    /// Shifts of each midnight counted from now, the first at the end of the first day.
    pub shocks: &'a [Vec<Tap>],
    pub per_day: usize,
    pub offers: &'a [Offer],
    /// Standard deviation of what is aboard at the beginning, t.
    pub stock_sd_t: f64,
}

/// Lays the grid out over the cells that can be come to. No value that the beginning depends on changes for it.
pub(super) fn narrow(grid: &mut Grid, moves: &Moves) {
    let margin = (MARGIN_T + BEGIN_SD * moves.stock_sd_t) / grid.cell;
    let (mut low, mut high) = (f64::from(grid.start) - margin, f64::from(grid.start) + margin);
    let last = grid.lo.len() - 1;
    for k in 0..=last {
        if k > 0 && k % moves.per_day == 0 {
            let shifts = moves.shocks.get(k / moves.per_day - 1).into_iter().flatten();
            let (least, most) = shifts.fold((0, 0), |(a, b), tap| (tap.0.min(a), tap.0.max(b)));
            (low, high) = (low + f64::from(least), high + f64::from(most));
        }
        let bought = moves.offers.iter().filter(|o| o.at == k).map(|o| f64::from(o.most));
        high += bought.sum::<f64>();
        let (floor, ceiling) = (grid.lo[k], grid.hi[k]);
        (low, high) =
            (low.max(f64::from(floor)), high.min(f64::from(ceiling)).max(f64::from(floor)));
        low = low.min(high);
        (grid.lo[k], grid.hi[k]) = (low.floor() as i32, high.ceil() as i32);
        high += BEYOND * moves.most_made.get(k).map_or(0.0, |made| f64::from(*made));
    }
}

#[cfg(test)]
mod tests {
    use super::super::outlook::Outlook;
    use super::super::problem::Problem;
    use super::super::solve::{Keep, policy_cell, solve, solve_on};
    use super::super::steps::Steps;
    use super::*;

    /// Laid out over all stocks, the program comes to the same value to the last digits.
    #[test]
    fn ident_what_cannot_be_come_to_has_no_say() {
        let n = 96 * 8;
        let manned: Vec<u8> = (0..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
        let problem = serde_json::json!({
            "initial": {"stock_t": 60.0, "state": "off", "steps_left": 0},
            "samples": {
                "allowed": vec![1; n], "manned": manned, "make_t_day": vec![24.0; n],
                "use_t_day": vec![7.0; n], "ceiling_t": vec![300.0; n], "reserve_t": vec![35.0; n],
            },
            "supply": [{"name": "barge", "at": 300, "price_t": 2.0, "fixed": 10.0, "max_t": 40.0}],
            "end": {"target_t": 90.0, "price_t": 9.0},
        });
        let problem = Problem::from_json(problem.to_string().as_bytes()).expect("a problem");
        let (steps, outlook) = (Steps::new(&problem), Outlook::of(&problem));
        let cell = policy_cell(&problem);
        let narrow = solve(&problem, &steps, outlook.clone(), cell, 30.0, Keep::Actions);
        let whole = (Grid::new(&problem, &steps, cell), None);
        let whole = solve_on(whole, &problem, &steps, outlook, 30.0, Keep::Actions);
        let cells = |grid: &Grid| -> i64 {
            grid.lo.iter().zip(&grid.hi).map(|(lo, hi)| i64::from(hi - lo)).sum()
        };
        assert!(5 * cells(&narrow.grid) < 4 * cells(&whole.grid), "{}", cells(&narrow.grid));
        assert!((narrow.value - whole.value).abs() < 1.0e-9, "{} {}", narrow.value, whole.value);
        assert_ne!(narrow.value, 0.0);
    }
}
