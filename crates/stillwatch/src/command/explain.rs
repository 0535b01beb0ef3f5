//! `stillwatch explain`: what readings from a file say is wrong with a plant, for a person or as JSON.

use std::path::PathBuf;

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::findings::{in_own_units, is_export, looking_for, sets_of_export};
use findings::interchange::{self, apply};
use findings::{Cause, Check, Finding, Judged, SetFlows, Tables, explain, percent};
use serde_json::{Value as Json, json};

use super::{explain_sheet, explain_ship, output, selfcheck};
use crate::fail::{Done, Fail};

/// Largest file of readings that is read.
const MOST_BYTES: u64 = 32 << 20;
/// Causes under this probability are left out of the table for a person.
const SHOWN: f64 = 0.02;
/// A cause that costs so much is told however likely it is past its limit, t/day.
const COSTLY_T_DAY: f64 = 0.2;
/// From this chance on a cause is looked for.
const LIKELY: f64 = 0.5;
/// Checks told at most.
const NEXT: usize = 5;
/// Stands before a factor; what it is counted by stands with its size.
const FACTOR: &str = "× ";
/// Causes told at least.
const LEAST_SHOWN: usize = 3;

const ABOUT: &str = "\
Explains readings of one plant: which cause, how surely, what it costs, what to read next. READINGS is CSV as `log export` writes it (marks, counter and
checks as on the pages; SHEET is then best the ship's file), or with the heading time,name,value: one reading a row, times as in 2025-11-16T04:20:00Z or, by UTC, 16.11.2025 04:20, columns parted by commas or semicolons, the unit at the end of the name or another behind the figure (86 % vac), a row left out where
nothing was read. One moment is a single set; more make a history. SETTINGS is CSV with time and any of
jacket_flow_set_kg_s, condenser_flow_set_kg_s, feed_flow_set_kg_s: what by-pass position and valve marks mean, each row from
its time on; the sheet's rated flows where nothing is said.

With --ship the rounds of a ship's own record are explained instead, those since the last cleaning or since a moment given.

It is advice: nothing here opens a plant. Probabilities are those of being past the limit at which something should be done.";

/// The command's words.
pub fn command() -> Command {
    let file = |name: &'static str, value: &'static str| {
        Arg::new(name).long(name).value_name(value).value_parser(clap::value_parser!(PathBuf))
    };
    let names: Vec<&str> = interchange::names().collect();
    Command::new("explain")
        .about("What readings say is wrong with the plant, how surely, and what to read next")
        .long_about(ABOUT)
        .after_help(format!("Readings that are taken: {}", names.join(", ")))
        .arg(
            file("plant", "SHEET")
                .required_unless_present_any(["selfcheck", "ship"])
                .help("The plant sheet: its keys as TOML or JSON, or a ship's file"),
        )
        .arg(
            file("readings", "FILE.csv")
                .required_unless_present_any(["selfcheck", "ship"])
                .help("Readings: time,name,value"),
        )
        .arg(file("settings", "FILE.csv").help("What the valves were set to: time and set flows"))
        .arg(
            Arg::new("json")
                .long("json")
                .action(ArgAction::SetTrue)
                .help("The answer as JSON, for another program"),
        )
        .args(explain_ship::flags())
        .args(selfcheck::flags())
}

/// Runs it.
pub fn run(matches: &ArgMatches) -> Done {
    if matches.contains_id("selfcheck") {
        return selfcheck::run(matches);
    }
    if matches.contains_id("ship") {
        return explain_ship::run(matches);
    }
    let path = |name: &str| matches.get_one::<PathBuf>(name);
    let (Some(plant), Some(readings)) = (path("plant"), path("readings")) else {
        return Err(Fail::usage("--plant and --readings are wanted"));
    };
    let sheet = explain_sheet::read(plant)?;
    let text = explain_sheet::text(readings, MOST_BYTES)?;
    let wrong = |e: String| Fail::usage(format!("{}: {e}", readings.display()));
    let export = is_export(&text);
    let (mut sets, notes) = if export {
        sets_of_export(&explain_sheet::setup(plant)?, &text).map_err(wrong)?
    } else {
        let text = in_own_units(&text).map_err(wrong)?;
        let read = interchange::read(&text).map_err(|e| wrong(e.to_string()))?;
        (read.sets, read.notes)
    };
    if let Some(settings) = path("settings") {
        let text = explain_sheet::text(settings, MOST_BYTES)?;
        let settings_read = interchange::settings(&text, SetFlows::rated(&sheet))
            .map_err(|e| Fail::usage(format!("{}: {e}", settings.display())))?;
        apply(&settings_read, &mut sets);
    }
    let tables = Tables::usual(sheet.rated_product_t_day);
    let finding = explain(&sheet, &tables, &sets)
        .map_err(|e| Fail::usage(format!("{}: {e}", readings.display())))?;
    if matches.get_flag("json") {
        return output::print(&format!("{:#}\n", as_json(&finding)));
    }
    let flows = match (path("settings"), export) {
        (Some(_), _) => "Flows are those of the settings.",
        (None, true) => {
            "Flows are those of by-pass and throttle, or trimmed where these were not read."
        }
        (None, false) => "Flows are the sheet's rated ones: no --settings were given.",
    };
    let sentence: Vec<String> = notes.into_iter().chain([finding.sentence()]).collect();
    output::print(&as_text(&sentence.join(" "), flows, &finding))
}

/// What was weighed with, and why costs need not add up to what is short.
fn reckoned(flows: &str, finding: &Finding) -> String {
    let lost = finding.loss.as_ref().map(findings::Loss::lost_t_day).filter(|lost| *lost >= 0.05);
    let clean = lost.map_or_else(String::new, |lost| {
        format!(
            " Costs add up to {lost:.1} t/day: instruments' likely errors are allowed for there, and not in what is short."
        )
    });
    format!(
        "\n{flows}{clean} Causes are weighed with the usual tables and these readings alone; a ship's page knows her cleanings, her closed findings and her own tables as well.\n"
    )
}

/// Probabilities and figures to the digits that mean something.
pub(super) fn digits(x: f64) -> Json {
    if x == 0.0 || !x.is_finite() {
        return json!(if x == 0.0 { Some(0.0) } else { None });
    }
    let scale = 10_f64.powi(4 - x.abs().log10().floor() as i32);
    json!((x * scale).round() / scale)
}

/// The answer for another program.
pub(super) fn as_json(finding: &Finding) -> Json {
    let causes: Vec<Json> = finding
        .causes
        .iter()
        .map(|j| {
            let cost = finding.loss.as_ref().and_then(|l| l.of(j.cause));
            json!({
                "cause": j.cause.key(),
                "p_over_limit": digits(j.p_over_limit),
                "p_changed": digits(j.p_changed),
                "value": digits(j.value),
                "low": digits(j.low),
                "high": digits(j.high),
                "limit": digits(j.limit),
                "unit": j.cause.unit(),
                "share_of_loss": finding.loss.as_ref().and_then(|l| l.share(j.cause)).map(digits),
                "loss_t_day": cost.map(|c| digits(c.loss_t_day)),
                "cure": cost.map(|c| digits(c.cure_t_day)),
            })
        })
        .collect();
    let families: Vec<Json> = finding
        .families
        .iter()
        .map(|f| json!({"family": f.family.key(), "p_over_limit": digits(f.p_over_limit)}))
        .collect();
    let checks: Vec<Json> = finding
        .checks
        .iter()
        .map(|c| {
            json!({
                "check": c.instrument.key(),
                "bits": digits(c.bits),
                "minutes": c.minutes,
                "worth_it": finding.worth(c),
            })
        })
        .collect();
    let evidence: Vec<Json> = finding
        .evidence
        .iter()
        .map(|e| {
            json!({
                "reading": e.instrument.key(),
                "read": digits(e.read),
                "healthy": digits(e.healthy),
                "fitted": digits(e.fitted),
                "off_sigma": digits(e.off),
                "left_sigma": digits(e.left),
            })
        })
        .collect();
    let growth: Vec<Json> = finding
        .growth
        .iter()
        .map(|g| {
            let (middle, low, high) = g.rate_m2k_w_day;
            let day = |t: Option<jiff::Timestamp>| t.map(|t| t.to_string());
            let [crossed, earliest, latest] = g.crossed;
            json!({
                "cause": g.cause.key(),
                "rate_m2k_w_day": digits(middle),
                "low": digits(low),
                "high": digits(high),
                "crossed": day(crossed),
                "earliest": day(earliest),
                "latest": day(latest),
            })
        })
        .collect();
    json!({
        "sentence": finding.sentence(),
        "causes": causes,
        "families": families,
        "next_checks": checks,
        "evidence": evidence,
        "growth": growth,
        "notes": finding.odd.iter().chain(&finding.notes).collect::<Vec<_>>(),
        "read_again": finding.held(),
        "clean_t_day": finding.loss.as_ref().map(|l| digits(l.clean_t_day)),
        "made_t_day": finding.loss.as_ref().map(|l| digits(l.made_t_day)),
        "expected_t_day": finding.loss.as_ref().and_then(|l| l.expected_t_day).map(digits),
    })
}

/// Sentence and tables for a person.
pub(super) fn as_text(sentence: &str, flows: &str, finding: &Finding) -> String {
    let mut text = format!("{sentence}\n\nCauses, likeliest first\n");
    text += &causes(finding);
    text += &reckoned(flows, finding);
    let rows: Vec<Vec<String>> = finding
        .evidence
        .iter()
        .map(|e| {
            vec![
                e.instrument.words().to_owned(),
                figure(e.read),
                figure(e.healthy),
                figure(e.fitted),
                bar(e.off),
            ]
        })
        .collect();
    if !rows.is_empty() {
        text += &match finding.averaged() {
            1 => "\nThe last readings\n".to_owned(),
            rounds => format!("\nAverages of the last {rounds} rounds, drawn together\n"),
        };
        let head = ["", "read", "healthy", "explained as", "off"].map(str::to_owned).to_vec();
        text += &output::columns(&std::iter::once(head).chain(rows).collect::<Vec<_>>());
        text += "Healthy has the little deposit that is usual; what is short is held against a clean plant.\n";
    }
    text + &next(finding)
}

/// The causes as a table.
fn causes(finding: &Finding) -> String {
    if let Some(what) = finding.held() {
        return format!("  not to be relied on until read again: {what}\n");
    }
    output::columns(&cause_rows(finding))
}

/// What to read next, as a table; empty where nothing is worth the walk.
fn next(finding: &Finding) -> String {
    let mut text = String::new();
    // What looks for a likely cause is listed however little doubt it takes away; what stops the plant comes behind.
    let likely = finding.causes.iter().filter(|j| j.p_over_limit >= LIKELY);
    let looks: Vec<&str> = likely.flat_map(|j| looking_for(j.cause)).collect();
    let told = |c: &&Check| finding.worth(c) || looks.contains(&c.instrument.key());
    let mut checks: Vec<&Check> = finding.checks.iter().filter(told).collect();
    checks.sort_by_key(|c| (!finding.worth(c), !looks.contains(&c.instrument.key())));
    let worth: Vec<Vec<String>> = checks
        .into_iter()
        .take(NEXT)
        .map(|c| {
            let cold = c
                .takes()
                .split_once(", ")
                .map_or_else(String::new, |(_, cold)| format!(", {cold}"));
            vec![
                c.instrument.words().to_owned(),
                format!("{:.0} min{cold}", c.minutes),
                format!("takes away {:.0} % of the doubt", 100.0 * finding.removes(c)),
            ]
        })
        .collect();
    if !worth.is_empty() {
        text += "\nWhat to read next\n";
        text += &output::columns(&worth);
    }
    text
}

fn cause_rows(finding: &Finding) -> Vec<Vec<String>> {
    let head =
        ["", "past its limit", "now", "nine in ten within", "limit", "costs", "cure brings back"];
    let sizes = finding.sizes();
    let changes = finding.causes.iter().any(|j| j.p_changed > 0.0);
    let mut head = head.map(str::to_owned).to_vec();
    if changes {
        head.insert(2, "changed".into());
    }
    let row = |j: &Judged| {
        let cost = finding.loss.as_ref().and_then(|l| l.of(j.cause));
        let t_day = |x: Option<f64>| {
            // A cost under nought is one that does not show.
            let shown = x.filter(|x| *x >= 0.05).map(|x| format!("{x:.1} t/day"));
            shown.unwrap_or_else(|| if x.is_some() { "–".into() } else { String::new() })
        };
        let bare = |x: f64| sizes.brief(j.cause, x).trim_start_matches(FACTOR).to_owned();
        let mut row = vec![
            j.cause.words(),
            percent(j.p_over_limit),
            sizes.told(j.cause, j.value),
            format!("{} to {}", bare(j.low), bare(j.high)),
            sizes.limit(j.cause, j.limit).trim_start_matches(FACTOR).to_owned(),
            t_day(cost.map(|c| c.loss_t_day)),
            t_day(cost.map(|c| c.cure_t_day)),
        ];
        if changes {
            row.insert(2, percent(j.p_changed));
        }
        row
    };
    let told = finding
        .causes
        .iter()
        .enumerate()
        .filter(|(i, j)| {
            let deposit = matches!(j.cause, Cause::Scale | Cause::CondenserFouling);
            let cost = finding.loss.as_ref().and_then(|l| l.of(j.cause));
            let costly = cost.is_some_and(|c| c.loss_t_day >= COSTLY_T_DAY);
            let likely = *i < LEAST_SHOWN || j.p_over_limit >= SHOWN || j.p_changed >= 0.5;
            likely || deposit || costly
        })
        .map(|(_, j)| row(j));
    std::iter::once(head).chain(told).collect()
}

fn figure(x: f64) -> String {
    if x.abs() >= 100.0 { format!("{x:.0}") } else { format!("{x:.2}") }
}

/// How far a reading lies from what a healthy plant shows, as a bar: one mark a standard deviation.
fn bar(off: f64) -> String {
    let marks = off.abs().round().min(9.0) as usize;
    let side = if off < 0.0 { "−" } else { "+" };
    format!("{off:+.1} σ {}", side.repeat(marks)).replace('-', "−")
}
