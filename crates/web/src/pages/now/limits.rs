//! How near the limits: each reading on its rule, between its gates, with a word.

use chart::{Ids, StripSize};
use desk::now::NowView;
use desk::view::{Compared, SetRight, State};
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, html};

use crate::pages::drawn;
use crate::parts;

/// One row for each reading that has a limit or an expectation.
pub(super) fn entry(view: &NowView, clock: &ShipClock) -> Markup {
    if view.rows.is_empty() {
        return html! {};
    }
    let mut ids = Ids::new("near");
    let note = html! {
        p { "Gates are the limits set on the page Ship; that of the vacuum is for a corrected reading, so on the dial it moves with the barometer of the day. The pencil box is where the plant should be at this sea and jacket water, by-pass and throttle as read." }
    };
    parts::entry(
        "How near the limits",
        note,
        html! {
            div.rows { @for compared in &view.rows { (row(&mut ids, compared, clock)) } }
        },
    )
}

fn row(ids: &mut Ids, row: &Compared, clock: &ShipClock) -> Markup {
    let asks = row.state.asks();
    html! { div.row {
        p.name {
            (row.label) small { (row.place) }
            @if let Some(set_right) = &row.set_right { small { (as_set_right(clock, row, set_right)) } }
        }
        p.read {
            @match row.read {
                Some(read) => { (row.text(read)) small { "\u{2009}" (row.unit) } }
                None => "–",
            }
        }
        div.strip { (drawn::strip(ids, row, StripSize::Row)) }
        div.word.asks[asks] {
            (parts::state(drawn::mark(row.state), row.state.word()))
            @if let (State::PastLimit | State::InDoubt, Some(meaning)) = (row.state, &row.meaning) {
                small.muted { br; (meaning) }
            }
        }
    } }
}

/// That the figure shown is mended by a setting of its instrument: "as set right 16 Nov: it read 1.9 too high".
fn as_set_right(clock: &ShipClock, row: &Compared, set_right: &SetRight) -> String {
    let at = Timestamp::from_second(set_right.at_s).unwrap_or_default();
    let day = clock.local(at).strftime("%-d %b");
    match set_right.high_by {
        Some(by) if by < 0.0 => format!("as set right {day}: it read {} too low", row.text(-by)),
        Some(by) => format!("as set right {day}: it read {} too high", row.text(by)),
        None => format!("read before it was set right {day}"),
    }
}
