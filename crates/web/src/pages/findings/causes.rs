//! The causes, likeliest first, with what each costs.

use chart::Ids;
use desk::findings::{CauseLine, FindingsView, Fresh, Missing, in_hundred};
use maud::{Markup, PreEscaped, html};

use crate::parts::{self, Cell, Row, Table};
use crate::paths::Page;

use super::capital;

/// From this chance on a row is one the page is about.
const ON: f64 = 0.5;

pub(super) fn entry(view: &FindingsView) -> Markup {
    let mut ids = Ids::new("share");
    if let Some(what) = &view.held {
        return held(view, what);
    }
    let missing = view.missing.as_ref();
    let costs =
        missing.map_or("Costs".to_owned(), |m| format!("Costs of the {:.1}", m.short_t_day));
    let headed = |name: &str| {
        Table::new("", name)
            .numbers("Past its limit", "in 100")
            .numbers("Came within", "in 100")
            .numbers(&costs, "t/day")
            .numbers("Cured alone", "t/day")
    };
    let fresh = view.fresh.iter().flat_map(|fresh| {
        fresh.lines.iter().map(|line| new(view, fresh, line)).collect::<Vec<_>>()
    });
    let (noise, told): (Vec<&CauseLine>, Vec<&CauseLine>) =
        view.causes.iter().filter(|cause| !is_new(view, cause)).partition(|c| is_noise(c));
    let rows = told.into_iter().map(|cause| row(&mut ids, view, cause));
    let rows: Vec<Row> = fresh.chain(rows).chain(missing.and_then(rest)).collect();
    let none = rows.is_empty();
    let noise: Vec<Row> = noise.into_iter().map(|cause| row(&mut ids, view, cause)).collect();
    let families = view.families.iter().filter(|(_, p)| *p >= 0.2);
    let note = html! {
        p { "Past its limit: the chance that it has reached the point where something is to be done." }
        p { "Came within: the chance that it came in these rounds. " }
        p { "Costs: each cause’s part of the output lost; they add up. Cured alone: what she makes more when that one is cured and the others stay. Causes shade one another, so the two differ by some tenths." }
        p { "–: no loss that shows." }
        p { "A deposit is told by the part of the clean heat transfer that it takes away at the rated point." }
    };
    parts::entry(
        "Causes, likeliest first",
        note,
        html! {
            @if none { (parts::quiet("No cause shows", html! { "None is likely past its limit, and none costs output that shows." })) }
            @else { (headed("Cause, its size, nine in ten, and its limit").rows(rows)) }
            @if !noise.is_empty() { (parts::details("Weighed too, and under one in a hundred", html! { (headed("Cause, its size, nine in ten, and its limit").rows(noise)) })) }
            p.muted { @if view.fresh.is_some() { "What is new first, then in the order of the chance, of what is sure the dearest first." } @else { "In the order of the chance, of what is sure the dearest first." } @if missing.is_some() { " Costs are worked out from all rounds together, what is missing from the last round: they add up with the last line." } @else if view.made.is_some() { " Together they are no more than is short by the last round." } }
            @for (words, p) in families { p.muted { "Something on " (words) ": " (in_hundred(*p)) " in 100." } }
        },
    )
}

/// A cause so unlikely that costs nothing that shows is folded away.
const NOISE: f64 = 0.01;

/// A cause that stands as new already stands there once.
fn is_new(view: &FindingsView, cause: &CauseLine) -> bool {
    view.fresh.iter().any(|fresh| fresh.lines.iter().any(|line| line.key == cause.key))
}

fn is_noise(cause: &CauseLine) -> bool {
    let costs = cause.loss_t_day.is_some_and(|t| t >= 0.05);
    cause.chance < NOISE
        && cause.changed < ON
        && cause.known.is_none()
        && !costs
        && cause.read_low_t_day.is_none()
}

/// A cause that the rounds of the last days tell by themselves: its size and chance are theirs, its cost is within what all rounds together
/// leave unexplained.
fn new(view: &FindingsView, fresh: &Fresh, cause: &CauseLine) -> Row {
    let days = format!("{}?days={}", Page::Findings.path(), fresh.days);
    let by_all = view.causes.iter().find(|line| line.key == cause.key);
    let by_all = by_all.and_then(|line| line.loss_t_day).filter(|t| *t >= 0.05);
    let cells: [Cell; 4] = [
        in_hundred(cause.chance).into(),
        html! { (in_hundred(cause.changed)) br; small.muted.nb { "since " (view.short_day(fresh.since)) } }.into(),
        html! { @if let Some(t) = by_all { (format!("{t:.1}")) br; small.muted { "by all rounds; more within what is not explained" } } @else { small.muted { "within what is not explained" } } }.into(),
        "–".into(),
    ];
    let name = html! {
        b { (capital(&cause.words)) } ": " span.nb { (cause.now) } @if !cause.part_of.is_empty() { " " (cause.part_of) }
        br;
        small.muted { (cause.between_bare()) @if !cause.in_unit.is_empty() { " %" } "; new, " a href=(days) { "by the last " (fresh.days) " days alone" } }
    };
    Row::new(name, cells).on()
}

/// Causes of readings that cannot stand together: named without size or cost.
fn held(view: &FindingsView, what: &str) -> Markup {
    let table = Table::new("", "Cause").numbers("Past its limit", "in 100");
    let rows = view.causes.iter().map(|cause| {
        let chance: [Cell; 1] = [html! { span.muted { (in_hundred(cause.chance)) } }.into()];
        Row::new(html! { span.muted { (capital(&cause.words)) } }, chance)
    });
    let asks = html! { p { span.asks { "Not to be relied on until " (what) " is read again." } " No cost and no day of cleaning is reckoned from these readings." } };
    parts::entry(
        "Causes",
        html! {},
        html! { (asks) (parts::details("What would come out of them", html! { (table.rows(rows)) })) },
    )
}

/// What of the missing output no cause explains, so that the column adds up.
fn rest(missing: &Missing) -> Option<Row> {
    let t_day = missing.rest_t_day;
    let (words, why) = match t_day {
        t if t >= 0.05 && missing.leaves_much() => ("Not explained", "look further"),
        t if t >= 0.05 => ("Not explained", "or counter and thermometers are off by that"),
        t if t <= -0.05 => ("More than is missing", "counter or thermometers are off by that"),
        _ => return None,
    };
    let cells: [Cell; 4] =
        ["–".into(), "–".into(), format!("{t_day:.1}").replace('-', "−").into(), "–".into()];
    Some(Row::new(html! { b { (words) } br; small.muted { (why) } }, cells))
}

/// What a wrong instrument does to the figures: most cost nothing.
fn misleads(cause: &CauseLine) -> String {
    match (cause.read_low_t_day, cause.key.as_str()) {
        (Some(t), _) if t >= 0.05 => format!("{t:.1} is only read as missing"),
        (Some(t), _) if t <= -0.05 => format!("hides {:.1} more that is missing", -t),
        (_, "instrument:product_t_day") => "misleads: counts what is made".to_owned(),
        (_, "instrument:jacket_in_c" | "instrument:sea_temp_c") => {
            "misleads: what should be made goes by it".to_owned()
        }
        _ => "misleads, costs nothing".to_owned(),
    }
}

fn row(ids: &mut Ids, view: &FindingsView, cause: &CauseLine) -> Row {
    let t_day = |x: Option<f64>| {
        // A cost under nought is one that does not show.
        x.filter(|x| *x >= 0.05).map_or("–".to_owned(), |x| format!("{x:.1}"))
    };
    let words = capital(&cause.words);
    // Of what the column is headed with.
    let of_missing = |missing: &Missing| cause.loss_t_day.map(|t| t / missing.short_t_day);
    let share = view.missing.as_ref().map_or(cause.share, of_missing);
    let bar = match share.filter(|_| cause.share.is_some()) {
        Some(share) if share >= 0.01 => {
            html! { span.share { (PreEscaped(chart::share_bar(ids, &format!("Share of {}", cause.words), share))) } }
        }
        _ if cause.instrument => html! { small.muted { (misleads(cause)) } },
        _ => html! {},
    };
    let cells: [Cell; 4] = [
        in_hundred(cause.chance).into(),
        html! {
            @if cause.changed < 0.005 { "–" } @else { (in_hundred(cause.changed)) }
            @if let Some(came) = &cause.came { br; small.muted.nb { (came.how()) " " (view.short_day(came.at)) } }
        }
        .into(),
        html! { @if !cause.instrument { (t_day(cause.loss_t_day)) " " } (bar) }.into(),
        t_day(cause.cure_t_day).into(),
    ];
    let name = html! {
        b { (words) } ": " span.nb { (cause.now) } @if !cause.part_of.is_empty() { " " (cause.part_of) }
        @if let Some(at) = cause.known { br; small { "found " (view.short_day(at)) ", not mended yet" } }
        br;
        small.muted { (cause.between_bare()) @if !cause.in_unit.is_empty() { " %; " span.nb { (cause.in_unit) } } @if cause.few.is_some() { "; " (cause.few_says()) } }
    };
    let row = Row::new(name, cells);
    if cause.chance >= ON { row.on() } else { row }
}
