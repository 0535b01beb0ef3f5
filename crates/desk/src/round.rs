//! A round as it stands in the record: every reading with its correction, and what the counter says was made.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::conditions::Figures;
use crate::switched::{self, Switch};
use crate::typed::from_si;

/// One reading of a round, corrections applied.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// In the reading's own unit; none for a word or where nothing was taken.
    pub value: Option<f64>,
    /// As it was typed; for a value not taken, empty.
    pub text: String,
    /// Code of the unit it was typed in; empty for words.
    pub unit: String,
    /// Why it is doubtful or was not taken.
    pub why: Option<String>,
    /// Nothing was taken, and `why` says why.
    pub not_taken: bool,
    /// The figure it replaced, in the reading's own unit, and as typed.
    pub struck: Option<(Option<f64>, String)>,
    /// The entry it stands in.
    pub seq: u64,
}

/// Readings taken at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// When, UTC.
    pub at: Timestamp,
    /// Who.
    pub actors: Vec<String>,
    /// Readings by name.
    pub cells: BTreeMap<String, Cell>,
}

/// Name under which a whole round that was not taken stands.
pub const WHOLE: &str = "round";
/// Why nothing was read of a plant that is shut down.
pub const SHUT_DOWN: &str = "plant shut down";
/// Fewer readings at one moment are no round.
pub const FEWEST: usize = 4;
/// The counter of the distillate.
pub(crate) const METER: &str = "distillate_meter_m3";
/// Readings that, beside the jacket water's, only a running plant gives.
const OWN: [&str; 6] = [
    METER,
    "jacket_out_c",
    "product_salt_mg_kg",
    "shell_gauge_bar_g",
    "vapour_temp_c",
    "sea_out_c",
];
/// Counter readings nearer to each other than this tell no rate: a counter's tenth of a tonne over minutes is tonnes a day.
const SHORTEST_H: f64 = 0.5;
/// A counter that ran more than so many times what the plant can make was changed or misread.
const BELIEVED: f64 = 3.0;
/// Longest gap over which two counter readings still make a rate, hours.
const LONGEST_H: f64 = 26.0;
/// Density of distillate at the meter, t/m³: about 40 °C (IAPWS-IF97, 992 kg/m³).
pub const DISTILLATE_T_M3: f64 = 0.992;

impl Round {
    /// The numbers by name, in the readings' units.
    #[must_use]
    pub fn figures(&self) -> Figures {
        self.cells.iter().filter_map(|(k, cell)| cell.value.map(|v| (k.clone(), v))).collect()
    }

    /// The number of this reading.
    #[must_use]
    pub fn value(&self, key: &str) -> Option<f64> {
        self.cells.get(key).and_then(|cell| cell.value)
    }

    /// Seconds since 1970.
    #[must_use]
    pub fn at_s(&self) -> f64 {
        self.at.as_second() as f64
    }

    /// Whether the plant was making water: its own readings were taken.
    #[must_use]
    pub fn running(&self) -> bool {
        let read = |key: &&str| self.value(key).is_some();
        self.value("jacket_in_c").is_some() && OWN.iter().any(read)
            || self.value("product_t_day").is_some()
    }

    /// Whether the round says that the plant stood: in so many words, or by reading all but the plant.
    #[must_use]
    pub fn idle(&self) -> bool {
        let taken = self.cells.len() >= FEWEST && !self.cells.contains_key(WHOLE);
        self.shut_down() || (taken && !self.running())
    }

    /// Whether what was made can be told at this round: by the counter, or as read.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.running() && [METER, "product_t_day"].iter().any(|key| self.value(key).is_some())
    }

    /// Whether it is a round of the watch, taken or said not to be: not a figure or two read in between.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.cells.len() >= FEWEST || self.cells.contains_key(WHOLE)
    }

    /// Whether the whole round was left out because the plant was shut down.
    #[must_use]
    pub fn shut_down(&self) -> bool {
        let whole = self.cells.get(WHOLE);
        whole.is_some_and(|cell| cell.not_taken && cell.why.as_deref() == Some(SHUT_DOWN))
    }
}

/// What was made, and over what time the counter says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made {
    /// t/day.
    pub t_day: f64,
    /// True hours between the counter's two readings; none where a meter showed the output itself.
    pub hours: Option<f64>,
}

/// What was made since the counter was last read, over the true hours between: from the counter, else as read.
/// `before` are the rounds before this one, oldest first, `switches` the starts and stops, newest first; a counter read
/// before the plant last stood, was started or was stopped tells nothing, nor does one read minutes ago, nor one that ran
/// further than three times the `most_t_day` of the plant allows: it was changed or misread.
#[must_use]
pub fn made(
    before: &[Round],
    read: &Figures,
    at: Timestamp,
    most_t_day: f64,
    switches: &[Switch],
) -> Option<Made> {
    let counter = read.get(METER).copied();
    let as_it_ran =
        |round: &&Round| !round.idle() && switched::between(switches, round.at, at).is_none();
    let ran = before.iter().rev().take_while(as_it_ran);
    let mut older =
        ran.filter_map(|round| Some((logbook::elapsed_hours(round.at, at), round.value(METER)?)));
    let last = older.find(|(hours, _)| *hours >= SHORTEST_H);
    let counted = last.zip(counter).and_then(|((hours, old), new)| {
        let t_day = counted_t_day(new - old, hours, most_t_day)?;
        (hours <= LONGEST_H).then_some(Made { t_day, hours: Some(hours) })
    });
    counted.or_else(|| read.get("product_t_day").map(|t_day| Made { t_day: *t_day, hours: None }))
}

/// What a counter's difference (m³) over true hours means, t/day; none where it cannot be.
pub(crate) fn counted_t_day(counted_m3: f64, hours: f64, most_t_day: f64) -> Option<f64> {
    let t_day = counted_m3 * DISTILLATE_T_M3 / hours * 24.0;
    (0.0..=BELIEVED * most_t_day).contains(&t_day).then_some(t_day)
}

/// As [`made`], t/day.
#[must_use]
pub fn made_t_day(
    before: &[Round],
    read: &Figures,
    at: Timestamp,
    most_t_day: f64,
    switches: &[Switch],
) -> Option<f64> {
    made(before, read, at, most_t_day, switches).map(|made| made.t_day)
}

/// What the counter ran although nothing of the plant's pace can be told by it: it was started, stopped or stood since the
/// counter was read before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Across {
    /// When the counter was read before.
    pub since: Timestamp,
    /// What it ran since, t; none where it was not read again.
    pub made_t: Option<f64>,
    /// The last start or stop since; none where rounds alone say that it stood.
    pub switch: Option<Switch>,
}

/// What lies between the last two readings of the counter up to an instant, or behind the last, by the rule of [`made`];
/// none where they tell a rate, or too little is read.
#[must_use]
pub fn across(
    rounds: &[Round],
    at: Timestamp,
    most_t_day: f64,
    switches: &[Switch],
) -> Option<Across> {
    let read = rounds.iter().enumerate().rev().filter(|(_, round)| round.at <= at);
    let mut read = read.filter_map(|(i, round)| Some((i, round, round.value(METER)?)));
    let (newest, last, counter) = read.next()?;
    if let Some(switch) = switched::between(switches, last.at, at) {
        return Some(Across { since: last.at, made_t: None, switch: Some(switch) });
    }
    if made(&rounds[..newest], &last.figures(), last.at, most_t_day, switches).is_some() {
        return None;
    }
    let (before, since, old) =
        read.find(|(_, round, _)| logbook::elapsed_hours(round.at, last.at) >= SHORTEST_H)?;
    let switch = switched::between(switches, since.at, last.at);
    let stood = rounds[before..newest].iter().any(Round::idle);
    if switch.is_none() && !stood {
        return None;
    }
    let hours = logbook::elapsed_hours(since.at, last.at);
    let ran = counted_t_day(counter - old, hours, most_t_day).filter(|_| hours <= LONGEST_H);
    Some(Across { since: since.at, made_t: Some(ran? * hours / 24.0), switch })
}

/// SI to the unit of a reading; soundings and unknown names pass as they are.
#[must_use]
pub fn own_unit(name: &str, si: f64) -> f64 {
    match crate::field::reading(name) {
        Some(reading) => from_si(reading, si),
        None if name.starts_with(SOUNDING) => si * 100.0,
        None => si,
    }
}

/// Names of tank soundings begin like this, the tank's key follows; unit cm.
pub const SOUNDING: &str = "sounding_cm.";

#[cfg(test)]
mod tests {
    use super::*;

    fn round(at_s: i64, meter: f64) -> Round {
        let cell = |v| Cell {
            value: Some(v),
            text: v.to_string(),
            unit: "m3".into(),
            why: None,
            not_taken: false,
            struck: None,
            seq: 1,
        };
        Round {
            at: Timestamp::from_second(at_s).expect("time"),
            actors: vec!["3e".into()],
            cells: BTreeMap::from([
                ("distillate_meter_m3".to_owned(), cell(meter)),
                ("jacket_in_c".to_owned(), cell(83.0)),
            ]),
        }
    }

    #[test]
    fn ident_a_rate_divides_by_true_hours_whatever_the_clocks_did() {
        // Four hours by the sun are four hours, also over a night when the clocks went back.
        let (a, b) = (round(0, 1000.0), round(4 * 3600, 1004.0));
        let made_of = |before: &[Round], round: &Round| {
            made_t_day(before, &round.figures(), round.at, 25.0, &[])
        };
        let made = made_of(std::slice::from_ref(&a), &b).expect("rate");
        assert!((made - 24.0 * DISTILLATE_T_M3).abs() < 1e-9);
        assert_eq!(made_of(&[], &b), None);
        assert_eq!(made_of(std::slice::from_ref(&b), &round(8 * 3600, 900.0)), None);
    }

    #[test]
    fn ident_a_round_left_out_or_in_part_hides_no_counter_and_a_stand_does() {
        let (a, b) = (round(0, 1000.0), round(8 * 3600, 1008.0));
        let told = |why: &str| {
            let mut left_out = round(4 * 3600, 0.0);
            let mut cell = left_out.cells.remove("jacket_in_c").expect("cell");
            (cell.value, cell.not_taken, cell.why) = (None, true, Some(why.into()));
            left_out.cells = BTreeMap::from([(WHOLE.to_owned(), cell)]);
            left_out
        };
        let mut part = round(4 * 3600, 0.0);
        part.cells.remove("distillate_meter_m3");
        for between in [told("weather"), part] {
            assert!(!between.idle(), "{between:?}");
            let made =
                made_t_day(&[a.clone(), between], &b.figures(), b.at, 25.0, &[]).expect("rate");
            assert!((made - 24.0 * DISTILLATE_T_M3).abs() < 1e-9);
        }
        assert!(told(SHUT_DOWN).idle());
        assert_eq!(made_t_day(&[a, told(SHUT_DOWN)], &b.figures(), b.at, 25.0, &[]), None);
    }

    #[test]
    fn ident_a_counter_changed_or_read_minutes_ago_tells_no_rate() {
        let (a, soon) = (round(0, 1000.0), round(4 * 3600, 1004.0));
        // Two minutes later the counter's next tenth would be 70 t/day; the reading before that one tells the rate.
        let later = round(4 * 3600 + 120, 1004.1);
        let made = super::made(&[a.clone(), soon.clone()], &later.figures(), later.at, 25.0, &[])
            .expect("rate");
        let hours = made.hours.expect("from the counter");
        assert!((hours - (4.0 + 2.0 / 60.0)).abs() < 1e-9);
        assert!((made.t_day - 4.1 * DISTILLATE_T_M3 / hours * 24.0).abs() < 1e-9);
        // Another meter: it stands at 2009 where the old one stood at 1004.
        let other = round(8 * 3600, 2009.2);
        assert_eq!(made_t_day(&[a, soon], &other.figures(), other.at, 25.0, &[]), None);
    }
}
