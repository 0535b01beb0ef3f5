//! House chores: test, tidy, pictures, bench-report.
fn main() {}
