//! What can be read off the plant that is practised on, under the names guards use.

use jiff::Timestamp;
use procedure::{Reading, Seen};
use transient::Live;
use water::saturation;

use crate::field;
use crate::figure::sea_density_kg_m3;
use crate::procedures::{Panel, VACUUM_PERCENT};
use crate::setup::Setup;
use crate::typed::{digits, shown};

/// How many figures are read off.
const COUNT: usize = 17;

/// Names read off the plant; a word of the brine's level stands for itself.
const NAMES: [&str; COUNT] = [
    "engine_load_percent",
    "engine_jacket_out_c",
    "barometer_hpa",
    "ejector_pressure_bar_g",
    "back_pressure_bar_g",
    VACUUM_PERCENT,
    "shell_absolute_mbar",
    "vapour_temp_c",
    "jacket_in_c",
    "jacket_out_c",
    "bypass_percent",
    "sea_temp_c",
    "sea_out_c",
    "feed_flow_m3_h",
    "product_salt_mg_kg",
    "distillate_meter_m3",
    "distillate_temp_c",
];

/// One look at every gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Look {
    /// When, s of the run.
    pub(super) at_s: f64,
    figures: [f64; COUNT],
    /// Level of the brine, 1 at its mark.
    level: f64,
}

impl Look {
    /// What the gauges show now.
    pub(super) fn at(live: &Live) -> Look {
        let (row, stands, point) = (live.row(), live.run().stands(), live.run().as_point());
        let density = sea_density_kg_m3(point.sea_temp_c, point.sea_salinity_g_kg);
        let vapour_c = vapour_c(row.shell_pressure_pa, row.brine_temp_c);
        let set = |name| stands.set(name).unwrap_or(0.0);
        let figures = [
            set("engine load"),
            row.engine_outlet_c,
            point.barometer_hpa,
            point.ejector_pressure_bar_g,
            point.back_pressure_bar_g,
            row.vacuum_percent,
            row.shell_pressure_pa / 100.0,
            vapour_c,
            row.jacket_in_c,
            row.jacket_out_c,
            stands.valve("jacket by-pass").map_or(0.0, |valve| valve.at_percent),
            point.sea_temp_c,
            row.sea_out_c,
            3600.0 * row.feed_kg_s / density,
            row.cell_reading_mg_kg,
            row.tank_kg / 1000.0,
            vapour_c,
        ];
        Look { at_s: live.time_s(), figures, level: row.brine_level }
    }

    /// The same at another moment.
    pub(super) fn moved(self, at_s: f64) -> Look {
        Look { at_s, ..self }
    }

    /// A figure by its name.
    pub(super) fn figure(&self, name: &str) -> Option<f64> {
        NAMES.iter().position(|one| *one == name).map(|place| self.figures[place])
    }

    fn level_word(&self) -> &'static str {
        match self.level {
            level if level < 0.3 => "low",
            level if level > 2.0 => "over the glass",
            _ => "steady",
        }
    }
}

/// What a thermometer in the shell shows, °C: the boiling point at its pressure, or the brine's own where that is colder.
pub(super) fn vapour_c(shell_pa: f64, brine_c: f64) -> f64 {
    saturation::temperature_c(shell_pa.max(700.0)).min(brine_c)
}

/// A moment of the run as guards count time: from midnight, so that its clock reads the hours and minutes of the run.
pub(super) fn moment(at_s: f64) -> Timestamp {
    #[allow(clippy::cast_possible_truncation)] // some days of seconds
    Timestamp::from_millisecond((at_s * 1000.0).round() as i64).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// Every look so far, for guards.
pub(super) struct Looks<'a> {
    pub(super) setup: &'a Setup,
    /// Temperature the engine's thermostat holds, °C.
    pub(super) set_point_c: f64,
    /// Oldest first.
    pub(super) looks: &'a [Look],
}

impl Seen for Looks<'_> {
    fn since(&self, name: &str, from: Timestamp) -> Vec<Reading> {
        let looks = self.looks.iter().map(|look| (moment(look.at_s), look));
        let looks = looks.filter(|(at, _)| *at >= from);
        if name == "brine_level" {
            let word = |(at, look): (Timestamp, &Look)| Reading {
                at,
                value: None,
                text: look.level_word().to_owned(),
            };
            return looks.map(word).collect();
        }
        looks
            .filter_map(|(at, look)| {
                let value = look.figure(name)?;
                let text =
                    field::reading(name).map_or_else(|| digits(value, 1), |r| shown(r, value));
                Some(Reading { at, value: Some(value), text })
            })
            .collect()
    }

    fn figure(&self, name: &str) -> Option<f64> {
        let (section, key) = name.split_once('.')?;
        let sheet = &self.setup.ship.sheet;
        match (section, key) {
            ("limit", key) => self.setup.ship.limits.get(key),
            ("order", key) => self.setup.ship.orders.get(key),
            ("set", "engine_jacket_out_c") => Some(self.set_point_c),
            ("set", key) => self.setup.ship.settings.get(key).filter(|value| *value > 0.0),
            ("expected", "feed_flow_m3_h") => {
                let feed_kg_s = sheet.rated_product_t_day / 86.4 * sheet.rated_feed_ratio;
                Some(3600.0 * feed_kg_s / sea_density_kg_m3(sheet.rated_sea_temp_c, 35.0))
            }
            _ => None,
        }
    }
}

impl Panel for Looks<'_> {}
