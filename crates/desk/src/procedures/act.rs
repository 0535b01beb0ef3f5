//! What hands do in a run: read, tick, look again, take back, mend, pass over, go on against a guard, hand over, give
//! up; each an entry of the record, nothing of it ever overwritten.

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Value};
use procedure::{Act, Answer, Beside, Procedure, Run, Standing, UNNAMED, Who, Wrong};

use crate::desk::{Desk, DeskError, hand};
use crate::written::initials;

use super::drafts::{append, step_draft};
use super::judged;
use super::reads::{Doubt, boxes};
use super::runs::{self, RUN, STEP};
use super::seen::Board;
use super::shut;
use super::texts::never_held;
use super::told::sentence;
use super::undone;
use super::words::Teller;

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
    /// What stands of a step and of every step behind it is taken back, at one go.
    TakeBackFrom {
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
pub const MAY: [(&str, &str); 4] = [
    ("watch", "watch-keeper"),
    ("engineer", "engineer in charge"),
    ("chief", "chief engineer"),
    (CHIEF_ACTS, "chief engineer, who does it in person"),
];

/// The word for a chief engineer who acts in person, and signs once.
const CHIEF_ACTS: &str = "chief-acts";

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
    /// Names of readings that are doubtful or typed again, and why they stand all the same.
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
pub(super) fn whole_second(at: Timestamp) -> Timestamp {
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
pub(super) fn who(procedure: &Procedure, step: &str, by: &str) -> Result<Author, DeskError> {
    let held = procedure.place(step).is_some_and(|at| procedure.holds(&procedure.steps[at]));
    match by.trim() {
        "" if never_held(procedure) && !held => Ok(Author::hand(UNNAMED)),
        by => hand(by),
    }
}

pub(super) fn asked(words: impl Into<String>) -> DeskError {
    DeskError::Asked(words.into())
}

/// Whether it leaves a step done or passed over.
fn ticks(what: What<'_>) -> bool {
    matches!(what, What::Tick { .. } | What::Pass { .. } | What::Override { .. })
}

/// Keys of the steps behind one that stand.
fn standing_behind(run: &Run<'_>, step: &str) -> Vec<String> {
    let first = run.procedure.place(step).map_or(usize::MAX, |place| place + 1);
    let steps = run.procedure.steps.iter().zip(&run.standing).skip(first);
    steps.filter(|(_, stands)| stands.is_some()).map(|(step, _)| step.key.clone()).collect()
}

impl Desk {
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
        let run = {
            let reader = self.reader();
            let run = runs::fold(&procedure, &gathered).undone_by(undone::of(
                &reader,
                &runs::lately(&reader)?,
                &procedure,
                &gathered,
                now,
            )?);
            shut::of(run, &gathered, (self.folder(), &setup, &reader), now)?
        };
        let at = whole_second(doing.at.map_or(now, |at| in_minute_of(&run, doing.step, at)));
        if at > now {
            let wrong = Wrong::Ahead { at, now };
            return Err(asked(self.wrong(&wrong, Some((&run, doing.step)), now)?).into());
        }
        if doing.at.is_none() && gathered.late && ticks(doing.what) && !never_held(&procedure) {
            return Err(asked(
                "This run is written down afterwards: give the step its own time, or write “now”.",
            )
            .into());
        }
        if doing.what == What::Read && run.abandoned.is_some() {
            return Err(asked(self.wrong(&Wrong::Ended, Some((&run, "")), now)?).into());
        }
        if let What::Tick { .. } = doing.what
            && let Some(why) = self.no_round_since(&run, doing.step, now)?
        {
            return Err(asked(why).into());
        }
        let urgent = never_held(&procedure);
        // What a guard stands on is asked about in an emergency, too.
        let place = procedure.place(doing.step).map(|place| &procedure.steps[place]);
        let ask = !urgent || place.is_some_and(|step| procedure.holds(step));
        let boxes = boxes(&run, place);
        let read = self.read_at_step(&setup, (&gathered, &boxes), doing, at, !ask)?;
        let mut drafts = Vec::new();
        let (mut mends, values): (Vec<Value>, Vec<Value>) = read
            .values
            .into_iter()
            .partition(|value| read.mends.iter().any(|mend| mend.name == value.name));
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
        let board = {
            let reader = self.reader();
            let board = Board::of(&setup, &reader, gathered.began().min(at), at)?;
            let board = board.of_its_own(&reader, &procedure, &gathered)?;
            let board = board.reaching(&reader, run.second_names())?.with(read.pending);
            board.without(read.not_taken)
        };
        let teller =
            Teller { board: &board, clock: &clock, now, procedure: &procedure, foretold: None };
        let mut mend = |book: &mut Book| -> Result<(), DeskError> {
            let no = procedure.place(doing.step).map_or(0, |place| place + 1);
            for value in std::mem::take(&mut mends) {
                let Some(of) = read.mends.iter().find(|mend| mend.name == value.name) else {
                    continue;
                };
                let again =
                    format!("{}: typed again at step {no} by {}", procedure.name, author.actor);
                let why = match of.why.as_str() {
                    "" => again,
                    why => format!("{why} ({again})"),
                };
                book.correct(of.seq, vec![value], why, author.clone(), now)?;
            }
            Ok(())
        };
        let Some(mut act) = self.act_of(doing, &author.actor, at, &run, &teller)? else {
            if drafts.is_empty() && nothing_mended && !read.stands.is_empty() {
                let stands = read.stands.iter().map(|(what, at, by)| {
                    format!("{what} stands already, of {} by {by}.", teller.time(*at))
                });
                return Err(asked(stands.collect::<Vec<_>>().join(" ")).into());
            }
            if drafts.is_empty() && nothing_mended {
                return Err(asked("Nothing was typed: write a reading, or tick the step.").into());
            }
            mend(&mut book)?;
            append(&mut book, drafts, urgent, now)?;
            return Ok(Outcome::Written { warned: read.doubts });
        };
        judged::anew(&mut act, &run, &board, &teller);
        if matches!(
            doing.what,
            What::Again { .. } | What::TakeBack { .. } | What::TakeBackFrom { .. }
        ) && !urgent
        {
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
                if matches!((&doing.what, &act), (What::Override { .. }, Act::Done { .. })) {
                    warned.push("Nothing holds any more: it is taken as a plain tick.".to_owned());
                }
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
                if let (What::TakeBackFrom { .. }, Act::TakenBack { at, by, reason, .. }) =
                    (&doing.what, &act)
                {
                    for step in standing_behind(&run, doing.step) {
                        let (at, by, reason) = (*at, by.clone(), reason.clone());
                        let back = Act::TakenBack { at, by, step, reason };
                        let words = sentence(&procedure, &back, &teller);
                        let mut draft =
                            step_draft(&back, Some(doing.run), words, author.clone(), &procedure);
                        draft.at = Some(at);
                        drafts.push(draft);
                    }
                }
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
            What::TakeBack { reason: why } | What::TakeBackFrom { reason: why } => {
                Act::TakenBack { at, by, step, reason: reason(why)? }
            }
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
                let (place, beside) = (run.procedure.place(&step), beside()?);
                let shown = (looked, beside.second.as_str());
                let unmet = place.map_or_else(Vec::new, |p| run.found(p, teller.board, at, shown));
                let guarded = place.is_some_and(|p| run.procedure.holds(&run.procedure.steps[p]));
                if guarded && unmet.is_empty() {
                    // Sent before the guard was met: nothing is gone against.
                    return Ok(Some(Act::Done { at, by, step, looked, beside }));
                }
                let acts = who == CHIEF_ACTS;
                let who = if acts { Some(Who::Chief) } else { Who::from_word(who) };
                let who = who.ok_or_else(|| asked("say who you are aboard"))?;
                let mut why = reason(why)?;
                if acts && !why.trim().is_empty() {
                    if !["", by.as_str()].iter().any(|own| own.eq_ignore_ascii_case(chief.trim())) {
                        return Err(asked(
                            "The chief engineer acts in person: the chief’s initials are those of who does it.",
                        ));
                    }
                    why = format!("{why} (chief engineer, in person: {by})");
                } else if who == Who::Chief && !why.trim().is_empty() {
                    let says = |_| {
                        asked(
                            "the chief engineer’s initials are missing: whose word it is stands in the record",
                        )
                    };
                    let chief = named(chief).map_err(says)?;
                    if chief.eq_ignore_ascii_case(&by) {
                        return Err(asked(
                            "The chief engineer’s word is another person’s than who does it: give both initials, or say that the chief engineer does it in person.",
                        ));
                    }
                    why = format!("{why} (chief engineer: {chief})");
                }
                let held: Vec<String> = unmet.iter().map(|u| teller.unmet(u)).collect();
                let (reason, held) = (why, held.join(" "));
                Act::Overrode { at, by, who, step, reason, held, looked, beside }
            }
        }))
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
pub(super) fn beside_of(more: &More<'_>) -> Result<Beside, DeskError> {
    let note = short("what is written down", more.note)?;
    let second = match more.second.trim() {
        "" => String::new(),
        of => initials(of)
            .map(str::to_owned)
            .map_err(|e| asked(format!("Second person: {}", e.message)))?,
    };
    Ok(Beside { note, second, ..Beside::default() })
}
