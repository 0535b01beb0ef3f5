//! What a guard asks of a reading: `product_salt_mg_kg <= limit.salinity_mg_kg for 10 min`.
//!
//! ```text
//! condition   term, or more joined by "or": one of them is enough
//! term        NAME relation, or NAME relation for MINUTES min
//! relation    >= figure | <= figure | between figure and figure | within NUMBER of figure
//!             | steady NUMBER (no reading further from another) | moving <= NUMBER a min | is WORD, or WORD|WORD
//!             | not under last (for counters)
//! figure      NUMBER | NAME | NUMBER * NAME | NAME + NUMBER | NAME - NUMBER
//! ```

use std::fmt;

use jiff::{SignedDuration, Timestamp};

use crate::seen::{Reading, Seen, Unmet};

/// Before the first step, the newest reading counts where it is no older than this, min.
const FRESH_MIN: f64 = 60.0;
/// Before the first step, what must last is looked for so far back, min.
const LOOK_BACK_MIN: f64 = 12.0 * 60.0;
/// Of readings that show a length of time none lies further from the next than so many times that length, and than that length
/// and so many minutes more, whichever is more (our choice): what was so hours ago says nothing of the time between.
const APART: (f64, f64) = (1.5, 5.0);

/// What must be true before going on.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// As it stands in the file.
    pub text: String,
    /// One of these is enough.
    pub terms: Vec<Term>,
}

/// What one reading must say.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// The reading's name.
    pub name: String,
    /// What it must say.
    pub relation: Relation,
    /// How long.
    pub times: Times,
}

/// How long a reading must say it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Times {
    /// The newest says it.
    Once,
    /// Readings at least so many minutes apart and all between them say it, none of them much further than that from the next.
    Lasting(f64),
}

/// A relation to a figure.
#[derive(Debug, Clone, PartialEq)]
pub enum Relation {
    /// At least.
    AtLeast(Figure),
    /// At most.
    AtMost(Figure),
    /// From one to the other.
    Between(Figure, Figure),
    /// No further from a figure than this.
    Within(f64, Figure),
    /// No two readings of the time further from each other than this.
    Steady(f64),
    /// No faster from one reading to the next than this, a minute.
    Moving(f64),
    /// One of these words.
    Is(Vec<String>),
    /// A counter: not under the reading before it.
    NotUnderLast,
}

/// A number, or a figure that stands aboard, times and plus a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name; none for a number.
    pub name: Option<String>,
    /// What it is multiplied by.
    pub times: f64,
    /// What is added then; the number itself where there is no name.
    pub plus: f64,
}

/// Why a condition cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ConditionError {
    /// What was read where it stopped; empty at the end.
    pub at: String,
    /// What is wanted there.
    pub wanted: &'static str,
}

impl fmt::Display for ConditionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.at.as_str() {
            "" => write!(f, "it ends where {} is wanted", self.wanted),
            at => write!(f, "“{at}” stands where {} is wanted", self.wanted),
        }
    }
}

impl std::error::Error for ConditionError {}

impl Condition {
    /// Reads a condition.
    ///
    /// # Errors
    /// [`ConditionError`] with the word it stopped at.
    pub fn parse(text: &str) -> Result<Self, ConditionError> {
        let mut words = Words { rest: text.split_whitespace().collect(), next: 0 };
        let mut terms = vec![words.term()?];
        while words.take("or") {
            terms.push(words.term()?);
        }
        match words.peek() {
            None => Ok(Self { text: text.split_whitespace().collect::<Vec<_>>().join(" "), terms }),
            Some(at) => Err(ConditionError {
                at: at.to_owned(),
                wanted: "“for … min”, “or” or the end",
            }),
        }
    }

    /// Whether it is so now; readings since `from` count. Where there was no step before, the newest of the last hour
    /// counts, and for what must last those before it too.
    ///
    /// # Errors
    /// What keeps it from being so; of several terms the reason of the one that is nearest to it.
    pub fn met(
        &self,
        seen: &(impl Seen + ?Sized),
        from: Option<Timestamp>,
        now: Timestamp,
    ) -> Result<(), Unmet> {
        let mut nearest: Option<Unmet> = None;
        for term in &self.terms {
            match self.term_shown(term, seen, from, now) {
                Ok(_) => return Ok(()),
                Err(unmet) => {
                    let nearer = nearest.as_ref().is_none_or(|n| unmet.far() < n.far());
                    nearest = if nearer { Some(unmet) } else { nearest };
                }
            }
        }
        nearest.map_or(Ok(()), Err)
    }

    /// When the readings were taken by which it has lasted as long as it must, oldest first; none where it need not last, or
    /// has not.
    #[must_use]
    pub fn shown_by(
        &self,
        seen: &(impl Seen + ?Sized),
        from: Option<Timestamp>,
        now: Timestamp,
    ) -> Vec<Timestamp> {
        let met = self
            .terms
            .iter()
            .find_map(|term| Some((term, self.term_shown(term, seen, from, now).ok()?)));
        met.filter(|(term, _)| term.times != Times::Once).map_or_else(Vec::new, |(_, by)| by)
    }

    /// The moments of the readings that show it.
    fn term_shown(
        &self,
        term: &Term,
        seen: &(impl Seen + ?Sized),
        from: Option<Timestamp>,
        now: Timestamp,
    ) -> Result<Vec<Timestamp>, Unmet> {
        let name = || term.name.clone();
        let wanted = || self.text.clone();
        let lasting = match term.times {
            Times::Once => 0.0,
            Times::Lasting(min) => min,
        };
        let back = if lasting > 0.0 { LOOK_BACK_MIN.max(FRESH_MIN + lasting) } else { FRESH_MIN };
        let since = from.unwrap_or_else(|| before(now, back));
        let readings: Vec<Reading> =
            seen.since(&term.name, since).into_iter().filter(|reading| reading.at <= now).collect();
        let fresh = |reading: &&Reading| from.is_some() || reading.at >= before(now, FRESH_MIN);
        let Some(newest) = readings.last().filter(fresh) else {
            return Err(Unmet::NotRead { name: name(), wanted: wanted() });
        };
        let out = |found: Option<f64>| {
            let (read, at) = (newest.text.clone(), newest.at);
            Err(Unmet::Out { name: name(), read, at, wanted: wanted(), found })
        };
        if term.relation == Relation::NotUnderLast {
            let all = seen.since(&term.name, Timestamp::MIN);
            let last = all.iter().filter(|r| r.at < newest.at).filter_map(|r| r.value).next_back();
            return match (newest.value, last) {
                (Some(value), last) if last.is_none_or(|last| value >= last) => Ok(vec![newest.at]),
                _ => out(last),
            };
        }
        let known =
            term.relation.known(seen).map_err(|name| Unmet::NoFigure { name, wanted: wanted() })?;
        let says = known.span(&readings);
        if says == 0 {
            return out(known.found(&readings));
        }
        let span = if lasting > 0.0 { together(&readings, says, lasting) } else { says };
        let oldest = &readings[readings.len() - span];
        let so_far_min = minutes(oldest.at, newest.at);
        // Steadiness and pace want two readings; a length of time wants two that far apart.
        let wants_two = matches!(term.relation, Relation::Steady(_) | Relation::Moving(_));
        // Two of late that do not agree are out, not too few.
        let recent = readings.iter().filter(|r| r.at >= before(now, FRESH_MIN + lasting)).count();
        if wants_two && says < 2 && (if from.is_some() { readings.len() } else { recent }) > 1 {
            return out(known.found(&readings));
        }
        if so_far_min < lasting || (wants_two && span < 2) {
            let until = after(oldest.at, lasting);
            return Err(Unmet::TooShort {
                name: name(),
                wanted: wanted(),
                so_far_min,
                since: oldest.at,
                until,
                count: span,
            });
        }
        Ok(readings[readings.len() - span..].iter().map(|reading| reading.at).collect())
    }

    /// The names of readings and of figures it speaks of.
    pub fn names(&self) -> impl Iterator<Item = (&str, bool)> {
        self.terms.iter().flat_map(|term| {
            let figures = term.relation.figures();
            let figures = figures.into_iter().filter_map(|figure| figure.name.as_deref());
            std::iter::once((term.name.as_str(), false)).chain(figures.map(|name| (name, true)))
        })
    }
}

fn before(now: Timestamp, min: f64) -> Timestamp {
    #[allow(clippy::cast_possible_truncation)] // some days of seconds
    let back = SignedDuration::from_secs((min * 60.0) as i64);
    now.checked_sub(back).unwrap_or(Timestamp::MIN)
}

#[allow(clippy::cast_possible_truncation)] // some days of seconds
fn after(at: Timestamp, min: f64) -> Timestamp {
    at.checked_add(SignedDuration::from_secs((min * 60.0).ceil() as i64)).unwrap_or(Timestamp::MAX)
}

/// How many of the newest readings that say it follow each other closely enough to show that it lasted.
fn together(readings: &[Reading], says: usize, lasting: f64) -> usize {
    let most = (APART.0 * lasting).max(APART.1 + lasting);
    let near = |pair: &&[Reading]| minutes(pair[0].at, pair[1].at) <= most;
    let pairs = readings[readings.len() - says..].windows(2);
    1 + pairs.rev().take_while(near).count()
}

fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

/// A relation with its figures looked up.
enum Known<'a> {
    Range(f64, f64),
    Steady(f64),
    Moving(f64),
    Is(&'a [String]),
}

impl Known<'_> {
    /// What the two newest readings say of pace (a minute) or of steadiness (how far apart).
    fn found(&self, readings: &[Reading]) -> Option<f64> {
        let [.., a, b] = readings else { return None };
        let apart = (b.value? - a.value?).abs();
        match self {
            Known::Steady(_) => Some(apart),
            Known::Moving(_) => {
                let min = minutes(a.at, b.at);
                (min > 0.0).then(|| apart / min)
            }
            Known::Range(..) | Known::Is(_) => None,
        }
    }

    /// How many of the newest readings say it, one after the other back from the last.
    fn span(&self, readings: &[Reading]) -> usize {
        match self {
            Known::Range(low, high) => {
                let inside =
                    |r: &&Reading| r.value.is_some_and(|value| (*low..=*high).contains(&value));
                readings.iter().rev().take_while(inside).count()
            }
            Known::Is(words) => {
                let is = |r: &&Reading| words.iter().any(|word| r.text.eq_ignore_ascii_case(word));
                readings.iter().rev().take_while(is).count()
            }
            Known::Steady(most) => {
                let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
                let near = |r: &&Reading| {
                    let Some(value) = r.value else { return false };
                    (low, high) = (low.min(value), high.max(value));
                    high - low <= *most
                };
                readings.iter().rev().take_while(near).count()
            }
            Known::Moving(most) => {
                let slow = |pair: &&[Reading]| {
                    let (Some(a), Some(b)) = (pair[0].value, pair[1].value) else { return false };
                    let min = minutes(pair[0].at, pair[1].at);
                    min > 0.0 && (b - a).abs() / min <= *most
                };
                let pairs: Vec<&[Reading]> = readings.windows(2).collect();
                let slow = pairs.iter().rev().copied().take_while(slow).count();
                match (pairs.is_empty(), slow) {
                    // One reading alone contradicts nothing.
                    (true, _) => 1,
                    (false, 0) => 0,
                    (false, slow) => slow + 1,
                }
            }
        }
    }
}

impl Relation {
    fn figures(&self) -> Vec<&Figure> {
        match self {
            Self::AtLeast(a) | Self::AtMost(a) | Self::Within(_, a) => vec![a],
            Self::Between(a, b) => vec![a, b],
            Self::Steady(_) | Self::Moving(_) | Self::Is(_) | Self::NotUnderLast => Vec::new(),
        }
    }

    /// From which figure to which it is met, where both stand in the text itself.
    pub(crate) fn plain_range(&self) -> Option<(f64, f64)> {
        let plain = |figure: &Figure| figure.name.is_none().then_some(figure.plus);
        Some(match self {
            Self::AtLeast(a) => (plain(a)?, f64::INFINITY),
            Self::AtMost(a) => (f64::NEG_INFINITY, plain(a)?),
            Self::Between(a, b) => (plain(a)?, plain(b)?),
            Self::Within(by, a) => (plain(a)? - by, plain(a)? + by),
            Self::Steady(_) | Self::Moving(_) | Self::Is(_) | Self::NotUnderLast => return None,
        })
    }

    /// With its figures looked up; else the name of the first that is not known.
    fn known(&self, seen: &(impl Seen + ?Sized)) -> Result<Known<'_>, String> {
        let of = |figure: &Figure| match &figure.name {
            None => Ok(figure.plus),
            Some(name) => match seen.figure(name) {
                Some(value) => Ok(figure.times * value + figure.plus),
                None => Err(name.clone()),
            },
        };
        Ok(match self {
            Self::AtLeast(a) => Known::Range(of(a)?, f64::INFINITY),
            Self::AtMost(a) => Known::Range(f64::NEG_INFINITY, of(a)?),
            Self::Between(a, b) => Known::Range(of(a)?, of(b)?),
            Self::Within(by, a) => {
                let middle = of(a)?;
                Known::Range(middle - by, middle + by)
            }
            Self::Steady(most) => Known::Steady(*most),
            Self::Moving(most) => Known::Moving(*most),
            Self::Is(words) => Known::Is(words),
            // Asked of the readings themselves; any number passes here.
            Self::NotUnderLast => Known::Range(f64::NEG_INFINITY, f64::INFINITY),
        })
    }
}

/// The words of a condition, one after the other.
struct Words<'a> {
    rest: Vec<&'a str>,
    next: usize,
}

impl<'a> Words<'a> {
    fn peek(&self) -> Option<&'a str> {
        self.rest.get(self.next).copied()
    }

    fn take(&mut self, word: &str) -> bool {
        let is = self.peek() == Some(word);
        self.next += usize::from(is);
        is
    }

    fn want(&mut self, word: &str, wanted: &'static str) -> Result<(), ConditionError> {
        if self.take(word) { Ok(()) } else { Err(self.stopped(wanted)) }
    }

    fn stopped(&self, wanted: &'static str) -> ConditionError {
        ConditionError { at: self.peek().unwrap_or_default().to_owned(), wanted }
    }

    fn number(&mut self, wanted: &'static str) -> Result<f64, ConditionError> {
        let number = self.peek().and_then(|word| word.parse().ok()).filter(|x: &f64| x.is_finite());
        let number = number.ok_or_else(|| self.stopped(wanted))?;
        self.next += 1;
        Ok(number)
    }

    fn name(&mut self, wanted: &'static str) -> Result<String, ConditionError> {
        let name = self.peek().filter(|word| is_name(word)).ok_or_else(|| self.stopped(wanted))?;
        self.next += 1;
        Ok(name.to_owned())
    }

    fn figure(&mut self) -> Result<Figure, ConditionError> {
        const WANTED: &str = "a number or a figure’s name";
        let number = self.peek().is_some_and(|word| word.parse::<f64>().is_ok());
        let times = if number { Some(self.number(WANTED)?) } else { None };
        match times {
            Some(plus) if !self.take("*") => Ok(Figure { name: None, times: 1.0, plus }),
            _ => {
                let name = self.name(WANTED)?;
                let sign = if self.take("+") {
                    1.0
                } else if self.take("-") {
                    -1.0
                } else {
                    0.0
                };
                let plus = if sign == 0.0 { 0.0 } else { sign * self.number("a number")? };
                Ok(Figure { name: Some(name), times: times.unwrap_or(1.0), plus })
            }
        }
    }

    fn relation(&mut self) -> Result<Relation, ConditionError> {
        const WANTED: &str = "one of >=, <=, between, within, steady, moving, is, not under last";
        let word = self.peek().unwrap_or_default();
        if !matches!(word, ">=" | "<=" | "between" | "within" | "steady" | "moving" | "is" | "not")
        {
            return Err(self.stopped(WANTED));
        }
        self.next += 1;
        Ok(match word {
            ">=" => Relation::AtLeast(self.figure()?),
            "<=" => Relation::AtMost(self.figure()?),
            "between" => {
                let low = self.figure()?;
                self.want("and", "“and”")?;
                Relation::Between(low, self.figure()?)
            }
            "within" => {
                let by = self.number("a number")?;
                self.want("of", "“of”")?;
                Relation::Within(by, self.figure()?)
            }
            "steady" => Relation::Steady(self.number("a number")?),
            "moving" => {
                self.want("<=", "“<=”")?;
                let most = self.number("a number")?;
                self.want("a", "“a min”")?;
                self.want("min", "“min”")?;
                Relation::Moving(most)
            }
            "not" => {
                self.want("under", "“under last”")?;
                self.want("last", "“last”")?;
                Relation::NotUnderLast
            }
            _ => {
                let words = self.peek().ok_or_else(|| self.stopped("a word"))?;
                self.next += 1;
                Relation::Is(words.split('|').map(|word| word.replace('_', " ")).collect())
            }
        })
    }

    fn term(&mut self) -> Result<Term, ConditionError> {
        let name = self.name("a reading’s name")?;
        let relation = self.relation()?;
        let times = if self.take("for") {
            let min = self.number("minutes")?;
            self.want("min", "“min”")?;
            Times::Lasting(min.max(0.0))
        } else {
            Times::Once
        };
        Ok(Term { name, relation, times })
    }
}

fn is_name(word: &str) -> bool {
    const KEPT: [&str; 10] =
        ["or", "for", "and", "of", "is", "between", "within", "steady", "moving", "min"];
    let first = word.chars().next().is_some_and(|c| c.is_ascii_lowercase());
    first
        && !KEPT.contains(&word)
        && word
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || c == '.')
}
