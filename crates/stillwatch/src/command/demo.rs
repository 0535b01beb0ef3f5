//! `stillwatch demo`: the main job on the demonstration ship.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Command};

use super::serve;
use crate::fail::{Done, Fail};

/// The command's words.
pub fn command() -> Command {
    Command::new("demo")
        .about("Open the demonstration ship: sixty days of readings behind her, in a folder of its own")
        .long_about(
            "Opens the pages of the demonstration ship Marram, invented, with sixty days of readings made by the plant model.\n\
             The address is printed and the browser opened where there is one. Without --data everything is in a temporary\n\
             folder that is taken away at the end.",
        )
        .arg(
            Arg::new("data")
                .long("data")
                .value_name("FOLDER")
                .value_parser(clap::value_parser!(PathBuf))
                .help("Keep the demonstration in this folder, and go on with what is there"),
        )
        .arg(
            Arg::new("seed")
                .long("seed")
                .value_name("N")
                .default_value("1789")
                .value_parser(clap::value_parser!(u64))
                .help("Another seed, other sixty days"),
        )
        .args(serve::options())
}

/// A folder that is taken away when it is dropped.
struct Passing(PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        // Left behind in the system's temporary folder at the worst.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn passing() -> Result<Passing, Fail> {
    let mut mark = [0_u8; 8];
    getrandom::fill(&mut mark).map_err(|e| Fail::machine(format!("no random bytes: {e}")))?;
    let name: String = mark.iter().map(|b| format!("{b:02x}")).collect();
    Ok(Passing(std::env::temp_dir().join(format!("stillwatch-demo-{name}"))))
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let clock = serve::clock(matches);
    let seed = matches.get_one::<u64>("seed").copied().unwrap_or(1789);
    let kept = matches.get_one::<PathBuf>("data").cloned();
    let passing = if kept.is_none() { Some(passing()?) } else { None };
    let folder = match (&kept, &passing) {
        (Some(folder), _) => folder.clone(),
        (None, Some(passing)) => passing.0.clone(),
        (None, None) => return Err(Fail::machine("no folder to work in")),
    };
    serve::serve(matches, clock, || desk::demo::open(&folder, clock.moment(), seed))
}
