//! The command line: one file per command; output, progress and exit codes.

mod command;
mod fail;
mod machine;
mod memory;

use std::process::ExitCode;

fn main() -> ExitCode {
    match command::run(std::env::args_os()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(fail) => {
            eprintln!("{fail}");
            ExitCode::from(fail.code())
        }
    }
}
