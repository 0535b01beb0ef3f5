//! A line small enough for a table row: the last readings over their expected band.

use crate::canvas::{Canvas, Ids};
use crate::clock::{Clock, Span};
use crate::data::Lane;
use crate::geometry::Rect;
use crate::series::{Plot, lane_words};
use crate::text::sentence_case;

/// Readings over the expected band, 140 × 34 units, without axis; the row gives name and value.
#[must_use]
pub fn spark(ids: &mut Ids, lane: &Lane, span: Span, clock: &Clock) -> String {
    let mut sheet = Canvas::new(ids, "strip spark", 140.0, 34.0);
    let bare = Lane { remarks: Vec::new(), limits: Vec::new(), ..lane.clone() };
    let plot = Plot {
        beside: None,
        lane: &bare,
        span,
        area: Rect::new(4.0, 4.0, 132.0, 26.0),
        stopped: &[],
        points: 100,
        ticks: 0,
    };
    plot.draw(&mut sheet);
    sheet.finish(
        &format!("{}, lately", sentence_case(&lane.name)),
        &lane_words(lane, span, &[], clock),
    )
}
