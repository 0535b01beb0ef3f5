//! The leading finding in one line, with the way to it.

use desk::findings::Lately;
use desk::now::NowView;
use maud::{Markup, html};

use crate::parts;
use crate::paths::Page;

use super::runs;

pub(super) fn entry(view: &NowView, lately: &Lately) -> Markup {
    let alarm = runs::salt_alarm(view);
    let line = |line: String| html! { @if alarm.is_some() { "A guess from the readings, and no leave to fill a tank: " } (line) };
    let body = match lately {
        Lately::Found(view) => html! { p { (line(view.line())) } },
        Lately::Before(view) => {
            html! { p { (line(view.line())) " " span.muted { "Of the rounds before; the newest are being worked in." } } }
        }
        Lately::UnderWay => {
            html! { p { "The rounds are being explained; it takes a second or two." } }
        }
        Lately::None(why) => html! { p { (why.lines().next().unwrap_or_default()) } },
    };
    let acts = html! { p.acts { (parts::act(Page::Findings.path(), "The findings", false)) } };
    parts::entry(
        "What is found",
        html! {},
        html! {
            // The cautious one leads: of two instruments that differ neither is proved by a finding.
            @if let Some(alarm) = alarm { p {
                span.asks { "Water in doubt goes overboard:" } " " (alarm.name) " is under way. Nothing goes to a tank until salinometer and hand meter agree in limit."
            } }
            (body) (acts)
        },
    )
}
