//! Positions, tracks, coast and fields beside what others published and computed.
#![allow(clippy::unwrap_used, clippy::panic)] // in tests a broken expectation should stop the test

mod atlas;
mod coast;
mod common;
mod positions;
mod sea;
mod tracks;
