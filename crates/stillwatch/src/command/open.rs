//! `stillwatch open FOLDER`: the ship's own pages.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command};

use super::serve;
use crate::fail::{Done, Fail};

/// The command's words.
pub fn command() -> Command {
    Command::new("open")
        .about("Open a ship's folder; it is made, with a sheet to fill in, when there is none")
        .arg(
            Arg::new("folder")
                .value_name("FOLDER")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("Holds ship.toml and the record"),
        )
        .args(serve::options())
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let clock = serve::clock(matches);
    let Some(folder) = matches.get_one::<PathBuf>("folder") else {
        return Err(Fail::usage("no folder named").hint("stillwatch open FOLDER"));
    };
    serve::serve(matches, clock, || desk::Desk::open(folder, clock.moment()))
}
