//! The ship file as fields: meaning, what is usual, where to read it off; faults beside the field, what was typed kept.

use desk::ship_page::{self, Group, Shape, ShipField, TrustField};
use maud::{Markup, html};

use super::View;
use crate::parts::{self, Mark, state};
use crate::paths::Page;
use crate::reader::Reader;

/// The form.
pub(super) fn entry(reader: &Reader, view: &View) -> Markup {
    let groups = ship_page::groups(&view.setup.ship);
    let caution = parts::caution(
        "Limits are there to be told of danger.",
        html! {
            "A limit set wider than the maker’s or the engine’s own alarm hides what it should show. "
            "No figure here moves the engine’s set point, and none should be entered to make a tired plant look sound."
        },
    );
    let body = html! {
        (caution)
        input type="hidden" name="base" value=(view.base());
        @for (i, group) in groups.iter().enumerate() { (self::group(view, group, i == 0)) }
        (trusts(view, &ship_page::trusts(&view.setup.ship)))
        (confirm(view))
        (keep(view, "actor"))
    };
    let note = html! {
        p { "Comma or point, either will do; another unit may be typed after the figure." }
        p { "Saving writes the file below anew and puts the change into the record." }
    };
    parts::entry(
        "The sheet, field by field",
        note,
        reader.form(Page::Ship.path(), &format!("ship-{}", view.base()), body),
    )
}

/// One box for figures that are right as they stand; what is typed over is hers without it.
fn confirm(view: &View) -> Markup {
    let count = view.setup.ship.unconfirmed.len();
    html! {
        @if count > 0 {
            p {
                label {
                    input type="checkbox" name=(ship_page::CONFIRMED) value="yes" checked[view.form.was_sent(ship_page::CONFIRMED)];
                    " The figures marked “not confirmed” that I have left as they stand are this plant’s too"
                }
            }
        }
    }
}

/// Initials and the two buttons; `id` keeps the two forms' fields apart.
pub(super) fn keep(view: &View, id: &str) -> Markup {
    html! {
        div.fields {
            div class=(if view.form.error("actor").is_some() { "field asks-you" } else { "field" }) {
                label for=(id) { "Initials" small { "who changes it" } }
                p.box { input id=(id) name="actor" value=(view.form.typed("actor")) autocomplete="off" maxlength="12"; }
                @if let Some(why) = view.form.error("actor") { p.word { (state(Mark::Shut, "not taken:")) " " (why) } }
            }
        }
        p.acts {
            button.first name="do" value="look" { "Show what changes" }
            button name="do" value="keep" { "Keep it" }
        }
    }
}

fn group(view: &View, group: &Group, open: bool) -> Markup {
    let asks = group.fields.iter().any(|f| view.form.error(&f.name).is_some());
    let typed = group
        .fields
        .iter()
        .any(|f| view.form.was_sent(&f.name) && normal(view.form.typed(&f.name)) != f.text);
    html! {
        details.sheet-group open[open || asks || typed] {
            summary { (group.title) }
            p.muted { (group.about) }
            div.fields { @for f in &group.fields { (field(view, f)) } }
        }
    }
}

/// As the desk writes it: browsers send CR LF between lines.
fn normal(text: &str) -> String {
    text.replace("\r\n", "\n").trim().to_owned()
}

fn field(view: &View, f: &ShipField) -> Markup {
    let error = view.form.error(&f.name);
    let text = if view.form.was_sent(&f.name) { view.form.typed(&f.name) } else { &f.text };
    let about = format!("{}-about", f.name);
    html! {
        div.field.asks-you[error.is_some()] {
            label for=(f.name) {
                (f.label)
                small { (f.meaning) }
            }
            p.was id=(about) {
                @if !f.usual.is_empty() { (f.usual) }
                @if !f.place.is_empty() { @if !f.usual.is_empty() { br; } "Read off: " (f.place) }
            }
            p.box {
                @match f.shape {
                    Shape::Word(words) => {
                        select.value.words id=(f.name) name=(f.name) {
                            @for word in words { option value=(word) selected[*word == text] { (word) } }
                        }
                    }
                    Shape::Rows => {
                        textarea.rows id=(f.name) name=(f.name) rows=(f.text.lines().count().clamp(3, 8)) cols="14" aria-describedby=(about) aria-invalid=[error.map(|_| "true")] { (text) }
                    }
                    Shape::Text | Shape::List => {
                        input.words id=(f.name) name=(f.name) value=(text) autocomplete="off" aria-describedby=(about) aria-invalid=[error.map(|_| "true")];
                    }
                    Shape::Number | Shape::Optional => {
                        input id=(f.name) name=(f.name) value=(text) inputmode="decimal" autocomplete="off" aria-describedby=(about) aria-invalid=[error.map(|_| "true")];
                    }
                }
                @if !f.unit.is_empty() { span.unit { (f.unit) } }
            }
            @match error {
                Some(why) => p.word { (state(Mark::Shut, "not taken:")) " " (why) },
                None if f.unconfirmed => p.word { (state(Mark::Doubt, "a typical plant’s: not confirmed")) },
                None if f.unusual => p.word { (state(Mark::Doubt, "unusual: check it")) },
                None => {}
            }
        }
    }
}

fn trusts(view: &View, trusts: &[TrustField]) -> Markup {
    let asks = trusts.iter().any(|t| {
        ["standing", "each"]
            .iter()
            .any(|w| view.form.error(&format!("trust.{}.{w}", t.reading)).is_some())
    });
    let cell = |t: &TrustField, i: usize, which: &str, words: &str| {
        let name = format!("trust.{}.{which}", t.reading);
        let own = t.own.get(i).map_or("", String::as_str);
        let usual = t.usual.get(i).map_or("", String::as_str);
        let text = if view.form.was_sent(&name) { view.form.typed(&name) } else { own };
        html! {
            td role="cell" data-l=(words) {
                input id=(name) name=(name) value=(text) placeholder=(usual) inputmode="decimal" autocomplete="off" size="9"
                    aria-label={ (t.label) ", " (words) } aria-invalid=[view.form.error(&name).map(|_| "true")];
                @if let Some(why) = view.form.error(&name) { br; small.red { (why) } }
            }
        }
    };
    html! {
        details.sheet-group open[asks] {
            summary { "How far each instrument is to be trusted" }
            p.muted { "One standard deviation, in the reading’s unit. Empty: what is usual for its kind, shown in grey." }
            div.wide-table tabindex="0" role="group" aria-label="Trust in instruments" {
                table.many role="table" {
                    thead role="rowgroup" { tr role="row" {
                        th role="columnheader" scope="col" { "Reading" }
                        th role="columnheader" scope="col" { "Unit" }
                        th role="columnheader" scope="col" { "Error that stays" }
                        th role="columnheader" scope="col" { "Error of each reading" }
                    } }
                    tbody role="rowgroup" {
                        @for t in trusts {
                            tr role="row" {
                                th role="rowheader" scope="row" { (t.label) }
                                td role="cell" data-l="Unit" { (t.unit) }
                                (cell(t, 0, "standing", "error that stays"))
                                (cell(t, 1, "each", "error of each reading"))
                            }
                        }
                    }
                }
            }
        }
    }
}
