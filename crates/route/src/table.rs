//! A route as a table (RFC 4180), columns in any order, told by the headings of its first line.

use csv::{ReaderBuilder, StringRecord, Writer};
use ocean::{Position, Track};

use crate::heading;
use crate::lines::depart;
use crate::problem::{Fault, Place, Problem};
use crate::reading::{Reading, Taken};
use crate::route::{MOST_WAYPOINTS, Route};
use crate::waypoint::{Pace, Waypoint};
use crate::when::{write_instant, write_zone};
use crate::words;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Name,
    Position,
    Lat,
    Lon,
    Track,
    Speed,
    Most,
    Eta,
    Etd,
    Stay,
    Mark,
    Load,
    Zone,
    /// A number for people.
    Count,
}

/// Headings, in small letters and digits alone.
const HEADINGS: [(Column, &[&str]); 14] = [
    (
        Column::Name,
        &[
            "name",
            "waypoint",
            "waypointname",
            "place",
            "ort",
            "wegpunkt",
            "bezeichnung",
            "nom",
            "nombre",
        ],
    ),
    (Column::Position, &["position", "pos"]),
    (Column::Lat, &["lat", "latitude", "latdeg", "breite", "breitengrad", "latitud"]),
    (
        Column::Lon,
        &["lon", "long", "lng", "longitude", "londeg", "länge", "laenge", "längengrad", "longitud"],
    ),
    (Column::Track, &["track", "geometry", "geometrytype", "leg", "legtype"]),
    (
        Column::Speed,
        &[
            "speedkn",
            "speed",
            "kn",
            "knots",
            "sog",
            "fahrt",
            "fahrtkn",
            "geschwindigkeit",
            "vitesse",
        ],
    ),
    (Column::Most, &["speedmaxkn", "speedmax", "maxspeed", "maxspeedkn"]),
    (Column::Eta, &["etautc", "eta", "arrival", "ankunft"]),
    (Column::Etd, &["etdutc", "etd", "departure", "abfahrt"]),
    (Column::Stay, &["stay", "stays"]),
    (Column::Mark, &["mark", "marks", "phase"]),
    (Column::Load, &["loadpercent", "load", "loadpct"]),
    (Column::Zone, &["zone", "clock", "utcoffset"]),
    (Column::Count, &["no", "nr", "number", "wp", "wpt", "id", "lfdnr", ""]),
];

/// The headings that are written, in the order of the cells.
const WRITTEN: [&str; 12] = [
    "name",
    "lat",
    "lon",
    "track",
    "speed_kn",
    "speed_max_kn",
    "eta_utc",
    "etd_utc",
    "stay",
    "mark",
    "load_percent",
    "zone",
];

/// The most columns looked at.
const MOST_COLUMNS: usize = 200;

/// How a table is laid out.
pub(crate) struct Layout {
    delimiter: u8,
    /// Lines of headings for the whole route above the first of the table.
    above: usize,
}

/// The layout of a text whose first line holds the headings of a table, known ones or words over columns.
pub(crate) fn layout(text: &str) -> Option<Layout> {
    let is_above = |line: &&str| {
        let line = line.trim();
        line.is_empty() || line.starts_with('#') || heading::find(line).is_some()
    };
    let above = text.lines().take_while(is_above).count();
    let first = text.lines().nth(above)?;
    let known = [b',', b';', b'\t'].into_iter().find_map(|delimiter| {
        let columns: Vec<_> = first.split(char::from(delimiter)).map(column).collect();
        let has = |column| columns.contains(&Some(column));
        let places = has(Column::Position) || has(Column::Lat) || has(Column::Lon);
        let is_table = places && columns.len() > 1 || columns == [Some(Column::Position)];
        is_table.then_some(Layout { delimiter, above })
    });
    known.or_else(|| {
        // Headings nobody knows are better told as such than every line as no position.
        let second = text.lines().nth(above + 1)?;
        let cells = |line: &str, delimiter: u8| line.split(char::from(delimiter)).count();
        let words = !first.contains(|c: char| c.is_ascii_digit() || c == ':');
        let is_table =
            |d: &u8| words && cells(first, *d) > 2 && cells(first, *d) == cells(second, *d);
        let delimiter = [b';', b'\t', b','].into_iter().find(is_table)?;
        Some(Layout { delimiter, above })
    })
}

fn column(heading: &str) -> Option<Column> {
    let plain: String = heading.chars().filter(|c| c.is_alphanumeric()).collect();
    let plain = plain.to_lowercase();
    let known = HEADINGS.iter().find(|(_, names)| names.contains(&plain.as_str()));
    known.map(|(column, _)| *column)
}

/// Reads a table of this layout.
pub(crate) fn read(text: &str, layout: &Layout) -> Reading {
    let mut taken = Taken::default();
    let mut departure = None;
    let mut problems = Vec::new();
    for (i, line) in text.lines().take(layout.above).enumerate() {
        if let Some((key, value)) = heading::find(line.trim()) {
            let faults = heading::take(&mut taken.route, &mut departure, key, value);
            problems.extend(at(Place::Line(i + 1), faults));
        }
    }
    let table: String = text.split_inclusive('\n').skip(layout.above).collect();
    let mut rows = ReaderBuilder::new()
        .delimiter(layout.delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(table.as_bytes())
        .into_records();
    let Some(Ok(first)) = rows.next() else { return Reading::of(taken, problems) };
    let columns: Vec<Option<Column>> = first.iter().take(MOST_COLUMNS).map(column).collect();
    let is_there = |wanted| columns.contains(&Some(wanted));
    let has_places = is_there(Column::Lat) && is_there(Column::Lon);
    if !has_places && !is_there(Column::Position) {
        let read = first.iter().collect::<Vec<_>>().join(", ");
        return Reading::refused(Fault::NoPositionColumns { read });
    }
    let heading_line = Place::Line(layout.above + 1);
    for (heading, _) in first.iter().zip(&columns).filter(|(_, column)| column.is_none()) {
        problems.extend(at(heading_line.clone(), [Fault::Heading { read: words::tidy(heading) }]));
    }
    for row in rows {
        if taken.route.waypoints.len() + problems.len() > MOST_WAYPOINTS {
            return Reading::refused(Fault::ManyWaypoints { count: table.lines().count() });
        }
        match row {
            Ok(row) => {
                let line = row.position().map_or(0, csv::Position::line);
                let line = layout.above + usize::try_from(line).unwrap_or(0);
                if row.iter().all(|cell| cell.trim().is_empty()) {
                    continue;
                }
                let (waypoint, faults) = read_row(&row, &columns, layout.delimiter != b',');
                taken.push(waypoint, Place::Line(line));
                problems.extend(at(Place::Line(line), faults));
            }
            Err(error) => {
                problems.extend(at(Place::Whole, [Fault::Unreadable { said: error.to_string() }]));
            }
        }
    }
    depart(&mut taken.route, departure);
    Reading::of(taken, problems)
}

fn at(place: Place, faults: impl IntoIterator<Item = Fault>) -> impl Iterator<Item = Problem> {
    faults.into_iter().map(move |fault| Problem::at(place.clone(), fault))
}

fn read_row(
    row: &StringRecord,
    columns: &[Option<Column>],
    may_have_comma: bool,
) -> (Option<Waypoint>, Vec<Fault>) {
    let cell = |wanted: Column| {
        let found = columns.iter().position(|column| *column == Some(wanted));
        let cell = found.and_then(|i| row.get(i)).map(str::trim);
        cell.filter(|cell| !cell.is_empty() && cell.len() <= words::LONGEST_LINE)
    };
    let read: Result<Position, _> = match (cell(Column::Position), cell(Column::Lat)) {
        (Some(position), _) => position.parse(),
        (None, lat) => {
            let angle = |text: Option<&str>| {
                let text = text.unwrap_or_default();
                if may_have_comma { text.replace(',', ".") } else { text.to_owned() }
            };
            format!("{} {}", angle(lat), angle(cell(Column::Lon))).parse()
        }
    };
    let position = match read {
        Ok(position) => position,
        Err(error) => return (None, vec![Fault::Position(error)]),
    };
    let mut waypoint = Waypoint::at(position);
    let mut faults = Vec::new();
    if let Some(name) = cell(Column::Name) {
        waypoint.name = words::tidy(unguarded(name));
    }
    // A speed or load may carry its unit in the cell or only in the heading.
    let with_unit = |text: &str, unit: &str| {
        let is_bare = text.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        if is_bare { format!("{text} {unit}") } else { text.to_owned() }
    };
    let keyed = |key: &str, text: &str| format!("{key} {text}");
    let said = [
        cell(Column::Speed).map(|text| with_unit(text, "kn")),
        cell(Column::Most).map(|text| keyed("max", text)),
        cell(Column::Eta).map(|text| keyed("ETA", text)),
        cell(Column::Etd).map(|text| keyed("ETD", text)),
        cell(Column::Load).map(|text| keyed("load", text)),
        cell(Column::Zone).map(|text| keyed("zone", text)),
    ];
    for word in said.into_iter().flatten() {
        faults.extend(words::take(&mut waypoint, &word));
    }
    for column in [Column::Track, Column::Stay, Column::Mark] {
        for word in cell(column).into_iter().flat_map(words::split) {
            let named = waypoint.name.clone();
            faults.extend(words::take(&mut waypoint, word));
            // No name stands in these columns.
            if waypoint.name != named {
                waypoint.name = named;
                faults.push(Fault::Word { read: word.to_owned() });
            }
        }
    }
    (Some(waypoint), faults)
}

/// Signs by which a spreadsheet takes a text for a formula.
const FORMULA: [char; 5] = ['=', '+', '-', '@', '\''];

fn guarded(text: String) -> String {
    if text.starts_with(FORMULA) { format!("'{text}") } else { text }
}

fn unguarded(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| rest.starts_with(FORMULA)).unwrap_or(text)
}

impl Route {
    /// The route as a table with commas that [`Reading::of_bytes`] reads back to the same. Headings of the route stand above
    /// it behind `#`.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let mut out = String::new();
        for (key, value) in heading::write(self) {
            out.push_str(&format!("# {key}: {value}\n"));
        }
        let mut rows = Writer::from_writer(Vec::new());
        let mut written = rows.write_record(WRITTEN);
        for waypoint in &self.waypoints {
            written = written.and_then(|()| rows.write_record(row(waypoint)));
        }
        // Writing to memory fails only for rows of unequal length, which these are not.
        let table = written.ok().and_then(|()| rows.into_inner().ok()).unwrap_or_default();
        out.push_str(&String::from_utf8_lossy(&table));
        out
    }
}

/// The cells of a waypoint, in the order of the headings.
fn row(waypoint: &Waypoint) -> [String; WRITTEN.len()] {
    let speed = match waypoint.pace {
        Some(Pace::Speed { kn }) => kn.to_string(),
        _ => String::new(),
    };
    let eta = match waypoint.pace {
        Some(Pace::Eta(eta)) => write_instant(eta),
        _ => String::new(),
    };
    let stays: Vec<String> = waypoint.stays.iter().map(words::write_stay).collect();
    [
        guarded(words::tidy(&waypoint.name)),
        waypoint.position.lat_deg().to_string(),
        waypoint.position.lon_deg().to_string(),
        match waypoint.track {
            Track::RhumbLine => String::new(),
            Track::GreatCircle => "great circle".to_owned(),
        },
        speed,
        waypoint.most_kn.map(|kn| kn.to_string()).unwrap_or_default(),
        eta,
        waypoint.etd.map(write_instant).unwrap_or_default(),
        stays.join("; "),
        waypoint.mark.map(|mark| mark.words().to_owned()).unwrap_or_default(),
        waypoint.load.map(words::write_percent).unwrap_or_default(),
        waypoint.zone.map(write_zone).unwrap_or_default(),
    ]
}
