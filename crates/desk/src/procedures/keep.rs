//! A ship's own text of a procedure kept, or given up for the usual one: checked whole, old and new in the record.

use jiff::Timestamp;
use logbook::Draft;
use procedure::Problem;

use crate::desk::{Desk, DeskError, hand, staged};

use super::seen::Nothing;
use super::words::Teller;
use super::{runs, texts, weaker};

/// By whose word a text may lose guards.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Losing<'a> {
    /// Initials of the chief engineer.
    pub chief: &'a str,
    /// Why.
    pub why: &'a str,
}

/// What a text has no more, as sentences.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Lost {
    /// Of the usual text: by the chief's word.
    usual: Vec<String>,
    /// Which steps there are, what one does or is said of it, changed: by the chief's word too.
    said: Vec<String>,
    /// That the ship added herself: for a reason.
    own: Vec<String>,
    /// Words beside what is done, changed: told in the record.
    words: Vec<String>,
}

impl Desk {
    /// Looks a text through; nothing is kept.
    ///
    /// # Errors
    /// Every problem with its line.
    pub fn procedure_problems(&self, key: &str, text: &str) -> Vec<Problem> {
        texts::read(key, text).err().unwrap_or_default()
    }

    /// What of a text is the chief's word, as sentences, each with its step: which steps there are and what each does, in every
    /// list; and what it takes away of the usual one: guards, waits, looks, second persons, cautions and order, whole or in
    /// part. What was taken away before, by the chief's word, is not asked for again, and going back towards the usual text
    /// takes nothing away.
    ///
    /// # Errors
    /// No such procedure, or its file cannot be read.
    pub fn guards_lost(&self, key: &str, text: &str) -> Result<Vec<String>, DeskError> {
        let lost = self.lost(key, text)?;
        Ok(lost.usual.into_iter().chain(lost.said).collect())
    }

    /// Whether a text takes guards or order away by the chief's word, not only changes what is done or said.
    ///
    /// # Errors
    /// As [`Desk::guards_lost`].
    pub fn takes_guards(&self, key: &str, text: &str) -> Result<bool, DeskError> {
        Ok(!self.lost(key, text)?.usual.is_empty())
    }

    /// What a text takes away that the ship added herself, as sentences, each with its step: it goes for a reason. The whole usual
    /// text takes nothing away.
    ///
    /// # Errors
    /// As [`Desk::guards_lost`].
    pub fn own_guards_lost(&self, key: &str, text: &str) -> Result<Vec<String>, DeskError> {
        Ok(self.lost(key, text)?.own)
    }

    fn lost(&self, key: &str, text: &str) -> Result<Lost, DeskError> {
        let today = texts::one(self.folder(), key).map(|kept| kept.procedure);
        let Ok(new) = texts::read(key, text) else { return Ok(Lost::default()) };
        let told = |of: &[weaker::Loss]| of.iter().map(|loss| loss.says.clone()).collect();
        let Ok(today) = today else {
            // A list that was not there: every step of it is new.
            let said = told(&weaker::new_steps(None, &new, None));
            return Ok(Lost { said, ..Lost::default() });
        };
        let clock = self.clock()?;
        let usual = texts::usual(key).map(|usual| &usual.procedure);
        let now = Timestamp::UNIX_EPOCH;
        let (board, clock, procedure) = (&Nothing, &clock, usual.unwrap_or(&today));
        let teller = Teller { board, clock, now, procedure, foretold: None };
        let since = weaker::of(&today, &new, &teller);
        let gone = usual.map_or_else(Vec::new, |usual| weaker::of(usual, &new, &teller));
        let anew = gone.iter().filter(|loss| since.iter().any(|other| loss.same(other))).cloned();
        let (mut said, guards): (Vec<_>, Vec<_>) = anew.partition(|loss| loss.is_said());
        let own = since.into_iter().filter(|loss| gone.iter().all(|other| !loss.same(other)));
        // Steps that the usual list does not have, and every one of a list of her own.
        let (hers, own): (Vec<_>, Vec<_>) = own
            .filter(|_| !texts::is_usual(key, text))
            .partition(|loss| loss.is_step_beside(usual));
        said.extend(hers);
        said.extend(weaker::new_steps(Some(&today), &new, usual));
        let own =
            own.into_iter().filter(|loss| usual.is_none_or(|usual| !weaker::is_of(usual, loss)));
        let own: Vec<_> = own.collect();
        let words = weaker::words_changed(&today, &new);
        Ok(Lost { own: told(&own), words, usual: told(&guards), said: told(&said) })
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
        let lost = self.lost(key, text)?;
        let (guards, said, why) = (lost.usual, lost.said, losing.why.trim());
        let mut draft = Draft::setting(author, runs::setting_of(key), old, text)
            .detail("version", texts::version_of(text));
        if !guards.is_empty() || !said.is_empty() {
            let mut what = String::new();
            for (words, of) in [
                ("This takes guards or order away:", &guards),
                ("This changes what is done or said at a step:", &said),
            ] {
                if !of.is_empty() {
                    what = format!("{what}{words} {} ", of.join(" "));
                }
            }
            let chief = hand(losing.chief).map_err(|_| {
                DeskError::Asked(format!("{what}The chief engineer gives initials and a reason."))
            })?;
            if chief.actor.eq_ignore_ascii_case(&draft.author.actor) {
                return Err(DeskError::Asked(
                    "Chief engineer: the same initials as of who changes the text. Another person changes it, and the chief engineer signs for what goes."
                        .to_owned(),
                ));
            }
            if why.is_empty() {
                let words = if guards.is_empty() {
                    "Say why it is changed."
                } else {
                    "Guards go: say why."
                };
                return Err(DeskError::Asked(words.to_owned()));
            }
            draft = draft.detail("chief", chief.actor);
        }
        if !lost.own.is_empty() && why.is_empty() {
            return Err(DeskError::Asked(format!(
                "This takes away what the ship added herself: {} Say why.",
                lost.own.join(" ")
            )));
        }
        let gone: Vec<String> = guards.into_iter().chain(lost.own).collect();
        if !gone.is_empty() {
            draft = draft.detail("guards taken away", gone.join(" ")).detail("because", why);
        }
        if !said.is_empty() {
            draft = draft.detail("done or said otherwise", said.join(" ")).detail("because", why);
        }
        if !lost.words.is_empty() {
            draft = draft.detail("words changed", lost.words.join(" "));
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
