//! The words behind a position: name, speed, ETA, track, stays, marks, load and zone, in any order, read and written back.

use jiff::SignedDuration;
use ocean::Track;
use quantity::Fraction;

use crate::problem::Fault;
use crate::waypoint::{FASTEST_KN, Lying, Mark, Pace, Stay, Waypoint};
use crate::when::{read_instant, read_length, read_zone, write_instant, write_length, write_zone};

/// Longest name kept, characters.
const LONGEST_NAME: usize = 120;

/// Longest line or cell looked into for words, bytes.
pub(crate) const LONGEST_LINE: usize = 4_096;

/// The words for a track; the first of each is written.
const TRACKS: [(Track, &[&str]); 2] = [
    (Track::GreatCircle, &["great circle", "gc", "orthodrome"]),
    (Track::RhumbLine, &["rhumb line", "rl", "rhumb", "loxodrome"]),
];

/// The words for a mark, besides those it is written with.
const MARKS: [(Mark, &[&str]); 5] = [
    (Mark::FullAway, &["fa", "faop", "full away on passage", "sea passage"]),
    (Mark::EndOfPassage, &["eosp", "eop", "end of sea passage"]),
    (Mark::Pilotage, &["pilot"]),
    (Mark::Manoeuvring, &["maneuvering", "manoeuvre", "harbour", "harbor"]),
    (Mark::Canal, &[]),
];

/// The words for lying, besides those it is written with.
const LYINGS: [(Lying, &[&str]); 3] = [
    (Lying::AtBerth, &["berth", "alongside"]),
    (Lying::AtAnchor, &["anchor", "anchorage", "at anchor"]),
    (Lying::Drifting, &["drift", "drifting"]),
];

/// The unit of a speed.
const KNOTS: [&str; 4] = ["kn", "kts", "kt", "knots"];

/// A text on one line without what no file keeps: control signs gone, spaces single, not longer than a name may be.
pub(crate) fn tidy(text: &str) -> String {
    let is_kept = |c: &char| !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}');
    let spaced = text.chars().map(|c| if c.is_whitespace() { ' ' } else { c });
    let kept: String = spaced.filter(is_kept).collect();
    let mut words = kept.split(' ').filter(|word| !word.is_empty());
    let mut out = words.next().unwrap_or_default().to_owned();
    for word in words {
        out.push(' ');
        out.push_str(word);
    }
    out.chars().take(LONGEST_NAME).collect::<String>().trim().to_owned()
}

/// Takes one word into a waypoint; what it says twice or wrongly comes back.
pub(crate) fn take(waypoint: &mut Waypoint, word: &str) -> Vec<Fault> {
    let word = word.trim();
    if word.is_empty() {
        return Vec::new();
    }
    if let Some(name) = unquoted(word) {
        return name_it(waypoint, &name);
    }
    let lower = word.to_lowercase();
    let is = |names: &[&str]| names.contains(&lower.as_str());
    if let Some((track, _)) = TRACKS.iter().find(|(_, names)| is(names)) {
        waypoint.track = *track;
        return Vec::new();
    }
    let marks = MARKS.iter().find(|(mark, names)| mark.words() == lower || is(names));
    if let Some((mark, _)) = marks {
        if let Some(kept) = waypoint.mark.filter(|kept| kept != mark) {
            return vec![Fault::TwoMarks { kept: kept.words(), read: word.to_owned() }];
        }
        return set(&mut waypoint.mark, *mark, "mark", word);
    }
    let most = ["at most", "max"].iter().find_map(|key| after(&lower, key));
    if let Some(text) = most.filter(|text| begins_figure(text)) {
        let figure = KNOTS.iter().find_map(|unit| before(text, unit)).unwrap_or(text);
        return match number("most speed", figure, word) {
            Ok(kn) if kn > 0.0 && kn <= FASTEST_KN => {
                set(&mut waypoint.most_kn, kn, "most speed", word)
            }
            Ok(kn) => vec![Fault::Speed { kn }],
            Err(fault) => vec![fault],
        };
    }
    if let Some(text) = KNOTS.iter().find_map(|unit| before(&lower, unit)) {
        return match number("speed", text.trim_start_matches("speed "), word) {
            Ok(kn) if matches!(waypoint.pace, Some(Pace::Eta(_))) => {
                vec![Fault::SpeedBesideEta { kn }]
            }
            Ok(kn) => set(&mut waypoint.pace, Pace::Speed { kn }, "speed", word),
            Err(fault) => vec![fault],
        };
    }
    if let Some(text) = after(&lower, "eta") {
        return match read_instant("ETA", text) {
            Ok((eta, note)) => {
                let speed = waypoint.pace.take_if(|pace| matches!(pace, Pace::Speed { .. }));
                let mut faults = set(&mut waypoint.pace, Pace::Eta(eta), "ETA", word);
                if let Some(Pace::Speed { kn }) = speed {
                    faults.push(Fault::SpeedBesideEta { kn });
                }
                faults.extend(note);
                faults
            }
            Err(fault) => vec![fault],
        };
    }
    if let Some(text) = after(&lower, "etd") {
        return match read_instant("ETD", text) {
            Ok((etd, note)) => {
                let mut faults = set(&mut waypoint.etd, etd, "ETD", word);
                faults.extend(note);
                faults
            }
            Err(fault) => vec![fault],
        };
    }
    if let Some(text) = after(&lower, "load").filter(|text| begins_figure(text)) {
        return match number("load", text.trim_end_matches('%'), word) {
            Ok(percent) => set(&mut waypoint.load, Fraction::from_percent(percent), "load", word),
            Err(fault) => vec![fault],
        };
    }
    let zone = ["zone", "clocks", "clock"].iter().find_map(|key| after(&lower, key));
    let zone = zone.unwrap_or(&lower);
    // By itself only an offset from UTC is one; behind its word a bare figure as well, which is then refused.
    let is_zone = zone.len() < lower.len() && (begins_figure(zone) || zone == "z");
    if let Some(text) = (is_zone || is_utc(zone)).then_some(zone) {
        return match read_zone(text) {
            Ok(zone) => set(&mut waypoint.zone, zone, "zone", word),
            Err(fault) => vec![fault],
        };
    }
    match lying(&lower) {
        Some(Ok(stay)) => {
            waypoint.stays.push(stay);
            Vec::new()
        }
        Some(Err(fault)) => vec![fault],
        // A figure that is none of these is a slip rather than a name.
        None if begins_figure(&lower) => vec![Fault::Word { read: word.to_owned() }],
        None if waypoint.name.is_empty() => match nearly(&lower) {
            Some(meant) => vec![Fault::Nearly { read: word.to_owned(), meant }],
            None => name_it(waypoint, word),
        },
        None => vec![Fault::Word { read: word.to_owned() }],
    }
}

/// The word with a meaning that this one is a letter or two off; a short word is off by a letter soon.
fn nearly(lower: &str) -> Option<&'static str> {
    let tracks = TRACKS.iter().flat_map(|(_, names)| *names).copied();
    let marks = MARKS
        .iter()
        .flat_map(|(mark, names)| std::iter::once(mark.words()).chain(names.iter().copied()));
    let lyings = LYINGS.iter().flat_map(|(_, names)| *names).copied();
    let known = tracks.chain(marks).chain(lyings);
    let off = known.map(|word| (strsim::osa_distance(lower, word), word));
    let near = off.filter(|(off, word)| *off <= word.chars().count() / LETTERS_A_SLIP);
    near.min_by_key(|(off, _)| *off).map(|(_, word)| word)
}

/// Letters of a word for each that may be wrong in it.
const LETTERS_A_SLIP: usize = 6;

fn name_it(waypoint: &mut Waypoint, name: &str) -> Vec<Fault> {
    if waypoint.name.is_empty() {
        waypoint.name = tidy(name);
        Vec::new()
    } else {
        vec![Fault::Twice { field: "name", read: name.to_owned() }]
    }
}

fn set<T>(place: &mut Option<T>, value: T, field: &'static str, word: &str) -> Vec<Fault> {
    if place.is_some() {
        return vec![Fault::Twice { field, read: word.to_owned() }];
    }
    *place = Some(value);
    Vec::new()
}

/// `berth 3 d`, `anchor`, `drift 6 h`; not `anchor bay`, which is a name.
fn lying(lower: &str) -> Option<Result<Stay, Fault>> {
    for (lying, names) in LYINGS {
        for name in names {
            if lower == *name {
                return Some(Ok(Stay { lying, length: None }));
            }
            if let Some(text) = after(lower, name)
                && begins_figure(text)
            {
                return Some(read_length(text).map(|length| Stay { lying, length: Some(length) }));
            }
        }
    }
    None
}

/// Whether a text begins as a number may.
fn begins_figure(text: &str) -> bool {
    text.starts_with(|c: char| {
        c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | ',' | '\u{2212}')
    })
}

/// `utc`, `utc+10`; not a word that merely begins so.
fn is_utc(lower: &str) -> bool {
    lower
        .strip_prefix("utc")
        .is_some_and(|rest| rest.is_empty() || begins_figure(rest.trim_start()))
}

/// What follows a key and a space, or a figure right behind it.
fn after<'a>(lower: &'a str, key: &str) -> Option<&'a str> {
    let rest = lower.strip_prefix(key)?;
    let is_apart = rest.starts_with(|c: char| !c.is_alphabetic());
    is_apart.then(|| rest.trim_start_matches([' ', ':', '=']))
}

/// What stands before a unit, when it begins like a number.
fn before<'a>(lower: &'a str, unit: &str) -> Option<&'a str> {
    let text = lower.strip_suffix(unit)?.trim_end();
    begins_figure(text.trim_start_matches("speed ")).then_some(text)
}

pub(crate) fn number(field: &'static str, text: &str, word: &str) -> Result<f64, Fault> {
    let value = text.trim().replace(',', ".").parse::<f64>().ok();
    value
        .filter(|value| value.is_finite())
        .ok_or_else(|| Fault::Number { field, read: word.to_owned() })
}

/// The text inside quotes, where two quotes stand for one.
fn unquoted(word: &str) -> Option<String> {
    let inside = word.strip_prefix('"')?.strip_suffix('"')?;
    Some(inside.replace("\"\"", "\""))
}

/// The words of a line: what stands between the separators. A comma right between digits is a decimal sign where the line has
/// no decimal point, and none is looked for where semicolons or tabs part the words. Quotes keep their inside together.
pub(crate) fn split(line: &str) -> Vec<&str> {
    let chars: Vec<(usize, char)> = line.char_indices().collect();
    let digit = |i: usize| chars.get(i).is_some_and(|(_, c)| c.is_ascii_digit());
    let has_point = (1..chars.len()).any(|i| chars[i].1 == '.' && digit(i - 1) && digit(i + 1));
    let outside = outside_quotes(&chars);
    let is_strong = |c: char| matches!(c, ';' | '\t');
    let has_strong = chars.iter().zip(&outside).any(|((_, c), outside)| *outside && is_strong(*c));
    let mut parts = Vec::new();
    let mut start = 0;
    for (i, (at, c)) in chars.iter().enumerate() {
        let is_decimal = !has_point && i > 0 && digit(i - 1) && digit(i + 1);
        let parts_here = is_strong(*c) || (*c == ',' && !has_strong && !is_decimal);
        if parts_here && outside[i] {
            parts.push(line[start..*at].trim());
            start = at + c.len_utf8();
        }
    }
    parts.push(line[start..].trim());
    parts
}

/// For each sign whether it stands outside quotes. A quote opens only at the beginning of a word, since it is also the sign for
/// seconds of arc; two of them inside stand for one.
fn outside_quotes(chars: &[(usize, char)]) -> Vec<bool> {
    let mut is_inside = false;
    let mut may_open = true;
    let mut outside = Vec::with_capacity(chars.len());
    for (_, c) in chars {
        let is_quote = *c == '"';
        let was_inside = is_inside;
        is_inside = if is_quote { !is_inside && may_open } else { is_inside };
        outside.push(!is_inside);
        // Right behind a closing quote another opens it again.
        let closes = is_quote && was_inside;
        may_open = closes || matches!(c, ',' | ';' | '\t') || (may_open && *c == ' ');
    }
    outside
}

/// The words of a waypoint apart from its name and pace, in the order an officer gives them.
pub(crate) fn write_marks(waypoint: &Waypoint) -> Vec<String> {
    let mut words = Vec::new();
    words.extend(waypoint.stays.iter().map(write_stay));
    words.extend(waypoint.mark.map(|mark| mark.words().to_owned()));
    words.extend(waypoint.load.map(|load| format!("load {} %", write_percent(load))));
    words.extend(waypoint.zone.map(|zone| format!("zone {}", write_zone(zone))));
    words
}

pub(crate) fn write_stay(stay: &Stay) -> String {
    let word = stay.lying.word();
    stay.length.map_or_else(
        || word.to_owned(),
        |length: SignedDuration| format!("{word} {}", write_length(length)),
    )
}

/// Per cent of rated, without the digits that binary fractions leave behind.
pub(crate) fn write_percent(load: Fraction) -> String {
    format!("{}", (load.percent() * 1.0e6).round() / 1.0e6)
}

/// All words of a waypoint.
pub(crate) fn write(waypoint: &Waypoint) -> Vec<String> {
    let mut words = Vec::new();
    let name = tidy(&waypoint.name);
    if !name.is_empty() {
        words.push(if reads_as_name(waypoint, &name) {
            name
        } else {
            format!("\"{}\"", name.replace('"', "\"\""))
        });
    }
    words.extend((waypoint.track == Track::GreatCircle).then(|| "great circle".to_owned()));
    words.extend(waypoint.pace.map(|pace| match pace {
        Pace::Speed { kn } => format!("{kn} kn"),
        Pace::Eta(eta) => format!("ETA {}", write_instant(eta)),
    }));
    words.extend(waypoint.most_kn.map(|kn| format!("at most {kn} kn")));
    words.extend(waypoint.etd.map(|etd| format!("ETD {}", write_instant(etd))));
    words.extend(write_marks(waypoint));
    words
}

/// Whether a name as it stands would be read as nothing but a name.
fn reads_as_name(waypoint: &Waypoint, name: &str) -> bool {
    let mut read = Waypoint::at(waypoint.position);
    // Digits could belong to the position.
    let is_plain = name.starts_with(char::is_alphabetic) && name.chars().count() > 1;
    is_plain
        && !name.contains([',', ';', '"', ':', '#'])
        && take(&mut read, name).is_empty()
        && read.name == name
}
