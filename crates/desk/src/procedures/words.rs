//! Guards in sentences: labels and figures with their units, never names of a file.

use jiff::{SignedDuration, Timestamp};
use logbook::ShipClock;
use procedure::{Condition, Figure, Procedure, Relation, Term, Times, Towards, Unmet};

use crate::field;
use crate::ship::{LIMITS, ORDERS, SETTINGS};
use crate::typed::{digits, unit_of, upper_first};

use super::seen::{Panel, VACUUM_DIGITS};
use super::texts::VACUUM;

/// What was read so long before a step counts is still told where it was out.
const EARLIER: SignedDuration = SignedDuration::from_hours(2);

/// Tells guards for one moment.
pub(crate) struct Teller<'a> {
    pub(crate) board: &'a dyn Panel,
    pub(crate) clock: &'a ShipClock,
    pub(crate) now: Timestamp,
    pub(crate) procedure: &'a Procedure,
    /// What the model foretells of a start and a stop now.
    pub(crate) foretold: Option<&'a transient::Foretold>,
}

/// What a reading is called.
pub(super) fn label(name: &str) -> String {
    match field::reading(name) {
        Some(reading) => reading.label.to_owned(),
        None if name == VACUUM => "Vacuum, corrected".to_owned(),
        None => name.to_owned(),
    }
}

/// Symbol of a reading's unit.
pub(super) fn symbol(name: &str) -> &'static str {
    match field::reading(name) {
        Some(reading) if reading.unit.is_empty() => "",
        Some(reading) => unit_of(reading).symbol(),
        None if name == VACUUM => "%",
        None => "",
    }
}

fn number(name: &str, value: f64) -> String {
    let decimals = field::reading(name).map_or(VACUUM_DIGITS, |reading| reading.digits);
    digits(value, decimals)
}

pub(super) fn with_unit(name: &str, number: &str) -> String {
    match symbol(name) {
        "" => number.to_owned(),
        // Never broken between figure and unit.
        unit => format!("{number}\u{a0}{}", unit.replace(' ', "\u{a0}")),
    }
}

/// What a figure that nobody knows is called.
pub(super) fn figure_label(name: &str) -> String {
    let item = |items: &[crate::ship::Item], key: &str| {
        items.iter().find(|item| item.key == key).map(|item| item.label.to_owned())
    };
    match name.split_once('.') {
        Some(("order", key)) => item(ORDERS, key).unwrap_or_else(|| key.to_owned()),
        Some(("limit", key)) => item(LIMITS, key).unwrap_or_else(|| key.to_owned()),
        Some(("set", key)) => item(SETTINGS, key).unwrap_or_else(|| key.to_owned()),
        Some((_, key)) => format!("what {} should be", label(key).to_lowercase()),
        None => name.to_owned(),
    }
}

impl Teller<'_> {
    /// A moment by ship's time, with its day where it is another.
    pub(super) fn time(&self, at: Timestamp) -> String {
        time(self.clock, at, self.now)
    }

    fn known(&self, figure: &Figure) -> Option<f64> {
        match &figure.name {
            None => Some(figure.plus),
            Some(name) => Some(figure.times * self.board.figure(name)? + figure.plus),
        }
    }

    /// A figure in the unit of the reading it is compared with, or what it is called where nobody knows it.
    fn told(&self, reading: &str, figure: &Figure) -> String {
        match (self.known(figure), &figure.name) {
            (Some(value), _) => number(reading, value),
            (None, Some(name)) if name.starts_with("expected.") => "what it should be".to_owned(),
            (None, Some(name)) => format!("“{}”", figure_label(name)),
            (None, None) => String::new(),
        }
    }

    fn relation(&self, term: &Term) -> String {
        let name = term.name.as_str();
        // A figure that is called by its name has its unit there.
        let unit = |text: String| match text
            .starts_with(|sign: char| sign.is_ascii_digit() || sign == '-' || sign == '−')
        {
            true => with_unit(name, &text),
            false => text,
        };
        match &term.relation {
            Relation::AtLeast(a) => format!("at least {}", unit(self.told(name, a))),
            Relation::AtMost(a) => format!("at most {}", unit(self.told(name, a))),
            Relation::Between(a, b) => {
                unit(format!("{} to {}", self.told(name, a), self.told(name, b)))
            }
            Relation::Within(by, a) => match self.known(a) {
                Some(middle) => {
                    unit(format!("{} to {}", number(name, middle - by), number(name, middle + by)))
                }
                None => format!("within {} of {}", unit(number(name, *by)), self.told(name, a)),
            },
            Relation::Steady(most) => {
                format!("steady, no two readings more than {} apart", unit(trimmed(*most)))
            }
            Relation::Moving(most) => {
                format!("moving by at most {} a minute", unit(trimmed(*most)))
            }
            Relation::NotUnderLast => "not under the last reading".to_owned(),
            Relation::Is(words) => {
                words.iter().map(|word| format!("“{word}”")).collect::<Vec<_>>().join(" or ")
            }
        }
    }

    fn term(&self, term: &Term) -> String {
        let lasting = match term.times {
            Times::Once => String::new(),
            Times::Lasting(min) => format!(" for {min:.0} min"),
        };
        format!("{}{lasting}", self.relation(term))
    }

    /// What a condition wants: "Vacuum, corrected: at least 90.0 %".
    pub(super) fn wanted(&self, condition: &Condition) -> String {
        let mut last = "";
        let mut parts = Vec::new();
        for term in &condition.terms {
            let says = self.term(term);
            // The reading is named once where both terms are about it.
            parts.push(if term.name == last {
                says
            } else {
                format!("{}: {says}", label(&term.name))
            });
            last = &term.name;
        }
        parts.join(", or ")
    }

    /// What a condition wants of one reading, for the box beside it.
    pub(super) fn wanted_of(&self, name: &str, condition: &Condition) -> String {
        let terms = condition.terms.iter().filter(|term| term.name == name);
        terms.map(|term| self.term(term)).collect::<Vec<_>>().join(", or ")
    }

    /// The wish of the terms about one reading, without its name where there is only that one.
    fn wish(&self, name: &str, wanted: &str) -> String {
        let Ok(condition) = Condition::parse(wanted) else { return wanted.to_owned() };
        if condition.terms.iter().all(|term| term.name == name) {
            condition.terms.iter().map(|term| self.term(term)).collect::<Vec<_>>().join(", or ")
        } else {
            self.wanted(&condition)
        }
    }

    /// Why a guard does not let go on, as a sentence.
    pub(crate) fn unmet(&self, unmet: &Unmet) -> String {
        match unmet {
            Unmet::NotRead { name, wanted } if self.board.not_taken(name).is_some() => {
                let (at, why) = self.board.not_taken(name).unwrap_or((self.now, String::new()));
                format!(
                    "{} was not taken, {} ({why}), and is wanted here: {}.",
                    label(name),
                    self.time(at),
                    self.wish(name, wanted)
                )
            }
            Unmet::NotRead { name, wanted } => format!(
                "{}; wanted: {}.",
                self.out_before(name, wanted).unwrap_or_else(|| not_read(name, wanted)),
                self.wish(name, wanted)
            ),
            Unmet::Out { name, read, at, wanted, found } => {
                let raw = name == VACUUM && !self.board.vacuum_is_corrected();
                format!(
                    "{} read {} at {}{}{}; wanted: {}.",
                    label(name),
                    with_unit(name, read),
                    self.time(*at),
                    if raw { ", not corrected, for the barometer was not read" } else { "" },
                    found.map_or_else(String::new, |found| self.found(name, wanted, found)),
                    self.wish(name, wanted)
                )
            }
            Unmet::TooShort { name, wanted, since, until, count, .. } => {
                let so = match count {
                    1 => format!("{} says so by one reading, {}", label(name), self.time(*since)),
                    n => {
                        format!("{} says so since {}, {n} readings", label(name), self.time(*since))
                    }
                };
                format!(
                    "{so}; {}. Wanted: {}.",
                    self.enough(*since, *until),
                    self.wish(name, wanted)
                )
            }
            Unmet::NoFigure { name, .. } => match name.split_once('.') {
                Some(("expected", key)) => format!(
                    "What {} should be is not known: jacket and sea water have not been read in the last two hours.",
                    label(key).to_lowercase()
                ),
                _ => format!(
                    "“{}” is not told aboard, so nothing can be compared with it: write it on the page Ship.",
                    figure_label(name)
                ),
            },
            Unmet::NotLooked { look } => {
                format!("Not ticked as seen: {}.", look.trim_end_matches('.'))
            }
            Unmet::NoSecond { second } => format!("{second}: no initials."),
            Unmet::Undone { .. } => format!("{}.", upper_first(&self.undone(unmet))),
            Unmet::Shut { way: Towards::Heat, list, since, until: Some(until), .. } => format!(
                "{list} was open from {} to {}, and no heat was to be taken then.",
                self.time(*since),
                self.time(*until)
            ),
            Unmet::Shut { way: Towards::Heat, list, since, wants, .. } => format!(
                "{list} is open since {}, and nothing leads to heat meanwhile: {wants} Go on there first.",
                self.time(*since)
            ),
            Unmet::Shut { list, since, until: Some(until), .. } => format!(
                "{list} was open from {} to {}, and the way to a tank was shut then.",
                self.time(*since),
                self.time(*until)
            ),
            Unmet::Shut { list, since, wants, .. } => format!(
                "{list} is open since {} and shut the way to a tank: {wants} Go on there first.",
                self.time(*since)
            ),
            Unmet::StillOut { .. } => {
                format!("{}: nothing goes to a tank before.", upper_first(&self.still_out(unmet)))
            }
            Unmet::Wait { until } => format!("Not before {}.", self.time(*until)),
            Unmet::Before { steps } => {
                let number = |key: &String| self.procedure.place(key).map(|place| place + 1);
                let numbers: Vec<String> =
                    steps.iter().filter_map(number).map(|n| n.to_string()).collect();
                match numbers.as_slice() {
                    [one] => format!("Step {one} stands open before it."),
                    many => format!("Steps {} stand open before it.", many.join(", ")),
                }
            }
        }
    }

    /// What a second instrument read, and what it must read from when on.
    fn still_out(&self, unmet: &Unmet) -> String {
        let Unmet::StillOut { name, read, at, wanted, until } = unmet else { return String::new() };
        let when = match *until > self.now {
            true => format!("at {} or later", self.time(*until)),
            false => "and not read so since".to_owned(),
        };
        format!(
            "{} read {} at {}; {} is wanted, {when}",
            small(name),
            with_unit(name, read),
            self.time(*at),
            self.wish(name, wanted)
        )
    }

    /// What was undone since, and the usual ways on.
    fn undone(&self, unmet: &Unmet) -> String {
        let Unmet::Undone { step, at, says } = unmet else { return String::new() };
        let no = self.procedure.place(step).map_or(0, |place| place + 1);
        // From the first step there is one way: never from where it was.
        let (begin, at_step) = match no {
            1 => (
                "start from the first step: give this run up and begin the list anew",
                "take this one up at step 1".to_owned(),
            ),
            no => ("begin this list again", format!("take it up at step {no}")),
        };
        format!(
            "{says} since {}: {begin}, or {at_step} (“Take it and all behind it back”, under “A tick that is wrong”)",
            self.time(*at)
        )
    }

    /// What one more reading must be for a length of time to be shown.
    fn enough(&self, since: Timestamp, until: Timestamp) -> String {
        if until > since {
            format!("one more that says so, of {} or later, is enough", self.time(until))
        } else {
            "one more that says so is needed".to_owned()
        }
    }

    /// What was found beside a reading that is out: its pace, how far it moved, the counter's last reading.
    fn found(&self, name: &str, wanted: &str, found: f64) -> String {
        let Ok(condition) = Condition::parse(wanted) else { return String::new() };
        let term = condition.terms.iter().find(|term| {
            let paced = matches!(term.relation, Relation::Moving(_) | Relation::Steady(_));
            term.name == name && (paced || term.relation == Relation::NotUnderLast)
        });
        match term.map(|term| &term.relation) {
            Some(Relation::Moving(_)) => {
                format!(", moving by {} a minute", with_unit(name, &trimmed(found)))
            }
            Some(Relation::Steady(_)) => {
                format!(", {} from the one before", with_unit(name, &trimmed(found)))
            }
            Some(Relation::NotUnderLast) => {
                format!(", and {} before that", with_unit(name, &number(name, found)))
            }
            _ => String::new(),
        }
    }

    /// What has to be read or looked at once the step is done, in one clause:
    /// "nozzle inlet is read and at least 2.5 bar g, and it is ticked as seen".
    pub(crate) fn asks(&self, why: &[Unmet]) -> String {
        let clause = |unmet: &Unmet| match unmet {
            Unmet::NotRead { name, wanted } => self.to_read(name, wanted),
            Unmet::TooShort { name, wanted, since, until, .. } => {
                let when = if until > since {
                    format!(" at {} or later", self.time(*until))
                } else {
                    String::new()
                };
                format!("{} is read again{when} and {}", small(name), self.wish(name, wanted))
            }
            Unmet::NotLooked { .. } => "what must be looked at is ticked as seen".to_owned(),
            Unmet::NoSecond { .. } => "a second person signs".to_owned(),
            other => self.briefly(other),
        };
        why.iter().map(clause).collect::<Vec<_>>().join(", and ")
    }

    /// What is to be read, one of several being enough: "feed pressure is read and 2.0 to 2.8 bar g, or feed flow is read and …".
    fn to_read(&self, name: &str, wanted: &str) -> String {
        let Ok(condition) = Condition::parse(wanted) else {
            return format!("{} is read and {wanted}", small(name));
        };
        let mut parts: Vec<(&str, String)> = Vec::new();
        for term in &condition.terms {
            let says = self.term(term);
            match parts.last_mut() {
                Some((last, wish)) if *last == term.name => *wish = format!("{wish}, or {says}"),
                _ => parts.push((&term.name, format!("{} is read and {says}", small(&term.name)))),
            }
        }
        parts.into_iter().map(|(_, part)| part).collect::<Vec<_>>().join(", or ")
    }

    /// A reading of the time before a step counts, where it is out of what the step wants: when and what it was.
    fn out_before(&self, name: &str, wanted: &str) -> Option<String> {
        let read = self.board.newest(name)?;
        let ago = self.now.duration_since(read.at);
        if ago.is_negative() || ago > EARLIER {
            return None;
        }
        let condition = Condition::parse(wanted).ok()?;
        let out = condition.met(self.board, Some(read.at), read.at);
        matches!(out, Err(Unmet::Out { .. })).then(|| {
            format!(
                "{} read {} at {}, which is out, and was not read again since",
                label(name),
                with_unit(name, &read.text),
                self.time(read.at)
            )
        })
    }

    /// What a condition wants in few words, where it is held: "vacuum, corrected 86.0 %, at least 90.0 % wanted".
    pub(crate) fn briefly(&self, unmet: &Unmet) -> String {
        match unmet {
            Unmet::NotRead { name, .. } => format!("{} not read yet", small(name)),
            Unmet::Out { name, read, wanted, found, .. } => format!(
                "{} {}{}, {} wanted",
                small(name),
                with_unit(name, read),
                found.map_or_else(String::new, |found| self.found(name, wanted, found)),
                self.wish(name, wanted)
            ),
            Unmet::TooShort { name, since, until, .. } if until > since => {
                format!("{} so since {}, not long enough", small(name), self.time(*since))
            }
            Unmet::TooShort { name, .. } => format!("{} read once", small(name)),
            Unmet::NoFigure { name, .. } => format!("{} not told aboard", figure_label(name)),
            Unmet::NotLooked { .. } => "not ticked as seen".to_owned(),
            Unmet::NoSecond { .. } => "no initials of a second person".to_owned(),
            Unmet::Undone { .. } => self.undone(unmet),
            Unmet::Shut { way: Towards::Heat, list, since, until, .. } => {
                let is = if until.is_some() { "was open at" } else { "is open since" };
                format!("{list} {is} {}, and no heat is taken meanwhile", self.time(*since))
            }
            Unmet::Shut { list, since, until, .. } => {
                let is = if until.is_some() { "was open at" } else { "is open since" };
                format!("{list} {is} {} and shut the way to a tank", self.time(*since))
            }
            Unmet::StillOut { .. } => self.still_out(unmet),
            Unmet::Wait { until } => format!("not before {}", self.time(*until)),
            Unmet::Before { .. } => "steps before it stand open".to_owned(),
        }
    }
}

/// That none of the readings was taken of which one is enough.
fn not_read(name: &str, wanted: &str) -> String {
    let mut names: Vec<String> = Vec::new();
    for term in Condition::parse(wanted).iter().flat_map(|condition| &condition.terms) {
        let small = small(&term.name);
        if !names.contains(&small) {
            names.push(small);
        }
    }
    match names.as_slice() {
        [first, second] => format!("Neither {first} nor {second} has been read for this step"),
        [_, _, ..] => format!("None of {} has been read for this step", names.join(", ")),
        _ => format!("{} has not been read for this step", label(name)),
    }
}

/// A reading's label within a sentence.
fn small(name: &str) -> String {
    crate::typed::lower_first(&label(name))
}

/// A number without idle zeros.
fn trimmed(value: f64) -> String {
    quantity::show_number(value, quantity::Precision::Significant(2))
        .trim_end_matches(".0")
        .to_owned()
}

/// A moment by ship's time, with its day where it is another than `now`'s.
pub(super) fn time(clock: &ShipClock, at: Timestamp, now: Timestamp) -> String {
    let (local, today) = (clock.local(at), clock.local(now));
    let form = if local.date() == today.date() { "%H:%M" } else { "%-d %b %H:%M" };
    local.strftime(form).to_string()
}
