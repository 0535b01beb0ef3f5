//! Readings and settings from comma-separated text: one reading a row, one change of settings a row.

use jiff::Timestamp;
use jiff::tz::Offset;
use quantity::{DayOrder, read_moment};

use crate::error::FindingsError;
use crate::instrument::{self, Instrument};
use crate::observe::SetFlows;
use crate::set::ReadingSet;

/// Most rows of readings that are taken.
const MOST_ROWS: usize = 200_000;

const HEADING: &str = "time,name,value";
const BAROMETER: &str = "barometer_hpa";
const FEED_PRESSURE: &str = "feed_pressure_bar_g";
const EXPANSION_TANK: &str = "expansion_tank_cm";

const SET_COLUMNS: [&str; 3] =
    ["jacket_flow_set_kg_s", "condenser_flow_set_kg_s", "feed_flow_set_kg_s"];

/// Highest flow that a setting may mean, kg/s.
const MOST_FLOW_KG_S: f64 = 2000.0;

/// Where a reading of this name goes.
enum Place {
    Of(Instrument),
    Barometer,
    FeedPressure,
    ExpansionTank,
}

/// Names of every reading that is taken.
pub fn names() -> impl Iterator<Item = &'static str> {
    Instrument::ALL.iter().map(|i| i.key()).chain([BAROMETER, FEED_PRESSURE, EXPANSION_TANK])
}

fn nearest<'n>(typed: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    known
        .map(|name| (strsim::jaro_winkler(name, typed), name))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(score, _)| *score >= 0.80)
        .map(|(_, name)| name)
}

fn place(name: &str, table: &[instrument::Line]) -> Option<(Place, (f64, f64))> {
    let other = match name {
        BAROMETER => Some((Place::Barometer, (850.0, 1100.0))),
        FEED_PRESSURE => Some((Place::FeedPressure, (-1.0, 25.0))),
        EXPANSION_TANK => Some((Place::ExpansionTank, (-1000.0, 10_000.0))),
        _ => None,
    };
    other.or_else(|| {
        let line = table.iter().find(|l| l.instrument.key() == name)?;
        Some((Place::Of(line.instrument), line.range))
    })
}

/// How figures and times that allow of more than one reading were taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Taken {
    day_first: bool,
    utc: bool,
    comma: bool,
}

impl Taken {
    fn notes(self) -> Vec<String> {
        [
            (self.day_first, "Dates were read with the day before the month."),
            (self.utc, "Times without an offset were taken as UTC."),
            (self.comma, "A comma in a figure was taken as its decimal point."),
        ]
        .into_iter()
        .filter(|(was, _)| *was)
        .map(|(_, says)| says.to_owned())
        .collect()
    }
}

/// A moment with its offset, or as officers write it where nothing in it can change places: 16.11.2025 04:20, by UTC.
fn moment(line: u64, text: &str, taken: &mut Taken) -> Result<Timestamp, FindingsError> {
    let wrong = || FindingsError::Time { line, got: shortened(text) };
    if let Ok(at) = text.trim().parse() {
        return Ok(at);
    }
    let written = read_moment(text).ok_or_else(wrong)?;
    let (date, time) = (written.date, written.time.ok_or_else(wrong)?);
    if date.is_open() && !date.is_pointed() {
        return Err(wrong());
    }
    let day = date.by(DayOrder::DayFirst).ok_or_else(wrong)?;
    taken.day_first |= date.is_pointed();
    taken.utc |= written.offset.is_none();
    let offset = written.offset.unwrap_or(Offset::UTC);
    offset.to_timestamp(day.to_datetime(time)).map_err(|_| wrong())
}

/// A figure with a decimal point, or a comma where it can be nothing else: never in 1,234, unless semicolons part the columns.
fn number(cell: &str, semicolons: bool, taken: &mut Taken) -> Option<f64> {
    let finite = |text: &str| text.parse::<f64>().ok().filter(|x| x.is_finite());
    let Some((whole, part)) = cell.split_once(',') else { return finite(cell) };
    let thousands = part.len() == 3 && !semicolons && whole.trim_start_matches(['-', '+']) != "0";
    if thousands || cell.contains('.') || part.contains(',') {
        return None;
    }
    let figure = finite(&format!("{whole}.{part}"))?;
    taken.comma = true;
    Some(figure)
}

/// Whether semicolons part the columns of a table.
fn by_semicolons(text: &str) -> bool {
    let heading = text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#'));
    heading.is_some_and(|l| l.contains(';') && !l.contains(','))
}

/// A cell as it is quoted in a message.
fn shortened(text: &str) -> String {
    const MOST: usize = 40;
    let text = text.trim();
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    text.chars().take(MOST).chain(['…']).collect()
}

fn rows(text: &str) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .delimiter(if by_semicolons(text) { b';' } else { b',' })
        .from_reader(text.as_bytes())
}

fn not_a_table(e: &csv::Error) -> FindingsError {
    let line = e.position().map_or(1, csv::Position::line);
    FindingsError::NotATable { line, message: e.to_string() }
}

/// Readings of a file, and how what allows of more than one reading was taken.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Read {
    /// One a moment, in the order of time.
    pub sets: Vec<ReadingSet>,
    /// In sentences: decimal commas, days before months, times without an offset.
    pub notes: Vec<String>,
}

/// The sets of [`read`].
///
/// # Errors
/// The first row that cannot be taken, with its line.
pub fn readings(text: &str) -> Result<Vec<ReadingSet>, FindingsError> {
    read(text).map(|read| read.sets)
}

/// Reads `time,name,value` rows into sets, one a moment, in the order of time.
///
/// Times are RFC 3339 with their offset, so that a clock that was changed does not matter; 16.11.2025 04:20 is taken with the day first and
/// by UTC, and said to be. Columns may be parted by semicolons and figures have a decimal comma, where that is no comma between columns or
/// thousands. An empty value is a reading not taken.
///
/// # Errors
/// The first row that cannot be taken, with its line.
pub fn read(text: &str) -> Result<Read, FindingsError> {
    let table = instrument::usual();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (semicolons, mut taken) = (by_semicolons(text), Taken::default());
    let mut reader = rows(text);
    let heading = reader.headers().map_err(|e| not_a_table(&e))?;
    if heading.iter().collect::<Vec<_>>().join(",") != HEADING {
        let got = shortened(&heading.iter().collect::<Vec<_>>().join(","));
        return Err(FindingsError::Heading { got, wanted: HEADING });
    }
    let mut sets: Vec<ReadingSet> = Vec::new();
    // Rows of one moment mostly stand together; the others are found by their time.
    let mut by_time = std::collections::BTreeMap::new();
    for (count, row) in reader.records().enumerate() {
        let row = row.map_err(|e| not_a_table(&e))?;
        let line = row.position().map_or(0, csv::Position::line);
        if count >= MOST_ROWS {
            return Err(FindingsError::TooLong { most: MOST_ROWS });
        }
        let (Some(time), Some(name), Some(value), 3) =
            (row.get(0), row.get(1), row.get(2), row.len())
        else {
            return Err(FindingsError::Columns { line, got: row.len(), wanted: 3 });
        };
        let time = moment(line, time, &mut taken)?;
        let Some((place, range)) = place(name, &table) else {
            let nearest = nearest(name, names());
            return Err(FindingsError::UnknownName { line, got: shortened(name), nearest });
        };
        if value.is_empty() {
            continue;
        }
        let figure = number(value, semicolons, &mut taken).ok_or_else(|| {
            FindingsError::NotANumber { line, name: name.to_owned(), got: shortened(value) }
        })?;
        let (low, high) = range;
        if !(low..=high).contains(&figure) {
            let name = name.to_owned();
            return Err(FindingsError::OutOfRange { line, name, value: figure, low, high });
        }
        let at = *by_time.entry(time).or_insert_with(|| {
            sets.push(ReadingSet::at(time));
            sets.len() - 1
        });
        let set = &mut sets[at];
        let before = match place {
            Place::Of(instrument) => set.get(instrument),
            Place::Barometer => set.barometer_hpa,
            Place::FeedPressure => set.feed_pressure_bar_g,
            Place::ExpansionTank => set.expansion_tank_cm,
        };
        if let Some(first) = before.filter(|first| *first != figure) {
            let name = name.to_owned();
            return Err(FindingsError::Twice { line, name, first, second: figure });
        }
        match place {
            Place::Of(instrument) => set.put(instrument, Some(figure)),
            Place::Barometer => set.barometer_hpa = Some(figure),
            Place::FeedPressure => set.feed_pressure_bar_g = Some(figure),
            Place::ExpansionTank => set.expansion_tank_cm = Some(figure),
        }
    }
    sets.sort_by_key(|s| s.time);
    Ok(Read { sets, notes: taken.notes() })
}

/// A change of what the valves mean, from a moment on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// From when.
    pub time: Timestamp,
    /// The flows from then on.
    pub flows: SetFlows,
}

/// Reads settings: `time` and any of the three set flows, each row holding from its time on; an empty cell leaves a flow as it was.
///
/// # Errors
/// The first row that cannot be taken, with its line.
pub fn settings(text: &str, rated: SetFlows) -> Result<Vec<Setting>, FindingsError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (semicolons, mut taken) = (by_semicolons(text), Taken::default());
    let mut reader = rows(text);
    let heading = reader.headers().map_err(|e| not_a_table(&e))?.clone();
    if heading.get(0) != Some("time") {
        return Err(FindingsError::Heading {
            got: shortened(heading.get(0).unwrap_or_default()),
            wanted: "time,jacket_flow_set_kg_s,condenser_flow_set_kg_s,feed_flow_set_kg_s",
        });
    }
    let mut columns = Vec::new();
    for name in heading.iter().skip(1) {
        match SET_COLUMNS.iter().position(|c| *c == name) {
            Some(place) => columns.push(place),
            None => {
                let nearest = nearest(name, SET_COLUMNS.into_iter());
                return Err(FindingsError::UnknownColumn { got: shortened(name), nearest });
            }
        }
    }
    let mut read: Vec<(Timestamp, [Option<f64>; 3])> = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| not_a_table(&e))?;
        let line = row.position().map_or(0, csv::Position::line);
        if row.len() != heading.len() {
            return Err(FindingsError::Columns { line, got: row.len(), wanted: heading.len() });
        }
        let time = row.get(0).unwrap_or_default();
        let got = shortened(time);
        let time = moment(line, time, &mut taken)?;
        if taken.utc {
            // Nothing would say how it was taken.
            return Err(FindingsError::Time { line, got });
        }
        let mut flows = [None; 3];
        for (place, cell) in columns.iter().zip(row.iter().skip(1)) {
            if cell.is_empty() {
                continue;
            }
            let name = SET_COLUMNS[*place].to_owned();
            let value = number(cell, semicolons, &mut taken).ok_or_else(|| {
                FindingsError::NotANumber { line, name: name.clone(), got: shortened(cell) }
            })?;
            if !(0.01..=MOST_FLOW_KG_S).contains(&value) {
                let (low, high) = (0.01, MOST_FLOW_KG_S);
                return Err(FindingsError::OutOfRange { line, name, value, low, high });
            }
            flows[*place] = Some(value);
        }
        read.push((time, flows));
    }
    read.sort_by_key(|(time, _)| *time);
    let mut now = rated;
    Ok(read
        .into_iter()
        .map(|(time, [jacket, condenser, feed])| {
            now = SetFlows {
                jacket_kg_s: jacket.unwrap_or(now.jacket_kg_s),
                condenser_kg_s: condenser.unwrap_or(now.condenser_kg_s),
                feed_kg_s: feed.unwrap_or(now.feed_kg_s),
            };
            Setting { time, flows: now }
        })
        .collect())
}

/// Gives each set the flows that stood when it was read: the last setting at or before it, the first one before that.
pub fn apply(settings: &[Setting], sets: &mut [ReadingSet]) {
    for set in sets {
        let past = settings.partition_point(|s| s.time <= set.time);
        let at = settings.get(past.saturating_sub(1));
        set.set = at.map(|s| s.flows).or(set.set);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_rows_become_sets_in_the_order_of_time() {
        let text = "time,name,value\n2025-11-16T08:00:00+08:00,jacket_in_c,84.5\n\
                    2025-11-15T20:00:00Z,jacket_in_c,85\n2025-11-16T00:00:00Z,barometer_hpa,1009\n\
                    2025-11-16T00:00:00Z,sea_temp_c,\n";
        let sets = readings(text).unwrap();
        assert_eq!(sets.len(), 2);
        assert_eq!(sets[0].get(Instrument::JacketIn), Some(85.0));
        assert_eq!(sets[1].get(Instrument::JacketIn), Some(84.5));
        assert_eq!(sets[1].barometer_hpa, Some(1009.0));
        assert_eq!(sets[1].count(), 1);
    }

    #[test]
    fn ident_what_cannot_be_taken_is_told_with_line_and_name() {
        let head = "time,name,value\n2025-11-16T00:00:00Z,sea_temp_c,29\n";
        for (row, said) in [
            (
                "2025-11-16T00:00:00Z,jaket_in_c,84",
                "line 3: jaket_in_c: no such reading; did you mean jacket_in_c?",
            ),
            (
                "2025-11-16T00:00:00Z,jacket_in_c,warm",
                "line 3, jacket_in_c: \"warm\" is not a number",
            ),
            (
                "2025-11-16T00:00:00Z,jacket_in_c,NaN",
                "line 3, jacket_in_c: \"NaN\" is not a number",
            ),
            (
                "2025-11-16T00:00:00Z,jacket_in_c,840",
                "line 3, jacket_in_c = 840: outside -5 to 130",
            ),
            (
                "2025-11-16T00:00:00Z,sea_temp_c,31",
                "line 3, sea_temp_c: 31, but the same moment has 29",
            ),
            ("16 November,jacket_in_c,84", "line 3, time: \"16 November\""),
            ("2025-11-16T00:00:00Z,jacket_in_c", "line 3: 2 columns, wanted 3"),
        ] {
            let message = readings(&format!("{head}{row}\n")).unwrap_err().to_string();
            assert!(message.starts_with(said), "{message}");
        }
        let message = readings("when,what,how much\n").unwrap_err().to_string();
        assert!(message.contains("wanted time,name,value"), "{message}");
    }

    /// Semicolons with decimal commas, a quoted decimal comma, days before months: taken where they can be nothing else, and said.
    #[test]
    fn ident_what_a_spreadsheet_writes_is_taken_where_it_can_be_nothing_else() {
        let semicolons =
            "time;name;value\n16.11.2025 04:20;jacket_in_c;83,5\n16.11.2025 04:20;sea_temp_c;29\n";
        let quoted = "time,name,value\n2025-11-16T04:20:00Z,jacket_in_c,\"83,5\"\n2025-11-16T04:20:00Z,sea_temp_c,29\n";
        let (a, b) = (read(semicolons).unwrap(), read(quoted).unwrap());
        assert_eq!(a.sets, b.sets);
        assert_eq!(a.sets[0].get(Instrument::JacketIn), Some(83.5));
        assert_eq!(a.notes.len(), 3, "{:?}", a.notes);
        assert_eq!(b.notes, ["A comma in a figure was taken as its decimal point."]);
        for (row, said) in [
            ("3/4/2025 04:20,jacket_in_c,84", "line 2, time: \"3/4/2025 04:20\""),
            ("16.11.2025,jacket_in_c,84", "line 2, time: \"16.11.2025\""),
            ("2025-11-16T04:20:00Z,jacket_in_c,\"1,234\"", "\"1,234\" is not a number"),
            ("2025-11-16T04:20:00Z,jacket_in_c,83,5", "line 2: 4 columns, wanted 3"),
        ] {
            let message = readings(&format!("time,name,value\n{row}\n")).unwrap_err().to_string();
            assert!(message.contains(said), "{message}");
        }
    }

    #[test]
    fn ident_settings_hold_from_their_time_on() {
        let rated = SetFlows { jacket_kg_s: 16.0, condenser_kg_s: 17.0, feed_kg_s: 1.0 };
        let text = "time,jacket_flow_set_kg_s,feed_flow_set_kg_s\n2025-11-17T00:00:00Z,12,\n2025-11-18T00:00:00Z,,0.8\n";
        let settings = settings(text, rated).unwrap();
        let mut sets: Vec<ReadingSet> =
            ["2025-11-16T00:00:00Z", "2025-11-17T12:00:00Z", "2025-11-19T00:00:00Z"]
                .map(|t| ReadingSet::at(t.parse().unwrap()))
                .to_vec();
        apply(&settings, &mut sets);
        let got: Vec<(f64, f64)> =
            sets.iter().map(|s| s.set.map(|f| (f.jacket_kg_s, f.feed_kg_s)).unwrap()).collect();
        assert_eq!(got, [(12.0, 1.0), (12.0, 1.0), (12.0, 0.8)]);
        let wrong = super::settings("time,jacket_flow_kg_s\n", rated).unwrap_err().to_string();
        assert!(wrong.contains("did you mean jacket_flow_set_kg_s?"), "{wrong}");
    }
}
