//! The plant sheet: what the engineer reads off nameplate, manual and sea trial.

use serde::{Deserialize, Serialize};

use crate::error::FieldError;
use crate::keys::{self, Key, Part};
use crate::value::{self, Value};

/// Where the feed is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FeedFrom {
    /// Condenser outlet: preheated.
    #[default]
    Condenser,
    /// Straight from the sea.
    Sea,
}

/// What keeps the shell warm in cold sea.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ColdTrim {
    /// The condenser's sea water is throttled.
    #[default]
    Throttle,
    /// Air is bled in.
    Bleed,
    /// Nothing can be done: one pump feeds condenser and ejector.
    None,
}

macro_rules! sheet {
    ($($(#[$doc:meta])* $field:ident: $default:expr,)*) => {
        /// The plant sheet. Every field is a key of the interchange table with its unit in the name;
        /// meaning, range and where to read it off are in [`keys::SHEET`].
        ///
        /// [`Sheet::default`] is the demonstration plant.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct Sheet {
            $($(#[$doc])* pub $field: f64,)*
            /// Ejector water at the rated point, °C; the sea's when none.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub rated_motive_temp_c: Option<f64>,
            /// Where the feed is taken from.
            pub feed_from: FeedFrom,
            /// What keeps the shell warm in cold sea.
            pub cold_trim: ColdTrim,
            /// Shares of jacket film, wall, boiling film in the clean rated resistance.
            pub evaporator_split: [f64; 3],
            /// Shares of sea-water film, wall, condensing film in the clean rated resistance.
            pub condenser_split: [f64; 3],
            /// Engine's jacket heat: rows of [load %, kW], load rising.
            pub jacket_heat_table: Vec<[f64; 2]>,
        }

        impl Default for Sheet {
            fn default() -> Self {
                Sheet {
                    $($field: $default,)*
                    rated_motive_temp_c: None,
                    feed_from: FeedFrom::Condenser,
                    cold_trim: ColdTrim::Throttle,
                    evaporator_split: [0.40, 0.12, 0.48],
                    condenser_split: [0.52, 0.10, 0.38],
                    jacket_heat_table: vec![
                        [25.0, 430.0],
                        [50.0, 700.0],
                        [75.0, 950.0],
                        [85.0, 1050.0],
                        [100.0, 1200.0],
                        [110.0, 1300.0],
                    ],
                }
            }
        }

        impl Sheet {
            fn plain(&self, key: &str) -> Option<f64> {
                match key {
                    $(stringify!($field) => Some(self.$field),)*
                    _ => None,
                }
            }

            fn plain_mut(&mut self, key: &str) -> Option<&mut f64> {
                match key {
                    $(stringify!($field) => Some(&mut self.$field),)*
                    _ => None,
                }
            }
        }

        /// The sheet's plain numbers in the arithmetic of the solution: `f64`, or a dual number that carries a derivative.
        #[derive(Debug, Clone, Copy)]
        pub(crate) struct SheetNumbers<T> {
            $(pub(crate) $field: T,)*
            pub(crate) rated_motive_temp_c: T,
            pub(crate) evaporator_split: [T; 3],
            pub(crate) condenser_split: [T; 3],
            pub(crate) feed_from: FeedFrom,
            pub(crate) cold_trim: ColdTrim,
        }

        impl<T: Copy> SheetNumbers<T> {
            /// The same in another arithmetic.
            pub(crate) fn map<U>(&self, f: impl Fn(T) -> U) -> SheetNumbers<U> {
                SheetNumbers {
                    $($field: f(self.$field),)*
                    rated_motive_temp_c: f(self.rated_motive_temp_c),
                    evaporator_split: self.evaporator_split.map(&f),
                    condenser_split: self.condenser_split.map(&f),
                    feed_from: self.feed_from,
                    cold_trim: self.cold_trim,
                }
            }

            /// Lifts the sheet into `T`; `lift` is told each key so that it can seed a derivative.
            pub(crate) fn lift(sheet: &Sheet, lift: impl Fn(&'static str, f64) -> T) -> Self {
                let [e1, e2, e3] = sheet.evaporator_split;
                let [c1, c2, c3] = sheet.condenser_split;
                let sea = lift("rated_sea_temp_c", sheet.rated_sea_temp_c);
                SheetNumbers {
                    $($field: lift(stringify!($field), sheet.$field),)*
                    // Left out, the rated motive water is the rated sea: it must carry the sea's derivative.
                    rated_motive_temp_c: sheet.rated_motive_temp_c.map_or(sea, |t| lift("rated_motive_temp_c", t)),
                    evaporator_split: [
                        lift("evaporator_split.film", e1),
                        lift("evaporator_split.wall", e2),
                        lift("evaporator_split.boiling", e3),
                    ],
                    condenser_split: [
                        lift("condenser_split.film", c1),
                        lift("condenser_split.wall", c2),
                        lift("condenser_split.condensing", c3),
                    ],
                    feed_from: sheet.feed_from,
                    cold_trim: sheet.cold_trim,
                }
            }
        }
    };
}

sheet! {
    /// Net distillate, t/day.
    rated_product_t_day: 24.0,
    /// Jacket water at the evaporator inlet, °C.
    rated_jacket_in_c: 85.0,
    /// Jacket water through the evaporator, kg/s.
    rated_jacket_flow_kg_s: 16.2,
    /// Sea water at the condenser inlet, °C.
    rated_sea_temp_c: 32.0,
    /// Sea salinity, g/kg.
    rated_sea_salinity_g_kg: 35.165,
    /// Sea water through the condenser, kg/s.
    rated_condenser_flow_kg_s: 17.5,
    /// Feed over rated net distillate.
    rated_feed_ratio: 3.5,
    /// Saturation temperature of the vapour, °C.
    rated_vapour_temp_c: 46.0,
    /// Salt in the distillate, mg/kg.
    rated_product_salt_mg_kg: 3.0,
    /// Motive water before the nozzle, bar gauge.
    rated_ejector_pressure_bar_g: 4.0,
    /// After the ejector, bar gauge.
    rated_back_pressure_bar_g: 0.4,
    /// Gas and vapour the ejector draws, m³/s.
    rated_gas_capacity_m3_s: 0.020,
    /// Air leaking in, kg/h.
    rated_air_leak_kg_h: 1.0,
    /// Brine the ejector can lift, kg/s.
    brine_capacity_kg_s: 1.05,
    /// Area across the vapour at the demister, m².
    separation_area_m2: 0.80,
    /// Demister drop in velocity heads.
    demister_drop: 115.0,
    /// Hydrostatic allowance, K.
    static_head_k: 0.5,
    /// Heat loss to the room, W/K.
    heat_loss_w_k: 50.0,
    /// Heated area, m².
    evaporator_area_m2: 12.0,
    /// Cooled area, m².
    condenser_area_m2: 34.0,
    /// Convective share of the rated boiling film (closure).
    convective_share: 0.3,
    /// Blanketing exponent (closure).
    blanketing_exponent: 2.0,
    /// Load factor at which the demister floods, m/s.
    flooding_velocity_m_s: 0.107,
    /// Part of the rated carry-over no mesh stops (closure).
    mist_floor: 0.2,
    /// Lift over drive at which the jet stalls (closure).
    stall_ratio: 0.35,
    /// Alkalinity of the sea at salinity 35.165 g/kg, mmol/kg.
    alkalinity_mmol_kg: 2.3,
    /// Part of the bicarbonate that gives off its gas.
    co2_release: 0.6,
    /// Jacket heat left to the engine, kW.
    jacket_heat_reserve_kw: 50.0,
    /// Jacket water is not to fall under this, °C (our estimate of a usual low alarm).
    jacket_low_limit_c: 70.0,
    /// Maker's maximum, t/day.
    product_max_t_day: 25.0,
    /// Vapour is kept at or above this, °C.
    vapour_temp_min_c: 40.0,
    /// Sea water is not let out hotter than this, °C.
    sea_out_max_c: 50.0,
}

fn look_up(key: &str) -> Result<&'static Key, FieldError> {
    keys::find(Part::Sheet, key).ok_or_else(|| FieldError::UnknownKey {
        part: Part::Sheet,
        got: key.to_owned(),
        nearest: keys::nearest(Part::Sheet, key),
    })
}

impl Sheet {
    /// Builds a sheet from keyed values over the demonstration plant.
    ///
    /// # Errors
    /// The first value that cannot be taken.
    pub fn from_values<'a>(
        values: impl IntoIterator<Item = (&'a str, Value)>,
    ) -> Result<Self, FieldError> {
        let mut sheet = Sheet::default();
        for (key, value) in values {
            sheet.set(key, &value)?;
        }
        Ok(sheet)
    }

    /// The value of a key.
    ///
    /// # Errors
    /// [`FieldError::UnknownKey`] with the nearest known one.
    pub fn get(&self, key: &str) -> Result<Value, FieldError> {
        look_up(key)?;
        if let Some(x) = self.plain(key) {
            return Ok(Value::Number(x));
        }
        Ok(match key {
            "rated_motive_temp_c" => self.rated_motive_temp_c.into(),
            "feed_from" => match self.feed_from {
                FeedFrom::Condenser => "condenser".into(),
                FeedFrom::Sea => "sea".into(),
            },
            "cold_trim" => match self.cold_trim {
                ColdTrim::Throttle => "throttle".into(),
                ColdTrim::Bleed => "bleed".into(),
                ColdTrim::None => "none".into(),
            },
            "evaporator_split" => Value::List(self.evaporator_split.to_vec()),
            "condenser_split" => Value::List(self.condenser_split.to_vec()),
            "jacket_heat_table" => Value::Table(self.jacket_heat_table.clone()),
            _ => Value::Absent,
        })
    }

    /// Sets a key, in the key's unit; nothing changes when it is refused.
    ///
    /// # Errors
    /// Unknown key, wrong shape, or outside the range, with what is allowed and why.
    pub fn set(&mut self, key: &str, value: &Value) -> Result<(), FieldError> {
        let entry = look_up(key)?;
        if let Some(field) = self.plain_mut(key) {
            *field = value::number(entry, value)?;
            return Ok(());
        }
        match key {
            "rated_motive_temp_c" => self.rated_motive_temp_c = value::optional(entry, value)?,
            "feed_from" => {
                self.feed_from = match value::word(entry, value)? {
                    "sea" => FeedFrom::Sea,
                    _ => FeedFrom::Condenser,
                }
            }
            "cold_trim" => {
                self.cold_trim = match value::word(entry, value)? {
                    "bleed" => ColdTrim::Bleed,
                    "none" => ColdTrim::None,
                    _ => ColdTrim::Throttle,
                }
            }
            "evaporator_split" => self.evaporator_split = shares(entry, value)?,
            "condenser_split" => self.condenser_split = shares(entry, value)?,
            _ => match value {
                Value::Table(rows) => {
                    value::table(entry, rows)?;
                    self.jacket_heat_table.clone_from(rows);
                }
                other => return Err(value::wrong(entry, other)),
            },
        }
        Ok(())
    }

    /// Checks every field by itself: range, shares, table.
    ///
    /// # Errors
    /// The first field that cannot be taken.
    pub fn check(&self) -> Result<(), FieldError> {
        match self.problems().into_iter().next() {
            Some(problem) => Err(problem),
            None => Ok(()),
        }
    }

    /// Every field that cannot be taken, so that a form can show them all at once.
    #[must_use]
    pub fn problems(&self) -> Vec<FieldError> {
        keys::SHEET.iter().filter_map(|entry| self.check_one(entry).err()).collect()
    }

    fn check_one(&self, entry: &'static Key) -> Result<(), FieldError> {
        if let Some(x) = self.plain(entry.key) {
            return value::within(entry, x).map(|_| ());
        }
        match entry.key {
            "rated_motive_temp_c" => {
                self.rated_motive_temp_c.map_or(Ok(()), |x| value::within(entry, x).map(|_| ()))
            }
            "evaporator_split" => value::shares(entry, self.evaporator_split).map(|_| ()),
            "condenser_split" => value::shares(entry, self.condenser_split).map(|_| ()),
            "jacket_heat_table" => value::table(entry, &self.jacket_heat_table),
            _ => Ok(()),
        }
    }
}

fn shares(entry: &'static Key, value: &Value) -> Result<[f64; 3], FieldError> {
    match value {
        Value::List(list) => match <[f64; 3]>::try_from(list.as_slice()) {
            Ok(three) => value::shares(entry, three),
            Err(_) => Err(value::wrong(entry, value)),
        },
        other => Err(value::wrong(entry, other)),
    }
}
