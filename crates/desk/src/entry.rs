//! "Can these readings be believed together?": a round as typed, checked line by line, and turned into an entry.

use std::collections::BTreeMap;

use jiff::Timestamp;
use logbook::{Author, Draft, Quality, Value};
use plant::Banding;

use crate::balance::{balance, taken_kw};
use crate::conditions::Figures;
use crate::expected::{self, Expectation};
use crate::field::{self, Reading};
use crate::impossible::Impossible;
use crate::now::{over_hours, with_last};
use crate::plausible::{self, Around, Remark, Weight};
use crate::round::{Round, SOUNDING, WHOLE, made};
use crate::setup::Setup;
use crate::ship::Ship;
use crate::switched::Switch;
use crate::typed;
use crate::view::{Band, Compared};
use crate::written::{initials, written};

/// A round as it was typed: nothing is thrown away before it is understood.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TypedRound {
    /// Initials of who read.
    pub actor: String,
    /// Text and unit code by reading name.
    pub values: BTreeMap<String, (String, String)>,
    /// Why a doubtful figure stands, by reading name.
    pub kept: BTreeMap<String, String>,
    /// Why a reading was not taken, by reading name.
    pub not_taken: BTreeMap<String, String>,
    /// Why the whole round was not taken.
    pub whole_not_taken: String,
    /// A remark in words.
    pub remark: String,
    /// The form's own mark, so that a repeated submission is one entry.
    pub token: String,
}

/// One line of the form after checking.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The reading; none for a tank sounding.
    pub reading: Option<&'static Reading>,
    /// Name in the record.
    pub key: String,
    /// Label.
    pub label: String,
    /// What was typed.
    pub text: String,
    /// Unit code chosen.
    pub unit: String,
    /// The figure, where the text is one.
    pub value: Option<f64>,
    /// When the reading before was taken, and as text with its digits.
    pub before: Option<(Timestamp, String)>,
    /// What it should be under the conditions typed so far.
    pub expected: Option<Band>,
    /// Beside limits and expectation.
    pub compared: Option<Compared>,
    /// Why it cannot be taken.
    pub refused: Option<String>,
    /// Why it is doubtful, and likely mends.
    pub remarks: Vec<Remark>,
    /// Why it is kept all the same.
    pub kept: String,
    /// Why it was not taken.
    pub not_taken: String,
}

impl Checked {
    /// Whether the line waits for a word: doubtful, and no reason given yet.
    #[must_use]
    pub fn waits(&self) -> bool {
        self.kept.trim().is_empty() && self.remarks.iter().any(|r| r.weight == Weight::Doubtful)
    }
}

/// The whole round after checking.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedRound {
    /// Lines in the order of the round.
    pub lines: Vec<Checked>,
    /// What the plant should do under the conditions typed, where that can be said.
    pub expectation: Option<Expectation>,
    /// Why nothing can be expected yet.
    pub why_not: Option<String>,
    /// What was made since the last count and what should have been, as on the page Now, t/day.
    pub made: Option<(f64, Band)>,
    /// Where a sound plant run like this would go past a limit, or past what a table tells.
    pub beyond: Vec<String>,
    /// Problems that are not of one line.
    pub overall: Vec<String>,
}

impl CheckedRound {
    /// How many lines hold a figure or a word, how many of these fit, how many cannot be or wait for a word.
    #[must_use]
    pub fn counts(&self) -> (usize, usize, usize) {
        let filled = self.lines.iter().filter(|l| !l.text.trim().is_empty()).count();
        let open = self.lines.iter().filter(|l| l.refused.is_some() || l.waits()).count();
        let fit = self
            .lines
            .iter()
            .filter(|l| !l.text.trim().is_empty() && l.refused.is_none() && l.remarks.is_empty())
            .count();
        (filled, fit, open)
    }

    /// Whether it may be written down.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.overall.is_empty() && self.lines.iter().all(|l| l.refused.is_none() && !l.waits())
    }
}

/// Longest remark or reason, characters.
const LONGEST_WORDS: usize = 400;

/// Checks a round as typed against itself, the rounds around it (oldest first) and the plant.
#[must_use]
pub fn check(
    setup: &Setup,
    banding: &Banding<'_>,
    (rounds, switches): (&[Round], &[Switch]),
    typed: &TypedRound,
    at: Timestamp,
) -> CheckedRound {
    let before = &rounds[..rounds.partition_point(|round| round.at <= at)];
    let mut lines: Vec<Checked> = field::READINGS
        .iter()
        .filter(|r| r.often != field::Often::File)
        .map(|r| line(&setup.ship, typed, before, Some(r), r.key.to_owned(), r.label.to_owned()))
        .collect();
    for tank in &setup.ship.tanks {
        let (key, label) = (format!("{SOUNDING}{}", tank.key), format!("Sounding, {}", tank.name));
        lines.push(line(&setup.ship, typed, before, None, key, label));
    }
    let figures: Figures =
        lines.iter().filter_map(|l| l.value.map(|v| (l.key.clone(), v))).collect();
    let round = Round { at, actors: Vec::new(), cells: BTreeMap::new() };
    let mut known = with_last(before, &round);
    known.extend(figures.clone());
    let (expectation, why_not) = match expected::expect(setup, banding, &known) {
        Ok(e) => (Some(e), None),
        Err(e) => (None, Some(e.to_string())),
    };
    let around = around(setup, rounds, at);
    let earlier = &before[..before.partition_point(|r| r.at < at)];
    let made = made(earlier, &figures, at, setup.ship.sheet.product_max_t_day, switches);
    let t_day = made.map(|made| made.t_day);
    let remarks = remarks(setup, &figures, &known, &around, t_day, expectation.as_ref());
    // As Now has it: the counter's own error within the band.
    let made = made.zip(expectation.as_ref()).map(|(made, e)| {
        let should = e.readings.get("product_t_day").copied().unwrap_or(e.product_t_day);
        (made.t_day, over_hours(setup, should, made.hours))
    });
    let barometer = known.get("barometer_hpa").copied();
    let impossible = Impossible::of_figures(setup, &figures);
    for l in &mut lines {
        l.expected = expectation.as_ref().and_then(|e| e.readings.get(l.key.as_str())).copied();
        if let Some(reading) = l.reading.filter(|r| !r.unit.is_empty()) {
            let mut row = expected::compare(setup, reading, l.value, l.expected, barometer);
            impossible.doubt(&mut row);
            l.compared = Some(row);
        }
        l.remarks = remarks.iter().filter(|r| r.key == l.key).cloned().collect();
        l.remarks.extend(risen(setup, &l.key, l.value, earlier, at));
        if let Some(hard) = l.remarks.iter().find(|r| r.weight == Weight::Impossible) {
            l.refused = Some(hard.says.clone());
        }
    }
    let overall = overall(typed, &lines);
    let beyond = expectation.as_ref().map_or_else(Vec::new, |e| {
        let over = expected::over_spare(setup, e, taken_kw(&figures, e));
        over.into_iter().chain(expected::beyond(setup, e)).collect()
    });
    CheckedRound { lines, expectation, why_not, made, beyond, overall }
}

/// Share of a tank by which trim, list and a rolling ship may move its sounding, and t beside that (our estimate).
const SOUNDED: (f64, f64) = (0.05, 3.0);

/// That a tank holds more than could have been made since it was last sounded: taken on, moved over, or misread.
fn risen(
    setup: &Setup,
    key: &str,
    cm: Option<f64>,
    earlier: &[Round],
    at: Timestamp,
) -> Option<Remark> {
    let tank =
        setup.ship.tanks.iter().find(|tank| key.strip_prefix(SOUNDING) == Some(&tank.key))?;
    let (then, before) = earlier.iter().rev().find_map(|r| Some((r, r.value(key)?)))?;
    let rise = tank.volume_m3(cm?)? - tank.volume_m3(before)?;
    let hours = logbook::elapsed_hours(then.at, at);
    let made = 1.5 * setup.ship.sheet.product_max_t_day * hours / 24.0;
    (rise > made + SOUNDED.0 * tank.capacity_m3 + SOUNDED.1).then(|| Remark {
        key: "sounding",
        weight: Weight::Doubtful,
        says: format!(
            "{rise:.0} t more than {hours:.0} h before, when it stood at {before:.0} cm: more than she can make. Taken on, moved over from another tank, or misread?"
        ),
        offer: None,
        only_unusual: false,
    })
}

/// What is odd about figures read together: in themselves, against the rounds around them, and against each other by the
/// heat they mean. `known` are the same with what lasts from the rounds before.
pub(crate) fn remarks(
    setup: &Setup,
    read: &Figures,
    known: &Figures,
    around: &Around,
    made_t_day: Option<f64>,
    expectation: Option<&Expectation>,
) -> Vec<Remark> {
    let barometer = known.get("barometer_hpa").copied();
    let asked = |mut remark: Remark| {
        let reading = field::reading(remark.key).filter(|_| remark.only_unusual);
        let Some((reading, figure)) = reading.zip(read.get(remark.key).copied()) else {
            return Some(remark);
        };
        // What the conditions let expect is not unusual.
        let band = expectation.and_then(|e| e.readings.get(remark.key)).copied();
        if band.is_some_and(|band| band.holds(figure)) {
            return None;
        }
        let row = expected::compare(setup, reading, Some(figure), band, barometer);
        if let Some(past) = past_limit(&row) {
            // No button turns an alarm into a good figure.
            (remark.says, remark.offer) = (past, None);
        }
        Some(remark)
    };
    let impossible = Impossible::of_figures(setup, read);
    let odd = plausible::remarks(read, around);
    // No limit is judged of what cannot stand together, and nothing is said of it but that it is read again.
    let (paired, odd): (Vec<Remark>, Vec<Remark>) = odd.into_iter().partition(|remark| {
        remark.weight == Weight::Doubtful && impossible.beside_another(remark.key).is_some()
    });
    let mut odd: Vec<Remark> = odd.into_iter().filter_map(asked).collect();
    let mut told: Vec<Remark> = Vec::new();
    for remark in paired {
        let offer = remark.offer.clone().filter(|_| !remark.only_unusual);
        match told.iter_mut().find(|one| one.key == remark.key) {
            Some(one) => one.offer = one.offer.take().or(offer),
            None => {
                let says = impossible.beside_another(remark.key).unwrap_or_default();
                told.push(Remark { says, offer, only_unusual: false, ..remark });
            }
        }
    }
    odd.extend(told);
    let balance = expectation.and_then(|e| balance(&setup.ship, read, made_t_day, e));
    odd.extend(balance.filter(|b| !b.fits() && !impossible.spoils_heat()).map(|b| Remark {
        key: "jacket_out_c",
        weight: Weight::Doubtful,
        says: b.says(),
        offer: None,
        only_unusual: false,
    }));
    odd
}

/// Which limit of the ship is passed, what that means, and what to do with the figure.
fn past_limit(row: &Compared) -> Option<String> {
    let (read, meaning) = (row.read?, row.meaning.as_ref()?);
    let over = row.gates.high.filter(|high| read > *high).map(|high| ("Over", high));
    let (side, limit) = over.or(row.gates.low.map(|low| ("Under", low)))?;
    Some(format!(
        "{side} the ship’s limit of {} {}. {meaning} Read again, or say why it stands.",
        row.text(limit),
        row.unit
    ))
}

fn overall(typed: &TypedRound, lines: &[Checked]) -> Vec<String> {
    let mut out = Vec::new();
    if let Err(refusal) = initials(&typed.actor) {
        out.push(refusal.to_string());
    }
    let typed_in = lines.iter().filter(|l| !l.text.trim().is_empty()).count();
    if typed_in > 0 && !typed.whole_not_taken.trim().is_empty() {
        out.push(format!(
            "The whole round is given as not taken, and {typed_in} of its readings are typed: clear the one or the other."
        ));
    }
    let filled = lines.iter().any(|l| !l.text.trim().is_empty() || !l.not_taken.trim().is_empty());
    if !filled && typed.whole_not_taken.trim().is_empty() && typed.remark.trim().is_empty() {
        out.push("Nothing was typed: write a reading, or say why the round was not taken.".into());
    }
    let words = [&typed.remark, &typed.whole_not_taken];
    if words.iter().any(|w| w.chars().count() > LONGEST_WORDS) {
        out.push(format!("A remark may have {LONGEST_WORDS} characters: make it shorter."));
    }
    out
}

fn line(
    ship: &Ship,
    typed: &TypedRound,
    before: &[Round],
    reading: Option<&'static Reading>,
    key: String,
    label: String,
) -> Checked {
    let (mut text, mut unit) = typed.values.get(&key).cloned().unwrap_or_default();
    let last = before.iter().rev().find_map(|r| r.cells.get(&key).map(|c| (r.at, c)));
    // "=" repeats the last reading.
    if text.trim() == "="
        && let Some((_, cell)) = last
    {
        text = cell.text.clone();
        unit = cell.unit.clone();
        if let (Some(value), Some(reading)) = (cell.value, reading) {
            text = typed::shown(reading, value);
            unit = reading.unit.into();
        }
    }
    let mut checked = Checked {
        before: last.map(|(at, cell)| {
            let shown = match (reading, cell.value) {
                (Some(r), Some(v)) => typed::shown(r, v),
                _ => cell.text.clone(),
            };
            (at, shown)
        }),
        reading,
        label,
        kept: typed.kept.get(&key).cloned().unwrap_or_default(),
        not_taken: typed.not_taken.get(&key).cloned().unwrap_or_default(),
        key,
        unit,
        value: None,
        expected: None,
        compared: None,
        refused: None,
        remarks: Vec::new(),
        text,
    };
    if !checked.text.trim().is_empty() {
        match written(ship, &checked.key, &checked.text, &checked.unit, quantity::Style::Either) {
            Ok(w) => checked.value = w.figure,
            Err(refusal) => checked.refused = Some(refusal.message),
        }
    }
    checked
}

/// The counter in the rounds around an instant.
pub(crate) fn around(setup: &Setup, rounds: &[Round], at: Timestamp) -> Around {
    let meter = |r: &Round| r.value("distillate_meter_m3").map(|m| (m, r.at));
    let last = rounds.iter().rev().filter(|r| r.at < at).find_map(meter);
    let next = rounds.iter().filter(|r| r.at > at).find_map(meter);
    Around {
        meter: last.map(|(m, then)| (m, logbook::elapsed_hours(then, at))),
        meter_after: next.map(|(m, then)| (m, logbook::elapsed_hours(at, then))),
        product_max_t_day: setup.ship.sheet.product_max_t_day,
    }
}

/// The entry of a sound round.
///
/// # Errors
/// The first thing that keeps it from being written down.
pub fn draft(
    ship: &Ship,
    checked: &CheckedRound,
    typed: &TypedRound,
    at: Timestamp,
) -> Result<Draft, String> {
    if let Some(problem) = checked.overall.first() {
        return Err(problem.clone());
    }
    let mut values = Vec::new();
    for line in &checked.lines {
        if let Some(why) = &line.refused {
            return Err(format!("{}: {why}", line.label));
        }
        if line.waits() {
            return Err(format!("{}: doubtful, say why it stands or read it again", line.label));
        }
        if let Some(value) = value_of(ship, line)? {
            values.push(value);
        }
    }
    let author = Author::hand(typed.actor.trim());
    let whole = typed.whole_not_taken.trim();
    let mut draft = if values.is_empty() && whole.is_empty() {
        Draft::note(author, typed.remark.trim()).at(at)
    } else {
        if !whole.is_empty() {
            values.push(Value::not_taken(WHOLE, whole));
        }
        Draft::reading(at, author, values)
    };
    let remark = typed.remark.trim();
    if !remark.is_empty() {
        draft.text = Some(remark.to_owned());
    }
    if !typed.token.is_empty() {
        draft = draft.token(typed.token.clone());
    }
    Ok(draft)
}

fn value_of(ship: &Ship, line: &Checked) -> Result<Option<Value>, String> {
    if line.text.trim().is_empty() {
        let why = line.not_taken.trim();
        return Ok((!why.is_empty()).then(|| Value::not_taken(line.key.clone(), why)));
    }
    let w = written(ship, &line.key, &line.text, &line.unit, quantity::Style::Either)
        .map_err(|e| e.to_string())?;
    let doubted = line.remarks.iter().any(|r| r.weight == Weight::Doubtful);
    Ok(Some(if doubted {
        w.value.with_quality(Quality::Doubtful, line.kept.trim())
    } else {
        w.value
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    #[test]
    fn ident_a_figure_past_the_ships_limit_is_asked_about_by_that_limit() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let banding = setup.plant.banding(&setup.uncertainty).expect("banding");
        let ppm = ("product_salt_mg_kg".to_owned(), ("14".to_owned(), "mg_kg".to_owned()));
        let typed = TypedRound { values: [ppm].into(), ..TypedRound::default() };
        let at = "2025-11-16T04:00:00Z".parse().expect("time");
        let checked = check(&setup, &banding, (&[], &[]), &typed, at);
        let line = checked.lines.iter().find(|l| l.key == "product_salt_mg_kg").expect("line");
        let says = &line.remarks.first().expect("remark").says;
        assert!(line.waits() && says.starts_with("Over the ship’s limit of 10"), "{says}");
        assert!(says.contains("let it dump") && !says.contains("usual"), "{says}");
        assert!(line.remarks.iter().all(|r| r.offer.is_none()), "no press makes it a good figure");
        // Six parts in a million are more than usual, and what a plant in a warm sea may be expected to give.
        let values = [
            ("product_salt_mg_kg", "6", "mg_kg"),
            ("sea_temp_c", "30", "degC"),
            ("jacket_in_c", "83.5", "degC"),
        ];
        let values = values.map(|(key, text, unit)| (key.into(), (text.into(), unit.into())));
        let typed = TypedRound { values: values.into(), ..TypedRound::default() };
        let checked = check(&setup, &banding, (&[], &[]), &typed, at);
        let line = checked.lines.iter().find(|l| l.key == "product_salt_mg_kg").expect("line");
        assert!(!line.waits(), "{:?}", line.remarks);
        let whole = TypedRound { whole_not_taken: "weather".into(), ..typed };
        let refused = check(&setup, &banding, (&[], &[]), &whole, at).overall;
        assert!(refused.iter().any(|why| why.contains("3 of its readings")), "{refused:?}");
    }
}
