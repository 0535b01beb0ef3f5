//! `cargo xtask tidy`: house rules no compiler knows, one file per rule.

mod arrows;
mod dependencies;
mod ignored;
mod licences;
mod orphans;
mod panics;
mod purpose;
mod references;
mod spdx;
mod table;
mod words;

use std::path::PathBuf;

use crate::failure::{Failure, Outcome};
use crate::metadata::Metadata;
use crate::repo::{self, File};

/// Past this a file is asked whether it still holds one thing; it is not an error.
const LONG_FILE_LINES: usize = 700;

/// Something that does not belong, and where.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Finding {
    path: String,
    line: usize,
    what: String,
}

impl Finding {
    fn at(path: impl Into<String>, line: usize, what: impl Into<String>) -> Finding {
        Finding { path: path.into(), line, what: what.into() }
    }

    /// For what no single line can be blamed for.
    fn in_file(path: impl Into<String>, what: impl Into<String>) -> Finding {
        Finding::at(path, 1, what)
    }
}

/// What every rule reads.
struct House {
    root: PathBuf,
    files: Vec<File>,
    metadata: Metadata,
}

impl House {
    fn file(&self, path: &str) -> Option<&File> {
        self.files.iter().find(|file| file.path == path)
    }

    fn with_extension(&self, extension: &'static str) -> impl Iterator<Item = &File> {
        self.files.iter().filter(move |file| file.extension() == extension)
    }
}

/// Prints every finding and fails when there is one.
pub fn run() -> Outcome {
    let root = repo::root()?;
    let (files, metadata) = (repo::text_files(&root)?, Metadata::read(&root)?);
    let house = House { root, files, metadata };
    let rules: [fn(&House) -> Vec<Finding>; 9] = [
        arrows::check,
        dependencies::check,
        ignored::check,
        licences::check,
        orphans::check,
        panics::check,
        purpose::check,
        references::check,
        words::check,
    ];
    let mut findings: Vec<Finding> = rules.iter().flat_map(|rule| rule(&house)).collect();
    findings.sort();
    for file in house.with_extension("rs") {
        let lines = file.text.lines().count();
        if lines > LONG_FILE_LINES {
            println!("{}: {lines} lines; does it hold one thing?", file.path);
        }
    }
    for Finding { path, line, what } in &findings {
        println!("{path}:{line}: {what}");
    }
    match findings.len() {
        0 => {
            println!("tidy: {} files, nothing out of place", house.files.len());
            Ok(())
        }
        count => Err(Failure::new(format!("tidy: {count} things out of place"))),
    }
}
