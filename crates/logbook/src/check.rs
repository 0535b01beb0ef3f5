//! From a draft to what may be written: lengths, signs, times, one spelling for the same letters.

use std::collections::HashSet;

use jiff::Timestamp;
use unicode_normalization::{UnicodeNormalization, is_nfc};

use crate::clock::AHEAD_ALLOWED_S;
use crate::entry::{Draft, Value};
use crate::error::Error;
use crate::words::{Kind, Quality};
use crate::zone::{Zone, whole_second};

/// Longest free text or particular, bytes: a whole ship file fits.
const LONGEST_TEXT: usize = 1 << 20;
/// Longest word: an actor, a quantity's name, a unit, a figure as typed, a token, bytes.
const LONGEST_WORD: usize = 200;
/// Most figures in one entry.
const MOST_VALUES: usize = 1000;
/// Most particulars in one entry.
const MOST_DETAILS: usize = 200;

/// The draft with its times cut to seconds and its words in NFC, or what is wrong with it.
pub(crate) fn check(mut draft: Draft, logged: Timestamp) -> Result<Draft, Error> {
    draft.at = Some(whole_second(draft.at.unwrap_or(logged)));
    if let Some(at) = draft.at {
        let ahead_s = at.as_second() - logged.as_second();
        // Clocks are moved and orders given for a time to come.
        let may_lie_ahead = matches!(draft.kind, Kind::Clock | Kind::Order);
        if ahead_s > AHEAD_ALLOWED_S && !may_lie_ahead && !draft.emergency {
            return Err(Error::Future { at, now: logged, ahead_s });
        }
    }
    if draft.kind == Kind::Clock
        && let Some(zone) = draft.details.get("zone")
    {
        let zone: Zone = zone.parse()?;
        draft.details.insert("zone".to_owned(), zone.to_string());
        draft.zone = draft.zone.or(Some(zone));
        let by = draft.details.get("by").map_or("", String::as_str);
        if by.trim().is_empty() {
            let allowed = "say by whose order the clocks are moved, such as master".to_owned();
            return Err(refuse("by", by, allowed));
        }
    }
    word("actor", &mut draft.author.actor)?;
    for (field, text) in [("text", &mut draft.text), ("reason", &mut draft.reason)] {
        if let Some(text) = text {
            long(field, text)?;
        }
    }
    if let Some(token) = &mut draft.token {
        word("token", token)?;
    }
    if draft.details.len() > MOST_DETAILS {
        return Err(refuse(
            "details",
            &draft.details.len().to_string(),
            format!("at most {MOST_DETAILS} in one entry; write the rest in another"),
        ));
    }
    let details = std::mem::take(&mut draft.details);
    for (mut key, mut value) in details {
        word("detail", &mut key)?;
        long("detail", &mut value)?;
        draft.details.insert(key, value);
    }
    if draft.values.len() > MOST_VALUES {
        return Err(refuse(
            "values",
            &draft.values.len().to_string(),
            format!("at most {MOST_VALUES} in one entry; write the rest in another"),
        ));
    }
    for value in &mut draft.values {
        check_value(value)?;
    }
    let mut seen = HashSet::with_capacity(draft.values.len());
    for value in &draft.values {
        if !seen.insert(value.name.as_str()) {
            let allowed = "each name stands once in an entry; take one of the two away";
            return Err(refuse("value", &value.name, allowed.to_owned()));
        }
    }
    Ok(draft)
}

fn check_value(value: &mut Value) -> Result<(), Error> {
    word("name", &mut value.name)?;
    if let Some(unit) = &mut value.unit {
        word("unit", unit)?;
    }
    for (field, text) in [("value", &mut value.text), ("why", &mut value.why)] {
        if let Some(text) = text {
            long(field, text)?;
        }
    }
    match value.si {
        Some(si) if !si.is_finite() => {
            Err(refuse("value", &value.name, format!("{si} is not a number that can be kept")))
        }
        Some(_) if value.quality == Quality::NotTaken => {
            let allowed = "marked not taken but has a figure; leave one of the two out";
            Err(refuse("value", &value.name, allowed.to_owned()))
        }
        // Minus zero is written as zero: it must read back as itself.
        Some(0.0) => {
            value.si = Some(0.0);
            Ok(())
        }
        _ => Ok(()),
    }
}

fn word(field: &'static str, text: &mut String) -> Result<(), Error> {
    normalize(text);
    let allowed = if text.trim().is_empty() {
        "must not be empty".to_owned()
    } else if text.len() > LONGEST_WORD {
        format!("{} bytes; at most {LONGEST_WORD} are allowed", text.len())
    } else if text.chars().any(char::is_control) {
        "holds a control character; type it again".to_owned()
    } else {
        return Ok(());
    };
    Err(refuse(field, text, allowed))
}

fn long(field: &'static str, text: &mut String) -> Result<(), Error> {
    normalize(text);
    if text.len() <= LONGEST_TEXT {
        return Ok(());
    }
    let allowed = format!("{} bytes; at most {LONGEST_TEXT} are allowed, shorten it", text.len());
    Err(refuse(field, text, allowed))
}

fn normalize(text: &mut String) {
    if !text.is_ascii() && !is_nfc(text) {
        *text = text.nfc().collect();
    }
}

fn refuse(field: &'static str, read: &str, allowed: String) -> Error {
    Error::Field { field, read: read.chars().take(60).collect(), allowed }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::Author;

    fn now() -> Timestamp {
        "2026-11-25T06:15:00.7Z".parse().unwrap()
    }

    #[test]
    fn ident_two_spellings_of_a_letter_become_one() {
        let draft = Draft::note(Author::hand("2e"), "e\u{301}jecteur");
        let draft = check(draft, now()).unwrap();
        assert_eq!(draft.text.as_deref(), Some("\u{e9}jecteur"));
        assert_eq!(draft.at.unwrap().to_string(), "2026-11-25T06:15:00Z");
    }

    #[test]
    fn ident_what_cannot_be_kept_is_refused_with_its_field() {
        let number = |si| Value::number("feed_t_day", "1", "t/day", si);
        let reading = |values| Draft::reading(now(), Author::hand("2e"), values);
        let twice = reading(vec![number(1.0), number(2.0)]);
        let endless = reading(vec![number(f64::INFINITY)]);
        let nameless = reading(vec![Value::word(" ", "steady")]);
        let mut both = number(1.0);
        both.quality = Quality::NotTaken;
        let drafts =
            [twice, endless, nameless, reading(vec![both]), Draft::note(Author::hand(""), "x")];
        for draft in drafts {
            assert!(matches!(check(draft.clone(), now()), Err(Error::Field { .. })), "{draft:?}");
        }
        let ahead: Timestamp = "2026-11-25T06:17:01Z".parse().unwrap();
        let early = Draft::reading(ahead, Author::hand("2e"), vec![number(1.0)]);
        assert!(matches!(check(early, now()), Err(Error::Future { ahead_s: 121, .. })));
        for blank in ["", "  "] {
            let unsigned = Draft::zone_change(now(), 600, Author::hand("3o"), blank);
            assert!(matches!(check(unsigned, now()), Err(Error::Field { field: "by", .. })));
        }
        let confirmed = Draft::new(Kind::Clock, Author::hand("3o")).detail("confirmed", "now");
        assert!(check(confirmed, now()).is_ok());
        let wide = Draft::zone_change(now(), 900, Author::hand("3o"), "master");
        assert!(matches!(check(wide, now()), Err(Error::Zone { .. })));
    }
}
