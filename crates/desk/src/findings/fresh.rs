//! What is missing of late: since when, what moved, and what the rounds of the last days say taken by themselves.

use ::findings::{Anew, Cause, Finding, Judged, ReadingSet, percent};
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use plant::Banding;

use crate::expected::{self, Expectation};
use crate::field::{self, Role};
use crate::instrument;
use crate::now::with_last;
use crate::round::{Round, made};
use crate::setup::Setup;
use crate::switched::Switch;
use crate::typed;

use super::alone::Alone;
use super::answer::{cause, checks_of};
use super::heat;
use super::unsettled::LEADS;
use super::view::{CauseLine, CheckLine, FindingsView};

/// So much of what is missing, and so many t/day, is looked into by itself where no cause explains it.
const MUCH: (f64, f64) = (0.25, 1.0);
/// Rounds before the newest that a break is looked for in: four days of one every four hours.
const LOOKED: usize = 24;
/// Rounds before a break that it is held against.
const BEFORE: usize = 6;
/// The rounds of so many days are taken by themselves.
const DAYS: u32 = 7;
/// A history longer than this is drawn together, and one new round drowns in it.
const DRAWN_TOGETHER: usize = 45;
/// A reading has moved when it stands so many deviations of its usual scatter from round to round from where it stood.
const MOVED: f64 = 3.0;
/// Rounds that the usual scatter of a reading is taken from, and the fewest it takes; with fewer it is the instrument's own.
const SCATTER: (usize, usize) = (24, 6);
/// Readings named at most.
const NAMED: usize = 5;
/// A cause so likely by all rounds is not new.
const KNOWN: f64 = 0.5;
/// Checks named in a sentence.
const CHECKS: usize = 3;

/// What is missing, is new, and is not explained by what the rounds before tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Fresh {
    /// The first round in which it is missing.
    pub since: Timestamp,
    /// How much, t/day.
    pub t_day: f64,
    /// What moved then against what is expected: "vacuum −4.0 % vac".
    pub moved: Vec<String>,
    /// What the heat says of it, where by it more was made than the counter shows.
    pub heat: Option<String>,
    /// What the rounds of the last days say taken by themselves, each with its chance.
    pub causes: Vec<(String, f64)>,
    /// The same causes as lines of the table of causes, sizes and chances by those rounds alone.
    pub lines: Vec<CauseLine>,
    /// The days whose rounds were taken by themselves.
    pub days: u32,
    zone: Offset,
}

impl Fresh {
    /// Since when, by the ship's clock.
    #[must_use]
    pub fn when(&self) -> String {
        self.zone.to_datetime(self.since).strftime("%-d %B %H:%M").to_string()
    }

    /// What it is, as the end of a sentence that begins with how much is missing.
    #[must_use]
    pub fn clause(&self) -> String {
        let named: Vec<String> =
            self.causes.iter().map(|(words, p)| format!("{words} ({})", percent(*p))).collect();
        let says = if named.is_empty() {
            ", and the last days\u{2019} rounds alone do not tell why".to_owned()
        } else {
            format!(": by the last days\u{2019} rounds alone {}", named.join(" or "))
        };
        format!("{:.1} of it is new since {}{says}", self.t_day, self.when())
    }

    /// What moved, as a sentence, and what the heat says; empty where no reading moved by more than it scatters and heat and counter agree.
    #[must_use]
    pub fn moved_says(&self) -> String {
        let moved = (!self.moved.is_empty()).then(|| {
            format!("Moved since then, against what is expected: {}.", self.moved.join(", "))
        });
        moved.into_iter().chain(self.heat.clone()).collect::<Vec<_>>().join(" ")
    }

    /// Both together.
    #[must_use]
    pub fn says(&self, short_t_day: f64) -> String {
        let says = format!("Output is {short_t_day:.1} t/day short; {}.", self.clause());
        [says, self.moved_says()].join(" ").trim_end().to_owned()
    }
}

/// What it is worked out from.
pub(super) struct From<'a> {
    pub(super) setup: &'a Setup,
    pub(super) banding: &'a Banding<'a>,
    pub(super) rounds: &'a [Round],
    pub(super) last: usize,
    pub(super) sets: &'a [ReadingSet],
    pub(super) anew: &'a [Anew],
    /// Starts and stops, newest first.
    pub(super) switches: &'a [Switch],
}

/// Tells what is newly missing, and lists the checks that look for what no cause explains.
pub(super) fn tell(view: &mut FindingsView, from: &From<'_>) {
    let Some(missing) = view.missing.as_ref().filter(|m| m.leaves_much()) else { return };
    let (rest, short) = (missing.rest_t_day, missing.short_t_day);
    if rest >= MUCH.0 * short && rest >= MUCH.1 {
        // In a short span one round drowns in none: it tells what is new already.
        let long = from.sets.len() > DRAWN_TOGETHER;
        if let Some((place, step)) = broke(from, rest).filter(|_| long) {
            let by_itself = lately(view, from);
            let new: Vec<(&Finding, &Judged)> = by_itself
                .iter()
                .flat_map(|new| named(view, new).into_iter().map(move |judged| (new, judged)))
                .collect();
            if let Some(new) = &by_itself {
                let mut checks = checks_of(new);
                of_causes(&mut checks, named(view, new).iter().map(|judged| judged.cause));
                view.checks = checks;
            }
            if let Some(new) = &by_itself {
                lay_beside(view, new);
            }
            view.fresh = Some(Fresh {
                since: from.rounds[place].at,
                t_day: step.min(rest),
                moved: moved(from, place),
                heat: heat::against_counter(from, place),
                causes: new.iter().map(|(_, j)| (j.cause.words(), j.p_over_limit)).collect(),
                lines: new.iter().map(|(new, j)| cause(new, &new.sizes(), j)).collect(),
                days: DAYS,
                zone: view.zone,
            });
        }
    }
    if !view.checks.iter().any(|check| check.worth) {
        // What is missing and not explained is looked for, however little a check tells of the causes known.
        let places = view.checks.iter_mut().filter(|check| !check.stopped).take(CHECKS);
        places.for_each(|check| check.worth = true);
    }
    view.checks.sort_by_key(|check| std::cmp::Reverse(check.worth));
    if view.checks.iter().any(|check| check.worth) {
        // In the words of the first step.
        view.said.next = "Next to read: ".to_owned() + view.checks[0].words;
    }
}

/// The rounds of the last days by themselves, of a history that is longer.
fn lately(view: &FindingsView, from: &From<'_>) -> Option<Finding> {
    let begin = view.until.checked_sub(SignedDuration::from_hours(24 * i64::from(DAYS))).ok()?;
    let first = from.sets.partition_point(|set| set.time < begin);
    let first = first.max(from.sets.len().saturating_sub(DRAWN_TOGETHER));
    let (sheet, tables) = (from.setup.plant.sheet(), &view.tables.tables);
    ::findings::explain_anew(sheet, tables, &from.sets[first..], from.anew).ok()
}

/// What is new has its columns beside the last readings before those of all rounds, and instruments are blamed with it too.
fn lay_beside(view: &mut FindingsView, new: &Finding) {
    let causes: Vec<Cause> = named(view, new).iter().map(|judged| judged.cause).collect();
    for (place, cause) in causes.iter().enumerate() {
        let words = cause.words();
        if let Some(by_all) = view.explained_by.iter().position(|known| *known == words) {
            view.explained_by.remove(by_all);
            view.evidence.iter_mut().for_each(|line| {
                line.would_read.remove(by_all);
            });
        }
        let alone = Alone::of(new, *cause);
        view.explained_by.insert(place, format!("{words}, new"));
        for line in &mut view.evidence {
            let reads = alone.reads(&line.compared.key, line.compared.expected);
            line.would_read.insert(place, reads);
        }
    }
    if causes.is_empty() {
        return;
    }
    for blamed in &mut view.blamed {
        let line = view.evidence.iter().find(|line| line.compared.key == blamed.key);
        blamed.with_new(new, &causes, line.and_then(|line| line.compared.expected));
    }
}

/// Checks that look for these causes come first, in the order they are usually made, and are worth the walk.
fn of_causes(checks: &mut [CheckLine], causes: impl Iterator<Item = Cause>) {
    let wanted: Vec<&'static str> = causes.flat_map(super::checks::looking_for).collect();
    let place = |check: &CheckLine| wanted.iter().position(|reading| *reading == check.reading);
    for check in checks.iter_mut().filter(|check| place(check).is_some()) {
        check.worth = true;
    }
    checks.sort_by_key(|check| place(check).unwrap_or(usize::MAX));
}

/// What they say and all rounds together do not.
fn named<'f>(view: &FindingsView, new: &'f Finding) -> Vec<&'f Judged> {
    if new.held().is_some() {
        return Vec::new();
    }
    let known = |cause: Cause| {
        let all = view.finding.finding().judged(cause);
        all.is_some_and(|judged| judged.p_over_limit >= KNOWN)
    };
    let costs = |cause: Cause| !cause.costs_nothing() && cause != Cause::HeaterLeak;
    let likely = new.causes.iter().filter(|j| j.p_over_limit >= LEADS && costs(j.cause));
    likely.filter(|j| !known(j.cause)).take(2).collect()
}

fn at(from: &From<'_>, place: usize) -> Option<Expectation> {
    let figures = with_last(&from.rounds[..=place], &from.rounds[place]);
    expected::expect(from.setup, from.banding, &figures).ok()
}

/// The round from which on so much more is missing than before it, and how much more, t/day; none where it was missing all
/// along. What was missing before it is not new, whether or not a cause explains it.
fn broke(from: &From<'_>, rest: f64) -> Option<(usize, f64)> {
    let most = from.setup.ship.sheet.product_max_t_day;
    let short = |place: usize| {
        let round = &from.rounds[place];
        let made = made(&from.rounds[..place], &round.figures(), round.at, most, from.switches)?;
        Some(at(from, place)?.product_t_day.middle - made.t_day)
    };
    let counted = |place: &usize| from.rounds[*place].counts();
    let mut places = (0..=from.last).rev().filter(counted).take(LOOKED);
    let newest = places.find_map(|place| Some((place, short(place)?)))?;
    let mut first = newest.0;
    for place in places {
        let Some(missing) = short(place) else { continue };
        if missing < newest.1 - 0.5 * rest {
            return Some((first, newest.1 - missing));
        }
        first = place;
    }
    None
}

/// The readings that stand elsewhere against what is expected of them than before a round, those that moved most first: each counted in
/// its own usual scatter from round to round. Salinity is held against its expectation as a factor.
fn moved(from: &From<'_>, place: usize) -> Vec<String> {
    let Some(now) = at(from, from.last) else { return Vec::new() };
    let running = |place: &usize| from.rounds[*place].running();
    let before: Vec<(usize, Expectation)> = (0..place)
        .rev()
        .filter(running)
        .filter_map(|place| Some((place, at(from, place)?)))
        .take(SCATTER.0)
        .collect();
    let mut out: Vec<(f64, String)> = Vec::new();
    for reading in field::READINGS.iter().filter(|r| matches!(r.role, Role::Answer(_))) {
        let salt = reading.key == "product_salt_mg_kg";
        let off = |place: usize, e: &Expectation| {
            let read = from.rounds[place].value(reading.key)?;
            let expected = e.readings.get(reading.key)?.middle;
            let off = if salt { (read / expected).ln() } else { read - expected };
            off.is_finite().then_some(off)
        };
        if reading.key == "product_t_day" {
            continue;
        }
        let was: Vec<f64> = before.iter().filter_map(|(place, e)| off(*place, e)).collect();
        let Some(is) = off(from.last, &now).filter(|_| !was.is_empty()) else { continue };
        let near = &was[..was.len().min(BEFORE)];
        let stood = mean(near);
        let read = from.rounds[from.last].value(reading.key).unwrap_or_default();
        let by = if salt { read - read * (stood - is).exp() } else { is - stood };
        let scatter =
            usual_scatter(from, reading, &was, read) * (1.0 + 1.0 / near.len() as f64).sqrt();
        if scatter > 0.0 && (is - stood).abs() >= MOVED * scatter {
            let unit = typed::unit_of(reading).symbol();
            let sign = if by < 0.0 { '\u{2212}' } else { '+' };
            let label = typed::lower_first(reading.label);
            out.push((
                (is - stood).abs() / scatter,
                format!("{label} {sign}{:.1} {unit}", by.abs()),
            ));
        }
    }
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out.into_iter().take(NAMED).map(|(_, says)| says).collect()
}

fn mean(of: &[f64]) -> f64 {
    of.iter().sum::<f64>() / of.len() as f64
}

/// How much a reading scatters from round to round about its expectation, `off` newest first: from one round to the next, so that what
/// drifts is no scatter; with few rounds what its instrument does, and never less than its scale is read to.
fn usual_scatter(from: &From<'_>, reading: &field::Reading, off: &[f64], read: f64) -> f64 {
    let share = if reading.key == "product_salt_mg_kg" { read.max(f64::MIN_POSITIVE) } else { 1.0 };
    let least = reading.step / 12.0_f64.sqrt() / share;
    let steps: Vec<f64> = off.windows(2).map(|pair| (pair[0] - pair[1]).powi(2)).collect();
    if steps.len() + 1 < SCATTER.1 {
        let (_, each) = instrument::errors(&from.setup.ship, reading.key, read);
        return (each / share).max(least);
    }
    (mean(&steps) / 2.0).sqrt().max(least)
}
