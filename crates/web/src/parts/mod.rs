//! The components pages are made of: functions from plain values to markup, without state.

mod field;
mod mark;
mod notice;
mod table;

pub use field::{Field, Unit, Word};
pub use mark::Mark;
pub use notice::{caution, fault, progress, quiet};
pub use table::{Cell, Row, Table};

use maud::{Markup, html};

/// The first entry of a page: the question, the sentence that answers it, why and what to do, the
/// buttons, and the margin note. The sentence has at most 30 words and one [`fig`].
pub fn answer(question: &str, says: Markup, then: Markup, acts: Markup, note: Markup) -> Markup {
    html! {
        section.entry id="answer" {
            h1.question { (question) }
            p.says { (says) }
            (then)
            (acts)
            (margin(&note))
        }
    }
}

/// The one figure of an answer, with its unit or its band and unit ("± 0.6 t/day").
pub fn fig(number: &str, unit: &str) -> Markup {
    html! { b.fig { (number) small { (unit) } } }
}

/// An entry: heading, the note that stands in the margin beside it, and what is entered.
pub fn entry(heading: &str, note: Markup, body: Markup) -> Markup {
    html! { section.entry { h2 { (heading) } (margin(&note)) (body) } }
}

fn margin(note: &Markup) -> Markup {
    html! { @if !note.0.is_empty() { div.note { (note) } } }
}

/// A row of buttons and links; the first is the one to press.
pub fn acts(buttons: Markup) -> Markup {
    html! { p.acts { (buttons) } }
}

/// A link drawn as a button. `first` is the thing to do next.
pub fn act(href: &str, words: &str, first: bool) -> Markup {
    html! { a.act.first[first] href=(href) { (words) } }
}

/// The state of a thing: a mark for the eye and its word for everybody.
pub fn state(mark: Mark, word: &str) -> Markup {
    html! { span.state { (mark) " " (word) } }
}

/// A number with its unit, never broken between the two.
pub fn value(number: &str, unit: &str) -> Markup {
    html! { span.val { (number) @if !unit.is_empty() { small { "\u{2009}" (unit) } } } }
}

/// A folded part, such as "How this was computed". Complete when opened, left out of no print.
pub fn details(summary: &str, body: Markup) -> Markup {
    details_shown(summary, false, body)
}

/// A folded part that stands open where there is something in it to see, such as a refused field.
pub fn details_shown(summary: &str, open: bool, body: Markup) -> Markup {
    html! { details open[open] { summary { (summary) } (body) } }
}

/// A picture (SVG text from the chart crate, wide and narrow side by side) with an optional caption.
/// The SVG is taken as it is: it must come from our own drawing code.
pub fn picture(svg: &str, caption: &str) -> Markup {
    html! {
        figure {
            (maud::PreEscaped(svg))
            @if !caption.is_empty() { figcaption { (caption) } }
        }
    }
}

/// Two things side by side on a wide screen, below each other otherwise.
pub fn beside(left: Markup, right: Markup) -> Markup {
    html! { div.beside { (left) (right) } }
}
