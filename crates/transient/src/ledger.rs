//! The ledgers: water, salt, heat and air in the plant against what came over its edge.

use crate::model::Model;
use crate::state::*;

/// What does not balance since the beginning, over what went through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledgers {
    /// Water, of kg through.
    pub water: f64,
    /// Salt, of kg through.
    pub salt: f64,
    /// Heat, of J through.
    pub heat: f64,
    /// Air, of mol through.
    pub air: f64,
}

impl Ledgers {
    /// The worst of the four, without its sign.
    #[must_use]
    pub fn worst(&self) -> f64 {
        [self.water, self.salt, self.heat, self.air].into_iter().map(f64::abs).fold(0.0, f64::max)
    }

    pub(crate) fn of(model: &Model, start: &State, now: &State) -> Self {
        let p = &model.p;
        let scale_salt = model.plant.sheet().evaporator_area_m2 * p.scale_salt;
        let heat = |y: &State| {
            p.engine_metal_j_k * y[ENGINE_METAL]
                + p.engine_water_j_k * y[ENGINE_OUT]
                + p.pipe_j_kg_k
                    * (p.supply_pipe_kg * y[SUPPLY]
                        + p.return_pipe_kg * y[RETURN]
                        + p.inlet_pipe_kg * y[ENGINE_IN])
                + p.heater_j_k / 3.0 * (y[HEATER_1] + y[HEATER_2] + y[HEATER_3])
                + y[BRINE_HEAT]
                + p.shell_metal_j_k * y[SHELL_METAL]
                + p.condenser_j_k / 3.0 * (y[CONDENSER_1] + y[CONDENSER_2] + y[CONDENSER_3])
        };
        let water = |y: &State| y[BRINE] + y[WELL];
        let salt =
            |y: &State| y[BRINE_SALT] + y[WELL_SALT] + y[CARRIED_SALT] + scale_salt * y[SCALE];
        let open = |held: &dyn Fn(&State) -> f64, net: usize, through: usize| {
            let went = now[through] - start[through];
            let missing = held(now) - held(start) - (now[net] - start[net]);
            if went > 0.0 { missing / went } else { missing }
        };
        Ledgers {
            water: open(&water, WATER_IN, WATER_THROUGH),
            salt: open(&salt, SALT_IN, SALT_THROUGH),
            heat: open(&heat, HEAT_IN, HEAT_THROUGH),
            air: open(&|y: &State| y[AIR], AIR_IN, AIR_THROUGH),
        }
    }
}
