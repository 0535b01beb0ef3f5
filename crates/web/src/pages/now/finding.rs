//! The leading finding in one line, with the way to it.

use desk::findings::Lately;
use maud::{Markup, html};

use crate::parts;
use crate::paths::Page;

pub(super) fn entry(lately: &Lately) -> Markup {
    let body = match lately {
        Lately::Found(view) => html! { p { (view.line()) } },
        Lately::Before(view) => {
            html! { p { (view.line()) " " span.muted { "Of the rounds before; the newest are being worked in." } } }
        }
        Lately::UnderWay => {
            html! { p { "The rounds are being explained; it takes a second or two." } }
        }
        Lately::None(why) => html! { p { (why.lines().next().unwrap_or_default()) } },
    };
    let acts = html! { p.acts { (parts::act(Page::Findings.path(), "The findings", false)) } };
    parts::entry("What is found", html! {}, html! { (body) (acts) })
}
