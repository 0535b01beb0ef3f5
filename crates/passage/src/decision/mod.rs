//! The decision: when to make water and when to stop, under orders, hands, tanks and prices.

mod actions;
mod cells;
mod chance;
mod choose;
mod error;
mod field;
mod follow;
mod grid;
mod mode;
mod outlook;
mod plan;
mod policy;
mod problem;
mod read;
mod schedule;
mod simulate;
mod solve;
mod steps;
mod supplies;
mod world;

pub use error::ProblemError;
pub use plan::{Plan, plan};
pub use policy::{Draws, Policy, policy};
pub use problem::{
    Class, Costs, End, Noise, Problem, Relaxed, Samples, State, Supply, Tank, TankState, UseByClass,
};
pub use schedule::Order;
pub use simulate::Bands;
