//! Findings closed within the rounds that are explained: what was looked at, what was seen, and what that does to the answer.

use ::findings::{Cause, Tables};
use jiff::{SignedDuration, Timestamp};

use super::tables::capital;
use super::words::{Closed, SEEN, ToldOfPlant, counts_from};

/// For so long after a look that found nothing a cause is set aside (our estimate: what grows in two weeks is seen growing).
pub(super) const HOLDS: SignedDuration = SignedDuration::from_hours(14 * 24);
/// After that a look counts for one in so many (our estimate).
const LOOK_MISSES: f64 = 10.0;
/// Seen and not mended, before anything is read: as likely as a table may say (our estimate; seen says little of how much).
const KNOWN: f64 = 0.6;
/// No less likely than this by looks of long ago.
const LEAST: f64 = 0.001;

/// The last look at what a cause would be seen by.
#[derive(Debug, Clone, PartialEq)]
pub struct Looked {
    pub(super) cause: Cause,
    /// In words: "a fouled condenser".
    pub cause_words: String,
    /// When.
    pub at: Timestamp,
    /// Whether it was found.
    pub found: bool,
    /// Not found, but something else.
    pub other: bool,
    /// Not found, and lately: what remains is weighed without it.
    pub set_aside: bool,
    /// Found and not mended yet: it stays a known cause.
    pub known: bool,
    /// What that means for this finding, as a sentence.
    pub says: String,
}

impl Looked {
    /// In front of what remains: "Not a fouled condenser, it was looked for."; empty where it counts no more.
    #[must_use]
    pub fn first(&self) -> String {
        match (self.found, self.set_aside) {
            (true, _) if self.known => {
                format!("Known, and not mended yet: {}.", self.cause_words)
            }
            (true, _) => format!("Found: {}.", self.cause_words),
            (false, true) if self.other => {
                format!("Not {}: something else was found.", self.cause_words)
            }
            (false, true) => format!("Not {}: looked for, not found.", self.cause_words),
            (false, false) => String::new(),
        }
    }
}

/// The newest look at each cause within the rounds; `rounds` are their moments, oldest first.
pub(super) fn looks(
    told: &ToldOfPlant,
    (from, newest): (Timestamp, Timestamp),
    rounds: &[Timestamp],
    day: &dyn Fn(Timestamp) -> String,
) -> Vec<Looked> {
    let mut out: Vec<Looked> = Vec::new();
    // What is known and not mended stands, however long ago it was found.
    let known: Vec<u64> = told.known().iter().map(|one| one.seq).collect();
    let counts = |one: &&Closed| one.at >= from || known.contains(&one.seq);
    for closed in told.closed.iter().filter(counts) {
        if out.iter().any(|looked| looked.cause == closed.cause) {
            continue;
        }
        let found = closed.seen == SEEN[0];
        let set_aside = !found && newest.duration_since(closed.at) <= HOLDS;
        let words = closed.cause.words();
        let since = rounds.iter().filter(|at| **at >= counts_from(closed.at)).count();
        let then = closed.chance.map_or_else(String::new, |p| {
            format!(" The readings gave it {} in 100.", ::findings::in_hundred(p))
        });
        let upon = match &*closed.seen {
            seen if seen == SEEN[0] => format!("was found on {}.", day(closed.at)),
            seen if seen == SEEN[2] && !closed.words.is_empty() => format!(
                "was looked for on {}; something else was found: {}.",
                day(closed.at),
                closed.words.trim_end_matches('.')
            ),
            seen if seen == SEEN[2] => {
                format!("was looked for on {}; something else was found.", day(closed.at))
            }
            _ => format!("was looked for on {} and not found.", day(closed.at)),
        };
        let known = known.contains(&closed.seq);
        let now = match (found, set_aside, since) {
            _ if known => " It is not mended yet, and stays a known cause until that is written: close it again when it is.".to_owned(),
            (true, _, _) if closed.mended == Some(true) => {
                " It was mended: from then on it is weighed as sound.".to_owned()
            }
            (true, _, 0) => {
                " No round has been read since: the next ones tell whether that was all.".to_owned()
            }
            (true, _, 1) => " These rounds go back before that, one was read since.".to_owned(),
            (true, _, n) => format!(" These rounds go back before that, {n} were read since."),
            (false, true, _) => {
                " The rounds before keep what explained them; from then on it is weighed as sound."
                    .to_owned()
            }
            (false, false, _) => " That is over two weeks ago: it counts for a tenth.".to_owned(),
        };
        out.push(Looked {
            cause: closed.cause,
            says: format!("{} {upon}{then}{now}", capital(&words)),
            cause_words: words,
            at: closed.at,
            found,
            other: closed.seen == SEEN[2],
            known,
            set_aside,
        });
    }
    out
}

/// What was looked for lately and not found, with when: it began anew then, part or instrument.
pub(super) fn sound(looks: &[Looked]) -> Vec<(Cause, Timestamp)> {
    looks.iter().filter(|l| l.set_aside).map(|l| (l.cause, l.at)).collect()
}

/// Weighs what was looked for and not found as that; an instrument looked at lately begins anew, and its chance stands for the time before.
pub(super) fn weigh(tables: &mut Tables, looks: &[Looked]) {
    for looked in looks.iter().filter(|looked| looked.known) {
        if let Cause::Instrument(i) = looked.cause {
            let line = tables.instruments.iter_mut().find(|l| l.instrument == i);
            line.into_iter().for_each(|line| line.odds = line.odds.max(KNOWN));
        } else {
            let line = tables.causes.iter_mut().find(|l| l.cause == looked.cause);
            line.into_iter().for_each(|line| line.odds = line.odds.max(KNOWN));
        }
    }
    for looked in looks.iter().filter(|looked| !looked.found) {
        if let Cause::Instrument(i) = looked.cause {
            let line = tables.instruments.iter_mut().find(|l| l.instrument == i);
            if let Some(line) = line.filter(|_| !looked.set_aside) {
                line.odds = less(line.odds);
            }
        } else if let Some(line) = tables.causes.iter_mut().find(|l| l.cause == looked.cause) {
            if looked.set_aside {
                line.found_sound = true;
            } else {
                line.odds = less(line.odds);
            }
        }
    }
}

fn less(odds: f64) -> f64 {
    (odds / LOOK_MISSES).max(LEAST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_look_that_found_nothing_sets_its_cause_aside_for_two_weeks() {
        let at = |days: i64| Timestamp::from_second(86_400 * days).expect("moment");
        let closed = |days: i64, cause: Cause, seen: &str| Closed {
            at: at(days),
            cause,
            seen: seen.to_owned(),
            chance: Some(0.97),
            words: String::new(),
            by: "2e".to_owned(),
            cleaned: None,
            mended: None,
            seq: 1,
        };
        let sea_out = Cause::Instrument(::findings::Instrument::SeaOut);
        let told = ToldOfPlant {
            closed: vec![
                closed(30, Cause::CondenserFouling, SEEN[1]),
                closed(29, sea_out, SEEN[1]),
                closed(10, Cause::AirLeak, SEEN[1]),
                closed(9, Cause::CondenserFouling, SEEN[0]),
                closed(1, Cause::Scale, SEEN[1]),
            ],
            ..ToldOfPlant::default()
        };
        let day = |at: Timestamp| format!("day {}", at.as_second() / 86_400);
        let looks = looks(&told, (at(5), at(31)), &[at(28), at(31)], &day);
        let causes: Vec<Cause> = looks.iter().map(|l| l.cause).collect();
        // The newest of each, none from before the rounds.
        assert_eq!(causes, [Cause::CondenserFouling, sea_out, Cause::AirLeak]);
        assert!(looks[0].set_aside && looks[1].set_aside && !looks[2].set_aside);
        assert_eq!(
            looks[0].says,
            "A fouled condenser was looked for on day 30 and not found. The readings gave it 97 in 100. The rounds before keep what explained them; from then on it is weighed as sound."
        );
        let mut tables = Tables::usual(24.0);
        let usual = tables.clone();
        weigh(&mut tables, &looks);
        let odds = |tables: &Tables, cause: Cause| {
            tables.causes.iter().find(|l| l.cause == cause).map_or(f64::NAN, |l| l.odds)
        };
        let found_sound =
            |cause: Cause| tables.causes.iter().any(|l| l.cause == cause && l.found_sound);
        assert!(found_sound(Cause::CondenserFouling));
        assert!(!found_sound(Cause::AirLeak) && !found_sound(Cause::Scale));
        let was = odds(&usual, Cause::AirLeak);
        assert!((odds(&tables, Cause::AirLeak) - was / 10.0).abs() < 1e-12);
        assert_eq!(odds(&tables, Cause::Scale), odds(&usual, Cause::Scale));
        // An instrument begins anew from its look: the rounds before may still blame it.
        let wrong =
            |tables: &Tables| tables.instrument(::findings::Instrument::SeaOut).map(|l| l.odds);
        assert_eq!(wrong(&tables), wrong(&usual));
        assert!(sound(&looks).iter().any(|(cause, when)| (*cause, *when) == (sea_out, at(29))));
    }
}
