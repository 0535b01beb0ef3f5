//! The way in stretches: where water is made, where it may be, and where which rule forbids it.

use jiff::Timestamp;
use passage::timeline::{Rule, Sample};

use super::PassageView;

/// What becomes of water on a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Water {
    /// It is made.
    Made,
    /// It may be made.
    May,
    /// It may not.
    Not,
}

/// A stretch of the way on which one thing holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// From this moment.
    pub from: Timestamp,
    /// To this one.
    pub to: Timestamp,
    /// What becomes of water.
    pub water: Water,
    /// In words, the rule that forbids it with its least and most along the stretch.
    pub says: String,
}

impl PassageView {
    /// The way in stretches, in time.
    #[must_use]
    pub fn stretches(&self) -> Vec<Stretch> {
        let samples = &self.timeline.samples;
        let made = |k: usize| self.making_t_day.get(k).is_some_and(|t_day| *t_day > 0.0);
        let kind =
            |k: usize| (made(k), samples[k].rule.as_ref().map(kind_of), samples[k].distilled_only);
        let numbers: Vec<usize> = (0..samples.len()).collect();
        let runs = numbers.chunk_by(|a, b| kind(*a) == kind(*b));
        let stretch = |run: &[usize]| {
            let (first, last) = (*run.first()?, *run.last()?);
            let run = samples.get(first..=last)?;
            let only = match samples[first].distilled_only {
                true => ", for the distilled tank only",
                false => "",
            };
            let (water, says) = match (made(first), &samples[first].rule) {
                (true, _) => (Water::Made, format!("made{only}")),
                (false, None) => (Water::May, format!("may be made{only}")),
                (false, Some(rule)) => {
                    let passed = match rule {
                        Rule::Distance { .. } => self.passed(run, samples.get(last + 1)),
                        _ => String::new(),
                    };
                    (Water::Not, format!("no: {}{passed}", forbidden(rule, run)))
                }
            };
            let to = samples.get(last + 1).unwrap_or(&samples[last]).at;
            Some(Stretch { from: samples[first].at, to, water, says })
        };
        runs.filter_map(stretch).collect()
    }

    /// When the distance ordered is passed in the first and in the last quarter of an hour of a stretch: "; inside from
    /// 07:23 to 09:41".
    fn passed(&self, run: &[Sample], next: Option<&Sample>) -> String {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { return String::new() };
        let second = run.get(1).or(next);
        let crossing = |from: Timestamp, to: Option<&Sample>, outward: bool| {
            let inside = |at: Timestamp| from <= at && to.is_none_or(|to| at <= to.at);
            let mut crossings = self.timeline.crossings.iter().filter(|c| c.outward == outward);
            let found = crossings.find(|c| inside(c.at))?;
            Some(self.timeline.clock.local(found.at).strftime("%H:%M").to_string())
        };
        match (crossing(first.at, second, false), crossing(last.at, next, true)) {
            (Some(from), Some(to)) => format!("; inside from {from} to {to}"),
            (Some(from), None) => format!("; inside from {from}"),
            (None, Some(to)) => format!("; clear at {to}"),
            (None, None) => String::new(),
        }
    }
}

/// The rule, and which area where it is one.
fn kind_of(rule: &Rule) -> (&'static str, &str) {
    let name = match rule {
        Rule::Area(name) => name.as_str(),
        _ => "",
    };
    (rule.word(), name)
}

/// Why water may not be made on a stretch, all of which one rule forbids.
fn forbidden(rule: &Rule, run: &[Sample]) -> String {
    let over = |figure: &dyn Fn(&Rule) -> Option<f64>, decimals: usize| {
        let figures = run.iter().filter_map(|sample| figure(sample.rule.as_ref()?));
        let (low, high) =
            figures.fold((f64::MAX, f64::MIN), |(low, high), x| (low.min(x), high.max(x)));
        let (low, high) = (format!("{low:.decimals$}"), format!("{high:.decimals$}"));
        if low == high { low } else { format!("{low} to {high}") }
    };
    match rule {
        Rule::Phase(_) => "not on sea passage".to_owned(),
        Rule::Distance { least, .. } => {
            let off = |rule: &Rule| match rule {
                Rule::Distance { off, .. } => Some(off.nmi()),
                _ => None,
            };
            format!("{} nmi off, {:.0} are ordered", over(&off, 1), least.nmi())
        }
        Rule::Depth { least_m, .. } => {
            let deep = |rule: &Rule| match rule {
                Rule::Depth { depth_m, .. } => Some(*depth_m),
                _ => None,
            };
            format!("{} m deep, {least_m:.0} are ordered", over(&deep, 0))
        }
        Rule::Load { least, .. } => {
            let load = |rule: &Rule| match rule {
                Rule::Load { load, .. } => Some(100.0 * load),
                _ => None,
            };
            let least = 100.0 * least;
            format!("{} % load, {least:.0} are needed before heat is taken", over(&load, 0))
        }
        other => other.to_string(),
    }
}
