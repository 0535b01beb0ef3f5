//! The passage on one clock, as a picture and as a table.

use chart::Ids;
use desk::passage::{Against, PassageView};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::zoned;

/// Rows of the table at most; they stand a number of six-hour steps apart.
const MOST_ROWS: usize = 32;
/// Samples in six hours.
const SIX_HOURS: usize = 24;

pub(super) fn entry(view: &PassageView, now: Timestamp, against: Option<&Against>) -> Markup {
    let Some(strip) = desk::passage::strip(view, now, against) else { return html! {} };
    let picture = chart::passage_strip(&mut Ids::new("passage"), &strip);
    let note = html! {
        p { "Hatched: no water may be made there, by the rule named in the table." }
        @if against.is_some() { p { "Aboard, before now: pencil and band as reckoned from departure, ink as sounded." } }
        p { "Distance, depth and sea are from data on a grid: " b { "not for navigation." } }
    };
    parts::entry(
        "The passage on one clock",
        note,
        html! { (parts::picture(&picture, "")) (parts::details("As a table", table(view))) },
    )
}

fn table(view: &PassageView) -> Markup {
    let samples = &view.timeline.samples;
    let every = samples.len().div_ceil(MOST_ROWS).div_ceil(SIX_HOURS).max(1) * SIX_HOURS;
    let table = Table::new(&format!("Every {} hours", every / 4), "Ship’s time")
        .words("Position")
        .numbers("Off", "nmi")
        .numbers("Depth", "m")
        .numbers("Sea", "°C")
        .numbers("Load", "%")
        .numbers("Making", "t/day")
        .numbers("Aboard", "t")
        .words("1 in 10 below, above")
        .words("Water may be made");
    let rows = (0..samples.len()).step_by(every).map(|k| {
        let sample = &samples[k];
        let (low, planned, high) = view.stock_t(k);
        let cells: [Cell; 9] = [
            sample.moment.position.to_string().into(),
            format!("{:.0}", sample.sea.distance_off.nmi()).into(),
            sample.sea.depth_m.map_or("–".to_owned(), |d| format!("{d:.0}")).into(),
            format!("{:.1}", sample.sea.temp_c).into(),
            format!("{:.0}", sample.load * 100.0).into(),
            format!("{:.1}", view.making_t_day.get(k).copied().unwrap_or(0.0)).into(),
            format!("{planned:.0}").into(),
            format!("{low:.0} to {high:.0}").into(),
            match &sample.rule {
                None => "yes".to_owned(),
                Some(rule) => format!("no: {rule}"),
            }
            .into(),
        ];
        Row::new(zoned(sample.at, view.timeline.clock.zone(sample.at)), cells)
    });
    html! { (table.rows(rows)) }
}
