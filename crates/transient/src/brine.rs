//! The brine: its temperature and strength, the steam pressure it sets, and what flows in and out of the shell.

use water::{saturation, seawater};

use crate::conditions::Conditions;
use crate::ejector::Jet;
use crate::model::Model;
use crate::parts::{F_CHECK, F_DRAIN, F_HEATER, F_ORIFICE, V_DRAIN, V_FEED};
use crate::smooth::{ramp, root, step};

/// Strongest brine the properties are asked for, g/kg.
const STRONGEST_G_KG: f64 = 200.0;

/// Gas space under which a full shell takes no more, m³.
const FULL_M3: f64 = 0.2;

/// The brine as it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Brine {
    /// Salt, g/kg, as it is.
    pub(crate) g_kg: f64,
    pub(crate) c: f64,
    /// Saturation pressure of the vapour over it, Pa.
    pub(crate) vapour_pa: f64,
    pub(crate) enthalpy: f64,
    pub(crate) density: f64,
}

/// Temperature of brine and plates from their energy, by secants on the enthalpy.
fn temperature(kg: f64, g_kg: f64, heat: f64, plates_j_k: f64, hint_c: f64) -> f64 {
    let excess = |c: f64| kg * seawater::enthalpy_j_kg(c, g_kg) + plates_j_k * c - heat;
    let capacity = kg * 4000.0 + plates_j_k;
    let mut c = if hint_c.is_finite() { hint_c } else { heat / capacity };
    let mut miss = excess(c);
    let mut slope = capacity;
    for _ in 0..8 {
        let next = c - miss / slope;
        let step = next - c;
        if step == 0.0 {
            break;
        }
        let missed = excess(next);
        let secant = (missed - miss) / step;
        if secant > 0.5 * capacity && secant < 2.0 * capacity {
            slope = secant;
        }
        c = next;
        miss = missed;
        if step.abs() < 1.0e-7 {
            break;
        }
    }
    // what is left is the square of the last step: one more slope takes it off
    c - miss / slope
}

/// The brine of a mass (kg), its salt (kg) and its energy with the plates (J); `hint_c` is where its temperature was last found.
pub(crate) fn brine(model: &Model, kg: f64, salt_kg: f64, heat: f64, hint_c: f64) -> Brine {
    let kg = kg.max(1.0e-9);
    let g_kg = 1000.0 * salt_kg.max(0.0) / kg;
    let property_g_kg = g_kg.min(STRONGEST_G_KG);
    let c = temperature(kg, property_g_kg, heat, model.p.plates_j_k, hint_c).clamp(-5.0, 150.0);
    let lowered = c - model.plant.sheet().static_head_k;
    let mut vapour_c = lowered;
    for _ in 0..6 {
        let next = lowered - seawater::boiling_point_elevation_k(vapour_c, property_g_kg);
        let moved = (next - vapour_c).abs();
        vapour_c = next;
        if moved < 1.0e-12 {
            break;
        }
    }
    Brine {
        g_kg,
        c,
        vapour_pa: saturation::pressure_pa(vapour_c),
        enthalpy: seawater::enthalpy_j_kg(c, property_g_kg),
        density: seawater::density_kg_m3(c, property_g_kg),
    }
}

/// Flows of the shell's liquid, kg/s.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Flows {
    pub(crate) feed: f64,
    pub(crate) drawn: f64,
    pub(crate) weir: f64,
    pub(crate) drain: f64,
    /// Jacket water leaking in; sea water into the jacket when negative.
    pub(crate) leak: f64,
    pub(crate) back: f64,
}

/// What flows at a lagged shell pressure (Pa), a level, a gas space over the brine (m³).
pub(crate) fn flows(model: &Model, at: &Conditions, jet: &Jet, shell: &Shell) -> Flows {
    let (p, r, atmosphere) = (&model.p, &model.r, at.around.atmosphere_pa);
    let level = shell.brine_kg / p.full_brine_kg;
    let room = step(shell.gas_m3 / FULL_M3);
    let head = p.feed_head_pa * shell.cooling_speed * shell.cooling_speed;
    let across = atmosphere + head - shell.pressure_pa;
    let open = step((across - p.feed_check_pa) / p.feed_check_span_pa);
    let orifice = r.feed_orifice * at.valve(V_FEED) * at.fault(F_ORIFICE);
    let pumped = orifice * across.max(0.0).sqrt() * open;
    let idle = 1.0 - step(shell.cooling_speed / 0.3);
    let passing = at.fault(F_CHECK)
        * orifice
        * root(ramp(atmosphere - shell.pressure_pa - p.check_load_pa, 100.0), 100.0)
        * idle
        * (1.0 - open);
    let feed = (pumped + passing) * room;
    let drain = p.drain_kg_s
        * at.valve(V_DRAIN).max(at.fault(F_DRAIN))
        * step(shell.brine_kg / 3.0)
        * step((shell.pressure_pa / atmosphere - 0.9) / 0.08);
    Flows {
        feed,
        drawn: r.brine_capacity * jet.strength * level,
        weir: p.weir_kg_s * ramp(level - p.weir_level, 0.02),
        drain,
        leak: heater_leak(model, at, shell, level, feed),
        back: shell.back_flow * room,
    }
}

fn heater_leak(model: &Model, at: &Conditions, shell: &Shell, level: f64, feed: f64) -> f64 {
    let hole = at.fault(F_HEATER);
    if hole <= 0.0 {
        return 0.0;
    }
    let p = &model.p;
    let open = step(shell.heater_open / 0.1) * shell.jacket_speed * shell.jacket_speed;
    let jacket = at.around.atmosphere_pa
        + p.jacket_shut_pa
        + (p.jacket_running_pa - p.jacket_shut_pa) * open;
    let plates = shell.pressure_pa
        + 0.35e5 * (feed / model.r.feed).powi(2)
        + 0.15e5 * step((level - 2.0) / 4.0);
    let wanted = hole * p.heater_leak_kg_s * root(jacket - plates, 1000.0);
    // sea water into the jacket cannot come from a shell that holds none
    if wanted < 0.0 {
        wanted * step(shell.brine_kg / p.wetting_kg)
    } else {
        wanted * step(shell.gas_m3 / FULL_M3)
    }
}

/// What the flows are asked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shell {
    pub(crate) pressure_pa: f64,
    pub(crate) brine_kg: f64,
    pub(crate) gas_m3: f64,
    pub(crate) cooling_speed: f64,
    pub(crate) jacket_speed: f64,
    /// Sum of the heater valves' openings.
    pub(crate) heater_open: f64,
    pub(crate) back_flow: f64,
}
