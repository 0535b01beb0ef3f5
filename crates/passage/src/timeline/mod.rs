//! From route to timeline: where she is every quarter of an hour, whether water may be made there, how much it would be.

mod area;
mod between;
mod demand;
mod problem;
mod rule;
mod sample;
mod sea;

pub use area::{Area, NoArea};
pub use between::Crossing;
pub use demand::{Demand, Draw, Use};
pub use problem::{Aboard, Prices};
pub use rule::{Caution, Instant, Orders, Rule};
pub use sample::{Hands, Plan, STEP_MIN, Sample, Timeline, TimelineError, timeline};
pub use sea::{Assumed, Make, Near, Sea, Still, Waters};
