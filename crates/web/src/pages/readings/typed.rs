//! From the form's fields to a round as typed, and what a press of its buttons changes in them.

use desk::entry::{CheckedRound, TypedRound};
use desk::plausible::Offer;
use desk::typed::shown;

use crate::form::FormState;

/// Suffixes of a line's further fields: its unit, why it is kept, which text that was said of, why it was not taken.
pub(super) const UNIT: &str = "~unit";
pub(super) const KEPT: &str = "~kept";
pub(super) const KEPT_FOR: &str = "~kept-for";
pub(super) const NOT_TAKEN: &str = "~not";

/// Why a doubtful figure stands, as buttons that need no typing; the last wants the remark.
pub(super) const KEEPS: [(&str, &str); 3] = [
    ("Read again, same", "read again, same"),
    ("Second instrument", "second instrument agrees"),
    ("Keep, with a remark", SEE_REMARK),
];
const SEE_REMARK: &str = "see remark";

/// Which button was pressed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Press {
    Check,
    Sign,
    /// Keep the doubtful figure of a line for this reason.
    Keep,
    /// Take the line's nth offer.
    Offer {
        key: String,
        nth: usize,
    },
}

/// Reads the name of the button.
pub(super) fn press(form: &FormState) -> Press {
    let mut parts = form.typed("do").splitn(3, ':');
    match (parts.next(), parts.next(), parts.next()) {
        (Some("sign"), ..) => Press::Sign,
        (Some("keep"), Some(_), Some(_)) => Press::Keep,
        (Some("offer"), Some(key), Some(nth)) => {
            nth.parse().map_or(Press::Check, |nth| Press::Offer { key: key.to_owned(), nth })
        }
        _ => Press::Check,
    }
}

/// Carries out a "keep" and forgets reasons that were given for a figure since changed.
pub(super) fn settle(form: &mut FormState) {
    let pressed = form.typed("do").to_owned();
    let mut parts = pressed.splitn(3, ':');
    let keep = (parts.next(), parts.next(), parts.next());
    let names: Vec<String> = form.fields().map(|(name, _)| name.to_owned()).collect();
    for name in names {
        let Some(key) = name.strip_suffix(KEPT) else { continue };
        let said_of = form.typed(&format!("{key}{KEPT_FOR}"));
        if said_of.trim() != form.typed(key).trim() {
            form.set(&name, "");
        }
    }
    if let (Some("keep"), Some(key), Some(nth)) = keep
        && let Some((_, reason)) = nth.parse().ok().and_then(|nth: usize| KEEPS.get(nth))
    {
        let text = form.typed(key).to_owned();
        form.set(&format!("{key}{KEPT}"), *reason);
        form.set(&format!("{key}{KEPT_FOR}"), text);
    }
}

/// Puts an offer's figures in place of what was typed. Whether there was such an offer.
pub(super) fn take_offer(
    form: &mut FormState,
    checked: &CheckedRound,
    key: &str,
    nth: usize,
) -> bool {
    let Some(line) = checked.lines.iter().find(|line| line.key == key) else { return false };
    let Some(offer) = line.remarks.iter().filter_map(|r| r.offer.as_ref()).nth(nth) else {
        return false;
    };
    let Offer { set, .. } = offer;
    for (name, value) in set {
        if let Some(reading) = desk::field::reading(name) {
            form.set(name, shown(reading, *value));
            form.set(&format!("{name}{UNIT}"), reading.unit);
        }
    }
    true
}

/// A figure that is kept "with a remark" wants one.
pub(super) fn remark_wanted(form: &mut FormState) {
    let kept = form.fields().any(|(name, text)| name.ends_with(KEPT) && text == SEE_REMARK);
    if kept && form.typed("remark").trim().is_empty() {
        form.refuse("remark", "a figure is kept with a remark: write it here, or choose another reason beside the figure");
    }
}

/// The round as typed; nothing is thrown away.
pub(super) fn round(form: &FormState) -> TypedRound {
    let mut typed = TypedRound {
        actor: form.typed("actor").to_owned(),
        whole_not_taken: form.typed("whole").to_owned(),
        remark: form.typed("remark").to_owned(),
        token: form.once().to_owned(),
        ..TypedRound::default()
    };
    for (name, text) in form.fields() {
        if let Some(key) = name.strip_suffix(KEPT) {
            typed.kept.insert(key.to_owned(), text.to_owned());
        } else if let Some(key) = name.strip_suffix(NOT_TAKEN) {
            typed.not_taken.insert(key.to_owned(), text.to_owned());
        } else if !name.contains('~') {
            let unit = form.typed(&format!("{name}{UNIT}")).to_owned();
            typed.values.insert(name.to_owned(), (text.to_owned(), unit));
        }
    }
    typed
}
