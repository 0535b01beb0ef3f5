//! A program half solved, kept at midnights on the way back: what changes only before one need not be solved again behind it.

use std::collections::VecDeque;
use std::sync::Arc;

use super::cells::Row;
use super::mode::{Board, Mode, Pool};
use super::problem::Problem;
use super::solve::Solution;

/// The rows of one mode.
struct Rows {
    nothing: Row,
    making: Vec<Row>,
    making_live: bool,
    pool: Pool,
    off: VecDeque<usize>,
    ready: VecDeque<Option<usize>>,
    /// Actions kept so far.
    actions: usize,
}

/// All modes before the decision at a step, the midnight before it seen.
pub(super) struct Halt {
    pub step: usize,
    modes: Vec<Rows>,
}

impl Halt {
    pub fn new(step: usize, modes: &[Mode]) -> Self {
        let rows = |mode: &Mode| Rows {
            nothing: mode.nothing.clone(),
            making: mode.making.clone(),
            making_live: mode.making_live,
            pool: mode.pool.clone(),
            off: mode.off.clone(),
            ready: mode.ready.clone(),
            actions: mode.actions.count(),
        };
        Self { step, modes: modes.iter().map(rows).collect() }
    }
}

/// The modes of a solution as they were at one of its halts.
pub(super) fn taken_up(
    solution: &Solution,
    halt: &Halt,
    board: &Board,
    problem: &Problem,
) -> Vec<Mode> {
    let parts = solution.actions.iter().zip(&solution.rules).zip(&halt.modes);
    let modes = solution.outlook.modes.iter().zip(parts);
    let mode = |(ln, ((actions, rules), rows)): (&f64, ((_, &Vec<Arc<_>>), &Rows))| {
        let mut mode = Mode::new(board, ln.exp());
        let actions: &super::actions::Actions = actions;
        mode.nothing.clone_from(&rows.nothing);
        mode.making.clone_from(&rows.making);
        mode.making_live = rows.making_live;
        mode.pool = rows.pool.clone();
        mode.off.clone_from(&rows.off);
        mode.ready.clone_from(&rows.ready);
        mode.actions = actions.onward(halt.step, rows.actions);
        let after = |rule: &&Arc<super::supplies::Rule>| problem.supply[rule.index].at >= halt.step;
        mode.rules = rules.iter().rev().filter(after).cloned().collect();
        mode
    };
    modes.map(mode).collect()
}

#[cfg(test)]
mod tests {
    use super::super::outlook::Outlook;
    use super::super::problem::Problem;
    use super::super::solve::{Keep, policy_cell, solve, solve_again};
    use super::super::steps::Steps;
    use super::super::world::Voyage;

    /// From a halt it comes to the same value, to the last digit, and does the same; it must begin where the reserve is as
    /// it was.
    #[test]
    fn ident_what_is_taken_up_again_ends_as_what_was_solved_whole() {
        let n = 96 * 11;
        let manned: Vec<u8> = (0..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
        let allowed: Vec<u8> = (0..n).map(|k| u8::from(!(300..420).contains(&k))).collect();
        let problem = serde_json::json!({
            "initial": {"stock_t": 50.0, "state": "off", "steps_left": 0},
            "samples": {
                "allowed": allowed, "manned": manned, "make_t_day": vec![24.0; n],
                "use_t_day": vec![7.0; n], "ceiling_t": vec![150.0; n], "reserve_t": vec![35.0; n],
            },
            "supply": [
                {"name": "barge", "at": 200, "price_t": 2.0, "fixed": 10.0, "max_t": 40.0},
                {"name": "barge", "at": 700, "price_t": 3.0, "fixed": 5.0, "max_t": 40.0},
            ],
            "end": {"target_t": 90.0, "price_t": 9.0},
        });
        let problem = Problem::from_json(problem.to_string().as_bytes()).expect("a problem");
        let steps = Steps::new(&problem);
        let (outlook, cell) = (Outlook::of(&problem), policy_cell(&problem));
        let before = solve(&problem, &steps, outlook.clone(), cell, 30.0, Keep::Halts);
        assert!(before.halts.len() >= 2, "{}", before.halts.len());
        let mut raised = steps.clone();
        raised.reserve_t[350..450].fill(140.0);
        let whole = solve(&problem, &raised, outlook, cell, 30.0, Keep::Actions);
        let again = solve_again(&problem, &raised, &before, 30.0, 450);
        assert_eq!(again.value.to_bits(), whole.value.to_bits());
        assert_ne!(again.value.to_bits(), before.value.to_bits());
        let calm = |solution| Voyage::new(&problem, &steps, solution, 30.0).calm();
        assert!(calm(&again) == calm(&whole) && calm(&again) != calm(&before));
        // Taken up where the reserve is another, it would end as before.
        let early = solve_again(&problem, &raised, &before, 30.0, 0);
        assert_ne!(early.value.to_bits(), whole.value.to_bits());
    }
}
