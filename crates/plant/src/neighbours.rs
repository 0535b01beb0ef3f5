//! What the last points of a row leave behind for the next: where they were solved, and which limits acted.

use crate::calibrate::Constants;
use crate::error::Infeasible;
use crate::model::Setting;
use crate::solve::{Found, Warm, solve};
use crate::together::{self, Together};
use crate::trim::{Bounds, Trimmed};

/// With its by-pass opened a plant makes no more than in proportion to the jacket flow; under this part of the feed's cap it is
/// sure to have a steady state at the given flow as well.
const SURE: f64 = 0.5;

/// Points a line is drawn through.
const POINTS: usize = 4;

/// The last points solved, one list for free solutions, one for those held by limits.
#[derive(Debug, Clone, Default)]
pub(crate) struct Neighbours {
    free: Option<Warm>,
    free_line: Line,
    levers: Option<Together>,
    lever_line: Line,
    /// Where on the row the next point lies.
    next: Option<f64>,
}

/// The unknowns at the last points of a row, newest last.
#[derive(Debug, Clone, Default)]
struct Line {
    seen: Vec<(f64, [f64; 4])>,
}

impl Line {
    fn leave(&mut self, at: Option<f64>, x: [f64; 4]) {
        let Some(at) = at else { return };
        if self.seen.len() == POINTS {
            self.seen.remove(0);
        }
        self.seen.push((at, x));
    }

    /// The polynomial through the points (Lagrange), at the next; `None` through fewer than two or where it runs off.
    fn foretell(&self, at: Option<f64>) -> Option<[f64; 4]> {
        let at = at?;
        if self.seen.len() < 2 {
            return None;
        }
        let mut sum = [0.0; 4];
        for (i, (t, x)) in self.seen.iter().enumerate() {
            let others = self.seen.iter().enumerate().filter(|(j, _)| *j != i);
            let weight: f64 = others.map(|(_, (other, _))| (at - other) / (t - other)).product();
            for (sum, x) in sum.iter_mut().zip(x) {
                *sum += weight * x;
            }
        }
        // ln of pressure may be anything finite; the vapour and the levers stay above nought.
        let sound =
            sum.iter().all(|x| x.is_finite()) && sum[1] > 0.0 && sum[2] >= 0.0 && sum[3] >= 0.0;
        sound.then_some(sum)
    }
}

impl Neighbours {
    /// Says where on the row the next point lies.
    pub(crate) fn go_to(&mut self, at: f64) {
        self.next = Some(at);
    }

    /// Says that the next points lie anywhere between those seen: they start from the last and are not foretold.
    pub(crate) fn go_anywhere(&mut self) {
        self.next = None;
    }

    /// The steady state at the given flows.
    pub(crate) fn solve(
        &mut self,
        k: &Constants<f64>,
        given: &Setting<f64>,
    ) -> Result<Found, Infeasible> {
        let mut start = self.free;
        if let (Some(start), Some([ln_p, vapour, ..])) =
            (start.as_mut(), self.free_line.foretell(self.next))
        {
            start.x = [ln_p, vapour];
        }
        let found = solve(k, given, start.as_ref())?;
        let [ln_p, vapour] = found.warm.x;
        self.free = Some(found.warm);
        self.free_line.leave(self.next, [ln_p, vapour, 0.0, 0.0]);
        Ok(found)
    }

    /// The trimmed state straight from the neighbours' limits, if those still act.
    ///
    /// # Errors
    /// There is no steady state at the given flows, from which to trim.
    pub(crate) fn trim(
        &mut self,
        k: &Constants<f64>,
        given: &Setting<f64>,
        bounds: &Bounds,
    ) -> Result<Option<Trimmed>, Infeasible> {
        let Some(mut start) = self.levers else { return Ok(None) };
        if let Some(x) = self.lever_line.foretell(self.next) {
            start.set_unknowns(&x);
        }
        let Some((trimmed, end)) = together::from(k, given, bounds, &start) else {
            return Ok(None);
        };
        let opened = given.jacket_flow / trimmed.at.jacket_flow;
        if trimmed.found.state.vapour * opened >= SURE * given.vapour_cap() {
            self.solve(k, given)?;
        }
        self.leave(Some(end));
        Ok(Some(trimmed))
    }

    /// Leaves where a trimmed state was found; nothing where no limit acted.
    pub(crate) fn leave(&mut self, end: Option<Together>) {
        let same = match (&self.levers, &end) {
            (Some(before), Some(now)) => before.moves_the_same(now),
            _ => false,
        };
        if !same {
            self.lever_line.seen.clear();
        }
        if let Some(end) = &end {
            self.lever_line.leave(self.next, end.unknowns());
        }
        self.levers = end;
    }
}
