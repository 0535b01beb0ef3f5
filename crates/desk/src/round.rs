//! A round as it stands in the record: every reading with its correction, and what the counter says was made.

use std::collections::BTreeMap;

use jiff::Timestamp;

use crate::conditions::Figures;
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

/// What was made since the counter was last read, t/day over the true hours between: from the counter, else as read.
/// `before` are the rounds before this one, oldest first; a counter read before the plant last stood tells nothing.
#[must_use]
pub fn made_t_day(before: &[Round], read: &Figures, at: Timestamp) -> Option<f64> {
    let ran = before.iter().rev().take_while(|round| !round.idle());
    let last = ran.filter_map(|round| Some((round.at, round.value(METER)?))).next();
    let counted = last.and_then(|(since, old)| {
        let counted = read.get(METER)? - old;
        let hours = logbook::elapsed_hours(since, at);
        (counted >= 0.0 && hours > 0.0 && hours <= LONGEST_H)
            .then(|| counted * DISTILLATE_T_M3 / hours * 24.0)
    });
    counted.or_else(|| read.get("product_t_day").copied())
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
        let made_of =
            |before: &[Round], round: &Round| made_t_day(before, &round.figures(), round.at);
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
            let made = made_t_day(&[a.clone(), between], &b.figures(), b.at).expect("rate");
            assert!((made - 24.0 * DISTILLATE_T_M3).abs() < 1e-9);
        }
        assert!(told(SHUT_DOWN).idle());
        assert_eq!(made_t_day(&[a, told(SHUT_DOWN)], &b.figures(), b.at), None);
    }
}
