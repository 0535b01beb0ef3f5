//! Looks and finds counted: what is known and not mended yet, what a later closing says of it, and how often each cause was looked for.

use std::collections::BTreeMap;

use ::findings::Cause;

use super::words::{Closed, Closing, ToldOfPlant};

impl ToldOfPlant {
    /// What was found and is not mended yet, as far as the record tells: the newest look at each cause, and not cleaned since.
    pub(crate) fn known(&self) -> Vec<&Closed> {
        let mut newest: BTreeMap<Cause, &Closed> = BTreeMap::new();
        for closed in &self.closed {
            newest.entry(closed.cause).or_insert(closed);
        }
        let open = |c: &&Closed| c.is_open();
        let cleaned = |c: &&Closed| self.last_cleaned(c.cause).is_some_and(|at| at >= c.at);
        newest.into_values().filter(open).filter(|c| !cleaned(c)).collect()
    }

    /// Whether a closing says of what was found before that it is mended now: the same find, and no second look.
    #[must_use]
    pub fn closes_known(&self, closing: &Closing) -> bool {
        let newest = self.closed.iter().find(|one| one.cause.key() == closing.cause);
        closing.mends() && newest.is_some_and(Closed::is_open)
    }

    /// How often each cause was looked for since the record began, and how often it was found. What was found and is closed again when it
    /// is mended was found once.
    #[must_use]
    pub fn looks(&self) -> BTreeMap<Cause, (usize, usize)> {
        let mut out: BTreeMap<Cause, (usize, usize)> = BTreeMap::new();
        for (place, closed) in self.closed.iter().enumerate() {
            let before = self.closed[place + 1..].iter().find(|one| one.cause == closed.cause);
            if closed.is_found() && !closed.is_open() && before.is_some_and(Closed::is_open) {
                continue;
            }
            let (looked, found) = out.entry(closed.cause).or_default();
            *looked += 1;
            *found += usize::from(closed.is_found());
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;

    use super::super::words::{MENDED, SEEN};
    use super::*;

    fn closed(seq: u64, mended: Option<bool>) -> Closed {
        Closed {
            at: Timestamp::from_second(86_400 * seq as i64).expect("moment"),
            cause: Cause::AirLeak,
            seen: SEEN[0].to_owned(),
            chance: None,
            words: String::new(),
            by: "2e".to_owned(),
            cleaned: None,
            mended,
            seq,
        }
    }

    #[test]
    fn ident_what_was_found_and_is_mended_later_was_found_once() {
        let told = |closed: Vec<Closed>| ToldOfPlant { closed, ..ToldOfPlant::default() };
        let open = told(vec![closed(1, Some(false))]);
        let mut closing = Closing {
            cause: "air_leak".into(),
            seen: SEEN[0].into(),
            mended: MENDED[0].into(),
            ..Closing::default()
        };
        assert!(open.closes_known(&closing));
        assert_eq!(open.looks()[&Cause::AirLeak], (1, 1));
        // Found again and still not mended, or not found, is a second look.
        closing.mended = MENDED[1].into();
        assert!(!open.closes_known(&closing));
        closing.seen = SEEN[1].into();
        assert!(!open.closes_known(&closing));
        let mended = told(vec![closed(2, Some(true)), closed(1, Some(false))]);
        assert_eq!(mended.looks()[&Cause::AirLeak], (1, 1));
        assert!(mended.known().is_empty());
        // What was mended and comes again is a find of its own.
        let again =
            told(vec![closed(3, Some(true)), closed(2, Some(true)), closed(1, Some(false))]);
        assert_eq!(again.looks()[&Cause::AirLeak], (2, 2));
    }
}
