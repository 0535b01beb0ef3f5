//! A ship's own text of a procedure kept, or given up for the usual one: checked whole, old and new in the record.

use jiff::Timestamp;
use logbook::Draft;
use procedure::{Nature, Problem, Procedure};

use crate::desk::{Desk, DeskError, hand, staged};

use super::words::label;
use super::{runs, texts};

/// By whose word a text may lose guards.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Losing<'a> {
    /// Initials of the chief engineer.
    pub chief: &'a str,
    /// Why.
    pub why: &'a str,
}

impl Desk {
    /// Looks a text through; nothing is kept.
    ///
    /// # Errors
    /// Every problem with its line.
    pub fn procedure_problems(&self, key: &str, text: &str) -> Vec<Problem> {
        texts::read(key, text).err().unwrap_or_default()
    }

    /// What stands in the text of today and not in this one, as sentences: guards on the way to heat, to a tank or with
    /// chemicals, and the order of the steps. A figure that is another is no guard lost.
    ///
    /// # Errors
    /// No such procedure, or its file cannot be read.
    pub fn guards_lost(&self, key: &str, text: &str) -> Result<Vec<String>, DeskError> {
        let old = texts::one(self.folder(), key)?.procedure;
        Ok(texts::read(key, text).map_or_else(
            |_| Vec::new(),
            |new| {
                let mut found = lost(&old, &new);
                found.extend(order_lost(&old, &new));
                found
            },
        ))
    }

    /// Keeps the ship's own text of a procedure, one that loses no guard.
    ///
    /// # Errors
    /// As [`Desk::keep_procedure`].
    pub fn save_procedure(
        &self,
        key: &str,
        text: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        self.keep_procedure(key, text, by, Losing::default(), now).map(drop)
    }

    /// Keeps the ship's own text of a procedure: checked whole, old and new into the record, the file put in place at once.
    /// The usual text is kept by taking her own away. Whether anything was changed.
    ///
    /// # Errors
    /// Its problems, no initials, guards that are lost without the chief's word, or why it cannot be written; nothing is
    /// changed then.
    pub fn keep_procedure(
        &self,
        key: &str,
        text: &str,
        by: &str,
        losing: Losing<'_>,
        now: Timestamp,
    ) -> Result<bool, DeskError> {
        let author = hand(by)?;
        if !texts::is_key(key) {
            return Err(DeskError::Asked(format!("“{key}”: small letters, figures and - only")));
        }
        let problems = self.procedure_problems(key, text);
        if let Some(first) = problems.first() {
            let more = problems.len();
            return Err(DeskError::Asked(format!(
                "{more} to mend in the text; the first: {first}"
            )));
        }
        // Held from the look to the writing: the old text in the record is the one that was replaced.
        let mut book = self.book()?;
        let own = texts::own_text(self.folder(), key)?;
        let usual = texts::is_usual(key, text);
        let old = own.clone().or_else(|| texts::usual(key).map(|usual| usual.text.clone()));
        if old.as_deref() == Some(text) || (usual && own.is_none()) {
            return Ok(false);
        }
        let guards = match texts::one(self.folder(), key) {
            Ok(_) => self.guards_lost(key, text)?,
            Err(_) => Vec::new(),
        };
        let mut draft = Draft::setting(author, runs::setting_of(key), old, text)
            .detail("version", texts::version_of(text));
        if !guards.is_empty() {
            let chief = hand(losing.chief).map_err(|_| {
                DeskError::Asked(format!(
                    "This takes guards or order away: {} The chief engineer gives initials and a reason.",
                    guards.join(" ")
                ))
            })?;
            if losing.why.trim().is_empty() {
                return Err(DeskError::Asked("Guards go: say why.".to_owned()));
            }
            draft = draft
                .detail("guards taken away", guards.join(" "))
                .detail("chief", chief.actor)
                .detail("because", losing.why.trim());
        }
        let path = texts::path_of(self.folder(), key);
        let file = |source| DeskError::File { path: path.clone(), source };
        if usual {
            // The record first: a file that stays although it says so is only her own text once more.
            book.append(draft, now)?;
            std::fs::remove_file(&path).map_err(file)?;
            return Ok(true);
        }
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(file)?;
        }
        // What can fail for want of room comes first, the renaming last: file and record change together or not at all.
        let staged = staged(&path, text).map_err(file)?;
        if let Err(e) = book.append(draft, now) {
            let _ = std::fs::remove_file(&staged);
            return Err(e.into());
        }
        std::fs::rename(&staged, &path).map_err(file)?;
        Ok(true)
    }
}

/// Guards of one text that another has no more.
fn lost(old: &Procedure, new: &Procedure) -> Vec<String> {
    let mut found = Vec::new();
    for (place, step) in old.steps.iter().enumerate().filter(|(_, step)| old.holds(step)) {
        let of = named(old, place);
        let same = new.place(&step.key).map(|place| &new.steps[place]);
        let Some(same) = same.filter(|same| new.holds(same)) else {
            found.push(format!("{of}: nothing holds there any more."));
            continue;
        };
        let mut gone: Vec<String> = Vec::new();
        for term in step.see.iter().filter_map(|condition| condition.terms.first()) {
            let there = same.see.iter().flat_map(|condition| &condition.terms);
            if !there.into_iter().any(|other| other.name == term.name) {
                gone.push(label(&term.name));
            }
        }
        if !step.look.is_empty() && same.look.is_empty() {
            gone.push("what must be looked at".to_owned());
        }
        gone.dedup();
        if !gone.is_empty() {
            found.push(format!("{of}: {} is no longer asked for.", gone.join(", ")));
        }
    }
    found
}

/// A step as a sentence begins with it.
fn named(of: &Procedure, place: usize) -> String {
    let what = &of.steps[place].what;
    let first = what.split(['.', ';', ':']).next().unwrap_or(what).trim();
    format!("step {}, {first}", place + 1)
}

/// What of the order of one text another has no more: steps that moved, each once; what was forbidden and is not; and in a
/// stop or an emergency the step that comes first.
fn order_lost(old: &Procedure, new: &Procedure) -> Vec<String> {
    let mut found = Vec::new();
    let places = old.steps.iter().enumerate();
    let mut kept: Vec<(usize, usize)> =
        places.filter_map(|(place, step)| Some((place, new.place(&step.key)?))).collect();
    let first = kept.first().is_some_and(|(was, is)| (*was, *is) == (0, 0));
    if old.nature != Nature::Work && !first {
        found.push(format!("{} no longer comes first.", named(old, 0)));
    }
    let against = |a: &(usize, usize), b: &(usize, usize)| (a.0 < b.0) != (a.1 < b.1) && a != b;
    loop {
        // The step that stands against most of the others is the one that was moved.
        let count = |one: &(usize, usize)| kept.iter().filter(|other| against(one, other)).count();
        let most = (0..kept.len()).rev().max_by_key(|at| count(&kept[*at]));
        let Some(moved) = most.filter(|at| count(&kept[*at]) > 0).map(|at| kept.remove(at)) else {
            break;
        };
        let other = kept.iter().filter(|other| against(&moved, other));
        // Of those it passed, the one furthest from where it stood.
        let Some(other) = other.max_by_key(|other| other.0.abs_diff(moved.0)) else { continue };
        let side = if other.0 > moved.0 { "after" } else { "before" };
        found.push(format!("{} comes {side} {} now.", named(old, moved.0), named(old, other.0)));
    }
    for (place, step) in old.steps.iter().enumerate() {
        let Some(same) = new.place(&step.key).map(|place| &new.steps[place]) else { continue };
        for (key, _) in &step.after {
            let Some(before) = old.place(key) else { continue };
            if !same.after.iter().any(|(other, _)| other == key) {
                let (this, other) = (named(old, place), named(old, before));
                found.push(format!(
                    "{this}: nothing is said any more when it is done before {other}."
                ));
            }
        }
    }
    found
}
