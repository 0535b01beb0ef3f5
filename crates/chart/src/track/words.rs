//! What a track map shows, in words.

use super::data::{GeoPoint, TrackMap, TrackWater};
use super::project::drawable;

/// The sentence given, then the ends, the marks and the position now.
pub(super) fn words(map: &TrackMap) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !map.says.is_empty() {
        parts.push(map.says.clone());
    }
    let track: Vec<&GeoPoint> = map.track.iter().map(|f| &f.at).filter(|p| drawable(p)).collect();
    match track.as_slice() {
        [] => parts.push(String::from("No track.")),
        [only] => parts.push(format!("One position, {}.", position(only))),
        [first, .., last] => {
            parts.push(format!("Track from {} to {}.", position(first), position(last)));
        }
    }
    let on = |water: TrackWater| map.track.iter().any(|f| f.water == water);
    if track.len() > 1 && on(TrackWater::Made) {
        parts.push(String::from("Full line: water is made."));
    }
    if track.len() > 1 && on(TrackWater::May) {
        parts.push(String::from("Double line: water may be made."));
    }
    for order in map.orders.iter().filter(|o| drawable(&o.at) && !o.name.is_empty()) {
        parts.push(format!("{}: {}.", order.name, position(&order.at)));
    }
    for area in map.areas.iter().filter(|a| !a.name.is_empty()) {
        parts.push(format!("Hatched: {}.", area.name));
    }
    if let Some(now) = map.now.as_ref().filter(|n| drawable(&n.at)) {
        let note = if now.note.is_empty() { String::new() } else { format!(" {}", now.note) };
        parts.push(format!("{}{note}: {}.", now.label, position(&now.at)));
    }
    parts.push(String::from("Not for navigation."));
    parts.join(" ")
}

/// A position to the minute, as a log is written: 12°30′S 151°47′E.
fn position(p: &GeoPoint) -> String {
    let angle = |deg: f64, width: usize, below: char, above: char| {
        let minutes = (deg.abs() * 60.0).round() as u32;
        let side = if deg < 0.0 { below } else { above };
        format!("{:0width$}°{:02}′{side}", minutes / 60, minutes % 60)
    };
    let lon_deg = super::project::near(p.lon_deg, 0.0);
    format!("{} {}", angle(p.lat_deg, 2, 'S', 'N'), angle(lon_deg, 3, 'W', 'E'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_are_written_as_in_a_log() {
        assert_eq!(position(&GeoPoint::new(-32.93, 151.78)), "32°56′S 151°47′E");
        assert_eq!(position(&GeoPoint::new(5.999, -181.5)), "06°00′N 178°30′E");
    }
}
