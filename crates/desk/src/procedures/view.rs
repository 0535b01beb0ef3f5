//! Procedures and runs as plain values: sentences, figures and moments, nothing of files or guards.

use jiff::Timestamp;
use procedure::Problem;

/// What kind of list it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// Its guards hold on the way to heat, to a tank and with chemicals.
    Work,
    /// Stopping: nothing holds.
    Stop,
    /// An emergency: nothing holds, ticked in any order.
    Emergency,
}

/// One procedure in the list of them.
#[derive(Debug, Clone, PartialEq)]
pub struct ListLine {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// What it is for.
    pub about: String,
    /// What kind of list it is.
    pub sort: Sort,
    /// How many steps.
    pub steps: usize,
    /// How long it takes, least and most, min.
    pub takes_min: (f64, f64),
    /// It is the ship's own text.
    pub own: bool,
    /// Problems of her own text, so that the usual one is used.
    pub problems: usize,
}

/// One run in a list of them.
#[derive(Debug, Clone, PartialEq)]
pub struct RunLine {
    /// Number of its first entry.
    pub id: u64,
    /// Key of the procedure.
    pub key: String,
    /// What the procedure is called.
    pub name: String,
    /// What kind of list it is.
    pub sort: Sort,
    /// When it was begun.
    pub began: Timestamp,
    /// By whom.
    pub by: String,
    /// When it was done or given up; none while it is under way.
    pub ended: Option<Timestamp>,
    /// It was given up: why.
    pub given_up: Option<String>,
    /// Who leads it now: who began it, or to whom it was handed over.
    pub led_by: String,
    /// Steps that were not as they should be, and were not found so later.
    pub stand_out: usize,
    /// What of it was undone by another list and not done again, by its end or now; none where nothing was.
    pub undone: Option<String>,
    /// Steps done against their guards.
    pub against: usize,
    /// Steps that were done out of their order in the list.
    pub out_of_order: usize,
    /// The first of them in words, at most three: "step 8 (overboard) before step 1 (heat off)".
    pub order_named: Vec<String>,
    /// Steps passed over.
    pub passed: usize,
    /// Steps done or passed over.
    pub done: usize,
    /// The first step that is open, counted from 1.
    pub next: usize,
    /// The first words of what that step does; empty where none is open.
    pub next_what: String,
    /// Steps of the text it follows.
    pub steps: usize,
    /// Version of that text.
    pub version: String,
}

/// Everything the page of the list shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Procedures {
    /// Emergencies first.
    pub lists: Vec<ListLine>,
    /// Under way, the newest first.
    pub open: Vec<RunLine>,
    /// Over, the newest first.
    pub past: Vec<RunLine>,
    /// Files of her own that cannot be read.
    pub told: Vec<String>,
}

/// One procedure whole.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureView {
    /// Its line.
    pub line: ListLine,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// Where its steps come from.
    pub source: String,
    /// Version of the text.
    pub version: String,
    /// The text.
    pub text: String,
    /// The usual text, where the ship has her own.
    pub usual: Option<String>,
    /// What her own text has weaker than the usual one, each with its step.
    pub weaker: Vec<String>,
    /// Which steps it has that the usual one has not, and what it does or says otherwise at one.
    pub otherwise: Vec<String>,
    /// The chief engineer by whose word it was last changed so, when, and why.
    pub by_word: Option<(String, Timestamp, String)>,
    /// Why her own text is not used, each with its line.
    pub problems: Vec<Problem>,
    /// Her own text that is not used.
    pub refused: Option<String>,
    /// The steps, none of them done.
    pub steps: Vec<StepView>,
    /// A run of it under way.
    pub open: Option<RunLine>,
    /// Runs under way whose effects exclude its own: what becomes of them is asked at its begin.
    pub meanwhile: Vec<RunLine>,
    /// What the record says against beginning it now; a question, nothing holds.
    pub remark: Option<String>,
}

/// A later look at a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookView {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
    /// What was still not as it should be; empty where all was.
    pub unmet: String,
    /// What was written down.
    pub note: String,
    /// Initials of a second person.
    pub second: String,
}

/// A reading at a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadView {
    /// Label.
    pub label: String,
    /// Figure and unit, or the word.
    pub text: String,
    /// When it was read.
    pub at: Timestamp,
    /// Why it stands although it is doubtful.
    pub doubt: Option<String>,
    /// It was not taken: why.
    pub not_taken: Option<String>,
    /// What stood there before it was corrected or typed again.
    pub was: Option<String>,
    /// The step was ticked by what stood there before.
    pub ticked_by_old: bool,
    /// The entry it stands in.
    pub entry: u64,
}

/// A figure put right after a step was ticked, by which it would not have been as wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CorrectedView {
    /// What was corrected, from what to what, and what was wanted.
    pub says: String,
    /// The entry of the correction.
    pub entry: u64,
}

/// Two steps that were done in another order than the list has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderView {
    /// Which before which, and what that may have done.
    pub says: String,
    /// The list forbids it.
    pub forbidden: bool,
    /// Somebody said that so it was.
    pub confirmed: bool,
    /// It waits for an answer.
    pub asks: bool,
}

/// How a step stands.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingView {
    /// "done", "done, not as wanted", "passed over", "done against its guard".
    pub word: &'static str,
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
    /// Why it was passed over or done all the same.
    pub reason: Option<String>,
    /// What the guard said then.
    pub held: Option<String>,
    /// What was not as it should be then; empty where all was.
    pub unmet: String,
    /// What is to be said of it although nothing was out.
    pub remark: String,
    /// What was written down with it.
    pub note: String,
    /// Initials of the second person who looked.
    pub second: String,
    /// Later looks, oldest first.
    pub looks: Vec<LookView>,
    /// It was not as it should be, or is not any more, and no later look found it so.
    pub stands_out: bool,
    /// Figures put right since, by which it is not as wanted any more.
    pub corrected: Vec<CorrectedView>,
}

/// A reading that a step asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct ToRead {
    /// Name in the record.
    pub key: &'static str,
    /// Label.
    pub label: &'static str,
    /// Where it is read off.
    pub place: &'static str,
    /// Symbol of its unit.
    pub unit: &'static str,
    /// What a press of ± changes; empty for words.
    pub step: String,
    /// Words it may be; empty for numbers.
    pub words: &'static [&'static str],
    /// What must be seen.
    pub wanted: String,
    /// The newest reading and when, by ship's time.
    pub last: Option<(String, String)>,
}

/// A condition of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedView {
    /// "Nozzle inlet: at least 3.0 bar".
    pub words: String,
    /// Why it is not so; none where it is.
    pub unmet: Option<String>,
    /// From when its time counts and till when, or by which readings it was shown to last; empty where it need not last.
    pub lasts: String,
}

/// What the model of the plant in motion foretells of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ForetoldView {
    /// "By the model the vacuum comes about 11 min after the ejector pump’s start."
    pub words: String,
    /// It should have come and has not: how long it has been.
    pub late: Option<String>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepView {
    /// Its number, counted from 1.
    pub no: usize,
    /// Its key.
    pub key: String,
    /// What is done.
    pub what: String,
    /// Why.
    pub why: String,
    /// What if it does not come as it should.
    pub otherwise: String,
    /// What can hurt here.
    pub caution: String,
    /// What must be looked at.
    pub look: String,
    /// What readings must say, for the step that is under way with why it is not so.
    pub wanted: Vec<WantedView>,
    /// Readings it asks for, for the step that is under way and for one that is to be looked at again.
    pub reads: Vec<ToRead>,
    /// A guard after it holds until all is as wanted.
    pub holds: bool,
    /// Where going on leads, in words; empty where nowhere that wants a guard.
    pub towards: &'static str,
    /// Who does it.
    pub who: &'static str,
    /// Who may go on although it is held.
    pub overridden_by: &'static str,
    /// How long it takes, least and most, min.
    pub takes_min: (f64, f64),
    /// Time that must have passed since the step before, min.
    pub wait_min: f64,
    /// What the model foretells of it, where it can.
    pub foretold: Option<ForetoldView>,
    /// The safe way out after it.
    pub way_out: String,
    /// What it asks to write down; empty where nothing.
    pub note: String,
    /// What a second person looks at and signs; empty where nobody must.
    pub second: String,
    /// What was read for it in a run, oldest first.
    pub readings: Vec<ReadView>,
    /// What was taken back or mended of it, as sentences.
    pub changes: Vec<String>,
    /// Where it is not as in the usual list: who changed it, when, and by whose word.
    pub own: Option<String>,
    /// How it stands in a run.
    pub standing: Option<StandingView>,
}

/// Where a run stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Stands {
    /// At a step that may be ticked; what does not fit and does not hold.
    At {
        /// Place of the step.
        place: usize,
        /// What does not fit.
        warned: Vec<String>,
    },
    /// At a step whose guard holds.
    Held {
        /// Place of the step.
        place: usize,
        /// Why, in sentences.
        why: Vec<String>,
        /// The reason that binds most in few words; where it only has to be read, all that is asked for in one clause.
        briefly: String,
        /// Nothing speaks against it: it is done first, then read or looked at.
        to_read: bool,
    },
    /// Every step is done or passed over.
    Done {
        /// When the last was.
        at: Timestamp,
    },
    /// Given up.
    GivenUp {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
}

/// One run whole.
#[derive(Debug, Clone, PartialEq)]
pub struct RunView {
    /// Its line.
    pub line: RunLine,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// Where its steps come from.
    pub source: String,
    /// Each time it was handed over: when, by whom, to whom.
    pub handed: Vec<(Timestamp, String, String)>,
    /// Steps done in another order than the list has.
    pub order: Vec<OrderView>,
    /// What the record says against it while nothing of it is done.
    pub remark: Option<String>,
    /// Where it stands.
    pub stands: Stands,
    /// Every step.
    pub steps: Vec<StepView>,
    /// The step under way may be ticked from then on.
    pub wait_until: Option<Timestamp>,
    /// The step before it was done then: readings from then on count.
    pub since: Option<Timestamp>,
    /// What is left, least and most, min.
    pub left_min: (f64, f64),
    /// The safe way out from here.
    pub way_out: Option<String>,
    /// The text has been changed since the run was begun.
    pub text_changed: bool,
    /// The text it was begun with is not found: shown is the one of today.
    pub text_lost: bool,
    /// The moment whose record the step under way is asked by, where it is not now: the time typed, else, where the run is
    /// entered afterwards, that of the last tick or of what was read at the step since.
    pub own_time: Option<Timestamp>,
    /// What holds a tick with its time left empty, of a run entered afterwards: by the record of now, in sentences.
    pub held_now: Vec<String>,
    /// How much of it stands without initials and can be named afterwards.
    pub unnamed: usize,
    /// Steps that came twice or fit no step: they changed nothing.
    pub strange: usize,
    /// Other runs under way that heat or fill, offered to be given up from a stop or an emergency, and those that this one
    /// excludes.
    pub others: Vec<RunLine>,
    /// The step under way is not even to be done yet: what lies before it is open or was undone.
    pub not_yet: bool,
    /// Emergencies under way that shut the way to a tank, where the step under way leads there: number and name.
    pub shut_by: Vec<(u64, String)>,
}

/// Runs of one procedure side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// What it is called.
    pub name: String,
    /// The runs, the newest first; those given up are no measure.
    pub runs: Vec<RunLine>,
    /// Runs that were given up, the newest first.
    pub given_up: Vec<RunLine>,
    /// Each step with its usual time and the minutes that each run took for it; none where it was not done there.
    pub steps: Vec<ComparedStep>,
    /// From the first tick to the last of each run, min; none while it is under way.
    pub whole_min: Vec<Option<f64>>,
    /// What lay between its first tick and its last, of each run.
    pub whole_between: Vec<Option<Interrupted>>,
}

/// Another list lay between two ticks.
#[derive(Debug, Clone, PartialEq)]
pub struct Interrupted {
    /// From when.
    pub from: Timestamp,
    /// Till when.
    pub to: Timestamp,
    /// What it is called.
    pub by: String,
    /// How many more lay between.
    pub more: usize,
    /// The minutes without all of them.
    pub own_min: f64,
}

/// One step beside itself.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedStep {
    /// What is done.
    pub what: String,
    /// Usual, least and most, min.
    pub takes_min: (f64, f64),
    /// Minutes since the step before was done, of each run; none where it was not done or passed over, or not in its place.
    pub took_min: Vec<Option<f64>>,
    /// Whether it was not done in its place in the list: no minutes of it mean anything. Of each run.
    pub out_of_order: Vec<bool>,
    /// What lay between the step before and this one, of each run.
    pub between: Vec<Option<Interrupted>>,
}
