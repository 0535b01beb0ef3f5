//! What a track map is drawn from: positions in degrees and words.

use super::shore::Coastline;

/// A position, degrees: north and east above 0.
///
/// Any longitude will do, -190 and 170 are the same; positions that are not numbers, or lie
/// beyond the poles, are left out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct GeoPoint {
    /// Latitude, -90 to 90.
    pub lat_deg: f64,
    /// Longitude.
    pub lon_deg: f64,
}

impl GeoPoint {
    /// A position from latitude and longitude, degrees.
    #[must_use]
    pub fn new(lat_deg: f64, lon_deg: f64) -> GeoPoint {
        GeoPoint { lat_deg, lon_deg }
    }
}

/// What may be done about water on a piece of the track.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum TrackWater {
    /// Water may not be made: a plain line.
    #[default]
    Not,
    /// Water may be made, and is not planned to be: a double line.
    May,
    /// Water was or will be made: a full line.
    Made,
}

/// A position on the track and what holds from there to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackFix {
    /// Where.
    pub at: GeoPoint,
    /// What may be done about water until the next position; without meaning on the last.
    pub water: TrackWater,
}

/// A named place.
#[derive(Clone, Debug, PartialEq)]
pub struct MapName {
    /// Where.
    pub at: GeoPoint,
    /// What is written there.
    pub name: String,
    /// The fix of the track it belongs to, for a place the track passes more than once.
    pub fix: Option<usize>,
}

impl MapName {
    /// A name at a position.
    #[must_use]
    pub fn new(at: GeoPoint, name: &str) -> MapName {
        MapName { at, name: String::from(name), fix: None }
    }

    /// The same on a fix of the track, counted from 0.
    #[must_use]
    pub fn on_fix(self, fix: usize) -> MapName {
        MapName { fix: Some(fix), ..self }
    }
}

/// An area of the ship's own where water may not be made, hatched and named.
#[derive(Clone, Debug, PartialEq)]
pub struct MapArea {
    /// Its name; may be empty.
    pub name: String,
    /// Its corners in order; the last is joined to the first.
    pub ring: Vec<GeoPoint>,
}

/// A line that counts as nearest land, dashed and named.
#[derive(Clone, Debug, PartialEq)]
pub struct MapLine {
    /// Its name; may be empty.
    pub name: String,
    /// Its corners in order.
    pub points: Vec<GeoPoint>,
}

/// Where the ship is now, the red point.
#[derive(Clone, Debug, PartialEq)]
pub struct MapNow {
    /// Where.
    pub at: GeoPoint,
    /// In red beside it, "now, 16 Nov".
    pub label: String,
    /// In ink under that, "14:20"; may be empty.
    pub note: String,
}

/// Everything a track map shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrackMap {
    /// What the picture is, one line.
    pub title: String,
    /// What it shows, in a sentence or two; the marks are added to it.
    pub says: String,
    /// The coast around.
    pub coast: Coastline,
    /// The track in order, the short way round from each position to the next.
    pub track: Vec<TrackFix>,
    /// Where an order is carried out, "start", "heat off, 22 Nov 11:15": a bar across the track.
    pub orders: Vec<MapName>,
    /// Ports.
    pub ports: Vec<MapName>,
    /// Names of lands and seas, left out where there is no room.
    pub names: Vec<MapName>,
    /// Sea temperatures, "sea 28 °C", left out where there is no room.
    pub sea: Vec<MapName>,
    /// Areas where water may not be made.
    pub areas: Vec<MapArea>,
    /// Lines that count as nearest land.
    pub lines: Vec<MapLine>,
    /// The ship's position now.
    pub now: Option<MapNow>,
}
