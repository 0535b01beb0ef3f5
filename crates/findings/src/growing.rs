//! A deposit that grows and is not past its limit: what is told first where nothing else is past its own.

use jiff::{SignedDuration, Timestamp};

use crate::cause::Cause;
use crate::explain::Finding;
use crate::judge::Judged;
use crate::sentence::{IS, PROBABLY, VERY, capital, percent};

/// A limit reached within so many days is worth telling first.
const SOON_DAYS: i64 = 120;
/// Growth over fewer days is within the wander of thermometers (our estimate).
const OVER_DAYS: f64 = 10.0;
/// A cause of this chance stays open beside a deposit that grows.
const OPEN: f64 = 0.05;

impl Finding {
    /// A deposit that grows, very probably, and reaches its limit within months, where nothing is past its own: what is told first then,
    /// with the probability that it grows.
    #[must_use]
    pub fn coming(&self) -> Option<(&Judged, f64)> {
        if self.causes.first().is_some_and(|j| j.p_over_limit >= PROBABLY) {
            return None;
        }
        let soon = |at: Timestamp| {
            at.duration_since(self.until) <= SignedDuration::from_hours(24 * SOON_DAYS)
        };
        self.growth
            .iter()
            .filter(|g| g.p_grows >= VERY && g.crossed[0].is_some_and(soon))
            .filter(|g| self.days_of(g.cause) >= OVER_DAYS)
            .filter_map(|g| Some((self.judged(g.cause)?, g.p_grows)))
            .max_by(|a, b| a.0.p_over_limit.total_cmp(&b.0.p_over_limit))
    }

    /// Days over which a deposit was read, since its cleaning where it was cleaned.
    fn days_of(&self, cause: Cause) -> f64 {
        let line = self.problem.tables.causes.iter().find(|line| line.cause == cause);
        line.map_or(0.0, |line| self.problem.days_of(line.unknown as usize))
    }

    /// What is wrong as a clause: "the condenser is fouling" while its deposit grows, "the condenser is fouled" where it stands; what
    /// is no deposit by its words.
    #[must_use]
    pub fn clause(&self, cause: Cause) -> String {
        let grows = self.growth.iter().any(|g| g.cause == cause && g.p_grows >= VERY);
        match (cause, grows) {
            (Cause::CondenserFouling, true) => "the condenser is fouling".to_owned(),
            (Cause::CondenserFouling, false) => "the condenser is fouled".to_owned(),
            (Cause::Scale, true) => "the evaporator is scaling".to_owned(),
            (Cause::Scale, false) => "the evaporator is scaled".to_owned(),
            _ => cause.words(),
        }
    }

    /// A growing deposit told first, though not past its limit.
    pub(crate) fn growing(&self) -> Option<String> {
        let (first, p) = self.coming()?;
        let sure = if p >= IS { "" } else { "very probably " };
        let words = capital(&format!("{sure}{}", self.clause(first.cause)));
        let past = match first.p_over_limit {
            over if over >= 0.10 => format!(", past its limit already: {}", percent(over)),
            _ => ", and is not past its limit".to_owned(),
        };
        let others: Vec<String> = self
            .causes
            .iter()
            .filter(|j| j.cause != first.cause && self.is_open(j))
            .take(2)
            .map(|j| format!("{} ({})", j.cause.words(), percent(j.p_changed.max(j.p_over_limit))))
            .collect();
        let rest = if others.is_empty() {
            String::new()
        } else {
            format!("; these readings do not exclude {}", others.join(" or "))
        };
        Some(format!("{words} ({}){past}{rest}.", percent(p)))
    }

    /// Whether a cause of the plant stays open beside a deposit that grows.
    pub(crate) fn is_open(&self, j: &Judged) -> bool {
        !matches!(j.cause, Cause::Instrument(_)) && j.p_changed.max(j.p_over_limit) >= OPEN
    }
}
