//! What hands do in a run: begin, read, tick, look again, take back, mend, pass over, go on against a guard, hand over, give
//! up; each an entry of the record, nothing of it ever overwritten.

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Kind, Receipt, Value};
use procedure::{Act, Answer, Beside, Procedure, Run, Standing, UNNAMED, Who, Wrong};

use crate::desk::{Desk, DeskError, hand};
use crate::written::initials;

use super::judged;
use super::reads::Doubt;
use super::runs::{self, RUN, STEP, setting_of};
use super::seen::{Board, Nothing};
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
        /// Initials of the chief engineer, where it is by the chief's word.
        chief: &'a str,
        /// Why.
        reason: &'a str,
        /// What must be looked at was seen.
        looked: bool,
    },
    /// A step that stands is looked at again.
    Again {
        /// What must be looked at was seen.
        looked: bool,
    },
    /// What stands of a step is taken back.
    TakeBack {
        /// Why.
        reason: &'a str,
    },
    /// Time or initials of a step are mended.
    Mend {
        /// Its true time; as it stands where it is left out.
        time: Option<Timestamp>,
        /// Initials of who did it; as they stand where they are empty.
        hand: &'a str,
        /// Why.
        reason: &'a str,
    },
    /// Times that do not follow the list are true.
    SoItWas,
    /// The run is led by somebody else from now on.
    HandOver {
        /// Initials of who leads it then.
        to: &'a str,
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
    /// What is written beside it.
    pub more: More<'a>,
    /// The form's own mark, so that a repeated submission is one entry.
    pub token: &'a str,
}

/// What is written beside a tick or a look.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct More<'a> {
    /// What the step asks to write down.
    pub note: &'a str,
    /// Initials of the second person who looked.
    pub second: &'a str,
    /// Names of readings that are doubtful, and why they stand all the same.
    pub kept: &'a [(String, String)],
}

/// A step of a stop or an emergency ticked afterwards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Afterwards {
    /// The step's key.
    pub step: String,
    /// When it was so.
    pub at: Timestamp,
    /// What the step asks to write down; may be empty.
    pub note: String,
    /// Initials of the second person who looked; may be empty.
    pub second: String,
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
    /// Readings that are asked about: read them again, or say why they stand.
    Doubtful(Vec<Doubt>),
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

/// Who does it: by initials, or unnamed where nothing may stand before it (a stop, an emergency, but for its way back to a
/// tank).
fn who(procedure: &Procedure, step: &str, by: &str) -> Result<Author, DeskError> {
    let held = procedure.place(step).is_some_and(|at| procedure.holds(&procedure.steps[at]));
    match by.trim() {
        "" if never_held(procedure) && !held => Ok(Author::hand(UNNAMED)),
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
        let author = match doing.what {
            // Readings alone are no tick.
            What::Read => who(&procedure, "", doing.by)?,
            _ => who(&procedure, doing.step, doing.by)?,
        };
        let run = runs::fold(&procedure, &gathered);
        let at = whole_second(doing.at.map_or(now, |at| in_minute_of(&run, doing.step, at)));
        if at > now {
            let wrong = Wrong::Ahead { at, now };
            return Err(asked(self.wrong(&wrong, Some((&run, doing.step)), now)?).into());
        }
        let urgent = never_held(&procedure);
        // What a guard stands on is asked about in an emergency, too.
        let place = procedure.place(doing.step).map(|place| &procedure.steps[place]);
        let ask = !urgent || place.is_some_and(|step| procedure.holds(step));
        let read = self.read_at_step(&setup, (&procedure, &gathered), doing, at, !ask)?;
        let mut drafts = Vec::new();
        let (mut mends, values): (Vec<Value>, Vec<Value>) = read
            .values
            .into_iter()
            .partition(|value| read.mends.iter().any(|(name, _)| *name == value.name));
        if !values.is_empty() {
            let mut reading = Draft::reading(at, author.clone(), values);
            reading.details.insert(RUN.to_owned(), doing.run.to_string());
            reading.details.insert(STEP.to_owned(), doing.step.to_owned());
            if !doing.token.is_empty() {
                reading = reading.token(format!("{}-r", doing.token));
            }
            drafts.push(reading);
        }
        let nothing_mended = mends.is_empty();
        let clock = self.clock()?;
        // What is known at the step's own time, and no more.
        let board =
            Board::of(&setup, &self.reader(), gathered.began().min(at), at)?.with(read.pending);
        let teller =
            Teller { board: &board, clock: &clock, now, procedure: &procedure, foretold: None };
        let mut mend = |book: &mut Book| -> Result<(), DeskError> {
            let no = procedure.place(doing.step).map_or(0, |place| place + 1);
            for value in std::mem::take(&mut mends) {
                let Some((_, seq)) = read.mends.iter().find(|(name, _)| *name == value.name) else {
                    continue;
                };
                let why =
                    format!("{}: typed again at step {no} by {}", procedure.name, author.actor);
                book.correct(*seq, vec![value], why, author.clone(), now)?;
            }
            Ok(())
        };
        let Some(mut act) = self.act_of(doing, &author.actor, at, &run, &teller)? else {
            if drafts.is_empty() && nothing_mended {
                return Err(asked("Nothing was typed: write a reading, or tick the step.").into());
            }
            mend(&mut book)?;
            append(&mut book, drafts, urgent, now)?;
            return Ok(Outcome::Written { warned: read.doubts });
        };
        judged::anew(&mut act, &run, &board, &teller);
        if matches!(doing.what, What::Again { .. } | What::TakeBack { .. }) && !urgent {
            self.may_open_again(&run, &gathered, &act, now)?;
        }
        let told = |unmet: &Vec<procedure::Unmet>| unmet.iter().map(|u| teller.unmet(u)).collect();
        match run.ask(&act, &board, now) {
            Answer::Wrong(wrong) => {
                Err(asked(self.wrong(&wrong, Some((&run, doing.step)), now)?).into())
            }
            Answer::Held(held) => {
                // What was read was read, whether it lets go on or not.
                mend(&mut book)?;
                append(&mut book, drafts, urgent, now)?;
                let overridden_by = held.overridden_by.aboard();
                Ok(Outcome::Held { why: told(&held.why), overridden_by })
            }
            Answer::Go { warned } => {
                let mut warned: Vec<String> = told(&warned);
                warned.extend(read.doubts);
                warned.extend(judged::beside(&mut act, &run, &teller));
                let mut after = run.clone();
                // It was just asked.
                let _ = after.apply(&act);
                warned.extend(judged::newly_out_of_order(&run, &after, &teller));
                judged::keep_order(&mut act, &run, &after, &teller);
                let mut draft = step_draft(
                    &act,
                    Some(doing.run),
                    sentence(&procedure, &act, &teller),
                    author.clone(),
                    &procedure,
                );
                draft.at = Some(act.at());
                if !doing.token.is_empty() {
                    draft = draft.token(doing.token);
                }
                drafts.push(draft);
                match mend(&mut book) {
                    // Nothing keeps a stop or an emergency from being written.
                    Err(e) if !urgent => return Err(e.into()),
                    _ => {}
                }
                append(&mut book, drafts, urgent, now)?;
                Ok(Outcome::Written { warned })
            }
        }
    }

    /// A run that is over and would be open again must not stand beside one that may not be open with it.
    fn may_open_again(
        &self,
        run: &Run<'_>,
        gathered: &runs::Gathered,
        act: &Act,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let over = run.standing.iter().all(Option::is_some) && run.abandoned.is_none();
        match act {
            Act::TakenBack { .. } if over && gathered.id > 0 => self.may_begin(run.procedure, now),
            _ => Ok(()),
        }
    }

    /// Ticks several steps of a stop or an emergency afterwards, each with its true time, and that what must be looked at
    /// was seen; what of it is not as it should be.
    ///
    /// # Errors
    /// A run whose steps are held one by one, nothing ticked, a step that is held, or as [`Desk::do_step`]; nothing is
    /// written then.
    pub fn do_afterwards(
        &self,
        id: u64,
        by: &str,
        steps: &[Afterwards],
        now: Timestamp,
    ) -> Result<Vec<String>, DeskError> {
        let setup = self.setup();
        let mut book = self.book()?;
        let gathered = runs::one(&self.reader(), id)?;
        let (procedure, _) = runs::followed(self.folder(), &self.reader(), &gathered)?;
        let held = steps.iter().find(|one| {
            procedure.place(&one.step).is_some_and(|at| procedure.holds(&procedure.steps[at]))
        });
        let author = who(&procedure, held.map_or("", |one| one.step.as_str()), by)?;
        if !never_held(&procedure) {
            return Err(asked("only the steps of a stop or an emergency are ticked all at once"));
        }
        if steps.is_empty() {
            return Err(asked("Nothing is ticked: tick what was done."));
        }
        let before = runs::fold(&procedure, &gathered);
        let mut run = before.clone();
        let (mut acts, mut drafts) = (Vec::new(), Vec::new());
        let mut in_order: Vec<&Afterwards> = steps.iter().collect();
        in_order.sort_by_key(|one| one.at);
        let first = in_order.first().map_or(now, |one| one.at).min(gathered.began());
        let clock = self.clock()?;
        let all = Board::of(&setup, &self.reader(), first, now)?;
        let mut told = Vec::new();
        for one in in_order {
            let at = whole_second(one.at);
            // Each step has the record of its own time beside it.
            let board = all.until(at);
            let teller =
                Teller { board: &board, clock: &clock, now, procedure: &procedure, foretold: None };
            let (by, step) = (author.actor.clone(), one.step.clone());
            let beside_it = beside_of(&More { note: &one.note, second: &one.second, kept: &[] })?;
            let mut act = Act::Done { at, by, step: step.clone(), looked: true, beside: beside_it };
            match run.ask(&act, &board, now) {
                Answer::Wrong(wrong) => {
                    return Err(asked(self.wrong(&wrong, Some((&run, &step)), now)?));
                }
                Answer::Held(held) => {
                    let why: Vec<String> = held.why.iter().map(|why| teller.unmet(why)).collect();
                    let no = procedure.place(&step).map_or(0, |place| place + 1);
                    return Err(asked(format!(
                        "Step {no} leads back to a tank and is held: {} Nothing is written down: leave it open and send the others.",
                        why.join(" ")
                    )));
                }
                Answer::Go { .. } => {}
            }
            told.extend(judged::beside(&mut act, &run, &teller));
            if let Act::Done { beside, .. } = &act
                && !beside.unmet.is_empty()
            {
                told.push(beside.unmet.clone());
            }
            // It was just asked.
            let _ = run.apply(&act);
            acts.push(act);
        }
        let teller =
            Teller { board: &all, clock: &clock, now, procedure: &procedure, foretold: None };
        told.extend(judged::newly_out_of_order(&before, &run, &teller));
        for mut act in acts {
            judged::keep_order(&mut act, &before, &run, &teller);
            let words = sentence(&procedure, &act, &teller);
            let mut draft = step_draft(&act, Some(id), words, author.clone(), &procedure);
            draft.at = Some(act.at());
            drafts.push(draft);
        }
        append(&mut book, drafts, true, now)?;
        Ok(told)
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
        let clock = self.clock()?;
        let teller =
            Teller { board: &Nothing, clock: &clock, now, procedure: &procedure, foretold: None };
        let act = Act::Named { at: whole_second(now), by: author.actor.clone() };
        if let Answer::Wrong(wrong) = run.ask(&act, &(), now) {
            return Err(asked(self.wrong(&wrong, Some((&run, "")), now)?));
        }
        let draft =
            step_draft(&act, Some(id), sentence(&procedure, &act, &teller), author, &procedure);
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
        let reason = |text: &str| short("the reason", text);
        let beside = || beside_of(&doing.more);
        let named =
            |text: &str| initials(text).map(str::to_owned).map_err(|e| asked(e.to_string()));
        Ok(Some(match doing.what {
            What::Read => return Ok(None),
            What::Tick { looked } => Act::Done { at, by, step, looked, beside: beside()? },
            What::Again { looked } => Act::Looked { at, by, step, looked, beside: beside()? },
            What::TakeBack { reason: why } => Act::TakenBack { at, by, step, reason: reason(why)? },
            What::Mend { time, hand, reason: why } => {
                let stands = run.procedure.place(&step).and_then(|p| run.standing[p].as_ref());
                let time = time.map(|at| in_minute_of(run, &step, at)).or(stands.map(Standing::at));
                let hand = match (hand.trim(), stands) {
                    ("", Some(standing)) => standing.by().to_owned(),
                    (hand, _) => named(hand)?,
                };
                let time = whole_second(time.unwrap_or(at));
                Act::Mended { at, by, step, time, hand, reason: reason(why)?, anew: None }
            }
            What::SoItWas => Act::SoItWas { at, by },
            What::HandOver { to } => Act::HandedOver { at, by, to: named(to)? },
            What::Pass { reason: why } => Act::Passed { at, by, step, reason: reason(why)? },
            What::GiveUp { reason: why } => Act::Abandoned { at, by, reason: reason(why)? },
            What::Override { who, chief, reason: why, looked } => {
                let who = Who::from_word(who).ok_or_else(|| asked("say who you are aboard"))?;
                let mut why = reason(why)?;
                if who == Who::Chief && !why.trim().is_empty() {
                    let says = |_| {
                        asked(
                            "the chief engineer’s initials are missing: whose word it is stands in the record",
                        )
                    };
                    let chief = named(chief).map_err(says)?;
                    why = format!("{why} (chief engineer: {chief})");
                }
                let (place, beside) = (run.procedure.place(&step), beside()?);
                let shown = (looked, beside.second.as_str());
                let unmet = place.map_or_else(Vec::new, |p| run.found(p, teller.board, at, shown));
                let held: Vec<String> = unmet.iter().map(|u| teller.unmet(u)).collect();
                let (reason, held) = (why, held.join(" "));
                Act::Overrode { at, by, who, step, reason, held, looked, beside }
            }
        }))
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
                        let (at, by) = (time(standing.at()), standing.by());
                        format!("Step {} was written down by {by} at {at}: that stands.", place + 1)
                    }
                    None => wrong.to_string(),
                }
            }
            Wrong::Ahead { at, .. } => {
                format!("{} lies ahead: it is {}. Give the true time.", time(*at), time(now))
            }
            Wrong::TooEarly { at, after } => {
                let began = run.is_some_and(|(run, step)| {
                    let place = run.procedure.place(step);
                    place.is_some_and(|place| {
                        run.standing[place].is_none() && run.since(place).is_none()
                    })
                });
                let (at, after) = (time(*at), time(*after));
                if began {
                    format!(
                        "{at} lies before the beginning of this run, {after}: tick it at that time or later. A reading taken before it is written with its own time by “Write readings only”, or on the page Readings; it counts too."
                    )
                } else {
                    format!(
                        "{at} lies before what was done before it, {after}: give the true time."
                    )
                }
            }
            Wrong::NotDone { step } => match run.and_then(|(run, _)| run.procedure.place(step)) {
                Some(place) => format!("Step {} is not done.", place + 1),
                None => wrong.to_string(),
            },
            other => {
                let words = other.to_string();
                let mut signs = words.chars();
                let first = signs.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
                format!("{first}{}.", signs.as_str())
            }
        })
    }
}

/// A text that is kept with a step.
fn short(what: &str, text: &str) -> Result<String, DeskError> {
    let text = text.trim();
    match text.chars().count() {
        0..=LONGEST_REASON => Ok(text.to_owned()),
        n => Err(asked(format!("{what} has {n} signs, at most {LONGEST_REASON} are taken"))),
    }
}

/// What was typed beside a tick or a look.
fn beside_of(more: &More<'_>) -> Result<Beside, DeskError> {
    let note = short("what is written down", more.note)?;
    let second = match more.second.trim() {
        "" => String::new(),
        of => initials(of)
            .map(str::to_owned)
            .map_err(|e| asked(format!("Second person: {}", e.message)))?,
    };
    Ok(Beside { note, second, ..Beside::default() })
}

/// What was done, for who reads the log.
fn sentence(procedure: &Procedure, act: &Act, teller: &Teller<'_>) -> String {
    let step = act.step().and_then(|key| Some((key, procedure.place(key)?)));
    let of_step =
        step.map(|(_, place)| format!("step {}, {}", place + 1, procedure.steps[place].what));
    let of_step = of_step.unwrap_or_default();
    let name = &procedure.name;
    let also = |beside: &Beside| {
        let mut also = String::new();
        for (word, text) in
            [("Not as wanted: ", &beside.unmet), ("", &beside.remark), ("Written: ", &beside.note)]
        {
            if !text.is_empty() {
                also = format!("{also} {word}{text}");
            }
        }
        if !beside.second.is_empty() {
            also = format!("{also} Second person: {}", beside.second);
        }
        also
    };
    match act {
        Act::Began { .. } => format!("{name}: begun"),
        Act::Done { beside, .. } => format!("{name}: {of_step}{}", also(beside)),
        Act::Looked { beside, .. } if beside.unmet.is_empty() => {
            format!("{name}: looked at again, now as wanted: {of_step}{}", also(beside))
        }
        Act::Looked { beside, .. } => format!("{name}: looked at again: {of_step}{}", also(beside)),
        Act::TakenBack { .. } => format!("{name}: taken back {of_step}"),
        Act::Mended { time, hand, anew, .. } => {
            let anew = anew.as_ref().map(&also).unwrap_or_default();
            format!("{name}: mended, done at {} by {hand}: {of_step}{anew}", teller.time(*time))
        }
        Act::SoItWas { by, .. } => {
            format!("{name}: the times do not follow the list, and so it was, says {by}")
        }
        Act::HandedOver { by, to, .. } if by.eq_ignore_ascii_case(to) => {
            format!("{name}: taken over by {to}")
        }
        Act::HandedOver { by, to, .. } => format!("{name}: handed over to {to} by {by}"),
        Act::Passed { .. } => format!("{name}: passed over {of_step}"),
        Act::Overrode { .. } => format!("{name}: against the guard {of_step}"),
        Act::Named { by, .. } => format!("{name}: what was done without initials was done by {by}"),
        Act::Abandoned { .. } => format!("{name}: given up"),
    }
}

fn step_draft(
    act: &Act,
    run: Option<u64>,
    words: String,
    author: Author,
    procedure: &Procedure,
) -> Draft {
    let mut draft = Draft::new(Kind::Step, author);
    draft.details = act.words();
    // Where nothing is to be looked at, nothing is said of it.
    let step = act.step().and_then(|key| procedure.place(key)).map(|p| &procedure.steps[p]);
    if step.is_some_and(|step| step.look.is_empty()) {
        draft.details.remove("looked");
    }
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
