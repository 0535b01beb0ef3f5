//! One line of a trace: what the plant shows at a moment.

use serde::Serialize;

use crate::conditions::Conditions;
use crate::moment::Moment;
use crate::state::*;

macro_rules! row {
    ($($(#[$doc:meta])* $field:ident,)*; $($(#[$beside_doc:meta])* $beside:ident,)*) => {
        /// What the plant shows at a moment; the fields are the columns of a trace, and what is told beside them.
        #[derive(Debug, Clone, Copy, PartialEq, Serialize)]
        pub struct Row {
            $($(#[$doc])* pub $field: f64,)*
            $($(#[$beside_doc])* pub $beside: f64,)*
        }

        impl Row {
            /// The columns' names, in order.
            pub const COLUMNS: &'static [&'static str] = &[$(stringify!($field)),*];

            /// The columns' values, in order.
            pub fn values(&self) -> impl Iterator<Item = f64> {
                [$(self.$field),*].into_iter()
            }

            /// A column by its name.
            #[must_use]
            pub fn get(&self, column: &str) -> Option<f64> {
                match column {
                    $(stringify!($field) => Some(self.$field),)*
                    _ => None,
                }
            }
        }
    };
}

row! {
    /// Time, s.
    time_s,
    /// Shell pressure, Pa absolute.
    shell_pressure_pa,
    /// Vacuum, percent of the day's atmosphere.
    vacuum_percent,
    /// Brine, °C.
    brine_temp_c,
    /// Vapour made, kg/s.
    vapour_made_kg_s,
    /// Distillate, a leak into it included, kg/s.
    product_kg_s,
    /// Engine's jacket outlet, °C.
    engine_outlet_c,
    /// Jacket water into the heater, °C.
    jacket_in_c,
    /// Jacket water out of the heater, °C.
    jacket_out_c,
    /// Jacket water through the heater, kg/s.
    jacket_flow_kg_s,
    /// Heat into the brine, W.
    evaporator_heat_w,
    /// Sea water out of the condenser, °C.
    sea_out_c,
    /// Level, 1 at its mark.
    brine_level,
    /// Salt in the brine, g/kg.
    brine_salinity_g_kg,
    /// Feed, kg/s.
    feed_kg_s,
    /// Before the ejector's nozzle, Pa absolute.
    nozzle_pressure_pa,
    /// Water in the distillate well, kg.
    well_kg,
    /// Salt in the well, mg/kg.
    product_salt_mg_kg,
    /// What the salinity cell reads, mg/kg.
    cell_reading_mg_kg,
    /// Diverting valve: 0 dump, 1 tank.
    diverting_valve,
    /// Water in the tank, kg.
    tank_kg,
    /// Heater body, °C.
    heater_body_c,
    /// Thermostat valve: share of the flow through the cooler.
    thermostat_valve,
    /// Scale on the evaporator, m²K/W.
    scale_m2k_w,
    /// Water in the jacket's expansion tank, kg.
    expansion_tank_kg,
    /// Air in the shell, mol.
    gas_mol,
    ;
    // no columns of a trace
    /// Distillate through the discharge line, kg/s: nothing when it is shut, more than is made while the well is drawn down.
    drawn_kg_s,
}

impl Row {
    pub(crate) fn of(time_s: f64, at: &Conditions, y: &State, m: &Moment) -> Self {
        let atmosphere = at.around.atmosphere_pa;
        Row {
            time_s,
            shell_pressure_pa: m.shell_pa,
            vacuum_percent: 100.0 * (1.0 - m.shell_pa / atmosphere),
            brine_temp_c: m.brine.c,
            vapour_made_kg_s: y[VAPOUR],
            product_kg_s: m.product,
            engine_outlet_c: y[ENGINE_OUT],
            jacket_in_c: y[SUPPLY],
            jacket_out_c: y[HEATER_3],
            jacket_flow_kg_s: m.jacket.heater,
            evaporator_heat_w: m.heater.whole_w,
            sea_out_c: y[CONDENSER_3],
            brine_level: m.level,
            brine_salinity_g_kg: m.brine.g_kg,
            feed_kg_s: m.flows.feed,
            nozzle_pressure_pa: m.jet.motive_pa,
            well_kg: y[WELL],
            product_salt_mg_kg: m.well_mg_kg,
            cell_reading_mg_kg: y[CELL_READING],
            diverting_valve: y[DIVERTER],
            tank_kg: y[TANK],
            heater_body_c: (y[HEATER_1] + y[HEATER_2] + y[HEATER_3]) / 3.0,
            thermostat_valve: y[THERMOSTAT],
            scale_m2k_w: y[SCALE],
            expansion_tank_kg: y[EXPANSION],
            gas_mol: y[AIR],
            drawn_kg_s: m.pumped,
        }
    }
}
