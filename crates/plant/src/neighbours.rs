//! What the last two points of a row leave behind for the next: where they were solved, and which limits acted.

use crate::calibrate::Constants;
use crate::error::Infeasible;
use crate::model::Setting;
use crate::quick::Start;
use crate::solve::{Found, Warm, solve};
use crate::together::{self, Together};
use crate::trim::{Bounds, Trimmed};

/// A row longer than this many of its own steps is not foretold along a line.
const FARTHEST: f64 = 3.0;

/// With its by-pass opened a plant makes no more than in proportion to the jacket flow; under this part of the feed's cap it is
/// sure to have a steady state at the given flow as well.
const SURE: f64 = 0.5;

/// The last two points solved, one list for free solutions, one for those held by limits.
#[derive(Debug, Default)]
pub(crate) struct Neighbours {
    free: [Option<Warm>; 2],
    levers: [Option<Together>; 2],
    /// Next stretch over the last one.
    ratio: Option<f64>,
}

impl Neighbours {
    /// Says how far the next point lies, over the distance of the last two.
    pub(crate) fn go_on(&mut self, ratio: f64) {
        self.ratio = (ratio.is_finite() && ratio.abs() <= FARTHEST).then_some(ratio);
    }

    /// The steady state at the given flows.
    pub(crate) fn solve(
        &mut self,
        k: &Constants<f64>,
        given: &Setting<f64>,
    ) -> Result<Found, Infeasible> {
        let start: Option<Start<2>> = match (self.free, self.ratio) {
            ([Some(last), Some(before)], Some(ratio)) => Some(last.onward(&before.x, ratio)),
            ([last, _], _) => last,
        };
        let found = solve(k, given, start.as_ref())?;
        self.free = [Some(found.warm), self.free[0]];
        Ok(found)
    }

    /// The trimmed state straight from the neighbours' limits, if those still act.
    pub(crate) fn trim(
        &mut self,
        k: &Constants<f64>,
        given: &Setting<f64>,
        bounds: &Bounds,
    ) -> Option<Trimmed> {
        let start = match (self.levers, self.ratio) {
            ([Some(last), Some(before)], Some(ratio)) => last.onward(&before, ratio),
            ([Some(last), _], _) => last,
            _ => return None,
        };
        let trimmed = together::from(k, given, bounds, &start, self.levers())?;
        let opened = given.jacket_flow / trimmed.at.jacket_flow;
        let sure = trimmed.found.state.vapour * opened < SURE * given.vapour_cap();
        if !sure {
            self.levers = [None, None];
        }
        // The free solutions have been passed over: they are no neighbours any more.
        self.free = [None, None];
        sure.then_some(trimmed)
    }

    /// Where the next trimmed state is left.
    pub(crate) fn levers(&mut self) -> &mut Option<Together> {
        self.levers[1] = self.levers[0].take();
        &mut self.levers[0]
    }
}
