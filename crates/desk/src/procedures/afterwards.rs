//! Steps of a stop or an emergency ticked afterwards with their true times, and what stands without initials named.

use jiff::Timestamp;
use procedure::{Act, Answer};

use crate::desk::{Desk, DeskError, hand};

use super::act::{Afterwards, More, asked, beside_of, who, whole_second};
use super::drafts::{append, step_draft};
use super::seen::{Board, Nothing};
use super::texts::never_held;
use super::told::sentence;
use super::words::Teller;
use super::{judged, runs, shut};

impl Desk {
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
        let before = {
            let reader = self.reader();
            let run = runs::fold(&procedure, &gathered);
            shut::of(run, &gathered, (self.folder(), &setup, &reader), now)?
        };
        let mut run = before.clone();
        let (mut acts, mut drafts) = (Vec::new(), Vec::new());
        let mut in_order: Vec<&Afterwards> = steps.iter().collect();
        in_order.sort_by_key(|one| one.at);
        let first = in_order.first().map_or(now, |one| one.at).min(gathered.began());
        let clock = self.clock()?;
        let all = {
            let reader = self.reader();
            let all = Board::of(&setup, &reader, first, now)?;
            let all = all.of_its_own(&reader, &procedure, &gathered)?;
            all.reaching(&reader, before.second_names())?
        };
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
}
