//! Tests of the water crate, named by the rank of their evidence: `ref_`, `cross_`, `ident_`.
#![allow(clippy::unwrap_used, clippy::panic)] // in tests a broken expectation should stop the test

mod checked;
mod common;
mod identities;
mod published;
mod tables;
