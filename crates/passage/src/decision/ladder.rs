//! The ladder of prices: the price of being under the reserve raised until it holds, looked for from where it may be.

use super::policy::{Climbed, Draws};
use super::problem::Problem;
use super::solve::Keep;
use super::steps::Steps;

/// Steps of the ladder of prices.
const RUNGS: usize = 3;
/// One more, where the reserve is put before the cost.
const ABOVE: usize = RUNGS;
/// Each rung is so many times the one before.
const RUNG: f64 = 4.0;
/// The first price of the ladder where the problem gives none.
const FIRST_PRICE: f64 = 30.0;

/// Where the rung that holds is looked for first. The rung that is found hangs on it only in that rungs below one that does
/// not hold are taken not to hold either.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Climb {
    /// From the first on, one after the other: where other ladders are climbed at the same time.
    InTurn,
    /// At the first and the last of the three at once: three modes leave a core of two idle a quarter of the time.
    Afresh,
    /// At the price found for much the same passage a while ago, and the one below it.
    From(f64),
}

/// The rungs that have been solved.
pub(super) struct Ladder<'a> {
    problem: &'a Problem,
    steps: &'a Steps,
    draws: Draws,
    prices: [f64; RUNGS + 1],
    rungs: [Option<Climbed<'a>>; RUNGS + 1],
    climb: Climb,
    keep: Keep,
}

impl<'a> Ladder<'a> {
    pub fn new(problem: &'a Problem, steps: &'a Steps, draws: Draws, climb: Climb) -> Self {
        let mut prices = [problem.costs.below_reserve_t_day; RUNGS + 1];
        for rung in 1..=RUNGS {
            let below = prices[rung - 1];
            prices[rung] = if below > 0.0 { below * RUNG } else { FIRST_PRICE };
        }
        prices[ABOVE] = prices[ABOVE - 1].max(FIRST_PRICE) * RUNG;
        // Where many plans are made at once, memory is dearer than what halts save.
        let mended = climb != Climb::InTurn && !problem.tanks.is_empty();
        let keep = if mended { Keep::Halts } else { Keep::Actions };
        Self { problem, steps, draws, prices, rungs: [None, None, None, None], climb, keep }
    }

    /// The least of three prices at which the reserve holds, or the one below where that betters the chance by too little;
    /// where it holds at none, the one from which no dearer betters it by enough.
    pub fn three(mut self) -> Climbed<'a> {
        let top = self.top();
        self.take(top)
    }

    /// The same, and where the reserve does not hold there although nobody is left without, one rung more, if it holds there.
    pub fn three_and_one(mut self) -> Climbed<'a> {
        let last = RUNGS - 1;
        let above = self.climb == Climb::From(self.prices[ABOVE]) && {
            self.solve([last, ABOVE]);
            self.only_above(last)
        };
        let top = if above { last } else { self.top() };
        if above || self.only_above(top) {
            let chance = self.at(top).worst.1;
            let mut found = self.take(self.above(top));
            found.cheaper_chance = Some(chance);
            return found;
        }
        self.take(top)
    }

    /// Whether the reserve does not hold at a rung, nobody being left without, and does at the one above.
    fn only_above(&mut self, rung: usize) -> bool {
        let wanted = !self.at(rung).holds() && !self.at(rung).leaves_short();
        wanted && self.at(self.above(rung)).holds()
    }

    /// The rung that is tried above one that does not hold: not one of prices that are next to nothing.
    fn above(&self, rung: usize) -> usize {
        if self.prices[rung] < FIRST_PRICE { ABOVE } else { rung + 1 }
    }

    /// The rung of three.
    fn top(&mut self) -> usize {
        let last = RUNGS - 1;
        if let Some(least) = self.least() {
            let below = least.checked_sub(1).filter(|below| !self.betters(*below, least));
            return below.unwrap_or(least);
        }
        if self.betters(0, last) {
            return last;
        }
        (0..last).find(|rung| !self.betters(*rung, rung + 1)).unwrap_or(last)
    }

    /// The least of three at which the reserve holds, one below another that does not hold taken not to hold either.
    fn least(&mut self) -> Option<usize> {
        let last = RUNGS - 1;
        match self.climb {
            Climb::InTurn => return (0..RUNGS).find(|rung| self.at(*rung).holds()),
            Climb::Afresh => self.solve([0, last]),
            Climb::From(price) => {
                let known = (1..RUNGS).find(|rung| self.prices[*rung].to_bits() == price.to_bits());
                if let Some(rung) = known {
                    self.solve([rung - 1, rung]);
                    if self.at(rung).holds() && !self.at(rung - 1).holds() {
                        return Some(rung);
                    }
                }
                if self.at(0).holds() {
                    return Some(0);
                }
                self.solve([1, last]);
            }
        }
        (self.at(0).holds().then_some(0)).or_else(|| {
            let holds = self.at(last).holds();
            holds.then(|| if self.at(1).holds() { 1 } else { last })
        })
    }

    /// Solves two rungs at once, as far as they have not been.
    fn solve(&mut self, [one, other]: [usize; 2]) {
        let Self { problem, steps, draws, prices, rungs, keep, .. } = self;
        let at = |rung: usize| {
            rungs[rung]
                .is_none()
                .then(|| Climbed::at(problem, steps, prices[rung], (*draws, *keep)))
        };
        let (first, second) = rayon::join(|| at(one), || at(other));
        for (rung, solved) in [(one, first), (other, second)] {
            if solved.is_some() {
                self.rungs[rung] = solved;
            }
        }
    }

    fn at(&mut self, rung: usize) -> &mut Climbed<'a> {
        let (problem, steps, price) = (self.problem, self.steps, self.prices[rung]);
        let (draws, keep) = (self.draws, self.keep);
        self.rungs[rung].get_or_insert_with(|| Climbed::at(problem, steps, price, (draws, keep)))
    }

    fn take(&mut self, rung: usize) -> Climbed<'a> {
        let price = self.prices[rung];
        let solved = self.rungs[rung].take();
        solved.unwrap_or_else(|| {
            Climbed::at(self.problem, self.steps, price, (self.draws, self.keep))
        })
    }

    /// Whether a dearer rung betters the chance by what each rung to it must be worth.
    fn betters(&mut self, rung: usize, dearer: usize) -> bool {
        let mut next = self.take(dearer);
        let better = self.at(rung).is_worse_by(&mut next, dearer - rung);
        self.rungs[dearer] = Some(next);
        better
    }
}
