//! Keys of the result: what the model says the plant does.

use super::{Key, Kind, Part};

const fn is(
    key: &'static str,
    unit: &'static str,
    symbol: &'static str,
    typical: (f64, f64),
    label: &'static str,
    meaning: &'static str,
    place: &'static str,
) -> Key {
    Key {
        key,
        part: Part::Result,
        kind: Kind::Number,
        unit,
        symbol,
        hard: (f64::NEG_INFINITY, f64::INFINITY),
        typical,
        label,
        meaning,
        place,
        why: "",
    }
}

#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    is("product_t_day", "t_day", "P", (5.0, 60.0), "Output", "Distillate into the tank, what leaks into it included.", "distillate meter"),
    is("vapour_kg_s", "kg_s", "D", (0.05, 0.7), "Vapour made", "Vapour boiled off, before the vent takes its part.", "not read"),
    is("shell_pressure_pa", "Pa", "p", (4000.0, 16_000.0), "Shell pressure", "Absolute pressure over the brine.", "shell gauge and barometer"),
    is("vacuum_percent", "percent_vac", "", (84.0, 96.0), "Vacuum", "Part of the day's atmosphere that is drawn out of the shell.", "shell gauge"),
    is("vapour_temp_c", "degC", "T_v", (30.0, 55.0), "Vapour", "Saturation temperature of the vapour over the brine.", "shell top"),
    is("brine_temp_c", "degC", "T_b", (31.0, 56.0), "Brine", "The boiling brine.", "brine pocket"),
    is("condensing_temp_c", "degC", "T_cond", (30.0, 55.0), "Condensing", "Saturation temperature behind the demister.", "not read"),
    is("vent_temp_c", "degC", "T_vent", (25.0, 50.0), "Vent", "Vapour and gas at the air suction.", "vent pipe"),
    is("jacket_out_c", "degC", "T_j2", (60.0, 80.0), "Jacket water out", "Jacket water back from the evaporator.", "thermometer, evaporator outlet"),
    is("sea_out_c", "degC", "T_c2", (30.0, 50.0), "Sea water out", "Sea water from the condenser.", "thermometer, condenser outlet"),
    is("brine_salinity_g_kg", "g_kg", "S_b", (40.0, 65.0), "Brine strength", "Salt in the brine.", "vacuum sampling pot"),
    is("product_salt_mg_kg", "mg_kg", "S_d", (0.5, 10.0), "Product salt", "Salt in the distillate.", "salinometer"),
    is("evaporator_heat_w", "W", "Q_e", (1.0e5, 2.0e6), "Heat taken", "Heat from the jacket water.", "jacket drop × flow"),
    is("condenser_heat_w", "W", "Q_c", (1.0e5, 2.0e6), "Condenser heat", "Heat to the sea water.", "sea rise × flow"),
    is("blanketed_fraction", "", "β", (0.02, 0.2), "Air blanket", "Part of the condenser filled with gas.", "not read"),
    is("vent_loss_kg_s", "kg_s", "m_v", (1.0e-4, 5.0e-3), "Vapour lost at the vent", "Vapour drawn off with the gas.", "not read"),
    is("over_level", "", "o", (0.0, 0.1), "Brine over capacity", "Brine made over what the ejector lifts, less one; above 0 the level rises.", "level glass"),
    is("evaporator_u_w_m2k", "W_m2K", "U_e", (800.0, 2500.0), "Evaporator U", "Overall heat transfer of the evaporator.", "not read"),
    is("condenser_u_w_m2k", "W_m2K", "U_c", (1200.0, 3500.0), "Condenser U", "Overall heat transfer of the condenser.", "not read"),
    is("jacket_in_c", "degC", "T_j1", (70.0, 92.0), "Jacket water in", "As given, or sagged where the heat is short.", "thermometer, evaporator inlet"),
    Key { kind: Kind::Record, ..is("flags", "", "", (0.0, 1.0), "Flags", "What to be careful about.", "") },
    Key { kind: Kind::Record, ..is("residuals", "", "", (0.0, 1.0), "Residuals", "What mass, salt and energy fail to balance by, relative.", "") },
    Key { kind: Kind::Record, ..is("trims", "", "", (0.0, 1.0), "Trims", "What was moved to keep within limits, from, to, and why.", "") },
    Key { kind: Kind::Flag, ..is("heat_limited", "", "", (0.0, 1.0), "Heat limited", "The engine's heat holds the plant.", "") },
];
