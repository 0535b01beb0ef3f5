//! The decision: when to make water and when to stop, under orders, hands, tanks and prices.

mod actions;
mod answer;
mod below;
pub mod bench;
mod cells;
mod chance;
mod choose;
mod error;
mod field;
mod follow;
mod grid;
mod halt;
mod ladder;
mod mode;
mod outlook;
mod plan;
mod policy;
mod problem;
mod reach;
mod read;
mod remedy;
mod repair;
mod schedule;
mod simulate;
mod solve;
mod standing;
mod steps;
mod supplies;
mod tanks;
mod told;
mod unreached;
mod wide;
mod world;
mod worth;

pub use answer::{Answer, Before, Brief, answer, brief, brief_after};
pub use error::ProblemError;
pub use plan::{Plan, plan};
pub use policy::{Draws, Policy, coverage, policy};
pub use problem::{
    Class, Costs, End, Noise, Problem, Relaxed, Samples, State, Supply, Tank, TankState, UseByClass,
};
pub use remedy::{Remedied, Remedy, remedies};
pub use schedule::Order;
pub use simulate::Bands;
pub use standing::{Changed, Standing, Stands};
pub use tanks::{
    Cannot, Duty, Old, RinsedFrom, Short, TankBands, TankOrder, TankPlan, Waits, Want,
};
pub use told::{Verdict, plainly, sentence, verdict};
pub use unreached::foreseen_t;
pub use worth::{Relax, Worth, binding, worth};
