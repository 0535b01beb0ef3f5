//! The gas space: how air and vapour share the shell, and what leaks in or out of it.

use plant::closures;
use water::{CELSIUS_ZERO_K, GAS_CONSTANT, M_AIR_KG_MOL, M_WATER_KG_MOL, saturation};

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{F_BREAKER, F_DRAIN, F_SEAL, V_BREAKER, V_DRAIN, V_SCREW};
use crate::smooth::{ramp, step};

/// Last part of the way to the atmosphere in which a leak is a straight line.
const NEAR: f64 = 0.002;

/// Density of distillate in the well, kg/m³.
pub(crate) const WELL_KG_M3: f64 = 1000.0;

/// Molar mass the outward openings are told in, kg/mol.
const BLOWN_KG_MOL: f64 = 0.025;

/// Sub-cooling from which the condenser's free part fades instead of ending.
const FADE_FROM: f64 = 0.95;

/// The smallest drive the blanketing is measured against, K.
const LEAST_DRIVE_K: f64 = 0.05;

/// Flow through a leak over its choked value at a pressure over atmosphere: the steady law, a straight line at the end, and the
/// same outward.
pub(crate) fn leak(ratio: f64) -> f64 {
    let inward = |r: f64| {
        if r < 1.0 - NEAR {
            closures::leak_factor(r)
        } else {
            closures::leak_factor(1.0 - NEAR) * (1.0 - r) / NEAR
        }
    };
    if ratio <= 1.0 { inward(ratio) } else { -inward((2.0 - ratio).max(0.0)) }
}

/// Gas through the openings of the shell, mol/s.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Openings {
    /// Air coming in.
    pub(crate) air_in: f64,
    /// Of it what valves let in, not leaks.
    pub(crate) bled: f64,
    /// Gas and vapour going out through leaks and open valves.
    pub(crate) out: f64,
}

/// Leak, breaker, air screw, drain and pump seal at a shell pressure.
pub(crate) fn openings(model: &Model, at: &Conditions, shell_pa: f64, brine_kg: f64) -> Openings {
    let g = leak(shell_pa / at.around.atmosphere_pa);
    let p = &model.p;
    let breaker = at.valve(V_BREAKER).max(at.fault(F_BREAKER)) + 0.02 * at.valve(V_SCREW);
    // Some decimetres of brine stand against the drain, no more than a little of what the vacuum draws with: air comes in through them.
    let head_pa = p.drain_head_pa * brine_kg / p.full_brine_kg;
    let drained = ramp(leak((shell_pa + head_pa) / at.around.atmosphere_pa), 1.0e-3);
    let drain = at.valve(V_DRAIN).max(at.fault(F_DRAIN)) * drained;
    let seal = at.fault(F_SEAL) / (3600.0 * M_AIR_KG_MOL);
    let breaker = p.breaker_kg_s * breaker / M_AIR_KG_MOL;
    if g >= 0.0 {
        let bled = g * breaker + p.drain_air_kg_s * drain / M_AIR_KG_MOL + seal;
        Openings { air_in: g * at.around.leak_mol_s + bled, bled, out: 0.0 }
    } else {
        Openings { air_in: seal, bled: seal, out: -g * (at.around.leak_mol_s + breaker) }
    }
}

/// Gas and vapour blown off by relief and idle ejector, mol/s.
pub(crate) fn relieved(model: &Model, at: &Conditions, shell_pa: f64, outward_kg_s: f64) -> f64 {
    let p = &model.p;
    let over = shell_pa - at.around.atmosphere_pa;
    let lift = step((over - p.relief_pa) / p.relief_span_pa);
    (p.relief_kg_s * over.max(0.0).sqrt() * lift + outward_kg_s) / BLOWN_KG_MOL
}

/// What the gas space is asked.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked {
    pub(crate) air_mol: f64,
    pub(crate) air_in_mol_s: f64,
    pub(crate) vapour: f64,
    pub(crate) vapour_pa: f64,
    pub(crate) vapour_density: f64,
    pub(crate) brine_c: f64,
    pub(crate) drop_pa: f64,
    pub(crate) condensing_c: f64,
    pub(crate) sink_c: f64,
    pub(crate) capacity_m3_s: f64,
    pub(crate) steam_side_m3: f64,
    /// Where to look for the air's pressure at the vent first, Pa.
    pub(crate) hint_pa: f64,
}

/// How the shell is filled.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Filled {
    pub(crate) shell_pa: f64,
    /// Air at the vent, Pa.
    pub(crate) air_pa: f64,
    pub(crate) vent_c: f64,
    /// Part of the condenser free of air.
    pub(crate) free: f64,
}

/// Part of the condenser free of air at a sub-cooling of the vent over the whole drive: 1 − x², fading instead of ending.
pub(crate) fn free_part(x: f64) -> f64 {
    if x <= 0.0 {
        1.0
    } else if x <= FADE_FROM {
        1.0 - x * x
    } else {
        let left = 1.0 - FADE_FROM * FADE_FROM;
        left * (-2.0 * FADE_FROM / left * (x - FADE_FROM)).exp()
    }
}

/// Closure (ours): vapour sweeps the air to the vent and the air diffuses back; the shell's air is what both sides and the vent
/// pocket hold. One root in the air's pressure at the vent, for what they hold rises with it.
pub(crate) fn fill(model: &Model, ask: &Asked) -> Filled {
    let p = &model.p;
    let drawn_vapour = 2.0 * ask.capacity_m3_s * ask.vapour_density;
    let swept = (ask.vapour - drawn_vapour).max(0.0);
    let peclet = swept * swept / (swept + 1.0e-3) / (ask.vapour_density * p.back_diffusion_m3_s);
    let mixed = (-peclet).exp();
    let share_in = if ask.air_in_mol_s > 0.0 {
        ask.air_in_mol_s / (ask.air_in_mol_s + ask.vapour.max(0.0) / M_WATER_KG_MOL)
    } else {
        0.0
    };
    let over = 1.0 / (1.0 - (1.0 - mixed) * share_in.min(0.999));
    let brine_k = ask.brine_c + CELSIUS_ZERO_K;
    let drive = (ask.condensing_c - ask.sink_c).max(LEAST_DRIVE_K);
    let at_pressure = |air_pa: f64| {
        let shell_pa = (ask.vapour_pa + mixed * air_pa) * over;
        let steam_pa = (shell_pa - ask.drop_pa - air_pa).max(1.0);
        let cooled_c = saturation::temperature_c(steam_pa);
        let x = (ask.condensing_c - cooled_c) / drive;
        let vent_c = cooled_c.min(ask.condensing_c).max(ask.sink_c);
        let free = free_part(x);
        let vent_k = vent_c + CELSIUS_ZERO_K;
        let steam_side =
            (ask.steam_side_m3 + free * p.condenser_side_m3) * (shell_pa - ask.vapour_pa) / brine_k;
        let vent_side = ((1.0 - free) * p.condenser_side_m3 + p.vent_pocket_m3) * air_pa / vent_k;
        let held = (steam_side + vent_side) / GAS_CONSTANT;
        // slope, by Clausius and Clapeyron for the vent's temperature: near enough for a bracketed Newton search
        let shell_slope = mixed * over;
        let steam_slope = shell_slope - 1.0;
        let cooled_k = cooled_c + CELSIUS_ZERO_K;
        let per_pa = cooled_k * cooled_k * GAS_CONSTANT
            / (M_WATER_KG_MOL * (2.5e6 - 2370.0 * cooled_c) * steam_pa);
        let free_slope = if x <= 0.0 {
            0.0
        } else if x <= FADE_FROM {
            -2.0 * x
        } else {
            let left = 1.0 - FADE_FROM * FADE_FROM;
            -2.0 * FADE_FROM / left * free
        } * (-per_pa * steam_slope / drive);
        let slope = ((ask.steam_side_m3 + free * p.condenser_side_m3) * shell_slope / brine_k
            + free_slope
                * p.condenser_side_m3
                * ((shell_pa - ask.vapour_pa) / brine_k - air_pa / vent_k)
            + ((1.0 - free) * p.condenser_side_m3 + p.vent_pocket_m3) / vent_k)
            / GAS_CONSTANT;
        (held - ask.air_mol, slope, Filled { shell_pa, air_pa, vent_c, free })
    };
    let target = ask.air_mol.max(0.0);
    let mut low = 0.0;
    let mut high = target * GAS_CONSTANT * (ask.condensing_c.max(ask.sink_c) + CELSIUS_ZERO_K)
        / p.vent_pocket_m3;
    let mut air_pa = if ask.hint_pa > low && ask.hint_pa < high { ask.hint_pa } else { 0.1 * high };
    let mut filled = at_pressure(air_pa);
    let mut before: Option<(f64, f64)> = None;
    for _ in 0..60 {
        let (excess, mut slope, _) = filled;
        if excess > 0.0 {
            high = air_pa;
        } else {
            low = air_pa;
        }
        // the chord is better than the slope's estimate once both ends are near
        if let Some((at_pa, was)) = before {
            let chord = (excess - was) / (air_pa - at_pa);
            if (0.7..1.4).contains(&(chord / slope)) {
                slope = chord;
            }
        }
        before = Some((air_pa, excess));
        let mut next = air_pa - excess / slope;
        if !(next > low && next < high) {
            next = 0.5 * (low + high);
        }
        let step = (next - air_pa).abs();
        air_pa = next;
        filled = at_pressure(air_pa);
        if step <= 1.0e-9 * air_pa.abs() {
            break;
        }
    }
    filled.2
}
