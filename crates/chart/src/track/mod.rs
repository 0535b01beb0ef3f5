//! The track map: the coast, the ship's track across it and where water is made on it.

mod data;

pub use data::{GeoPoint, MapArea, MapLine, MapName, MapNow, TrackFix, TrackMap, TrackWater};
