//! Our own benches: run them, then read what criterion left on disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use serde_json::Value;

use crate::failure::{Failure, Outcome};
use crate::metadata::{Metadata, Package};
use crate::step;

/// The time of one run of a bench, with the 95 % interval of the median.
pub struct Measured {
    /// Group, function and parameter, joined by `/`.
    pub id: String,
    pub median_s: f64,
    pub low_s: f64,
    pub high_s: f64,
}

/// Runs every bench of the workspace and reads the results of this run only.
pub fn run(root: &Path, metadata: &Metadata) -> Outcome<Vec<Measured>> {
    let results = metadata.target_directory.join("criterion");
    let started = mark(&results)?;
    for package in metadata.ours() {
        let benches = benches(package);
        if !benches.is_empty() {
            let mut arguments = vec!["bench", "--package", package.name.as_str()];
            arguments.extend(benches.iter().flat_map(|bench| ["--bench", bench]));
            step::run(root, "cargo", &arguments)?;
        }
    }
    let mut measured = Vec::new();
    for folder in folders_below(&results) {
        measured.extend(read(&folder, started));
    }
    measured.sort_by(|a, b| a.id.cmp(&b.id));
    Ok(measured)
}

fn benches(package: &Package) -> Vec<&str> {
    let is_bench = |kinds: &[String]| kinds.iter().any(|kind| kind == "bench");
    let benches = package.targets.iter().filter(|target| is_bench(&target.kind));
    benches.map(|target| target.name.as_str()).collect()
}

/// Leaves a file and gives its time: what is older comes from an earlier run.
fn mark(results: &Path) -> Outcome<SystemTime> {
    let path = results.join("started");
    fs::create_dir_all(results).map_err(Failure::of(results.display()))?;
    fs::write(&path, "").map_err(Failure::of(path.display()))?;
    let kept = fs::metadata(&path).and_then(|metadata| metadata.modified());
    kept.map_err(Failure::of(path.display()))
}

/// Every folder called `new`, where criterion keeps the last run of a bench.
fn folders_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return found };
    for path in entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|p| p.is_dir()) {
        if path.file_name().is_some_and(|name| name == "new") {
            found.push(path);
        } else {
            found.extend(folders_below(&path));
        }
    }
    found
}

fn read(folder: &Path, started: SystemTime) -> Option<Measured> {
    let estimates = folder.join("estimates.json");
    if fs::metadata(&estimates).ok()?.modified().ok()? < started {
        return None;
    }
    let json = |path: &Path| serde_json::from_str::<Value>(&fs::read_to_string(path).ok()?).ok();
    let bench = json(&folder.join("benchmark.json"))?;
    let median = json(&estimates)?["median"].take();
    let seconds = |value: &Value| value.as_f64().map(|nanoseconds| nanoseconds * 1e-9);
    Some(Measured {
        id: bench["full_id"].as_str()?.to_owned(),
        median_s: seconds(&median["point_estimate"])?,
        low_s: seconds(&median["confidence_interval"]["lower_bound"])?,
        high_s: seconds(&median["confidence_interval"]["upper_bound"])?,
    })
}

pub fn as_csv(measured: &[Measured]) -> String {
    let mut text = String::from("bench,median_s,low_s,high_s\n");
    for Measured { id, median_s, low_s, high_s } in measured {
        text.push_str(&format!("\"{id}\",{median_s:e},{low_s:e},{high_s:e}\n"));
    }
    text
}
