//! How well the formulas agree with what others publish: every check table run over, source by source.

mod bands;
mod examples;
mod points;
mod properties;
mod published;
mod table;

use std::fmt;

/// What stands behind a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Evidence {
    /// Published figures.
    Published,
    /// Another program, or an independent implementation.
    Independent,
}

impl Evidence {
    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Evidence::Published => "published",
            Evidence::Independent => "other program",
        }
    }
}

/// How an error is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Relative to the table's value.
    Relative,
    /// In this unit.
    Absolute(&'static str),
    /// As a share of what each row's own source claims.
    OfClaim,
}

/// One comparison: a source, how many cases, how far off, and how far off it claims to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What is compared.
    pub what: &'static str,
    /// Where the other figures come from.
    pub source: &'static str,
    /// What kind of source it is.
    pub evidence: Evidence,
    /// How its errors are counted.
    pub measure: Measure,
    /// Cases compared.
    pub cases: usize,
    /// 95 in 100 cases are within.
    pub most: f64,
    /// The worst case.
    pub worst: f64,
    /// What the source claims, or the last digit it prints.
    pub claimed: f64,
    /// What else a reader should know; may be empty.
    pub note: &'static str,
}

impl Finding {
    /// Whether even the worst case is within what is claimed.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.cases > 0 && self.worst <= self.claimed
    }
}

/// Why a comparison could not be run.
#[derive(Debug, Clone, PartialEq)]
pub enum AccuracyError {
    /// A table that cannot be read.
    Table {
        /// Which one.
        table: &'static str,
        /// Why.
        why: String,
    },
    /// A case our side refuses that the table answers, or the other way round.
    Case {
        /// Which one.
        case: String,
        /// Why.
        why: String,
    },
}

impl fmt::Display for AccuracyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AccuracyError::Table { table, why } => write!(f, "check table {table}: {why}"),
            AccuracyError::Case { case, why } => write!(f, "check case {case}: {why}"),
        }
    }
}

impl std::error::Error for AccuracyError {}

/// Runs every comparison, in the order of the report.
///
/// # Errors
/// A table that cannot be read, or a case on which the two sides do not even agree whether the plant runs.
pub fn run() -> Result<Vec<Finding>, AccuracyError> {
    let mut findings = published::findings()?;
    findings.extend(properties::findings()?);
    findings.extend(examples::findings()?);
    findings.extend(points::findings()?);
    findings.extend(bands::findings()?);
    Ok(findings)
}

/// The errors of one comparison while they are gathered.
#[derive(Debug, Default)]
pub(crate) struct Errors(Vec<f64>);

impl Errors {
    pub(crate) fn relative(&mut self, ours: f64, expected: f64) {
        let error = if expected == 0.0 { ours.abs() } else { (ours / expected - 1.0).abs() };
        self.push(error);
    }

    pub(crate) fn absolute(&mut self, ours: f64, expected: f64) {
        self.push((ours - expected).abs());
    }

    /// An error already counted; one that is no number is endless, so that it cannot pass.
    pub(crate) fn push(&mut self, error: f64) {
        self.0.push(if error.is_nan() { f64::INFINITY } else { error });
    }

    pub(crate) fn finding(
        mut self,
        (what, source, evidence): (&'static str, &'static str, Evidence),
        measure: Measure,
        claimed: f64,
        note: &'static str,
    ) -> Finding {
        self.0.sort_by(f64::total_cmp);
        let cases = self.0.len();
        let rank = (95 * cases).div_ceil(100).max(1) - 1;
        let most = self.0.get(rank).copied().unwrap_or(f64::NAN);
        let worst = self.0.last().copied().unwrap_or(f64::NAN);
        Finding { what, source, evidence, measure, cases, most, worst, claimed, note }
    }
}
