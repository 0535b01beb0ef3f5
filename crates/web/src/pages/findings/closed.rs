//! Past findings and what was found on opening up; cleanings and instruments set right; the forms that write them.

use desk::field;
use desk::findings::{CLEANED as PARTS, FindingsView, SEEN, STANDS, ToldOfPlant};
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Cell, Field, Row, Table};
use crate::reader::Reader;
use crate::shiptime;

use super::{CLEANED, CLOSE, SET_RIGHT, Shown, capital, in_100};

pub(super) fn entry(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let note = html! {
        p { "A closed finding stays in the record and becomes this ship’s own experience: what was found makes that cause likelier before anything is read, what was not found less so, ten usual looks weighing against hers." }
    };
    let told = view.map(|view| &view.told);
    let right_open = form.was_sent("right") || form.was_sent("cleaned_what");
    let body = html! {
        @match told {
            Some(told) if !told.closed.is_empty() => { (closed(shown, told)) }
            _ => { (parts::quiet("No finding has been closed yet", html! { "Write here what was seen when the plant was opened: the next finding reckons with it." })) }
        }
        @if let Some(view) = view {
            @for line in &view.tables.learned { p.muted { (line) } }
            (close(reader, form, view))
        }
        @if let Some(told) = told { (events(shown, told)) }
        (parts::details_shown("Cleaned, or an instrument set right", right_open, html! { (cleaned(reader, form)) (set_right(reader, form)) }))
    };
    parts::entry("Past findings", note, body)
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
            closed.chance.map_or("–".to_owned(), in_100).into(),
            html! { (closed.seen) @if let Some(what) = &closed.cleaned { ", " (what) " cleaned" } }
                .into(),
            closed.words.as_str().into(),
            closed.by.as_str().into(),
        ];
        Row::new(html! { (shiptime::dated(&shown.clock, closed.at)) }, cells)
    });
    html! { (table.rows(rows)) }
}

fn events(shown: &Shown, told: &ToldOfPlant) -> Markup {
    html! {
        @for one in told.cleaned.iter().take(6) {
            p { b.nb { (shiptime::dated(&shown.clock, one.at)) } ": " (one.what) " cleaned" @if !one.words.is_empty() { ", " (one.words) } "." }
        }
        @for one in told.recalibrated.iter().take(6) {
            p { b.nb { (shiptime::dated(&shown.clock, one.at)) } ": " (label(&one.reading)) " set right"
                @match one.high_by { Some(by) => { "; it read " (format!("{by:+}")) " before, and earlier rounds are brought to it." } None => { "; what it read before is left out." } }
            }
        }
    }
}

fn label(reading: &str) -> String {
    field::reading(reading).map_or_else(|| reading.to_owned(), |r| r.label.to_owned())
}

fn close(reader: &Reader, form: &FormState, view: &FindingsView) -> Markup {
    let chosen = form.typed("close");
    reader.form(CLOSE, "findings-close", html! {
        div.fields {
            div.field {
                label for="close" { "Close a finding" small { "what was looked at" } }
                p.box { select.value.words id="close" name="close" {
                    @for cause in &view.causes { option value=(cause.key) selected[cause.key == chosen] { (capital(&cause.words)) } }
                } }
                (wrong(form, "close"))
            }
            (Field::new("close_seen", "What was seen").one_of(SEEN).from_form(form))
            (Field::new("close_words", "In words").place("as the log would say it").text().from_form(form))
            (Field::new("close_cleaned", "Cleaned with it").place("empty: nothing").one_of(PARTS).from_form(form))
            (Field::new("close_by", "Initials").place("who looked").text().from_form(form))
        }
        p.acts { button { "Close it with this" } }
    })
}

fn cleaned(reader: &Reader, form: &FormState) -> Markup {
    reader.form(CLEANED, "findings-cleaned", html! {
        div.fields {
            (Field::new("cleaned_what", "Cleaned").one_of(PARTS).from_form(form))
            (Field::new("cleaned_words", "In words").place("how, and what came off").text().from_form(form))
            (Field::new("cleaned_at", "Ship’s time").place("empty: now").text().from_form(form))
            (Field::new("cleaned_by", "Initials").place("who cleaned").text().from_form(form))
        }
        p.acts {
            button { "Write the cleaning down" }
            @if form.error("cleaned_at").is_some_and(|why| why.ends_with(STANDS)) {
                button name="cleaned_stands" value="yes" { "The time stands: write it down" }
            }
        }
    })
}

fn set_right(reader: &Reader, form: &FormState) -> Markup {
    let chosen = form.typed("right");
    reader.form(SET_RIGHT, "findings-right", html! {
        div.fields {
            div.field {
                label for="right" { "Instrument set right" small { "or changed for a good one" } }
                p.box { select.value.words id="right" name="right" {
                    @for reading in readings() { option value=(reading.key) selected[reading.key == chosen] { (reading.label) } }
                } }
                (wrong(form, "right"))
            }
            (Field::new("right_high", "It read too high by").place("under nought: too low; in its own unit, the counter in %; empty: not known").from_form(form))
            (Field::new("right_at", "Ship’s time").place("empty: now").text().from_form(form))
            (Field::new("right_by", "Initials").place("who set it right").text().from_form(form))
        }
        p.acts { button { "Write it down as set right" } }
    })
}

/// Readings whose instruments are weighed.
pub(super) fn readings() -> impl Iterator<Item = &'static field::Reading> {
    const WEIGHED: [&str; 11] = [
        "jacket_in_c",
        "jacket_out_c",
        "sea_temp_c",
        "sea_out_c",
        "vapour_temp_c",
        "shell_gauge_bar_g",
        "distillate_meter_m3",
        "product_salt_mg_kg",
        "ejector_pressure_bar_g",
        "brine_temp_c",
        "brine_salinity_g_kg",
    ];
    WEIGHED.iter().filter_map(|key| field::reading(key))
}

/// What is wrong with a choice.
pub(super) fn wrong(form: &FormState, name: &str) -> Markup {
    html! { @if let Some(why) = form.error(name) {
        div.word id={ (name) "-word" } { @for line in why.lines().take(12) { p { span.asks { "Not written down:" } " " (line) } } }
    } }
}
