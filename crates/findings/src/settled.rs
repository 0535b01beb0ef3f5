//! What the readings leave unsettled: fewer readings than unknowns, what to read then, and which checks are worth the walk.

use crate::cause::Cause;
use crate::explain::Finding;
use crate::instrument::Instrument;
use crate::next::{Check, WORTH_BITS};
use crate::prior::PROCESS_UNKNOWNS;
use crate::sentence::{LOSS_TOLD, NOTHING};

/// Fewer sets are few.
const FEW: f64 = 6.0;
/// An instrument of this chance is worth a second one.
const SUSPECTED: f64 = 0.05;
/// What is looked at where output is missing and the readings do not tell why (common practice).
const USUAL: [Instrument; 2] = [Instrument::VentTemp, Instrument::LeakDown];

/// The reading that settles whether an instrument is wrong; none where nothing is read beside it.
#[must_use]
pub fn second(instrument: Instrument) -> Option<Instrument> {
    use Instrument as I;
    Some(match instrument {
        I::JacketIn => I::SecondJacketIn,
        I::JacketOut => I::SecondJacketOut,
        I::SeaTemp => I::SecondSeaTemp,
        I::SeaOut => I::SecondSeaOut,
        I::VapourTemp => I::SecondVapour,
        I::ShellGauge => I::ShellAbsolute,
        I::Product => I::ProductDip,
        I::ProductSalt => I::SecondSalt,
        _ => return None,
    })
}

impl Finding {
    /// How many sets the last figures of the evidence are an average of: a long history is drawn together.
    #[must_use]
    pub fn averaged(&self) -> usize {
        self.problem.moments.last().map_or(1, |m| m.of.round() as usize).max(1)
    }

    /// How many readings stand against how many unknowns, where few sets were read: as many figures, and what may be wrong with the plant
    /// and with each instrument. None for a history.
    #[must_use]
    pub fn fewer(&self) -> Option<(usize, usize)> {
        let sets: f64 = self.problem.moments.iter().map(|m| m.of).sum();
        let read = self.problem.layout.errors.iter().filter(|i| self.problem.is_read(**i)).count();
        (sets < FEW).then_some((read, PROCESS_UNKNOWNS + read))
    }

    /// The same as a sentence; empty for a history.
    #[must_use]
    pub fn fewer_told(&self) -> String {
        self.fewer().map_or_else(String::new, |(read, unknowns)| {
            let readings = if read == 1 { "reading" } else { "readings" };
            format!(
                "{read} {readings} against {unknowns} unknowns, {PROCESS_UNKNOWNS} of the plant and each instrument's own error: fewer readings than unknowns."
            )
        })
    }

    /// Whether output is missing and no cause leads.
    #[must_use]
    pub fn is_short(&self) -> bool {
        let missing = self
            .loss
            .as_ref()
            .and_then(|loss| loss.expected_t_day)
            .zip(self.last_read(Instrument::Product));
        let short = missing.is_some_and(|(expected, made)| expected - made > LOSS_TOLD * expected);
        short && self.coming().is_none() && self.causes.iter().all(|j| j.p_over_limit < NOTHING)
    }

    /// Whether a check is worth the walk: it tells enough, it is the second reading of an instrument that may be wrong, or output is
    /// missing that nothing explains and it is what is usually looked at then.
    #[must_use]
    pub fn worth(&self, check: &Check) -> bool {
        check.bits >= WORTH_BITS
            || self.is_second(check)
            || (self.is_short() && USUAL.contains(&check.instrument))
    }

    /// Whether a check reads beside an instrument that may be wrong.
    fn is_second(&self, check: &Check) -> bool {
        self.causes.iter().any(|j| match j.cause {
            Cause::Instrument(i) => {
                j.p_over_limit >= SUSPECTED && second(i) == Some(check.instrument)
            }
            _ => false,
        })
    }

    /// The check to make first: beside the instrument that leads, else the most telling a minute that is worth it, else of few readings the
    /// most telling a minute.
    #[must_use]
    pub fn first_check(&self) -> Option<&Check> {
        let beside = self.causes.first().filter(|j| j.p_over_limit >= NOTHING).and_then(|j| {
            let Cause::Instrument(i) = j.cause else { return None };
            self.checks.iter().find(|check| second(i) == Some(check.instrument))
        });
        let worth = self.checks.iter().find(|check| check.bits >= WORTH_BITS);
        let usual = || self.checks.iter().find(|check| self.worth(check));
        beside.or(worth).or_else(usual).or_else(|| self.fewer().and_then(|_| self.checks.first()))
    }

    /// The checks, the most telling a minute first, behind it those beside instruments that may be wrong.
    pub(crate) fn order_checks(&mut self) {
        let mut checks = std::mem::take(&mut self.checks);
        let beside: Vec<bool> = checks.iter().map(|check| self.is_second(check)).collect();
        let mut places: Vec<usize> = (0..checks.len()).collect();
        places.sort_by_key(|i| (*i > 0, !beside[*i]));
        checks = places.into_iter().map(|i| checks[i]).collect();
        self.checks = checks;
    }

    /// What to read next of few readings: what the round left out, else the check that tells most a minute.
    pub(crate) fn read_next(&self) -> String {
        let missing: Vec<&str> = self.not_read().into_iter().map(Instrument::words).collect();
        if !missing.is_empty() {
            return format!("Next to read: {}.", missing.join(", "));
        }
        self.first_check().map_or_else(String::new, |check| {
            format!("Next to read: {} ({}).", check.instrument.words(), check.takes())
        })
    }

    /// Whether few readings were taken and nothing leads: what was not read is then what to read next.
    pub(crate) fn few_lead_nowhere(&self) -> bool {
        self.fewer().is_some() && self.causes.iter().all(|j| j.p_over_limit < NOTHING)
    }
}
