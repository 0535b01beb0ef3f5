//! House chores, run as `cargo xtask NAME`: test, tidy, pictures, bench-report.

use std::process::ExitCode;

mod bench_report;
mod failure;
mod machine;
mod metadata;
mod pictures;
mod repo;
mod source;
mod step;
mod test;
mod tidy;

use failure::{Failure, Outcome};

const USAGE: &str = "\
cargo xtask test [--quick] [--only STEP]   everything that must hold before a change goes in
cargo xtask tidy                           house rules no compiler knows
cargo xtask pictures [--all --out DIR]     screenshots of the demonstration, into docs/pictures
cargo xtask bench-report                   speed beside the targets and other programs, into bench/runs

  --quick      leave the browser tests out
  --only STEP  one step: fmt, clippy, tidy, tests, doctests, browser
  --all        every page at every width and palette, not the chosen few; needs --out";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match chore(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{failure}");
            ExitCode::FAILURE
        }
    }
}

fn chore(arguments: &[&str]) -> Outcome {
    match arguments {
        ["test"] => test::run(test::Wish::All),
        ["test", "--quick"] => test::run(test::Wish::Quick),
        ["test", "--only", step] => test::run(test::Wish::Only(step)),
        ["tidy"] => tidy::run(),
        ["pictures"] => pictures::run(&pictures::Wish::chosen()?),
        ["pictures", "--all", "--out", folder] | ["pictures", "--out", folder, "--all"] => {
            pictures::run(&pictures::Wish::everything(folder))
        }
        ["bench-report"] => bench_report::run(),
        [] | ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            Ok(())
        }
        other => Err(Failure::new(format!("no such chore: {}\n\n{USAGE}", other.join(" ")))),
    }
}
