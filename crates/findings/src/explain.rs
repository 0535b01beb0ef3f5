//! The question itself: what do these readings say is wrong?

use jiff::Timestamp;
use plant::{Plant, Sheet};

use crate::error::FindingsError;
use crate::evidence::{Evidence, evidence};
use crate::heater::heater;
use crate::instrument::Instrument;
use crate::judge::{FamilyJudged, Judged, families, judge};
use crate::next::{Check, checks};
use crate::problem::{Anew, Problem};
use crate::screen::{Screened, screen};
use crate::search::{Mixture, search};
use crate::set::ReadingSet;
use crate::share::{Loss, loss};
use crate::tables::Tables;
use crate::when::{Growth, growth};

/// A finding.
#[derive(Debug, Clone)]
pub struct Finding {
    /// Every cause, most probable first.
    pub causes: Vec<Judged>,
    /// The families.
    pub families: Vec<FamilyJudged>,
    /// What the plant loses, and to what.
    pub loss: Option<Loss>,
    /// Checks not among the last readings, the most telling a minute first.
    pub checks: Vec<Check>,
    /// The last readings beside what was expected of them.
    pub evidence: Vec<Evidence>,
    /// How the deposits grow; nothing without a history.
    pub growth: Vec<Growth>,
    /// What was passed over before the readings were explained, in sentences.
    pub notes: Vec<String>,
    /// Figures that cannot stand together, cannot be, or stick, in sentences, which say whether they were left out.
    pub odd: Vec<String>,
    /// The last moment that was explained.
    pub until: Timestamp,
    /// What has to be read again before a cause can be relied on.
    pub(crate) again: Vec<Instrument>,
    pub(crate) problem: Problem,
    pub(crate) mixture: Mixture,
}

/// Explains readings of one plant, one set or a history in the order of time.
///
/// # Errors
/// The sheet cannot be calibrated, or nothing was read.
pub fn explain(
    sheet: &Sheet,
    tables: &Tables,
    sets: &[ReadingSet],
) -> Result<Finding, FindingsError> {
    explain_anew(sheet, tables, sets, &[])
}

/// As [`explain`], where parts began anew within the readings: a deposit taken off, a part looked at and found in order. What a part
/// showed before counts as before, and the other parts' histories go on. Only the last new beginning of each counts.
///
/// # Errors
/// The sheet cannot be calibrated, or nothing was read.
pub fn explain_anew(
    sheet: &Sheet,
    tables: &Tables,
    sets: &[ReadingSet],
    anew: &[Anew],
) -> Result<Finding, FindingsError> {
    Ok(judged(sheet, tables, sets, anew)?.complete())
}

/// As [`explain`], without loss, checks and evidence.
pub(crate) fn judged(
    sheet: &Sheet,
    tables: &Tables,
    sets: &[ReadingSet],
    anew: &[Anew],
) -> Result<Finding, FindingsError> {
    Plant::calibrate(sheet)?;
    let Screened { sets: kept, notes, odd, contradicting, again } = screen(sheet, tables, sets);
    if kept.is_empty() {
        return Err(FindingsError::NoReadings { notes: [odd, notes].concat() });
    }
    let mut problem = Problem::new(sheet, tables, &kept, anew);
    let mixture = search(&mut problem)
        .ok_or_else(|| FindingsError::CannotRun { notes: [odd.clone(), notes.clone()].concat() })?;
    let mut causes = judge(&problem, &mixture, contradicting);
    if let Some(heater) = heater(sets) {
        let place = causes.partition_point(|j| j.p_over_limit > heater.p_over_limit);
        causes.insert(place, heater);
    }
    let families = families(&causes);
    Ok(Finding {
        causes,
        families,
        loss: None,
        growth: Vec::new(),
        checks: Vec::new(),
        evidence: Vec::new(),
        notes,
        odd,
        again,
        until: kept.last().map_or(Timestamp::UNIX_EPOCH, |s| s.time),
        problem,
        mixture,
    })
}

impl Finding {
    fn complete(mut self) -> Self {
        self.checks = checks(&self.problem, &self.mixture);
        self.order_checks();
        if self.held().is_none() {
            self.loss = loss(&self.problem, &self.mixture);
            self.growth = growth(&self.problem, &self.mixture, self.until);
        }
        self.evidence = evidence(&self.problem, &self.mixture).unwrap_or_default();
        self
    }

    /// How many hypotheses were fitted, and how many count.
    #[must_use]
    pub fn effort(&self) -> (usize, usize) {
        (self.mixture.fits, self.mixture.parts.len())
    }
}
