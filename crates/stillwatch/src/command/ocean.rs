//! `stillwatch ocean`: nearest land, depth, sea temperature and salinity at a position.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use desk::lines::Outcome;
use ocean::{
    Basis, Coast, DataError, Estimate, Ground, Land, NearestLand, NoData, Position, Sea, Season,
    TRUST,
};
use quantity::{Precision, Temperature, show_number};
use serde_json::{Map, Value as Json, json};

use super::{output, stream};
use crate::fail::{Code, Done, Fail};

const ABOUT: &str = "\
Prints what lies around a position: nearest land and the distance to it, depth, the sea's temperature and salinity. From
built-in public data, for planning; never for navigation.

With --json and no --at, answers one JSON object a line from standard input (or --lines FILE), in order:

  {\"at\": \"12°34.5'S 045°10'E\", \"month\": 7}
  {\"lat_deg\": -12.575, \"lon_deg\": 45.167, \"month\": 7, \"day\": 15}";

/// Keys a line may have.
const KEYS: [&str; 5] = ["at", "lat_deg", "lon_deg", "month", "day"];

/// The command's words.
pub fn command() -> Command {
    Command::new("ocean")
        .about("What lies around a position: nearest land, depth, sea temperature and salinity")
        .long_about(ABOUT)
        .arg(
            Arg::new("at")
                .long("at")
                .value_name("POSITION")
                .allow_hyphen_values(true)
                .help("As written aboard: \"12°34.5'S 045°10'E\", \"12 34.5 S, 045 10.0 E\" or \"-12.575 45.1667\""),
        )
        .arg(
            Arg::new("month")
                .long("month")
                .value_name("1-12")
                .value_parser(|text: &str| figure(text, "1 (January) to 12"))
                .requires("at")
                .help("Month of the sea temperature; every month when left out"),
        )
        .arg(
            Arg::new("day")
                .long("day")
                .value_name("1-31")
                .value_parser(|text: &str| figure(text, "1 to 31"))
                .requires("month")
                .help("Day of that month; its middle when left out"),
        )
        .arg(Arg::new("json").long("json").action(ArgAction::SetTrue).help("As JSON; without --at, JSON lines from standard input"))
        .arg(
            Arg::new("lines")
                .long("lines")
                .value_name("FILE")
                .num_args(0..=1)
                .default_missing_value("-")
                .value_parser(value_parser!(PathBuf))
                .conflicts_with_all(["at", "month", "day"])
                .help("JSON lines to answer; standard input when no file is named"),
        )
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let around = Around { coast: Coast::embedded()?, sea: Sea::embedded()? };
    let file = matches.get_one::<PathBuf>("lines");
    let Some(at) = matches.get_one::<String>("at") else {
        if file.is_none() && !matches.get_flag("json") {
            return Err(Fail::usage("no position")
                .hint("stillwatch ocean --at \"12°34.5'S 045°10'E\" --month 7"));
        }
        return stream::answers(
            file.map(PathBuf::as_path),
            || around,
            |around, line, number, out| around.answer(line, number, out),
        );
    };
    let position: Position = at.parse().map_err(|e| Fail::usage(format!("--at: {e}")))?;
    let number = |name| matches.get_one::<u8>(name).copied();
    let season =
        season(number("month"), number("day")).map_err(|why| Fail::usage(format!("--{why}")))?;
    if matches.get_flag("json") {
        let mut object = around.object(position, season);
        object.insert("trust".into(), json!(TRUST));
        return output::print(&format!("{}\n", Json::Object(object)));
    }
    output::print(&around.page(position, season))
}

impl From<DataError> for Fail {
    fn from(error: DataError) -> Self {
        Self::new(Code::Machine, error)
    }
}

/// A month or a day in figures.
fn figure(text: &str, allowed: &str) -> Result<u8, String> {
    text.trim().parse().map_err(|_| format!("allowed are {allowed}, in figures"))
}

/// A time of year from a month and perhaps a day, or none.
fn season(month: Option<u8>, day: Option<u8>) -> Result<Option<Season>, String> {
    match (month, day) {
        (None, None) => Ok(None),
        (None, Some(day)) => Err(format!("day {day}: give the month with it, 1 to 12")),
        (Some(month), None) => Season::mid_month(month).map(Some).map_err(|e| e.to_string()),
        (Some(month), Some(day)) => Season::date(month, day).map(Some).map_err(|e| e.to_string()),
    }
}

/// The built-in seas and coasts.
#[derive(Clone, Copy)]
struct Around {
    coast: &'static Coast,
    sea: &'static Sea,
}

impl Around {
    /// The times of year asked for: one, or the middle of every month.
    fn temperatures(
        &self,
        position: Position,
        season: Option<Season>,
    ) -> Vec<Result<Estimate<Temperature>, NoData>> {
        let months = (1..=12).filter_map(|month| Season::mid_month(month).ok());
        let seasons: Vec<Season> = season.map_or_else(|| months.collect(), |one| vec![one]);
        seasons.into_iter().map(|one| self.sea.surface_temperature(position, one)).collect()
    }

    /// For a person.
    fn page(&self, position: Position, season: Option<Season>) -> String {
        let land = self.coast.nearest_land(position);
        let ground = self.sea.ground(position);
        let ashore = self.coast.on_land(position, ground);
        let off = if ashore {
            let nmi = show_number(self.coast.off_coast(position).nmi(), Precision::Decimals(1));
            format!("0 nmi: on land, the coast is {nmi} nmi away")
        } else {
            nearest_in_words(&land)
        };
        let mut rows = vec![vec!["Nearest land".to_owned(), off]];
        let depth = match ground {
            _ if ashore => "none: on land".to_owned(),
            Ground::Land => "on land, as far as every 6' of the chart tells".to_owned(),
            Ground::Shore(depth) => format!(
                "about {}, land close by; {} at the shallowest corner",
                metres(depth.depth_m),
                metres(depth.least_m)
            ),
            Ground::Sea(depth) => format!(
                "about {}; {} at the shallowest corner",
                metres(depth.depth_m),
                metres(depth.least_m)
            ),
        };
        rows.push(vec!["Depth".to_owned(), depth]);
        for (i, found) in self.temperatures(position, season).into_iter().enumerate() {
            let name = if season.is_some() {
                "Sea temperature".to_owned()
            } else {
                format!("Sea temperature, month {}", i + 1)
            };
            let known = found.map(|one| {
                (
                    format!("{} °C", show_number(one.value.celsius(), Precision::Decimals(1))),
                    one.basis,
                )
            });
            rows.push(vec![name, in_words(known)]);
        }
        let salinity = self.sea.surface_salinity(position);
        let known = salinity.map(|one| {
            (format!("{} g/kg", show_number(one.value.g_kg(), Precision::Decimals(1))), one.basis)
        });
        rows.push(vec!["Salinity, mean of the year".to_owned(), in_words(known)]);
        let width = rows
            .iter()
            .filter_map(|row| row.first())
            .map(|name| name.chars().count())
            .max()
            .unwrap_or(0);
        let mut text = format!("{position}\n\n");
        for row in &rows {
            let [name, value] = row.as_slice() else { continue };
            text += &format!("{name}{}  {value}\n", " ".repeat(width - name.chars().count()));
        }
        text + &format!(
            "\nDistance: {TRUST}\nDepth, temperature and salinity: climate and coarse soundings, for advice. What is measured aboard goes first.\n"
        )
    }

    /// For another program.
    fn object(&self, position: Position, season: Option<Season>) -> Map<String, Json> {
        let land = self.coast.nearest_land(position);
        let mut out = Map::new();
        let mut put = |key: &str, value: Json| out.insert(key.to_owned(), value);
        put("at", json!(position.to_string()));
        put("lat_deg", rounded(position.lat_deg(), 6));
        put("lon_deg", rounded(position.lon_deg(), 6));
        let ground = self.sea.ground(position);
        let ashore = self.coast.on_land(position, ground);
        let off = |nmi: f64| if ashore { json!(0.0) } else { rounded(nmi, 3) };
        put("on_land", json!(ashore));
        put("distance_nmi", off(land.distance.nmi()));
        put("at_least_nmi", off(land.at_least().nmi()));
        put("coast_nmi", rounded(self.coast.off_coast(position).nmi(), 3));
        let kind = match land.land {
            Land::Coast => "coast",
            Land::AustralianLine => "australian_line",
            Land::InsideAustralianLine => "inside_australian_line",
        };
        put("land", json!(kind));
        put("land_lat_deg", rounded(land.position.lat_deg(), 6));
        put("land_lon_deg", rounded(land.position.lon_deg(), 6));
        let (ground, depth) = match ground {
            // Rock under ice has a depth, and no sea over it.
            Ground::Sea(_) if ashore => ("land", None),
            Ground::Land => ("land", None),
            Ground::Shore(depth) => ("shore", Some(depth)),
            Ground::Sea(depth) => ("sea", Some(depth)),
        };
        put("ground", json!(ground));
        put("depth_m", depth.map_or(Json::Null, |depth| rounded(depth.depth_m, 1)));
        put("least_depth_m", depth.map_or(Json::Null, |depth| rounded(depth.least_m, 1)));
        let known = self.temperatures(position, season);
        let celsius = |one: &Result<Estimate<Temperature>, NoData>| {
            one.map_or(Json::Null, |one| rounded(one.value.celsius(), 2))
        };
        match (season, known.as_slice()) {
            (Some(_), [one]) => put("sea_temp_c", celsius(one)),
            _ => put("sea_temp_c_by_month", known.iter().map(celsius).collect()),
        };
        let basis = known.first().map_or(Json::Null, |one| basis(one.map(|one| one.basis)));
        put("sea_temp_basis", basis);
        let salinity = self.sea.surface_salinity(position);
        put("salinity_g_kg", salinity.map_or(Json::Null, |one| rounded(one.value.g_kg(), 2)));
        put("salinity_basis", self::basis(salinity.map(|one| one.basis)));
        out
    }

    /// Appends the answer to one line.
    fn answer(self, line: &[u8], number: usize, out: &mut Vec<u8>) -> Outcome {
        if line.trim_ascii().is_empty() {
            return Outcome::Passed;
        }
        let (answer, outcome) = match asked(line) {
            Ok((position, season)) => (self.object(position, season), Outcome::Answered),
            Err((kind, message)) => {
                let error = json!({ "kind": kind, "message": message, "line": number });
                (Map::from_iter([("error".to_owned(), error)]), Outcome::Refused)
            }
        };
        out.extend_from_slice(Json::Object(answer).to_string().as_bytes());
        out.push(b'\n');
        outcome
    }
}

/// Position and time of year of a line, or the kind of mistake and its message.
fn asked(line: &[u8]) -> Result<(Position, Option<Season>), (&'static str, String)> {
    let object: Map<String, Json> = serde_json::from_slice(line).map_err(|e| {
        let message = format!("column {}: {e}; wanted one object like {{\"at\": \"12°34.5'S 045°10'E\", \"month\": 7}}", e.column());
        ("not_json", message)
    })?;
    if let Some(key) = object.keys().find(|key| !KEYS.contains(&key.as_str())) {
        return Err(("unknown_key", format!("{key}: no such key; known are {}", KEYS.join(", "))));
    }
    let refused = |message: String| ("refused", message);
    let degrees = |key: &str, most: u8| match object.get(key) {
        Some(value) => value.as_f64().ok_or_else(|| {
            refused(format!(
                "{key}: read {value}, wanted degrees from -{most} to {most}, without quotes"
            ))
        }),
        None => Err(refused(format!("{key} is missing: give lat_deg and lon_deg, or at"))),
    };
    let position = match object.get("at") {
        Some(_) if object.contains_key("lat_deg") || object.contains_key("lon_deg") => {
            return Err(refused("at and lat_deg or lon_deg: give the position once".to_owned()));
        }
        Some(Json::String(text)) => {
            text.parse().map_err(|e: ocean::PositionError| refused(format!("at: {e}")))?
        }
        Some(other) => {
            return Err(refused(format!(
                "at: read {other}, wanted a position in quotes, as \"12°34.5'S 045°10'E\""
            )));
        }
        None => Position::from_degrees(degrees("lat_deg", 90)?, degrees("lon_deg", 180)?)
            .map_err(|e| refused(e.to_string()))?,
    };
    let whole = |key: &str, range: &str| match object.get(key) {
        None | Some(Json::Null) => Ok(None),
        Some(value) => match value.as_u64().and_then(|number| u8::try_from(number).ok()) {
            Some(number) => Ok(Some(number)),
            None => Err(refused(format!("{key}: read {value}, wanted a whole number, {range}"))),
        },
    };
    let season = season(whole("month", "1 to 12")?, whole("day", "1 to 31")?).map_err(refused)?;
    Ok((position, season))
}

fn nearest_in_words(land: &NearestLand) -> String {
    let miles = |distance: ocean::Distance| {
        format!("{} nmi", show_number(distance.nmi(), Precision::Decimals(1)))
    };
    match land.land {
        Land::Coast => format!("{} to the coast at {}; at least {}", miles(land.distance), land.position, miles(land.at_least())),
        Land::AustralianLine => format!(
            "{} to the line off north-east Australia that counts as nearest land, at {}; at least {}",
            miles(land.distance), land.position, miles(land.at_least())
        ),
        Land::InsideAustralianLine => {
            "0 nmi: between Australia and the line off its north-east coast that counts as nearest land".to_owned()
        }
    }
}

fn in_words(known: Result<(String, Basis), NoData>) -> String {
    match known {
        Ok((value, Basis::Observed)) => value,
        Ok((value, Basis::Neighbours)) => format!("{value}, from waters near by"),
        Err(why) if why.on_land => "on land: no data".to_owned(),
        Err(_) => "no data here".to_owned(),
    }
}

fn metres(m: f64) -> String {
    format!("{} m", show_number(m, Precision::Significant(2)))
}

fn basis(known: Result<Basis, NoData>) -> Json {
    json!(match known {
        Ok(Basis::Observed) => "observed",
        Ok(Basis::Neighbours) => "neighbours",
        Err(why) if why.on_land => "on_land",
        Err(_) => "no_data",
    })
}

/// A number with no more decimals than mean something.
fn rounded(value: f64, decimals: i32) -> Json {
    let scale = 10_f64.powi(decimals);
    json!((value * scale).round() / scale)
}
