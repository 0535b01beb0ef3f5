//! Practice through the desk: a cold start by the good hands, wrong orders, marks, two at one run, a reader who goes away.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test ends where its helper fails"
)]

mod beside;
mod matter;
mod runs;
mod ways;

use std::time::Duration;

use desk::Desk;
use desk::practice::{AtStep, BeginError, Far, Handles, Pace, Practising, Way, Wish};
use jiff::Timestamp;
use tempfile::TempDir;

fn at(s: u64) -> Duration {
    Duration::from_secs(s)
}

struct Aboard {
    desk: Desk,
    _folder: TempDir,
}

fn aboard() -> Aboard {
    let folder = TempDir::new().unwrap();
    let now: Timestamp = "2025-11-16T04:20:00Z".parse().unwrap();
    let desk = Desk::open(folder.path(), now).unwrap();
    Aboard { desk, _folder: folder }
}

impl Aboard {
    fn begin(&self, drill: &str) -> u64 {
        let wish = Wish { drill: drill.to_owned(), ..Wish::default() };
        self.desk.begin_practice(&wish, "a", at(0)).expect("begun")
    }

    fn act(&self, id: u64, what: Practising) {
        self.desk.practise(id, "a", &what, at(0)).unwrap_or_else(|e| panic!("{what:?}: {e}"));
    }

    fn refused(&self, id: u64, who: &str, what: &Practising) -> String {
        self.desk.practise(id, who, what, at(0)).expect_err("refused").to_string()
    }

    /// Lets time on to a moment of the run.
    fn on_to(&self, id: u64, to_s: f64) {
        loop {
            let left = to_s - self.time_s(id);
            if left <= 0.0 {
                return;
            }
            self.act(id, Practising::On { minutes: format!("{}", (left / 60.0).min(30.0)) });
        }
    }

    fn time_s(&self, id: u64) -> f64 {
        self.desk.practice_standing(id, "a", at(0)).unwrap().time_s
    }
}

fn turn(valve: &str, to: &str) -> Practising {
    Practising::Turn { valve: valve.to_owned(), to: Far::To(to.to_owned()) }
}

fn pump(pump: &str, run: bool) -> Practising {
    Practising::Pump { pump: pump.to_owned(), run }
}

fn switch(switch: &str, to: &str) -> Practising {
    Practising::Switch { switch: switch.to_owned(), to: to.to_owned() }
}

/// The order of the trade (common practice), with the waits it asks for.
fn good_start(aboard: &Aboard, id: u64) {
    good_start_with(aboard, id, true);
}

fn good_start_with(aboard: &Aboard, id: u64, vented: bool) {
    for (valve, s) in [("overboard", 0.0), ("pump suction", 20.0), ("pump discharge", 40.0)] {
        aboard.on_to(id, s);
        aboard.act(id, turn(valve, "100"));
    }
    aboard.on_to(id, 60.0);
    aboard.act(id, turn("feed", "0"));
    aboard.act(id, pump("cooling", true));
    aboard.on_to(id, 120.0);
    aboard.act(id, pump("ejector", true));
    aboard.on_to(id, 840.0);
    aboard.act(id, turn("feed", "100 %"));
    aboard.act(id, switch("antiscalant", "on"));
    aboard.act(id, switch("salinometer", "on"));
    aboard.on_to(id, 1020.0);
    aboard.act(id, turn("jacket outlet", "100"));
    if vented {
        aboard.act(id, turn("jacket vent", "100"));
    }
    for (step, percent) in [10, 25, 40, 55, 70, 85, 100].into_iter().enumerate() {
        aboard.on_to(id, 1080.0 + 100.0 * step as f64);
        aboard.act(id, turn("jacket inlet", &percent.to_string()));
        if step == 1 {
            aboard.act(id, turn("jacket vent", "0"));
        }
    }
    aboard.act(id, pump("distillate", true));
    for (step, percent) in [92, 84, 76, 68, 60, 50, 35, 0].into_iter().enumerate() {
        aboard.on_to(id, 1800.0 + 120.0 * step as f64);
        aboard.act(id, turn("jacket by-pass", &percent.to_string()));
    }
    aboard.on_to(id, 3600.0);
    aboard.act(id, turn("tank filling", "100"));
    aboard.act(id, switch("diverting valve", "auto"));
}
