//! Answers kept until anything they were made from changes; nobody works out what is being worked out already.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use crate::desk::DeskError;

/// Everything an answer is made from.
pub(crate) trait Asked: Clone + PartialEq {
    /// What tells answers apart that are kept beside each other: of one kind only the newest stands.
    type Kind: PartialEq;

    /// Its kind.
    fn kind(&self) -> Self::Kind;
}

/// An answer, or why there is none.
pub(crate) type Found<V> = Result<Arc<V>, String>;

/// The newest answer of each kind, and what is being worked out.
#[derive(Debug)]
pub(crate) struct Keep<A, V> {
    table: Mutex<Table<A, V>>,
    done: Condvar,
}

/// Both lists, oldest first.
#[derive(Debug)]
pub(crate) struct Table<A, V> {
    pub(crate) kept: Vec<(A, Found<V>)>,
    pub(crate) under_way: Vec<A>,
}

/// Kinds that are kept.
const MOST: usize = 4;

impl<A, V> Default for Keep<A, V> {
    fn default() -> Self {
        let table = Table { kept: Vec::new(), under_way: Vec::new() };
        Keep { table: Mutex::new(table), done: Condvar::new() }
    }
}

impl<A: Asked, V> Keep<A, V> {
    /// The table; while it is held nothing ends.
    pub(crate) fn table(&self) -> MutexGuard<'_, Table<A, V>> {
        // Every change of the table is one push or one sweep: a panic elsewhere leaves it whole.
        self.table.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The answer made from exactly this.
    pub(crate) fn exactly(&self, asked: &A) -> Option<Found<V>> {
        self.table().exactly(asked)
    }

    /// Takes the turn to work something out; false where somebody has it already. It is given back by [`Keep::work_out`] or
    /// [`Keep::give_back`].
    pub(crate) fn begin(&self, asked: &A) -> bool {
        let mut table = self.table();
        if table.under_way.contains(asked) {
            return false;
        }
        table.under_way.push(asked.clone());
        true
    }

    /// Gives a turn back without an answer.
    pub(crate) fn give_back(&self, asked: &A) {
        drop(Turn { keep: self, asked });
    }

    /// Works out what the turn was taken for. A refusal is kept as an answer is; any other error is the caller's alone.
    pub(crate) fn work_out(
        &self,
        asked: &A,
        work: impl FnOnce() -> Result<V, DeskError>,
    ) -> Result<Arc<V>, DeskError> {
        // Given back also when working out panics.
        let turn = Turn { keep: self, asked };
        let found = match work() {
            Ok(view) => Ok(Arc::new(view)),
            Err(DeskError::Asked(why)) => Err(why),
            Err(other) => return Err(other),
        };
        self.table().put(asked, found.clone());
        drop(turn);
        found.map_err(DeskError::Asked)
    }

    /// The answer made from exactly this: the one kept, the one being made by somebody else, or else made now.
    pub(crate) fn of(
        &self,
        asked: &A,
        work: impl FnOnce() -> Result<V, DeskError>,
    ) -> Result<Arc<V>, DeskError> {
        let mut table = self.table();
        loop {
            if let Some(found) = table.exactly(asked) {
                return found.map_err(DeskError::Asked);
            }
            if !table.under_way.contains(asked) {
                break;
            }
            table = self.done.wait(table).unwrap_or_else(PoisonError::into_inner);
        }
        table.under_way.push(asked.clone());
        drop(table);
        self.work_out(asked, work)
    }

    /// Waits until this is no longer being worked out, or patience ends.
    pub(crate) fn wait(&self, asked: &A, patience: Duration) {
        let under_way = |table: &mut Table<A, V>| table.under_way.contains(asked);
        // Whether it ended or patience did is seen by who asks next.
        drop(self.done.wait_timeout_while(self.table(), patience, under_way));
    }
}

impl<A: Asked, V> Table<A, V> {
    fn exactly(&self, asked: &A) -> Option<Found<V>> {
        self.kept.iter().find(|(kept, _)| kept == asked).map(|(_, found)| found.clone())
    }

    /// Keeps an answer in place of the last of its kind.
    fn put(&mut self, asked: &A, found: Found<V>) {
        self.kept.retain(|(kept, _)| kept.kind() != asked.kind());
        self.kept.push((asked.clone(), found));
        let over = self.kept.len().saturating_sub(MOST);
        self.kept.drain(..over);
    }
}

/// The turn to work something out.
struct Turn<'a, A: Asked, V> {
    keep: &'a Keep<A, V>,
    asked: &'a A,
}

impl<A: Asked, V> Drop for Turn<'_, A, V> {
    fn drop(&mut self) {
        self.keep.table().under_way.retain(|other| other != self.asked);
        self.keep.done.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Clone, PartialEq)]
    struct Figure {
        kind: u8,
        of: u32,
    }

    impl Asked for Figure {
        type Kind = u8;

        fn kind(&self) -> u8 {
            self.kind
        }
    }

    fn asked(kind: u8, of: u32) -> Figure {
        Figure { kind, of }
    }

    #[test]
    fn ident_an_answer_stands_until_a_newer_one_of_its_kind_and_a_refusal_is_one() {
        let keep: Keep<Figure, u32> = Keep::default();
        let double = |figure: &Figure| keep.of(figure, || Ok(2 * figure.of));
        assert_eq!(double(&asked(1, 7)).map(|v| *v).ok(), Some(14));
        assert_eq!(keep.of(&asked(1, 7), || Ok(0)).map(|v| *v).ok(), Some(14));
        assert!(double(&asked(2, 9)).is_ok() && double(&asked(1, 8)).is_ok());
        assert!(keep.exactly(&asked(1, 7)).is_none());
        assert_eq!(keep.exactly(&asked(2, 9)), Some(Ok(Arc::new(18))));
        let no = || Err(DeskError::Asked("no".into()));
        assert!(keep.of(&asked(3, 1), no).is_err());
        assert_eq!(keep.exactly(&asked(3, 1)), Some(Err("no".into())));
        for kind in 4..8 {
            assert!(double(&asked(kind, 1)).is_ok());
        }
        assert!(keep.exactly(&asked(2, 9)).is_none(), "the oldest goes");
        assert_eq!(keep.table().kept.len(), MOST);
    }

    #[test]
    fn ident_a_turn_is_one_persons_and_comes_back_after_a_panic() {
        let keep: Arc<Keep<Figure, u32>> = Arc::default();
        let one = asked(1, 1);
        assert!(keep.begin(&one) && !keep.begin(&one) && keep.begin(&asked(1, 2)));
        keep.give_back(&asked(1, 2));
        let (other, figure) = (keep.clone(), one.clone());
        let thread = std::thread::spawn(move || {
            let broken: Result<Arc<u32>, _> = other.work_out(&figure, || panic!("on purpose"));
            drop(broken);
        });
        assert!(thread.join().is_err());
        assert!(keep.begin(&one), "the turn is free again");
        keep.give_back(&one);
        // Who waits has the answer of who works.
        let begun = keep.begin(&one);
        let (other, figure) = (keep.clone(), one.clone());
        let waiter = std::thread::spawn(move || other.of(&figure, || Ok(99)).map(|v| *v).ok());
        assert!(begun && keep.work_out(&one, || Ok(5)).is_ok());
        assert_eq!(waiter.join().ok().flatten(), Some(5));
    }
}
