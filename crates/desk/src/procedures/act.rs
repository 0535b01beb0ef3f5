//! What hands do in a run: begin, read, tick, pass over, go on against a guard, give up; each an entry of the record.

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Kind, Receipt};
use procedure::{Act, Answer, Procedure, Run, Standing, UNNAMED, Who, Wrong};

use crate::desk::{Desk, DeskError, hand};
use crate::field;
use crate::setup::Setup;
use crate::typed::shown;
use crate::written::written;

use super::runs::{self, RUN, setting_of};
use super::seen::{Board, Pending};
use super::texts::{self, never_held};
use super::words::{Teller, time};

/// Acid and hypochlorite together give off poison gas: lists of the one and of the other are never open at once.
const APART: [[&str; 2]; 1] = [["acid-clean", "disinfect-tank"]];
/// Longest reason, signs.
const LONGEST_REASON: usize = 400;

/// A reading typed at a step: its name, the text, the unit's code.
pub type TypedReading = (String, String, String);

/// What is done at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What<'a> {
    /// Readings are written down, no more.
    Read,
    /// The step is done.
    Tick {
        /// What must be looked at was seen.
        looked: bool,
    },
    /// The step is passed over.
    Pass {
        /// Why.
        reason: &'a str,
    },
    /// The step is done although its guard holds.
    Override {
        /// What they are aboard: one of [`MAY`].
        who: &'a str,
        /// Why.
        reason: &'a str,
    },
    /// The run is given up.
    GiveUp {
        /// Why.
        reason: &'a str,
    },
}

/// What people are aboard, by the word kept in the record, and as they are called.
pub const MAY: [(&str, &str); 3] =
    [("watch", "watch-keeper"), ("engineer", "engineer in charge"), ("chief", "chief engineer")];

/// Something done at a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doing<'a> {
    /// The run.
    pub run: u64,
    /// The step's key.
    pub step: &'a str,
    /// Initials.
    pub by: &'a str,
    /// When it was so; now where it is left out.
    pub at: Option<Timestamp>,
    /// Readings typed beside it.
    pub readings: &'a [TypedReading],
    /// What was done.
    pub what: What<'a>,
    /// The form's own mark, so that a repeated submission is one entry.
    pub token: &'a str,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It stands in the record; what does not fit and did not hold.
    Written {
        /// Sentences.
        warned: Vec<String>,
    },
    /// Its guard holds; the readings typed are written down all the same.
    Held {
        /// Why, in sentences.
        why: Vec<String>,
        /// Who may go on all the same.
        overridden_by: &'static str,
    },
}

/// Why nothing was written.
#[derive(Debug)]
pub enum StepError {
    /// Readings that are not taken: name and why.
    Typed(Vec<(String, String)>),
    /// Something else.
    Desk(DeskError),
}

impl<E: Into<DeskError>> From<E> for StepError {
    fn from(e: E) -> Self {
        Self::Desk(e.into())
    }
}

/// The record keeps whole seconds.
fn whole_second(at: Timestamp) -> Timestamp {
    Timestamp::from_second(at.as_second()).unwrap_or(at)
}

/// A time is typed by the minute: in the same minute as the step before, it is meant after that.
fn in_minute_of(run: &Run<'_>, step: &str, at: Timestamp) -> Timestamp {
    let before = run.procedure.place(step).and_then(|place| run.since(place));
    let before = before.or(run.began.as_ref().map(|(at, ..)| *at));
    match before {
        Some(before) if before > at && before.as_second() - at.as_second() < 60 => before,
        _ => at,
    }
}

/// Who does it: by initials, or unnamed where nothing may stand before it (a stop, an emergency).
fn who(procedure: &Procedure, by: &str) -> Result<Author, DeskError> {
    match by.trim() {
        "" if never_held(procedure) => Ok(Author::hand(UNNAMED)),
        by => hand(by),
    }
}

fn asked(words: impl Into<String>) -> DeskError {
    DeskError::Asked(words.into())
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
        // Held from the look to the writing: of two who begin at once the second finds it under way.
        let mut book = self.book()?;
        let kept = texts::one(self.folder(), key)?;
        let author = who(&kept.procedure, by)?;
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
        // A look that fails must not keep an emergency from being written.
        let recorded = runs::text_of(&self.reader(), key, &kept.version);
        if !recorded.as_ref().is_ok_and(Option::is_some) && (urgent || recorded.is_ok()) {
            drafts.push(
                Draft::setting(author.clone(), setting_of(key), None, kept.text.clone())
                    .detail("version", kept.version.clone()),
            );
        } else {
            recorded?;
        }
        let mut first = step_draft(&began, None, format!("{}: begun", kept.procedure.name), author);
        first.at = Some(at);
        drafts.push(first);
        let receipts = append(&mut book, drafts, urgent, now)?;
        receipts.last().map(|receipt| receipt.seq).ok_or_else(|| asked("nothing was written"))
    }

    /// Whether work may be begun beside what is under way.
    fn may_begin(&self, procedure: &Procedure, now: Timestamp) -> Result<(), DeskError> {
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

    /// Does something at a step.
    ///
    /// # Errors
    /// [`StepError::Typed`] for readings that are not taken; else why it cannot be done in this run: it stands already,
    /// its time is not right, others must say so, no initials or reason.
    pub fn do_step(&self, doing: &Doing<'_>, now: Timestamp) -> Result<Outcome, StepError> {
        let setup = self.setup();
        // Held from the look to the writing: of two who tick one step at once the second is told that it stands.
        let mut book = self.book()?;
        let gathered = runs::one(&self.reader(), doing.run)?;
        let (procedure, _) = runs::followed(self.folder(), &self.reader(), &gathered)?;
        let author = who(&procedure, doing.by)?;
        let run = runs::fold(&procedure, &gathered);
        let at = whole_second(doing.at.map_or(now, |at| in_minute_of(&run, doing.step, at)));
        if at > now {
            let wrong = Wrong::Ahead { at, now };
            return Err(asked(self.wrong(&wrong, Some((&run, doing.step)), now)?).into());
        }
        let (values, pending) = self.readings(&setup, doing.readings, at)?;
        let mut drafts = Vec::new();
        if !values.is_empty() {
            let mut reading = Draft::reading(at, author.clone(), values);
            if !doing.token.is_empty() {
                reading = reading.token(format!("{}-r", doing.token));
            }
            drafts.push(reading);
        }
        let clock = self.clock()?;
        let board = Board::of(&setup, &self.reader(), gathered.began(), now)?.with(pending);
        let teller =
            Teller { board: &board, clock: &clock, now, procedure: &procedure, foretold: None };
        let urgent = never_held(&procedure);
        let Some(act) = self.act_of(doing, &author.actor, at, &run, &teller)? else {
            if drafts.is_empty() {
                return Err(asked("Nothing was typed: write a reading, or tick the step.").into());
            }
            append(&mut book, drafts, urgent, now)?;
            return Ok(Outcome::Written { warned: Vec::new() });
        };
        let told = |unmet: &Vec<procedure::Unmet>| unmet.iter().map(|u| teller.unmet(u)).collect();
        match run.ask(&act, &board, now) {
            Answer::Wrong(wrong) => {
                Err(asked(self.wrong(&wrong, Some((&run, doing.step)), now)?).into())
            }
            Answer::Held(held) => {
                // What was read was read, whether it lets go on or not.
                append(&mut book, drafts, urgent, now)?;
                let overridden_by = held.overridden_by.aboard();
                Ok(Outcome::Held { why: told(&held.why), overridden_by })
            }
            Answer::Go { warned } => {
                let words = sentence(&procedure, &act);
                let mut draft = step_draft(&act, Some(doing.run), words, author);
                draft.at = Some(at);
                if !doing.token.is_empty() {
                    draft = draft.token(doing.token);
                }
                drafts.push(draft);
                append(&mut book, drafts, urgent, now)?;
                Ok(Outcome::Written { warned: told(&warned) })
            }
        }
    }

    /// Ticks several steps of a stop or an emergency afterwards, each with its true time; whether their times follow the list.
    ///
    /// # Errors
    /// A run whose steps are held one by one, nothing ticked, or as [`Desk::do_step`]; nothing is written then.
    pub fn do_afterwards(
        &self,
        id: u64,
        by: &str,
        steps: &[(String, Timestamp)],
        now: Timestamp,
    ) -> Result<bool, DeskError> {
        let mut book = self.book()?;
        let gathered = runs::one(&self.reader(), id)?;
        let (procedure, _) = runs::followed(self.folder(), &self.reader(), &gathered)?;
        let author = who(&procedure, by)?;
        if !never_held(&procedure) {
            return Err(asked("only the steps of a stop or an emergency are ticked all at once"));
        }
        if steps.is_empty() {
            return Err(asked("Nothing is ticked: tick what was done."));
        }
        let mut run = runs::fold(&procedure, &gathered);
        let mut drafts = Vec::new();
        let mut in_order: Vec<&(String, Timestamp)> = steps.iter().collect();
        in_order.sort_by_key(|(_, at)| *at);
        for (step, at) in in_order {
            let at = whole_second(*at);
            let (by, step) = (author.actor.clone(), step.clone());
            let act = Act::Done { at, by, step: step.clone(), looked: true };
            if let Answer::Wrong(wrong) = run.ask(&act, &(), now) {
                return Err(asked(self.wrong(&wrong, Some((&run, &step)), now)?));
            }
            // It was just asked.
            let _ = run.apply(&act);
            let mut draft = step_draft(&act, Some(id), sentence(&procedure, &act), author.clone());
            draft.at = Some(at);
            drafts.push(draft);
        }
        append(&mut book, drafts, true, now)?;
        // Of all that is done by now: a later step with an earlier time.
        let times: Vec<Timestamp> = run.standing.iter().flatten().map(Standing::at).collect();
        Ok(times.is_sorted())
    }

    /// Names whoever did what stands without initials in a run.
    ///
    /// # Errors
    /// No initials, everything has its own, or the record cannot be written.
    pub fn name_run(&self, id: u64, by: &str, now: Timestamp) -> Result<(), DeskError> {
        let author = hand(by)?;
        let mut book = self.book()?;
        let gathered = runs::one(&self.reader(), id)?;
        let (procedure, _) = runs::followed(self.folder(), &self.reader(), &gathered)?;
        let run = runs::fold(&procedure, &gathered);
        let act = Act::Named { at: whole_second(now), by: author.actor.clone() };
        if let Answer::Wrong(wrong) = run.ask(&act, &(), now) {
            return Err(asked(self.wrong(&wrong, Some((&run, "")), now)?));
        }
        let draft = step_draft(&act, Some(id), sentence(&procedure, &act), author);
        append(&mut book, vec![draft], true, now).map(drop)
    }

    /// The act that is meant; none where only readings are written.
    fn act_of(
        &self,
        doing: &Doing<'_>,
        by: &str,
        at: Timestamp,
        run: &Run<'_>,
        teller: &Teller<'_>,
    ) -> Result<Option<Act>, DeskError> {
        let (by, step) = (by.to_owned(), doing.step.to_owned());
        let reason = |reason: &str| {
            let reason = reason.trim();
            match reason.chars().count() {
                0..=LONGEST_REASON => Ok(reason.to_owned()),
                n => Err(asked(format!(
                    "the reason has {n} signs, at most {LONGEST_REASON} are taken"
                ))),
            }
        };
        Ok(Some(match doing.what {
            What::Read => return Ok(None),
            What::Tick { looked } => Act::Done { at, by, step, looked },
            What::Pass { reason: why } => Act::Passed { at, by, step, reason: reason(why)? },
            What::GiveUp { reason: why } => Act::Abandoned { at, by, reason: reason(why)? },
            What::Override { who, reason: why } => {
                let who = Who::from_word(who).ok_or_else(|| asked("say who you are aboard"))?;
                let place = run.procedure.place(&step);
                let unmet = place.map_or_else(Vec::new, |p| run.unmet(p, teller.board, at, false));
                let held: Vec<String> = unmet.iter().map(|u| teller.unmet(u)).collect();
                let (reason, held) = (reason(why)?, held.join(" "));
                Act::Overrode { at, by, who, step, reason, held }
            }
        }))
    }

    /// Readings typed at a step, for the record and for the guard.
    fn readings(
        &self,
        setup: &Setup,
        typed: &[TypedReading],
        at: Timestamp,
    ) -> Result<(Vec<logbook::Value>, Vec<Pending>), StepError> {
        let (mut values, mut pending, mut faults) = (Vec::new(), Vec::new(), Vec::new());
        let here = self.reader().written_at(at)?;
        for (key, text, unit) in typed.iter().filter(|(_, text, _)| !text.trim().is_empty()) {
            match written(&setup.ship, key, text, unit, quantity::Style::Either) {
                Err(refusal) => faults.push((key.clone(), refusal.message)),
                Ok(_) if values.iter().any(|value: &logbook::Value| value.name == *key) => {}
                Ok(w) if here.iter().any(|value| value.name == *key) => {
                    // The same figure for the same second is the same reading sent again.
                    if !here.iter().any(|value| value.name == *key && value.text == w.value.text) {
                        let words = "written for this minute already: correct that on the page Readings, or give another time";
                        faults.push((key.clone(), words.to_owned()));
                    }
                }
                Ok(w) => {
                    let text = match (field::reading(key), w.figure) {
                        (Some(reading), Some(figure)) => shown(reading, figure),
                        _ => text.trim().to_owned(),
                    };
                    pending.push(Pending { key: key.clone(), at, value: w.figure, text });
                    values.push(w.value);
                }
            }
        }
        if faults.is_empty() { Ok((values, pending)) } else { Err(StepError::Typed(faults)) }
    }

    /// Why something cannot be done, with labels and ship's time.
    fn wrong(
        &self,
        wrong: &Wrong,
        run: Option<(&Run<'_>, &str)>,
        now: Timestamp,
    ) -> Result<String, DeskError> {
        let clock = self.clock()?;
        let time = |at| time(&clock, at, now);
        Ok(match wrong {
            Wrong::Stands { step } => {
                let place = run.and_then(|(run, _)| Some((run, run.procedure.place(step)?)));
                match place.and_then(|(run, place)| Some((place, run.standing[place].as_ref()?))) {
                    Some((place, standing)) => {
                        let (at, by) = (time(standing.at()), by_of(standing));
                        format!("Step {} was written down by {by} at {at}: that stands.", place + 1)
                    }
                    None => wrong.to_string(),
                }
            }
            Wrong::Ahead { at, .. } => {
                format!("{} lies ahead: it is {}. Give the true time.", time(*at), time(now))
            }
            Wrong::TooEarly { at, after } => format!(
                "{} lies before the step before it, {}: give the true time.",
                time(*at),
                time(*after)
            ),
            other => {
                let words = other.to_string();
                let mut signs = words.chars();
                let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
                format!("{first}{}.", signs.as_str())
            }
        })
    }
}

fn by_of(standing: &procedure::Standing) -> &str {
    match standing {
        procedure::Standing::Done { by, .. }
        | procedure::Standing::Overridden { by, .. }
        | procedure::Standing::Passed { by, .. } => by,
    }
}

/// What was done, for who reads the log.
fn sentence(procedure: &Procedure, act: &Act) -> String {
    let step = act.step().and_then(|key| Some((key, procedure.place(key)?)));
    let of_step =
        step.map(|(_, place)| format!("step {}, {}", place + 1, procedure.steps[place].what));
    let of_step = of_step.unwrap_or_default();
    let name = &procedure.name;
    match act {
        Act::Began { .. } => format!("{name}: begun"),
        Act::Done { .. } => format!("{name}: {of_step}"),
        Act::Passed { .. } => format!("{name}: passed over {of_step}"),
        Act::Overrode { .. } => format!("{name}: against the guard {of_step}"),
        Act::Named { by, .. } => format!("{name}: what was done without initials was done by {by}"),
        Act::Abandoned { .. } => format!("{name}: given up"),
    }
}

fn step_draft(act: &Act, run: Option<u64>, words: String, author: Author) -> Draft {
    let mut draft = Draft::new(Kind::Step, author);
    draft.details = act.words();
    if let Some(run) = run {
        draft.details.insert(RUN.to_owned(), run.to_string());
    }
    draft.text = Some(words);
    draft
}

/// Writes what belongs together. Nothing stands before a stop or an emergency, so each of theirs is an entry that is taken
/// even when the clock is doubtful, the disk full or the newest entry out of order; a text or a reading that cannot be
/// written then does not keep the step from it.
fn append(
    book: &mut Book,
    drafts: Vec<Draft>,
    urgent: bool,
    now: Timestamp,
) -> Result<Vec<Receipt>, DeskError> {
    if !urgent {
        return book.append_together(drafts.into_iter().map(Ok), now);
    }
    let mut receipts = Vec::new();
    for mut draft in drafts {
        draft.emergency = true;
        let is_step = draft.kind == Kind::Step;
        match book.append(draft, now) {
            Ok(receipt) => receipts.push(receipt),
            Err(e) if is_step => return Err(e.into()),
            Err(_) => {}
        }
    }
    Ok(receipts)
}
