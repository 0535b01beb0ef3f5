//! The operating point: what the plant works under.

use serde::{Deserialize, Serialize};

use crate::error::FieldError;
use crate::keys::{self, Key, Part};
use crate::sheet::Sheet;
use crate::value::{self, Value};

/// What gives way when the engine cannot spare the heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum HeatShort {
    /// The jacket by-pass is opened: what is planned and advised.
    #[default]
    Bypass,
    /// The by-pass stays and the jacket temperature sags: only as a warning.
    Sag,
}

macro_rules! point {
    ($($(#[$doc:meta])* $field:ident,)*) => {
        /// The operating point. Every field is a key of the interchange table with its unit in the name;
        /// meaning and range are in [`keys::POINT`].
        ///
        /// [`Point::default`] is the rated point of the demonstration plant, [`Point::rated`] that of any sheet.
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct Point {
            $($(#[$doc])* pub $field: f64,)*
            /// Feed over rated net distillate; the sheet's when none and no feed flow is given.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub feed_ratio: Option<f64>,
            /// Feed, kg/s; instead of the ratio.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub feed_flow_kg_s: Option<f64>,
            /// Air around the shell, °C; 40 when none.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub room_temp_c: Option<f64>,
            /// Ejector water, °C; moves with the sea from the rated value when none.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub motive_temp_c: Option<f64>,
            /// Main engine load, percent; given, the heat limit applies.
            #[serde(skip_serializing_if = "Option::is_none")]
            pub engine_load: Option<f64>,
            /// What gives way when heat is short.
            pub heat_short: HeatShort,
            /// Whether the plant is run to its limits, as aboard.
            pub trimmed: bool,
        }

        impl Point {
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

        /// The point's numbers in the arithmetic of the solution, what was left out filled in.
        #[derive(Debug, Clone, Copy)]
        pub(crate) struct PointNumbers<T> {
            $(pub(crate) $field: T,)*
            pub(crate) feed_kg_s: T,
            pub(crate) room_temp_c: T,
            pub(crate) motive_temp_c: T,
        }

        impl<T: num_dual::DualNum<Primitive = f64> + Copy> PointNumbers<T> {
            /// Lifts the point into `T`; `lift` is told each key so that it can seed a derivative.
            pub(crate) fn lift(
                point: &Point,
                sheet: &crate::sheet::SheetNumbers<T>,
                lift: impl Fn(&'static str, f64) -> T,
            ) -> Self {
                let sea = lift("sea_temp_c", point.sea_temp_c);
                let ratio = point.feed_ratio.map_or(sheet.rated_feed_ratio, |r| lift("feed_ratio", r));
                PointNumbers {
                    $($field: lift(stringify!($field), point.$field),)*
                    feed_kg_s: point.feed_flow_kg_s.map_or_else(
                        || ratio * sheet.rated_product_t_day * crate::KG_S_PER_T_DAY,
                        |m| lift("feed_flow_kg_s", m),
                    ),
                    room_temp_c: lift("room_temp_c", point.room_temp_c.unwrap_or(ROOM_TEMP_C)),
                    motive_temp_c: point.motive_temp_c.map_or_else(
                        || sea + sheet.rated_motive_temp_c - sheet.rated_sea_temp_c,
                        |t| lift("motive_temp_c", t),
                    ),
                }
            }
        }
    };
}

/// Engine-room air when nothing is said, °C (common practice).
pub const ROOM_TEMP_C: f64 = 40.0;

/// Standard atmosphere, hPa.
pub(crate) const STANDARD_HPA: f64 = 1013.25;

point! {
    /// Sea water at the condenser inlet, °C.
    sea_temp_c,
    /// Sea salinity, g/kg.
    sea_salinity_g_kg,
    /// Jacket water at the evaporator inlet, °C.
    jacket_in_c,
    /// Jacket water through the evaporator, kg/s.
    jacket_flow_kg_s,
    /// Sea water through the condenser, kg/s.
    condenser_flow_kg_s,
    /// Motive water before the nozzle, bar gauge.
    ejector_pressure_bar_g,
    /// After the ejector, bar gauge.
    back_pressure_bar_g,
    /// Air leaking in, kg/h.
    air_leak_kg_h,
    /// Air let in on purpose, kg/h.
    air_bleed_kg_h,
    /// Scale on the evaporator, m²K/W.
    scale_m2k_w,
    /// Deposit in the condenser, m²K/W.
    condenser_fouling_m2k_w,
    /// Sea water leaking into the distillate, kg/h.
    condenser_leak_kg_h,
    /// What is left of the jet; 1 for a new nozzle.
    ejector_factor,
    /// Carry-over against a sound demister.
    demister_factor,
    /// The day's atmosphere, hPa.
    barometer_hpa,
}

impl Default for Point {
    fn default() -> Self {
        Point::rated(&Sheet::default())
    }
}

fn look_up(key: &str) -> Result<&'static Key, FieldError> {
    keys::find(Part::Point, key).ok_or_else(|| FieldError::UnknownKey {
        part: Part::Point,
        got: key.to_owned(),
        nearest: keys::nearest(Part::Point, key),
    })
}

impl Point {
    /// The rated point of a sheet: clean, sound, standard atmosphere, nothing trimmed.
    #[must_use]
    pub fn rated(sheet: &Sheet) -> Self {
        Point {
            sea_temp_c: sheet.rated_sea_temp_c,
            sea_salinity_g_kg: sheet.rated_sea_salinity_g_kg,
            jacket_in_c: sheet.rated_jacket_in_c,
            jacket_flow_kg_s: sheet.rated_jacket_flow_kg_s,
            condenser_flow_kg_s: sheet.rated_condenser_flow_kg_s,
            ejector_pressure_bar_g: sheet.rated_ejector_pressure_bar_g,
            back_pressure_bar_g: sheet.rated_back_pressure_bar_g,
            air_leak_kg_h: sheet.rated_air_leak_kg_h,
            air_bleed_kg_h: 0.0,
            scale_m2k_w: 0.0,
            condenser_fouling_m2k_w: 0.0,
            condenser_leak_kg_h: 0.0,
            ejector_factor: 1.0,
            demister_factor: 1.0,
            barometer_hpa: STANDARD_HPA,
            feed_ratio: None,
            feed_flow_kg_s: None,
            room_temp_c: None,
            motive_temp_c: None,
            engine_load: None,
            heat_short: HeatShort::Bypass,
            trimmed: false,
        }
    }

    /// Builds a point from keyed values over the rated point of a sheet.
    ///
    /// # Errors
    /// The first value that cannot be taken.
    pub fn from_values<'a>(
        sheet: &Sheet,
        values: impl IntoIterator<Item = (&'a str, Value)>,
    ) -> Result<Self, FieldError> {
        let mut point = Point::rated(sheet);
        for (key, value) in values {
            point.set(key, &value)?;
        }
        Ok(point)
    }

    /// The value of a key; [`Value::Absent`] for an optional one left out.
    ///
    /// # Errors
    /// [`FieldError::UnknownKey`] with the nearest known one.
    pub fn get(&self, key: &str) -> Result<Value, FieldError> {
        look_up(key)?;
        if let Some(x) = self.plain(key) {
            return Ok(Value::Number(x));
        }
        Ok(match key {
            "feed_ratio" => self.feed_ratio.into(),
            "feed_flow_kg_s" => self.feed_flow_kg_s.into(),
            "room_temp_c" => self.room_temp_c.into(),
            "motive_temp_c" => self.motive_temp_c.into(),
            "engine_load" => self.engine_load.into(),
            "heat_short" => match self.heat_short {
                HeatShort::Bypass => "bypass".into(),
                HeatShort::Sag => "sag".into(),
            },
            _ => self.trimmed.into(),
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
            "feed_ratio" => self.feed_ratio = value::optional(entry, value)?,
            "feed_flow_kg_s" => self.feed_flow_kg_s = value::optional(entry, value)?,
            "room_temp_c" => self.room_temp_c = value::optional(entry, value)?,
            "motive_temp_c" => self.motive_temp_c = value::optional(entry, value)?,
            "engine_load" => self.engine_load = value::optional(entry, value)?,
            "heat_short" => {
                self.heat_short = match value::word(entry, value)? {
                    "sag" => HeatShort::Sag,
                    _ => HeatShort::Bypass,
                }
            }
            _ => match value {
                Value::Flag(yes) => self.trimmed = *yes,
                other => return Err(value::wrong(entry, other)),
            },
        }
        Ok(())
    }

    /// Checks every field by itself.
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
        let mut found: Vec<FieldError> =
            keys::POINT.iter().filter_map(|entry| self.check_one(entry).err()).collect();
        if let (Some(ratio), Some(flow_kg_s)) = (self.feed_ratio, self.feed_flow_kg_s) {
            found.push(FieldError::FeedTwice { ratio, flow_kg_s });
        }
        found
    }

    fn check_one(&self, entry: &'static Key) -> Result<(), FieldError> {
        let given = self.plain(entry.key).or(match entry.key {
            "feed_ratio" => self.feed_ratio,
            "feed_flow_kg_s" => self.feed_flow_kg_s,
            "room_temp_c" => self.room_temp_c,
            "motive_temp_c" => self.motive_temp_c,
            "engine_load" => self.engine_load,
            _ => None,
        });
        given.map_or(Ok(()), |x| value::within(entry, x).map(|_| ()))
    }
}
