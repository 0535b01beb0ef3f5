//! As typed to meaningful: a reading's text becomes a figure in the field's unit and in SI, or a refusal in words.

use std::fmt;
use std::str::FromStr;

use quantity::{ConversionError, Pressure, ReadError, Unit};

use crate::field::{self, Reading, Role};
use crate::plausible;

/// A figure as typed and as meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Typed {
    /// The number exactly as typed, without its unit.
    pub text: String,
    /// Code of the unit it was typed in.
    pub unit: &'static str,
    /// In the field's own unit.
    pub value: f64,
    /// In SI; a gauge or vacuum stays relative to the day's atmosphere, Pa below zero.
    pub si: f64,
}

/// Why a text is not taken. Says what was read, what is allowed and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Label of the field.
    pub label: String,
    /// The sentence.
    pub message: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.label, self.message)
    }
}

impl std::error::Error for Refusal {}

/// The unit a reading is kept and shown in.
#[must_use]
pub fn unit_of(reading: &Reading) -> Unit {
    Unit::from_str(reading.unit).unwrap_or(Unit::One)
}

/// The units a reading may be written in: its own, those offered beside it, and all others of its kind.
#[must_use]
pub fn units(reading: &Reading) -> Vec<Unit> {
    let own = unit_of(reading);
    let also = reading.also.iter().filter_map(|code| Unit::from_str(code).ok());
    let mut units: Vec<Unit> = std::iter::once(own).chain(also).collect();
    let others: Vec<Unit> = own.kind().units().filter(|unit| !units.contains(unit)).collect();
    units.extend(others);
    units
}

fn counts_from_atmosphere(reading: &Reading) -> bool {
    reading.key == "shell_gauge_bar_g"
}

/// A value in `unit` as SI: gauge and vacuum stay relative to the atmosphere (dials are printed for the standard one).
fn si_of(reading: &Reading, value: f64, unit: Unit) -> Result<f64, String> {
    let standard = Pressure::STANDARD_ATMOSPHERE;
    if unit == Unit::USCm && reading.unit == "mg_kg" {
        // A cell shows its conductivity compensated to 25 °C.
        return Ok(water::distillate::ppm(value, 25.0) * 1e-6);
    }
    // mg/kg for a salinometer that shows ppm of salt: one and the same scale aboard.
    let si = unit.to_si(value, Some(standard)).map_err(|e| match e {
        // The dial is printed for the standard atmosphere: naming the day's barometer would mislead.
        ConversionError::BelowVacuum { .. } => {
            format!("{value} {unit} is more than a full vacuum, which cannot be: read the gauge and its unit again")
        }
        e => e.to_string(),
    })?;
    Ok(if counts_from_atmosphere(reading) || unit.needs_barometer() {
        si - standard.pa()
    } else {
        si
    })
}

/// A number in the unit of this code as SI, for a reading or a sounding; none where the unit has no such number.
pub(crate) fn si_in(name: &str, number: f64, unit: &str) -> Option<f64> {
    let unit = Unit::from_str(unit).ok()?;
    match field::reading(name) {
        Some(reading) => si_of(reading, number, unit).ok(),
        None => unit.to_si(number, None).ok(),
    }
}

/// An SI value of this reading in its own unit.
#[must_use]
pub fn from_si(reading: &Reading, si: f64) -> f64 {
    let unit = unit_of(reading);
    let standard = Pressure::STANDARD_ATMOSPHERE;
    let si = if unit.needs_barometer() { si + standard.pa() } else { si };
    unit.from_si(si, Some(standard)).unwrap_or(f64::NAN)
}

/// A value in the reading's own unit as SI.
#[must_use]
pub fn to_si(reading: &Reading, value: f64) -> f64 {
    si_of(reading, value, unit_of(reading)).unwrap_or(f64::NAN)
}

/// Reads what was typed into a field. `unit` is the code chosen beside the box; a unit typed after the figure wins.
///
/// # Errors
/// [`Refusal`]: not a number, a unit of something else, or outside what can be.
pub fn typed(reading: &'static Reading, text: &str, unit: Option<&str>) -> Result<Typed, Refusal> {
    typed_styled(reading, text, unit, quantity::Style::Either)
}

/// As [`typed`], the decimal sign being known: a file says it once for all its cells.
///
/// # Errors
/// As [`typed`].
pub fn typed_styled(
    reading: &'static Reading,
    text: &str,
    unit: Option<&str>,
    style: quantity::Style,
) -> Result<Typed, Refusal> {
    let refuse = |message: String| Refusal { label: reading.label.into(), message };
    if let Role::Word(words) = reading.role {
        let message = format!("\"{}\" is a word field: one of {}", text.trim(), words.join(", "));
        return Err(refuse(message));
    }
    let own = unit_of(reading);
    let chosen = match unit {
        None | Some("") => own,
        Some(code) => {
            let allowed = units(reading);
            let named = allowed.iter().find(|unit| unit.code() == code).copied();
            named.ok_or_else(|| {
                let allowed: Vec<String> = allowed.iter().map(Unit::to_string).collect();
                let code = Unit::from_str(code).map_or_else(|_| code.to_owned(), |u| u.to_string());
                refuse(format!("{code} is not taken here: one of {}", allowed.join(", ")))
            })?
        }
    };
    let read = match quantity::read_styled(text, chosen, style) {
        // Another unit of the field's list, typed after the figure.
        Err(ReadError::WrongKind { read, .. }) if units(reading).contains(&read) => {
            quantity::read_styled(text, read, style)
        }
        read => read,
    };
    let read = read.map_err(|e| refuse(e.to_string()))?;
    let si = si_of(reading, read.value, read.unit).map_err(refuse)?;
    let value = if read.unit == own { read.value } else { from_si(reading, si) };
    let (low, high) = reading.hard;
    if !(value >= low && value <= high) {
        let shown = quantity::show(value, own);
        let (low, high) = (quantity::show(low, own), quantity::show(high, own));
        let meant = plausible::point_moved(reading, value);
        let meant = meant.map_or(String::new(), |x| {
            format!(". Is {} meant, its point left out or misplaced?", quantity::show(x, own))
        });
        let stop = if meant.is_empty() { "." } else { "" };
        return Err(refuse(format!(
            "read {shown}, which cannot be: {low} to {high}, because {}{meant}{stop} Read it again, or leave it out",
            reading.why
        )));
    }
    let text = figure_text(text, read.value, style);
    Ok(Typed { text, unit: read.unit.code(), value, si })
}

/// The figure of a text without the unit behind it, as it was written.
pub(crate) fn figure_text(text: &str, value: f64, style: quantity::Style) -> String {
    let text = text.trim();
    let ends = text.char_indices().map(|(i, c)| i + c.len_utf8()).rev();
    ends.map(|end| text[..end].trim_end())
        .find(|start| quantity::read_number(start, style) == Ok(value))
        .unwrap_or(text)
        .to_owned()
}

/// Text of a value with the digits its instrument can give, a true minus sign, no unit.
#[must_use]
pub fn shown(reading: &Reading, value: f64) -> String {
    digits(value, reading.digits)
}

/// A label or sentence as it stands within another: its first letter small.
pub(crate) fn lower_first(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or_else(String::new, |first| first.to_lowercase().chain(signs).collect())
}

/// A clause as a sentence begins with it: its first letter great.
pub(crate) fn upper_first(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or_else(String::new, |first| first.to_uppercase().chain(signs).collect())
}

/// Text with so many decimals, a true minus sign, thin spaces between thousands from five figures on.
#[must_use]
pub fn digits(value: f64, decimals: u8) -> String {
    quantity::show_number(value, quantity::Precision::Decimals(decimals))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::reading;

    fn of(key: &str) -> &'static Reading {
        reading(key).expect("known reading")
    }

    #[test]
    fn ref_vacuum_from_the_gauge_is_kept_below_the_atmosphere() {
        // 700 mmHg of vacuum is 93.33 kPa below the atmosphere (760 mmHg = 101.325 kPa, by definition of the standard atmosphere).
        let t = typed(of("shell_gauge_bar_g"), "700", Some("mmHg_vac")).expect("taken");
        assert!((t.si + 93_325.7).abs() < 1.0, "{}", t.si);
        assert!((t.value - 92.105).abs() < 0.01, "{}", t.value);
        let bar = typed(of("shell_gauge_bar_g"), "-0,91", Some("bar_g")).expect("taken");
        assert!((bar.si + 91_000.0).abs() < 1e-6);
    }

    #[test]
    fn ident_a_unit_of_the_list_may_stand_after_the_figure() {
        let chosen = typed(of("product_salt_mg_kg"), "12", Some("uS_cm")).expect("taken");
        let after = typed(of("product_salt_mg_kg"), "12 µS/cm", None).expect("taken");
        assert_eq!((chosen.si, chosen.unit), (after.si, after.unit));
        let gauge = typed(of("shell_gauge_bar_g"), "-0,91 bar", None).expect("taken");
        assert!((gauge.si + 91_000.0).abs() < 1e-6 && gauge.unit == "bar_g");
        assert!(typed(of("shell_gauge_bar_g"), "0,09 bar", None).is_err());
        let f = typed(of("sea_temp_c"), "84,2 °F", None).expect("taken");
        assert!((f.value - 29.0).abs() < 1e-9);
    }

    #[test]
    fn ident_comma_point_and_unit_typed_beside_give_the_same() {
        for text in ["85.0", "85,0", "85.0 °C", "85 °C"] {
            let t = typed(of("jacket_in_c"), text, None).expect("taken");
            assert_eq!((t.value, t.si), (85.0, 358.15), "{text}");
        }
    }

    #[test]
    fn ident_the_impossible_is_refused_with_range_and_reason() {
        let e = typed(of("sea_temp_c"), "85", None).expect_err("refused");
        assert!(
            e.message.contains("85") && e.message.contains("45") && e.message.contains("because"),
            "{e}"
        );
        assert!(typed(of("sea_temp_c"), "warm", None).is_err());
        assert!(typed(of("sea_temp_c"), "29", Some("kg_s")).is_err());
        assert!(typed(of("brine_level"), "3", None).is_err());
    }

    #[test]
    fn ident_si_and_back() {
        for r in crate::field::READINGS.iter().filter(|r| !r.unit.is_empty()) {
            let x = f64::midpoint(r.usual.0, r.usual.1);
            let back = from_si(r, to_si(r, x));
            assert!((back - x).abs() <= 1e-9 * x.abs().max(1.0), "{} {x} {back}", r.key);
        }
    }
}
