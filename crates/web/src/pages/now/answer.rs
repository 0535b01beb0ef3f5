//! The sentence on output against expectation, and what else the reader must know first.

use desk::before::Before;
use desk::now::{NowView, Verdict};
use desk::procedures::ByList;
use desk::round::Across;
use desk::typed::digits;
use desk::view::{Band, Compared, State};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::parts::{self, fig};
use crate::paths::Page;
use crate::shiptime;

use super::runs;

/// The first entry of the page.
pub(super) fn entry(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    let then = html! {
        // Before anything a round said: what is done about now.
        (runs::under_way(view, clock, now))
        @let old = stale(view, now);
        @let quality = quality(view, old, (clock, now));
        // Out of limit it stands in the first line.
        @if !quality.is_empty() && (old || !out_of_limit(view) || !matches!(view.verdict, Verdict::Running { .. })) { p.then { (quality) } }
        // What asks something comes before what only explains.
        @for ask in &view.asks { (asked(ask)) }
        @let engine = engine(view, old);
        @if !engine.is_empty() { p.then { (engine) } }
        @if let Some(next) = next(view) { p.then { (next) } }
        (due(view, clock, now))
        @for beyond in &view.beyond { p.then { (beyond) } }
    };
    let enter = format!("Enter the {} readings", shiptime::short(clock, view.due, now));
    let enter = if view.verdict == Verdict::NothingRead {
        "Enter the first readings".to_owned()
    } else if stopped(view) || stale(view, now) || view.due.as_second() - now.as_second() > SOON_S {
        "Enter readings".to_owned()
    } else {
        enter
    };
    let acts = parts::acts(html! {
        (parts::act(Page::Readings.path(), &enter, true))
        (parts::act(Page::Plant.path(), "What would it take?", false))
    });
    parts::answer(
        "Are we making what we should?",
        says(view, clock, now),
        then,
        acts,
        note(view, clock, now),
    )
}

fn says(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    match &view.verdict {
        Verdict::NothingRead => html! { "Nothing has been read yet." },
        Verdict::ShutDown { .. } if view.by_list.is_some() => by_list(view, clock, now),
        Verdict::ShutDown { since: Some(since) } => {
            html! { "Shut down since " (fig(&shiptime::short(clock, *since, now), "")) "." }
        }
        Verdict::ShutDown { since: None } => {
            html! { "Shut down: no round of the plant’s own readings yet." }
        }
        Verdict::Unknown { made: Some(made), .. } => html! {
            "Making " (fig(&digits(*made, 1), "t/day")) "; what it should be cannot be said."
        },
        Verdict::Unknown { made: None, .. } => html! { "What is being made cannot be said yet." },
        Verdict::Across { counted, .. } => across(counted, clock, now),
        Verdict::Running { made, should } => {
            let round = view.round.as_ref().filter(|_| stale(view, now));
            match round {
                Some(round) => html! {
                    "Last read " (shiptime::dated(clock, round.at)) ": made "
                    (fig(&digits(*made, 1), "t/day")) " where " span.nb { (band(*should)) } " was expected."
                },
                None => running(*made, *should, salt_out(view)),
            }
        }
    }
}

/// What the counter ran over a start or a stand: how much, and that no pace is told by it.
fn across(counted: &Across, clock: &ShipClock, now: Timestamp) -> Markup {
    let time = |at: Timestamp| shiptime::short(clock, at, now);
    let between = match counted.switch {
        Some((at, true)) => format!("started {}", time(at)),
        Some((at, false)) => format!("stopped {}", time(at)),
        None => "it stood".to_owned(),
    };
    match counted.made_t {
        Some(made_t) => html! {
            "Made since " (time(counted.since)) ": " (fig(&digits(made_t, 1), "t")) ", " (between) " in between; the next round tells."
        },
        None => {
            html! { (capital(&between)) ", after the counter was last read, " (time(counted.since)) "; the next round tells." }
        }
    }
}

fn capital(clause: &str) -> String {
    let mut signs = clause.chars();
    let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", signs.as_str())
}

/// How the plant stands by a list that was followed since the last round.
fn by_list(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    let time = |at: &Timestamp| shiptime::short(clock, *at, now);
    match &view.by_list {
        Some(ByList::Stopped { at, name }) => {
            html! { "Stopped " (fig(&time(at), "")) " by the list " (name) "." }
        }
        Some(ByList::Starting { since, name, run, done, steps }) => html! {
            a href={ (Page::Procedures.path()) "/run?id=" (run) } { (name) } " is under way since " (time(since)) ", "
            (fig(&done.to_string(), &format!("of {steps} steps"))) "."
        },
        Some(ByList::Both { names, runs, .. }) => html! {
            @for (i, (name, run)) in names.iter().zip(runs).enumerate() { @if i > 0 { " and " } a href={ (Page::Procedures.path()) "/run?id=" (run) } { (name) } }
            " are both under way: what is so? Read a round."
        },
        None => html! {},
    }
}

/// So long before a round is due its readings may as well be taken, seconds.
const SOON_S: i64 = 3600;

/// Readings older than this tell of the past, seconds.
const STALE_S: i64 = 26 * 3600;

fn stale(view: &NowView, now: Timestamp) -> bool {
    let read = view.newer.or(view.round.as_ref().map(|round| round.at));
    read.is_some_and(|at| now.as_second() - at.as_second() > STALE_S)
}

fn band(should: Band) -> String {
    format!("{} ± {}", digits(should.middle, 1), digits(should.half(), 1))
}

/// Whether the salinity last read is past the ship's limit.
pub(super) fn out_of_limit(view: &NowView) -> bool {
    row(view, "product_salt_mg_kg").is_some_and(|row| row.state == State::PastLimit)
}

/// The salinity and its limit, where it is past it.
fn salt_out(view: &NowView) -> Option<String> {
    let row = row(view, "product_salt_mg_kg").filter(|_| out_of_limit(view))?;
    Some(format!(
        "{} {} where {} is the most",
        row.text(row.read?),
        row.unit,
        row.text(row.gates.high?)
    ))
}

fn running(made: f64, should: Band, salt_out: Option<String>) -> Markup {
    let band = band(should);
    let figure = fig(&digits(made, 1), "t/day");
    // Of the two figures as they stand in the sentence, so that it adds up.
    let tenths = |x: f64| (10.0 * x).round();
    let apart = (tenths(made) - tenths(should.middle)).abs() / 10.0;
    if let Some(salt) = salt_out {
        return html! { "Making " (figure) " of water out of limit, " (salt) ": none of it to a tank. " span.nb { (band) } " expected." };
    }
    if should.holds(made) {
        return html! { "Making " (figure) ", as it should: " span.nb { (band) } " expected." };
    }
    let side = if made < should.middle { "less" } else { "more" };
    html! {
        "Making " (figure) ", " (digits(apart, 1)) " " (side) " than the " span.nb { (band) }
        " this sea and this jacket water should give."
    }
}

fn row<'a>(view: &'a NowView, key: &str) -> Option<&'a Compared> {
    view.rows.iter().find(|row| row.key == key)
}

/// Salinity in or out of limit, with its figure. Nothing is said of what the water is fit for.
fn quality(view: &NowView, old: bool, (clock, now): (&ShipClock, Timestamp)) -> String {
    let Some(row) = row(view, "product_salt_mg_kg") else { return String::new() };
    if let Some(Before { switch: (at, on), salt }) = view.before.filter(|_| row.read.is_none()) {
        let what = if on { "started" } else { "stopped" };
        let at = shiptime::short(clock, at, now);
        let was = salt.map_or_else(String::new, |(read, salt)| {
            let read = shiptime::short(clock, read, now);
            format!(" It was {} {} at {read}, before that.", row.text(salt), row.unit)
        });
        return format!("Salinity has not been read since she was {what}, {at}.{was}");
    }
    let Some(read) = row.read else { return "Salinity was not read in this round.".to_owned() };
    let figure = format!("{} {}", row.text(read), row.unit);
    let limit =
        row.gates.high.map(|high| format!(", limit {}", row.text(high))).unwrap_or_default();
    let in_doubt = runs::salt_alarm(view).is_some() && row.state != State::PastLimit;
    match row.state {
        _ if in_doubt => format!(
            "Salinity in doubt: the salinometer read {figure}{limit}; nothing goes to a tank until the hand meter agrees."
        ),
        State::PastLimit => format!("Salinity out of limit: {figure}{limit}."),
        _ if old => format!("Salinity was in limit: {figure}{limit}."),
        _ => format!("Salinity in limit: {figure}{limit}."),
    }
}

/// What the engine gives up.
fn engine(view: &NowView, old: bool) -> String {
    let Some(taken) = view.heat_taken_kw else { return String::new() };
    let should =
        view.heat_should_kw.map(|b| format!(", should be {:.0} ± {:.0}", b.middle, b.half()));
    let spare = view.heat_spare_kw.map(|kw| format!("; at its load it can spare {kw:.0} kW"));
    let is = if old { "was" } else { "is" };
    format!(
        "{taken:.0} kW {is} taken from the engine{}{}.",
        should.unwrap_or_default(),
        spare.unwrap_or_default()
    )
}

/// How to get to an answer where there is none.
fn next(view: &NowView) -> Option<String> {
    match &view.verdict {
        Verdict::NothingRead => Some(
            "Take one round of readings: as soon as jacket and sea temperature are typed, what each figure \
             should be stands beside it. Output follows from the second counter reading."
                .to_owned(),
        ),
        Verdict::Unknown { why, .. } => Some(parts_sentence(why)),
        _ => None,
    }
}

fn parts_sentence(clause: &str) -> String {
    let stop = if clause.ends_with('.') { "" } else { "." };
    format!("{}{stop}", capital(clause))
}

/// Whether she is shut down or on her way up: no round of a running plant is due.
fn stopped(view: &NowView) -> bool {
    matches!(view.verdict, Verdict::ShutDown { .. })
}

/// The reading due: when, or since when.
fn due(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    if view.verdict == Verdict::NothingRead || matches!(view.by_list, Some(ByList::Both { .. })) {
        return html! {};
    }
    if stopped(view) {
        return html! { p.then { "No round of a running plant is due: the next falls due after the start." } };
    }
    let at = shiptime::short(clock, view.due, now);
    let apart = now.as_second() - view.due.as_second();
    html! { p.then {
        @if apart > 60 {
            span.asks { "Readings overdue:" } " the " (at) " round, for " (shiptime::lasting(apart)) "."
        } @else {
            "Next readings due " (at) " ship’s time, in " (shiptime::lasting(-apart)) "."
        }
    } }
}

/// What asks something, in red ink up to its colon.
fn asked(ask: &str) -> Markup {
    html! { p.then {
        @match ask.split_once(": ") {
            Some((lead, rest)) => { span.asks { (lead) ":" } " " (rest) }
            None => span.asks { (ask) }
        }
    } }
}

fn note(view: &NowView, clock: &ShipClock, now: Timestamp) -> Markup {
    html! {
        @if let Some(round) = &view.round {
            p {
                "Read " b { (shiptime::short(clock, round.at, now)) } " by " (round.actors.join(", "))
                @if let Some(before) = &view.before { ", before the " (if before.switch.1 { "start" } else { "stop" }) " at " (shiptime::short(clock, before.switch.0, now)) ": nothing of it is told as it is now" }
                "."
            }
            @if let Some(newer) = view.newer { p { "Some figures are of " b { (shiptime::short(clock, newer, now)) } "." } }
        }
        @if matches!(view.verdict, Verdict::Running { .. }) {
            p { "±: nine times in ten. Here the counter’s own error is in it, larger the shorter it was read; on Readings and Plant only the plant’s is." }
        }
        p { "Pencil: expected." br; "Ink: read." br; span.red { "Red ink: asks something of you." } }
    }
}
