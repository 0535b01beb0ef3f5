//! The next best check, how it is done and what to mind, and the form in which its result is written.

use desk::field;
use desk::findings::{CHECKS, CheckLine, FindingsView};
use maud::{Markup, html};
use quantity::Unit as Symbol;

use crate::form::FormState;
use crate::parts::{self, Cell, Field, Row, Table, Unit};
use crate::paths::Page;
use crate::reader::Reader;

use super::{CHECK, LEAK_DOWN, Shown};

/// Checks in the table.
const LISTED: usize = 6;

pub(super) fn entry(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let view = view.map(|view| view.telling(shown.deposits().unwrap_or(view)));
    let note = html! {
        p { "Doubt removed: how much of the doubt about the causes the reading would take away. Worth: that for each minute of work. A dash: asked for by what is new, or by what is not explained, not by the doubt of all rounds." }
        p { "A check goes with the round of the running plant nearest to it: read one beside it." }
    };
    let body = html! {
        span id="checks" {}
        @if let Some(view) = view { (listed(view)) }
        (form(reader, shown, view))
        (parts::details_shown("Leak-down test, by its pressures", leak_typed(&shown.form), leak_down(reader, shown)))
    };
    parts::entry("What would settle it", note, body)
}

fn listed(view: &FindingsView) -> Markup {
    let first = view.first_check();
    let table = Table::new("", "Check")
        .numbers("Work", "min")
        .numbers("Doubt removed", "%")
        .numbers("Worth", "% a minute")
        .words("When");
    let rows = view.checks.iter().filter(|check| check.worth).take(LISTED).map(|check| {
        let percent = 100.0 * check.removes;
        // For what is new a check is asked by its cause: the doubt of all rounds together does not weigh it.
        let told = |x: f64, decimals: usize| match percent {
            percent if percent < 0.5 => "–".to_owned(),
            _ => format!("{x:.decimals$}"),
        };
        let cells: [Cell; 4] = [
            format!("{:.0}", check.minutes).into(),
            told(percent, 0).into(),
            told(percent / check.minutes, 1).into(),
            when(check, view.runs).into(),
        ];
        let row = Row::new(html! { (check.title) (led(check)) }, cells);
        if first == Some(check) { row.on() } else { row }
    });
    html! {
        @match first {
            Some(check) => {
                p { b { (check.title) ":" } " " (check.how) (led(check)) }
                (parts::caution("Mind.", html! { (check.mind) }))
                (table.rows(rows))
            }
            None => p { "No further check is worth the walk: none would take away enough of the doubt." },
        }
    }
}

/// The way to the procedure that leads through it.
fn led(check: &CheckLine) -> Markup {
    html! { @if let Some(key) = check.procedure { " " a href={ (Page::Procedures.path()) "/list?key=" (key) } { "The procedure, step by step" } } }
}

fn when(check: &CheckLine, runs: bool) -> &'static str {
    match (check.stopped, runs) {
        (true, true) => "at the next stop: plant cold and drained",
        (true, false) => "now, when she is cold and drained",
        (false, true) => "now",
        (false, false) => "when she runs",
    }
}

fn form(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let first = view.and_then(FindingsView::first_check);
    let chosen = match form.typed("check") {
        "" => first.map_or("vent_temp_c", |check| check.reading),
        typed => typed,
    };
    reader.form(CHECK, "findings-check", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="check" { "Check made" small { "in the unit behind it" } }
                p.box { select.value.words id="check" name="check" {
                    @for check in CHECKS {
                        option value=(check.reading) selected[check.reading == chosen] { (check.title) ", " (unit(check.reading)) }
                    }
                } }
            }
            (Field::new("check_read", "It read").place("another unit may stand behind the figure").from_form(form))
            (Field::new("check_at", "Ship’s time").place("empty: now").text().from_form(form))
            (Field::new("check_by", "Initials").place("who read it").text().from_form(form))
        }
        p.acts { button.first { "Write the check down" } }
        (parts::details("How each is done", html! {
            dl { @for check in CHECKS { dt { b { (check.title) } } dd { (check.how) " " span.muted { (check.mind) } } } }
        }))
    })
}

fn unit(reading: &str) -> &'static str {
    let code = field::reading(reading).map_or("", |r| r.unit);
    code.parse::<Symbol>().map_or("", Symbol::symbol)
}

fn leak_typed(form: &FormState) -> bool {
    ["leak_start", "leak_by"].iter().any(|name| form.was_sent(name))
}

fn leak_down(reader: &Reader, shown: &Shown) -> Markup {
    let form = &shown.form;
    let volume = if shown.shell_m3 > 0.0 {
        format!("empty: {} by the ship’s file", shown.shell_m3)
    } else {
        "maker’s drawing, drained; kept on the page Ship".to_owned()
    };
    let number =
        |name: &'static str, label: &'static str, place: &'static str, unit: &'static str| {
            html! { (Field::new(name, label).place(place).unit(Unit::Fixed(unit)).from_form(form)) }
        };
    html! {
        (parts::caution("Only", html! { "of a cold, stopped and drained plant, its heat off and its valves shut: while it is hot, flashing counts as air." }))
        (reader.form(LEAK_DOWN, "findings-leak", html! {
            (shown.span())
            div.fields {
                (number("leak_start", "Pressure at the start", "absolute: barometer less vacuum", "mbar"))
                (number("leak_end", "Pressure at the end", "absolute", "mbar"))
                (number("leak_minutes", "Minutes between", "30 is usual", "min"))
                (number("leak_c", "Shell temperature", "by hand on the plates", "°C"))
                (Field::new("leak_m3", "Shell volume").place(&volume).unit(Unit::Fixed("m³")).from_form(form))
                (Field::new("leak_at", "Ship’s time").place("empty: now").text().from_form(form))
                (Field::new("leak_by", "Initials").place("who tested").text().from_form(form))
            }
            p.acts { button { "Write the leak-down down" } }
        }))
    }
}
