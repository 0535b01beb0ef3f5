//! The passage strip: stacked lanes from departure to arrival on the ship's own clock.

mod curve;
mod data;
mod draw;
mod lane;
mod legend;
mod words;

pub use data::{Joined, PassageStrip, StripLane, StripPoint, Threshold, ThresholdKind, Wash};

use self::curve::Curve;
use crate::canvas::Ids;
use crate::fitted::{file, fitted};

/// The passage strip at 1180, 760 and 336 units: the box it comes in shows the one that fits its
/// width.
///
/// Each drawing carries what a cursor across all lanes needs: `data-from-s` and `data-to-s`, the
/// times its plot spans, and `data-left`, `data-right`, `data-top` and `data-bottom`, where that
/// plot lies in units of its view box.
#[must_use]
pub fn passage_strip(ids: &mut Ids, strip: &PassageStrip) -> String {
    let sizes = [(1180.0, "run-full"), (760.0, "run-wide"), (336.0, "run-narrow")];
    let curves = Curve::all(&strip.lanes, strip.span);
    fitted(sizes.map(|size| draw::draw(ids, strip, &curves, size)))
}

/// The passage strip, 1180 units wide, as a file of its own with the style it needs inside.
#[must_use]
pub fn passage_strip_file(strip: &PassageStrip) -> String {
    let curves = Curve::all(&strip.lanes, strip.span);
    file(&draw::draw(&mut Ids::new("strip"), strip, &curves, (1180.0, "run-full")))
}
