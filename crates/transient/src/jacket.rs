//! The jacket loop: how its pump shares the flow between heater and by-pass, and how the thermostat answers.

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{F_BYPASS, V_BYPASS, V_IN, V_OUT};
use crate::smooth::{equal_percentage, step};

/// Flows of the loop, kg/s.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LoopFlow {
    pub(crate) whole: f64,
    pub(crate) heater: f64,
    pub(crate) bypass: f64,
}

/// Closure (ours): two branches side by side behind one resistance, flow by the square root of pressure; air in the heater
/// narrows its branch.
pub(crate) fn flows(model: &Model, at: &Conditions, air_lock: f64, speed: f64) -> LoopFlow {
    let (inlet, outlet) = (equal_percentage(at.valve(V_IN)), at.valve(V_OUT));
    let heater = if inlet <= 0.0 || outlet <= 0.0 {
        0.0
    } else {
        let lost = 1.0 / (inlet * inlet) + 1.0 / (outlet * outlet) - 1.0;
        model.r.heater_branch * (1.0 - 0.9 * air_lock) / lost.sqrt()
    };
    let bypass =
        model.p.bypass_branch_kg_s * equal_percentage(at.valve(V_BYPASS)).max(at.fault(F_BYPASS));
    let both = heater + bypass;
    if both <= 0.0 {
        return LoopFlow { whole: 0.0, heater: 0.0, bypass: 0.0 };
    }
    let whole = speed / (model.r.loop_resistance + 1.0 / (both * both)).sqrt();
    let heater = whole * heater / both;
    LoopFlow { whole, heater, bypass: whole - heater }
}

/// What the thermostat does: rates of the valve and of its integral, 1/s.
pub(crate) fn thermostat(
    model: &Model,
    at: &Conditions,
    sensed_c: f64,
    valve: f64,
    sum: f64,
    hunting: f64,
) -> (f64, f64) {
    let p = &model.p;
    let rate = 1.0 / p.thermostat_stroke_s;
    let towards = |target: f64| rate * ((target - valve) / (p.thermostat_near_s * rate)).tanh();
    if let Some(hand) = at.thermostat_to() {
        // the integral follows the hand, so that going back to automatic does not jump
        return (towards(hand), (hand - sum) / 20.0);
    }
    let gain = p.thermostat_gain * hunting;
    let error = sensed_c - at.set_point_c;
    let asked = sum + gain * error;
    let held = asked.clamp(0.0, 1.0);
    (towards(held), gain * error / p.thermostat_integral_s - (asked - held) / 20.0)
}

/// Heat of the engine to its jacket, W; the preheater's when it is stopped.
pub(crate) fn engine_heat(model: &Model, at: &Conditions, out_c: f64) -> f64 {
    if at.around.engine_stopped {
        return model.p.preheater_w * step((model.p.preheater_c + 1.0 - out_c) / 2.0);
    }
    at.around.engine_w
}
