//! A procedure from its file: every problem is told with its line, what was read, what is allowed and what to do.

use std::fmt;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::condition::Condition;
use crate::kind::{Foretelling, Foretold, Nature, Procedure, Step, Towards, Who};

/// Most a file may measure, bytes.
const LARGEST: usize = 128 * 1024;
/// Most steps.
const MOST_STEPS: usize = 60;
/// Longest text of one key, signs.
const LONGEST: usize = 600;
/// Longest time of one step, min: three days.
const LONGEST_MIN: f64 = 4320.0;

/// The names a guard may speak of.
#[derive(Debug, Clone, Default)]
pub struct Names<'a> {
    /// Of readings.
    pub readings: Vec<&'a str>,
    /// Of figures: `limit.…`, `order.…`, `set.…`, `expected.…`.
    pub figures: Vec<&'a str>,
    /// What a reading can be at all, least and most in its unit, by its name: a guard outside could never be met.
    pub ranges: Vec<(&'a str, (f64, f64))>,
}

/// One thing in a file that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Line, counted from 1; none when it is about the whole.
    pub line: Option<usize>,
    /// Key, and which step it stands in.
    pub key: String,
    /// What was read, what is allowed and what to do.
    pub message: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}, {}: {}", self.key, self.message),
            None => write!(f, "{}: {}", self.key, self.message),
        }
    }
}

const KEYS: &[&str] = &["key", "name", "about", "nature", "source", "cautions", "step"];
const STEP_KEYS: &[&str] = &[
    "key",
    "do",
    "why",
    "otherwise",
    "caution",
    "look",
    "see",
    "towards",
    "takes_min",
    "wait_min",
    "foretold",
    "who",
    "overridden_by",
    "way_out",
    "after",
    "note",
    "second",
    "quick",
];

/// Reads a procedure; guards may speak of these names.
///
/// # Errors
/// Every problem found, in the order of the file.
pub fn read(text: &str, names: &Names<'_>) -> Result<Procedure, Vec<Problem>> {
    if text.len() > LARGEST {
        let message =
            format!("{} bytes, at most {LARGEST} are read: is it another file?", text.len());
        return Err(vec![Problem { line: None, key: "the file".into(), message }]);
    }
    let table = DeTable::parse(text).map_err(|e| {
        let line = e.span().map(|span| line_of(text, span.start));
        let message = format!("{}; texts stand between quotation marks", e.message());
        vec![Problem { line, key: "the file".into(), message }]
    })?;
    let mut reader = Reader { text, names, problems: Vec::new() };
    let procedure = reader.procedure(table.get_ref());
    reader.problems.sort_by_key(|problem| problem.line);
    match procedure {
        Some(procedure) if reader.problems.is_empty() => Ok(procedure),
        _ => Err(reader.problems),
    }
}

fn line_of(text: &str, at: usize) -> usize {
    text.as_bytes().iter().take(at).filter(|byte| **byte == b'\n').count() + 1
}

type Value<'a, 'i> = &'a Spanned<DeValue<'i>>;

struct Reader<'t> {
    text: &'t str,
    names: &'t Names<'t>,
    problems: Vec<Problem>,
}

impl Reader<'_> {
    fn tell(&mut self, at: Option<usize>, key: &str, message: impl Into<String>) {
        let line = at.map(|at| line_of(self.text, at));
        self.problems.push(Problem { line, key: key.to_owned(), message: message.into() });
    }

    fn procedure(&mut self, table: &DeTable<'_>) -> Option<Procedure> {
        self.known(table, KEYS, "");
        let key = self.text_of(table, "", "key", None)?;
        if !is_key(&key) {
            let at = table.get("key").map(|value| value.span().start);
            self.tell(
                at,
                "key",
                format!("“{key}”: small letters, figures and - only, as in \"change-tank\""),
            );
        }
        let name = self.text_of(table, "", "name", None);
        let about = self.text_of(table, "", "about", None);
        let source = self.text_of(table, "", "source", None);
        let nature = self.word_of(table, "", "nature", None, Nature::WORDS, Nature::from_word);
        let cautions = self.texts_of(table, "", "cautions");
        let steps = match table.get("step").map(|value| (value.span().start, value.get_ref())) {
            Some((_, DeValue::Array(steps))) if !steps.is_empty() && steps.len() <= MOST_STEPS => {
                let steps: Vec<Option<Step>> = steps.iter().map(|step| self.step(step)).collect();
                steps.into_iter().collect::<Option<Vec<Step>>>()
            }
            found => {
                let at = found.map(|(at, _)| at);
                let message = format!("1 to {MOST_STEPS} steps, each under a [[step]] of its own");
                self.tell(at, "step", message);
                None
            }
        }?;
        self.steps_apart(table, &steps);
        let (name, about, source, nature) = (name?, about?, source?, nature?);
        Some(Procedure { key, name, about, nature, cautions, source, steps })
    }

    /// No two steps by one key.
    fn steps_apart(&mut self, table: &DeTable<'_>, steps: &[Step]) {
        let Some(DeValue::Array(spans)) = table.get("step").map(Spanned::get_ref) else { return };
        for (i, step) in steps.iter().enumerate() {
            if steps[..i].iter().any(|other| other.key == step.key) {
                let at = spans.get(i).map(|value| value.span().start);
                let message =
                    format!("“{}” is the key of an earlier step: give each its own", step.key);
                self.tell(at, "step key", message);
            }
            if let Some(foretold) = &step.foretold
                && steps[..=i].iter().all(|other| other.key != foretold.after)
            {
                let at = spans.get(i).map(|value| value.span().start);
                let message = format!(
                    "“{}” is no step up to this one: name the step from whose tick it is counted",
                    foretold.after
                );
                self.tell(at, &format!("step {}: foretold", step.key), message);
            }
            for (key, _) in &step.after {
                if steps[..i].iter().all(|other| other.key != *key) {
                    let at = spans.get(i).map(|value| value.span().start);
                    let message = format!("“{key}” is no step before this one: name one that is");
                    self.tell(at, &format!("step {}: after", step.key), message);
                }
            }
        }
    }

    fn step(&mut self, value: Value<'_, '_>) -> Option<Step> {
        let at = Some(value.span().start);
        let DeValue::Table(table) = value.get_ref() else {
            self.tell(at, "step", "a step is written under [[step]]");
            return None;
        };
        let key = self.text_of(table, "step ", "key", at)?;
        if !is_key(&key) {
            let at = table.get("key").map(|value| value.span().start).or(at);
            self.tell(at, "step key", format!("“{key}”: small letters, figures and - only"));
        }
        let of = format!("step {key}: ");
        self.known(table, STEP_KEYS, &of);
        let what = self.text_of(table, &of, "do", at);
        let why = self.text_of(table, &of, "why", at);
        let optional = |reader: &mut Self, name: &'static str| match table.get(name) {
            Some(_) => reader.text_of(table, &of, name, at).unwrap_or_default(),
            None => String::new(),
        };
        let otherwise = optional(self, "otherwise");
        let caution = optional(self, "caution");
        let look = optional(self, "look");
        let way_out = optional(self, "way_out");
        let note = optional(self, "note");
        let second = optional(self, "second");
        let quick = optional(self, "quick");
        let after = self.after(table, &of);
        let towards = match table.contains_key("towards") {
            true => self.word_of(table, &of, "towards", at, Towards::WORDS, Towards::from_word),
            false => Some(Towards::Nothing),
        };
        let who = match table.contains_key("who") {
            true => self.word_of(table, &of, "who", at, Who::WORDS, Who::from_word),
            false => Some(Who::Watch),
        };
        let overridden_by = match table.contains_key("overridden_by") {
            true => self.word_of(table, &of, "overridden_by", at, Who::WORDS, Who::from_word),
            false => Some(Who::Engineer),
        };
        let takes_min = self.takes(table, &of, at);
        let wait_min = match table.get("wait_min") {
            Some(value) => self.minutes(value, &format!("{of}wait_min")),
            None => Some(0.0),
        };
        let foretold = self.foretold(table, &of, &key)?;
        let see = self.conditions(table, &of);
        Some(Step {
            key,
            what: what?,
            why: why?,
            otherwise,
            caution,
            look,
            see: see?,
            towards: towards?,
            takes_min: takes_min?,
            wait_min: wait_min?,
            foretold,
            who: who?,
            overridden_by: overridden_by?,
            way_out,
            after,
            note,
            second,
            quick,
        })
    }

    /// "heat-off: what the wrong order may have done", for each step that must lie before.
    fn after(&mut self, table: &DeTable<'_>, of: &str) -> Vec<(String, String)> {
        let at = table.get("after").map(|value| value.span().start);
        let mut out = Vec::new();
        for text in self.texts_of(table, of, "after") {
            match text.split_once(':') {
                Some((key, harm)) if is_key(key) && !harm.trim().is_empty() => {
                    out.push((key.to_owned(), harm.trim().to_owned()));
                }
                _ => {
                    let message = format!(
                        "“{text}”: write the key of the step that must lie before, a colon, and what the wrong order may have done"
                    );
                    self.tell(at, &format!("{of}after"), message);
                }
            }
        }
        out
    }

    /// "vacuum after ejector-pump": what is foretold, and the step it is counted from.
    fn foretold(
        &mut self,
        table: &DeTable<'_>,
        of: &str,
        own: &str,
    ) -> Option<Option<Foretelling>> {
        let Some(value) = table.get("foretold") else { return Some(None) };
        let text = self.text_of(table, of, "foretold", None)?;
        let (word, after) = text.split_once(" after ").unwrap_or((&text, own));
        let Some(what) = Foretold::from_word(word) else {
            let hint = near(word, Foretold::WORDS.iter().copied());
            let known = Foretold::WORDS.join(", ");
            let message = format!("“{word}” is none of {known}{hint}; write \"vacuum after KEY\"");
            self.tell(Some(value.span().start), &format!("{of}foretold"), message);
            return None;
        };
        Some(Some(Foretelling { what, after: after.trim().to_owned() }))
    }

    fn known(&mut self, table: &DeTable<'_>, keys: &[&str], of: &str) {
        for (key, _) in table {
            let name: &str = key.get_ref();
            if !keys.contains(&name) {
                let hint = near(name, keys.iter().copied());
                let message = format!("no such key{hint}; known are {}", keys.join(", "));
                self.tell(Some(key.span().start), &format!("{of}{name}"), message);
            }
        }
    }

    fn text_of(
        &mut self,
        table: &DeTable<'_>,
        of: &str,
        name: &str,
        at: Option<usize>,
    ) -> Option<String> {
        let key = format!("{of}{name}");
        let Some(value) = table.get(name) else {
            self.tell(at, &key, "is missing: write it");
            return None;
        };
        let place = Some(value.span().start);
        let DeValue::String(text) = value.get_ref() else {
            self.tell(place, &key, "a text between quotation marks is wanted");
            return None;
        };
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let length = text.chars().count();
        if text.is_empty() || length > LONGEST {
            let message = format!("{length} signs: 1 to {LONGEST} are taken");
            self.tell(place, &key, message);
            return None;
        }
        Some(text)
    }

    fn texts_of(&mut self, table: &DeTable<'_>, of: &str, name: &str) -> Vec<String> {
        let Some(value) = table.get(name) else { return Vec::new() };
        let DeValue::Array(texts) = value.get_ref() else {
            let message = "a list of texts is wanted: [\"…\", \"…\"]";
            self.tell(Some(value.span().start), &format!("{of}{name}"), message);
            return Vec::new();
        };
        let mut out = Vec::new();
        for text in texts {
            match text.get_ref() {
                DeValue::String(text) if text.chars().count() <= LONGEST => {
                    out.push(text.split_whitespace().collect::<Vec<_>>().join(" "));
                }
                _ => {
                    let message = format!("a text of at most {LONGEST} signs is wanted");
                    self.tell(Some(text.span().start), &format!("{of}{name}"), message);
                }
            }
        }
        out
    }

    fn word_of<T>(
        &mut self,
        table: &DeTable<'_>,
        of: &str,
        name: &str,
        at: Option<usize>,
        words: &[&str],
        from: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let word = self.text_of(table, of, name, at)?;
        let found = from(&word);
        if found.is_none() {
            let at = table.get(name).map(|value| value.span().start).or(at);
            let hint = near(&word, words.iter().copied());
            let message = format!("“{word}” is none of {}{hint}", words.join(", "));
            self.tell(at, &format!("{of}{name}"), message);
        }
        found
    }

    fn takes(&mut self, table: &DeTable<'_>, of: &str, at: Option<usize>) -> Option<(f64, f64)> {
        let key = format!("{of}takes_min");
        let Some(value) = table.get("takes_min") else {
            self.tell(at, &key, "is missing: least and most minutes, as in [5, 10]");
            return None;
        };
        let ends: Vec<f64> = match value.get_ref() {
            DeValue::Array(ends) => {
                ends.iter().map(|end| self.minutes(end, &key)).collect::<Option<Vec<_>>>()?
            }
            _ => vec![self.minutes(value, &key)?],
        };
        match ends.as_slice() {
            [one] => Some((*one, *one)),
            [least, most] if least <= most => Some((*least, *most)),
            _ => {
                let message = "least and most minutes are wanted, the lesser first, as in [5, 10]";
                self.tell(Some(value.span().start), &key, message);
                None
            }
        }
    }

    fn minutes(&mut self, value: Value<'_, '_>, key: &str) -> Option<f64> {
        let number: Option<f64> = match value.get_ref() {
            DeValue::Integer(number) => number.as_str().parse().ok(),
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => None,
        };
        let number = number.filter(|min| (0.0..=LONGEST_MIN).contains(min));
        if number.is_none() {
            let message =
                format!("minutes are wanted, 0 to {LONGEST_MIN}, with a point, not a comma");
            self.tell(Some(value.span().start), key, message);
        }
        number
    }

    fn conditions(&mut self, table: &DeTable<'_>, of: &str) -> Option<Vec<Condition>> {
        let key = format!("{of}see");
        let Some(value) = table.get("see") else { return Some(Vec::new()) };
        let texts: Vec<Value<'_, '_>> = match value.get_ref() {
            DeValue::Array(texts) => texts.iter().collect(),
            _ => vec![value],
        };
        let mut out = Some(Vec::new());
        for text in texts {
            let at = Some(text.span().start);
            let DeValue::String(said) = text.get_ref() else {
                self.tell(at, &key, "a condition is a text: \"vapour_temp_c between 40 and 50\"");
                out = None;
                continue;
            };
            match Condition::parse(said) {
                Ok(condition) => {
                    self.names_known(&condition, &key, at);
                    self.can_be(&condition, &key, at);
                    if let Some(out) = &mut out {
                        out.push(condition);
                    }
                }
                Err(e) => {
                    self.tell(at, &key, format!("“{said}”: {e}"));
                    out = None;
                }
            }
        }
        out
    }

    /// A term that no reading could ever meet.
    fn can_be(&mut self, condition: &Condition, key: &str, at: Option<usize>) {
        for term in &condition.terms {
            let Some((low, high)) = term.relation.plain_range() else { continue };
            if low > high {
                let message = format!(
                    "“{}”: {low} is more than {high}, so it could never be met: the lesser figure first",
                    condition.text
                );
                self.tell(at, key, message);
                continue;
            }
            let known = self.names.ranges.iter().find(|(name, _)| *name == term.name);
            let Some((name, (least, most))) = known else { continue };
            if low > *most || high < *least {
                let message = format!(
                    "“{}”: {name} runs from {least} to {most}, so it could never be met: mend the figure",
                    condition.text
                );
                self.tell(at, key, message);
            }
        }
    }

    fn names_known(&mut self, condition: &Condition, key: &str, at: Option<usize>) {
        for (name, is_figure) in condition.names() {
            let known = if is_figure { &self.names.figures } else { &self.names.readings };
            if !known.contains(&name) {
                let what = if is_figure { "figure" } else { "reading" };
                let hint = near(name, known.iter().copied());
                let message = format!("“{name}” is no {what} known here{hint}");
                self.tell(at, key, message);
            }
        }
    }
}

fn is_key(key: &str) -> bool {
    key.len() <= 40 && key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

/// The name most like what was typed, as a question.
fn near<'a>(typed: &str, known: impl Iterator<Item = &'a str>) -> String {
    known
        .map(|name| (strsim::jaro_winkler(name, typed), name))
        .filter(|(score, _)| *score > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or_else(String::new, |(_, name)| format!(": is “{name}” meant?"))
}
