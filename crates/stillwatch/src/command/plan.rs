//! `stillwatch plan`: where and when to make water, and whether it lasts.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use passage::decision::{Answer, Draws, Order, Plan, Problem, answer, plainly, plan};
use serde_json::json;

use super::output;
use crate::fail::{Code, Done, Fail};

/// Cell of the deterministic plan, t.
const CELL: &str = "0.02";
/// Largest problem that is read into memory; the reader itself takes less.
const MOST_BYTES: u64 = 64 << 20;

/// The command's words.
pub fn command() -> Command {
    Command::new("plan")
        .about("The passage water plan: when to start, when to take the heat off, and whether it lasts")
        .long_about(
            "Plans a route for a ship, as the page Passage does, or the passage of a problem file: start, first water, heat off\n\
             and shut down of every run, the stock with its band, what binds, and the tanks. It is advice to the master, never an order.",
        )
        .arg(
            Arg::new("problem")
                .long("problem")
                .value_name("FILE")
                .value_parser(clap::value_parser!(PathBuf))
                .help("The problem as JSON, in place of a route"),
        )
        .arg(
            Arg::new("route")
                .value_name("ROUTE")
                .conflicts_with("problem")
                .required_unless_present("problem")
                .value_parser(clap::value_parser!(PathBuf))
                .help("The route: waypoint lines, a table, a route exchange file (.rtz) or its container (.rtzp)"),
        )
        .arg(
            Arg::new("ship")
                .long("ship")
                .value_name("FOLDER")
                .conflicts_with("problem")
                .value_parser(clap::value_parser!(PathBuf))
                .help("The ship's folder, for her plant, orders, tanks and record (default: this folder)"),
        )
        .arg(
            Arg::new("svg")
                .long("svg")
                .action(ArgAction::SetTrue)
                .conflicts_with_all(["problem", "json"])
                .help("The passage on one clock as a picture"),
        )
        .arg(
            Arg::new("remedies")
                .long("remedies")
                .action(ArgAction::SetTrue)
                .conflicts_with("problem")
                .help("Also what binds, and each remedy planned anew"),
        )
        .arg(
            Arg::new("clock")
                .long("clock")
                .value_name("RFC 3339")
                .value_parser(clap::value_parser!(jiff::Timestamp))
                .help("Plan a route as if it were this moment, 2025-11-16T04:20:00Z"),
        )
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("The answer as JSON"),
        )
        .arg(
            Arg::new("deterministic")
                .long("deterministic")
                .action(ArgAction::SetTrue)
                .help("Only the plan as if nothing scattered"),
        )
        .arg(
            Arg::new("cell")
                .long("cell")
                .value_name("TONNES")
                .default_value(CELL)
                .help("Size of a cell of stock in that plan, 0.001 to 10"),
        )
        .arg(
            Arg::new("draws")
                .long("draws")
                .value_name("N")
                .default_value("2000")
                .value_parser(clap::value_parser!(u32).range(1..=100_000))
                .help("How many passages are simulated"),
        )
        .arg(
            Arg::new("seed")
                .long("seed")
                .value_name("N")
                .default_value("20261109")
                .value_parser(clap::value_parser!(u64))
                .help("Another seed, other passages"),
        )
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    if let Some(route) = matches.get_one::<PathBuf>("route") {
        return super::route_plan::run(matches, route);
    }
    let path = matches.get_one::<PathBuf>("problem").ok_or_else(|| Fail::usage("no --problem"))?;
    let read = |e: std::io::Error| {
        Fail::usage(format!("{}: {e}", path.display())).hint("name a problem file that can be read")
    };
    let bytes = std::fs::metadata(path).map_err(read)?.len();
    if bytes > MOST_BYTES {
        return Err(Fail::usage(format!("{}: {bytes} bytes", path.display()))
            .hint("is it another file? a problem has a few hundred kilobytes"));
    }
    let text = std::fs::read(path).map_err(read)?;
    let problem =
        Problem::from_json(&text).map_err(|e| Fail::usage(format!("{}: {e}", path.display())))?;
    let cell = cell(matches)?;
    if matches.get_flag("deterministic") {
        let plan = plan(&problem, cell);
        if matches.get_flag("json") {
            return output::print(&format!("{}\n", json!({ "plan": plan })));
        }
        return output::print(&plan_text(&problem, &plan));
    }
    let draws = Draws {
        count: matches.get_one::<u32>("draws").map_or(2000, |n| *n as usize),
        seed: matches.get_one::<u64>("seed").copied().unwrap_or_default(),
    };
    let answer = answer(&problem, cell, draws);
    if matches.get_flag("json") {
        let text = serde_json::to_string(&answer).map_err(|e| Fail::new(Code::Internal, e))?;
        return output::print(&format!("{text}\n"));
    }
    output::print(&answer_text(&problem, &answer))
}

fn cell(matches: &ArgMatches) -> Result<f64, Fail> {
    let text = matches.get_one::<String>("cell").map_or(CELL, String::as_str);
    let cell: Option<f64> = text.replace(',', ".").parse().ok();
    cell.filter(|c| (0.001..=10.0).contains(c)).ok_or_else(|| {
        Fail::usage(format!("--cell {text}: outside 0.001 to 10 t")).hint("--cell 0.02")
    })
}

/// A place of the stock by the ship's clock, "2 Dec 18:15 UTC+10", where the problem tells date and zone; by UTC where it
/// tells no zone; else as day and hour from the first sample.
fn moment(problem: &Problem, k: usize) -> String {
    let minutes = (k as f64 * problem.step_min).round() as i64;
    let start = problem.start_utc.as_ref().and_then(|text| text.parse::<Timestamp>().ok());
    let at = start.and_then(|start| start.checked_add(SignedDuration::from_mins(minutes)).ok());
    let Some(at) = at else {
        return format!("{} d {:02}:{:02}", minutes / 1440, minutes / 60 % 24, minutes % 60);
    };
    let zones = problem.samples.zone_h.as_deref().unwrap_or_default();
    let zone_h = zones.get(k).or(zones.last()).copied().unwrap_or(0.0);
    let zone = Offset::from_seconds((3600.0 * zone_h).round() as i32).unwrap_or(Offset::UTC);
    let name = if zone == Offset::UTC { "UTC".to_owned() } else { format!("UTC{zone}") };
    format!("{} {name}", zone.to_datetime(at).strftime("%-d %b %H:%M"))
}

/// The same with the sample's number.
fn at(problem: &Problem, k: usize) -> String {
    format!("{} ({k})", moment(problem, k))
}

fn orders(problem: &Problem, orders: &[Order]) -> String {
    if orders.is_empty() {
        return "No orders: no water is made.\n".into();
    }
    let head = ["start", "first water", "heat off", "shut down"].map(str::to_owned).to_vec();
    let mut rows = vec![head];
    for order in orders {
        let told = |k: Option<usize>| k.map_or_else(|| "-".to_owned(), |k| at(problem, k));
        let Order { start, first_water, heat_off, shut_down } = *order;
        rows.push([start, first_water, heat_off, shut_down].map(told).to_vec());
    }
    output::columns(&rows)
}

fn supplies(supply: &[(String, f64)]) -> String {
    supply.iter().map(|(name, t)| format!("{name}: {t:.1} t\n")).collect()
}

fn plan_text(problem: &Problem, plan: &Plan) -> String {
    let end = plan.stock_t.last().copied().unwrap_or_default();
    format!(
        "As if nothing scattered: {:.2}, {:.1} t short, {:.1} t lost, {end:.1} t at the end\n{}{}",
        plan.cost,
        plan.short_t,
        plan.lost_t,
        orders(problem, &plan.orders),
        supplies(&plan.supply)
    )
}

fn answer_text(problem: &Problem, answer: &Answer) -> String {
    let policy = &answer.policy;
    let says = plainly(problem, policy, &answer.bands, Some(&answer.binds), |k| moment(problem, k));
    let mut text = format!("{says}\n");
    for note in &answer.notes {
        text += &format!("! {note}\n");
    }
    text += match problem.start_utc {
        Some(_) => "\nOrders by the ship's clock (sample)\n",
        None => "\nOrders by the time from the first sample in days and hours (sample)\n",
    };
    let ordered = answer.mended.as_ref().unwrap_or(policy);
    text += &orders(problem, &ordered.orders);
    text += &supplies(&ordered.supply);
    text += &format!(
        "\nExpected cost {:.0}; greatest chance of being under the reserve {:.1} % at {}\n",
        policy.expected_cost,
        100.0 * policy.worst_chance,
        at(problem, policy.worst_at)
    );
    text += "\nStock, t\n";
    text += &output::columns(&stock_rows(problem, answer));
    text += "\nWorth of\n";
    let worth = answer.worth.iter().map(|(k, w)| vec![k.replace('_', " "), format!("{w:.0}")]);
    text += &output::columns(&worth.collect::<Vec<_>>());
    if !answer.tanks.is_empty() {
        text += "\nTanks\n";
        for (k, told) in &answer.tanks {
            let told = told.words(|k| moment(problem, k));
            text += &format!("{}  {told}\n", at(problem, *k));
        }
    }
    text + "\nAdvice to the master, never an order.\n"
}

/// The stock about once a day, twenty rows at most, and at the end.
fn stock_rows(problem: &Problem, answer: &Answer) -> Vec<Vec<String>> {
    let n = problem.samples.len();
    let day = problem.steps_per_day();
    let every = (n / day).div_ceil(20).max(1) * day;
    let mut rows = vec![
        ["at", "plan", "1 in 10 below", "middle", "1 in 10 above", "reserve"]
            .map(str::to_owned)
            .to_vec(),
    ];
    let mut places: Vec<usize> = (0..n).step_by(every).collect();
    places.push(n);
    for k in places {
        let figure = |list: &[f64]| list.get(k).map_or_else(String::new, |t| format!("{t:.1}"));
        let b = &answer.bands;
        let reserve = problem.samples.reserve_t.get(k.max(1) - 1).copied().unwrap_or_default();
        rows.push(vec![
            at(problem, k),
            figure(&answer.policy.stock_t),
            figure(&b.p10),
            figure(&b.p50),
            figure(&b.p90),
            format!("{reserve:.1}"),
        ]);
    }
    rows
}
