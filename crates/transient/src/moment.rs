//! Every equation at one moment: from what the plant remembers to how fast each of it changes.

use plant::closures;
use water::{CELSIUS_ZERO_K, GAS_CONSTANT, M_WATER_KG_MOL, liquid, saturation, seawater, steam};

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{
    F_CELL, F_CONDENSER, F_DEMISTER, F_HUNTING, F_SEAL, F_STUCK, P_COOLING, P_DISTILLATE,
    P_EJECTOR, P_JACKET, V_BALANCE, V_DISTILLATE, V_IN, V_OUT, V_TANK, V_VENT,
};
use crate::smooth::{ramp, step};
use crate::state::*;
use crate::{brine, ejector, exchange, gas, jacket, scaling};

/// Vapour under which the condenser passes nothing on, kg/s: joins "none" to "all that is left" without a corner.
const NO_PRODUCT_KG_S: f64 = 1.0e-6;

/// Where inner roots were last found: the air's pressure at the vent, Pa, and the brine's temperature, °C.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hints {
    pub(crate) air_pa: f64,
    pub(crate) brine_c: f64,
}

impl Hints {
    pub(crate) const NONE: Hints = Hints { air_pa: 0.0, brine_c: f64::NAN };
}

/// What the equations find at a moment beside the rates.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moment {
    pub(crate) rates: State,
    pub(crate) hints: Hints,
    pub(crate) shell_pa: f64,
    pub(crate) brine: brine::Brine,
    pub(crate) flows: brine::Flows,
    pub(crate) jet: ejector::Jet,
    pub(crate) jacket: jacket::LoopFlow,
    pub(crate) heater: exchange::Heated,
    pub(crate) cooling: f64,
    pub(crate) product: f64,
    pub(crate) well_mg_kg: f64,
    /// Distillate through the discharge line, kg/s.
    pub(crate) pumped: f64,
    pub(crate) level: f64,
    /// Air let in by valves and a pump's seal, mol/s.
    pub(crate) bled: f64,
}

/// Evaluates every equation. The hints are where inner roots were last found; the answer does not depend on them.
#[allow(
    clippy::too_many_lines,
    reason = "the balances are read in one piece; each law has its own function"
)]
pub(crate) fn moment(model: &Model, at: &Conditions, y: &State, hints: Hints) -> Moment {
    let (p, r, around) = (&model.p, &model.r, &at.around);
    let sheet = model.plant.sheet();
    let mut f = [0.0; ALL];

    // pumps
    for (state, pump) in [
        (EJECTOR_SPEED, P_EJECTOR),
        (COOLING_SPEED, P_COOLING),
        (DISTILLATE_SPEED, P_DISTILLATE),
        (JACKET_SPEED, P_JACKET),
    ] {
        let (to, lag) = match (at.running[pump], pump) {
            (on, P_DISTILLATE) => (f64::from(u8::from(on)), p.distillate_pump_s),
            (true, _) => (1.0, p.pump_up_s),
            (false, _) => (0.0, p.pump_down_s),
        };
        f[state] = (to - y[state]) / lag;
    }

    // jacket loop
    let flow = jacket::flows(model, at, y[AIR_LOCK], y[JACKET_SPEED]);
    let mean_c = 0.5 * (y[SUPPLY] + y[HEATER_3]);
    let cp = closures::jacket_heat_capacity(mean_c);
    let engine_w = jacket::engine_heat(model, at, y[ENGINE_OUT]);
    let film_w = p.engine_film_w_k * (y[ENGINE_METAL] - y[ENGINE_OUT]);
    let cooler_w = flow.whole
        * cp
        * y[THERMOSTAT]
        * p.cooler_effectiveness
        * (y[RETURN] - p.low_temperature_c);
    f[ENGINE_METAL] = (engine_w - film_w) / p.engine_metal_j_k;
    f[ENGINE_OUT] =
        (film_w + flow.whole * cp * (y[ENGINE_IN] - y[ENGINE_OUT])) / p.engine_water_j_k;
    f[SUPPLY] = flow.whole * cp * (y[ENGINE_OUT] - y[SUPPLY]) / (p.supply_pipe_kg * p.pipe_j_kg_k);
    f[RETURN] = (flow.heater * cp * (y[HEATER_3] - y[RETURN])
        + flow.bypass * cp * (y[SUPPLY] - y[RETURN]))
        / (p.return_pipe_kg * p.pipe_j_kg_k);
    f[ENGINE_IN] = (flow.whole * cp * (y[RETURN] - y[ENGINE_IN]) - cooler_w)
        / (p.inlet_pipe_kg * p.pipe_j_kg_k);
    let hunting = at.fault(F_HUNTING);
    f[SENSOR] = (y[ENGINE_OUT] - y[SENSOR]) / (p.sensor_lag_s * hunting);
    (f[THERMOSTAT], f[THERMOSTAT_SUM]) =
        jacket::thermostat(model, at, y[SENSOR], y[THERMOSTAT], y[THERMOSTAT_SUM], hunting);
    f[AIR_LOCK] =
        -y[AIR_LOCK] * at.valve(V_VENT) * step(at.valve(V_OUT) / 0.2) * step(y[JACKET_SPEED] / 0.3)
            / p.vent_s;

    // brine and its vapour
    let brine = brine::brine(model, y[BRINE], y[BRINE_SALT], y[BRINE_HEAT], hints.brine_c);
    let wetted = step(y[BRINE] / p.wetting_kg);
    let vapour = y[VAPOUR];
    let vapour_h = steam::enthalpy_j_kg(brine.vapour_pa, brine.c);
    let density = steam::density_kg_m3(brine.vapour_pa, brine.c);
    let velocity = closures::velocity(vapour.max(0.0), density, sheet.separation_area_m2);
    let drop_pa = closures::drop_pa(sheet.demister_drop, density, velocity);
    let condensing_c = saturation::temperature_c((brine.vapour_pa - drop_pa).max(1.0));
    let condensate_h = liquid::saturated_enthalpy_j_kg(condensing_c);
    let latent = vapour_h - condensate_h;

    // heater
    let heater = exchange::Evaporator {
        cells_c: [y[HEATER_1], y[HEATER_2], y[HEATER_3]],
        inlet_c: y[SUPPLY],
        brine_c: brine.c,
        flow: flow.heater,
        heat_capacity: cp,
        film_heat_w: y[BOILING_HEAT],
        vapour_pa: brine.vapour_pa,
        scale: y[SCALE].max(0.0),
        wet: wetted * (1.0 - 0.8 * y[AIR_LOCK]),
        model,
    }
    .heat();
    let mut before_c = y[SUPPLY];
    for (cell, heat_w) in [HEATER_1, HEATER_2, HEATER_3].into_iter().zip(heater.cells_w) {
        f[cell] = (flow.heater * cp * (before_c - y[cell]) - heat_w) / (p.heater_j_k / 3.0);
        before_c = y[cell];
    }
    f[BOILING_HEAT] = (heater.whole_w - y[BOILING_HEAT]) / p.film_lag_s;

    // ejector, openings, flows of the shell
    let lagged = y[SHELL_LAGGED];
    let jet = ejector::jet(model, at, lagged, y[EJECTOR_SPEED]);
    let gas_m3 = p.steam_side_m3 - y[BRINE] / brine.density;
    let flows = brine::flows(
        model,
        at,
        &jet,
        &brine::Shell {
            pressure_pa: lagged,
            brine_kg: y[BRINE],
            gas_m3,
            cooling_speed: y[COOLING_SPEED],
            jacket_speed: y[JACKET_SPEED],
            heater_open: at.valve(V_IN) + at.valve(V_OUT),
            back_flow: ejector::back_flow(model, at, &jet, lagged),
        },
    );
    let openings = gas::openings(model, at, lagged, y[BRINE]);
    let degassed =
        flows.feed * around.feed_gas_mol_kg * step((0.95 - lagged / around.atmosphere_pa) / 0.3);
    let air_in = openings.air_in + degassed;

    // gas space
    let cooling = exchange::cooling_flow(model, at, y[COOLING_SPEED]);
    let filled = gas::fill(
        model,
        &gas::Asked {
            air_mol: y[AIR],
            air_in_mol_s: air_in,
            vapour,
            vapour_pa: brine.vapour_pa,
            vapour_density: density,
            brine_c: brine.c,
            drop_pa,
            condensing_c,
            sink_c: exchange::sink(model, at, cooling, y[CONDENSER_1]),
            capacity_m3_s: jet.capacity_m3_s,
            steam_side_m3: (gas_m3 - y[WELL] / gas::WELL_KG_M3).max(0.02),
            hint_pa: hints.air_pa,
        },
    );
    let vent_rt = GAS_CONSTANT * (filled.vent_c + CELSIUS_ZERO_K);
    let vent_vapour =
        M_WATER_KG_MOL * jet.capacity_m3_s * saturation::pressure_pa(filled.vent_c) / vent_rt;
    let blown =
        openings.out + gas::relieved(model, at, lagged, ejector::outward(model, &jet, lagged));
    let air_share = ((filled.shell_pa - brine.vapour_pa) / filled.shell_pa).clamp(0.0, 1.0);
    let air_drawn = filled.air_pa * jet.capacity_m3_s / vent_rt;
    let air_blown = blown * air_share;
    let steam_blown = blown * (1.0 - air_share) * M_WATER_KG_MOL;
    f[AIR] = air_in - air_drawn - air_blown;
    f[SHELL_LAGGED] = (filled.shell_pa - lagged) / p.pressure_lag_s;

    // condenser
    let sea_cp =
        seawater::heat_capacity_j_kg_k(0.5 * (around.sea_c + y[CONDENSER_3]), around.sea_g_kg);
    let flooded = step((y[WELL] - p.well_flood_kg) / p.well_flood_span_kg);
    let asked = exchange::Condenser {
        cells_c: [y[CONDENSER_1], y[CONDENSER_2], y[CONDENSER_3]],
        condensing_c,
        flow: cooling,
        heat_capacity: sea_cp,
        vapour,
        free: filled.free * (1.0 - flooded),
        model,
        at,
    }
    .heat();
    let asked_w: f64 = asked.iter().sum();
    let lost = vent_vapour + steam_blown;
    f[VAPOUR] = (wetted * (asked_w / latent + lost) - vapour) / p.vapour_lag_s;
    let condensed = ramp(vapour - lost, NO_PRODUCT_KG_S);
    let vent_loss = vapour - condensed;
    let condenser_w = condensed * latent;
    // Water that stands in tubes hotter than the shell gives its heat back to it.
    let standing = 1.0 - step(cooling / (0.2 * r.condenser_flow));
    let back =
        |cell: usize| standing * p.condenser_back_w_k / 3.0 * ramp(y[cell] - y[SHELL_METAL], 0.5);
    let back_w = [CONDENSER_1, CONDENSER_2, CONDENSER_3].map(back);
    let mut before_c = around.sea_c;
    for ((cell, heat_w), back_w) in
        [CONDENSER_1, CONDENSER_2, CONDENSER_3].into_iter().zip(asked).zip(back_w)
    {
        let share = (heat_w + 1.0e-3) / (asked_w + 3.0e-3);
        f[cell] = (cooling * sea_cp * (before_c - y[cell]) + condenser_w * share - back_w)
            / (p.condenser_j_k / 3.0);
        before_c = y[cell];
    }

    // balances of the shell
    let feed_c = if r.feed_from_sea { around.sea_c } else { y[CONDENSER_3] };
    let feed_h = seawater::enthalpy_j_kg(feed_c, around.sea_g_kg);
    let metal_w = p.shell_film_w_k * (brine.c - y[SHELL_METAL]);
    let room_w =
        (y[SHELL_METAL] - around.room_c) / (1.0 / sheet.heat_loss_w_k - 1.0 / p.shell_film_w_k);
    let leak_h = if flows.leak > 0.0 {
        liquid::saturated_enthalpy_j_kg(y[HEATER_2])
    } else {
        brine.enthalpy
    };
    let leak_salt = if flows.leak >= 0.0 { 0.0 } else { flows.leak * brine.g_kg * 1.0e-3 };
    let out = flows.drawn + flows.weir + flows.drain;
    let load = closures::load_factor(velocity, density, brine.density);
    let swelling = -(heater.whole_w + flows.feed * (feed_h - brine.enthalpy)
        - vapour * (vapour_h - brine.enthalpy)
        - metal_w)
        / (vapour_h - brine.enthalpy);
    let swell =
        if swelling > 0.0 { swelling * swelling / (swelling + 1.0e-3) / p.swell_kg_s } else { 0.0 };
    let over_level = ramp(y[BRINE] / p.full_brine_kg + swell - 1.0, 1.0e-3);
    let free_carry = at.fault(F_DEMISTER)
        * closures::carry_over(&model.mesh, load)
        * closures::level_factor(over_level);
    let fifth = free_carry / 0.2;
    let carry_over = free_carry / (1.0 + fifth * fifth * (fifth * fifth)).sqrt().sqrt();
    let strength = brine.g_kg * 1.0e-3;
    let carried = carry_over * condensed * strength;
    let antiscalant = if at.antiscalant { step(y[DOSING] / 0.05) } else { 0.0 };
    let growth = scaling::growth(
        model,
        &scaling::Growing {
            wall_c: heater.wall_c,
            concentration: brine.g_kg / around.sea_g_kg,
            salt_kg: y[BRINE_SALT].max(0.0),
            feed: flows.feed,
            wet: wetted,
            antiscalant,
        },
    );
    let scale_salt = sheet.evaporator_area_m2 * p.scale_salt * growth;
    f[SCALE] = growth;
    f[DOSING] = -p.dosing_kg_s * antiscalant * f64::from(u8::from(at.doses));
    f[BRINE] = flows.feed + flows.back + flows.leak - out - vapour;
    f[BRINE_SALT] = (flows.feed + flows.back) * around.sea_g_kg * 1.0e-3 + leak_salt
        - out * strength
        - carried
        - scale_salt;
    f[BRINE_HEAT] = heater.whole_w
        + flows.feed * feed_h
        + flows.back * around.sea_enthalpy
        + flows.leak * leak_h
        - out * brine.enthalpy
        - vapour * vapour_h
        - metal_w;
    f[SHELL_METAL] = (metal_w - room_w + back_w.iter().sum::<f64>()) / p.shell_metal_j_k;
    f[EXPANSION] = -flows.leak;
    f[NITRITE] =
        flows.leak.max(0.0) - (out - flows.leak.min(0.0)) * y[NITRITE] / y[BRINE].max(1.0e-9);

    // distillate
    let well_kg = y[WELL].max(1.0e-9);
    let well = y[WELL_SALT] / well_kg;
    let sea_leak = at.fault(F_CONDENSER) / 3600.0 * step(y[COOLING_SPEED] / 0.1 + 0.3);
    let suction = step(at.valve(V_BALANCE) / 0.3) * (1.0 - at.fault(F_SEAL) / 40.0).max(0.0);
    let tank_open = at.valve(V_TANK);
    let path = y[DIVERTER] * tank_open + 1.0 - y[DIVERTER];
    let pumped = p.distillate_pump_kg_s
        * y[DISTILLATE_SPEED]
        * at.valve(V_DISTILLATE)
        * (y[WELL] / p.well_suction_kg).clamp(0.0, 1.0)
        * suction
        * path;
    let to_tank = if path > 0.0 { pumped * y[DIVERTER] * tank_open / path } else { 0.0 };
    let wash = y[CARRIED_SALT] / p.wash_s * condensed / r.product;
    f[CARRIED_SALT] = p.wall_share * carried - wash;
    f[WELL] = condensed + sea_leak + flows.weir - pumped;
    f[WELL_SALT] = (1.0 - p.wall_share) * carried
        + wash
        + sea_leak * around.sea_g_kg * 1.0e-3
        + flows.weir * strength
        - pumped * well;
    let well_mg_kg = 1.0e6 * well;
    f[CELL_SALT] = pumped / p.line_kg * (well_mg_kg - y[CELL_SALT]);
    let shown = if at.salinometer { at.fault(F_CELL) * y[CELL_SALT] } else { 0.0 };
    f[CELL_READING] = (shown - y[CELL_READING]) / p.cell_lag_s;
    f[DIVERTER] = (at.diverter_to - y[DIVERTER]) / p.diverter_lag_s * (1.0 - at.fault(F_STUCK));
    f[TANK] = to_tank;
    f[TANK_SALT] = to_tank * well;
    f[METER] = pumped;
    f[DRY_RUN] = step((y[DISTILLATE_SPEED] - 0.5) / 0.2) * (1.0 - step((y[WELL] - 1.0) / 2.0));

    // ledgers: what came over the plant's edge, and what went through
    let water_in = flows.feed + flows.back + flows.leak + sea_leak;
    let water_out = flows.drawn + flows.drain + vent_loss + pumped;
    f[WATER_IN] = water_in - water_out;
    f[WATER_THROUGH] = water_in.abs() + water_out;
    let salt_in = (flows.feed + flows.back + sea_leak) * around.sea_g_kg * 1.0e-3 + leak_salt;
    let salt_out = (flows.drawn + flows.drain) * strength + pumped * well;
    f[SALT_IN] = salt_in - salt_out;
    f[SALT_THROUGH] = salt_in.abs() + salt_out;
    let sea_w = cooling * sea_cp * (around.sea_c - y[CONDENSER_3]);
    let shell_w = flows.feed * feed_h + flows.back * around.sea_enthalpy + flows.leak * leak_h;
    let out_w = out * brine.enthalpy + vapour * vapour_h - condenser_w;
    f[HEAT_IN] = engine_w - cooler_w + sea_w + shell_w - out_w - room_w;
    f[HEAT_THROUGH] =
        engine_w.abs() + cooler_w.abs() + sea_w.abs() + shell_w.abs() + out_w.abs() + room_w.abs();
    f[AIR_IN] = air_in - air_drawn - air_blown;
    f[AIR_THROUGH] = air_in + air_drawn + air_blown;

    Moment {
        rates: f,
        shell_pa: filled.shell_pa,
        hints: Hints { air_pa: filled.air_pa, brine_c: brine.c },
        brine,
        flows,
        jet,
        jacket: flow,
        heater,
        cooling,
        product: condensed + sea_leak,
        well_mg_kg,
        pumped,
        bled: openings.bled,
        level: y[BRINE] / p.full_brine_kg,
    }
}
