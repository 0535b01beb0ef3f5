//! What is read once beside what must last: after one that was out, the next in its range counts only so much later.

use jiff::{SignedDuration, Timestamp};

use crate::condition::{Condition, Relation, Term, Times};
use crate::kind::{Step, Towards};
use crate::run::Run;
use crate::seen::{Reading, Seen, Unmet};

/// One reading, and every figure that stands.
struct One<'a, S: ?Sized> {
    reading: &'a Reading,
    figures: &'a S,
}

impl<S: Seen + ?Sized> Seen for One<'_, S> {
    fn since(&self, _: &str, _: Timestamp) -> Vec<Reading> {
        vec![self.reading.clone()]
    }

    fn figure(&self, name: &str) -> Option<f64> {
        self.figures.figure(name)
    }
}

impl Run<'_> {
    /// What was read in its range too soon after it was out of it: at a step towards a tank where another reading must last,
    /// the hand meter beside the salinometer.
    pub(crate) fn too_soon(
        &self,
        step: &Step,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
    ) -> Vec<Unmet> {
        let Some(min) = lasting_min(step).filter(|_| step.towards == Towards::Tank) else {
            return Vec::new();
        };
        let Some(began) = self.began.as_ref().map(|(at, ..)| *at) else { return Vec::new() };
        step.see.iter().filter_map(|see| too_soon(see, seen, (began, now), min)).collect()
    }
}

/// The longest time that something read for a step must last, min; none where nothing must.
pub(crate) fn lasting_min(step: &Step) -> Option<f64> {
    let lasting = step.see.iter().flat_map(|see| &see.terms).filter_map(|term| {
        let Times::Lasting(min) = term.times else { return None };
        Some(min)
    });
    lasting.reduce(f64::max)
}

fn too_soon(
    condition: &Condition,
    seen: &(impl Seen + ?Sized),
    (began, now): (Timestamp, Timestamp),
    min: f64,
) -> Option<Unmet> {
    let term = read_once(condition)?;
    let mut readings = seen.since(&term.name, began);
    readings.retain(|reading| reading.at <= now);
    let says = |reading: &&Reading| says(condition, seen, reading);
    let newest = readings.last().filter(says)?;
    let out = readings.iter().rev().find(|reading| !says(reading))?;
    let until = later(out.at, min)?;
    (newest.at < until).then(|| Unmet::TooShort {
        name: term.name.clone(),
        wanted: condition.text.clone(),
        so_far_min: 0.0,
        since: newest.at,
        until,
        count: 1,
    })
}

/// The one term of a condition that is met by one reading in a range.
pub(crate) fn read_once(condition: &Condition) -> Option<&Term> {
    ranged(condition).filter(|term| term.times == Times::Once)
}

/// The one term of a condition that wants a reading in a range, once or for a time.
pub(crate) fn ranged(condition: &Condition) -> Option<&Term> {
    let [term] = condition.terms.as_slice() else { return None };
    let ranged = matches!(
        term.relation,
        Relation::AtLeast(_) | Relation::AtMost(_) | Relation::Between(..) | Relation::Within(..)
    );
    ranged.then_some(term)
}

/// Whether a reading says what a condition wants.
fn says(condition: &Condition, seen: &(impl Seen + ?Sized), reading: &Reading) -> bool {
    let one = One { reading, figures: seen };
    condition.met(&one, Some(reading.at), reading.at).is_ok()
}

/// Whether a reading is out of what a condition wants.
pub(crate) fn is_out(
    condition: &Condition,
    seen: &(impl Seen + ?Sized),
    reading: &Reading,
) -> bool {
    let one = One { reading, figures: seen };
    matches!(condition.met(&one, Some(reading.at), reading.at), Err(Unmet::Out { .. }))
}

#[allow(clippy::cast_possible_truncation)] // some minutes
pub(crate) fn later(at: Timestamp, min: f64) -> Option<Timestamp> {
    at.checked_add(SignedDuration::from_secs((min * 60.0).ceil() as i64)).ok()
}
