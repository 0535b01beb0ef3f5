//! One step of a chore: print the command, run it, time it.

use std::env;
use std::ffi::OsString;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::failure::{Failure, Outcome};

/// The cargo that runs this program.
pub fn cargo() -> OsString {
    env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}

/// Prints a command as one would type it, runs it in `folder` and fails unless it ends with 0.
pub fn run(folder: &Path, program: &str, arguments: &[&str]) -> Outcome {
    let typed = format!("{program} {}", arguments.join(" "));
    println!("$ {typed}");
    let real = if program == "cargo" { cargo() } else { program.into() };
    let status = Command::new(real)
        .args(arguments)
        .current_dir(folder)
        .status()
        .map_err(Failure::of(format!("`{program}` could not be run")))?;
    if status.success() {
        return Ok(());
    }
    Err(Failure::new(format!("`{typed}` ended with {status}")))
}

/// Whether a program can be started at all.
pub fn exists(program: &str, version_flag: &[&str]) -> bool {
    Command::new(program).args(version_flag).output().is_ok_and(|answer| answer.status.success())
}

/// The times of the steps so far.
#[derive(Default)]
pub struct Times {
    taken: Vec<(&'static str, Duration)>,
}

impl Times {
    /// Runs one step; on failure says which one it was and how to run it alone.
    pub fn step(&mut self, name: &'static str, work: impl FnOnce() -> Outcome) -> Outcome {
        println!("\n== {name}");
        let started = Instant::now();
        let outcome = work();
        let taken = started.elapsed();
        self.taken.push((name, taken));
        outcome.map_err(|failure| {
            Failure::new(format!(
                "\n{failure}\n\nStep `{name}` failed after {}. Again, only that: cargo xtask test --only {name}",
                seconds(taken)
            ))
        })?;
        println!("== {name}: {}", seconds(taken));
        Ok(())
    }

    /// One line: every step with its time, and the sum.
    pub fn summary(&self) -> String {
        let steps: Vec<String> =
            self.taken.iter().map(|(name, taken)| format!("{name} {}", seconds(*taken))).collect();
        let sum: Duration = self.taken.iter().map(|(_, taken)| *taken).sum();
        format!("All {} steps hold in {}: {}.", steps.len(), seconds(sum), steps.join(", "))
    }
}

fn seconds(time: Duration) -> String {
    format!("{:.1} s", time.as_secs_f64())
}
