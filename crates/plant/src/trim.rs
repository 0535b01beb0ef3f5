//! Running to limits, as aboard: jacket by-pass for output and engine heat, throttle or air bleed for a shell that gets too cold.
//!
//! Defined by where it ends, not by how it gets there: the most jacket flow (not over the given) at which, with the cold trim
//! applied, output and heat are within their limits; the most condenser flow (or least bleed) at which the shell is warm enough.
//! The quick way is in [`crate::together`]; here stand the nested bracketed searches behind it.

use crate::bracket;
use crate::calibrate::Constants;
use crate::error::Infeasible;
use crate::model::{Setting, State};
use crate::neighbours::Neighbours;
use crate::plant::Plant;
use crate::sheet::ColdTrim;
use crate::solution::{Trim, TrimLever, TrimReason};
use crate::solve::{Found, Warm, solve};
use crate::together;

/// Most air the bleed lets in, kg/h.
pub(crate) const BLEED_MOST_KG_H: f64 = 100.0;
/// Least part of the given jacket flow the by-pass leaves to the heater.
pub(crate) const JACKET_LEAST: f64 = 1.0e-3;
/// A limit is met when it is missed by less than this, relative.
const MET: f64 = 1.0e-6;
/// Condenser flow is not throttled under this part of the rated flow …
const THROTTLE_FLOOR: f64 = 0.05;
/// … nor under this many times the feed taken from it.
const FEED_COVER: f64 = 1.25;
/// What an infeasible trial counts as, far past any limit.
const FAR: f64 = 1.0e3;

/// What the plant is kept within.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    /// Heat the engine can spare, W; endless when no load is given.
    pub(crate) heat_w: f64,
    /// Maker's maximum, t/day; endless when not run to limits.
    pub(crate) product_t_day: f64,
    /// Whether the shell is kept warm.
    pub(crate) cold: bool,
}

/// Where the trims ended.
pub(crate) struct Trimmed {
    pub(crate) at: Setting<f64>,
    pub(crate) found: Found,
    pub(crate) trims: Vec<Trim>,
    pub(crate) heat_limited: bool,
}

/// What keeps output or heat within bounds: how far over the tighter of the two, relative.
pub(crate) fn over(at: &Setting<f64>, state: &State<f64>, bounds: &Bounds) -> (f64, TrimReason) {
    let product = state.product(at) / crate::KG_S_PER_T_DAY;
    let by_product = product / bounds.product_t_day - 1.0;
    let by_heat = state.evaporator_heat / bounds.heat_w - 1.0;
    if by_heat > by_product {
        (by_heat, TrimReason::EngineHeat)
    } else {
        (by_product, TrimReason::ProductMax)
    }
}

/// Trims a point that has been solved at its given flows.
///
/// # Errors
/// [`Infeasible::NoHeat`] when no by-pass position meets the limits.
pub(crate) fn trim(
    plant: &Plant,
    given: &Setting<f64>,
    found: Found,
    bounds: &Bounds,
    neighbours: &mut Neighbours,
) -> Result<Trimmed, Infeasible> {
    let k = &plant.constants;
    let too_much = over(given, &found.state, bounds).0 > 0.0;
    let too_cold = bounds.cold && cold_acts(k, given, &found.state);
    if !too_much && !too_cold {
        neighbours.leave(None);
        return Ok(Trimmed { at: *given, found, trims: Vec::new(), heat_limited: false });
    }
    if let Some((trimmed, end)) = together::trim(k, given, &found, bounds, too_cold) {
        neighbours.leave(Some(end));
        return Ok(trimmed);
    }
    neighbours.leave(None);
    nested(k, given, &found, bounds)
}

/// Whether the shell is too cold and the sheet has a lever for it.
pub(crate) fn cold_acts(k: &Constants<f64>, at: &Setting<f64>, state: &State<f64>) -> bool {
    k.sheet.cold_trim != ColdTrim::None
        && state.vapour_c < k.sheet.vapour_temp_min_c
        && state.sea_out_c < k.sheet.sea_out_max_c
        && match k.sheet.cold_trim {
            ColdTrim::Throttle => at.condenser_flow > throttle_floor(k, at),
            _ => at.bleed_kg_h() < BLEED_MOST_KG_H,
        }
}

pub(crate) fn throttle_floor(k: &Constants<f64>, at: &Setting<f64>) -> f64 {
    (FEED_COVER * at.feed).max(THROTTLE_FLOOR * k.sheet.rated_condenser_flow_kg_s)
}

pub(crate) fn moved(lever: TrimLever, from: f64, to: f64, why: TrimReason) -> Trim {
    Trim { lever, from, to, why }
}

pub(crate) fn cold_move(
    k: &Constants<f64>,
    given: &Setting<f64>,
    at: &Setting<f64>,
    why: TrimReason,
) -> Trim {
    match k.sheet.cold_trim {
        ColdTrim::Throttle => {
            moved(TrimLever::CondenserFlow, given.condenser_flow, at.condenser_flow, why)
        }
        _ => moved(TrimLever::AirBleed, given.bleed_kg_h(), at.bleed_kg_h(), why),
    }
}

/// A point with its cold trim.
struct Warmed {
    at: Setting<f64>,
    found: Found,
    trim: Option<Trim>,
}

/// The cold trim at a given jacket flow, bracketed.
fn warmed(k: &Constants<f64>, given: &Setting<f64>, start: &Warm) -> Result<Warmed, Infeasible> {
    let found = solve(k, given, Some(start))?;
    if !cold_acts(k, given, &found.state) {
        return Ok(Warmed { at: *given, found, trim: None });
    }
    let (from, far, stopped_by) = match k.sheet.cold_trim {
        ColdTrim::Throttle => {
            (given.condenser_flow, throttle_floor(k, given), TrimReason::FlowFloor)
        }
        _ => (given.bleed_kg_h(), BLEED_MOST_KG_H, TrimReason::BleedMax),
    };
    let at_lever = |lever: f64| {
        let mut at = *given;
        match k.sheet.cold_trim {
            ColdTrim::Throttle => at.set_condenser_flow(k, lever),
            _ => at.set_bleed(lever),
        }
        at
    };
    let mut warm = found.warm;
    // Over nought is far enough: warm enough, or the sea outlet at its limit, or no steady state any more.
    let mut enough = |lever: f64| match solve(k, &at_lever(lever), Some(&warm)) {
        Ok(next) => {
            warm = next.warm;
            let s = &next.state;
            (s.vapour_c - k.sheet.vapour_temp_min_c).max(s.sea_out_c - k.sheet.sea_out_max_c)
        }
        Err(_) => FAR,
    };
    let at_from = enough(from);
    let at_far = enough(far);
    let mut lever = far;
    if at_far > 0.0 {
        lever = bracket::root(&mut enough, (from, at_from), (far, at_far), 1.0e-13);
        // Where the steady state ends before the shell is warm, stand on the side where there is one.
        let mut step = 1.0e-13;
        while enough(lever) >= FAR && step < 1.0 {
            lever += (from - lever) * step;
            step *= 4.0;
        }
    }
    let at = at_lever(lever);
    let found = solve(k, &at, Some(&warm))?;
    let s = &found.state;
    let why = if (s.vapour_c - k.sheet.vapour_temp_min_c).abs() < 1.0e-6 {
        TrimReason::VapourTempMin
    } else if (s.sea_out_c - k.sheet.sea_out_max_c).abs() < 1.0e-6 {
        TrimReason::SeaOutMax
    } else {
        stopped_by
    };
    Ok(Warmed { trim: Some(cold_move(k, given, &at, why)), at, found })
}

/// The same by nested bracketed searches: slow and sure.
fn nested(
    k: &Constants<f64>,
    given: &Setting<f64>,
    found: &Found,
    bounds: &Bounds,
) -> Result<Trimmed, Infeasible> {
    let mut start = found.warm;
    let at_flow = |flow: f64, start: &Warm| {
        let mut at = *given;
        at.set_jacket_flow(k, flow);
        if bounds.cold {
            warmed(k, &at, start)
        } else {
            solve(k, &at, Some(start)).map(|found| Warmed { at, found, trim: None })
        }
    };
    let full = at_flow(given.jacket_flow, &start)?;
    let excess = over(&full.at, &full.found.state, bounds).0;
    if excess <= 0.0 {
        return Ok(finish(full, None));
    }
    let least = JACKET_LEAST * given.jacket_flow;
    let mut excess_at = |flow: f64| match at_flow(flow, &start) {
        Ok(w) => {
            start = w.found.warm;
            over(&w.at, &w.found.state, bounds).0
        }
        // Too little heat to hold a steady state: under every limit.
        Err(_) => -1.0,
    };
    let at_least = excess_at(least);
    if at_least > 0.0 {
        return Err(not_met(k, given, bounds, found));
    }
    let flow = bracket::root(excess_at, (least, at_least), (given.jacket_flow, excess), 1.0e-14);
    let ended = at_flow(flow, &found.warm).map_err(|_| not_met(k, given, bounds, found))?;
    let (missed, why) = over(&ended.at, &ended.found.state, bounds);
    if missed.abs() > MET {
        return Err(not_met(k, given, bounds, found));
    }
    let by_pass = moved(TrimLever::JacketFlow, given.jacket_flow, flow, why);
    Ok(finish(ended, Some(by_pass)))
}

fn finish(ended: Warmed, by_pass: Option<Trim>) -> Trimmed {
    let heat_limited = by_pass.is_some_and(|t| t.why == TrimReason::EngineHeat);
    Trimmed {
        at: ended.at,
        found: ended.found,
        trims: by_pass.into_iter().chain(ended.trim).collect(),
        heat_limited,
    }
}

/// The limits lie under the least the plant can hold.
fn not_met(k: &Constants<f64>, given: &Setting<f64>, bounds: &Bounds, found: &Found) -> Infeasible {
    let product = found.state.product(given);
    let by_heat = bounds.heat_w / found.state.evaporator_heat;
    let by_product = bounds.product_t_day * crate::KG_S_PER_T_DAY / product;
    Infeasible::NoHeat {
        jacket_in_c: given.jacket_in_c,
        sea_temp_c: given.sea_c,
        jacket_flow_kg_s: given.jacket_flow * by_heat.min(by_product).min(1.0),
        vapour_kg_s: by_heat.min(by_product).min(1.0) * k.rated_vapour,
    }
}

/// The sag: jacket temperature at which the plant takes just the engine's heat, everything else left where it is.
///
/// # Errors
/// [`Infeasible::NoHeat`] when no temperature between sea and set point meets it.
pub(crate) fn sag(plant: &Plant, trimmed: Trimmed, heat_w: f64) -> Result<Trimmed, Infeasible> {
    let k = &plant.constants;
    let Trimmed { at: given, found, mut trims, .. } = trimmed;
    if found.state.evaporator_heat <= heat_w {
        return Ok(Trimmed { at: given, found, trims, heat_limited: false });
    }
    let at_temp = |jacket_in_c: f64| {
        let mut at = given;
        at.jacket_in_c = jacket_in_c;
        at
    };
    let mut start = found.warm;
    let mut excess_at = |t: f64| match solve(k, &at_temp(t), Some(&start)) {
        Ok(next) => {
            start = next.warm;
            next.state.evaporator_heat / heat_w - 1.0
        }
        Err(_) => -1.0,
    };
    let coldest = given.sea_c + 1.0;
    let at_coldest = excess_at(coldest);
    let no_heat = || Infeasible::NoHeat {
        jacket_in_c: given.jacket_in_c,
        sea_temp_c: given.sea_c,
        jacket_flow_kg_s: given.jacket_flow,
        vapour_kg_s: 0.0,
    };
    if at_coldest > 0.0 {
        return Err(no_heat());
    }
    let excess = found.state.evaporator_heat / heat_w - 1.0;
    let t = bracket::root(excess_at, (coldest, at_coldest), (given.jacket_in_c, excess), 1.0e-14);
    let at = at_temp(t);
    let ended = solve(k, &at, Some(&found.warm)).map_err(|_| no_heat())?;
    if (ended.state.evaporator_heat / heat_w - 1.0).abs() > MET {
        return Err(no_heat());
    }
    trims.push(moved(TrimLever::JacketIn, given.jacket_in_c, t, TrimReason::EngineHeat));
    Ok(Trimmed { at, found: ended, trims, heat_limited: true })
}
