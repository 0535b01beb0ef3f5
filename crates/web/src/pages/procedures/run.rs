//! One run: the sentence, the step under way with big targets, what is done with its true times, and the way out.

use desk::procedures::{RunLine, RunView, Sort, Stands, StepView};
use maud::{Markup, html};

use crate::form::FormState;
use crate::parts::{self, Field, fig};
use crate::reader::Reader;

use super::{
    AFTERWARDS, Around, GIVE_UP, HAND_OVER, NAME, PAST, address, done, emergencies, list, refused,
    run_address, step, takes, time,
};

pub(super) fn page(
    reader: &Reader,
    around: &Around,
    view: &RunView,
    form: &FormState,
    told: Option<&Markup>,
) -> Markup {
    let place = under_way(view);
    html! {
        (emergencies(around, Some(view.line.id)))
        (answer(reader, around, view, form, told))
        @if let Some(place) = place { (step::entry(reader, around, view, &view.steps[place], form)) }
        @if place.is_some() && view.line.sort != Sort::Work { (afterwards(reader, view, form)) }
        @if view.unnamed > 0 { (unnamed(reader, view, form)) }
        (done::order(reader, view, form))
        (done::look_again(reader, view, form))
        (done::steps(around, view, place))
        (done::mend(reader, view, form))
        @if place.is_some() { (hand_over(reader, view, form)) (give_up(reader, view, form)) }
    }
}

/// Place of the step under way.
fn under_way(view: &RunView) -> Option<usize> {
    match view.stands {
        Stands::At { place, .. } | Stands::Held { place, .. } => Some(place),
        Stands::Done { .. } | Stands::GivenUp { .. } => None,
    }
}

/// The first sentence of what is done.
pub(super) fn briefly(step: &StepView) -> &str {
    let first = step.what.split(['.', ';']).next().unwrap_or(&step.what);
    first.trim()
}

fn answer(
    reader: &Reader,
    around: &Around,
    view: &RunView,
    form: &FormState,
    told: Option<&Markup>,
) -> Markup {
    let count = view.steps.len();
    let step = |place: usize| {
        let step = &view.steps[place];
        html! { "Step " (fig(&step.no.to_string(), &format!("of {count}"))) ": " (briefly(step)) "." }
    };
    let says = match &view.stands {
        Stands::At { place, warned } if warned.is_empty() => html! { (step(*place)) },
        Stands::At { place, .. } => {
            html! { (step(*place)) " Nothing holds; look at what is said below." }
        }
        Stands::Held { place, briefly, to_read: true, .. } => {
            html! { (step(*place)) " Do it, then read: may be ticked when " (briefly) "." }
        }
        Stands::Held { place, briefly, .. } => html! { (step(*place)) " Held: " (briefly) "." },
        Stands::Done { at } => {
            html! { (view.line.name) @if view.line.undone.is_some() { " is ticked to its end, and not all of it stands: " } @else { " is done, " } (fig(&count.to_string(), "steps")) ", at " (time(around, *at)) "." @if let Some(how) = list::apart(&view.line) { " Of these " (how) "." } }
        }
        Stands::GivenUp { at, .. } => {
            html! { (view.line.name) " was given up after " (fig(&view.line.done.to_string(), &format!("of {count} steps"))) ", at " (time(around, *at)) "." }
        }
    };
    let then = html! {
        (refused(form))
        @if let Some(told) = told { p.then role="status" { (told) } }
        @if let Some(remark) = &view.remark { p.then { span.asks { (remark) } } }
        @if let Some(undone) = view.line.undone.as_ref().filter(|_| view.line.ended.is_none()) { p.then { span.asks { "Not so any more:" } " " (undone) "." } }
        @match &view.stands {
            Stands::GivenUp { by, reason, .. } => {
                p.then { "By " (by) ": " (reason) }
                @if let Some(way) = &view.way_out { p.then { b { "Way out: " } (way) } }
            }
            Stands::Done { .. } => {}
            _ => p.then { "Left: " (takes(view.left_min)) "." @if let Some(way) = &view.way_out { " " b { "Way out from here: " } (way) } },
        }
        @if view.text_changed { p.then.muted { "It follows the text of its begin, " code { (view.line.version) } "; the text has been changed since." } }
        @if view.text_lost { p.then { span.asks { "The text it was begun with is not found:" } " the steps shown are those of today." } }
        @for other in &view.others {
            div.then.not-on-paper {
                p { (other.name) " is under way since " (time(around, other.began)) " (step " (other.next) "). " a href=(run_address(other.id)) { "To it" } }
                (abandon(reader, view, other, form))
            }
        }
    };
    let note = html! {
        p { "Begun " b { (crate::shiptime::dated(&around.clock, view.line.began)) } " by " (view.line.by) "." @if view.line.led_by != view.line.by { " Led by " b { (view.line.led_by) } "." } }
        @for caution in &view.cautions { p { (caution) } }
    };
    let acts = parts::acts(html! {
        (parts::act(&address(&view.line.key), "The whole list", false))
        @if view.line.ended.is_some() { (parts::act(&format!("{PAST}?key={}", view.line.key), "Compare with earlier runs", false)) }
        button type="button" data-print hidden { "Print as filled" }
    });
    parts::answer("Which step next, and is it safe to go on?", says, then, acts, note)
}

/// Another run given up from this one: signed and with its reason, as its own page asks for.
fn abandon(reader: &Reader, view: &RunView, other: &RunLine, form: &FormState) -> Markup {
    let (by, why) = (format!("give_by~{}", other.id), format!("give_reason~{}", other.id));
    let summary = format!("Abandon: {}", other.name);
    let keep = format!("procedure-give-{}-from-{}", other.id, view.line.id);
    let body = reader.form(
        GIVE_UP,
        &keep,
        html! {
            input type="hidden" name="run" value=(other.id);
            input type="hidden" name="back" value=(view.line.id);
            div.fields {
                (Field::new(&why, "Why").place("bridge, weather, a fault").text().from_form(form))
                (Field::new(&by, "Initials").text().from_form(form))
            }
            p.acts { button { (summary) } }
        },
    );
    parts::details_shown(&summary, form.was_sent(&by), body)
}

/// What is said once another run was given up from this one: where it was left, and how it is left safely.
pub(super) fn given_up_beside(other: &RunView) -> Markup {
    let line = &other.line;
    html! {
        a href=(run_address(line.id)) { (line.name) } " is given up after " (line.done) " of " (line.steps) " steps: it stands in the record."
        @if let Some(way) = &other.way_out { " " b { "Its way out from there: " } (way) }
    }
}

/// Steps of a stop or an emergency ticked at once, each with its true time.
fn afterwards(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    // The way back to a tank is ticked by itself, with its readings.
    let open = view.steps.iter().filter(|step| step.standing.is_none() && !step.holds);
    let open: Vec<&StepView> = open.collect();
    if open.is_empty() {
        return html! {};
    }
    let body = reader.form(AFTERWARDS, &format!("procedure-after-{}", view.line.id), html! {
        input type="hidden" name="run" value=(view.line.id);
        ul.ticks { @for step in open { li {
            label.tick { input type="checkbox" name="did" value=(step.key) checked[form.all("did").contains(&step.key)]; span { (step.no) ". " (step.what) @if !step.look.is_empty() { " " small { "Seen: " (step.look) } } } }
            label.at { "at" input.free name={ "t~" (step.key) } value=(form.typed(&format!("t~{}", step.key))) placeholder="now" autocomplete="off" aria-label={ "Ship’s time of step " (step.no) }; }
            @if !step.note.is_empty() { label.written { (step.note) " " input.free name={ "n~" (step.key) } value=(form.typed(&format!("n~{}", step.key))) autocomplete="off"; } }
            @if !step.second.is_empty() { label.written { (step.second) " " input.free name={ "s~" (step.key) } value=(form.typed(&format!("s~{}", step.key))) autocomplete="off"; } }
        } } }
        div.fields { (Field::new("after_by", "Initials").place("may be named afterwards").text().from_form(form)) }
        p.acts { button.big { "Write down what is ticked" } }
    });
    parts::entry(
        "Ticked afterwards",
        html! { p { "In any order, each with its true time by the ship’s clock, such as 04:12; empty means now. A tick says too that what stands under “Seen” was seen." } },
        body,
    )
}

/// What was done in haste is named afterwards.
fn unnamed(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    let body = reader.form(NAME, &format!("procedure-name-{}", view.line.id), html! {
        input type="hidden" name="run" value=(view.line.id);
        div.fields { (Field::new("named", "Initials").place("whoever did it").text().from_form(form)) }
        p.acts { button.big { "Name them" } }
    });
    parts::entry(
        "Without initials",
        html! { p { (view.unnamed) " written down without initials: nothing may stand before a stop or an emergency. Say afterwards who it was." } },
        body,
    )
}

/// Somebody else leads it from now on.
fn hand_over(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    let body = reader.form(HAND_OVER, &format!("procedure-hand-{}", view.line.id), html! {
        input type="hidden" name="run" value=(view.line.id);
        div.fields {
            (Field::new("to", "Hand over to").place("initials of who leads it now").text().from_form(form))
            (Field::new("hand_by", "Initials").place("who hands over, or takes over").text().from_form(form))
        }
        p.acts { button { "Hand over" } }
    });
    let note = html! { p { "It is led by " b { (view.line.led_by) } ". Who leads it or who takes it over signs. Any step may be ticked by whoever did it." } };
    parts::entry(
        "Watch changes",
        note,
        parts::details_shown("Hand this run over", form.was_sent("to"), body),
    )
}

fn give_up(reader: &Reader, view: &RunView, form: &FormState) -> Markup {
    let open = form.was_sent("give_by");
    let body = html! {
        @if let Some(way) = &view.way_out { p { b { "Way out from here: " } (way) } }
        (parts::details_shown("Give this run up", open, reader.form(GIVE_UP, &format!("procedure-give-{}", view.line.id), html! {
            input type="hidden" name="run" value=(view.line.id);
            div.fields {
                (Field::new("give_reason", "Why").place("bridge, weather, a fault").text().from_form(form))
                (Field::new("give_by", "Initials").text().from_form(form))
            }
            p.acts { button { "Give it up" } }
        })))
    };
    parts::entry("The way out", html! {}, body)
}
