//! One function per question a person asks, returning plain values for page, terminal and report.
//!
//! The only place that joins the plant, the record and the ship's own figures. No HTML, no terminal, no HTTP.

pub mod accuracy;
mod always;
pub mod balance;
pub mod before;
mod beside;
pub mod capacity;
pub mod conditions;
pub mod correct;
pub mod demo;
mod desk;
pub mod doubts;
pub mod due;
pub mod entry;
pub mod expected;
pub mod export;
pub mod field;
pub mod figure;
pub mod findings;
pub mod foretold;
mod history;
pub mod import;
mod impossible;
mod incoming;
pub mod instrument;
mod keep;
pub mod lines;
mod mended;
pub mod moment;
pub mod now;
pub mod passage;
pub mod plausible;
pub mod practice;
pub mod procedures;
mod remembered;
pub mod restore;
pub mod round;
mod series;
pub mod setup;
pub mod ship;
pub mod ship_page;
pub mod switched;
pub mod told;
pub mod typed;
pub mod view;
pub mod waters;
pub mod whatif;
pub mod written;

pub use desk::{Desk, DeskError, RECORD_FILE, SHIP_FILE, SignError, Signed};
pub use setup::Setup;
