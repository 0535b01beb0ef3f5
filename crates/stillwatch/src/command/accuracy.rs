//! `stillwatch accuracy`: how well the formulas agree with what others publish.

use clap::{Arg, ArgAction, ArgMatches, Command};
use desk::accuracy::{Finding, Measure, run as findings};

use super::output;
use crate::fail::{Code, Done, Fail};

/// The command's words.
pub fn command() -> Command {
    Command::new("accuracy")
        .about(
            "Run the formulas over published tables: cases, worst and 95 % error, what is claimed",
        )
        .arg(
            Arg::new("markdown")
                .long("markdown")
                .action(ArgAction::SetTrue)
                .help("As docs/accuracy.md has it"),
        )
}

/// Runs it. A comparison beyond its source's claim is named in the last line; that is a finding, not a failure.
pub fn run(matches: &ArgMatches) -> Done {
    let findings = findings().map_err(|e| Fail::new(Code::Internal, e))?;
    if matches.get_flag("markdown") {
        return output::print(&markdown(&findings));
    }
    output::print(&table(&findings))
}

fn error(measure: Measure, value: f64) -> String {
    match measure {
        // Beneath the last digit of any table the figures are those of the computer's own functions.
        Measure::Relative if value < 1.0e-9 => "under 1e-9".into(),
        Measure::Relative if value < 1.0e-4 => format!("{value:.0e}"),
        Measure::Relative => format!("{} %", two_digits(100.0 * value)),
        Measure::OfClaim => format!("{} of claim", two_digits(value)),
        Measure::Absolute(_) if value == 0.0 => "none".into(),
        Measure::Absolute(unit) if value < 1.0e-9 => {
            format!("under 1e-9 {unit}").trim_end().to_owned()
        }
        Measure::Absolute(unit) if value < 1.0e-3 => {
            format!("{value:.0e} {unit}").trim_end().to_owned()
        }
        Measure::Absolute(unit) => format!("{} {unit}", two_digits(value)).trim_end().to_owned(),
    }
}

fn two_digits(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let decimals = (1 - value.abs().log10().floor() as i32).clamp(0, 6);
    format!("{value:.*}", decimals as usize)
}

fn claimed(f: &Finding) -> String {
    match f.measure {
        Measure::OfClaim => "each row's own".into(),
        Measure::Relative if f.claimed < 1.0e-4 => format!("{:.0e}", f.claimed),
        measure => error(measure, f.claimed),
    }
}

fn verdict(f: &Finding) -> &'static str {
    if f.holds() { "within" } else { "beyond" }
}

fn row(f: &Finding) -> [String; 8] {
    [
        f.what.into(),
        f.source.into(),
        f.evidence.word().into(),
        f.cases.to_string(),
        error(f.measure, f.most),
        error(f.measure, f.worst),
        claimed(f),
        verdict(f).into(),
    ]
}

const HEAD: [&str; 8] =
    ["compared", "with", "kind", "cases", "95 % within", "worst", "claimed", "verdict"];

fn table(findings: &[Finding]) -> String {
    let widest = findings.iter().map(|f| f.source.chars().count()).max().unwrap_or(0);
    let mut rows = vec![HEAD.map(str::to_owned).to_vec()];
    rows.extend(findings.iter().map(|f| row(f).to_vec()));
    for row in &mut rows {
        let pad = widest - row[1].chars().count();
        row[1] += &" ".repeat(pad);
    }
    output::columns(&rows) + "\n" + &closing(findings)
}

fn closing(findings: &[Finding]) -> String {
    let cases: usize = findings.iter().map(|f| f.cases).sum();
    let beyond: Vec<&str> = findings.iter().filter(|f| !f.holds()).map(|f| f.what).collect();
    let mut text = format!("{} comparisons, {cases} cases.\n", findings.len());
    if !beyond.is_empty() {
        text += &format!("Beyond what is claimed: {}.\n", beyond.join("; "));
    }
    text
}

const OPENING: &str = "\
# How accurate the formulas are

Made by `stillwatch accuracy --markdown` from the tables in `validation/`, each of which stands beside its SOURCE. A test sees
to it that this page is what the program says. \"95 % within\" and \"worst\" are the errors of our figures against the
source's; \"claimed\" is what the source claims for itself, or the last digit it prints; \"of claim\" counts each row's error in
the tolerance of that row. What is beyond its claim stays in the list.

These are checks of formulas and of their solution. How near the plant model comes to a plant is another question: its
closures are named in [physics.md](physics.md), and a ship's own readings answer it.

";

fn markdown(findings: &[Finding]) -> String {
    let mut text = OPENING.to_owned();
    text += &format!("| {} | remark |\n|{}\n", HEAD.join(" | "), "---|".repeat(HEAD.len() + 1));
    for f in findings {
        text += &format!("| {} | {} |\n", row(f).join(" | "), f.note);
    }
    text + "\n" + &closing(findings)
}
