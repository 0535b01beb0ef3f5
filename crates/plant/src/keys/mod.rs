//! One table of every figure the plant model takes or gives: name, unit, range, meaning, where to read it off.

mod point;
mod result;
mod sheet;

/// Which of the three lists a key belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// The plant sheet: what the ship's evaporator is.
    Sheet,
    /// The operating point: what it works under now.
    Point,
    /// The answer: what the model says it does.
    Result,
}

impl Part {
    /// The word for this list in a message.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Sheet => "plant sheet",
            Part::Point => "operating point",
            Part::Result => "result",
        }
    }
}

/// What kind of value a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A number in the key's unit.
    Number,
    /// A number that may be left out; something else then stands in, as the meaning says.
    Optional,
    /// Three shares of a resistance that sum to one: film, wall, film.
    Shares,
    /// Rows of [load in percent, heat in kW], load rising.
    Table,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// A structure: flags, residuals, trims.
    Record,
}

/// One figure of the interchange table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Name in files, forms, flags and JSON, unit included.
    pub key: &'static str,
    /// Which list it belongs to.
    pub part: Part,
    /// What kind of value it takes.
    pub kind: Kind,
    /// Unit code (`degC`, `kg_s`, `t_day` …); empty for a pure number or a word.
    pub unit: &'static str,
    /// Symbol in the equations.
    pub symbol: &'static str,
    /// Refused outside, in `unit`.
    pub hard: (f64, f64),
    /// What plants of this kind show, in `unit` (common practice).
    pub typical: (f64, f64),
    /// Short label for a form or a table.
    pub label: &'static str,
    /// One sentence: what it is.
    pub meaning: &'static str,
    /// Where to read it off, or what to do when a value is refused.
    pub place: &'static str,
    /// Why nothing outside `hard` is taken.
    pub why: &'static str,
}

/// Every key of the plant sheet, in the order of the form.
pub const SHEET: &[Key] = sheet::KEYS;
/// Every key of the operating point, in the order of the form.
pub const POINT: &[Key] = point::KEYS;
/// Every key of the result, in the order it is written.
pub const RESULT: &[Key] = result::KEYS;

/// The keys of one part.
#[must_use]
pub fn of(part: Part) -> &'static [Key] {
    match part {
        Part::Sheet => SHEET,
        Part::Point => POINT,
        Part::Result => RESULT,
    }
}

/// Looks a key up in one part.
#[must_use]
pub fn find(part: Part, key: &str) -> Option<&'static Key> {
    of(part).iter().find(|k| k.key == key)
}

/// The known key of a part most like the one typed, if any is near enough to be meant.
///
/// Nearness is Jaro-Winkler similarity of at least 0.80 (common practice for names).
#[must_use]
pub fn nearest(part: Part, typed: &str) -> Option<&'static str> {
    of(part)
        .iter()
        .map(|k| (strsim::jaro_winkler(k.key, typed), k.key))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(score, _)| *score >= 0.80)
        .map(|(_, key)| key)
}
