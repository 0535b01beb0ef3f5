//! `stillwatch rate`: what the plant should make, for a person or line by line for another program.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::lines::Answerer;
use desk::whatif::holds::{self, LimitRow};
use desk::{Setup, view::Band};
use plant::keys::{self, Key, Kind};
use plant::{Banded, Point, Trim, TrimLever, TrimReason};
use quantity::{Precision, Unit, show, show_number, show_to};
use serde_json::{Map, Value as Json, json};

use super::{figures, output, stream};
use crate::fail::{Code, Done, Fail};

const ABOUT: &str = "\
With figures given as flags, prints what the plant should show, with the band that holds nine in ten, what holds it
and what was trimmed. Without, answers one JSON object a line from FILE or standard input, in order:

  {\"at\": {\"sea_temp_c\": 29, \"jacket_in_c\": 82}}
  {\"plant\": {\"rated_product_t_day\": 20}, \"at\": {\"engine_load\": 60, \"trimmed\": true}}

Keys that are left out take the sheet's rated point. A line that cannot be answered gets {\"error\": …} and the run
goes on; the exit code is then 1.";

/// The command's words.
pub fn command() -> Command {
    Command::new("rate")
        .about(
            "What the plant should make: one point for a person, or JSON lines for another program",
        )
        .long_about(ABOUT)
        .arg(
            Arg::new("file")
                .value_name("FILE")
                .value_parser(clap::value_parser!(PathBuf))
                .help("JSON lines to answer; - or none for standard input"),
        )
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("The one point as JSON, with band and limits"),
        )
        .args(figures::flags())
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let file = matches.get_one::<PathBuf>("file");
    let one = figures::given(matches) || matches.get_flag("json");
    if let (Some(file), true) = (file, one) {
        return Err(Fail::usage(format!("{}: the file's lines hold the points", file.display()))
            .hint("drop the other flags; --sheet may stay"));
    }
    let setup = figures::setup(matches)?;
    if one || (file.is_none() && matches.contains_id("sheet")) {
        let point = figures::point(matches, &setup)?;
        return rate(&setup, &point, matches.get_flag("json"));
    }
    stream::answers(
        file.map(PathBuf::as_path),
        || Answerer::new(setup.ship.sheet.clone()),
        |answerer, line, number, out| answerer.answer(line, number, out),
    )
}

fn rate(setup: &Setup, point: &Point, as_json: bool) -> Done {
    match setup.plant.band(point, &setup.uncertainty) {
        Ok(banded) if as_json => output::print(&format!("{}\n", as_object(&banded)?)),
        Ok(banded) => output::print(&table(setup, point, &banded)),
        Err(e) => {
            if as_json {
                let mut error: Map<String, Json> =
                    e.numbers().into_iter().map(|(k, x)| (k.to_owned(), json!(x))).collect();
                error.insert("kind".into(), json!(e.kind()));
                error.insert("message".into(), json!(e.to_string()));
                output::print(&format!("{}\n", json!({ "error": error })))?;
            }
            Err(Fail::new(Code::Partly, e))
        }
    }
}

/// The answer's keys as in a line, and `band` and `limits` beside them.
fn as_object(banded: &Banded) -> Result<Json, Fail> {
    let internal = |e: serde_json::Error| Fail::new(Code::Internal, e);
    let mut object = serde_json::to_value(&banded.solution).map_err(internal)?;
    let band: Map<String, Json> = plant::RESULT_FIGURES
        .iter()
        .filter_map(|key| Some(((*key).to_owned(), json!(banded.band(key)?))))
        .collect();
    object["band"] = Json::Object(band);
    object["limits"] = serde_json::to_value(banded.solution.limits).map_err(internal)?;
    Ok(object)
}

/// A figure's unit and digits as they are read aboard, and what it is multiplied by to get there.
fn shown_in(key: &Key) -> (Unit, Precision, f64) {
    match figures::unit(key) {
        Unit::W => (Unit::KW, Unit::KW.precision(), 1.0e-3),
        Unit::Pa => (Unit::KPaA, Unit::KPaA.precision(), 1.0e-3),
        unit @ (Unit::KgS | Unit::One) => (unit, Precision::Significant(3), 1.0),
        unit => (unit, unit.precision(), 1.0),
    }
}

fn table(setup: &Setup, point: &Point, banded: &Banded) -> String {
    let solution = &banded.solution;
    let mut rows = vec![vec![String::new(), "should be".into(), "nine in ten within".into()]];
    for key in keys::RESULT.iter().filter(|key| key.kind == Kind::Number) {
        let Ok(value) = solution.get(key.key) else { continue };
        let (unit, precision, scale) = shown_in(key);
        let mut row = vec![key.label.to_owned(), show_to(value * scale, unit, precision)];
        if let Some((low, high)) = banded.band(key.key)
            && high > low
        {
            let band = Band { middle: value, low: physical(key, low), high: physical(key, high) };
            let end = |x: f64| show_number(x * scale, precision);
            row.push(format!("{} to {}", end(band.low), end(band.high)));
        }
        rows.push(row);
    }
    let run = match (point.trimmed, solution.trims.is_empty()) {
        (true, _) => "run to its limits",
        (false, true) => "every flow as given",
        (false, false) => "as given, held to the heat the engine can spare",
    };
    let mut text = format!(
        "{}, {run}: sea {}, jacket water {}\n\n",
        heading(setup),
        show(point.sea_temp_c, Unit::DegC),
        show(point.jacket_in_c, Unit::DegC)
    );
    text += &output::columns(&rows);
    text += "\nLimits, the nearest first\n";
    let limits: Vec<Vec<String>> =
        holds::limits(solution).into_iter().filter_map(limit_row).collect();
    text += &output::columns(&limits);
    for trim in &solution.trims {
        text += &format!("\n{}", trimmed(trim));
    }
    if !solution.trims.is_empty() {
        text.push('\n');
    }
    for flag in &solution.flags {
        text += &format!("\n! {}", flag.sentence());
    }
    if !solution.flags.is_empty() {
        text.push('\n');
    }
    let r = solution.residuals;
    text += &format!(
        "\nDoes not balance by: mass {:.0e}, salt {:.0e}, energy {:.0e} (relative)\n",
        r.mass.abs(),
        r.salt.abs(),
        r.energy.abs()
    );
    text
}

fn heading(setup: &Setup) -> String {
    if setup.ship == desk::ship::Ship::blank() {
        return "Demonstration plant".to_owned();
    }
    setup.ship.name.clone()
}

/// A band is symmetrical by its arithmetic; what cannot be negative stops at nought.
fn physical(key: &Key, value: f64) -> f64 {
    let signed = key.unit == "degC";
    if signed { value } else { value.max(0.0) }
}

fn limit_row(row: LimitRow) -> Option<Vec<String>> {
    let limit = row.limit?;
    let word = if row.acts { row.word } else { "" };
    let with_unit = |figure: &str| format!("{figure} {}", row.unit);
    Some(vec![
        row.label.to_owned(),
        with_unit(&row.here),
        format!("limit {}", with_unit(&limit)),
        word.to_owned(),
    ])
}

/// A trim in words: what was moved, from, to, and why it stopped there.
fn trimmed(trim: &Trim) -> String {
    let (what, unit) = match trim.lever {
        TrimLever::JacketFlow => ("By-pass opened: jacket water through the evaporator", Unit::KgS),
        TrimLever::CondenserFlow => ("Condenser throttled: sea water through it", Unit::KgS),
        TrimLever::AirBleed => ("Air bled into the shell", Unit::KgH),
        TrimLever::JacketIn => ("Warning: jacket water sags", Unit::DegC),
    };
    let why = match trim.why {
        TrimReason::ProductMax => "to the maker's maximum output",
        TrimReason::EngineHeat => "to the heat the engine can spare",
        TrimReason::VapourTempMin => "to keep the shell warm",
        TrimReason::SeaOutMax => "no further: the sea water out would be too hot",
        TrimReason::FlowFloor => "no further: the flow may go no lower",
        TrimReason::BleedMax => "no further: the bleed is at its end",
    };
    format!("{what} from {} to {}, {why}", show(trim.from, unit), show(trim.to, unit))
}
