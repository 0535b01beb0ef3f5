//! Procedures from outside: their texts, their guards, their runs.

#![allow(clippy::expect_used, clippy::panic, reason = "helpers of tests may fail like tests")]

mod file;
mod guard;
mod help;
mod run;
mod usual;
