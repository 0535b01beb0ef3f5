//! The step under way: what is done, what must be seen, what is typed, and the ways on.

use desk::procedures::{MAY, RunView, Sort, Stands, StepView, ToRead};
use maud::{Markup, html};

use crate::form::FormState;
use crate::pages::readings::REASONS;
use crate::parts::{self, Field, Mark, Unit, Word};
use crate::reader::Reader;

use super::{Around, HELD, STEP, takes, time};

/// Readings are sent under this and their names.
pub(super) const READ: &str = "r~";
/// Why a doubtful reading stands is sent under this and its name.
pub(super) const KEPT: &str = "k~";
/// Why a reading was not taken is sent under this and its name.
pub(super) const NOT_TAKEN: &str = "x~";
/// What is doubtful about a reading, as it is told beside it; its likely figure under the other.
pub(super) const DOUBT: &str = "doubt~";
pub(super) const OFFER: &str = "offer~";
/// Set under this and its name where a reading was typed before in the same minute.
pub(super) const AGAIN_TYPED: &str = "again~";

pub(super) fn entry(
    reader: &Reader,
    around: &Around,
    view: &RunView,
    step: &StepView,
    form: &FormState,
) -> Markup {
    let held = matches!(view.stands, Stands::Held { .. });
    let body = html! {
        div.now id="now" {
            p.do { (step.what) }
            @if !step.caution.is_empty() { (parts::caution("Caution.", html! { (step.caution) })) }
            @if let Some(own) = &step.own {
                p.signed { (own) }
                // What the ship wrote herself is held against what the list warns of.
                @if !view.cautions.is_empty() { (parts::caution("Cautions of the list.", html! { (view.cautions.join(" ")) })) }
            }
            (guard(view, step, held))
            (counts(step))
            (wait(around, view))
            @if let Some(then) = view.own_time.filter(|_| !form.typed("at").trim().is_empty()) { p { "The guard is asked by the record of the time typed, " b { (time(around, then)) } "." } }
            @else if let Some(then) = view.own_time { p { "This run is written down afterwards: give each step its own time. Its guard is asked by the record of that time; here by that of " b { (time(around, then)) } "." } }
            @if !view.held_now.is_empty() { p { span.asks { @if view.line.sort == Sort::Work { "With the time “now” it is held by the record of now:" } @else { "With the time left empty it is held by the record of now:" } } @for why in &view.held_now { " " (why) } } }
            (reader.form(STEP, &format!("procedure-{}-{}", view.line.id, step.key), html! {
                input type="hidden" name="run" value=(view.line.id);
                input type="hidden" name="step" value=(step.key);
                @if !step.reads.is_empty() { div.fields { @for read in &step.reads { (field(read, form, "")) } } }
                @if !step.look.is_empty() {
                    label.tick { input type="checkbox" name="looked" value="yes" checked[form.typed("looked") == "yes"]; span { (step.look) } }
                }
                div.fields {
                    @if !step.note.is_empty() { (Field::new("note", &step.note).place("kept with the step").text().from_form(form)) }
                    @if !step.second.is_empty() { (Field::new("second", &step.second).place("initials, another than who does it").text().from_form(form)) }
                    (Field::new("by", "Initials").place(if view.line.sort != Sort::Work && !step.holds { "may be named afterwards" } else if step.who == "watch-keeper" { "who did it" } else { step.who }).text().from_form(form))
                    (Field::new("at", "Ship’s time").place(if view.own_time.is_none() { "empty: now" } else if view.line.sort == Sort::Work { "when it was, or “now”" } else { "when it was; empty: now" }).text().from_form(form))
                }
                p.acts {
                    button.first.big name="do" value="tick" { "Done: step " (step.no) }
                    @if !step.reads.is_empty() { button.big name="do" value="read" { "Write readings only" } }
                }
                (others(step, form, held))
            }))
            p.why { b { "Why: " } (step.why) }
            @if !step.otherwise.is_empty() { p.why { b { "What if it does not: " } (step.otherwise) } }
            @if !step.way_out.is_empty() { p.why { b { "Way out after it: " } (step.way_out) } }
        }
    };
    let note = html! {
        p { "Usually " (takes(step.takes_min)) "." }
        @if let Some(foretold) = &step.foretold { p { (foretold.words) @if let Some(late) = &foretold.late { " " span.asks { "Late:" } " " (late) } } }
    };
    parts::entry(&format!("Step {}", step.no), note, body)
}

/// What is said of the guard beyond the headline and the boxes: each figure stands with its box, the reason that binds most
/// in the headline.
fn guard(view: &RunView, step: &StepView, held: bool) -> Markup {
    let (warned, to_read): (&[String], bool) = match &view.stands {
        Stands::At { warned, .. } => (warned, false),
        Stands::Held { why, to_read, .. } => (why, *to_read),
        _ => (&[], false),
    };
    if to_read || (step.wanted.is_empty() && warned.is_empty()) {
        return html! {};
    }
    html! { div.guard.shut[held] {
        p.verdict { @match (held, warned.is_empty()) {
            (true, _) if step.towards.is_empty() => { "Held: nothing is ticked here as if it were so still" }
            (true, _) => { "Held, for it leads to " (step.towards) @if view.not_yet { ". Do not do it yet." } @else { ". No further before it is as wanted." } }
            (false, true) => { "All as wanted" }
            (false, false) => { "Not as wanted; nothing holds" }
        } }
        // What holds comes first, each with what was found and what is wanted; what is in order is folded behind it.
        @let met: Vec<_> = step.wanted.iter().filter(|wanted| wanted.unmet.is_none()).collect();
        @let list = html! { ul { @for wanted in &met { li { (Mark::Done) span { (wanted.words) @if !wanted.lasts.is_empty() { " (" (wanted.lasts) ")" } } } } } };
        @if !warned.is_empty() { ul { @for why in warned { li.asks { (Mark::Shut) span { (why) } } } } }
        @for (run, list) in &view.shut_by { p { a href=(super::run_address(*run)) { "To " (list) } } }
        @if !met.is_empty() {
            @if warned.is_empty() { (list) }
            @else { (parts::details_shown(&format!("In order: {}", met.len()), false, list)) }
        }
    } }
}

/// From when and till when what must last is counted, where it is not shown yet.
fn counts(step: &StepView) -> Markup {
    let waits =
        step.wanted.iter().filter(|wanted| wanted.unmet.is_some() && !wanted.lasts.is_empty());
    html! { @for wanted in waits { p.count { (Mark::Wait) " " (wanted.words) ": " b { (wanted.lasts) } "." } } }
}

/// The wait, in plain text; a module counts it down.
fn wait(around: &Around, view: &RunView) -> Markup {
    html! { @if let Some(until) = view.wait_until.filter(|until| *until > around.now) {
        p.count role="timer" { (Mark::Wait) " Wait until " b { (time(around, until)) } span data-until=(until.to_string()) data-from=(around.now.to_string()) {
            ", " (crate::shiptime::lasting(until.as_second() - around.now.as_second() + 59)) " from when this page was drawn"
        } "." }
    } }
}

/// One reading to type, with what was asked about it; `prefix` keeps the fields of several forms apart.
pub(super) fn field(read: &ToRead, form: &FormState, prefix: &str) -> Markup {
    let name = format!("{prefix}{READ}{}", read.key);
    let mut field = Field::new(&name, read.label).place(read.place).expected(&read.wanted);
    if let Some((text, at)) = &read.last {
        field = field.was(at, text);
    }
    if read.words.is_empty() {
        let from = read.last.as_ref().and_then(|(text, _)| text.split(' ').next()).unwrap_or("");
        field = field.unit(Unit::Fixed(read.unit)).step(&read.step, from);
    } else {
        field = field.one_of(read.words);
    }
    let why = form.typed(&format!("{prefix}{DOUBT}{}", read.key));
    let field = field.from_form(form);
    if why.is_empty() {
        let name = format!("{prefix}{NOT_TAKEN}{}", read.key);
        let chosen = form.typed(&name);
        let not_taken = html! { select name=(name) aria-label={ (read.label) ", not taken because" } {
            option value="" { "not read" }
            @for reason in REASONS { option value=(reason) selected[chosen == reason] { "not taken: " (reason) } }
        } };
        let refused = format!("{prefix}{READ}{}", read.key);
        return match form.error(&refused) {
            Some(why) => {
                html! { (field.word(Word::Refused { word: "not written:", why, choices: not_taken })) }
            }
            None => html! { (field.word(Word::Why(not_taken))) },
        };
    }
    let again = !form.typed(&format!("{prefix}{AGAIN_TYPED}{}", read.key)).is_empty();
    let (kept, offer) = (
        format!("{prefix}{KEPT}{}", read.key),
        form.typed(&format!("{prefix}{OFFER}{}", read.key)),
    );
    let choices = html! {
        @if !offer.is_empty() { button name="do" value={ "offer:" (read.key) ":" (offer) } { "Use " (offer) } }
        label for=(kept) { (if again { "Typed again, for" } else { "It stands, for" }) } " "
        input.free id=(kept) name=(kept) value=(form.typed(&kept)) placeholder=(if again { "misread" } else { "read twice" }) autocomplete="off";
    };
    html! { (field.word(Word::Doubt { word: if again { "typed already:" } else { "does not fit:" }, why, choices })) }
}

/// Passing a step over, and going on against its guard.
fn others(step: &StepView, form: &FormState, held: bool) -> Markup {
    let open = form.error("reason").is_some() || !form.typed("reason").is_empty();
    let summary = if step.holds { "Go on all the same" } else { "Pass this step over" };
    // The second person is asked for with the tick itself.
    let sent = form.was_sent(HELD) || form.typed("do") == "override";
    if step.holds && !held && !sent {
        return html! {};
    }
    parts::details_shown(
        summary,
        open,
        html! {
            @if step.holds { p { "It stands in the record with name and reason. This one is for the " (step.overridden_by) "." } }
            div.fields {
                @if step.holds {
                    div.field {
                        label for="who" { "Who says so" }
                        p.box { select.value.words id="who" name="who" {
                            @for (word, aboard) in MAY { option value=(word) selected[form.typed("who") == word] { (aboard) } }
                        } }
                    }
                }
                @if step.holds { (Field::new("chief", "Chief engineer’s initials, where it is the chief’s word").text().from_form(form)) }
                (Field::new("reason", "Why").text().from_form(form))
            }
            p.acts {
                @if step.holds { button name="do" value="override" { "Go on against the guard" } }
                @if !step.holds { button name="do" value="pass" { "Pass it over" } }
            }
        },
    )
}
