//! Lists under way in a line each, and what one that was given up left open.

use desk::now::NowView;
use desk::procedures::{LeftOpen, Sort, UnderWay};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::paths::Page;
use crate::shiptime;

/// Key of the list that is followed when the salinity is in doubt.
const SALT_ALARM: &str = "salinity-alarm";

/// Every run under way, then those that were left open.
pub(super) fn under_way(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    html! {
        @for run in &view.under_way { (one(run, clock, now)) }
        @for left in &view.left_open { (left_open(left, clock, now)) }
    }
}

/// The list for a salinity in doubt, where it is under way.
pub(super) fn salt_alarm(view: &NowView) -> Option<&UnderWay> {
    view.under_way.iter().find(|run| run.key == SALT_ALARM)
}

fn named(run: u64, name: &str) -> Markup {
    html! { a href={ (Page::Procedures.path()) "/run?id=" (run) } { (name) } }
}

fn one(run: &UnderWay, clock: &ShipClock, now: Timestamp) -> Markup {
    let time = |at| shiptime::short(clock, at, now);
    html! { p.then {
        span.asks[run.sort == Sort::Emergency] { "Under way:" } " " (named(run.run, &run.name)) ", " (run.step)
        ", led by " (run.led_by) ", since " (time(run.since)) ", "
        @match run.ticked { Some(at) => { "last ticked " (time(at)) }, None => "nothing ticked yet" } "."
    } }
}

fn left_open(left: &LeftOpen, clock: &ShipClock, now: Timestamp) -> Markup {
    let time = |at| shiptime::short(clock, at, now);
    html! { p.then {
        span.asks { "Left open:" } " " (named(left.run, &left.name)) ", given up " (time(left.at)) " by " (left.by)
        " after " (left.done) " of " (left.steps) " steps. "
        @match left.heat {
            Some((true, at)) => { "By its ticks heat is on since " (time(at)) "; " }
            Some((false, at)) => { "By its ticks the heat is off since " (time(at)) "; " }
            None => "By its ticks nothing was done to the heat; ",
        }
        "not done: " (left.open.join(", ")) @if left.more > 0 { " and " (left.more) " more" } ". "
        b { "Way out: " } (left.way_out)
    } }
}
