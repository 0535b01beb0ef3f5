//! Findings from readings: the trade's cases, single sets and histories, readings that cannot be.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod cases;
mod contradictions;
mod histories;
mod impossible;
mod plant_at;
mod sampled;
