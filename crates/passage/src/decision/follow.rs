//! The program followed forward with nothing scattering: the path on the grid.

use super::actions::{Asked, GO, RETRIM};
use super::mode::Place;
use super::problem::{Problem, State};
use super::schedule::{Doing, Schedule};
use super::solve::Solution;
use super::steps::Steps;

/// The plant while a policy is followed: what it does now, and how long still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Following {
    pub state: State,
}

/// What began with a step, for those who count the cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Begun {
    Nothing,
    Start,
    Retrim,
    Stop { callout: bool },
}

/// Who is there now, by the clock.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hands {
    pub now: bool,
    pub start: bool,
    pub stop: bool,
    /// The ship is where the plan has her at this hour.
    pub on_time: bool,
}

impl Following {
    /// The state as the program's rows have it.
    pub fn place(self) -> Place {
        match self.state {
            State::Off => Place::Off(0),
            State::Starting { left } => Place::Ready(left),
            State::Making { trim } => Place::Making(trim),
            State::Stopping { left } => Place::Off(left),
        }
    }

    /// Decides at a place and answers what is done in the step; the state becomes that after the step. `act` is the policy's
    /// answer there.
    #[inline]
    pub fn decide(
        &mut self,
        steps: &Steps,
        k: usize,
        hands: Hands,
        act: impl FnOnce(Asked) -> u8,
    ) -> (Doing, Begun) {
        // A stop that has ended is off, a start that has ended is ready: both decide now.
        if self.state == (State::Stopping { left: 0 }) {
            self.state = State::Off;
        }
        match self.state {
            State::Off => {
                let go = hands.start && steps.may_start[k] && act(Asked::Off) == GO;
                if !go {
                    return (Doing::Off, Begun::Nothing);
                }
                self.state = State::Starting { left: steps.start - 1 };
                (Doing::Starting, Begun::Start)
            }
            State::Starting { left: 0 } => {
                if !steps.allowed[k] {
                    return self.stop(steps, k, hands);
                }
                let trim = usize::from(act(Asked::Ready));
                self.state = State::Making { trim };
                (Doing::Making(trim), Begun::Nothing)
            }
            State::Starting { left } => {
                self.state = State::Starting { left: left - 1 };
                (Doing::Starting, Begun::Nothing)
            }
            State::Making { trim } => {
                if !steps.allowed[k] {
                    return self.stop(steps, k, hands);
                }
                let asked = if hands.now { Asked::Manned(trim) } else { Asked::Unmanned(trim) };
                match act(asked) {
                    // The plan's own clock asks for this stop. Hers has no hands for it, and may have them before
                    // she must stop: it waits.
                    GO if !hands.on_time && !hands.stop => (Doing::Making(trim), Begun::Nothing),
                    GO => self.stop(steps, k, hands),
                    act if act >= RETRIM => {
                        let trim = usize::from(act - RETRIM);
                        self.state = State::Making { trim };
                        (Doing::Making(trim), Begun::Retrim)
                    }
                    _ => (Doing::Making(trim), Begun::Nothing),
                }
            }
            State::Stopping { left } => {
                self.state = State::Stopping { left: left - 1 };
                (Doing::Stopping, Begun::Nothing)
            }
        }
    }

    fn stop(&mut self, steps: &Steps, k: usize, hands: Hands) -> (Doing, Begun) {
        self.state = State::Stopping { left: steps.stop - 1 };
        (Doing::Stopping, Begun::Stop { callout: !(hands.stop && steps.run_stop[k]) })
    }
}

/// The schedule of the program in the middle mode, on the grid.
#[allow(clippy::needless_range_loop, reason = "a step's number is what everything is looked up by")]
pub(super) fn follow(problem: &Problem, steps: &Steps, solution: &Solution) -> Schedule {
    let (grid, mode) = (&solution.grid, solution.outlook.middle());
    let mut taken_t = vec![0.0; problem.supply.len()];
    let mut doing = Vec::with_capacity(steps.n);
    let mut plant = Following { state: problem.state };
    let mut cell = grid.start;
    let mut rules = solution.rules[mode].iter().peekable();
    let made = solution.made(steps);
    for k in 0..steps.n {
        while let Some(rule) = rules.next_if(|rule| problem.supply[rule.index].at == k) {
            let cells = rule.at(plant.place(), cell);
            cell += cells;
            taken_t[rule.index] = f64::from(cells) * grid.cell;
        }
        let hands = Hands {
            now: steps.manned[k],
            start: steps.hands_start[k],
            stop: steps.hands_stop[k],
            on_time: true,
        };
        let before = plant.state;
        let act = |asked| solution.actions[mode].at(k, asked, cell);
        let (done, begun) = plant.decide(steps, k, hands, act);
        doing.push(done);
        if let Doing::Making(trim) = done {
            // The cell that the program gave away.
            let given = begun == Begun::Retrim || !matches!(before, State::Making { .. });
            cell += made[trim][k] - i32::from(given);
        }
        cell = cell.clamp(grid.lo[k + 1], grid.hi[k + 1]);
    }
    Schedule { doing, taken_t }
}
