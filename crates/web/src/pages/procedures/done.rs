//! The steps of a run as they stand: true times, what was read, what was not as it should be and what came of it later;
//! looking at a step again, taking a tick back, mending it.

use desk::procedures::{CorrectedView, LookView, ReadView, RunView, StandingView, StepView};
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Field, Mark};
use crate::paths::Page;
use crate::reader::Reader;

use super::{AGAIN, Around, MEND, SO_IT_WAS, list, run_address, step, takes, time};

/// Every step of the list with how it stands.
pub(super) fn steps(around: &Around, view: &RunView, place: Option<usize>) -> Markup {
    let body = html! { ol.steps { @for step in &view.steps {
        li.step.done[step.standing.is_some()].now[place == Some(step.no - 1)] { div {
            p.do { (step.what) }
            @if let Some(own) = &step.own { p.signed { (own) } }
            @match &step.standing {
                Some(standing) => { (stands(around, step, standing)) }
                None => {
                    @if place == Some(step.no - 1) {
                        p.signed { a href="#now" { "Under way" } }
                        // On paper its boxes are not printed; what must be seen is.
                        div.paper-only { (list::see(step)) }
                    }
                    @else { (list::see(step)) p.signed { (takes(step.takes_min)) } }
                    (read(around, &step.readings))
                    @if view.line.ended.is_none() { (list::to_write(step)) }
                }
            }
            @for change in &step.changes { p.signed { (change) } }
        } }
    } } };
    parts::entry(
        &view.line.name,
        html! {
            @if view.strange > 0 { p { (view.strange) " ticks came twice and changed nothing." } }
            @for (at, by, to) in &view.handed { p {
                @if by.eq_ignore_ascii_case(to) { "Taken over by " b { (to) } } @else { "Handed over to " b { (to) } " by " (by) }
                ", " (time(around, *at)) "."
            } }
        },
        body,
    )
}

fn stands(around: &Around, step: &StepView, standing: &StandingView) -> Markup {
    let mark = match standing.word {
        _ if standing.stands_out => Mark::Doubt,
        "passed over" | "done against its guard" => Mark::Over,
        _ => Mark::Done,
    };
    html! {
        p.signed {
            (mark) " " (time(around, standing.at)) ", " (standing.by)
            @if standing.word != "done" { ": " b { (standing.word) } }
            @if let Some(reason) = &standing.reason { ", “" (reason) "”" }
        }
        (read(around, &step.readings))
        @if !standing.unmet.is_empty() { p.signed.asks { "Not as it should be then: " (standing.unmet) } }
        @if !standing.remark.is_empty() { p.signed { (standing.remark) } }
        @if !standing.note.is_empty() { p.signed { (or_else(&step.note, "Written down")) ": " b { (standing.note) } } }
        @else if !step.note.is_empty() { p.signed { (step.note) ": not written here" } }
        @if !standing.second.is_empty() { p.signed { (or_else(&step.second, "Second person")) ": " b { (standing.second) } } }
        @else if !step.second.is_empty() { p.signed { (step.second) ": no initials here" } }
        @if let Some(held) = &standing.held { p.signed { "The guard said: " (held) } }
        @for look in &standing.looks { (again(around, look)) }
        @for one in &standing.corrected { p.signed.asks { (corrected(one)) } }
    }
}

/// What a line is called: as the text has it, and where that asks for none, in common words.
fn or_else<'a>(asked: &'a str, words: &'a str) -> &'a str {
    if asked.is_empty() { words } else { asked }
}

/// A figure put right since, with the way to its correction.
fn corrected(one: &CorrectedView) -> Markup {
    html! { "Not as wanted any more: " (one.says) " " a href=(entry_address(one.entry)) { "The correction" } }
}

/// An entry on the page Records.
fn entry_address(seq: u64) -> String {
    format!("{}?before={}#entry-{seq}", Page::Records.path(), seq + 1)
}

fn again(around: &Around, look: &LookView) -> Markup {
    html! { p.signed {
        (if look.unmet.is_empty() { Mark::Done } else { Mark::Doubt })
        " Looked at again " (time(around, look.at)) ", " (look.by) ": "
        @if look.unmet.is_empty() { b { "now as wanted" } "." } @else { b { "still not as wanted" } ". " (look.unmet) }
        @if !look.note.is_empty() { " Written: " (look.note) "." }
        @if !look.second.is_empty() { " Second person: " (look.second) "." }
    } }
}

fn read(around: &Around, readings: &[ReadView]) -> Markup {
    html! { @if !readings.is_empty() { p.signed {
        "Read: "
        @for (nth, read) in readings.iter().enumerate() {
            @if nth > 0 { "; " }
            span.nb { (read.label) " " b { (read.text) } } " " (time(around, read.at))
            @if let Some(was) = &read.was { " (was " s { (was) } @if read.ticked_by_old { b { ", by which the step was ticked" } } "; " a href=(entry_address(read.entry)) { "why" } ")" }
            @if let Some(why) = &read.not_taken { " (" (why) ")" }
            @if let Some(doubt) = &read.doubt { " (doubtful: " (doubt) ")" }
        }
    } } }
}

/// Steps done in another order than the list has, and the two answers to it.
pub(super) fn order(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    if view.order.is_empty() {
        return html! {};
    }
    let asks = view.order.iter().any(|pair| pair.asks);
    let body = html! {
        div.guard.shut[view.order.iter().any(|pair| pair.forbidden && !pair.confirmed)] {
            ul { @for pair in &view.order { li.asks[!pair.confirmed] {
                (if pair.confirmed { Mark::Done } else { Mark::Doubt })
                span { (pair.says) @if pair.confirmed { " " b { "So it was." } } }
            } } }
        }
        @if asks {
            p.paper-only { "So it was ________   or the true times ______________________________" }
            p.not-on-paper { "Is it so? If a time is wrong: " a href="#mend" { "mend the time" } ". If it is true:" }
            (reader.form(SO_IT_WAS, &format!("procedure-so-{}", view.line.id), html! {
                input type="hidden" name="run" value=(view.line.id);
                div.fields { (Field::new("so_by", "Initials").place("who was there").text().from_form(form)) }
                p.acts { button.big { "Yes, so it was" } }
            }))
        }
    };
    parts::entry(
        "Not in the order of the list",
        html! { p { "Nothing is held by it. The times stay as they were written until somebody mends them." } },
        body,
    )
}

/// Steps that were not as they should be, each to be looked at again.
pub(super) fn look_again(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    let out = view.steps.iter().filter_map(|step| Some((step, step.standing.as_ref()?)));
    let out: Vec<_> = out.filter(|(_, standing)| standing.stands_out).collect();
    if out.is_empty() {
        return html! {};
    }
    let body = html! { @for (step, standing) in out {
        @let prefix = again_prefix(step.no);
        @let open = form.fields().any(|(name, _)| name.starts_with(&prefix));
        div.again id={ "again-" (step.no) } {
            p { b { "Step " (step.no) "." } " " span.asks { (standing.looks.last().map_or(&standing.unmet, |look| &look.unmet)) }
                @for one in &standing.corrected { " " span.asks { (corrected(one)) } }
                @if !step.otherwise.is_empty() { " " b { "What to do: " } (step.otherwise) }
            }
            (parts::details_shown(&format!("Look at step {} again", step.no), open, reader.form(AGAIN, &format!("procedure-again-{}-{}", view.line.id, step.no), html! {
                input type="hidden" name="run" value=(view.line.id);
                input type="hidden" name="step" value=(step.key);
                input type="hidden" name="no" value=(step.no);
                @if !step.reads.is_empty() { div.fields { @for read in &step.reads { (step::field(read, form, &prefix)) } } }
                @if !step.look.is_empty() {
                    label.tick { input type="checkbox" name={ (prefix) "looked" } value="yes"; span { (step.look) } }
                }
                div.fields {
                    @if !step.second.is_empty() && standing.second.is_empty() {
                        (Field::new(&format!("{prefix}second"), &step.second).place("initials, another than who looked").text().from_form(form))
                    }
                    (Field::new(&format!("{prefix}by"), "Initials").place("who looked").text().from_form(form))
                    (Field::new(&format!("{prefix}at"), "Ship’s time").place("empty: now").text().from_form(form))
                }
                p.acts { button.big { "Write down what is found now" } }
            })))
        }
    } };
    parts::entry(
        "To be looked at again",
        html! { p { "Nothing is held by it. What is found now is added; what was found then stays." } },
        body,
    )
}

/// What the names of a later look’s fields begin with.
pub(super) fn again_prefix(no: usize) -> String {
    format!("g{no}-")
}

/// Taking a tick back, and mending its time or its initials.
pub(super) fn mend(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    let done: Vec<&StepView> = view.steps.iter().filter(|step| step.standing.is_some()).collect();
    if done.is_empty() {
        return html! {};
    }
    let open = form.was_sent("mend_why");
    let chosen = form.typed("mended");
    let body = parts::details_shown(
        "Take a tick back, or mend its time or initials",
        open,
        reader.form(MEND, &format!("procedure-mend-{}", view.line.id), html! {
            input type="hidden" name="run" value=(view.line.id);
            div.fields {
                div.field {
                    label for="mended" { "Which step" }
                    p.box { select.value.words id="mended" name="mended" {
                        @for step in done.iter().rev() { option value=(step.key) selected[chosen == step.key] { (step.no) ". " (super::run::briefly(step)) } }
                    } }
                }
                (Field::new("mend_why", "Why").place("wrong step, wrong clock").text().from_form(form))
                (Field::new("mend_by", "Initials").place("who says so").text().from_form(form))
            }
            p.acts {
                button name="do" value="back" { "Take the tick back" }
                button name="do" value="back-from" { "Take it and all behind it back" }
            }
            p { "The run stands at that step again; the tick stays in the record as taken back. What was read stays: a wrong reading is corrected on the page Readings." }
            div.fields {
                (Field::new("mend_time", "True ship’s time").place("empty: as it stands").text().from_form(form))
                (Field::new("mend_hand", "True initials").place("empty: as they stand").text().from_form(form))
            }
            p.acts { button name="do" value="mend" { "Mend time or initials" } }
        }),
    );
    html! { div id="mend" { (parts::entry("A tick that is wrong", html! {}, body)) } }
}

/// What a step asked for and did not find, said once after it was ticked.
pub(super) fn warned(view: &RunView, key: &str) -> Option<Markup> {
    let step = view.steps.iter().find(|step| step.key == key)?;
    let standing = step.standing.as_ref()?;
    let again = format!("{}#again-{}", run_address(view.line.id), step.no);
    Some(html! {
        "Written down. "
        @if !standing.unmet.is_empty() {
            "Step " (step.no) " was not as it should be, and that stands with it: " span.asks { (standing.unmet) } " Nothing holds here. "
            @if !step.otherwise.is_empty() { b { "What to do: " } (step.otherwise) " " }
            @if standing.stands_out { a href=(again) { "Look at it again" } }
        }
        @if !standing.remark.is_empty() { " " (standing.remark) }
        @for read in step.readings.iter().filter(|read| read.doubt.is_some()) {
            " " (read.label) " " (read.text) " is written as doubtful: read it again, or correct it on the page Readings."
        }
    })
}
