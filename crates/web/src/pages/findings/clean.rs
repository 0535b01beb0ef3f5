//! When to clean: how a deposit grows, the day its limit is passed, and the day that costs least.

use chart::{Ids, Lane, Lanes, Limit, Remark, Span};
use desk::findings::{CleaningLine, FindingsView, GrowthLine, Lately};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};
use crate::paths::Page;
use crate::shiptime;

use super::{Shown, capital};

/// The pictures go on so many days from the last round.
const AHEAD_S: f64 = 120.0 * 86_400.0;
/// Waiting that saves less than this part of the least cost is not worth it.
const SAVES: f64 = 0.05;
/// Rows of the folded table stand so many points of the curve apart.
const STEP: usize = 10;

pub(super) fn entry(shown: &Shown, view: &FindingsView) -> Markup {
    if let Some(what) = &view.held {
        let why = html! { "No day is reckoned from readings that contradict each other: read " (what) " again." };
        return parts::entry("When to clean", html! {}, parts::quiet("No day can be said", why));
    }
    // Whatever span is asked about, a deposit is told by all rounds since the cleaning.
    let view = match &shown.cleaned {
        None => view,
        Some(Lately::Found(view) | Lately::Before(view)) => view,
        Some(_) => {
            let why = html! { a href=(Page::Findings.path()) { "The rounds since the last cleaning" } " tell it." };
            return parts::entry(
                "When to clean",
                html! {},
                parts::quiet("Told by all rounds since the last cleaning", why),
            );
        }
    };
    if view.growth.is_empty() {
        let why = html! { "It takes six rounds over two days since the last cleaning to say how fast a deposit grows." };
        return parts::entry("When to clean", html! {}, parts::quiet("Too few rounds", why));
    }
    let mut lines: Vec<&GrowthLine> = view.growth.iter().collect();
    // What surely grows comes first.
    lines.sort_by(|a, b| b.rate.low.total_cmp(&a.rate.low));
    let note = html! {
        p { "By all rounds since each part was cleaned." }
        p { b { "Before opening:" } " heat off, shell under 40 °C, vacuum broken, sea valves shut and tagged." }
        p { "Clean where the plant is off anyway, at anchor or in port, and not in the days before the holds are washed." }
    };
    let body = html! {
        @for line in lines { (one(shown, view, line)) }
        @for (key, words, at) in shown.told.deposits_cleaned() { @if view.growth.iter().all(|line| line.key != key) {
            h3 { (capital(&words)) }
            p { "Cleaned " (view.day(at)) ". It takes six rounds over two days since then to say how fast it grows." }
        } }
        (parts::caution("Caution.", html! { "The shell stays hot and under vacuum long after the heat is off. Acid needs goggles, gloves, ventilation and a second person; acid and hypochlorite never share a job." }))
        (parts::details("How this was computed", html! {
            p { "The growth is that of the end of the rounds, carried on in a line. What the deposit costs is worked out with the plant as the findings have it, with more and less of it. Cleaned at the same age for ever, she costs so much a day on average: the cleaning, the water not made while she stands, and the output lost meanwhile. The least of that curve is the day." }
            p { "Prices are on the page " a href="/ship" { "Ship" } ": a cleaning, the hours she stands for it, a tonne at the end." }
        }))
    };
    parts::entry("When to clean", note, body)
}

fn one(shown: &Shown, view: &FindingsView, line: &GrowthLine) -> Markup {
    let grows = line.grows();
    let past = line.crossed[0].is_some_and(|at| at <= view.until);
    html! {
        h3 { (capital(&line.words)) }
        @if let Some(clean) = line.cleaning.as_ref().filter(|_| line.tells_a_day()) { p.then { b { (clean.advice(view, &shown.stands)) } } }
        p { (line.says()) " " @if grows { (crossed(view, line)) } }
        @if let Some(clean) = line.cleaning.as_ref().filter(|_| line.tells_a_day()) { (reckoned(shown, view, clean, past)) }
        @if grows {
            (parts::picture(&chart::lanes(&mut Ids::new(&line.key), &picture(shown, view, line)), &line.begins(view)))
            (parts::details("As a table", table(view, line)))
        }
    }
}

fn crossed(view: &FindingsView, line: &GrowthLine) -> String {
    match line.crossed {
        [Some(at), ..] if at <= view.until => "It is past its limit already.".to_owned(),
        [Some(at), early, late] => format!(
            "At this rate it passes its limit about {} ({} to {}).",
            view.day(at),
            early.map_or("now".to_owned(), |at| view.day(at)),
            late.map_or("later than a year".to_owned(), |at| view.day(at))
        ),
        [None, ..] => "It does not pass its limit within a year.".to_owned(),
    }
}

fn reckoned(shown: &Shown, view: &FindingsView, clean: &CleaningLine, past: bool) -> Markup {
    html! {
        p {
            @if clean.due { "The day that costs least has passed." }
            @else { "It costs least to clean about " span.nb { (view.day(clean.best)) } ", " span.nb { (clean.money(clean.cost_day)) } " a day; from " (view.day(clean.within.0)) " to " (view.day(clean.within.1)) " at most a twentieth more." }
            @if past && !clean.due { " " (waits(clean)) }
            @if let Some(late) = clean.between.1 { " By the band of its growth the day lies between " (view.day(clean.between.0)) " and " (view.day(late)) "." }
        }
        (stops(shown, view, clean))
        (parts::details("Reckoned with", html! { p {
            "Costs are money a day, on average over the years from cleaning to cleaning. Reckoned with " (format!("{:.0} {}", clean.cleaning, clean.currency)) " a cleaning"
            @if clean.usual_price { " (a usual price, not yet hers: " a href="/ship" { "set it" } ")" }
            ", " (format!("{:.1} {}", clean.water_t, clean.currency)) " a tonne not made, " (format!("{:.0}", clean.standing_h)) " hours standing, running " (format!("{:.0}", 100.0 * clean.running)) " % of the time. "
            @if clean.loss_t_day >= 0.05 { "Cleaning it alone, the other causes left, brings back " (format!("{:.1}", clean.loss_t_day)) " t/day of water now while she runs, " (clean.money(clean.loss_t_day * clean.water_t * clean.running)) " a day." }
            @else { "No loss that shows now." }
            @match clean.cleaned { Some(at) => { " Last cleaned " (view.day(at)) "." } None => { " No cleaning stands in the record: reckoned as if it had grown from clean at today’s rate." } }
        } }))
    }
}

/// The stops of the route ahead, with what a day costs if it is cleaned there, beside the cheapest day.
fn stops(shown: &Shown, view: &FindingsView, clean: &CleaningLine) -> Markup {
    let stops = clean.stops(&shown.stands);
    if stops.is_empty() {
        return html! {};
    }
    let unit = format!("{} a day", clean.currency);
    let table = Table::new("Where the plant stands anyway", "Cleaned")
        .words("When")
        .numbers("Costs", &unit);
    let least: [Cell; 2] = [view.day(clean.best).into(), format!("{:.1}", clean.cost_day).into()];
    let rows = stops.iter().map(|stop| {
        let cells: [Cell; 2] = [
            stop.stand.when().into(),
            stop.cost_day.map_or("–".to_owned(), |cost| format!("{cost:.1}")).into(),
        ];
        let row = Row::new(
            html! { (stop.stand.name) @if stop.cheapest { " " small.muted { "cheapest stop" } } },
            cells,
        );
        if stop.cheapest { row.on() } else { row }
    });
    html! { (table.rows(rows.chain([Row::new(html! { "The day that costs least" }, least)]))) }
}

/// Past its limit, and the cheapest day still ahead: what waiting saves.
fn waits(clean: &CleaningLine) -> String {
    let now = clean.curve.first().map_or(clean.cost_day, |(_, cost)| *cost);
    let saved = now - clean.cost_day;
    let money = &clean.currency;
    if saved < SAVES * clean.cost_day {
        return format!(
            "It is past its limit, and waiting saves next to nothing: cleaned now a day costs {now:.1} {money}, on that day {:.1}.",
            clean.cost_day
        );
    }
    format!(
        "It is past the limit from which it is worth a look, and yet waiting pays: cleaned now a day costs {now:.1} {money}, on that day {:.1}. Only where the water is missed before then, take an earlier stop.",
        clean.cost_day
    )
}

fn picture(shown: &Shown, view: &FindingsView, line: &GrowthLine) -> Lanes {
    let until_s = view.until.as_second() as f64;
    let from_s = line.course.first().map_or(until_s, |point| point.0);
    let span = Span { from_s, to_s: until_s + AHEAD_S };
    let deposit = Lane {
        name: "Deposit".to_owned(),
        unit: "10⁻⁴ m²K/W".to_owned(),
        decimals: 2,
        expected: line
            .course
            .iter()
            .map(|(at_s, band)| chart::Expected {
                at_s: *at_s,
                middle: band.middle,
                band: Some(chart::Band { low: band.low, high: band.high }),
            })
            .collect(),
        limits: vec![Limit { value: line.limit, label: format!("limit {:.2}", line.limit) }],
        tall: true,
        worked_out: true,
        ..Lane::default()
    };
    let mut lanes = vec![deposit];
    if let Some(clean) = &line.cleaning {
        let best_s = clean.best.as_second() as f64;
        lanes.push(Lane {
            name: "Cost of a day".to_owned(),
            unit: clean.currency.clone(),
            decimals: 1,
            expected: clean
                .curve
                .iter()
                .filter(|(at_s, _)| *at_s <= span.to_s)
                .map(|(at_s, cost)| chart::Expected { at_s: *at_s, middle: *cost, band: None })
                .collect(),
            remarks: vec![Remark {
                at_s: best_s,
                text: format!("least, {}", view.short_day(clean.best)),
            }],
            worked_out: true,
            ..Lane::default()
        });
    }
    Lanes {
        title: format!("{}: growth, and when to clean", capital(&line.words)),
        says: "How the deposit went over the rounds and goes on, with its limit; below, what a day costs over the years if it is cleaned on that day.".to_owned(),
        span,
        now_s: Some(shown.now.as_second() as f64),
        clock: shiptime::of_picture(&shown.clock, span),
        stopped: Vec::new(),
        lanes,
    }
}

fn table(view: &FindingsView, line: &GrowthLine) -> Markup {
    let day = |at_s: f64| {
        Timestamp::from_second(at_s as i64).map_or_else(|_| String::new(), |at| view.day(at))
    };
    let course =
        Table::new("The deposit", "Day").numbers("Middle", "10⁻⁴ m²K/W").words("Nine in ten");
    let rows = line.course.iter().step_by(3).map(|(at_s, band)| {
        let cells: [Cell; 2] = [
            format!("{:.2}", band.middle).into(),
            format!("{:.2} to {:.2}", band.low, band.high).into(),
        ];
        Row::new(html! { (day(*at_s)) }, cells)
    });
    let cost = line.cleaning.as_ref().map(|clean| {
        let rows = clean.curve.iter().step_by(STEP).map(|(at_s, cost)| {
            Row::new(html! { (day(*at_s)) }, [Cell::from(format!("{cost:.1}"))])
        });
        Table::new("Average cost, if cleaned then", "Day")
            .numbers("Cost", &format!("{} a day", clean.currency))
            .rows(rows)
    });
    html! { (course.rows(rows)) @if let Some(cost) = cost { (cost) } }
}
