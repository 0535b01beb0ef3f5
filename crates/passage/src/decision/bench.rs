//! Parts of the decision on their own, for those who time them.

use super::outlook::Outlook;
use super::policy::Draws;
use super::problem::Problem;
use super::simulate::{Bands, Sailed};
use super::solve::{Keep, Solution, policy_cell, solve};
use super::steps::Steps;
use super::world::Voyage;

/// Expected cost of one policy at one price of the reserve, its actions kept or not.
#[must_use]
pub fn policy_value(problem: &Problem, reserve_price: f64, actions: bool) -> f64 {
    let (steps, outlook) = (Steps::new(problem), Outlook::of(problem));
    let keep = if actions { Keep::Actions } else { Keep::Value };
    solve(problem, &steps, outlook, policy_cell(problem), reserve_price, keep).value
}

/// A policy ready to be sailed.
pub struct Sea {
    problem: Problem,
    steps: Steps,
    solution: Solution,
    reserve_price: f64,
}

impl Sea {
    /// The policy at one price of the reserve.
    #[must_use]
    pub fn new(problem: &Problem, reserve_price: f64) -> Self {
        let (problem, steps) = (problem.clone(), Steps::new(problem));
        let (outlook, cell) = (Outlook::of(&problem), policy_cell(&problem));
        let solution = solve(&problem, &steps, outlook, cell, reserve_price, Keep::Actions);
        Self { problem, steps, solution, reserve_price }
    }

    /// Passages and their bands.
    #[must_use]
    pub fn sail(&self, draws: Draws) -> Bands {
        let Self { problem, steps, solution, reserve_price } = self;
        let voyage = Voyage::new(problem, steps, solution, *reserve_price);
        Sailed::new(&voyage, draws.count.max(1), draws.seed).bands()
    }
}
