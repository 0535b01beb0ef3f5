//! "Which step next, and is it safe to go on?": procedures of the ship, runs of them in the record, their texts and versions.

mod act;
mod foretold;
mod runs;
mod seen;
mod texts;
mod view;
mod words;

pub use act::{Doing, MAY, Outcome, StepError, TypedReading, What};
pub use procedure::Problem;
pub use texts::PROCEDURES_FOLDER;
pub use view::{
    Compared, ComparedStep, ForetoldView, ListLine, ProcedureView, Procedures, RunLine, RunView,
    Sort, StandingView, Stands, StepView, ToRead, WantedView,
};

use jiff::Timestamp;
use logbook::Draft;
use procedure::{Condition, Nature, Run, Standing, State, Step, Towards, Unmet};

use crate::desk::{Desk, DeskError, hand, staged};
use crate::field::{self, Role};
use crate::typed::digits;

use self::runs::Gathered;
pub(crate) use self::seen::Panel;
pub(crate) use self::texts::{VACUUM as VACUUM_PERCENT, all as all_aboard, one as aboard};
pub(crate) use self::words::Teller as GuardTeller;

use self::seen::Board;
use self::texts::{Kept, VACUUM};
use self::words::Teller;

/// Runs that are over, on the list.
const MOST_PAST: usize = 30;
/// Runs compared side by side.
const COMPARED: usize = 5;

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
        let mut runs = self.runs_of_late()?.into_iter().rev();
        let open = runs.find(|run| run.key == kept.key && run.ended.is_none());
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
        let steps = steps.map(|(place, step)| step_view(&teller, place, step, None)).collect();
        let refused = match kept.problems.is_empty() {
            true => None,
            false => std::fs::read_to_string(texts::path_of(self.folder(), key)).ok(),
        };
        Ok(ProcedureView {
            line: list_line(&kept),
            cautions: kept.procedure.cautions.clone(),
            source: kept.procedure.source.clone(),
            usual: texts::usual(key).filter(|_| kept.own).map(|usual| usual.text.clone()),
            version: kept.version,
            text: kept.text,
            problems: kept.problems,
            refused,
            steps,
            open,
        })
    }

    /// Looks a text through; nothing is kept.
    ///
    /// # Errors
    /// Every problem with its line.
    pub fn procedure_problems(&self, key: &str, text: &str) -> Vec<Problem> {
        texts::read(key, text).err().unwrap_or_default()
    }

    /// Keeps the ship's own text of a procedure: checked whole, old and new into the record, the file put in place at once.
    ///
    /// # Errors
    /// Its problems, no initials, or why it cannot be written; nothing is changed then.
    pub fn save_procedure(
        &self,
        key: &str,
        text: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
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
        let old = texts::one(self.folder(), key).ok().map(|kept| kept.text);
        if old.as_deref() == Some(text) {
            return Ok(());
        }
        let draft = Draft::setting(author, runs::setting_of(key), old, text)
            .detail("version", texts::version_of(text));
        let path = texts::path_of(self.folder(), key);
        let file = |source| DeskError::File { path: path.clone(), source };
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(file)?;
        }
        // What can fail for want of room comes first, the renaming last: file and record change together or not at all.
        let staged = staged(&path, text).map_err(file)?;
        if let Err(e) = book.append(draft, now) {
            let _ = std::fs::remove_file(&staged);
            return Err(e.into());
        }
        std::fs::rename(&staged, &path).map_err(file)
    }

    /// The runs of late, oldest first.
    pub(super) fn runs_of_late(&self) -> Result<Vec<RunLine>, DeskError> {
        let reader = self.reader();
        let mut lines = Vec::new();
        for gathered in runs::lately(&reader)? {
            // A run whose text is nowhere any more is still in the record, and no line of the list.
            if let Ok((procedure, _)) = runs::followed(self.folder(), &reader, &gathered) {
                lines.push(run_line(&runs::fold(&procedure, &gathered), &gathered));
            }
        }
        Ok(lines)
    }

    /// One run whole, as it stands now.
    ///
    /// # Errors
    /// No such run, or the record cannot be read.
    pub fn run_view(&self, id: u64, now: Timestamp) -> Result<RunView, DeskError> {
        let reader = self.reader();
        let gathered = runs::one(&reader, id)?;
        let (procedure, found) = runs::followed(self.folder(), &reader, &gathered)?;
        let run = runs::fold(&procedure, &gathered);
        let setup = self.setup();
        let board = Board::of(&setup, &reader, gathered.began(), now)?;
        let clock = reader.ship_clock()?;
        drop(reader);
        let foretold = self.foretold(now)?;
        let teller = Teller {
            board: &board,
            clock: &clock,
            now,
            procedure: &procedure,
            foretold: foretold.as_ref().map(|(foretold, _)| foretold),
        };
        let told = |why: &[Unmet]| why.iter().map(|unmet| teller.unmet(unmet)).collect();
        let (stands, unmet) = match run.state(&board, now) {
            State::AtStep { step: place, warned } => {
                (Stands::At { place, warned: told(&warned) }, warned)
            }
            State::Held { step: place, why } => {
                let briefly = why.first().map_or_else(String::new, |unmet| teller.briefly(unmet));
                (Stands::Held { place, why: told(&why), briefly }, why)
            }
            State::Abandoned { at, by, reason } => (Stands::GivenUp { at, by, reason }, Vec::new()),
            State::Done { at } => (Stands::Done { at }, Vec::new()),
            State::NotStarted => {
                return Err(DeskError::Asked(format!(
                    "no run of a procedure begins with entry {id}"
                )));
            }
        };
        let place = match stands {
            Stands::At { place, .. } | Stands::Held { place, .. } => Some(place),
            _ => None,
        };
        let steps = procedure.steps.iter().enumerate().map(|(i, step)| {
            let under_way = (place == Some(i)).then_some((&run, i));
            let mut view = step_view(&teller, i, step, under_way);
            view.standing = run.standing[i].as_ref().map(standing_view);
            view
        });
        let steps = steps.collect();
        let wait_until = unmet.iter().find_map(|unmet| match unmet {
            Unmet::Wait { until } => Some(*until),
            _ => None,
        });
        let others = match procedure.nature {
            Nature::Work => Vec::new(),
            _ => self
                .runs_of_late()?
                .into_iter()
                .filter(|other| other.id != id && other.ended.is_none() && other.sort == Sort::Work)
                .collect(),
        };
        let today = texts::one(self.folder(), &gathered.key);
        Ok(RunView {
            line: run_line(&run, &gathered),
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
            stands,
            steps,
            others,
        })
    }

    /// The last runs of one procedure side by side.
    ///
    /// # Errors
    /// No such procedure, or the record cannot be read.
    pub fn compare_runs(&self, key: &str) -> Result<Compared, DeskError> {
        let today = texts::one(self.folder(), key)?.procedure;
        let reader = self.reader();
        let gathered = runs::lately(&reader)?.into_iter().rev().filter(|run| run.key == key);
        let mut lines = Vec::new();
        let mut whole_min = Vec::new();
        let mut steps: Vec<ComparedStep> = today
            .steps
            .iter()
            .map(|step| ComparedStep {
                what: step.what.clone(),
                takes_min: step.takes_min,
                took_min: Vec::new(),
            })
            .collect();
        for gathered in gathered.take(COMPARED) {
            let Ok((procedure, _)) = runs::followed(self.folder(), &reader, &gathered) else {
                continue;
            };
            let run = runs::fold(&procedure, &gathered);
            let line = run_line(&run, &gathered);
            let whole = line.ended.filter(|_| line.given_up.is_none());
            whole_min.push(whole.map(|end| minutes(line.began, end)));
            for (step, compared) in today.steps.iter().zip(&mut steps) {
                compared.took_min.push(took_min(&run, &step.key, gathered.began()));
            }
            lines.push(line);
        }
        Ok(Compared { name: today.name, runs: lines, steps, whole_min })
    }
}

/// Minutes from the moment before a step (the last that was done before it, or the begin) to when it was done.
fn took_min(run: &Run<'_>, key: &str, began: Timestamp) -> Option<f64> {
    let place = run.procedure.place(key)?;
    let at = run.standing[place].as_ref()?.at();
    let before = run.standing.iter().flatten().map(Standing::at).filter(|other| *other < at).max();
    Some(minutes(before.map_or(began, |before| before.max(began)).min(at), at))
}

fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
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
    RunLine {
        id: gathered.id,
        key: gathered.key.clone(),
        name: run.procedure.name.clone(),
        sort: Sort::of(run.procedure.nature),
        began,
        by,
        ended: given_up.map(|(at, ..)| *at).or(last.filter(|_| over)),
        given_up: given_up.map(|(_, _, reason)| reason.clone()),
        done: run.standing.iter().flatten().count(),
        steps: run.standing.len(),
        version: gathered.version.clone(),
    }
}

fn standing_view(standing: &Standing) -> StandingView {
    let of = |word, at: &Timestamp, by: &String, reason: Option<&String>, held: Option<&String>| {
        StandingView { word, at: *at, by: by.clone(), reason: reason.cloned(), held: held.cloned() }
    };
    match standing {
        Standing::Done { at, by } => of("done", at, by, None, None),
        Standing::Passed { at, by, reason } => of("passed over", at, by, Some(reason), None),
        Standing::Overridden { at, by, reason, held, .. } => {
            of("done against its guard", at, by, Some(reason), Some(held))
        }
    }
}

/// A step; of the one under way also what it asks for and how that stands.
pub(crate) fn step_view(
    teller: &Teller<'_>,
    place: usize,
    step: &Step,
    under_way: Option<(&Run<'_>, usize)>,
) -> StepView {
    let since = under_way.and_then(|(run, place)| run.since(place));
    let wanted = |condition: &Condition| WantedView {
        words: teller.wanted(condition),
        unmet: under_way.and_then(|_| {
            let met = condition.met(teller.board, since, teller.now);
            met.err().map(|unmet| teller.unmet(&unmet))
        }),
    };
    let wanted: Vec<WantedView> = step.see.iter().map(wanted).collect();
    // What has come is not late.
    let waits = wanted.iter().any(|wanted| wanted.unmet.is_some());
    StepView {
        no: place + 1,
        key: step.key.clone(),
        what: step.what.clone(),
        why: step.why.clone(),
        otherwise: step.otherwise.clone(),
        caution: step.caution.clone(),
        look: step.look.clone(),
        wanted,
        reads: if under_way.is_some() { reads(teller, step) } else { Vec::new() },
        holds: teller.procedure.holds(step),
        towards: match step.towards {
            Towards::Heat => "more heat",
            Towards::Tank => "a tank or a tap",
            Towards::Chemicals => "work with chemicals",
            Towards::Nothing => "",
        },
        who: step.who.aboard(),
        overridden_by: step.overridden_by.aboard(),
        takes_min: step.takes_min,
        wait_min: step.wait_min,
        foretold: foretold::view(teller, step, under_way, waits),
        way_out: step.way_out.clone(),
        standing: None,
    }
}

/// The readings that a step's conditions ask for, each once; a corrected vacuum is read by gauge and barometer.
fn reads(teller: &Teller<'_>, step: &Step) -> Vec<ToRead> {
    let mut found: Vec<ToRead> = Vec::new();
    for condition in &step.see {
        for term in &condition.terms {
            let names: &[&str] = match term.name.as_str() {
                VACUUM => &["shell_gauge_bar_g", "barometer_hpa"],
                name => &[name],
            };
            for name in names {
                let known = field::reading(name).filter(|r| found.iter().all(|f| f.key != r.key));
                let Some(reading) = known else { continue };
                let last = teller.board.newest(reading.key).map(|newest| {
                    let unit = words::symbol(reading.key);
                    (format!("{} {unit}", newest.text).trim().to_owned(), teller.time(newest.at))
                });
                let numeric = !reading.unit.is_empty();
                found.push(ToRead {
                    key: reading.key,
                    label: reading.label,
                    place: reading.place,
                    unit: words::symbol(reading.key),
                    step: if numeric {
                        digits(reading.step, decimals(reading.step))
                    } else {
                        String::new()
                    },
                    words: match reading.role {
                        Role::Word(words) => words,
                        _ => &[],
                    },
                    wanted: match (term.name.as_str(), *name) {
                        (VACUUM, "barometer_hpa") => "corrects the gauge".to_owned(),
                        _ => teller.wanted_of(&term.name, condition),
                    },
                    last,
                });
            }
        }
    }
    found
}

fn decimals(step: f64) -> u8 {
    if step.fract() == 0.0 { 0 } else { 1 }
}
