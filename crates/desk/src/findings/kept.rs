//! The last findings, kept until anything they were made from changes; worked out on a thread beside the pages.

use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::Timestamp;
use logbook::Hash;

use crate::desk::{Desk, DeskError};
use crate::setup::Setup;

use super::{FindingsView, Since, find};

/// Everything a finding is made from. The record's head stands for readings and all that was told.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Asked {
    pub(crate) since: Since,
    pub(crate) ship: String,
    pub(crate) tables: String,
    pub(crate) head: Hash,
}

/// A view, or why there is none.
type Found = Result<Arc<FindingsView>, String>;

/// The newest findings, and what is being worked out.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    table: Mutex<Table>,
    done: Condvar,
}

#[derive(Debug, Default)]
struct Table {
    kept: Vec<(Asked, Found)>,
    under_way: Vec<Asked>,
}

/// Findings of so many spans are kept.
const MOST: usize = 4;

/// What is known of findings without waiting.
#[derive(Debug, Clone, PartialEq)]
pub enum Lately {
    /// As everything stands.
    Found(Arc<FindingsView>),
    /// The last ones; those of the newest readings are being worked out.
    Before(Arc<FindingsView>),
    /// Being worked out for the first time.
    UnderWay,
    /// There are none: why.
    None(String),
}

impl Kept {
    fn table(&self) -> MutexGuard<'_, Table> {
        // Every change of the table is one push or one sweep: a panic elsewhere leaves it whole.
        self.table.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn exactly(&self, asked: &Asked) -> Option<Found> {
        self.table().kept.iter().find(|(kept, _)| kept == asked).map(|(_, found)| found.clone())
    }

    /// Takes the turn to work something out; false where somebody has it already.
    fn begin(&self, asked: &Asked) -> bool {
        let mut table = self.table();
        if table.under_way.contains(asked) {
            return false;
        }
        table.under_way.push(asked.clone());
        true
    }

    /// Gives the turn back, with what was found or without.
    fn end(&self, asked: &Asked, found: Option<Found>) {
        let mut table = self.table();
        table.under_way.retain(|other| other != asked);
        if let Some(found) = found {
            table.kept.retain(|(kept, _)| kept.since != asked.since);
            table.kept.push((asked.clone(), found));
            let over = table.kept.len().saturating_sub(MOST);
            table.kept.drain(..over);
        }
        drop(table);
        self.done.notify_all();
    }

    /// Waits until this is no longer being worked out, or patience ends.
    fn wait(&self, asked: &Asked, patience: Duration) {
        let under_way = |table: &mut Table| table.under_way.contains(asked);
        // Whether it ended or patience did is seen by who asks next.
        drop(self.done.wait_timeout_while(self.table(), patience, under_way));
    }
}

/// Gives a turn back also when working out panics.
struct Turn<'a> {
    kept: &'a Kept,
    asked: &'a Asked,
    found: Option<Found>,
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        self.kept.end(self.asked, self.found.take());
    }
}

impl Desk {
    fn asked_of(&self, since: Since) -> Result<Asked, DeskError> {
        Ok(Asked {
            since,
            ship: self.setup().text.clone(),
            tables: self.tables_text()?.unwrap_or_default(),
            head: self.head()?.1,
        })
    }

    /// Findings as everything stands, waited for.
    ///
    /// # Errors
    /// [`DeskError::Asked`]: why there are none; or the record cannot be read.
    pub fn findings(&self, since: Since, now: Timestamp) -> Result<Arc<FindingsView>, DeskError> {
        let asked = self.asked_of(since)?;
        loop {
            if let Some(found) = self.found().exactly(&asked) {
                return found.map_err(DeskError::Asked);
            }
            if self.found().begin(&asked) {
                return self.job().work_out(&asked, now);
            }
            self.found().wait(&asked, Duration::from_secs(60));
        }
    }

    /// All that is needed to work findings out, without the desk: a thread that is still at it keeps no record locked.
    fn job(&self) -> Job {
        let record = self.folder().join(crate::desk::RECORD_FILE);
        Job { kept: Arc::clone(self.found()), record, setup: self.setup() }
    }

    /// Findings without waiting longer than `patience`: what is not at hand is begun on a thread of its own.
    ///
    /// # Errors
    /// The record cannot be read, or no thread is to be had.
    pub fn findings_lately(
        &self,
        since: Since,
        now: Timestamp,
        patience: Duration,
    ) -> Result<Lately, DeskError> {
        let asked = self.asked_of(since)?;
        if self.found().exactly(&asked).is_none() {
            if self.found().begin(&asked) {
                self.begin_beside(asked.clone(), now)?;
            }
            self.found().wait(&asked, patience);
        }
        Ok(match self.found().exactly(&asked) {
            Some(Ok(view)) => Lately::Found(view),
            Some(Err(why)) => Lately::None(why),
            None => {
                let table = self.found().table();
                let before = table.kept.iter().rev().find(|(kept, _)| kept.since == asked.since);
                match before {
                    Some((_, Ok(view))) => Lately::Before(view.clone()),
                    _ => Lately::UnderWay,
                }
            }
        })
    }

    fn begin_beside(&self, asked: Asked, now: Timestamp) -> Result<(), DeskError> {
        let (job, for_thread) = (self.job(), asked.clone());
        let begun = std::thread::Builder::new().name("findings".into()).spawn(move || {
            // What cannot be read now is asked for again by the next page.
            let _ = job.work_out(&for_thread, now);
        });
        if let Err(e) = begun {
            self.found().end(&asked, None);
            return Err(DeskError::Asked(format!("no thread to work findings out on: {e}")));
        }
        Ok(())
    }
}

/// What findings are worked out with.
struct Job {
    kept: Arc<Kept>,
    record: PathBuf,
    setup: Arc<Setup>,
}

impl Job {
    fn work_out(&self, asked: &Asked, now: Timestamp) -> Result<Arc<FindingsView>, DeskError> {
        let mut turn = Turn { kept: &self.kept, asked, found: None };
        let found = match find(&self.record, &self.setup, asked, now) {
            Ok(view) => Ok(Arc::new(view)),
            Err(DeskError::Asked(why)) => Err(why),
            Err(other) => return Err(other),
        };
        turn.found = Some(found.clone());
        drop(turn);
        found.map_err(DeskError::Asked)
    }
}
