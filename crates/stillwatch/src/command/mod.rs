//! What can be asked on the command line: one file per command.

mod accuracy;
mod demo;
mod explain;
mod explain_sheet;
mod explain_ship;
mod explain_view;
mod figures;
mod foresee;
mod log;
mod log_import;
mod map;
mod ocean;
mod open;
mod output;
mod plan;
mod practise;
mod rate;
mod route_plan;
mod selfcheck;
mod serve;
mod stream;
mod water;

use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{ArgMatches, Command};

use crate::fail::{Done, Fail};

/// One command: its words and what it does.
type Entry = (fn() -> Command, fn(&ArgMatches) -> Done);

/// Every command, in the order of the help.
const COMMANDS: &[Entry] = &[
    (demo::command, demo::run),
    (open::command, open::run),
    (log::command, log::run),
    (rate::command, rate::run),
    (map::command, map::run),
    (explain::command, explain::run),
    (plan::command, plan::run),
    (practise::command, practise::run),
    (ocean::command, ocean::run),
    (water::command, water::run),
    (accuracy::command, accuracy::run),
];

const AFTER: &str = "\
Figures are taken as written aboard: 82, 82,5, \"82 °C\", \"3.6 bar\"; another unit of the same kind is turned into the flag's own.

Exit codes:
   0  done
   1  done, but part of the input was refused or a point cannot be
   2  the command, a file or a figure needs mending; nothing was changed
   3  the record is not what it was
   4  the machine is in the way: disk full, read-only, port taken
  70  our mistake: please report it";

fn program() -> Command {
    Command::new("stillwatch")
        .about("Keeps watch over a ship's vacuum distilling plant: what it should be making, what it makes, and why")
        .version(env!("CARGO_PKG_VERSION"))
        .subcommand_required(true)
        .arg_required_else_help(true)
        .after_help(AFTER)
        .subcommands(COMMANDS.iter().map(|(command, _)| command()))
}

/// Runs what the words ask for.
pub fn run(args: impl IntoIterator<Item = OsString>) -> Done {
    let matches = match program().try_get_matches_from(args) {
        Ok(matches) => matches,
        Err(e) => return told(&e),
    };
    let Some((name, given)) = matches.subcommand() else {
        return Err(Fail::usage("no command").hint("stillwatch help"));
    };
    for (command, run) in COMMANDS {
        if command().get_name() == name {
            return run(given);
        }
    }
    Err(Fail::usage(format!("{name}: no such command")).hint("stillwatch help"))
}

/// Help and version are printed; anything else is a mistake in the words, told with the nearest right one.
fn told(e: &clap::Error) -> Done {
    if matches!(
        e.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayVersion
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
    ) {
        return output::print(&e.to_string());
    }
    let context = |kind| match e.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => texts.first().cloned(),
        _ => None,
    };
    let near =
        context(ContextKind::SuggestedArg).or_else(|| context(ContextKind::SuggestedSubcommand));
    let fail = match (e.kind(), context(ContextKind::InvalidArg)) {
        (ErrorKind::UnknownArgument, Some(arg)) => Fail::usage(format!("{arg}: no such flag here")),
        (ErrorKind::MissingRequiredArgument, Some(_)) => {
            Fail::usage(format!("this is missing: {}", missing(e).join(", ")))
        }
        _ => {
            let text = e.to_string();
            let first = text.lines().next().unwrap_or_default();
            Fail::usage(first.strip_prefix("error: ").unwrap_or(first))
        }
    };
    Err(match near {
        Some(near) => fail.hint(format!("{near}, or the same command with --help")),
        None => fail.hint("the same command with --help"),
    })
}

/// What the command cannot do without, as its help writes it.
fn missing(e: &clap::Error) -> Vec<String> {
    match e.get(ContextKind::InvalidArg) {
        Some(ContextValue::Strings(names)) => names.clone(),
        Some(ContextValue::String(name)) => vec![name.clone()],
        _ => Vec::new(),
    }
}
