//! One line of the round: label, what was, what is expected, the box, the strip and the word.

use chart::{Ids, StripSize};
use desk::entry::Checked;
use desk::field::Role;
use desk::plausible::Weight;
use desk::typed::shown;
use desk::view::State;
use jiff::Timestamp;
use logbook::ShipClock;
use maud::{Markup, Render, html};
use quantity::Unit as Symbol;

use crate::pages::drawn;
use crate::parts::{Field, Mark, Unit, Word, state};
use crate::shiptime;

use super::typed::{KEEPS, KEPT, KEPT_FOR, NOT_TAKEN, UNIT};

/// Why a reading was not taken, in words that need no typing.
pub(crate) const REASONS: [&str; 5] =
    ["weather", "engine room not manned", "instrument broken", "out of reach", "plant shut down"];

/// Draws the line.
pub(super) fn draw(ids: &mut Ids, line: &Checked, clock: &ShipClock, now: Timestamp) -> Markup {
    let was =
        line.before.as_ref().map(|(at, text)| (shiptime::short(clock, *at, now), text.as_str()));
    let expected = expected(line);
    let units = units(line);
    let unit_name = format!("{}{UNIT}", line.key);
    let step = line.reading.filter(|r| !r.unit.is_empty()).map(|r| (plain(r.step), from(line)));
    let said = Said::of(line);

    let mut field =
        Field::new(&line.key, &line.label).typed(&line.text).expected(&expected).word(said.word());
    if let Some(reading) = line.reading {
        field = field.place(reading.place);
        if let Role::Word(words) = reading.role {
            field = field.one_of(words);
        }
    }
    if let Some((when, text)) = &was {
        field = field.was(when, text);
    }
    field = match units[..] {
        [] => field,
        [(_, symbol)] => field.unit(Unit::Fixed(symbol)),
        _ => field.unit(Unit::Choice { name: &unit_name, options: &units, chosen: &line.unit }),
    };
    if let Some((by, from)) = &step {
        field = field.step(by, from);
    } else if line.reading.is_none() {
        field = field.step("1", line.before.as_ref().map_or("", |(_, text)| text.as_str()));
    }
    if let Some(row) = line.compared.as_ref().filter(|row| row.read.is_some()) {
        field = field.strip(drawn::strip(ids, row, StripSize::Field));
    }
    field.render()
}

/// What it should be, else where it usually lies at sea.
fn expected(line: &Checked) -> String {
    let Some(reading) = line.reading.filter(|r| !r.unit.is_empty()) else { return String::new() };
    if let Some(band) = line.expected {
        return format!(
            "expect {} to {}",
            shown(reading, band.low.max(reading.hard.0)),
            shown(reading, band.high)
        );
    }
    let (low, high) = reading.usual;
    let whole = (low, high) == reading.hard;
    if whole {
        String::new()
    } else {
        format!("usual {} to {}", shown(reading, low), shown(reading, high))
    }
}

/// Codes and symbols of the units the line is taken in.
fn units(line: &Checked) -> Vec<(&'static str, &'static str)> {
    let Some(reading) = line.reading else { return vec![("cm", "cm")] };
    let codes = std::iter::once(reading.unit).chain(reading.also.iter().copied());
    let symbol = |code: &'static str| code.parse::<Symbol>().ok().map(|unit| (code, unit.symbol()));
    codes.filter(|code| !code.is_empty()).filter_map(symbol).collect()
}

/// The figure a first press of ± puts down, as plain digits.
fn from(line: &Checked) -> String {
    let text = line.before.as_ref().map_or("", |(_, text)| text.as_str());
    text.chars().filter(|c| c.is_ascii_digit() || ".,-−".contains(*c)).collect()
}

/// The step with the digits it needs: 0.05, 0.5, 1, 5.
fn plain(step: f64) -> String {
    let text = format!("{step:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The choice of words on why nothing was taken.
fn not_taken(line: &Checked) -> Markup {
    let optional = super::form::is_seldom(line);
    html! {
        select name={ (line.key) (NOT_TAKEN) } aria-label={ (line.label) ", not taken because" } {
            option value="" { @if optional { "optional" } @else { "not read" } }
            @for reason in REASONS {
                option value=(reason) selected[line.not_taken == reason] { "not taken: " (reason) }
            }
        }
    }
}

/// The word on a line, with what it borrows.
enum Said {
    Why(Markup),
    Kept(Markup),
    Plain(Mark, String),
    Limit { why: String },
    Doubt { why: String, choices: Markup },
    Refused { word: &'static str, why: String, choices: Markup },
}

impl Said {
    fn of(line: &Checked) -> Said {
        let offers = offers(line);
        if let Some(why) = &line.refused {
            let impossible = line.remarks.iter().any(|r| r.weight == Weight::Impossible);
            let word = if impossible { "cannot be:" } else { "not taken:" };
            return Said::Refused { word, why: why.clone(), choices: offers };
        }
        if line.text.trim().is_empty() {
            return Said::Why(not_taken(line));
        }
        let why = line.remarks.iter().map(|r| r.says.as_str()).collect::<Vec<_>>().join(" ");
        if line.waits() {
            let keeps = html! { (offers) @for (nth, (label, _)) in KEEPS.iter().enumerate() {
                button name="do" value={ "keep:" (line.key) ":" (nth) } { (label) }
            } };
            return Said::Doubt { why, choices: keeps };
        }
        if !line.remarks.is_empty() {
            return Said::Kept(kept(line));
        }
        match line.compared.as_ref() {
            Some(row) if row.state == State::PastLimit => {
                Said::Limit { why: row.meaning.clone().unwrap_or_default() }
            }
            Some(row) if row.state == State::AsExpected => {
                Said::Plain(Mark::Fits, "fits".to_owned())
            }
            Some(row) if row.state == State::Read => Said::Plain(Mark::Done, "taken".to_owned()),
            Some(row) => Said::Plain(drawn::mark(row.state), row.state.word().to_owned()),
            None => Said::Plain(Mark::Done, "taken".to_owned()),
        }
    }

    fn word(&self) -> Word<'_> {
        match self {
            Said::Why(control) => Word::Why(control.clone()),
            Said::Kept(said) => Word::Free(said.clone()),
            Said::Plain(mark, word) => Word::Plain(*mark, word),
            Said::Limit { why } => Word::Limit { word: "past the limit:", why },
            Said::Doubt { why, choices } => {
                Word::Doubt { word: "does not fit:", why, choices: choices.clone() }
            }
            Said::Refused { word, why, choices } => {
                Word::Refused { word, why, choices: choices.clone() }
            }
        }
    }
}

/// A doubtful figure that stands, its reason sent along with the text it was said of.
fn kept(line: &Checked) -> Markup {
    html! {
        (state(Mark::Doubt, &format!("kept: {}", line.kept)))
        input type="hidden" name={ (line.key) (KEPT) } value=(line.kept);
        input type="hidden" name={ (line.key) (KEPT_FOR) } value=(line.text);
    }
}

/// A button for each likely mend.
fn offers(line: &Checked) -> Markup {
    html! { @for (nth, offer) in line.remarks.iter().filter_map(|r| r.offer.as_ref()).enumerate() {
        button name="do" value={ "offer:" (line.key) ":" (nth) } { (offer.label) }
    } }
}

/// A line drawn by itself, for a field outside the round (initials, remark).
pub(super) fn words(field: Field<'_>) -> Markup {
    field.text().render()
}
