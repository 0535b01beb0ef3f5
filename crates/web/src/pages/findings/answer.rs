//! The sentence: what is short, very probably why, what is not excluded, what would tell, when the limit is reached.

use desk::findings::{FindingsView, Since};
use desk::now::{NowView, Verdict};
use desk::view::Band;
use maud::{Markup, html};

use crate::parts::{self, fig};
use crate::paths::Page;
use crate::shiptime;

use super::Shown;

/// Fewer rounds tell neither growth nor what came when.
const FEW: usize = 6;
/// Spans of days that can be asked for.
const SPANS: [u32; 3] = [7, 30, 90];

pub(super) fn entry(shown: &Shown, view: &FindingsView, before: bool) -> Markup {
    let short = view.short_t_day().filter(|t| *t >= 0.05);
    let outside = view.made.is_some_and(|(made, should)| !should.holds(made));
    let question = match short.filter(|_| outside) {
        Some(short) => format!("Why {short:.1} t/day less, and what do I do about it?"),
        None => "Is anything wrong with her, and what do I look at next?".to_owned(),
    };
    let said = &view.said;
    let told = view.is_led();
    let much = view.missing.as_ref().filter(|missing| missing.leaves_much());
    let looked = view.looked_first();
    let short = short.filter(|_| outside);
    let says = html! {
        @if !said.first.is_empty() { "Dump the distillate and fill no tank: salinity is over its limit. " }
        @if view.held.is_some() || !said.contradiction.is_empty() { "These readings contradict each other." }
        @else {
            @if !looked.is_empty() { (looked) " " }
            @if let Some(short) = short {
                "Output is " (fig(&format!("{short:.1}"), "t/day")) " short"
                @if let Some(fresh) = &view.fresh { "; " (held(&fresh.clause())) }
                @else if let Some(missing) = much { "; " (format!("{:.1}", missing.rest_t_day)) " of it is not explained" }
                ". "
            }
            @match short {
                _ if view.fresh.is_some() => {}
                _ if told => { (held(&view.leads)) }
                Some(_) if !looked.is_empty() => {
                    "No other cause is likely past its limit."
                }
                Some(_) => { "No single cause is likely past its limit by these " (view.rounds) " rounds." }
                None if view.rounds < FEW => { @if view.rounds == 1 { "One round" } @else { (view.rounds) " rounds" } ": fewer readings than unknowns. No cause is likely past its limit by them." }
                None => { "Nothing stands out." }
            }
        }
    };
    let looks: Vec<&str> = view.looked.iter().map(|looked| looked.says.as_str()).collect();
    let then = html! {
        (written(shown.done))
        @let first = view.first_to_do(shown.deposits().unwrap_or(view), &shown.stands);
        @if !first.is_empty() { p.then { b { (held(&first)) } @if first.contains(": read ") { " " a href="#checks" { "How it is done" } } } }
        @if before { p.then role="status" { span.asks { "Of the rounds before." } " What was written last is being worked in: a second or two. " a href=(Page::Findings.path()) { "Look again" } } }
        @if !said.first.is_empty() { p.then { span.asks { (held(&said.first)) } } }
        @for line in &said.odd { p.then { span.asks { (held(line)) } } }
        @if !said.contradiction.is_empty() { p.then { (said.contradiction) } }
        @let next = view.next_besides(&first);
        @if !next.is_empty() { p.then { span.asks { (held(next)) } @if next.starts_with("Next") || next.contains("tell them apart") { " " a href="#checks" { "How it is done" } } } }
        @if let Some(fresh) = &view.fresh {
            @if !fresh.moved_says().is_empty() || shown.since != Since::Days(fresh.days) { p.then {
                (held(&fresh.moved_says()))
                @if shown.since != Since::Days(fresh.days) { " " a href={ (Page::Findings.path()) "?days=" (fresh.days) } { "What the last " (fresh.days) " days say by themselves" } }
            } }
        }
        @if view.held.is_none() { p.then { (held(&beside(view, short.is_some()))) } }
        // Where nothing leads it says what the rounds leave open.
        @if !told && view.fresh.is_none() && !view.leads.is_empty() { p.then { (held(&view.leads)) } }
        @for line in &said.dates { p.then { (held(line)) } }
    };
    // What stands behind the sentence: read by who doubts it.
    let behind: Vec<(bool, String)> =
        [view.fresh.as_ref().map(|_| by_all(view)), Some(view.explained())]
            .into_iter()
            .flatten()
            .chain(looks.into_iter().map(str::to_owned))
            .chain(said.changed.iter().cloned())
            .chain([said.unseen.clone()])
            .map(|says| (false, says))
            .chain(said.notes.iter().map(|says| (true, says.clone())))
            .filter(|(_, says)| !says.is_empty())
            .collect();
    let then = html! {
        (then)
        @if !behind.is_empty() { (parts::details("What stands behind it", html! {
            @for (muted, says) in &behind { p.muted[*muted] { (held(says)) } }
        })) }
    };
    let acts = parts::acts(spans(shown));
    let note = html! {
        p { "From " @if view.rounds == 1 { "one round " } @else { (view.rounds) " rounds " } (view.since_words) ", " (view.day(view.from)) " to " (view.day(view.until)) "." }
        p { "Advice: nothing here opens a plant. What should be is what the pages Now and Readings expect." }
    };
    parts::answer(&question, says, then, acts, note)
}

/// What all rounds together say, beside what the last days' rounds say alone.
fn by_all(view: &FindingsView) -> String {
    format!(
        "By all rounds together: {} The longer span tells more of what stands and grows; the short one sees what is new.",
        view.leads
    )
}

/// Other rounds that can be asked about.
fn spans(shown: &Shown) -> Markup {
    html! {
        @if shown.since != Since::Cleaned { (parts::act(Page::Findings.path(), "Rounds since the last cleaning", false)) }
        @for days in SPANS.into_iter().filter(|days| shown.since != Since::Days(*days)) {
            (parts::act(&format!("{}?days={days}", Page::Findings.path()), &format!("Last {days} days"), false))
        }
    }
}

/// What was made beside what should be, without what the headline says already.
fn beside(view: &FindingsView, said: bool) -> String {
    match view.made {
        Some((made, should)) if said => made_beside(made, should),
        _ => view.short(),
    }
}

fn made_beside(made: f64, should: Band) -> String {
    format!("{made:.1} t/day was made where a clean, sound plant would make {:.1}.", should.middle)
}

/// Figures held together with their units at the end of a line.
fn held(text: &str) -> String {
    let mut text = text.to_owned();
    for (wide, held) in [
        ("× ", "×\u{a0}"),
        (" K", "\u{a0}K"),
        (" t/day", "\u{a0}t/day"),
        (" %", "\u{a0}%"),
        (" m²", "\u{a0}m²"),
    ] {
        text = text.replace(wide, held);
    }
    text
}

fn written(done: Option<&str>) -> Markup {
    html! { @if let Some(done) = done { p.then role="status" { (done) } } }
}

/// While the first findings are being worked out: what is known without them, and the way to come again.
pub(super) fn waiting(shown: &Shown) -> Markup {
    let here = match shown.since {
        Since::Days(days) => format!("{}?days={days}", Page::Findings.path()),
        _ => Page::Findings.path().to_owned(),
    };
    let known = shown.known.as_ref();
    let says = match known.and_then(|seen| seen.short_t_day()) {
        Some(short) => {
            html! { "Output is " (fig(&format!("{short:.1}"), "t/day")) " short. Why is being worked out." }
        }
        None => html! { "Why she makes what she makes is being worked out." },
    };
    parts::answer(
        "Is anything wrong with her, and what do I look at next?",
        says,
        html! {
            (written(shown.done))
            p.then role="status" { "The causes take a second or two; this page comes again by itself. " a href=(here) { "Look now" } }
            @if let Some(known) = known {
                @if let Verdict::Running { made, should } = &known.verdict {
                    p.then { (held(&made_beside(*made, *should))) }
                }
                @let outside = outside(known);
                @if !outside.is_empty() { p.then { "Outside what a clean, sound plant would show: " (outside.join(", ")) "." } }
                @else if known.round.is_some() && known.short_t_day().is_some() { p.then { "Only the output lies outside what a clean, sound plant would show." } }
                @else if known.round.is_some() { p.then { "No reading of the last round lies outside what a clean, sound plant would show." } }
            }
            @if let Some(last) = shown.told.closed.first() {
                p.then { "Closed last: " (last.cause.words()) ", " (last.seen) ", " (shiptime::dated(&shown.clock, last.at)) "." }
            }
        },
        html! {},
        html! {},
    )
}

/// Readings of the last round outside their band, in words.
fn outside(seen: &NowView) -> Vec<String> {
    let rows = seen.rows.iter().filter_map(|row| {
        let (read, band) = row.read.zip(row.expected)?;
        let out = !band.holds(read) && row.key != "product_t_day";
        out.then(|| {
            format!(
                "{} {} {}, expected {}",
                row.label,
                row.text(read),
                row.unit,
                row.text(band.middle)
            )
        })
    });
    rows.collect()
}

/// Where there is nothing to explain; other rounds may tell, and what was closed in them.
pub(super) fn none(shown: &Shown, why: &str) -> Markup {
    parts::answer(
        "Is anything wrong with her, and what do I look at next?",
        html! { "There is nothing to go by yet." },
        html! {
            (written(shown.done))
            @for line in why.lines().take(12) { p.then { (line) } }
        },
        parts::acts(
            html! { (parts::act(Page::Readings.path(), "Read a round", true)) (spans(shown)) },
        ),
        html! {},
    )
}
