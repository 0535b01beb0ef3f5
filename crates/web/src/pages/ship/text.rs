//! The ship file as the text it is, with the line of every problem.

use maud::{Markup, html};

use super::{View, form};
use crate::parts::{self, Mark, state};
use crate::reader::Reader;

/// The textarea and its problems.
pub(super) fn entry(reader: &Reader, view: &View) -> Markup {
    let lines = view.text.lines().count();
    let body = html! {
        input type="hidden" name="base" value=(view.base());
        @if !view.problems.is_empty() {
            (parts::fault(&format!("{} to mend in the text", view.problems.len()), html! {
                "Nothing was changed. Each stands with its line as it reads now."
            }))
            ul id="text-problems" { @for problem in &view.problems {
                li {
                    (state(Mark::Shut, &problem.line.map_or_else(|| "the whole".to_owned(), |n| format!("line {n}")))) " "
                    b { (problem.key) } " " (problem.message)
                    @if let Some(shown) = problem.line.and_then(|n| view.text.lines().nth(n.saturating_sub(1))) { br; code { (shown) } }
                }
            } }
        }
        label for="text" { "ship.toml, " (lines) " lines" }
        textarea.toml id="text" name="text" rows=(lines.clamp(12, 32)) spellcheck="false" autocomplete="off" autocapitalize="off"
            aria-invalid=[(!view.problems.is_empty()).then_some("true")]
            aria-describedby=[(!view.problems.is_empty()).then_some("text-problems")]
        { (view.text) }
        (form::keep(view, "text-actor"))
    };
    let note = html! {
        p { "The same figures as above: the fields write this file, and what is written here fills the fields." }
        p { "A line that starts with # is a remark." }
    };
    parts::entry(
        "The sheet as its file",
        note,
        reader.form(super::TEXT, &format!("ship-text-{}", view.base()), body),
    )
}
