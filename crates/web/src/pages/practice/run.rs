//! One run: the sentence, time, the vessel with its handles, the list beside, the run so far and where it is heading.
//!
//! Every button belongs to the one form at the top, so that what is brought up to date need not carry tokens.

use chart::{Ids, Lanes};
use desk::practice::{Beside, Handles, MarkView, Pace, PracticeView, Standing, SwitchView, Way};
use maud::{Markup, PreEscaped, html};

use crate::parts::{self, Mark, state};
use crate::reader::Reader;

use super::{DEBRIEF, DO, LIVE, SECRET, run_address, said};

/// The form every button of the page belongs to.
const FORM: &str = "practise";

pub(super) fn page(reader: &Reader, view: &PracticeView, refused: Option<&str>) -> Markup {
    let standing = &view.standing;
    html! {
        section.entry id="answer" {
            form id=(FORM) method="post" action=(DO) data-live=(format!("{LIVE}?id={}", view.id)) data-end=(format!("{DEBRIEF}?id={}", view.id)) {
                input type="hidden" name="_token" value=(reader.token);
                input type="hidden" name="id" value=(view.id);
                // What Enter in a box presses, also without script.
                button.unseen name="do" value="typed" tabindex="-1" aria-hidden="true" { "Set what is typed" }
            }
            h1.question { "What is my plant doing?" }
            p.says data-part="says" { (says(standing)) }
            p.then aria-live="polite" data-part="event" { (event(standing)) }
            div data-part="next" { (next(standing)) }
            (said(refused))
            div.clock data-part="pace" { (pace(standing)) }
            div.note {
                p { b data-cell="clock" { (standing.clock) } " by the run’s clock; it ends at " (view.until) "." }
                p { "Nothing here touches the plant. Nothing here enters the ship’s log." }
                p { "A lever along the pipe is open; across it, shut. Numbers are the handles listed below." }
            }
        }
        section.entry {
            div.note {
                p { b { (view.title) ". " } (view.story) }
                p { "Sea water green, fresh water blue, as pipes are banded aboard. Dashes run the way the water runs, faster with flow." }
            }
            (at_a_glance(standing))
            div.beside.bench {
                div {
                    figure.vessel-picture data-hold { (PreEscaped(chart::vessel(&mut Ids::new("v"), &standing.vessel))) }
                    (gauges(standing))
                    (matter(view))
                    (beside(view))
                }
                div { (handles(standing)) }
            }
        }
        section.entry {
            h2 { "The run so far, and where it is heading" }
            div.note data-part="latest" { (latest(standing)) }
            figure data-part="trend" { (trend(&view.trend)) }
            p.muted { "In pencil: the next twenty minutes, should nobody touch anything and nothing more go wrong." }
        }
        section.entry {
            h2 { "Marks, another’s troubles, the end" }
            div data-part="marks" { (marks(standing)) }
            p.acts {
                a.act href=(format!("{DEBRIEF}?id={}", view.id)) { "Debrief so far" }
                a.act href=(format!("{SECRET}?id={}", view.id)) { "Set a trouble for the one at the handles" }
                a.act href=(run_address(view.id)) { "Look again" }
            }
        }
    }
}

/// A button of the form.
fn press(what: &str, words: &str) -> Markup {
    html! { button form=(FORM) name="do" value=(what) { (words) } }
}

pub(super) fn says(standing: &Standing) -> Markup {
    let says = &standing.says;
    html! { (says.before) b.fig { (says.figure) small { (says.unit) } } (says.after) }
}

/// What happened last.
pub(super) fn event(standing: &Standing) -> Markup {
    html! { @if let Some(latest) = standing.latest.first() { b { (latest.clock) } " " (latest.says) "." } }
}

/// What to do next, who has the handles, and what stopped the run.
pub(super) fn next(standing: &Standing) -> Markup {
    html! {
        @if standing.broke { p.then { span.asks { "Stopped:" } " the figures of this run cannot be carried on from here. Go back to a mark." } }
        @else if standing.over { p.then { "The run is over." } }
        @else if standing.away { p.then { span.asks { "Held:" } " nobody looked for twenty seconds, so the run waited. Choose a pace to go on." } }
        @match standing.handles {
            Handles::Others if !standing.over => p.then { span.asks { "Another has the handles." } " You may watch, or " (press("take", "take the handles")) },
            Handles::Free if !standing.over => p.then.muted { "Nobody has the handles; the first who acts takes them." },
            _ => {}
        }
        @if let Some(suits) = &standing.suits {
            p.then { (suits.says) " " (press(&format!("follow~{}", suits.key), &format!("Follow the list: {}", suits.name))) }
        }
        @if let (false, Some(step)) = (standing.over, standing.beside.as_ref().and_then(|beside| beside.step.as_ref())) {
            p.then { "The list, below: " a href="#list" { "step " (step.no) } ", " (briefly(&step.what)) ". " a href="#matter" { "What is the matter?" } }
        }
    }
}

fn briefly(what: &str) -> &str {
    what.split(['.', ';']).next().unwrap_or(what).trim()
}

pub(super) fn pace(standing: &Standing) -> Markup {
    html! {
        @for pace in Pace::ALL {
            button form=(FORM) name="do" value={ "pace~" (pace.word()) } aria-pressed=[(pace == standing.pace).then_some("true")] { (pace.word()) }
        }
        (press("on~1", "One minute on"))
        (press("on~10", "Ten minutes on"))
        (press("back~-60", "Back one minute"))
        (press("mark", "Set a mark"))
        @if standing.over { a.act.first href="/practice" { "Another exercise" } }
        @else { (press("end", "End it: debrief")) }
    }
}

/// The list that is followed.
fn beside(view: &PracticeView) -> Markup {
    let followed = view.standing.beside.as_ref();
    html! {
        section.list-beside id="list" {
            h2 { "The list beside" }
            div data-part="list" { (list(followed)) }
            div data-part="why" { (why(followed)) }
            p.muted { "The ship’s own text. Its guards are asked of this run’s gauges; the handles are yours all the same." }
            (follow(view))
        }
    }
}

/// The gauges that matter at every handle: they stay in sight while the page is scrolled.
const GLANCE: [(&str, &str); 6] = [
    ("g-vacuum", "Vacuum"),
    ("g-vapour", "Vapour"),
    ("g-jacket", "Engine jacket"),
    ("g-glass", "Glass"),
    ("g-cell", "Cell"),
    ("g-made", "Drawn off"),
];

fn at_a_glance(standing: &Standing) -> Markup {
    let value = |key: &str| {
        standing.gauges.iter().find(|gauge| gauge.key == key).map_or("", |gauge| &gauge.value)
    };
    html! { div.glance aria-hidden="true" {
        @for (key, label) in GLANCE { span { small { (label) } b data-cell=(key) { (value(key)) } } }
        span { small { "Clock" } b data-cell="clock" { (standing.clock) } }
    } }
}

fn gauges(standing: &Standing) -> Markup {
    html! {
        dl.gauges aria-label="Gauges beside the drawing" {
            @for gauge in &standing.gauges { div { dt { (gauge.label) } dd data-cell=(gauge.key) { (gauge.value) } } }
        }
        p.acts { (press("sample", "Try a sample with the hand meter")) }
    }
}

/// The question of every run, answered whenever one knows.
fn matter(view: &PracticeView) -> Markup {
    let said = view.standing.answered.as_ref().map(|said| said.name);
    html! {
        section.list-beside id="matter" {
            h2 { "What is the matter?" }
            p data-part="answered" { (answered(&view.standing)) }
            p.box { select form=(FORM) name="cause" aria-label="What is the matter" { @for (name, aboard) in &view.causes {
                option value=(name) selected[*name == said.unwrap_or("not known")] { (aboard) }
            } } }
            p.acts { (press("answer", "That is the matter")) }
        }
    }
}

/// What was said to be the matter.
pub(super) fn answered(standing: &Standing) -> Markup {
    html! { @match &standing.answered {
        Some(said) => { "You said at " b { (said.clock) } ": " (said.aboard) ". It can be changed until the end." },
        None => "Say it as soon as you know: it is told in the debrief, and may be changed until the end.",
    } }
}

fn handles(standing: &Standing) -> Markup {
    html! {
        h2 { "Handles" }
        ul.handles {
            @for valve in &standing.valves { li.handle.valve {
                span.no { (valve.no) }
                span { (valve.label) small data-cell={ "stands-" (valve.no) } { (valve.stands) } }
                span.turn {
                    (turn(valve.name, &valve.label, "0", "Shut", "shut"))
                    (turn(valve.name, &valve.label, "-10", "−", "10 % less"))
                    input form=(FORM) name={ "to~" (valve.name) } inputmode="decimal" autocomplete="off" placeholder="%" aria-label={ (valve.label) ": opening in per cent" };
                    (turn(valve.name, &valve.label, "+10", "+", "10 % more"))
                    (turn(valve.name, &valve.label, "100", "Open", "full open"))
                }
            } }
        }
        h2 { "Pumps, switches, settings" }
        div data-part="switches" { (switches(standing)) }
        ul.handles {
            @for set in &standing.sets { li.handle.valve {
                span.no {}
                span { (set.label) small data-cell={ "set-" (set.name) } { (set.stands) " " (set.unit) } }
                span.turn {
                    (change(set.name, &set.label, &format!("-{}", set.step), "−", "less"))
                    input form=(FORM) name={ "set~" (set.name) } inputmode="decimal" autocomplete="off" placeholder=(if set.unit.is_empty() { "0 to 1" } else { set.unit }) aria-label={ (set.label) ", " (set.unit) };
                    (change(set.name, &set.label, &format!("+{}", set.step), "+", "more"))
                }
            } }
        }
    }
}

fn turn(valve: &str, label: &str, to: &str, words: &str, says: &str) -> Markup {
    html! { button form=(FORM) name="do" value={ "turn~" (valve) "~" (to) } aria-label={ (label) ": " (says) } { (words) } }
}

fn change(set: &str, label: &str, to: &str, words: &str, says: &str) -> Markup {
    html! { button form=(FORM) name="do" value={ "set~" (set) "~" (to) } aria-label={ (label) ": " (says) } { (words) } }
}

pub(super) fn switches(standing: &Standing) -> Markup {
    html! {
        ul.handles {
            @for pump in &standing.pumps { li.handle {
                span.no {}
                span { (pump.label) small { (if pump.runs { "running" } else { "stopped" }) } }
                span.turn {
                    button form=(FORM) name="do" value={ "pump~" (pump.name) "~start" } aria-pressed=[pump.runs.then_some("true")] { "Start" }
                    button form=(FORM) name="do" value={ "pump~" (pump.name) "~stop" } aria-pressed=[(!pump.runs).then_some("true")] { "Stop" }
                }
            } }
            @for switch in &standing.switches { (one_switch(switch)) }
        }
    }
}

fn one_switch(switch: &SwitchView) -> Markup {
    let said = |word: &'static str| match (switch.name, word) {
        ("diverting valve", "dump") => "to dump",
        ("diverting valve", "forced") => "forced to the tank",
        (_, word) => word,
    };
    html! { li.handle {
        span.no {}
        span { (switch.label) small { (said(switch.at)) } }
        span.turn { @for word in switch.words {
            button form=(FORM) name="do" value={ "switch~" (switch.name) "~" (word) } aria-pressed=[(*word == switch.at).then_some("true")] { (said(word)) }
        } }
    } }
}

pub(super) fn list(beside: Option<&Beside>) -> Markup {
    let Some(beside) = beside else { return html! { p { "No list is followed." } } };
    let Some(step) = &beside.step else {
        return html! { p { (state(Mark::Done, &format!("{}: done", beside.name))) } };
    };
    html! {
        p { b { (beside.name) } ", step " (step.no) " of " (beside.steps) }
        p.list-step { (step.what) }
        @if !step.caution.is_empty() { (parts::caution("Caution.", html! { (step.caution) })) }
        p.muted { (step.why) }
        @if beside.elsewhere { p.muted { "Findings knows the ship’s own plant and nothing of this run: judge by the gauges and the trend here." } }
        @if !step.otherwise.is_empty() { (parts::details("What if it does not come?", html! { p { (step.otherwise) } })) }
        @if !step.look.is_empty() {
            label.tick { input type="checkbox" form=(FORM) name="looked" value="yes"; span { (step.look) } }
        }
        p.acts {
            button.first form=(FORM) name="do" value="tick" { "Done" }
            button form=(FORM) name="do" value="anyway" { @if step.holds { "Go on all the same" } @else { "Pass it over" } }
        }
    }
}

/// How the readings that a step wants stand.
pub(super) fn why(beside: Option<&Beside>) -> Markup {
    let Some((beside, step)) = beside.and_then(|b| Some((b, b.step.as_ref()?))) else {
        return html! {};
    };
    html! {
        @if let Some(foretold) = &step.foretold { p { (foretold.words) @if let Some(late) = &foretold.late { " " span.asks { "Late:" } " " (late) } } }
        @if !beside.held.is_empty() { p { (state(Mark::Shut, "held")) } }
        ul.wanted { @for wanted in &step.wanted { li {
            @match &wanted.unmet {
                None => (state(Mark::Done, "as wanted:")),
                Some(_) => (state(Mark::Missing, "not yet:")),
            }
            " " (wanted.words)
            @if let Some(unmet) = &wanted.unmet { br; small.muted { (unmet) } }
        } } }
        @for why in beside.held.iter().chain(&beside.warned).filter(|why| step.wanted.iter().all(|wanted| wanted.unmet.as_ref() != Some(*why))) {
            p.muted { (why) }
        }
    }
}

fn follow(view: &PracticeView) -> Markup {
    let now = view.standing.beside.as_ref().map(|beside| beside.key.as_str());
    parts::details(
        "Follow another list",
        html! {
            p.box { select form=(FORM) name="list" aria-label="List" { @for (key, name) in &view.lists {
                option value=(key) selected[now == Some(key.as_str())] { (name) }
            } } }
            p.acts { (press("follow", "Follow it from here")) }
        },
    )
}

pub(super) fn latest(standing: &Standing) -> Markup {
    html! { @for happened in &standing.latest { p { b { (happened.clock) } " " @if happened.by_hand { (happened.says) } @else { i { (happened.says) } } } } }
}

pub(super) fn trend(lanes: &Lanes) -> Markup {
    PreEscaped(chart::lanes(&mut Ids::new("t"), lanes))
}

pub(super) fn marks(standing: &Standing) -> Markup {
    let words = |mark: &MarkView| match mark.way {
        Way::Back => format!("Back to {}", mark.clock),
        Way::On => format!("On to {}, as it went then", mark.clock),
        Way::Left => format!("Over to {} of the way left", mark.clock),
    };
    html! { p.acts { @for mark in &standing.marks { (press(&format!("back~{}", mark.at_s), &words(mark))) } } }
}
