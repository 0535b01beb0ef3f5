//! The command line: one file per command; output, progress and exit codes.
fn main() {}
