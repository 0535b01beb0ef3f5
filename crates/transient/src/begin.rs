//! How a run begins: a cold plant beside a warm engine, or one that makes water.

use water::{CELSIUS_ZERO_K, GAS_CONSTANT, seawater};

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{S_LOAD, S_ROOM, S_SALT, S_SEA};
use crate::state::*;
use crate::{brine, gas};

/// Flow of the jacket loop the beginning is reckoned with, kg/s: with the by-pass open.
const FLOW_KG_S: f64 = 18.2;

/// How a run begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Begin {
    /// Shell open to the air in its pressure, hardly wet; engine warm; by-pass open, all else shut.
    Cold,
    /// Near its rated rest, water going to the tank.
    Running,
}

fn engine(model: &Model, at: &Conditions, y: &mut State) {
    let p = &model.p;
    let heat_w = model.engine_heat_w(at.set(S_LOAD));
    let set = at.set_point_c;
    let capacity = FLOW_KG_S * p.pipe_j_kg_k;
    y[ENGINE_METAL] = set + heat_w / p.engine_film_w_k;
    for at in [ENGINE_OUT, SUPPLY, RETURN, SENSOR] {
        y[at] = set;
    }
    y[ENGINE_IN] = set - heat_w / capacity;
    let share = heat_w / (capacity * p.cooler_effectiveness * (set - p.low_temperature_c).max(1.0));
    y[THERMOSTAT] = share.clamp(0.0, 1.0);
    y[THERMOSTAT_SUM] = y[THERMOSTAT];
    y[EXPANSION] = 300.0;
    y[JACKET_SPEED] = 1.0;
    y[TANK] = 50.0e3;
    y[TANK_SALT] = 0.15;
    y[DOSING] = 20.0;
}

fn wet(model: &Model, y: &mut State, kg: f64, g_kg: f64, c: f64) {
    y[BRINE] = kg;
    y[BRINE_SALT] = kg * g_kg * 1.0e-3;
    y[BRINE_HEAT] = kg * seawater::enthalpy_j_kg(c, g_kg) + model.p.plates_j_k * c;
}

/// The plant's state at the beginning.
pub(crate) fn state(model: &Model, at: &Conditions, begin: Begin) -> State {
    let mut y = [0.0; ALL];
    let (p, sea_c, sea_g_kg) = (&model.p, at.set(S_SEA), at.set(S_SALT));
    engine(model, at, &mut y);
    match begin {
        Begin::Cold => {
            for cell in [HEATER_1, HEATER_2, HEATER_3] {
                y[cell] = at.set(S_ROOM);
            }
            y[AIR_LOCK] = 0.6;
            wet(model, &mut y, 3.0, sea_g_kg, sea_c);
            y[SHELL_METAL] = sea_c;
            for cell in [CONDENSER_1, CONDENSER_2, CONDENSER_3] {
                y[cell] = sea_c;
            }
            let wet = brine::brine(model, y[BRINE], y[BRINE_SALT], y[BRINE_HEAT], f64::NAN);
            y[WELL] = 3.0;
            let liquid = y[BRINE] / wet.density + y[WELL] / gas::WELL_KG_M3;
            let space = p.steam_side_m3 + p.condenser_side_m3 + p.vent_pocket_m3 - liquid;
            let atmosphere = at.around.atmosphere_pa;
            y[AIR] =
                (atmosphere - wet.vapour_pa) * space / (GAS_CONSTANT * (sea_c + CELSIUS_ZERO_K));
            y[SHELL_LAGGED] = atmosphere;
            y[WELL_SALT] = 0.006;
            y[CARRIED_SALT] = 0.015;
        }
        Begin::Running => {
            let k = &model.k;
            [y[HEATER_1], y[HEATER_2], y[HEATER_3]] = [81.0, 78.0, 75.0];
            y[BOILING_HEAT] = 690_000.0;
            wet(model, &mut y, 40.0, 49.0, 47.0);
            y[SHELL_METAL] = 46.0;
            [y[CONDENSER_1], y[CONDENSER_2], y[CONDENSER_3]] =
                [sea_c + 3.0, sea_c + 6.0, sea_c + 9.0];
            y[AIR] = 0.15;
            // rounded: a beginning near the rated rest, not at it
            y[VAPOUR] = (k.vapour_kg_s * 1.0e3).round() / 1.0e3;
            y[SHELL_LAGGED] = (k.shell_pressure_pa / 100.0).round() * 100.0;
            y[WELL] = 18.0;
            y[WELL_SALT] = 18.0 * 3.0e-6;
            for speed in [EJECTOR_SPEED, COOLING_SPEED, DISTILLATE_SPEED] {
                y[speed] = 1.0;
            }
            y[DIVERTER] = 1.0;
        }
    }
    y
}
