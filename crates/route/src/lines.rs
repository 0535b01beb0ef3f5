//! One waypoint a line: its position, then words in any order. Typed or pasted, and written back.

use jiff::Timestamp;
use ocean::{Position, PositionError};

use crate::heading;
use crate::problem::{Fault, Place, Problem};
use crate::reading::{Reading, Taken};
use crate::route::{MOST_WAYPOINTS, Route};
use crate::waypoint::Waypoint;
use crate::words;

/// Reads a typed or pasted text. A line that begins with `#`, and an empty one, is passed over.
pub(crate) fn read(text: &str) -> Reading {
    let mut taken = Taken::default();
    let mut departure = None;
    let mut problems = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let place = Place::Line(i + 1);
        let line = line.trim();
        if let Some((key, value)) = heading::find(line) {
            let faults = heading::take(&mut taken.route, &mut departure, key, value);
            problems.extend(faults.into_iter().map(|fault| Problem::at(place.clone(), fault)));
        } else if !line.is_empty() && !line.starts_with('#') {
            // What is wrong with each of more lines than a route may have helps nobody.
            if taken.route.waypoints.len() + problems.len() > MOST_WAYPOINTS {
                let count = text.lines().count();
                return Reading::refused(Fault::ManyWaypoints { count });
            }
            let (waypoint, faults) = read_line(line);
            taken.push(waypoint, place.clone());
            problems.extend(faults.into_iter().map(|fault| Problem::at(place.clone(), fault)));
        }
    }
    depart(&mut taken.route, departure);
    Reading::of(taken, problems)
}

/// A departure given for the route is the first waypoint's, unless that has its own.
pub(crate) fn depart(route: &mut Route, departure: Option<Timestamp>) {
    if let Some(first) = route.waypoints.first_mut() {
        first.etd = first.etd.or(departure);
    }
}

fn read_line(line: &str) -> (Option<Waypoint>, Vec<Fault>) {
    if line.len() > words::LONGEST_LINE {
        let error = PositionError::TooLong { length: line.len(), allowed: words::LONGEST_LINE };
        return (None, vec![Fault::Position(error)]);
    }
    let parts = words::split(line);
    let (position, first, after) = match find_position(&parts) {
        Ok(found) => found,
        Err(error) => return read_unparted(&parts).unwrap_or((None, vec![Fault::Position(error)])),
    };
    let mut waypoint = Waypoint::at(position);
    let mut faults = Vec::new();
    let before = parts[..first].iter().filter(|word| !is_numbering(word));
    for word in before.chain(&parts[after..]) {
        faults.extend(words::take(&mut waypoint, word));
    }
    (Some(waypoint), faults)
}

/// A line in which the words before or behind the position are not parted from it by commas.
fn read_unparted(parts: &[&str]) -> Option<(Option<Waypoint>, Vec<Fault>)> {
    let found = parts.iter().enumerate().find_map(|(i, part)| Some((i, within(part)?)));
    let (at, (position, before, behind)) = found?;
    let mut waypoint = Waypoint::at(position);
    let mut faults = Vec::new();
    let beside = [before, behind].into_iter().filter(|word| !word.is_empty());
    let words = parts[..at].iter().copied().chain(beside).chain(parts[at + 1..].iter().copied());
    for word in words.filter(|word| !is_numbering(word)) {
        let named = waypoint.name.is_empty();
        faults.extend(words::take(&mut waypoint, word));
        // Figures in a name may be a speed or a time that a comma would have told apart.
        let is_name = named && waypoint.name == words::tidy(word);
        if is_name && word.contains(|c: char| c.is_ascii_digit()) {
            waypoint.name.clear();
            faults.push(Fault::Word { read: word.to_owned() });
        }
    }
    Some((Some(waypoint), faults))
}

/// Words of a part among which a position is looked for.
const MOST_WORDS: usize = 24;

/// A position with its letters within a part, the longest there is, with what stands before and behind it.
fn within(part: &str) -> Option<(Position, &str, &str)> {
    let starts = part.char_indices().scan(true, |apart, (at, c)| {
        let begins = *apart && !c.is_whitespace();
        *apart = c.is_whitespace();
        Some((at, begins))
    });
    let starts: Vec<usize> = starts.filter(|(_, begins)| *begins).map(|(at, _)| at).collect();
    let count = starts.len().min(MOST_WORDS);
    let end = |i: usize| starts.get(i).map_or(part.len(), |at| *at);
    let spans = (1..count).rev().flat_map(|long| (0..=count - long).map(move |i| (i, i + long)));
    spans.into_iter().find_map(|(i, upto)| {
        let text = part[starts[i]..end(upto)].trim_end();
        let lettered = |letters: [char; 2]| text.to_uppercase().contains(letters);
        let position = (lettered(['N', 'S']) && lettered(['E', 'W'])).then(|| text.parse().ok())?;
        let before = part[..starts[i]].trim_end();
        // A figure right before it may belong to it: only "2." and "2)" count the lines.
        let apart = !before.ends_with(|c: char| c.is_ascii_digit() || "°'’′\"″".contains(c));
        apart.then_some((position?, before, part[end(upto)..].trim_start()))
    })
}

/// Where in a line the position stands: in one part, or in two where a separator parts latitude and longitude. A number before
/// two others counts the lines.
fn find_position(parts: &[&str]) -> Result<(Position, usize, usize), PositionError> {
    let is_number = |i: usize| parts.get(i).is_some_and(|part| part.parse::<f64>().is_ok());
    let skip = usize::from(is_numbering(parts[0]) && is_number(1) && is_number(2));
    let mut refused = None;
    for first in skip..parts.len() {
        let one: Result<Position, _> = parts[first].parse();
        if let Ok(position) = one {
            return Ok((position, first, first + 1));
        }
        let two: Option<Result<Position, _>> =
            parts.get(first + 1).map(|next| format!("{}, {next}", parts[first]).parse());
        match two {
            Some(Ok(position)) => return Ok((position, first, first + 2)),
            // Half a position with something like its other half is told as a whole one.
            Some(Err(error)) if first == skip && is_half(&one) && !is_word(&error) => {
                refused = Some(error);
            }
            _ if first == skip => refused = one.err(),
            _ => {}
        }
    }
    Err(refused.unwrap_or(PositionError::Empty))
}

/// Whether a text was refused for being a part of a position only.
fn is_half(read: &Result<Position, PositionError>) -> bool {
    matches!(read, Err(PositionError::Parts { .. }))
}

/// Whether a text was refused for signs that no position has.
const fn is_word(error: &PositionError) -> bool {
    matches!(error, PositionError::Sign { .. } | PositionError::Word { .. })
}

/// A whole number by itself, with or without a point or bracket behind it.
fn is_numbering(part: &str) -> bool {
    let digits = part.trim_end_matches(['.', ')']);
    !digits.is_empty() && digits.len() <= 4 && digits.bytes().all(|b| b.is_ascii_digit())
}

impl Route {
    /// The route as lines that [`Reading::of_bytes`] reads back to the same: headings, then one waypoint a line.
    #[must_use]
    pub fn to_lines(&self) -> String {
        let mut out = String::new();
        for (key, value) in heading::write(self) {
            out.push_str(&format!("{key}: {value}\n"));
        }
        for waypoint in &self.waypoints {
            out.push_str(&write_position(waypoint.position));
            for word in words::write(waypoint) {
                out.push_str(", ");
                out.push_str(&word);
            }
            out.push('\n');
        }
        out
    }
}

/// To the last digit, so that it reads back the same.
fn write_position(position: Position) -> String {
    format!("{} {}", position.lat_deg(), position.lon_deg())
}
