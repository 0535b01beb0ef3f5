//! The ejector and its pump: what it lifts, what it draws, what comes back through it when it is dead.

use plant::closures;

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{
    F_BACK, F_CHECK, F_NOZZLE, F_STRAINER, F_WEAR, V_DISCHARGE, V_OVERBOARD, V_SUCTION,
};
use crate::smooth::{ramp, root, step};

/// Jet under which it counts as dead.
const DEAD: f64 = 0.05;
/// Speed under which the pump raises nothing.
const TURNING: f64 = 0.05;

/// The jet at one moment.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jet {
    /// Before the nozzle, Pa.
    pub(crate) motive_pa: f64,
    /// After the ejector, Pa.
    pub(crate) back_pa: f64,
    /// Against its rated self.
    pub(crate) strength: f64,
    /// Gas drawn, m³/s.
    pub(crate) capacity_m3_s: f64,
    /// 1 where it draws nothing, 0 where it works.
    pub(crate) dead: f64,
    /// How far the overboard valve lets anything through.
    pub(crate) overboard: f64,
}

/// Closure (ours): above the dense-gas pressure a jet draws no more mass, so its volume falls as r/(r² − r + 1).
pub(crate) fn dense_gas(shell_pa: f64, from_pa: f64) -> f64 {
    let r = shell_pa / from_pa;
    if r <= 1.0 { 1.0 } else { r / (r * r - r + 1.0) }
}

/// The jet at a shell pressure (Pa) and a pump speed.
pub(crate) fn jet(model: &Model, at: &Conditions, shell_pa: f64, speed: f64) -> Jet {
    let (p, r, around) = (&model.p, &model.r, &at.around);
    let overboard = step(at.valve(V_OVERBOARD) / 0.15);
    let nozzle = at.fault(F_NOZZLE) * overboard;
    let suction_pa = around.atmosphere_pa + around.draught_pa;
    let throttle = |opening: f64, loss: f64| {
        let open = opening.max(1.0e-4);
        loss * (1.0 / (open * open) - 1.0)
    };
    let loss = r.pump_loss
        + throttle(at.valve(V_SUCTION), 0.15)
        + throttle(at.valve(V_DISCHARGE), 0.02)
        + at.fault(F_STRAINER);
    let head =
        suction_pa + p.ejector_head_pa * speed * speed * at.fault(F_WEAR) * (1.0 - at.aeration);
    let drive =
        ramp(head - shell_pa, 1.0) * step(speed / TURNING) / (1.0 + loss * overboard * overboard);
    let motive_pa = shell_pa + drive;
    // motive flow over its rated value, squared
    let flow_2 = nozzle * nozzle * drive / model.k.drive_pa;
    let open = at.valve(V_OVERBOARD).max(1.0e-3);
    let back_pa = around.atmosphere_pa
        + r.overboard_pa
        + around.draught_pa
        + p.overboard_loss_pa * flow_2 / (open * open)
        + at.fault(F_BACK);
    let left = closures::stall(closures::lift_ratio(motive_pa, back_pa, shell_pa), r.stall_ratio);
    let strength =
        closures::jet(nozzle, motive_pa, shell_pa, model.k.drive_pa, left, model.k.jet_left);
    let gas_share =
        closures::volume_factor(shell_pa, around.motive_vapour_pa) / model.k.volume_factor;
    let capacity_m3_s = r.gas_capacity * strength * gas_share * dense_gas(shell_pa, p.dense_gas_pa);
    Jet {
        motive_pa,
        back_pa,
        strength,
        capacity_m3_s,
        dead: 1.0 - step(strength / DEAD),
        overboard,
    }
}

/// Sea water coming back into the shell through a dead ejector whose check valve passes, kg/s.
pub(crate) fn back_flow(model: &Model, at: &Conditions, jet: &Jet, shell_pa: f64) -> f64 {
    let p = &model.p;
    let drive = ramp(jet.back_pa - shell_pa - p.check_load_pa, 100.0);
    at.fault(F_CHECK) * p.check_kg_s * root(drive, 100.0) * jet.dead * jet.overboard
}

/// Gas leaving through a dead ejector whose overboard valve is open, kg/s.
pub(crate) fn outward(model: &Model, jet: &Jet, shell_pa: f64) -> f64 {
    model.p.outward_kg_s
        * root(ramp(shell_pa - jet.back_pa, 100.0), 100.0)
        * jet.dead
        * jet.overboard
}
