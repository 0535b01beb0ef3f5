//! The last findings, kept until anything they were made from changes; worked out on a thread beside the pages.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;
use logbook::Hash;

use crate::desk::{Desk, DeskError};
use crate::keep::{self, Keep};
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

impl keep::Asked for Asked {
    type Kind = Since;

    fn kind(&self) -> Since {
        self.since
    }
}

/// The newest findings of each span, and what is being worked out.
pub(crate) type Kept = Keep<Asked, FindingsView>;

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
        let job = self.job();
        self.found().of(&asked, || find(&job.record, &job.setup, &asked, now))
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
            let find = || find(&job.record, &job.setup, &for_thread, now);
            let _ = job.kept.work_out(&for_thread, find);
        });
        if let Err(e) = begun {
            self.found().give_back(&asked);
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
