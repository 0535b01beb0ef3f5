//! The passage strip: stacked lanes from departure to arrival on the ship's own clock.

mod data;

pub use data::{Joined, PassageStrip, StripLane, StripPoint, Threshold, ThresholdKind, Wash};
