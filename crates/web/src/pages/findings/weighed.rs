//! What is weighed and why: the causes before anything is read, the instruments, trusting one less, the settings file.

use desk::findings::{FindingsView, TABLES_FILE, in_hundred};
use maud::{Markup, html};

use crate::parts::{self, Cell, Field, Row, Table};
use crate::reader::Reader;

use super::closed::{readings, wrong};
use super::{Shown, TABLES, TRUST, capital};

pub(super) fn entry(reader: &Reader, shown: &Shown, view: Option<&FindingsView>) -> Markup {
    let form = &shown.form;
    let note = html! {
        p { "Each line has its reason. A change is kept in " code { (TABLES_FILE) } " in the ship’s folder and in the record." }
    };
    let file_open = form.was_sent("tables");
    let body = html! {
        (trust(reader, shown))
        @if let Some(view) = view {
            (parts::details("The causes before anything is read", causes(view)))
            (parts::details("The instruments", instruments(view)))
        }
        (parts::details_shown("Change the tables", file_open, file(reader, shown)))
    };
    parts::entry("What is weighed, and how", note, body)
}

fn trust(reader: &Reader, shown: &Shown) -> Markup {
    let form = &shown.form;
    let chosen = form.typed("trust");
    let known = readings().filter(|r| r.key != "distillate_meter_m3");
    reader.form(TRUST, "findings-trust", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="trust" { "Trust this instrument less" small { "three times the errors of its kind, on every page" } }
                p.box { select.value.words id="trust" name="trust" {
                    @for reading in known { option value=(reading.key) selected[reading.key == chosen] { (reading.label) } }
                    option value="product_t_day" selected[chosen == "product_t_day"] { "Distillate meter" }
                } }
                (wrong(form, "trust"))
            }
            (Field::new("trust_by", "Initials").place("who says so").text().from_form(form))
        }
        p.acts {
            button name="how" value="less" { "Trust it less" }
            button name="how" value="usual" { "Trust it as its kind" }
        }
    })
}

fn causes(view: &FindingsView) -> Markup {
    let table =
        Table::new("", "Cause").numbers("Chance before", "in 100").words("Limit").words("Why");
    let rows = view.tables.causes.iter().map(|line| {
        let odds = html! {
            (in_hundred(line.odds))
            @if let Some(usual) = line.usual_odds { " " small.muted { "usual " (in_hundred(usual)) } }
        };
        let cells: [Cell; 3] =
            [odds.into(), line.limit.as_str().into(), line.reason.as_str().into()];
        Row::new(html! { (capital(&line.words)) " " small.muted { (line.key) } }, cells)
    });
    html! { (table.rows(rows)) }
}

fn instruments(view: &FindingsView) -> Markup {
    let table = Table::new("", "Instrument")
        .words("Error that stays")
        .words("Each reading")
        .words("Wrong past")
        .numbers("Chance before", "in 100")
        .words("Why");
    let rows = view.tables.instruments.iter().map(|line| {
        let cells: [Cell; 5] = [
            html! { (line.errors.0) @if line.changed { " " small.muted { "changed" } } }.into(),
            line.errors.1.as_str().into(),
            line.limit.as_str().into(),
            in_hundred(line.odds).into(),
            line.reason.as_str().into(),
        ];
        Row::new(html! { (capital(&line.words)) " " small.muted { (line.key) } }, cells)
    });
    html! { (table.rows(rows)) }
}

fn file(reader: &Reader, shown: &Shown) -> Markup {
    let form = &shown.form;
    let text = if form.was_sent("tables") { form.typed("tables") } else { &shown.tables };
    reader.form(TABLES, "findings-tables", html! {
        (shown.span())
        div.field.whole {
            label for="tables" { "The settings file" }
            textarea.toml id="tables" name="tables" rows="16" spellcheck="false" autocomplete="off" { (text) }
            (wrong(form, "tables"))
        }
        div.fields { (Field::new("tables_by", "Initials").place("who changes it").text().from_form(form)) }
        p.acts { button { "Keep the settings" } }
    })
}
