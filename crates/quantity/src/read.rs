//! Reading what an engineer types: "31,5 °C", "92 % vac", "3.6 bar", "1 234,5".

use crate::{ConversionError, Pressure, Unit};
use std::fmt;

/// Longest text looked at; a figure with its unit is far shorter.
const LONGEST: usize = 64;

/// A figure as written: finite, with the unit it was written in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The number as written.
    pub value: f64,
    /// The unit as written, or the field's own where none was.
    pub unit: Unit,
}

impl Reading {
    /// The value in SI.
    ///
    /// # Errors
    /// As [`Unit::to_si`].
    pub fn si(self, barometer: Option<Pressure>) -> Result<f64, ConversionError> {
        self.unit.to_si(self.value, barometer)
    }
}

/// How commas and points are to be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Style {
    /// Either is a decimal sign; "1,234" is refused because it can mean two things.
    #[default]
    Either,
    /// The point is the decimal sign, the comma groups thousands.
    Point,
    /// The comma is the decimal sign, the point groups thousands.
    Comma,
}

/// Why a text is not a figure. Every message says what was read and what is allowed.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadError {
    /// Nothing was typed.
    Empty,
    /// Far longer than any figure.
    TooLong {
        /// Characters given.
        length: usize,
        /// Characters allowed.
        allowed: usize,
    },
    /// No number at the start.
    NotANumber {
        /// What was read.
        read: String,
    },
    /// A comma that may be a decimal sign or may group thousands.
    Ambiguous {
        /// What was read.
        read: String,
        /// Its value with a decimal comma.
        as_decimal: f64,
        /// Its value with a thousands comma.
        as_thousands: f64,
    },
    /// Separators that do not stand between groups of three digits.
    Grouping {
        /// What was read.
        read: String,
    },
    /// Beyond what a number can hold.
    TooLarge {
        /// What was read.
        read: String,
    },
    /// No unit is spelled like this.
    UnknownUnit {
        /// What was read.
        read: String,
        /// The unit the field is in.
        field: Unit,
    },
    /// A unit of something else.
    WrongKind {
        /// The unit read.
        read: Unit,
        /// The unit the field is in.
        field: Unit,
    },
    /// A spelling shared by units that differ (bar: gauge or absolute).
    UnclearUnit {
        /// What was read.
        read: String,
        /// The units it may mean.
        candidates: Vec<Unit>,
    },
    /// The field holds a word, not a figure.
    WordField,
}

/// Reads a figure for a field in unit `field`. Without a unit the field's own is meant; another unit of the
/// same kind is taken as written; a short spelling ("bar", "%", "ppm") means the field's own unit where that
/// has it, and a value below nought is a gauge's.
///
/// # Errors
/// [`ReadError`].
pub fn read(text: &str, field: Unit) -> Result<Reading, ReadError> {
    read_styled(text, field, Style::Either)
}

/// As [`read`], with the decimal sign known.
///
/// # Errors
/// [`ReadError`].
pub fn read_styled(text: &str, field: Unit, style: Style) -> Result<Reading, ReadError> {
    if field == Unit::Word {
        return Err(ReadError::WordField);
    }
    let text = checked(text)?;
    let (number, unit) = split(text);
    let value = number_from(number, text, style)?;
    let unit = if unit.is_empty() { field } else { unit_from(unit, value, field)? };
    Ok(Reading { value, unit })
}

/// Reads a number without a unit.
///
/// # Errors
/// [`ReadError`]; anything after the number is refused.
pub fn read_number(text: &str, style: Style) -> Result<f64, ReadError> {
    let text = checked(text)?;
    match split(text) {
        (number, "") => number_from(number, text, style),
        _ => Err(ReadError::NotANumber { read: text.to_owned() }),
    }
}

fn checked(text: &str) -> Result<&str, ReadError> {
    let text = text.trim();
    let length = text.chars().count();
    match length {
        0 => Err(ReadError::Empty),
        1..=LONGEST => Ok(text),
        _ => Err(ReadError::TooLong { length, allowed: LONGEST }),
    }
}

/// Number and unit: the number is the longest start made of digits, signs and separators.
fn split(text: &str) -> (&str, &str) {
    let mut end = 0;
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let exponent =
            matches!(c, 'e' | 'E') && text[..end].ends_with(|d: char| d.is_ascii_digit());
        let step = if exponent {
            let after = &rest[1..];
            let digits = after.trim_start_matches(['+', '-', '\u{2212}']);
            let signed = after.chars().count() - digits.chars().count() <= 1;
            if !(signed && digits.starts_with(|d: char| d.is_ascii_digit())) {
                break;
            }
            rest.len() - digits.len()
        } else if c.is_ascii_digit() || is_sign(c) || is_separator(c) {
            c.len_utf8()
        } else {
            break;
        };
        end += step;
        rest = &text[end..];
    }
    (text[..end].trim(), text[end..].trim())
}

const fn is_sign(c: char) -> bool {
    matches!(c, '+' | '-' | '\u{2212}')
}

fn is_separator(c: char) -> bool {
    matches!(c, '.' | ',' | '\'' | '\u{2019}') || is_space(c)
}

fn is_space(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\u{a0}' | '\u{2007}'..='\u{200a}' | '\u{202f}')
}

fn number_from(number: &str, whole: &str, style: Style) -> Result<f64, ReadError> {
    let not_a_number = || ReadError::NotANumber { read: whole.to_owned() };
    let (mantissa, exponent) = match number.find(['e', 'E']) {
        Some(at) => (&number[..at], number[at + 1..].replace('\u{2212}', "-")),
        None => (number, String::from("0")),
    };
    let (negative, digits) = match mantissa.chars().next() {
        Some(c) if is_sign(c) => (c != '+', mantissa[c.len_utf8()..].trim_start_matches(is_space)),
        Some(_) => (false, mantissa),
        None => return Err(not_a_number()),
    };
    let exponent_is_whole =
        exponent.trim_start_matches(['+', '-']).bytes().all(|b| b.is_ascii_digit());
    if digits.contains(is_sign)
        || !digits.contains(|c: char| c.is_ascii_digit())
        || !exponent_is_whole
    {
        return Err(not_a_number());
    }
    let value = |decimal_at: Option<usize>| {
        let plain = plain(digits, decimal_at)?;
        let sign = if negative { "-" } else { "" };
        format!("{sign}{plain}e{exponent}").parse::<f64>().ok()
    };
    let decimal_at = match decimal_sign(digits, style) {
        Decimal::At(at) => at,
        Decimal::Unclear(at) => {
            return match (value(Some(at)), value(None)) {
                (Some(as_decimal), Some(as_thousands)) => {
                    Err(ReadError::Ambiguous { read: whole.to_owned(), as_decimal, as_thousands })
                }
                _ => Err(ReadError::Grouping { read: whole.to_owned() }),
            };
        }
    };
    match value(decimal_at) {
        Some(value) if value.is_finite() => Ok(value + 0.0),
        Some(_) => Err(ReadError::TooLarge { read: whole.to_owned() }),
        None => Err(ReadError::Grouping { read: whole.to_owned() }),
    }
}

enum Decimal {
    /// Byte position of the decimal sign, if there is one.
    At(Option<usize>),
    /// The separator here can be read both ways.
    Unclear(usize),
}

/// Which of the separators, if any, is the decimal sign.
fn decimal_sign(digits: &str, style: Style) -> Decimal {
    let sign = match style {
        Style::Point => return Decimal::At(digits.find('.')),
        Style::Comma => return Decimal::At(digits.find(',')),
        // The one that comes last; a lone sign that appears twice groups thousands.
        Style::Either => digits.rfind(['.', ',']),
    };
    let Some(at) = sign else { return Decimal::At(None) };
    let (before, after) = (&digits[..at], &digits[at + 1..]);
    let same = &digits[at..=at];
    if before.contains(same) {
        return Decimal::At(None);
    }
    let grouped_already = before.contains(|c: char| !c.is_ascii_digit());
    let could_group = (1..=3).contains(&before.len())
        && !before.starts_with('0')
        && after.len() == 3
        && after.bytes().all(|b| b.is_ascii_digit());
    if same == "," && could_group && !grouped_already {
        Decimal::Unclear(at)
    } else {
        Decimal::At(Some(at))
    }
}

/// Digits with a point for the decimal sign and no groups; `None` if the groups are not of three digits.
fn plain(digits: &str, decimal_at: Option<usize>) -> Option<String> {
    let (whole, decimals) = match decimal_at {
        Some(at) => (&digits[..at], &digits[at + 1..]),
        None => (digits, ""),
    };
    if !decimals.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let mut groups = whole.split(is_separator);
    let first = groups.next().unwrap_or_default();
    let mut joined = first.to_owned();
    let mut separators = whole.chars().filter(|c| is_separator(*c));
    let used = separators.next();
    if separators.any(|c| Some(c) != used) {
        return None;
    }
    for group in groups {
        if group.len() != 3 || !(1..=3).contains(&first.len()) {
            return None;
        }
        joined.push_str(group);
    }
    if joined.is_empty() {
        joined.push('0');
    }
    joined.push('.');
    joined.push_str(decimals);
    Some(joined)
}

/// Reads a unit by its code, symbol or any accepted spelling, for a field in unit `field`: a spelling that several units
/// share means the field's own where that has it.
///
/// # Errors
/// [`ReadError::UnknownUnit`], [`ReadError::WrongKind`], [`ReadError::UnclearUnit`].
pub fn read_unit(text: &str, field: Unit) -> Result<Unit, ReadError> {
    unit_from(text, 0.0, field)
}

/// A value below nought leaves out the units that cannot be: "−0.9 bar" is a gauge's.
fn unit_from(text: &str, value: f64, field: Unit) -> Result<Unit, ReadError> {
    if field.is_spelled(text) {
        return Ok(field);
    }
    let spelled = |unit: &Unit| unit.is_spelled(text);
    let mut of_kind: Vec<Unit> = field.kind().units().filter(spelled).collect();
    if value < 0.0 && of_kind.iter().any(|unit| unit.has_sign()) {
        of_kind.retain(|unit| unit.has_sign());
    }
    field.alike(&mut of_kind);
    if let [unit] = of_kind[..] {
        return Ok(unit);
    }
    if of_kind.len() > 1 {
        return Err(ReadError::UnclearUnit { read: text.to_owned(), candidates: of_kind });
    }
    match Unit::ALL.iter().copied().find(spelled) {
        Some(read) => Err(ReadError::WrongKind { read, field }),
        None => Err(ReadError::UnknownUnit { read: text.to_owned(), field }),
    }
}

/// "°C, K" for the units a field takes.
fn allowed(field: Unit) -> String {
    let names: Vec<String> = field.kind().units().map(|unit| unit.to_string()).collect();
    names.join(", ")
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "nothing was typed: write a figure, or leave the reading out"),
            Self::TooLong { length, allowed } => {
                write!(f, "{length} characters: a figure with its unit takes at most {allowed}")
            }
            Self::NotANumber { read } => {
                write!(f, "{read:?} is not a number: write digits, such as 31.5 or 31,5")
            }
            Self::Ambiguous { read, as_decimal, as_thousands } => write!(
                f,
                "{read:?} can mean {as_decimal} or {as_thousands}: write {as_decimal:?} or {as_thousands}"
            ),
            Self::Grouping { read } => write!(
                f,
                "{read:?}: groups must be of three digits with one decimal sign, such as 1 234,5 or 1234.5"
            ),
            Self::TooLarge { read } => write!(f, "{read:?} is too large a number"),
            Self::UnknownUnit { read, field } => {
                write!(f, "unknown unit {read:?}: this field takes {}", allowed(*field))
            }
            Self::WrongKind { read, field } => {
                write!(f, "{read} does not measure this: the field takes {}", allowed(*field))
            }
            Self::UnclearUnit { read, candidates } => {
                let names: Vec<String> = candidates.iter().map(Unit::to_string).collect();
                write!(f, "{read:?} can mean {}: write which", names.join(" or "))
            }
            Self::WordField => write!(f, "this field takes a word, not a figure"),
        }
    }
}

impl std::error::Error for ReadError {}
