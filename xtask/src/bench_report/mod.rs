//! `cargo xtask bench-report`: our speed beside the targets and beside other programs, all from one run.

mod criterion;
mod peer;
mod targets;

use std::fs;
use std::path::Path;

use crate::failure::{Failure, Outcome};
use crate::machine;
use crate::metadata::Metadata;
use crate::repo;
use criterion::Measured;
use peer::PeerTime;
use targets::Target;

/// Runs the benches and the peers, prints the table and keeps it with the raw numbers.
pub fn run() -> Outcome {
    let root = repo::root()?;
    let metadata = Metadata::read(&root)?;
    let targets = targets::read(&root.join("bench/targets.toml"))?;
    let measured = criterion::run(&root, &metadata)?;
    let peers = peer::run(&root, &metadata.target_directory)?;
    let report = format!("{}\n{}", head(), table(&targets, &measured, &peers));
    print!("\n{report}");
    let folder = root.join("bench/runs").join(folder_name());
    keep(&folder, &report, &measured, &peers)?;
    println!("\nkept in {}", folder.display());
    Ok(())
}

/// Today by UTC. The report is about this machine at this moment, so it alone asks the clock.
#[expect(clippy::disallowed_methods, reason = "a report bears the date on which it was made")]
fn today() -> String {
    jiff::Timestamp::now().strftime("%Y-%m-%d").to_string()
}

fn head() -> String {
    format!(
        "Stillwatch {}, {}\n{}\n{}, {}\n",
        env!("CARGO_PKG_VERSION"),
        today(),
        machine::description(),
        machine::version("rustc"),
        machine::version("python3"),
    )
}

fn folder_name() -> String {
    let processor = machine::processor().unwrap_or_else(|| std::env::consts::ARCH.to_owned());
    let words: Vec<String> = processor
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    format!("{}-{}", today(), words.join("-"))
}

/// One line for each target: what is asked, what was measured, and who else was measured in the same run.
fn table(targets: &[Target], measured: &[Measured], peers: &[PeerTime]) -> String {
    let mut rows =
        vec![["what", "asked", "measured", "beside", "takes", "ratio"].map(str::to_owned)];
    for target in targets {
        let ours = measured.iter().find(|one| one.id == target.bench);
        let our_time = ours.map(|one| one.median_s / target.items);
        let other = target.beside.as_deref();
        let other_time = other.and_then(|name| other_seconds(name, target, measured, peers));
        let (measured_text, verdict) = match our_time {
            None => (format!("no bench `{}`", target.bench), ""),
            Some(time) => (
                target.written(time),
                if target.is_met(time, other_time) { "" } else { "  missed" },
            ),
        };
        let ratio = our_time.zip(other_time).map(|(ours, theirs)| format!("{:.2}", theirs / ours));
        rows.push([
            target.what.clone(),
            target.asked(),
            format!("{measured_text}{verdict}"),
            other.unwrap_or("").to_owned(),
            match (other, other_time) {
                (None, _) => String::new(),
                (Some(_), None) => "not measured".to_owned(),
                (Some(_), Some(time)) => target.written(time),
            },
            ratio.unwrap_or_default(),
        ]);
    }
    laid_out(&rows)
}

/// Time per item of a bench or of a peer script, whichever has that name.
fn other_seconds(
    name: &str,
    target: &Target,
    measured: &[Measured],
    peers: &[PeerTime],
) -> Option<f64> {
    let bench = measured.iter().find(|one| one.id == name);
    let peer = peers.iter().find(|one| one.name == name);
    bench.map(|one| one.median_s / target.items).or(peer.map(|one| one.seconds / one.solves))
}

fn laid_out<const N: usize>(rows: &[[String; N]]) -> String {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max();
    let widths: [usize; N] = std::array::from_fn(|column| width(column).unwrap_or(0));
    let mut text = String::new();
    for row in rows {
        let cells: Vec<String> =
            row.iter().zip(widths).map(|(cell, width)| format!("{cell:width$}")).collect();
        text.push_str(cells.join("  ").trim_end());
        text.push('\n');
    }
    text
}

fn keep(folder: &Path, report: &str, measured: &[Measured], peers: &[PeerTime]) -> Outcome {
    let write = |name: &str, text: &str| {
        let path = folder.join(name);
        fs::write(&path, text).map_err(Failure::of(path.display()))
    };
    fs::create_dir_all(folder).map_err(Failure::of(folder.display()))?;
    write("report.txt", report)?;
    write("criterion.csv", &criterion::as_csv(measured))?;
    write("peer.csv", &peer::as_csv(peers))
}

#[cfg(test)]
mod tests {
    use super::criterion::Measured;
    use super::peer::PeerTime;
    use super::{table, targets};

    #[test]
    fn table_tells_missed_targets_and_ratios_from_the_same_run() {
        let targets = targets::parse(
            "[[target]]\nwhat = \"solve\"\nbench = \"steady\"\nat_most_us = 15\nbeside = \"scipy\"\n\
             [[target]]\nwhat = \"rate\"\nbench = \"lines\"\nitems = 1000\nat_least_per_s = 100000\n\
             [[target]]\nwhat = \"race\"\nbench = \"steady\"\nas_fast = true\nbeside = \"lines\"\n\
             [[target]]\nwhat = \"lost\"\nbench = \"lines\"\nas_fast = true\nbeside = \"steady\"\n\
             [[target]]\nwhat = \"absent\"\nbench = \"nowhere\"\nat_most_us = 1\n",
        )
        .unwrap();
        let bench = |id: &str, median_s: f64| Measured {
            id: id.to_owned(),
            median_s,
            low_s: median_s,
            high_s: median_s,
        };
        let measured = [bench("steady", 10e-6), bench("lines", 0.02)];
        let peers = [PeerTime { name: "scipy".to_owned(), solves: 100.0, seconds: 0.5 }];
        let text = table(&targets, &measured, &peers);
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines[1].contains("≤ 15 µs") && lines[1].contains("10.0 µs"), "{text}");
        // 0.5 s for 100 solves is 5 ms each, 500 times 10 µs.
        assert!(lines[1].contains("5000 µs") && lines[1].ends_with("500.00"), "{text}");
        assert!(lines[2].contains("50000 /s  missed"), "{text}");
        assert!(lines[3].contains("as fast") && !lines[3].contains("missed"), "{text}");
        assert!(lines[4].contains("20000 µs  missed"), "{text}");
        assert!(lines[5].contains("no bench `nowhere`"), "{text}");
    }
}
