//! How far each instrument can be trusted: standing error, error of each reading, scale step. Our estimates, editable per ship.

use crate::ship::Ship;

/// One instrument of its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instrument {
    /// Name of the reading it gives.
    pub reading: &'static str,
    /// Standing error, one standard deviation, in the reading's unit; a share where `relative`.
    pub standing: f64,
    /// Error of each reading, one standard deviation, likewise.
    pub each: f64,
    /// What the scale can be read to, in the reading's unit.
    pub step: f64,
    /// Whether the two errors are shares of the value.
    pub relative: bool,
}

const fn plain(reading: &'static str, standing: f64, each: f64, step: f64) -> Instrument {
    Instrument { reading, standing, each, step, relative: false }
}

const fn share(reading: &'static str, standing: f64, each: f64, step: f64) -> Instrument {
    Instrument { reading, standing, each, step, relative: true }
}

/// Instruments as found aboard: dial and glass thermometers in pockets, class 1.6 gauges, a counter.
/// Common practice; the figures are our estimates of one standard deviation.
pub const INSTRUMENTS: &[Instrument] = &[
    plain("engine_load_percent", 1.0, 0.5, 1.0),
    plain("engine_jacket_out_c", 0.7, 0.4, 0.5),
    plain("barometer_hpa", 0.7, 0.3, 1.0),
    plain("ejector_pressure_bar_g", 0.06, 0.05, 0.05),
    plain("back_pressure_bar_g", 0.03, 0.03, 0.02),
    // 10 mbar standing and 9 mbar each, as per cent of a standard atmosphere.
    plain("shell_gauge_bar_g", 0.99, 0.89, 0.5),
    plain("vapour_temp_c", 0.7, 0.4, 0.5),
    plain("jacket_in_c", 0.7, 0.4, 0.5),
    plain("jacket_out_c", 0.7, 0.4, 0.5),
    plain("bypass_percent", 0.0, 0.0, 1.0),
    share("jacket_flow_m3_h", 0.03, 0.02, 0.1),
    share("jacket_flow_kg_s", 0.03, 0.02, 0.01),
    plain("sea_temp_c", 0.5, 0.3, 0.5),
    plain("sea_out_c", 0.7, 0.4, 0.5),
    plain("condenser_throttle_percent", 0.0, 0.0, 1.0),
    share("condenser_flow_kg_s", 0.04, 0.02, 0.01),
    plain("feed_pressure_bar_g", 0.06, 0.05, 0.1),
    share("feed_flow_m3_h", 0.03, 0.02, 0.01),
    share("feed_flow_kg_s", 0.03, 0.02, 0.001),
    plain("brine_temp_c", 0.7, 0.4, 0.5),
    plain("brine_salinity_g_kg", 0.7, 0.7, 0.5),
    plain("distillate_meter_m3", 0.0, 0.05, 0.1),
    share("product_t_day", 0.025, 0.015, 0.1),
    share("product_salt_mg_kg", 0.12, 0.15, 0.1),
    plain("distillate_temp_c", 0.7, 0.4, 0.5),
    plain("vent_temp_c", 1.66, 0.5, 0.5),
    share("antiscalant_l_day", 0.05, 0.05, 0.1),
    share("chlorine_l_day", 0.05, 0.05, 0.1),
    plain("expansion_tank_cm", 0.5, 0.7, 1.0),
];

/// The instrument that gives this reading.
#[must_use]
pub fn of(reading: &str) -> Option<&'static Instrument> {
    INSTRUMENTS.iter().find(|i| i.reading == reading)
}

/// Standing and each-reading errors at a value, in the reading's unit, with what the ship says of it.
#[must_use]
pub fn errors(ship: &Ship, reading: &str, value: f64) -> (f64, f64) {
    if let Some(trust) = ship.trusts.iter().find(|t| t.reading == reading) {
        return (trust.standing, trust.each);
    }
    match of(reading) {
        Some(i) => {
            let scale = if i.relative { value.abs() } else { 1.0 };
            // A scale read to its step adds q²/12 (uniform within the step).
            let each = ((i.each * scale).powi(2) + i.step * i.step / 12.0).sqrt();
            (i.standing * scale, each)
        }
        None => (0.0, 0.0),
    }
}
