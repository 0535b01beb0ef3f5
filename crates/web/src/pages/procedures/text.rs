//! The text of a procedure as the file it is, with the line of every problem.

use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::procedures::{GuardName, Losing, Problem, ProcedureView, guard_names};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field, Mark, fig, state};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::{Around, TEXT, address, emergencies, read, refused};

pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Markup, Trouble> {
    let key = asked.typed("key").to_owned();
    let (around, view) = read(&app, move |desk, now| desk.procedure(&key, now)).await?;
    let usual = asked.was_sent("usual");
    let text = match (&view.usual, &view.refused) {
        (Some(text), _) if usual => text.clone(),
        (_, Some(text)) if !usual => text.clone(),
        _ => view.text.clone(),
    };
    let problems = view.problems.clone();
    let problems = if text == view.text { Vec::new() } else { problems };
    let restored = usual && view.usual.is_some();
    let text = Text { text: &text, usual: restored, guards: false };
    Ok(page(&reader, &around, &view, &FormState::default(), text, (&problems, (&[], &[]))))
}

pub(super) async fn take(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    // Browsers send line ends as CR LF; the file has LF.
    let text = form.typed("text").replace("\r\n", "\n");
    let (key, by, base) =
        (form.typed("key").to_owned(), form.typed("by").to_owned(), form.typed("base").to_owned());
    let (sent, at) = (text.clone(), key.clone());
    let (chief, why) = (form.typed("chief").to_owned(), form.typed("why").to_owned());
    let (around, (view, problems, ((lost, own), guards), failed)) = read(&app, move |desk, now| {
        let view = desk.procedure(&at, now)?;
        let problems = desk.procedure_problems(&at, &sent);
        let lost = (desk.guards_lost(&at, &sent)?, desk.own_guards_lost(&at, &sent)?);
        let guards = desk.takes_guards(&at, &sent)?;
        let losing = Losing { chief: &chief, why: &why };
        let failed = if !problems.is_empty() {
            None
        } else if view.version != base {
            Some("The text was changed by somebody else since this page was drawn. What you typed stands below; look at theirs before you keep it.".to_owned())
        } else {
            match desk.keep_procedure(&at, &sent, &by, losing, now) {
                Ok(true) => None,
                Ok(false) => Some("Nothing was changed: the text is as it was.".to_owned()),
                Err(e) => Some(e.to_string()),
            }
        };
        Ok((view, problems, (lost, guards), failed))
    })
    .await?;
    if problems.is_empty() && failed.is_none() {
        return Ok(Redirect::to(&format!("{}&kept", address(&key))).into_response());
    }
    match failed {
        Some(why) if why.starts_with("Initials: ") => form.refuse("by", why),
        Some(why) if why.starts_with("Chief engineer: ") => form.refuse("chief", why),
        Some(why) => form.refuse_whole(why),
        None => {}
    }
    let usual = view.usual.as_deref().is_some_and(|usual| usual.trim_end() == text.trim_end());
    let shown = Text { text: &text, usual, guards };
    let page = page(&reader, &around, &view, &form, shown, (&problems, (&lost, &own)));
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The text in the box, and whether it is the usual one shown in place of her own.
struct Text<'a> {
    text: &'a str,
    usual: bool,
    /// It takes guards or order away, not only changes what is done or said.
    guards: bool,
}

fn page(
    reader: &Reader,
    around: &Around,
    view: &ProcedureView,
    form: &FormState,
    Text { text, usual, guards }: Text<'_>,
    (problems, (lost, own)): (&[Problem], (&[String], &[String])),
) -> Markup {
    let key = &view.line.key;
    let lines = text.lines().count();
    let says = match problems.len() {
        0 => {
            html! { "The text of “" (view.line.name) "”, " (fig(&lines.to_string(), "lines")) "." }
        }
        n => html! { "Nothing was changed: " (fig(&n.to_string(), "to mend")) " in the text." },
    };
    let then = html! {
        (refused(form))
        @if usual { p.then { b { "The usual text stands below and is not kept yet." } " Give initials and press “Keep this text”: then it holds again." } }
        p.then { "Which steps a list has and what each of them does is the chief engineer’s word, in every list; the usual text may always be put back. A change stands in the record, old and new. Runs under way keep the text they were begun with." }
    };
    let acts = parts::acts(html! {
        (parts::act(&address(key), "Back to the list", false))
        @if view.line.own || !view.problems.is_empty() { (parts::act(&format!("{TEXT}?key={key}&usual"), "Restore the usual text", false)) }
    });
    let note = html! {
        p { "Texts stand between quotation marks. A guard is written as " code { "vapour_temp_c between 40 and 50 for 5 min" } "." }
        p { "Compared may be with " code { "limit." } " and " code { "set." } " of the page Ship, and with " code { "expected." } " of the model." }
    };
    let body = html! {
        @if !problems.is_empty() { ul id="text-problems" { @for problem in problems { li {
            (state(Mark::Shut, &problem.line.map_or_else(|| "the whole".to_owned(), |n| format!("line {n}")))) " "
            b { (problem.key) } " " (problem.message)
            @if let Some(shown) = problem.line.and_then(|n| text.lines().nth(n.saturating_sub(1))) { br; code { (shown) } }
        } } } }
        input type="hidden" name="key" value=(key);
        input type="hidden" name="base" value=(view.version);
        label for="text" { (key) ".toml, " (lines) " lines" }
        textarea.toml id="text" name="text" rows=(lines.clamp(12, 32)) spellcheck="false" autocomplete="off" autocapitalize="off"
            aria-invalid=[(!problems.is_empty()).then_some("true")]
            aria-describedby=[(!problems.is_empty()).then_some("text-problems")]
        { (text) }
        @if !lost.is_empty() {
            (parts::caution(if guards { "Guards or order go with this text." } else { "Which steps there are, what one does or what is said at it is changed: by the chief’s word." }, html! { ul { @for what in lost { li { (what) } } } }))
        }
        @if !lost.is_empty() && !view.cautions.is_empty() {
            (parts::caution("The cautions of this list stand: hold the new text against them.", html! { ul { @for caution in &view.cautions { li { (caution) } } } }))
        }
        @if !own.is_empty() {
            (parts::caution("What the ship added herself goes with this text: say why.", html! { ul { @for what in own { li { (what) } } } }))
        }
        div.fields {
            @if !lost.is_empty() || !own.is_empty() { (Field::new("why", if guards { "Why they go" } else { "Why" }).text().from_form(form)) }
            @if !lost.is_empty() {
                (Field::new("chief", "Chief engineer").place("initials: with his word only").text().from_form(form))
            }
            (Field::new("by", "Initials").place("who changes it").text().from_form(form))
        }
        p.acts { button.first { "Keep this text" } }
    };
    let keep = format!("procedure-text-{key}-{}", view.version);
    reader.page(
        Page::Procedures,
        html! {
            (emergencies(around, None))
            (parts::answer("Is the list as we do it here?", says, then, acts, note))
            (parts::entry("The text", html! {}, reader.form(TEXT, &keep, body)))
            (parts::entry("What a guard may speak of", html! {}, known()))
        },
    )
}

/// Names of readings and figures, folded.
fn known() -> Markup {
    let (readings, figures) = guard_names();
    let table = |names: &[GuardName]| {
        html! { dl.names { @for name in names { dt { code { (name.name) } } dd { (name.label) } } } }
    };
    html! {
        (parts::details_shown(&format!("{} readings", readings.len()), false, table(&readings)))
        (parts::details_shown(&format!("{} figures to compare with", figures.len()), false, table(&figures)))
        (parts::details_shown("How a guard is written", false, html! {
            p { code { "NAME >= 3.0" } ", " code { "NAME <= limit.…" } ", " code { "NAME between 40 and 50" } ", " code { "NAME within 2 of set.…" } ", " code { "NAME steady 5 for 30 min" } ", " code { "NAME moving <= 1 a min" } ", " code { "NAME not under last" } " for a counter, " code { "NAME is steady" } " for a word. Two are joined by " code { "or" } "." }
            p { "A step may also have " code { "after = [\"KEY: what the wrong order may have done\"]" } ", " code { "note" } " for what is written down, " code { "second" } " for a second person, " code { "quick" } " for what it may have done when it was quicker than usual." }
        }))
    }
}
