//! What is said aside from the figures: cautions, empty places, faults, work going on.

use maud::{Markup, html};

/// A caution between two rules. Put it before what could do harm. `lead` is its first word or two.
pub fn caution(lead: &str, body: Markup) -> Markup {
    html! { p.caution { b { (lead) } " " (body) } }
}

/// An empty place: what is not there, and what it costs not to have it.
pub fn quiet(what: &str, cost: Markup) -> Markup {
    html! { div.quiet { p { (what) } p.muted { (cost) } } }
}

/// A fault: what and since when, then what still works. Read out when it appears.
pub fn fault(what: &str, still: Markup) -> Markup {
    html! { div.fault role="status" { p { (what) } p { (still) } } }
}

/// Work going on: `done` of `of`, with the count in words.
pub fn progress(what: &str, done: u64, of: u64, words: &str) -> Markup {
    html! {
        div role="status" {
            p { (what) }
            progress.progress max=(of.max(1)) value=(done.min(of)) aria-label=(what) { (words) }
            small.muted { (words) }
        }
    }
}
