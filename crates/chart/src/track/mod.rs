//! The track map: the coast, the ship's track across it and where water is made on it.

mod beside;
mod clip;
mod coast;
mod data;
mod draw;
mod project;
mod shore;
mod words;

pub use data::{GeoPoint, MapArea, MapLine, MapName, MapNow, TrackFix, TrackMap, TrackWater};
pub use shore::Coastline;

use crate::canvas::Ids;
use crate::fitted::{file, fitted};

/// The track map at 760, 560 and 336 units: the box it comes in shows the one that fits its width.
///
/// A Mercator chart, or one true to scale along its middle latitude when the track goes beyond 68
/// degrees. The piece of sea shown, and the height of the picture, follow the track.
#[must_use]
pub fn track_map(ids: &mut Ids, map: &TrackMap) -> String {
    let sizes = [(760.0, "map-wide"), (560.0, "map-half"), (336.0, "map-narrow")];
    fitted(sizes.map(|size| draw::draw(ids, map, size)))
}

/// The track map, 760 units wide, as a file of its own with the style it needs inside.
#[must_use]
pub fn track_map_file(map: &TrackMap) -> String {
    file(&draw::draw(&mut Ids::new("track"), map, (760.0, "map-wide")))
}
