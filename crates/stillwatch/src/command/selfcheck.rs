//! `stillwatch explain --selfcheck N`: simulated plants with known faults, and how the findings fare on them.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chart::{Reliability, Said};
use clap::{Arg, ArgMatches};
use findings::Cause;
use findings::simulate::{BANDS, EXPERIMENTS, Experiment, Share, Tally, sheets, trial};
use rayon::prelude::*;
use serde_json::{Value as Json, json};

use super::output;
use crate::fail::{Done, Fail};

/// The flags of the check.
pub fn flags() -> [Arg; 4] {
    [
        Arg::new("selfcheck")
            .long("selfcheck")
            .value_name("N")
            .value_parser(clap::value_parser!(u64).range(1..=1_000_000))
            .conflicts_with_all(["plant", "readings", "settings"])
            .help("Explain N simulated plants with known faults, and print what came of it"),
        Arg::new("seed")
            .long("seed")
            .value_name("N")
            .requires("selfcheck")
            .default_value("1")
            .value_parser(clap::value_parser!(u64))
            .help("Seed of the simulated plants; the same one gives the same table"),
        Arg::new("of")
            .long("of")
            .value_name("ROWS")
            .requires("selfcheck")
            .default_value("1,2,3")
            .help("Rows of the table: 1 to 3 single sets, 4 to 6 histories, 7 and 8 a plant whose closures are wrong, or all"),
        Arg::new("svg")
            .long("svg")
            .value_name("FILE")
            .requires("selfcheck")
            .value_parser(clap::value_parser!(PathBuf))
            .help("Also writes what was said against how often it was so, as a picture"),
    ]
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    let count = matches.get_one::<u64>("selfcheck").copied().unwrap_or(1);
    let seed = matches.get_one::<u64>("seed").copied().unwrap_or(1);
    let rows = rows(matches.get_one::<String>("of").map_or("all", String::as_str))?;
    let sheets = sheets();
    let tallies: Vec<(&Experiment, Tally)> = rows
        .into_iter()
        .map(|experiment| {
            let trials: Vec<_> = (0..count)
                .into_par_iter()
                .map(|number| {
                    let sheet = &sheets[(number % sheets.len() as u64) as usize];
                    trial(experiment, sheet, seed, number)
                })
                .collect();
            let mut tally = Tally::default();
            for one in &trials {
                tally.add(one.as_ref());
            }
            (experiment, tally)
        })
        .collect();
    if let Some(file) = matches.get_one::<PathBuf>("svg") {
        let panels: Vec<Reliability> = tallies.iter().map(|(e, t)| panel(e, t)).collect();
        std::fs::write(file, chart::reliability_file(&panels)).map_err(|e| {
            Fail::usage(format!("{}: {e}", file.display())).hint("name a file that can be written")
        })?;
    }
    if matches.get_flag("json") {
        let all: Vec<Json> = tallies.iter().map(|(e, t)| as_json(e, t)).collect();
        return output::print(&format!("{:#}\n", json!(all)));
    }
    let mut text = format!("{count} simulated plants a row, five sheets, seed {seed}\n\n");
    text += &output::columns(&table(&tallies));
    for (experiment, tally) in &tallies {
        text += &format!("\n{}: what was said, and how often it was so\n", experiment.name);
        text += &output::columns(&reliability(tally));
        text += &format!("\n{}: put in alone at twice its limit, and what led\n", experiment.name);
        text += &output::columns(&confusion(&tally.confusion));
        text += &format!("\n{}: put in alone at its limit, and what led\n", experiment.name);
        text += &output::columns(&confusion(&tally.confusion_at_limit));
    }
    for (experiment, tally) in &tallies {
        text += &format!("\n{}: put in with another, and among the first two\n", experiment.name);
        let rows = tally.in_pairs.iter();
        let rows = rows.map(|(c, s)| vec![c.key(), format!("{} of {}", s.yes, s.of)]);
        text += &output::columns(&rows.collect::<Vec<_>>());
    }
    output::print(&text)
}

fn rows(of: &str) -> Result<Vec<&'static Experiment>, Fail> {
    if of == "all" {
        return Ok(EXPERIMENTS.iter().collect());
    }
    of.split(',')
        .map(|word| {
            let place = word.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
            place.and_then(|n| EXPERIMENTS.get(n)).ok_or_else(|| {
                Fail::usage(format!(
                    "--of {of}: \"{word}\" is not a row; give 1 to {}, several with commas, or all",
                    EXPERIMENTS.len()
                ))
            })
        })
        .collect()
}

fn percent(share: Share) -> String {
    share.fraction().map_or_else(|| "-".into(), |f| format!("{:.0} %", 100.0 * f))
}

fn table(tallies: &[(&Experiment, Tally)]) -> Vec<Vec<String>> {
    let head = [
        "right cause first",
        "six, at limit",
        "six, twice",
        "process, twice",
        "instruments",
        "family",
        "pair: one",
        "pair: both",
        "false alarms",
        "intervals hold",
        "of blamed",
        "lost",
    ];
    let row = |(e, t): &(&Experiment, Tally)| {
        let mut row = vec![e.name.to_owned()];
        row.extend(
            [
                t.at_limit,
                t.six,
                t.process,
                t.instruments,
                t.family,
                t.pair_one,
                t.pair_both,
                t.alarms,
                t.coverage_of_plant(),
                t.blamed,
            ]
            .map(percent),
        );
        row.push(t.lost.to_string());
        row
    };
    std::iter::once(head.map(str::to_owned).to_vec()).chain(tallies.iter().map(row)).collect()
}

fn reliability(tally: &Tally) -> Vec<Vec<String>> {
    let mut low = 0.0;
    let head = ["probability", "said", "was so", "of"].map(str::to_owned).to_vec();
    let rows = BANDS.iter().zip(&tally.reliability).map(|(high, band)| {
        let name = format!("{low:.2} to {:.2}", high.min(1.0));
        low = *high;
        let said = band.said / band.held.of.max(1) as f64;
        let held = band.held.fraction().map_or_else(|| "-".into(), |f| format!("{f:.2}"));
        vec![name, format!("{said:.2}"), held, band.held.of.to_string()]
    });
    std::iter::once(head).chain(rows).collect()
}

/// The bands of a row as a panel of the picture.
fn panel(experiment: &Experiment, tally: &Tally) -> Reliability {
    let bands = tally.reliability.iter().map(|band| Said {
        said: band.said / band.held.of.max(1) as f64,
        yes: band.held.yes,
        of: band.held.of,
    });
    Reliability { name: experiment.name.to_owned(), bands: bands.collect() }
}

fn confusion(led: &BTreeMap<Cause, BTreeMap<Cause, usize>>) -> Vec<Vec<String>> {
    led.iter()
        .map(|(truth, led)| {
            let mut led: Vec<_> = led.iter().collect();
            led.sort_by(|a, b| b.1.cmp(a.1));
            let told: Vec<String> = led.iter().map(|(c, n)| format!("{c} {n}")).collect();
            vec![truth.key(), told.join(", ")]
        })
        .collect()
}

fn as_json(experiment: &Experiment, tally: &Tally) -> Json {
    let share = |s: Share| json!({"yes": s.yes, "of": s.of});
    let confusion: serde_json::Map<String, Json> = tally
        .confusion
        .iter()
        .map(|(truth, led)| {
            let led: serde_json::Map<String, Json> =
                led.iter().map(|(c, n)| (c.key(), json!(n))).collect();
            (truth.key(), Json::Object(led))
        })
        .collect();
    let coverage: serde_json::Map<String, Json> =
        tally.coverage.iter().map(|(c, s)| (c.key(), share(*s))).collect();
    let reliability: Vec<Json> = BANDS
        .iter()
        .zip(&tally.reliability)
        .map(|(end, b)| json!({"under": end.min(1.0), "said": b.said, "held": share(b.held)}))
        .collect();
    json!({
        "experiment": experiment.name,
        "six_at_limit": share(tally.at_limit),
        "six_twice": share(tally.six),
        "process_twice": share(tally.process),
        "instruments_twice": share(tally.instruments),
        "family_twice": share(tally.family),
        "pair_leader": share(tally.pair_one),
        "pair_both": share(tally.pair_both),
        "false_alarms": share(tally.alarms),
        "coverage": coverage,
        "coverage_of_blamed": share(tally.blamed),
        "reliability": reliability,
        "confusion": confusion,
        "lost": tally.lost,
    })
}
