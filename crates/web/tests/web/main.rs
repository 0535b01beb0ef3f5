//! The shell around the pages, tested in process and on a real port.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where its helper fails")]

mod access;
mod assets;
mod files;
mod findings;
mod findings_asked;
mod form;
mod frame;
mod guard;
mod help;
mod once;
mod pages;
mod passage;
mod plant_ship;
mod port;
mod practice;
mod procedures;
mod procedures_beside;
mod told;
