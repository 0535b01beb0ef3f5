//! `stillwatch water`: every property of water at a temperature, a salinity and a pressure.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use quantity::{Precision, Pressure, Salinity, Temperature, Unit, show_number};

use super::{figures, output, stream};
use crate::fail::{Done, Fail};

/// The command's words.
pub fn command() -> Command {
    let figure = |name: &'static str, unit: &'static str, help: &'static str| {
        Arg::new(name).long(name).value_name(unit).allow_hyphen_values(true).help(help)
    };
    Command::new("water")
        .about("Properties of steam, fresh water and sea water, with their sources; flagged where a source ends")
        .long_about(
            "Prints every property at one state. With --lines, answers one JSON object a line from a file or standard\n\
             input: {\"temp_c\": 45, \"salinity_g_kg\": 60, \"pressure_pa\": 10100}; salinity 0 and 101325 Pa where left out.",
        )
        .arg(figure("temp", "°C", "Temperature (0 to 180 °C)"))
        .arg(figure("salinity", "g/kg", "Salt, absolute salinity (0 to 200 g/kg; fresh water when left out)"))
        .arg(figure("pressure", "kPa abs", "Pressure: absolute, or with a unit as \"92 % vac\" or \"3 bar g\" (the barometer's when left out)"))
        .arg(figure("barometer", "hPa", "What gauges and vacuum count from (1013.25)"))
        .arg(Arg::new("json").long("json").action(ArgAction::SetTrue).help("As JSON"))
        .arg(
            Arg::new("all")
                .long("all")
                .action(ArgAction::SetTrue)
                .help("Also those whose source does not reach to this state, marked so"),
        )
        .arg(
            Arg::new("lines")
                .long("lines")
                .value_name("FILE")
                .num_args(0..=1)
                .default_missing_value("-")
                .value_parser(clap::value_parser!(PathBuf))
                .conflicts_with_all(["temp", "salinity", "pressure", "barometer", "json", "all"])
                .help("JSON lines to answer; standard input when no file is named"),
        )
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    if let Some(file) = matches.get_one::<PathBuf>("lines") {
        return stream::answers(
            Some(file),
            || (),
            |(), line, number, out| desk::waters::answer(line, number, out),
        );
    }
    let read = |name: &str, unit: Unit, barometer_hpa: f64| {
        matches
            .get_one::<String>(name)
            .map(|text| figures::figure(text, unit, barometer_hpa))
            .transpose()
            .map_err(|why| Fail::usage(format!("--{name}: {why}")))
    };
    let barometer_hpa = read("barometer", Unit::HPa, 1013.25)?.unwrap_or(1013.25);
    let Some(temp_c) = read("temp", Unit::DegC, barometer_hpa)? else {
        return Err(Fail::usage("no temperature").hint("stillwatch water --temp 45 --salinity 60"));
    };
    let salinity_g_kg = read("salinity", Unit::GKg, barometer_hpa)?.unwrap_or(0.0);
    let pressure_kpa = read("pressure", Unit::KPaA, barometer_hpa)?.unwrap_or(0.1 * barometer_hpa);
    let state = water::state(
        Temperature::from_celsius(temp_c),
        Salinity::from_g_kg(salinity_g_kg),
        Pressure::from_kpa(pressure_kpa),
    )
    .map_err(Fail::usage)?;
    if matches.get_flag("json") {
        return output::print(&format!("{}\n", desk::waters::object(&state)));
    }
    let (mut rows, mut left_out) = (Vec::new(), 0);
    for p in state.properties() {
        if !p.in_range && !matches.get_flag("all") {
            left_out += 1;
            continue;
        }
        rows.push(vec![
            format!("{}, {}", p.name, p.symbol),
            show_number(p.value, Precision::Significant(6)),
            format!("{:<8}", p.unit),
            format!("{:<48}", p.source),
            if p.in_range { String::new() } else { "outside its range".to_owned() },
        ]);
    }
    let head = format!(
        "Water at {} °C, {} g/kg, {} kPa abs\n\n",
        show_number(temp_c, Precision::Significant(6)),
        show_number(salinity_g_kg, Precision::Significant(6)),
        show_number(pressure_kpa, Precision::Significant(6)),
    );
    let foot = match left_out {
        0 => String::new(),
        n => format!("\n{n} more are not sure here, outside the range of their sources: --all\n"),
    };
    output::print(&(head + &output::columns(&rows) + &foot))
}
