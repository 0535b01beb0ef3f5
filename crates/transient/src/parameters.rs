//! Sizes of the plant that the steady sheet does not hold: what each is, why so large, and whether it was chosen.

macro_rules! parameters {
    ($($(#[$doc:meta])* $field:ident: $value:expr,)*) => {
        /// Sizes of one plant. [`Parameters::default`] is the demonstration plant's.
        ///
        /// Marks: *size* plausible for a plant of 20 to 30 t/day, not measured on a ship; *chosen* so that the windows and
        /// consequences of common practice appear, which proves nothing about a ship.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Parameters {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Default for Parameters {
            fn default() -> Self {
                Parameters { $($field: $value,)* }
            }
        }

        impl Parameters {
            /// Every size with its name, in its order.
            pub fn figures(&self) -> impl Iterator<Item = (&'static str, f64)> {
                [$((stringify!($field), self.$field)),*].into_iter()
            }
        }
    };
}

parameters! {
    /// Engine metal that follows the jacket, J/K. *Chosen*.
    engine_metal_j_k: 6.0e6,
    /// Jacket water in the engine, J/K. *Chosen*.
    engine_water_j_k: 3.0e6,
    /// From metal to jacket water, W/K. *Chosen*.
    engine_film_w_k: 24.0e3,
    /// Water in the supply pipe to the heater, kg. *Size*.
    supply_pipe_kg: 250.0,
    /// Water in the return pipe and mixing piece, kg. *Size*.
    return_pipe_kg: 250.0,
    /// Water before the engine, kg. *Size*.
    inlet_pipe_kg: 300.0,
    /// Heat capacity of water in the pipes, J/(kg K). Water at 60 to 90 °C.
    pipe_j_kg_k: 4200.0,
    /// Heater: water, plate pack and branch, J/K. *Chosen*.
    heater_j_k: 1.5e6,
    /// Plates that follow the brine, J/K. *Size*.
    plates_j_k: 60.0e3,
    /// Shell metal, J/K. *Size*.
    shell_metal_j_k: 0.7e6,
    /// From brine to shell metal, W/K. *Size*.
    shell_film_w_k: 2.0e3,
    /// Condenser's sea water and tubes, J/K. *Size*.
    condenser_j_k: 0.62e6,
    /// From standing sea water in hot tubes back to a colder shell, W/K. *Chosen*.
    condenser_back_w_k: 1.5e3,
    /// Gas space over the brine with the shell empty, m³. *Chosen*.
    steam_side_m3: 2.2,
    /// Gas space of the condenser, m³. *Chosen*.
    condenser_side_m3: 1.2,
    /// Gas space at the vent, m³. *Size*.
    vent_pocket_m3: 0.1,
    /// Air diffusing back against the vapour, m³/s. *Closure (ours)*, *chosen*.
    back_diffusion_m3_s: 0.02,
    /// Lag of the vapour made, s. Makes no difference at rest.
    vapour_lag_s: 1.0,
    /// Lag of the shell pressure that ejector, feed and leak see, s. Makes no difference at rest.
    pressure_lag_s: 0.5,
    /// Lag of the heat in the boiling film, s. Makes no difference at rest.
    film_lag_s: 2.0,
    /// Brine at which the level is full, kg. *Size*.
    full_brine_kg: 60.0,
    /// Level of the weir to the well, in full levels. *Chosen*.
    weir_level: 2.2,
    /// Flow over the weir, kg/s per full level. *Chosen*.
    weir_kg_s: 3.0,
    /// Brine that wets all plates, kg. *Chosen*.
    wetting_kg: 5.0,
    /// Distillate that fills the pump's suction, kg. *Size*.
    well_suction_kg: 25.0,
    /// Distillate above which the condenser floods, kg. *Size*.
    well_flood_kg: 60.0,
    /// Distillate from first flooding to all flooded, kg. *Size*.
    well_flood_span_kg: 400.0,
    /// Distillate pump with a full suction, kg/s. *Size*.
    distillate_pump_kg_s: 0.6,
    /// Water between well and cell, kg. *Size*.
    line_kg: 8.0,
    /// Lag of the cell's reading, s. *Size*.
    cell_lag_s: 8.0,
    /// Lag of the diverting valve, s. *Size*.
    diverter_lag_s: 2.0,
    /// Share of the salt carried over that stays on demister and walls. *Chosen*.
    wall_share: 0.3,
    /// Time in which rated vapour washes it off, s. *Chosen*.
    wash_s: 300.0,
    /// Motive water at the rated point, kg/s. *Size*.
    motive_kg_s: 12.0,
    /// Head of the ejector pump, Pa. *Size*.
    ejector_head_pa: 5.0e5,
    /// Loss in the overboard line at the rated motive flow, Pa. *Size*.
    overboard_loss_pa: 2.0e4,
    /// Shell pressure above which the jet draws no more mass of gas, Pa. *Closure (ours)*, *chosen*.
    dense_gas_pa: 2.5e4,
    /// Head of the cooling pump at the feed's orifice, Pa. *Size*.
    feed_head_pa: 2.0e5,
    /// Where the loaded feed check begins to open, Pa. *Size*.
    feed_check_pa: 1.35e5,
    /// From there to open, Pa. *Size*.
    feed_check_span_pa: 0.35e5,
    /// Vacuum breaker full open, choked, kg/s of air. *Size*.
    breaker_kg_s: 0.07,
    /// Shell drain full open, choked, kg/s of air. *Size*.
    drain_air_kg_s: 0.01,
    /// Head of the brine at its mark over the shell drain, Pa: some decimetres. *Size*.
    drain_head_pa: 3.5e3,
    /// Shell drain full open, kg/s of brine. *Size*.
    drain_kg_s: 2.0,
    /// Relief begins to lift, Pa over atmosphere. Common practice: about half a bar.
    relief_pa: 0.50e5,
    /// From there to full lift, Pa. *Size*.
    relief_span_pa: 0.06e5,
    /// Relief, kg/s per √Pa. *Size*.
    relief_kg_s: 2.0e-3,
    /// Idle ejector, gas outward, kg/s per √Pa. *Size*.
    outward_kg_s: 2.0e-3,
    /// Passing check valve full bore, kg/s of sea water per √Pa. *Size*.
    check_kg_s: 0.01,
    /// Load of the sound check valve, Pa. *Size*.
    check_load_pa: 0.1e5,
    /// Heater leak for an amount of 1, kg/s per √Pa. *Size*.
    heater_leak_kg_s: 2.0e-4,
    /// Jacket pressure, running, Pa over atmosphere. *Size*.
    jacket_running_pa: 2.2e5,
    /// Jacket pressure in a heater that is shut in, Pa over atmosphere. *Size*.
    jacket_shut_pa: 0.02e5,
    /// Film that natural circulation leaves, over its rated value. *Chosen*.
    film_floor: 0.03,
    /// Pumps up to speed, s. *Size*.
    pump_up_s: 1.5,
    /// Pumps running down, s. *Size*.
    pump_down_s: 4.0,
    /// Distillate pump up to speed and down, s: it is small. *Size*.
    distillate_pump_s: 1.0,
    /// Thermostat's gain, 1/K. *Chosen*.
    thermostat_gain: 0.02,
    /// Thermostat's integral time, s. *Chosen*.
    thermostat_integral_s: 55.0,
    /// Thermostat valve from end to end, s. *Chosen*.
    thermostat_stroke_s: 180.0,
    /// Nearness at which the thermostat valve slows, s. *Size*.
    thermostat_near_s: 3.0,
    /// Lag of the thermostat's sensor, s. *Size*.
    sensor_lag_s: 6.0,
    /// Effectiveness of the jacket cooler. *Size*.
    cooler_effectiveness: 0.55,
    /// Cooling water of the jacket cooler, °C. Common practice: 36.
    low_temperature_c: 36.0,
    /// Preheater of a stopped engine, W. *Size*.
    preheater_w: 120.0e3,
    /// Temperature the preheater holds, °C. Common practice.
    preheater_c: 70.0,
    /// By-pass branch, kg/s where the heater branch has its rated flow times √2. *Size*.
    bypass_branch_kg_s: 30.0,
    /// Time in which an open vent clears an air lock, s. *Chosen*.
    vent_s: 40.0,
    /// Scale laid down at a 60 °C wall in sea water, (m²K/W)/s. *Chosen*.
    scale_rate: 4.0e-11,
    /// Sulphate scale above its limit, (m²K/W)/s. *Chosen*.
    sulphate_rate: 3.0e-9,
    /// What antiscalant keeps off. *Chosen*.
    antiscalant: 0.85,
    /// Antiscalant used, kg/s. *Size*.
    dosing_kg_s: 2.0e-5,
    /// Salt in the scale, kg/m² per m²K/W. *Size*.
    scale_salt: 500.0,
    /// Time in which brine on dry plates bakes on, s. *Chosen*.
    baking_s: 60.0,
    /// Swell of falling pressure, kg/s of vapour per full level. *Closure (ours)*, *chosen*.
    swell_kg_s: 0.012,
}
