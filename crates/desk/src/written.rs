//! A text of any reading, word or sounding as the value the record keeps: one way for form, file and correction.

use logbook::Value;
use quantity::{Style, Unit};

use crate::field::{self, Role};
use crate::round::SOUNDING;
use crate::ship::Ship;
use crate::typed::{self, Refusal};

/// A value for the record, and its figure in the reading's own unit (cm for soundings; none for words).
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// As the record keeps it.
    pub value: Value,
    /// In the reading's own unit.
    pub figure: Option<f64>,
}

/// Reads a text for the reading or sounding of this name. `unit` is the code chosen beside it; empty for its own.
///
/// # Errors
/// [`Refusal`]: no such name, not a figure or word of it, or outside what can be.
pub fn written(
    ship: &Ship,
    name: &str,
    text: &str,
    unit: &str,
    style: Style,
) -> Result<Written, Refusal> {
    if let Some(tank) = name.strip_prefix(SOUNDING) {
        return sounding(ship, name, tank, text, style);
    }
    let Some(reading) = field::reading(name) else {
        let near = field::nearest(name).map_or(String::new(), |n| format!("; did you mean {n}?"));
        return Err(Refusal { label: name.into(), message: format!("no such reading{near}") });
    };
    if let Role::Word(words) = reading.role {
        let word = text.trim();
        if !words.contains(&word) {
            let message = format!("\"{word}\" is not one of {}", words.join(", "));
            return Err(Refusal { label: reading.label.into(), message });
        }
        return Ok(Written { value: Value::word(name, word), figure: None });
    }
    let t = typed::typed_styled(reading, text, Some(unit), style)?;
    Ok(Written { value: Value::number(name, t.text, t.unit, t.si), figure: Some(t.value) })
}

fn sounding(
    ship: &Ship,
    name: &str,
    tank: &str,
    text: &str,
    style: Style,
) -> Result<Written, Refusal> {
    let refuse = |label: &str, message: String| Refusal { label: label.to_owned(), message };
    let Some(tank) = ship.tank(tank) else {
        return Err(refuse(name, format!("no tank \"{tank}\": see the page Ship")));
    };
    let label = format!("Sounding, {}", tank.name);
    let read =
        quantity::read_styled(text, Unit::Cm, style).map_err(|e| refuse(&label, e.to_string()))?;
    let metres = read.si(None).map_err(|e| refuse(&label, e.to_string()))?;
    let cm = metres * 100.0;
    if tank.volume_m3(cm).is_none() {
        let end = |row: Option<&[f64; 2]>| row.map_or(0.0, |r| r[0]);
        let (low, high) = (end(tank.soundings.first()), end(tank.soundings.last()));
        return Err(refuse(
            &label,
            format!(
                "read {cm:.0} cm, the sounding table runs from {low:.0} to {high:.0} cm: sound again, or mend the table on the page Ship"
            ),
        ));
    }
    let text = typed::figure_text(text, read.value, style);
    Ok(Written { value: Value::number(name, text, read.unit.code(), metres), figure: Some(cm) })
}

/// Initials as the record takes them.
///
/// # Errors
/// Empty, longer than twelve signs, or anything but letters and figures.
pub fn initials(text: &str) -> Result<&str, Refusal> {
    let actor = text.trim();
    if actor.is_empty() || actor.chars().count() > 12 || !actor.chars().all(char::is_alphanumeric) {
        let read =
            if actor.is_empty() { "nothing written".to_owned() } else { format!("\"{actor}\"") };
        let message = format!("{read}: write one to twelve letters or figures, as 3e");
        return Err(Refusal { label: "Initials".into(), message });
    }
    Ok(actor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    #[test]
    fn ident_a_sounding_in_metres_is_kept_as_typed_and_meant_in_centimetres() {
        let w = written(&marram(), "sounding_cm.port", "2,04 m", "", Style::Either).expect("taken");
        assert!((w.figure.expect("figure") - 204.0).abs() < 1e-9);
        assert_eq!((w.value.text.as_deref(), w.value.unit.as_deref()), (Some("2,04"), Some("m")));
        assert!(written(&marram(), "sounding_cm.port", "900", "", Style::Either).is_err());
        assert!(written(&marram(), "sounding_cm.nowhere", "9", "", Style::Either).is_err());
    }

    #[test]
    fn ident_what_is_kept_as_text_is_the_whole_figure() {
        let w =
            written(&marram(), "barometer_hpa", "1.01e3 hPa", "", Style::Either).expect("taken");
        assert_eq!(w.value.text.as_deref(), Some("1.01e3"));
        assert_eq!(w.figure, Some(1010.0));
        assert!(initials("3e").is_ok() && initials(" ").is_err() && initials("a b").is_err());
    }
}
