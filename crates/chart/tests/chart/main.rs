//! Every picture, from plain and from hostile numbers: well-formed, named, inside its frame.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may fail like tests")]

mod any;
mod flows;
mod maps;
mod passages;
mod size;
mod sound;
mod words;
