//! The last findings, kept until anything they were made from changes; worked out on a thread beside the pages.

use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use crate::desk::{Desk, DeskError};
use crate::keep::{self, Keep};
use crate::setup::Setup;

use super::source::{LastRead, Source, weighed};
use super::{FindingsView, Since, find};

/// Everything a finding is made from. A mark stands for the readings and all that was told of the plant: what else is written changes nothing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Asked {
    pub(crate) since: Since,
    pub(crate) ship: String,
    pub(crate) tables: String,
    pub(crate) mark: u64,
}

impl keep::Asked for Asked {
    type Kind = Since;

    fn kind(&self) -> Since {
        self.since
    }
}

/// The newest findings of each span, what is being worked out, and the readings they were made from.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    keep: Keep<Asked, FindingsView>,
    last: LastRead,
}

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
    fn job_of(&self, since: Since, now: Timestamp) -> Result<Job, DeskError> {
        let (kept, setup) = (Arc::clone(self.found()), self.setup());
        let record = self.folder().join(crate::desk::RECORD_FILE);
        let source = kept.last.of(&record, self.head()?.1, now)?;
        let asked = Asked {
            since,
            ship: weighed(&setup.ship),
            tables: self.tables_text()?.unwrap_or_default(),
            mark: source.mark,
        };
        Ok(Job { kept, setup, source, asked })
    }

    /// Findings as everything stands, waited for.
    ///
    /// # Errors
    /// [`DeskError::Asked`]: why there are none; or the record cannot be read.
    pub fn findings(&self, since: Since, now: Timestamp) -> Result<Arc<FindingsView>, DeskError> {
        let job = self.job_of(since, now)?;
        job.kept.keep.of(&job.asked, || job.find())
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
        let job = self.job_of(since, now)?;
        let (kept, asked) = (Arc::clone(&job.kept), job.asked.clone());
        let keep = &kept.keep;
        if keep.exactly(&asked).is_none() {
            if keep.begin(&asked) {
                job.begin_beside()?;
            }
            keep.wait(&asked, patience);
        }
        Ok(match keep.exactly(&asked) {
            Some(Ok(view)) => Lately::Found(view),
            Some(Err(why)) => Lately::None(why),
            None => {
                let table = keep.table();
                let before = table.kept.iter().rev().find(|(kept, _)| kept.since == asked.since);
                match before {
                    Some((_, Ok(view))) => Lately::Before(view.clone()),
                    _ => Lately::UnderWay,
                }
            }
        })
    }
}

/// All that is needed to work findings out, without the desk: a thread that is still at it keeps no record locked.
struct Job {
    kept: Arc<Kept>,
    setup: Arc<Setup>,
    source: Arc<Source>,
    asked: Asked,
}

impl Job {
    fn find(&self) -> Result<FindingsView, DeskError> {
        find(&self.source, &self.setup, self.asked.since, &self.asked.tables)
    }

    /// Works it out on a thread of its own, the turn having been taken.
    fn begin_beside(self) -> Result<(), DeskError> {
        let (kept, asked) = (Arc::clone(&self.kept), self.asked.clone());
        let begun = std::thread::Builder::new().name("findings".into()).spawn(move || {
            // What cannot be worked out now is asked for again by the next page.
            let _ = self.kept.keep.work_out(&self.asked, || self.find());
        });
        if let Err(e) = begun {
            kept.keep.give_back(&asked);
            return Err(DeskError::Asked(format!("no thread to work findings out on: {e}")));
        }
        Ok(())
    }
}
