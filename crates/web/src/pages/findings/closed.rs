//! Past findings and what was found on opening up; cleanings and instruments set right; the forms that write them.

use desk::field;
use desk::findings::{
    CLEANED as PARTS, FindingsView, MENDED, SEEN, STANDS, ToldOfPlant, closable, in_hundred,
};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Cell, Field, Row, Table};
use crate::reader::Reader;
use crate::shiptime;

use super::take::SURE;
use super::{CLEANED, CLOSE, SET_RIGHT, Shown, UNTOLD, capital};

pub(super) fn entry(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let note = html! {
        p { "A closed finding stays in the record and becomes this ship’s own experience: what was found makes that cause likelier before anything is read, what was not found less so, ten usual looks weighing against hers." }
    };
    let right_open = form.was_sent("right") || form.was_sent("cleaned_what");
    let body = html! {
        (list(shown))
        @if let Some(view) = view { @for line in &view.tables.learned { p.muted { (line) } } }
        (close(reader, shown, view))
        (parts::details_shown("Cleaned, or an instrument set right", right_open, html! { (cleaned(reader, shown)) (set_right(reader, shown, view)) }))
        @if !entries(&shown.told).is_empty() {
            (parts::details_shown("Take a closing, a cleaning or an instrument set right back", form.was_sent("untold"), untold(reader, shown)))
        }
    };
    parts::entry("Past findings", note, body)
}

/// What was closed and cleaned, while nothing can be typed in.
pub(super) fn listed(shown: &Shown) -> Markup {
    parts::entry("Past findings", html! {}, list(shown))
}

fn list(shown: &Shown) -> Markup {
    html! {
        @if shown.told.closed.is_empty() {
            (parts::quiet("No finding has been closed yet", html! { "Write here what was seen when the plant was opened: the next finding reckons with it." }))
        } @else { (closed(shown, &shown.told)) }
        (events(shown, &shown.told))
    }
}

/// Entries that can be taken back, newest first: their moments, numbers and words.
fn entries(told: &ToldOfPlant) -> Vec<(Timestamp, u64, String)> {
    let closed = told.closed.iter().map(|one| {
        let with =
            one.cleaned.as_ref().map_or_else(String::new, |what| format!(", {what} cleaned"));
        let by = &one.by;
        (
            one.at,
            one.seq,
            format!("{}: {}{with}, {by}", capital(&one.cause.words()), one.seen_words()),
        )
    });
    let closings: Vec<u64> = told.closed.iter().map(|one| one.seq).collect();
    // A cleaning written with a closing is one entry with it.
    let alone = told.cleaned.iter().filter(|one| !closings.contains(&one.seq));
    let cleaned = alone.map(|one| (one.at, one.seq, format!("{} cleaned", capital(&one.what))));
    let right = told.recalibrated.iter();
    let right = right.map(|one| {
        let by = one.high_by.map_or_else(String::new, |by| format!(" by {}", by_words(by)));
        (one.at, one.seq, format!("{} set right{by}", label(&one.reading)))
    });
    let mut all: Vec<_> = closed.chain(cleaned).chain(right).collect();
    all.sort_by_key(|one| std::cmp::Reverse((one.0, one.1)));
    all
}

/// What an entry says that can be taken back.
pub(super) fn told_words(told: &ToldOfPlant, seq: u64) -> Option<String> {
    entries(told).into_iter().find(|(_, known, _)| *known == seq).map(|(_, _, words)| words)
}

/// The button that answers a question before something is taken back.
pub(super) fn sure(form: &FormState, field: &str) -> Markup {
    html! {
        @if form.error(field).is_some_and(|why| why.ends_with(SURE)) {
            button name="back_sure" value="yes" { "Yes, take it back" }
        }
    }
}

fn untold(reader: &Reader, shown: &Shown) -> Markup {
    let form = &shown.form;
    let chosen = form.typed("untold");
    reader.form(UNTOLD, "findings-untold", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="untold" { "Take back" small { "it stays readable and counts no more" } }
                p.box { select.value.words id="untold" name="untold" {
                    @for (at, seq, words) in entries(&shown.told) {
                        option value=(seq) selected[seq.to_string() == chosen] { (shiptime::dated(&shown.clock, at)) ", " (words) }
                    }
                } }
                (wrong(form, "untold"))
            }
            (Field::new("untold_why", "Reason").place("why it is not to count").text().from_form(form))
            (Field::new("untold_by", "Initials").place("who takes it back").text().from_form(form))
        }
        p.acts { button { "Take it back" } (sure(form, "untold")) }
    })
}

fn closed(shown: &Shown, told: &ToldOfPlant) -> Markup {
    let table = Table::new("", "Closed")
        .words("Finding")
        .numbers("Chance then", "in 100")
        .words("Seen")
        .words("In words")
        .words("By");
    let rows = told.closed.iter().map(|closed| {
        let cells: [Cell; 5] = [
            capital(&closed.cause.words()).into(),
            closed.chance.map_or("–".to_owned(), in_hundred).into(),
            html! { (closed.seen_words()) @if let Some(what) = &closed.cleaned { ", " (what) " cleaned" } }
                .into(),
            closed.words.as_str().into(),
            closed.by.as_str().into(),
        ];
        Row::new(html! { (shiptime::dated(&shown.clock, closed.at)) }, cells)
    });
    html! { (table.rows(rows)) }
}

/// An amount with its sign.
fn by_words(by: f64) -> String {
    format!("{by:+}").replace('-', "−")
}

fn events(shown: &Shown, told: &ToldOfPlant) -> Markup {
    html! {
        @for one in told.cleaned.iter().take(6) {
            p { b.nb { (shiptime::dated(&shown.clock, one.at)) } ": " (one.what) " cleaned" @if !one.words.is_empty() { ", " (one.words) } "." }
        }
        @for one in told.recalibrated.iter().take(6) {
            p { b.nb { (shiptime::dated(&shown.clock, one.at)) } ": " (label(&one.reading)) " set right"
                @match one.since { Some(since) => { "; wrong since " (shiptime::dated(&shown.clock, since)) } None => { "; wrong in all earlier rounds" } }
                @match one.high_by { Some(by) => { " by " span.nb { (by_words(by)) } ", and the rounds from then on are mended by it." } None => { ", and what it read from then on is left out." } }
            }
        }
    }
}

fn label(reading: &str) -> String {
    field::reading(reading).map_or_else(|| reading.to_owned(), |r| r.label.to_owned())
}

fn close(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let chosen = form.typed("close");
    // The likely ones first, then whatever else can be looked for.
    let mut causes: Vec<(String, String)> = view.map_or_else(Vec::new, |view| {
        view.causes.iter().map(|cause| (cause.key.clone(), cause.words.clone())).collect()
    });
    for (key, words) in closable() {
        if !causes.iter().any(|(known, _)| *known == key) {
            causes.push((key, words));
        }
    }
    reader.form(CLOSE, "findings-close", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="close" { "Close a finding" small { "what was looked at" } }
                p.box { select.value.words id="close" name="close" {
                    @for (key, words) in &causes { option value=(key) selected[key == chosen] { (capital(words)) } }
                } }
                (wrong(form, "close"))
            }
            (Field::new("close_seen", "What was seen").one_of(SEEN).from_form(form))
            (Field::new("close_mended", "Mended").place("where it was found; not yet: it stays a known cause").one_of(MENDED).from_form(form))
            (Field::new("close_words", "In words").place("as the log would say it").text().from_form(form))
            (Field::new("close_cleaned", "Cleaned with it").place("empty: nothing").one_of(PARTS).from_form(form))
            (Field::new("close_at", "Ship’s time").place("empty: now").text().from_form(form))
            (Field::new("close_by", "Initials").place("who looked").text().from_form(form))
        }
        (answered(form, &["close_again", "close_part", "close_stands"]))
        p.acts { button { "Close it with this" }
            @if form.error("close").is_some_and(|why| why.ends_with(SURE)) {
                button name="close_again" value="yes" { "Yes, it was looked at again" }
            }
            @if form.error("close_cleaned").is_some_and(|why| why.ends_with(SURE)) {
                button name="close_part" value="yes" { "Yes, it stands so" }
            }
            (stands(form, "close_at", "close_stands")) }
    })
}

/// The questions that were answered with yes already: they are not asked a second time.
fn answered(form: &FormState, yes: &[&str]) -> Markup {
    html! {
        @for name in yes.iter().filter(|name| !form.typed(name).is_empty()) {
            input type="hidden" name=(name) value="yes";
        }
    }
}

/// The button that answers a question about the time of a cleaning.
fn stands(form: &FormState, field: &str, name: &str) -> Markup {
    html! {
        @if form.error(field).is_some_and(|why| why.ends_with(STANDS)) {
            button name=(name) value="yes" { "The time stands: write it down" }
        }
    }
}

fn cleaned(reader: &Reader, shown: &Shown) -> Markup {
    let form = &shown.form;
    reader.form(CLEANED, "findings-cleaned", html! {
        (shown.span())
        div.fields {
            (Field::new("cleaned_what", "Cleaned").one_of(PARTS).from_form(form))
            (Field::new("cleaned_words", "In words").place("how, and what came off").text().from_form(form))
            (Field::new("cleaned_at", "Ship’s time").place("empty: now").text().from_form(form))
            (Field::new("cleaned_by", "Initials").place("who cleaned").text().from_form(form))
        }
        p.acts {
            button { "Write the cleaning down" }
            (stands(form, "cleaned_at", "cleaned_stands"))
        }
    })
}

fn set_right(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let came = view.map_or_else(Vec::new, |view| {
        let instruments = view.causes.iter().filter(|cause| cause.instrument);
        instruments
            .filter_map(|cause| {
                let key = cause.key.trim_start_matches("instrument:");
                Some(format!("{} {}", label(key), view.day(cause.came?.at)))
            })
            .collect()
    });
    let since = if came.is_empty() {
        "empty: all earlier rounds".to_owned()
    } else {
        format!(
            "empty: as the findings have it, {}; of the others all earlier rounds",
            came.join(", ")
        )
    };
    let chosen = form.typed("right");
    reader.form(SET_RIGHT, "findings-right", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="right" { "Instrument set right" small { "or changed for a good one" } }
                p.box { select.value.words id="right" name="right" {
                    @for reading in readings() { option value=(reading.key) selected[reading.key == chosen] { (reading.label) } }
                } }
                (wrong(form, "right"))
            }
            (Field::new("right_high", "It read too high by").place("under nought: too low; in its own unit, the counter in %; empty: not known").from_form(form))
            (Field::new("right_since", "Wrong since").place(&since).text().from_form(form))
            (Field::new("right_at", "Set right").place("empty: now; a round of that minute was read before").text().from_form(form))
            (Field::new("right_by", "Initials").place("who set it right").text().from_form(form))
        }
        (answered(form, &["right_sure", "right_again"]))
        p.acts { button { "Write it down as set right" }
            @if form.error("right_high").is_some_and(|why| why.ends_with(SURE)) {
                button name="right_sure" value="yes" { "Yes, it read so" }
            }
            @if form.error("right").is_some_and(|why| why.ends_with(SURE)) {
                button name="right_again" value="yes" { "Yes, it was set again" }
            }
        }
    })
}

/// Readings whose instruments are weighed.
pub(super) fn readings() -> impl Iterator<Item = &'static field::Reading> {
    const WEIGHED: [&str; 12] = [
        "jacket_in_c",
        "jacket_out_c",
        "sea_temp_c",
        "sea_out_c",
        "vapour_temp_c",
        "shell_gauge_bar_g",
        "distillate_meter_m3",
        "product_salt_mg_kg",
        "ejector_pressure_bar_g",
        "back_pressure_bar_g",
        "brine_temp_c",
        "brine_salinity_g_kg",
    ];
    WEIGHED.iter().filter_map(|key| field::reading(key))
}

/// What stands before a refusal, or before a question.
pub(super) fn lead(why: &str) -> &'static str {
    if why.ends_with(SURE) || why.ends_with(STANDS) { "Asked first:" } else { "Not written down:" }
}

/// What is wrong with a choice.
pub(super) fn wrong(form: &FormState, name: &str) -> Markup {
    html! { @if let Some(why) = form.error(name) {
        div.word id={ (name) "-word" } { @for line in why.lines().take(12) { p { span.asks { (lead(why)) } " " (line) } } }
    } }
}
