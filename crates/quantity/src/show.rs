//! Values as people see them: plausible digits, true minus sign, thin spaces.

use crate::Unit;

/// Thin space that does not break the line, between number and unit and between groups of digits.
const THIN_SPACE: char = '\u{202f}';

/// The true minus sign.
const MINUS: char = '\u{2212}';

/// How many digits are worth showing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Precision {
    /// A fixed number of decimals.
    Decimals(u8),
    /// A fixed number of significant digits; below 0.001 as a × 10ⁿ.
    Significant(u8),
}

/// The value with the unit's usual digits and its symbol; "—" for a value that is not finite.
///
/// ```
/// use quantity::{Unit, show};
/// assert_eq!(show(31.46, Unit::DegC), "31.5\u{202f}°C");
/// assert_eq!(show(-0.04, Unit::KDiff), "0.0\u{202f}K");
/// assert_eq!(show(-2.25, Unit::DegC), "\u{2212}2.2\u{202f}°C");
/// assert_eq!(show(12_345.6, Unit::KW), "12\u{202f}346\u{202f}kW");
/// assert_eq!(show(1e-4, Unit::M2KW), "1.0\u{202f}×\u{202f}10⁻⁴\u{202f}m²K/W");
/// ```
#[must_use]
pub fn show(value: f64, unit: Unit) -> String {
    show_to(value, unit, unit.precision())
}

/// The value with chosen digits and the unit's symbol.
#[must_use]
pub fn show_to(value: f64, unit: Unit, precision: Precision) -> String {
    let mut text = show_number(value, precision);
    if !unit.symbol().is_empty() {
        text.push(THIN_SPACE);
        text.push_str(unit.symbol());
    }
    text
}

/// The number alone.
#[must_use]
pub fn show_number(value: f64, precision: Precision) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    match precision {
        Precision::Decimals(decimals) => fixed(value, usize::from(decimals)),
        Precision::Significant(digits) => significant(value, usize::from(digits.max(1))),
    }
}

fn significant(value: f64, digits: usize) -> String {
    // Rounded in decimal first, so that 9.996 to three digits counts as 10.0.
    let scientific = format!("{value:.*e}", digits - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if value == 0.0 {
        return "0".to_owned();
    }
    if exponent < -3 {
        let mut text = mantissa.replace('-', "\u{2212}");
        text.extend([THIN_SPACE, '×', THIN_SPACE, '1', '0']);
        text.extend(exponent.to_string().chars().map(superscript));
        return text;
    }
    let decimals = digits as i32 - 1 - exponent;
    let rounded: f64 = scientific.parse().unwrap_or(value);
    fixed(rounded, decimals.max(0) as usize)
}

fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{:.*}", decimals, value.abs());
    let negative = value < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    let whole_length = text.find('.').unwrap_or(text.len());
    let mut shown = String::with_capacity(text.len() + 8);
    if negative {
        shown.push(MINUS);
    }
    for (at, digit) in text.chars().enumerate() {
        // Four digits stay together; from five on they are grouped.
        let left = whole_length.wrapping_sub(at);
        if whole_length >= 5 && at > 0 && at < whole_length && left.is_multiple_of(3) {
            shown.push(THIN_SPACE);
        }
        shown.push(digit);
    }
    shown
}

const fn superscript(c: char) -> char {
    match c {
        '-' => '⁻',
        '0' => '⁰',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '4' => '⁴',
        '5' => '⁵',
        '6' => '⁶',
        '7' => '⁷',
        '8' => '⁸',
        _ => '⁹',
    }
}
