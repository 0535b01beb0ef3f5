//! How near the limits: each reading on its rule, between its gates, with a word.

use chart::{Ids, StripSize};
use desk::now::NowView;
use desk::view::{Compared, State};
use maud::{Markup, html};

use crate::pages::drawn;
use crate::parts;

/// One row for each reading that has a limit or an expectation.
pub(super) fn entry(view: &NowView) -> Markup {
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
            div.rows { @for compared in &view.rows { (row(&mut ids, compared)) } }
        },
    )
}

fn row(ids: &mut Ids, row: &Compared) -> Markup {
    let asks = row.state.asks();
    html! { div.row {
        p.name { (row.label) small { (row.place) } }
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
