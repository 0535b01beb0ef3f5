//! A run begun: at once where it is a stop or an emergency; else asked about what is under way beside it.

use jiff::Timestamp;
use logbook::Draft;
use procedure::{Act, Answer, Procedure, Run};

use crate::desk::{Desk, DeskError};

use super::act::{asked, who, whole_second};
use super::drafts::{append, step_draft};
use super::runs::{self, setting_of};
use super::texts::{self, never_held};
use super::words::time;

/// Acid and hypochlorite together give off poison gas: lists of the one and of the other are never open at once.
const APART: [[&str; 2]; 1] = [["acid-clean", "disinfect-tank"]];
/// Lists whose effects on the plant exclude each other: one brings it up, the other wants it down, or both want the shell.
const AGAINST: [(&str, &[&str]); 3] = [
    ("start", &["stop", "coast", "leak-test", "acid-clean", "long-stay"]),
    ("leak-test", &["stop", "coast", "acid-clean"]),
    ("acid-clean", &["stop", "coast"]),
];

/// What becomes of a run under way that the one to be begun excludes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meanwhile {
    /// It is asked about.
    Ask,
    /// Both go on.
    GoOn,
    /// It is given up where it stands.
    GiveUp,
}

/// Whether the effects of two lists exclude each other.
pub(super) fn against(one: &str, other: &str) -> bool {
    let has = |a: &str, b: &str| AGAINST.iter().any(|(key, keys)| *key == a && keys.contains(&b));
    has(one, other) || has(other, one)
}

/// Whether a list moves the plant: it brings it up, takes it down or wants its shell.
pub(super) fn of_plant(key: &str) -> bool {
    AGAINST.iter().any(|(one, keys)| *one == key || keys.contains(&key))
}

/// Whether what was read for the other list is no evidence for this one: their effects exclude each other, or one of them is a
/// stop or an emergency and the other brings the plant up.
pub(super) fn clash(procedure: &Procedure, other: &str) -> bool {
    let key = procedure.key.as_str();
    let urgent = |key: &str| texts::usual(key).is_some_and(|usual| never_held(&usual.procedure));
    against(key, other)
        || (other == "start" && never_held(procedure))
        || (key == "start" && urgent(other))
}

impl Desk {
    /// Begins a run; its number. A stop or an emergency begins at once, whatever else is under way.
    ///
    /// # Errors
    /// No such procedure, no initials, a run of it under way, a list that must not be open beside another, or why the
    /// record cannot be written.
    pub fn begin_run(
        &self,
        key: &str,
        by: &str,
        at: Option<Timestamp>,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        self.begin_run_beside(key, by, at, Meanwhile::Ask, now)
    }

    /// As [`Desk::begin_run`], with what is to become of a run under way that this one excludes. A stop or an emergency asks
    /// nothing.
    ///
    /// # Errors
    /// As [`Desk::begin_run`]; [`DeskError::Doubtful`] with the question where it was not answered.
    pub fn begin_run_beside(
        &self,
        key: &str,
        by: &str,
        at: Option<Timestamp>,
        meanwhile: Meanwhile,
        now: Timestamp,
    ) -> Result<u64, DeskError> {
        // Held from the look to the writing: of two who begin at once the second finds it under way.
        let mut book = self.book()?;
        let kept = texts::one(self.folder(), key)?;
        let author = who(&kept.procedure, "", by)?;
        let at = whole_second(at.unwrap_or(now));
        let urgent = never_held(&kept.procedure);
        if !urgent {
            self.may_begin(&kept.procedure, now)?;
        }
        let began = Act::Began {
            at,
            by: author.actor.clone(),
            procedure: kept.key.clone(),
            version: kept.version.clone(),
        };
        if let Answer::Wrong(wrong) = Run::of(&kept.procedure, &[]).ask(&began, &(), now) {
            return Err(asked(self.wrong(&wrong, None, now)?));
        }
        let mut drafts = Vec::new();
        if !urgent && meanwhile != Meanwhile::GoOn {
            for run in self.runs_of_late()? {
                if run.ended.is_some() || !against(key, &run.key) {
                    continue;
                }
                if meanwhile == Meanwhile::Ask {
                    let since = time(&self.clock()?, run.began, now);
                    return Err(DeskError::Doubtful(format!(
                        "{} is under way since {since} (step {}): abandon it there, or go on with both?",
                        run.name, run.next
                    )));
                }
                let gathered = runs::one(&self.reader(), run.id)?;
                let (other, _) = runs::followed(self.folder(), &self.reader(), &gathered)?;
                let reason = format!("{} begun", kept.procedure.name);
                let act =
                    Act::Abandoned { at: whole_second(now), by: author.actor.clone(), reason };
                let words = format!("{}: given up", other.name);
                drafts.push(step_draft(&act, Some(run.id), words, author.clone(), &other));
            }
        }
        // A look that fails must not keep an emergency from being written.
        let recorded = runs::text_of(&self.reader(), key, &kept.version);
        if !recorded.as_ref().is_ok_and(Option::is_some) && (urgent || recorded.is_ok()) {
            let mut text = Draft::setting(author.clone(), setting_of(key), None, kept.text.clone())
                .detail("version", kept.version.clone());
            text.text = Some(format!("The list “{}” as the run follows it", kept.procedure.name));
            drafts.push(text);
        } else {
            recorded?;
        }
        let mut first = step_draft(
            &began,
            None,
            format!("{}: begun", kept.procedure.name),
            author,
            &kept.procedure,
        );
        first.at = Some(at);
        drafts.push(first);
        let receipts = append(&mut book, drafts, urgent, now)?;
        receipts.last().map(|receipt| receipt.seq).ok_or_else(|| asked("nothing was written"))
    }

    /// Whether work may be begun beside what is under way.
    pub(super) fn may_begin(&self, procedure: &Procedure, now: Timestamp) -> Result<(), DeskError> {
        let clock = self.clock()?;
        for run in self.runs_of_late()?.into_iter().filter(|run| run.ended.is_none()) {
            let since = time(&clock, run.began, now);
            if run.key == procedure.key {
                return Err(asked(format!(
                    "{} has been under way since {since}, begun by {}: go on with it, or give it up first",
                    run.name, run.by
                )));
            }
            let pair = |pair: &&[&str; 2]| {
                pair.contains(&procedure.key.as_str()) && pair.contains(&run.key.as_str())
            };
            if APART.iter().any(|keys| pair(&keys)) {
                return Err(asked(format!(
                    "{} has been under way since {since}: acid and chlorine never come together. Finish it or give it up first",
                    run.name
                )));
            }
        }
        Ok(())
    }
}
