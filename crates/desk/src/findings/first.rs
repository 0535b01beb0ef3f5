//! What to do first, in one line: read again, look for what is found, read a check, or wait for the day of a cleaning.

use crate::view::State;

use super::checks;
use super::looked::Looked;
use super::mending::ToMend;
use super::missing::Missing;
use super::stand::Stand;
use super::view::{CheckLine, CleaningLine, FindingsView, GrowthLine};

/// How it begins to say what to read next.
const NEXT: &str = "Next to read";
/// How it is said of a check that it parts causes.
const APART: &str = "would tell them apart";
/// From this chance on a deposit is past its limit, and is cleaned with the other.
const PAST: f64 = 0.8;
/// Checks named at most where much is not explained.
const NAMED: usize = 3;

impl FindingsView {
    /// What to do first and what then, as one or two sentences. Days of a cleaning are told by `deposits`, the rounds since the last
    /// cleaning, whatever span this is of.
    #[must_use]
    pub fn first_to_do(&self, deposits: &FindingsView, stands: &[Stand]) -> String {
        if let Some(what) = &self.held {
            return format!("First: read {what} again.");
        }
        let telling = self.telling(deposits);
        if !std::ptr::eq(telling, self) {
            return telling.first_to_do(deposits, stands);
        }
        if let Some(what) = self.leaking_heater() {
            return format!("First: {what}.");
        }
        let doubted: Vec<&str> = self
            .evidence
            .iter()
            .filter(|line| line.compared.state == State::InDoubt)
            .map(|line| line.compared.label.as_str())
            .collect();
        if !doubted.is_empty() {
            let named = doubted.join(" and ").to_lowercase();
            return format!("First: read {named} again.");
        }
        let clean = deposits.to_clean();
        let then = || match &clean {
            Some((line, clean)) if !clean.due => {
                format!(" Then nothing before {}.", deposits.place(line, clean, stands))
            }
            Some((line, _)) => {
                format!(" Then clean {} when the plant is next off.", deposits.parts(line))
            }
            None => String::new(),
        };
        if !self.said.first.is_empty() {
            let check =
                self.to_read().map_or_else(String::new, |c| format!("; then read {}", told(c)));
            return format!("First: dump the distillate and fill no tank{check}.");
        }
        let known = self.looked.iter().find(|looked| looked.known);
        // What is new is looked for before what is known is mended.
        if let Some(known) = known.filter(|known| !self.looks_beyond(known)) {
            return format!("First: mend what was found, {}.", known.cause_words);
        }
        if let Some(left_out) = self.left_out() {
            return format!("First: read what the round left out: {left_out}.{}", then());
        }
        let mend = self.to_mend().filter(|_| known.is_none());
        let round = self.round_first();
        if let Some(mend) = mend.as_ref().filter(|mend| mend.sure && round.is_none()) {
            return format!("First: {}.{}{}", mend.what, self.looks_for(mend), then());
        }
        if let Some(check) = self.to_read() {
            let when = if self.runs || check.stopped { "" } else { ", when she runs again" };
            let round = round.map_or_else(String::new, |round| format!("{round}; then "));
            let stop = self.at_stop().map_or_else(String::new, |stop| {
                format!(" At the next stop, cold and drained: {}.", told(stop))
            });
            // What was found and is not mended takes the place of the day that would be best for it.
            let mend = match (known, &mend) {
                (Some(known), _) => format!(" Then mend what was found, {}.", known.cause_words),
                (None, Some(mend)) => format!(" Then {}.{}", mend.what, then()),
                (None, None) => then(),
            };
            let cold = if check.stopped { ", cold and drained" } else { "" };
            return format!("First{when}: read {round}{}{cold}.{stop}{mend}", told(check));
        }
        if let Some(round) = round {
            return format!("First: read {round}.{}", then());
        }
        if let Some(mend) = mend {
            return format!("First: {}.{}", mend.what, then());
        }
        if let Some(stop) = self.at_stop() {
            return format!("First, at the next stop, cold and drained: {}.{}", told(stop), then());
        }
        if let Some(line) = deposits.growth.iter().find(|line| line.quick()) {
            return format!("First: {}.", why_quick(line, stands));
        }
        match &clean {
            Some((line, clean)) if clean.due => {
                format!("First: clean {} when the plant is next off.", deposits.parts(line))
            }
            Some((line, clean)) => {
                format!("Nothing before {}.", deposits.place(line, clean, stands))
            }
            None if self.missing.is_none() && !self.is_led() => {
                "Nothing to do but the next round.".to_owned()
            }
            None => String::new(),
        }
    }

    /// A check beside what is looked for, which tells of the same cause; empty where none is worth it.
    fn looks_for(&self, mend: &ToMend) -> String {
        let looks = checks::looking_for(mend.cause);
        let check = self.to_read().filter(|check| self.runs && looks.contains(&check.reading));
        check.map_or_else(String::new, |check| format!(" Read {} besides.", told(check)))
    }

    /// Readings of a usual round to read next, where it names no check.
    fn left_out(&self) -> Option<&str> {
        let names = |check: &CheckLine| self.said.next.contains(check.words);
        let next = self.said.next.strip_prefix(NEXT)?.trim_start_matches(": ");
        (!self.checks.iter().any(names)).then(|| next.trim_end_matches('.'))
    }

    /// The round to read before any check, where the last was read before a part was cleaned or looked at: a check goes with a round.
    fn round_first(&self) -> Option<String> {
        let when = if self.runs { "" } else { " when she runs again" };
        if let Some((part, _)) = self.told.cleaned_since(self.until).next() {
            return Some(format!("a round{when}, the first since the {part} was cleaned"));
        }
        let laid = self.missing.as_ref().is_some_and(|missing| !missing.not_found.is_empty());
        laid.then(|| format!("a round{when}, the first since the look"))
    }

    /// What is said of the next check is what the first step says: the same check in front, the others in the order of the table. `first` is the
    /// estimator's own first check.
    pub(super) fn one_next(&mut self, first: Option<&'static str>) {
        let asks = self.said.next.starts_with(NEXT);
        let named = self.said.next.contains(APART) || asks;
        let much = self.missing.as_ref().is_some_and(Missing::leaves_much);
        // What is missing unexplained is looked for in the order of the table.
        if self.fresh.is_none()
            && !much
            && let Some(first) = self.checks.iter().position(|check| Some(check.reading) == first)
            && (self.checks[first].worth || named)
            && !(self.checks[first].stopped && self.runs)
        {
            let mut check = self.checks.remove(first);
            check.worth = true;
            self.checks.insert(0, check);
        }
        if !asks || self.left_out().is_some() {
            return;
        }
        let mut worth: Vec<&CheckLine> = self.checks.iter().filter(|check| check.worth).collect();
        worth.sort_by_key(|check| check.stopped && self.runs);
        let told = worth.into_iter().take(if much { NAMED } else { 1 }).map(|check| {
            let cold = if check.stopped { ", plant cold and drained" } else { "" };
            format!("{} ({}{cold})", check.words, ::findings::lasting(check.minutes))
        });
        let told: Vec<String> = told.collect();
        if !told.is_empty() {
            let why = if self.fresh.is_some() { ", for what is not explained" } else { "" };
            let round = if self.round_first().is_some() { "a round now; then " } else { "" };
            self.said.next = format!("{NEXT}{why}: {round}{}.", told.join(", "));
        }
    }

    /// What to read next beside what is done first; empty where the first step says it.
    #[must_use]
    pub fn next_besides(&self, first: &str) -> &str {
        if first.contains(": read ") && self.said.next.starts_with(NEXT) {
            ""
        } else {
            &self.said.next
        }
    }

    /// Whether something is new that what is known does not explain, and a check looks for it.
    fn looks_beyond(&self, known: &Looked) -> bool {
        let Some((fresh, check)) = self.fresh.as_ref().zip(self.to_read()) else { return false };
        let own = checks::looking_for(known.cause).contains(&check.reading);
        match &*fresh.lines {
            [] => !own,
            lines => lines.iter().any(|line| line.key != known.cause.key()),
        }
    }

    /// The view whose checks and first step hold: of a short span that of all rounds since the cleaning, `whole`, where something is new in
    /// it; it goes by the last days then already.
    #[must_use]
    pub fn telling<'v>(&'v self, whole: &'v FindingsView) -> &'v FindingsView {
        if self.held.is_none() && self.fresh.is_none() && whole.fresh.is_some() {
            whole
        } else {
            self
        }
    }

    /// The check that is made first, as [`FindingsView::first_to_do`] says it: of a running plant one that needs no stop, where there is one.
    #[must_use]
    pub fn first_check(&self) -> Option<&CheckLine> {
        self.to_read().or_else(|| self.checks.iter().find(|check| check.worth))
    }

    /// The check to make first of those that can be made as the plant is.
    fn to_read(&self) -> Option<&CheckLine> {
        self.checks.iter().find(|check| check.worth && !(check.stopped && self.runs))
    }

    /// The check for the next stop, where what is new asks for one.
    fn at_stop(&self) -> Option<&CheckLine> {
        let asked = self.runs && (self.fresh.is_some() || self.to_read().is_none());
        self.checks.iter().find(|check| check.worth && check.stopped).filter(|_| asked)
    }

    /// The deposit whose day of cleaning comes first.
    fn to_clean(&self) -> Option<(&GrowthLine, &CleaningLine)> {
        let lines = self.growth.iter().filter(|line| line.tells_a_day());
        lines.filter_map(|line| Some((line, line.cleaning.as_ref()?))).min_by_key(|(_, c)| c.best)
    }

    /// The day and the place of a cleaning, with what is cleaned: "11 December; then clean the condenser at Newcastle roads".
    fn place(&self, line: &GrowthLine, clean: &CleaningLine, stands: &[Stand]) -> String {
        let stops = clean.stops(stands);
        match stops.iter().find(|stop| stop.cheapest) {
            Some(stop) => format!(
                "{}; then clean {} at {}",
                stop.stand.zone.to_datetime(stop.stand.arrives).strftime("%-d %B"),
                self.parts(line),
                stop.stand.name
            ),
            None => format!("{}; then clean {}", self.day(clean.best), self.parts(line)),
        }
    }

    /// What is cleaned on the day of a deposit: what is past its limit in the other part with it, and first, while the plant is open.
    fn parts(&self, line: &GrowthLine) -> String {
        let past = |key: &str| {
            let chance =
                self.causes.iter().find(|cause| cause.key == key).map(|cause| cause.chance);
            chance.is_some_and(|chance| chance >= PAST)
        };
        let both = ["condenser_fouling", "scale"].into_iter().filter(|key| past(key));
        let mut keys: Vec<&str> = both.collect();
        if !keys.contains(&&*line.key) {
            keys.push(&line.key);
        }
        keys.into_iter().map(part).collect::<Vec<_>>().join(" and ")
    }
}

fn told(check: &CheckLine) -> String {
    format!("{}, {}", check.words, ::findings::lasting(check.minutes))
}

/// What is looked at where a deposit grows quicker than deposits do, and the first stop to clean it (common practice).
fn why_quick(line: &GrowthLine, stands: &[Stand]) -> String {
    let (why, part) = match &*line.key {
        "scale" => (
            "scale grows so fast: feed and brine's strength, shell temperature, antiscalant",
            part(&line.key),
        ),
        _ => (
            "the condenser fouls so fast: strainer, growth in its chests, its dosing",
            part(&line.key),
        ),
    };
    let stop = stands.first().map_or_else(
        || "when the plant is next off".to_owned(),
        |stand| {
            let day = stand.zone.to_datetime(stand.arrives).strftime("%-d %B").to_string();
            format!("at {} ({day})", stand.name)
        },
    );
    format!("look why {why}. Then clean {part} {stop}")
}

/// What is cleaned of a deposit.
fn part(key: &str) -> &'static str {
    if key == "scale" { "the evaporator" } else { "the condenser" }
}
