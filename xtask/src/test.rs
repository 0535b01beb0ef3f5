//! `cargo xtask test`: everything that must hold before a change goes in, cheapest first.

use std::path::Path;

use crate::failure::{Failure, Outcome};
use crate::machine;
use crate::repo;
use crate::step::{self, Times};
use crate::tidy;

/// Which steps to run.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Wish<'a> {
    All,
    /// All that needs no browser.
    Quick,
    Only(&'a str),
}

/// A step is handed the root of the repository.
type Work = fn(&Path) -> Outcome;

const STEPS: [(&str, Work); 6] = [
    ("fmt", fmt),
    ("clippy", clippy),
    ("tidy", |_| tidy::run()),
    ("tests", tests),
    ("doctests", doctests),
    ("browser", browser),
];

/// Runs the wished steps in order and stops at the first that fails.
pub fn run(wish: Wish) -> Outcome {
    let root = repo::root()?;
    let wished = |name: &str| match wish {
        Wish::All => true,
        Wish::Quick => name != "browser",
        Wish::Only(only) => name == only,
    };
    let steps: Vec<_> = STEPS.into_iter().filter(|(name, _)| wished(name)).collect();
    if steps.is_empty() {
        let names = STEPS.map(|(name, _)| name).join(", ");
        return Err(Failure::new(format!("there is no such step; the steps are {names}")));
    }
    if wished("browser") {
        machine::ensure_browser(&root)?;
    }
    let mut times = Times::default();
    for (name, work) in steps {
        times.step(name, || work(&root))?;
    }
    println!("\n{}", times.summary());
    Ok(())
}

fn fmt(root: &Path) -> Outcome {
    step::run(root, "cargo", &["fmt", "--all", "--check"])
}

/// The browser tests are no default target, so that `cargo test` needs no browser; name them here.
fn clippy(root: &Path) -> Outcome {
    let arguments =
        ["clippy", "--workspace", "--all-targets", "--test", "browser", "--", "-D", "warnings"];
    step::run(root, "cargo", &arguments)
}

fn tests(root: &Path) -> Outcome {
    if have_nextest() {
        return step::run(root, "cargo", &["nextest", "run", "--workspace", "--no-fail-fast"]);
    }
    let arguments = ["test", "--workspace", "--lib", "--bins", "--tests", "--no-fail-fast"];
    step::run(root, "cargo", &arguments)
}

fn doctests(root: &Path) -> Outcome {
    step::run(root, "cargo", &["test", "--workspace", "--doc"])
}

fn browser(root: &Path) -> Outcome {
    let which = ["--package", "browse", "--package", "stillwatch", "--test", "browser"];
    let runner: &[&str] = if have_nextest() { &["nextest", "run"] } else { &["test"] };
    step::run(root, "cargo", &[runner, &which, &["--no-fail-fast"]].concat())
}

fn have_nextest() -> bool {
    step::exists("cargo-nextest", &["nextest", "--version"])
}
