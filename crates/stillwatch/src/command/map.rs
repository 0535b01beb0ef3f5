//! `stillwatch map`: the plant over two conditions, as a table, CSV or a picture.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::capacity::{Capacity, Places, capacity};
use plant::Axis;
use plant::keys::{Key, Kind, Part};
use quantity::{Style, Unit, read_number, show_number};

use super::{figures, output};
use crate::fail::{Code, Done, Fail};

/// Columns of a table that still fits a terminal.
const WIDEST: usize = 40;

/// The command's words.
pub fn command() -> Command {
    Command::new("map")
        .about("Output, vacuum, brine or heat over sea temperature and jacket temperature or engine load")
        .long_about(
            "Works the plant out over two conditions, run to its limits as aboard (--trimmed=no for every flow as given).\n\
             Axes are sea-temp, jacket-in and engine-load, each as NAME=FROM:TO:STEP.",
        )
        .arg(axis("x", "sea-temp=4:36:4", "Condition along the rows"))
        .arg(axis("y", "jacket-in=60:92:4", "Condition from row to row"))
        .arg(
            Arg::new("of")
                .long("of")
                .value_name("RESULT")
                .value_delimiter(',')
                .action(ArgAction::Append)
                .help("product, vacuum, brine, heat, or any other result; several for CSV, as product,heat"),
        )
        .arg(
            Arg::new("format")
                .long("format")
                .value_name("WORD")
                .value_parser(["table", "csv", "svg"])
                .default_value("table")
                .help("table, csv (every digit; empty where the plant cannot run), or svg"),
        )
        .arg(
            Arg::new("out")
                .long("out")
                .value_name("FILE")
                .value_parser(clap::value_parser!(PathBuf))
                .help("Write to this file, whole or not at all"),
        )
        .arg(Arg::new("force").long("force").action(ArgAction::SetTrue).help("Replace the file if it is there"))
        .args(figures::flags())
}

fn axis(name: &'static str, usual: &'static str, help: &'static str) -> Arg {
    Arg::new(name).long(name).value_name("NAME=FROM:TO:STEP").default_value(usual).help(help)
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let (x, y) = (places(matches, "x")?, places(matches, "y")?);
    if x.axis == y.axis {
        return Err(Fail::usage("--x and --y move the same condition")
            .hint("--x sea-temp=5:36:1 --y jacket-in=60:92:1"));
    }
    let format = matches.get_one::<String>("format").map_or("table", String::as_str);
    let of = results(matches)?;
    let [first, ..] = of[..] else { return Err(Fail::usage("--of: no result named")) };
    if format != "csv" && of.len() > 1 {
        return Err(Fail::usage(format!("--of: a {format} shows one result"))
            .hint("name one, or --format csv"));
    }
    let setup = figures::setup(matches)?;
    let mut point = figures::point(matches, &setup)?;
    if !matches.contains_id("trimmed") {
        point.trimmed = true;
    }
    let map = capacity(&setup.plant, &point, x, y).map_err(Fail::usage)?;
    let text = match format {
        "csv" => csv(&map, &of)?,
        "svg" => {
            let (unit, scale) = shown_in(first);
            map.picture(&setup.plant, &point, first.key, unit.symbol(), scale)
                .map_err(Fail::usage)?
        }
        _ => table(&map, first)?,
    };
    match matches.get_one::<PathBuf>("out") {
        Some(path) => output::write_file(path, &text, matches.get_flag("force")),
        None => output::print(&text),
    }
}

fn places(matches: &ArgMatches, flag: &str) -> Result<Places, Fail> {
    let text = matches.get_one::<String>(flag).map_or("", String::as_str);
    let fail = |why: String| Fail::usage(format!("--{flag} {text}: {why}")).hint("sea-temp=5:36:1");
    let Some((name, ends)) = text.split_once('=') else {
        return Err(fail("wanted NAME=FROM:TO:STEP".into()));
    };
    let is_axis = |key: &Key| Axis::from_key(key.key).is_some();
    let key = figures::find(Part::Point, name).filter(|key| is_axis(key));
    let Some(axis) = key.and_then(|key| Axis::from_key(key.key)) else {
        let near = figures::nearest(Part::Point, name, is_axis);
        return Err(fail(format!("{name} is no axis; {near}")));
    };
    let numbers: Result<Vec<f64>, _> =
        ends.split(':').map(|part| read_number(part, Style::Either)).collect();
    let [low, high, step] = numbers.map_err(|e| fail(e.to_string()))?[..] else {
        return Err(fail("wanted three figures, FROM:TO:STEP".into()));
    };
    if let Some(key) = axis.meaning()
        && let Some(out) = [low, high].into_iter().find(|v| *v < key.hard.0 || *v > key.hard.1)
    {
        return Err(fail(format!(
            "{out} is outside {} to {}: {}",
            key.hard.0, key.hard.1, key.why
        )));
    }
    Places::stepped(axis, low, high, step).map_err(|e| fail(e.to_string()))
}

/// The results asked for, output when none is; a few have a short name.
fn results(matches: &ArgMatches) -> Result<Vec<&'static Key>, Fail> {
    let asked: Vec<&str> = matches
        .get_many::<String>("of")
        .map_or(vec!["product"], |of| of.map(String::as_str).collect());
    asked
        .into_iter()
        .map(|typed| {
            let long = match typed {
                "vacuum" => "vacuum_percent",
                "brine" => "brine_salinity_g_kg",
                "heat" => "evaporator_heat_w",
                other => other,
            };
            let is_figure = |key: &Key| key.kind == Kind::Number;
            figures::find(Part::Result, long).filter(|key| is_figure(key)).ok_or_else(|| {
                let near = figures::nearest(Part::Result, typed, is_figure);
                Fail::usage(format!("--of {typed}: no such result; {near}"))
            })
        })
        .collect()
}

fn shown_in(key: &Key) -> (Unit, f64) {
    match figures::unit(key) {
        Unit::W => (Unit::KW, 1.0e-3),
        Unit::Pa => (Unit::KPaA, 1.0e-3),
        unit => (unit, 1.0),
    }
}

/// Every cell a line, with every digit.
fn csv(map: &Capacity, of: &[&Key]) -> Result<String, Fail> {
    let columns: Vec<Vec<Option<f64>>> =
        of.iter().map(|key| map.values(key.key)).collect::<Result<_, _>>().map_err(Fail::usage)?;
    let mut text = format!("{},{}", map.x.axis.key(), map.y.axis.key());
    for key in of {
        text += &format!(",{}", key.key);
    }
    text += ",error\n";
    let internal = |e: std::fmt::Error| Fail::new(Code::Internal, e);
    for (j, (y, row)) in map.y.at.iter().zip(&map.rows).enumerate() {
        for (i, (x, cell)) in map.x.at.iter().zip(row).enumerate() {
            write!(text, "{x},{y}").map_err(internal)?;
            for column in &columns {
                match column.get(j * map.x.at.len() + i).copied().flatten() {
                    Some(value) => write!(text, ",{value}").map_err(internal)?,
                    None => text.push(','),
                }
            }
            writeln!(text, ",{}", cell.as_ref().err().map_or("", |e| e.kind()))
                .map_err(internal)?;
        }
    }
    Ok(text)
}

/// Rows from the top down as in the picture; a dash where the plant cannot run.
fn table(map: &Capacity, of: &Key) -> Result<String, Fail> {
    let width = map.x.at.len();
    if width > WIDEST {
        return Err(Fail::usage(format!("--x: {width} columns do not fit a table of {WIDEST}"))
            .hint("a larger step, or --format csv"));
    }
    let values = map.values(of.key).map_err(Fail::usage)?;
    let (unit, scale) = shown_in(of);
    let plain = |v: f64| format!("{}", (v * 1.0e6).round() / 1.0e6);
    let mut rows =
        vec![std::iter::once(String::new()).chain(map.x.at.iter().map(|x| plain(*x))).collect()];
    for (j, y) in map.y.at.iter().enumerate().rev() {
        let cells = values.iter().skip(j * width).take(width);
        let cells =
            cells.map(|v| v.map_or("-".into(), |v| show_number(v * scale, unit.precision())));
        rows.push(std::iter::once(plain(*y)).chain(cells).collect::<Vec<String>>());
    }
    let called = |axis: Axis| axis.meaning().map_or(axis.key(), |key| key.label);
    Ok(format!(
        "{}, {unit}: {} across, {} down\n\n{}",
        of.label,
        called(map.x.axis),
        called(map.y.axis),
        output::columns(&rows)
    ))
}
