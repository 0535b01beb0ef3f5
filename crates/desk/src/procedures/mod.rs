//! "Which step next, and is it safe to go on?": procedures of the ship, runs of them in the record, their texts and versions.

mod act;
mod afterwards;
mod begin;
mod compare;
mod drafts;
mod first_round;
mod foretold;
mod hers;
mod interrupted;
mod judged;
mod keep;
mod order;
mod plant;
mod reads;
mod remark;
mod runs;
mod seen;
mod shown;
mod shut;
mod taken;
mod texts;
mod told;
mod under_way;
mod undone;
mod view;
mod weaker;
mod words;

pub use act::{Afterwards, Doing, MAY, More, Outcome, StepError, TypedReading, What};
pub use begin::Meanwhile;
pub use keep::Losing;
pub use plant::ByList;
pub use procedure::Problem;
pub use reads::Doubt;
pub use texts::{GuardName, PROCEDURES_FOLDER, guard_names, is_usual_file};
pub use under_way::{LeftOpen, UnderWay};
pub use view::{
    Compared, ComparedStep, CorrectedView, ForetoldView, Interrupted, ListLine, LookView,
    OrderView, ProcedureView, Procedures, ReadView, RunLine, RunView, Sort, StandingView, Stands,
    StepView, ToRead, WantedView,
};

use jiff::Timestamp;
use procedure::{Nature, Run, Standing, State, Unmet};

use crate::desk::{Desk, DeskError};

pub(crate) use self::plant::{by_lists, switches};
use self::runs::Gathered;
pub(crate) use self::runs::{of_no_round, typed_at_steps};
pub(crate) use self::seen::Panel;
pub(crate) use self::shown::step_view;
pub(crate) use self::texts::{VACUUM as VACUUM_PERCENT, all as all_aboard, one as aboard};
pub(crate) use self::under_way::{Runs, told as runs_told};
pub(crate) use self::words::Teller as GuardTeller;

use self::seen::Board;
use self::shown::{judge_again, reads, standing_view};
use self::texts::Kept;
use self::words::Teller;

/// Runs that are over, on the list.
const MOST_PAST: usize = 30;

impl Sort {
    fn of(nature: Nature) -> Self {
        match nature {
            Nature::Work => Self::Work,
            Nature::Stop => Self::Stop,
            Nature::Emergency => Self::Emergency,
        }
    }

    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Work => "work",
            Self::Stop => "stop",
            Self::Emergency => "emergency",
        }
    }
}

impl Desk {
    /// Every procedure, and the runs of late.
    ///
    /// # Errors
    /// The record or the folder cannot be read.
    pub fn procedures(&self) -> Result<Procedures, DeskError> {
        let (kept, told) = texts::all(self.folder())?;
        let mut lists: Vec<ListLine> = kept.iter().map(list_line).collect();
        let order = |line: &ListLine| match line.sort {
            Sort::Emergency => 0,
            Sort::Work | Sort::Stop => 1,
        };
        lists.sort_by_key(order);
        let mut runs = self.runs_of_late()?;
        runs.reverse();
        let (open, mut past): (Vec<_>, Vec<_>) = runs.into_iter().partition(|r| r.ended.is_none());
        past.truncate(MOST_PAST);
        Ok(Procedures { lists, open, past, told })
    }

    /// One procedure whole.
    ///
    /// # Errors
    /// No such procedure, or the record or its file cannot be read.
    pub fn procedure(&self, key: &str, now: Timestamp) -> Result<ProcedureView, DeskError> {
        let kept = texts::one(self.folder(), key)?;
        let runs = self.runs_of_late()?;
        let remark = self.speaks_against(key, &runs, now)?;
        let excluded = |run: &&RunLine| run.ended.is_none() && begin::against(key, &run.key);
        let meanwhile = match kept.procedure.nature {
            Nature::Work => runs.iter().filter(excluded).cloned().collect(),
            _ => Vec::new(),
        };
        let open = runs.into_iter().rev().find(|run| run.key == kept.key && run.ended.is_none());
        let setup = self.setup();
        let board = Board::of(&setup, &self.reader(), Timestamp::MIN, Timestamp::MIN)?;
        let (clock, foretold) = (self.clock()?, self.foretold(now)?);
        let teller = Teller {
            board: &board,
            clock: &clock,
            now,
            procedure: &kept.procedure,
            foretold: foretold.as_ref().map(|(foretold, _)| foretold),
        };
        let steps = kept.procedure.steps.iter().enumerate();
        let mut hers = hers::steps(&self.reader(), &kept.procedure, now)?;
        let steps = steps.map(|(place, step)| StepView {
            own: hers.remove(&step.key),
            ..step_view(&teller, place, step, None)
        });
        let steps = steps.collect();
        let usual = texts::usual(key).filter(|_| kept.own).map(|usual| &usual.procedure);
        let mut losses =
            usual.map_or_else(Vec::new, |usual| weaker::of(usual, &kept.procedure, &teller));
        losses.extend(
            usual
                .into_iter()
                .flat_map(|usual| weaker::new_steps(Some(usual), &kept.procedure, None)),
        );
        let (otherwise, weaker): (Vec<_>, Vec<_>) =
            losses.into_iter().partition(|loss| loss.is_said());
        let told = |of: Vec<weaker::Loss>| of.into_iter().map(|loss| loss.says).collect();
        let by_word = if kept.own { runs::by_whose_word(&self.reader(), key)? } else { None };
        let refused = match kept.problems.is_empty() {
            true => None,
            false => std::fs::read_to_string(texts::path_of(self.folder(), key)).ok(),
        };
        Ok(ProcedureView {
            line: list_line(&kept),
            cautions: kept.procedure.cautions.clone(),
            source: kept.procedure.source.clone(),
            usual: texts::usual(key).filter(|_| kept.own).map(|usual| usual.text.clone()),
            weaker: told(weaker),
            otherwise: told(otherwise),
            by_word,
            version: kept.version,
            text: kept.text,
            problems: kept.problems,
            refused,
            steps,
            open,
            meanwhile,
            remark,
        })
    }

    /// The runs of late, oldest first.
    pub(super) fn runs_of_late(&self) -> Result<Vec<RunLine>, DeskError> {
        let reader = self.reader();
        let corrected = runs::corrected(&reader)?;
        let (setup, clock) = (self.setup(), reader.ship_clock()?);
        let mut lines = Vec::new();
        let lately = runs::lately(&reader)?;
        for gathered in &lately {
            // A run whose text is nowhere any more is still in the record, and no line of the list.
            let Ok((procedure, _)) = runs::followed(self.folder(), &reader, gathered) else {
                continue;
            };
            let newest = gathered.newest();
            let undone = undone::of(&reader, &lately, &procedure, gathered, Timestamp::MAX)?;
            let run = runs::fold(&procedure, gathered).undone_by(undone);
            let mut line = run_line(&run, gathered);
            line.undone = undone::told(&reader, &run, newest)?;
            let first = taken::first_moment(&run, gathered.began());
            // Few runs have a figure of their time put right.
            if corrected.iter().any(|at| *at <= newest && *at >= seen::reaches_back(first)) {
                let board = Board::of(&setup, &reader, first, newest)?;
                let board = board.of_its_own(&reader, &procedure, gathered)?;
                let teller = Teller {
                    board: &board,
                    clock: &clock,
                    now: newest,
                    procedure: &procedure,
                    foretold: None,
                };
                let places = 0..procedure.steps.len();
                let again =
                    |place| !judged::corrected(&board, &run, gathered, place, &teller).is_empty();
                line.stand_out += places.filter(|place| again(*place)).count();
            }
            lines.push(line);
        }
        Ok(lines)
    }

    /// One run whole, as it stands now.
    ///
    /// # Errors
    /// No such run, or the record cannot be read.
    pub fn run_view(&self, id: u64, now: Timestamp) -> Result<RunView, DeskError> {
        self.run_view_by(id, None, now)
    }

    /// One run whole, the step under way asked by the record of a time that was typed for it.
    ///
    /// # Errors
    /// As [`Desk::run_view`].
    pub fn run_view_by(
        &self,
        id: u64,
        typed: Option<Timestamp>,
        now: Timestamp,
    ) -> Result<RunView, DeskError> {
        let reader = self.reader();
        let gathered = runs::one(&reader, id)?;
        let (procedure, found) = runs::followed(self.folder(), &reader, &gathered)?;
        let run = runs::fold(&procedure, &gathered).undone_by(undone::of(
            &reader,
            &runs::lately(&reader)?,
            &procedure,
            &gathered,
            now,
        )?);
        let setup = self.setup();
        let run = shut::of(run, &gathered, (self.folder(), &setup, &reader), now)?;
        let first = taken::first_moment(&run, gathered.began());
        // Of a run that is over, what was read in its time counts, however long ago that was.
        let over = run.abandoned.is_some() || run.standing.iter().all(Option::is_some);
        let board_until = if over { gathered.newest().min(now) } else { now };
        let board = Board::of(&setup, &reader, first, board_until)?;
        let board = board.of_its_own(&reader, &procedure, &gathered)?;
        let board = board.reaching(&reader, run.second_names())?;
        let clock = reader.ship_clock()?;
        let mut hers = hers::steps(&reader, &procedure, now)?;
        drop(reader);
        let foretold = self.foretold(now)?;
        let teller = Teller {
            board: &board,
            clock: &clock,
            now,
            procedure: &procedure,
            foretold: foretold.as_ref().map(|(foretold, _)| foretold),
        };
        // What the step under way is asked by: of a run entered afterwards the record of its own time, not of now.
        let own_time = taken::own_time(&board, &run, &gathered, typed, now);
        let (then, seen) = own_time.map_or((now, None), |then| (then, Some(board.until(then))));
        let seen = seen.as_ref().unwrap_or(&board);
        let asks = Teller { board: seen, clock: &clock, now: then, ..teller };
        let told = |why: &[Unmet]| why.iter().map(|unmet| asks.unmet(unmet)).collect();
        let (stands, unmet) = match run.state(seen, then) {
            State::AtStep { step: place, warned } => {
                (Stands::At { place, warned: told(&warned) }, warned)
            }
            State::Held { step: place, mut why } => {
                // What is out binds more than what is only not read yet.
                why.sort_by_key(Unmet::rank);
                let to_read = why.iter().all(Unmet::only_asks);
                let briefly = match why.first() {
                    _ if to_read => asks.asks(&why),
                    Some(unmet) => asks.briefly(unmet),
                    None => String::new(),
                };
                (Stands::Held { place, why: told(&why), briefly, to_read }, why)
            }
            State::Abandoned { at, by, reason } => (Stands::GivenUp { at, by, reason }, Vec::new()),
            State::Done { at } => (Stands::Done { at }, Vec::new()),
            State::NotStarted => {
                return Err(DeskError::Asked(format!(
                    "no run of a procedure begins with entry {id}"
                )));
            }
        };
        let mut stands = stands;
        if let Stands::At { place, warned } = &mut stands {
            let step = &procedure.steps[*place].key;
            warned.extend(self.no_round_since(&run, step, now)?);
        }
        let place = match stands {
            Stands::At { place, .. } | Stands::Held { place, .. } => Some(place),
            _ => None,
        };
        let held_now = match place.filter(|_| own_time.is_some() && typed.is_none()) {
            Some(at) if procedure.holds(&procedure.steps[at]) => {
                // What only has to be read or looked at is asked for with the boxes.
                let why = run.unmet(at, &board, now, true);
                why.iter().filter(|why| !why.only_asks()).map(|why| teller.unmet(why)).collect()
            }
            _ => Vec::new(),
        };
        let steps = procedure.steps.iter().enumerate().map(|(i, step)| {
            let under_way = (place == Some(i)).then_some((&run, i));
            let by = if under_way.is_some() { &asks } else { &teller };
            let mut view = step_view(by, i, step, under_way);
            let told = &run.told[i];
            view.own = hers.remove(&step.key);
            if under_way.is_some() {
                view.overridden_by = run.overridden_by(i, &unmet).aboard();
                view.holds |= matches!(stands, Stands::Held { .. });
            }
            view.standing = run.standing[i].as_ref().map(|standing| standing_view(standing, told));
            let until = if under_way.is_some() { then.min(board_until) } else { board_until };
            if let Some(foretold) = view.foretold.as_mut().filter(|_| own_time.is_some()) {
                // Of what is written down afterwards nothing is late.
                foretold.late = None;
            }
            view.readings = taken::at_step(&board, &run, &gathered, i, until);
            if let Some(standing) = &mut view.standing {
                judge_again(standing, judged::corrected(&board, &run, &gathered, i, &teller));
            }
            view.changes =
                told.changes.iter().map(|change| judged::changed(change, &teller)).collect();
            if view.standing.as_ref().is_some_and(|standing| standing.stands_out) {
                view.reads = reads(&teller, (step, &[]), None);
            }
            view
        });
        let steps: Vec<StepView> = steps.collect();
        let order = order::sentences(&run, &run.out_of_order(), &teller);
        let handed = run.handed.iter();
        let handed = handed.map(|over| (over.at, over.by.clone(), over.to.clone())).collect();
        let wait_until = unmet.iter().find_map(|unmet| match unmet {
            // Of a run written down afterwards it may have passed.
            Unmet::Wait { until } if *until > now => Some(*until),
            _ => None,
        });
        let not_yet = unmet.iter().any(Unmet::comes_before);
        let shut_by = unmet.iter().filter_map(|unmet| match unmet {
            Unmet::Shut { run, list, until: None, .. } => Some((*run, list.clone())),
            _ => None,
        });
        let shut_by = shut_by.collect();
        let mut line = run_line(&run, &gathered);
        line.undone = undone::told(&self.reader(), &run, now)?;
        line.stand_out =
            steps.iter().filter_map(|step| step.standing.as_ref()).filter(|s| s.stands_out).count();
        let mut others = self.runs_of_late()?;
        others.retain(|other| other.id != id);
        let remark = match line.done {
            0 if line.ended.is_none() => self.speaks_against(&line.key, &others, now)?,
            _ => None,
        };
        let beside = procedure.nature != Nature::Work;
        let excluded = |other: &RunLine| begin::against(&line.key, &other.key);
        others.retain(|other| {
            other.ended.is_none() && (beside && other.sort == Sort::Work || excluded(other))
        });
        let today = texts::one(self.folder(), &gathered.key);
        Ok(RunView {
            line,
            handed,
            order,
            remark,
            cautions: procedure.cautions.clone(),
            source: procedure.source.clone(),
            wait_until,
            since: place.and_then(|place| run.since(place)).or(Some(gathered.began())),
            left_min: run.left_min(),
            way_out: run.way_out().map(str::to_owned),
            text_changed: found && today.is_ok_and(|kept| kept.version != gathered.version),
            text_lost: !found,
            strange: run.strange.len(),
            unnamed: run.without_name(),
            own_time,
            held_now,
            stands,
            steps,
            others,
            not_yet,
            shut_by,
        })
    }
}

fn list_line(kept: &Kept) -> ListLine {
    let procedure = &kept.procedure;
    ListLine {
        key: kept.key.clone(),
        name: procedure.name.clone(),
        about: procedure.about.clone(),
        sort: Sort::of(procedure.nature),
        steps: procedure.steps.len(),
        takes_min: procedure.takes_min(),
        own: kept.own,
        problems: kept.problems.len(),
    }
}

fn run_line(run: &Run<'_>, gathered: &Gathered) -> RunLine {
    let (began, by) = run
        .began
        .as_ref()
        .map_or((gathered.began(), String::new()), |(at, by, _)| (*at, by.clone()));
    let last = run.standing.iter().flatten().map(Standing::at).max();
    let over = run.standing.iter().all(Option::is_some);
    let given_up = run.abandoned.as_ref();
    let moved = order::moved(run);
    let next = run.standing.iter().position(Option::is_none).unwrap_or(run.standing.len());
    RunLine {
        id: gathered.id,
        key: gathered.key.clone(),
        name: run.procedure.name.clone(),
        sort: Sort::of(run.procedure.nature),
        began,
        by,
        ended: given_up.map(|(at, ..)| *at).or(last.filter(|_| over)),
        given_up: given_up.map(|(_, _, reason)| reason.clone()),
        led_by: run.led_by().unwrap_or_default().to_owned(),
        stand_out: run.told.iter().filter(|told| told.stands_out()).count(),
        undone: None,
        against: run.standing.iter().flatten().filter(|s| overridden(s)).count(),
        out_of_order: moved.len(),
        order_named: order::named(run, &moved),
        passed: run.standing.iter().flatten().filter(|standing| !standing.is_done()).count(),
        done: run.standing.iter().flatten().count(),
        next: next + 1,
        next_what: order::first_words(run.procedure, next).to_owned(),
        steps: run.standing.len(),
        version: gathered.version.clone(),
    }
}

fn overridden(standing: &Standing) -> bool {
    matches!(standing, Standing::Overridden { .. })
}
