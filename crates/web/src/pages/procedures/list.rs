//! The list of procedures, and one of them whole: as it is read, printed blank and begun.

use desk::procedures::{ListLine, ProcedureView, RunLine, Sort, StepView};
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Cell, Field, Mark, Row, Table, fig};
use crate::reader::Reader;

use super::{Around, BEGIN, PAST, TEXT, address, emergencies, refused, run_address, takes, time};

/// The page of all of them.
pub(super) fn all(around: &Around) -> Markup {
    let open = &around.lists.open;
    let says = match open.as_slice() {
        [] => {
            html! { "Nothing is under way; " (fig(&around.lists.lists.len().to_string(), "procedures")) " to choose from." }
        }
        [one] => {
            html! { (one.name) " is under way: " (fig(&one.done.to_string(), &format!("of {} steps", one.steps))) " done." }
        }
        many => html! { (fig(&many.len().to_string(), "procedures")) " are under way." },
    };
    let acts = html! { @if !open.is_empty() { (parts::acts(html! {
        @for (i, run) in open.iter().enumerate() { (parts::act(&run_address(run.id), &format!("Go on: {}, step {} of {}", run.name, run.next, run.steps), i == 0)) }
    })) } };
    let note = html! { p { "Guards hold only on the way to more heat, to a tank or with chemicals. Shutting heat, stopping and emergencies are never held; only the way back to a tank is." } };
    let then = html! { @for told in &around.lists.told { p.then { span.asks { "Not read:" } " " (told) } } };
    html! {
        (emergencies(around, None))
        (parts::answer("What is to be done, and in which order?", says, then, acts, note))
        (parts::entry("Emergencies", html! { p { "Do it first; tick it afterwards, with the true times." } }, lines(around, |line| line.sort == Sort::Emergency)))
        (parts::entry("Procedures", html! { p { "How long each takes: least and most, waits included." } }, lines(around, |line| line.sort != Sort::Emergency)))
        (past(around))
    }
}

fn lines(around: &Around, of: impl Fn(&ListLine) -> bool) -> Markup {
    html! { ul.lists { @for line in around.lists.lists.iter().filter(|line| of(line)) { li {
        a.act href=(address(&line.key)) { (line.name) }
        span { (line.about) " " small.muted {
            (line.steps) " steps, " (takes(line.takes_min))
            @if line.own { "; her own text" }
            @if line.problems > 0 { "; " span.asks { "her own text cannot be used: " (line.problems) " to mend" } }
        } }
    } } } }
}

fn past(around: &Around) -> Markup {
    if around.lists.past.is_empty() {
        let cost = html! { "The first run that is done or given up stands here, with its times." };
        return parts::entry("Runs that are over", html! {}, parts::quiet("None yet", cost));
    }
    let table = Table::new("", "Run").words("Begun").words("By").words("Ended").words("How");
    let rows = around.lists.past.iter().map(|run| {
        let ended = run.ended.map_or_else(String::new, |at| time(around, at));
        let cells: [Cell; 4] =
            [time(around, run.began).into(), run.by.as_str().into(), ended.into(), how(run).into()];
        Row::new(html! { a href=(run_address(run.id)) { (run.name) } }, cells)
    });
    let mut keys: Vec<(&str, &str)> = Vec::new();
    for run in &around.lists.past {
        if !keys.iter().any(|(key, _)| *key == run.key) {
            keys.push((&run.key, &run.name));
        }
    }
    let compare = html! { p.acts { @for (key, name) in keys { (parts::act(&format!("{PAST}?key={key}"), &format!("Compare: {name}"), false)) } } };
    parts::entry("Runs that are over", html! {}, html! { (table.rows(rows)) (compare) })
}

fn how(run: &RunLine) -> String {
    match &run.given_up {
        Some(reason) => {
            format!("given up at step {} of {}: {reason}", (run.done + 1).min(run.steps), run.steps)
        }
        None => match apart(run) {
            Some(how) if run.undone.is_some() => {
                format!("ticked to its end, not all of it stands: {how}")
            }
            Some(how) => format!("every step; {how}"),
            None => "every step".to_owned(),
        },
    }
}

/// Steps that were not simply done as wanted: "2 not as wanted, 1 against its guard, 1 step out of
/// its order: step 8 (overboard) before step 1 (heat off)".
pub(super) fn apart(run: &RunLine) -> Option<String> {
    let counts = [
        (run.stand_out, "not as wanted"),
        (run.against, "against the guard"),
        (run.passed, "passed over"),
    ];
    let told = counts.iter().filter(|(n, _)| *n > 0).map(|(n, words)| format!("{n} {words}"));
    let mut told: Vec<String> = told.collect();
    if run.out_of_order > 0 {
        let steps = if run.out_of_order == 1 { "step out of its" } else { "steps out of their" };
        let more = if run.out_of_order > run.order_named.len() { "; and more" } else { "" };
        let named = run.order_named.join("; ");
        told.push(format!("{} {steps} order: {named}{more}", run.out_of_order));
    }
    told.extend(run.undone.clone());
    (!told.is_empty()).then(|| told.join(", "))
}

/// One procedure whole.
pub(super) fn one(
    reader: &Reader,
    around: &Around,
    view: &ProcedureView,
    form: &FormState,
    told: Option<&str>,
) -> Markup {
    let line = &view.line;
    let says = html! { (line.name) ": " (fig(&line.steps.to_string(), "steps")) ", " (takes(line.takes_min)) "." };
    let then = html! {
        (refused(form))
        @if let Some(told) = told { p.then role="status" { (told) } }
        @if !view.problems.is_empty() { p.then { span.asks { "Her own text cannot be used:" } " " (view.problems.len()) " to mend; the usual one holds. " a href=(text_address(&line.key)) { "Mend it" } } }
        p.then { (line.about) }
        @for (says, what) in [("Weaker than the usual text:", &view.weaker), ("Otherwise than the usual text:", &view.otherwise)] {
            @if !what.is_empty() { div.then {
                p { span.asks { (says) } @if let Some((chief, ..)) = &view.by_word { " last by the word of " (chief) "." } @else { " nobody’s word for it stands in the record." } }
                ul { @for what in what { li { (what) } } }
            } }
        }
        @if let Some(remark) = &view.remark { p.then { span.asks { (remark) } } }
        @if line.sort == Sort::Work { @for caution in &view.cautions { (parts::caution("Caution.", html! { (caution) })) } }
    };
    let note = html! {
        @if line.sort != Sort::Work { p { @if view.steps.iter().any(|step| step.holds) { "Nothing here is held but the way back to a tank." } @else { "Nothing here is ever held." } } }
        @if let Some((chief, at, why)) = &view.by_word { p { "Changed by the word of " b { (chief) } ", " (time(around, *at)) ": “" (why) "”." } }
        p { "Text " code { (view.version) } @if line.own { ", her own" } @else { ", the usual one" } "." }
    };
    let acts = html! {
        @if let Some(open) = &view.open { (parts::acts(parts::act(&run_address(open.id), &format!("Go on: step {} of {}", open.next, open.steps), true))) }
    };
    let first = line.sort != Sort::Work;
    html! {
        (emergencies(around, None))
        (parts::answer("What is done, in which order, and why?", says, then, acts, note))
        // In an emergency the list comes first, who writes it down afterwards.
        @if !first { (begin(reader, around, view, form)) }
        (parts::entry(&line.name, html! { @if line.sort != Sort::Work { @for caution in &view.cautions { p { (caution) } } } }, html! {
            p.paper-only { "Begun (ship’s time) ____________   by ________   Position ____________________" }
            (steps(&view.steps, !first))
        }))
        @if first { (begin(reader, around, view, form)) }
        (parts::entry("Where it comes from", html! {}, html! {
            p.source { (view.source) "." }
            p.acts {
                button type="button" data-print hidden { "Print blank" }
                (parts::act(&text_address(&line.key), "Change the text", false))
                (parts::act(&format!("{PAST}?key={}", line.key), "Earlier runs", false))
            }
        }))
    }
}

fn text_address(key: &str) -> String {
    format!("{TEXT}?key={key}")
}

fn begin(reader: &Reader, around: &Around, view: &ProcedureView, form: &FormState) -> Markup {
    let urgent = view.line.sort != Sort::Work;
    if view.open.is_some() && !urgent {
        return html! {};
    }
    let words = if urgent { "Write it down" } else { "Begin" };
    parts::entry(
        words,
        html! { p { "Each step then stands in the record with who and when." } },
        reader.form(
            BEGIN,
            &format!("procedure-begin-{}", view.line.key),
            html! {
                input type="hidden" name="key" value=(view.line.key);
                div.fields {
                    (Field::new("by", "Initials").place(if view.line.sort == Sort::Work { "who leads it" } else { "may be named afterwards" }).text().from_form(form))
                    (Field::new("at", "Ship’s time").place("empty: now").text().from_form(form))
                }
                @if view.meanwhile.is_empty() { p.acts { button.first.big { (words) } } }
                @else {
                    @for run in &view.meanwhile { p.not-on-paper { span.asks { (run.name) " is under way since " (time(around, run.began)) " (step " (run.next) "):" } " abandon it there, or go on with both? " a href=(run_address(run.id)) { "To it" } } }
                    // Neither is the one that is meant: the key Enter begins nothing.
                    p.acts {
                        button disabled hidden {}
                        button.big name="meanwhile" value="give-up" { "Abandon " (view.meanwhile.iter().map(|run| run.name.as_str()).collect::<Vec<_>>().join(", ")) ", and begin" }
                        button.big name="meanwhile" value="both" { "Begin, and go on with both" }
                    }
                }
            },
        ),
    )
}

/// Every step as it is read beforehand; on paper with room for time and initials.
fn steps(steps: &[StepView], whys: bool) -> Markup {
    html! { ol.steps { @for step in steps { li.step {
        div {
            p.do { (step.what) }
            @if !step.caution.is_empty() { p.caution { b { "Caution." } " " (step.caution) } }
            (see(step))
            @if whys { p.why { (step.why) } } @else { p.why { small { (step.why) } } }
            @if !step.otherwise.is_empty() { p.why { b { "If not: " } (step.otherwise) } }
            @if let Some(own) = &step.own { p.signed { (own) } }
            @if let Some(foretold) = &step.foretold { p.signed { (foretold.words) } }
            p.signed { (takes(step.takes_min)) @if step.wait_min > 0.0 { ", not before " (super::minutes(step.wait_min)) " after the step before" } @if step.who != "watch-keeper" { "; by the " (step.who) } }
            (to_write(step))
        }
    } } } }
}

/// Room on paper for what is written down with a step.
pub(super) fn to_write(step: &StepView) -> Markup {
    html! {
        p.paper-only { "Time ____________   By ________   Read ______________________________" }
        @if !step.note.is_empty() { p.paper-only { (step.note) " ______________________________" } }
        @if !step.second.is_empty() { p.paper-only { (step.second) " ________" } }
    }
}

/// What must be seen before going on.
pub(super) fn see(step: &StepView) -> Markup {
    html! { @if !step.wanted.is_empty() || !step.look.is_empty() { div.guard {
        p.verdict { @if step.holds { "Do it, then see; not ticked before, for it leads to " (step.towards) } @else { "See" } }
        ul {
            @for wanted in &step.wanted { li { (Mark::Wait) span { (wanted.words) } } }
            @if !step.look.is_empty() { li { (Mark::Wait) span { (step.look) } } }
        }
    } } }
}
