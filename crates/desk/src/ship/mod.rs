//! The ship file: who she is, her plant sheet, valve marks, limits, doubts and tanks.

pub mod item;
mod read;
mod write;

pub use item::{
    CHECKS, Checks, DEMAND, DOUBTS, Demand, Doubts, Item, LIMITS, Limits, ORDERS, Orders, PRICES,
    Prices, SETTINGS, Settings,
};
pub(crate) use read::without_key;
pub use read::{Problem, read};
pub use write::write;

use plant::Sheet;

/// What a tank holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// Fresh water for the crew and the ship.
    Fresh,
    /// Drinking water, filled from a treated tank.
    Drinking,
    /// Distilled water for boiler and jackets, untreated.
    Distilled,
}

impl Holds {
    /// The words of the file.
    pub const WORDS: &'static [&'static str] = &["fresh", "drinking", "distilled"];

    /// The word of the file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Holds::Fresh => "fresh",
            Holds::Drinking => "drinking",
            Holds::Distilled => "distilled",
        }
    }

    /// The kind of this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "fresh" => Some(Holds::Fresh),
            "drinking" => Some(Holds::Drinking),
            "distilled" => Some(Holds::Distilled),
            _ => None,
        }
    }
}

/// One fresh-water tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Tank {
    /// Short name without spaces, used in the record.
    pub key: String,
    /// As the crew calls it.
    pub name: String,
    /// What it holds.
    pub holds: Holds,
    /// Full, m³.
    pub capacity_m3: f64,
    /// What the pump cannot reach, m³.
    pub unpumpable_m3: f64,
    /// Sounding table: rows of [sounding in cm, m³], both rising.
    pub soundings: Vec<[f64; 2]>,
}

impl Tank {
    /// Volume at a sounding, m³, straight lines between the rows of the table.
    ///
    /// `None` above the table's last row or below its first by more than 1 cm.
    #[must_use]
    pub fn volume_m3(&self, sounding_cm: f64) -> Option<f64> {
        let (first, last) = (self.soundings.first()?, self.soundings.last()?);
        if !(first[0] - 1.0..=last[0] + 1.0).contains(&sounding_cm) {
            return None;
        }
        Some(between(&self.soundings, sounding_cm))
    }

    /// What the pump can reach of a content, m³: the rule by which water aboard is counted.
    #[must_use]
    pub fn pumpable_m3(&self, content_m3: f64) -> f64 {
        (content_m3.min(self.capacity_m3) - self.unpumpable_m3).max(0.0)
    }
}

/// What a valve position means as a flow: rows of [position in %, kg/s].
#[derive(Debug, Clone, PartialEq)]
pub struct Positions {
    /// Jacket by-pass, % open, against jacket water through the heater.
    pub bypass: Vec<[f64; 2]>,
    /// Condenser throttle, % open, against sea water through the condenser.
    pub throttle: Vec<[f64; 2]>,
}

/// Straight lines between the rows of a table whose first column rises; its ends hold.
#[must_use]
pub fn between(rows: &[[f64; 2]], x: f64) -> f64 {
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return f64::NAN };
    if x <= first[0] {
        return first[1];
    }
    for pair in rows.windows(2) {
        let ([x0, y0], [x1, y1]) = (pair[0], pair[1]);
        if x <= x1 {
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
        }
    }
    last[1]
}

/// How far an instrument is to be trusted, in the unit of its reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Trust {
    /// Name of the reading.
    pub reading: String,
    /// Error that stays, one standard deviation.
    pub standing: f64,
    /// Error of each reading, one standard deviation.
    pub each: f64,
}

/// Figures of the plant sheet that every maker states for his own plant: nothing expected is this ship's while one of
/// them is another's.
pub const HERS: &[&str] = &[
    "rated_product_t_day",
    "rated_jacket_in_c",
    "rated_jacket_flow_kg_s",
    "rated_sea_temp_c",
    "rated_condenser_flow_kg_s",
    "rated_feed_ratio",
    "rated_vapour_temp_c",
    "rated_ejector_pressure_bar_g",
    "evaporator_area_m2",
    "condenser_area_m2",
    "feed_from",
    "jacket_heat_table",
    "jacket_low_limit_c",
    "product_max_t_day",
    "cold_trim",
];

/// Everything the ship file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Ship {
    /// Her name.
    pub name: String,
    /// What she is.
    pub kind: String,
    /// The voyage, as the heading says it.
    pub voyage: String,
    /// Mark of this record, two or three signs: goes into every entry.
    pub node: String,
    /// People aboard.
    pub crew: f64,
    /// Hours between rounds of readings.
    pub round_hours: f64,
    /// What prices are counted in.
    pub currency: String,
    /// The plant sheet.
    pub sheet: Sheet,
    /// Those of [`HERS`] that still hold a typical plant's figure.
    pub unconfirmed: Vec<&'static str>,
    /// What valve positions mean.
    pub positions: Positions,
    /// Limits.
    pub limits: Limits,
    /// What stands set aboard.
    pub settings: Settings,
    /// Doubts.
    pub doubts: Doubts,
    /// When water may be made.
    pub orders: Orders,
    /// What is used.
    pub demand: Demand,
    /// What things cost.
    pub prices: Prices,
    /// What checks are reckoned with.
    pub checks: Checks,
    /// Instruments trusted more or less than the usual of their kind.
    pub trusts: Vec<Trust>,
    /// Tanks.
    pub tanks: Vec<Tank>,
}

impl Ship {
    /// A ship with the demonstration plant's sheet, to be filled in.
    #[must_use]
    pub fn blank() -> Self {
        let sheet = Sheet::default();
        Self {
            name: "unnamed".into(),
            kind: String::new(),
            voyage: String::new(),
            node: "A1".into(),
            crew: 20.0,
            round_hours: 4.0,
            currency: "USD".into(),
            positions: Positions::proportional(&sheet),
            sheet,
            unconfirmed: Vec::new(),
            limits: Limits::default(),
            settings: Settings::default(),
            doubts: Doubts::default(),
            orders: Orders::default(),
            demand: Demand::default(),
            prices: Prices::default(),
            checks: Checks::default(),
            trusts: Vec::new(),
            tanks: Vec::new(),
        }
    }

    /// A ship nobody has told anything of: all her own figures are a typical plant's, and say so.
    #[must_use]
    pub fn unfilled() -> Self {
        Self { unconfirmed: HERS.to_vec(), ..Self::blank() }
    }

    /// What a change of the sheet brings with it: a figure that changed is hers, and tables of valve marks that were in
    /// proportion to the rated flows stay so.
    pub(crate) fn follow(&mut self, before: &Self) {
        let (old, new) = (&before.sheet, &self.sheet);
        self.unconfirmed.retain(|key| old.get(key) == new.get(key));
        let (was, is) = (Positions::proportional(old), Positions::proportional(new));
        if self.positions.bypass == was.bypass {
            self.positions.bypass = is.bypass;
        }
        if self.positions.throttle == was.throttle {
            self.positions.throttle = is.throttle;
        }
    }

    /// The tank of this key.
    #[must_use]
    pub fn tank(&self, key: &str) -> Option<&Tank> {
        self.tanks.iter().find(|tank| tank.key == key)
    }
}

impl Positions {
    /// Until the ship has measured her own: flow in proportion to what is open.
    ///
    /// Common practice for a first guess; the by-pass takes up to three quarters of the flow past the heater.
    #[must_use]
    pub fn proportional(sheet: &Sheet) -> Self {
        let (jacket, sea) = (sheet.rated_jacket_flow_kg_s, sheet.rated_condenser_flow_kg_s);
        Self {
            bypass: vec![[0.0, jacket], [100.0, tidy(0.25 * jacket)]],
            throttle: vec![[0.0, tidy(0.05 * sea)], [100.0, sea]],
        }
    }
}

/// To a gram a second: a first guess needs no tail of digits in the file.
fn tidy(kg_s: f64) -> f64 {
    (kg_s * 1000.0).round() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_what_was_changed_is_hers_and_marks_follow_her_flows() {
        let before = Ship::unfilled();
        let mut after = before.clone();
        after.sheet.rated_jacket_flow_kg_s = 30.0;
        after.positions.throttle = vec![[0.0, 1.0], [100.0, 9.0]];
        after.follow(&before);
        assert_eq!(after.unconfirmed.len(), HERS.len() - 1);
        assert!(!after.unconfirmed.contains(&"rated_jacket_flow_kg_s"));
        assert_eq!(after.positions.bypass, [[0.0, 30.0], [100.0, 7.5]]);
        assert_eq!(after.positions.throttle, [[0.0, 1.0], [100.0, 9.0]]);
        assert!(HERS.iter().all(|key| after.sheet.get(key).is_ok()));
    }

    #[test]
    fn ident_a_sounding_table_is_met_at_its_rows_and_holds_between() {
        let tank = Tank {
            key: "p".into(),
            name: "Port".into(),
            holds: Holds::Fresh,
            capacity_m3: 160.0,
            unpumpable_m3: 6.0,
            soundings: vec![[0.0, 0.0], [200.0, 70.0], [400.0, 160.0]],
        };
        assert_eq!(tank.volume_m3(200.0), Some(70.0));
        assert_eq!(tank.volume_m3(300.0), Some(115.0));
        assert_eq!(tank.volume_m3(450.0), None);
    }
}
