//! `stillwatch log import`: a file of readings looked at, then taken into the record.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::Desk;
use desk::import::{Asked, Import};
use logbook::Zone;
use logbook::import::{Column, DayOrder, Times};

use super::log::{folder, path};
use super::serve;
use crate::fail::{Code, Done, Fail};

/// Cells and doubts told one by one.
const MOST_TOLD: usize = 50;

/// The command's words.
pub(super) fn command() -> Command {
    Command::new("import")
        .about("Take a CSV file of readings; the same file twice changes nothing")
        .arg(folder())
        .arg(
            Arg::new("file")
                .value_name("FILE")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("The CSV file of readings"),
        )
        .arg(
            Arg::new("by")
                .long("by")
                .value_name("INITIALS")
                .required_unless_present("dry-run")
                .help("Who takes the file in"),
        )
        .arg(
            Arg::new("dry-run")
                .long("dry-run")
                .action(ArgAction::SetTrue)
                .help("Only show what would be taken, and why not the rest; works while the pages are open"),
        )
        .arg(
            Arg::new("times")
                .long("times")
                .value_name("CLOCK")
                .allow_hyphen_values(true)
                .help("What times without an offset are: ship, UTC, or an offset as +10; else what their heading says, else ship's time"),
        )
        .arg(
            Arg::new("dates")
                .long("dates")
                .value_parser(["day-first", "month-first"])
                .help("What 3/4 means, where the file leaves it open"),
        )
        .arg(
            Arg::new("column")
                .long("column")
                .value_name("HEADING=READING[:UNIT]")
                .action(ArgAction::Append)
                .help("What a heading means, as 'HT in=jacket_in_c:degC', 'Datum=date', 'Zeit=time', 'Gez.=who'; the ship remembers it"),
        )
}

/// Runs it.
pub(super) fn run(matches: &ArgMatches) -> Done {
    let now = serve::clock(matches).moment();
    let file = path(matches, "file")?;
    let bytes = std::fs::read(file).map_err(|e| Fail::usage(format!("{}: {e}", file.display())))?;
    let (asked, folder) = (asked(matches, file)?, path(matches, "folder")?);
    let dry = matches.get_flag("dry-run");
    let done = if dry {
        // A reader alone takes no lock: the pages may be open meanwhile.
        let desk = Desk::open_to_read(folder).map_err(serve::desk_fail)?;
        desk.import_plan(&bytes, &asked, now)
    } else {
        let desk = Desk::open(folder, now).map_err(serve::desk_fail)?;
        desk.import(&bytes, &asked, now)
    };
    told(&done.map_err(serve::desk_fail)?, dry)
}

fn asked(matches: &ArgMatches, file: &Path) -> Result<Asked, Fail> {
    let times = match matches.get_one::<String>("times").map(String::as_str) {
        None => None,
        Some("ship") => Some(Times::Ship),
        Some(zone) => Some(Times::At(zone.parse::<Zone>().map_err(|e| {
            Fail::usage(format!("--times {zone}: {e}"))
                .hint("--times ship, --times UTC or --times +10")
        })?)),
    };
    let day_order = matches.get_one::<String>("dates").map(|order| match order.as_str() {
        "month-first" => DayOrder::MonthFirst,
        _ => DayOrder::DayFirst,
    });
    let mut mapping = Vec::new();
    for column in matches.get_many::<String>("column").into_iter().flatten() {
        let parsed = column.rsplit_once('=').map(|(heading, rest)| {
            let (reading, unit) = rest.split_once(':').unwrap_or((rest, ""));
            (heading.to_owned(), reading.to_owned(), unit.to_owned())
        });
        mapping.push(parsed.ok_or_else(|| {
            Fail::usage(format!(
                "--column {column}: wanted HEADING=READING or HEADING=READING:UNIT"
            ))
            .hint("--column 'HT in=jacket_in_c:degC'")
        })?);
    }
    Ok(Asked {
        name: file.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned()),
        actor: matches.get_one::<String>("by").cloned().unwrap_or_default(),
        times,
        day_order,
        mapping,
    })
}

fn told(done: &Import, dry: bool) -> Done {
    let plan = &done.plan;
    for p in plan.problems.iter().take(MOST_TOLD) {
        println!("line {}, {}: \"{}\" not taken: {}", p.line, p.column, p.read, p.message);
    }
    more(plan.refused, "not taken");
    let verb = if dry { "would be taken" } else { "taken" };
    for odd in done.odd.iter().take(MOST_TOLD) {
        println!("line {}, {}: {} {verb}, look again: {}", odd.line, odd.label, odd.read, odd.says);
    }
    more(done.all_odd, "to look at again");
    let columns = plan.layout.headings.iter().zip(&plan.layout.columns);
    let left_out: Vec<&str> = columns
        .filter(|(_, column)| matches!(column, Column::Ignored { .. }))
        .map(|(heading, _)| heading.trim())
        .filter(|heading| !heading.is_empty())
        .collect();
    if !left_out.is_empty() {
        println!(
            "Columns left out: {}. Say what one holds with --column 'HEADING=READING:UNIT'.",
            left_out.join(", ")
        );
    }
    for sentence in [done.times_told(), done.dates_told()].iter().filter(|s| !s.is_empty()) {
        println!("{sentence}");
    }
    println!(
        "{} rows read: {} values {verb}, {} stand already (in the record, or twice in the file), {} not taken",
        plan.read, done.new, done.known, plan.refused
    );
    if plan.problems.is_empty() {
        return Ok(());
    }
    let written = if dry { "nothing was written" } else { "the rest is in the record" };
    Err(Fail::new(Code::Partly, format!("not every row can be taken; {written}")))
}

fn more(all: u64, what: &str) {
    let rest = all.saturating_sub(MOST_TOLD as u64);
    if rest > 0 {
        println!("… and {rest} more {what}");
    }
}
