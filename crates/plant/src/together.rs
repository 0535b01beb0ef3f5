//! The quick way to run to limits: the limits that act are equations beside the plant's own, their levers unknowns.

use crate::calibrate::Constants;
use crate::model::{Setting, State};
use crate::quick::{self, Ended, Start};
use crate::sheet::ColdTrim;
use crate::solution::{Effort, TrimLever, TrimReason};
use crate::solve::{Found, makes_water};
use crate::trim::{
    BLEED_MOST_KG_H, Bounds, JACKET_LEAST, Trimmed, cold_acts, cold_move, moved, over,
    throttle_floor,
};

/// A limit beside the one solved for is kept to this, relative.
const KEPT: f64 = 1.0e-9;

/// The limits that act, for a neighbour to start from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Together {
    active: Active,
    place: Place,
}

/// Which levers are moved: the jacket by-pass for a reason, the cold trim, or both.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Active {
    jacket: Option<TrimReason>,
    cold: bool,
}

/// Where a search with one or two levers ended.
#[derive(Debug, Clone, Copy)]
enum Place {
    One(Start<3>),
    Two(Start<4>),
}

impl Together {
    /// The unknowns, nought where there is none.
    pub(crate) fn unknowns(&self) -> [f64; 4] {
        match self.place {
            Place::One(Start { x: [ln_p, vapour, lever], .. }) => [ln_p, vapour, lever, 0.0],
            Place::Two(Start { x, .. }) => x,
        }
    }

    /// Puts other unknowns in their place.
    pub(crate) fn set_unknowns(&mut self, to: &[f64; 4]) {
        match &mut self.place {
            Place::One(Start { x, .. }) => x.copy_from_slice(&to[..3]),
            Place::Two(Start { x, .. }) => *x = *to,
        }
    }

    /// Whether both move the same levers for the same reasons.
    pub(crate) fn moves_the_same(&self, other: &Together) -> bool {
        self.active == other.active
    }
}

/// Trims a point that has been solved at its given flows, trying the sets of limits that can act, fewest first.
pub(crate) fn trim(
    k: &Constants<f64>,
    given: &Setting<f64>,
    found: &Found,
    bounds: &Bounds,
    too_cold: bool,
) -> Option<(Trimmed, Together)> {
    let (excess, tighter) = over(given, &found.state, bounds);
    let looser = match tighter {
        TrimReason::EngineHeat => TrimReason::ProductMax,
        _ => TrimReason::EngineHeat,
    };
    let can_warm = bounds.cold && k.sheet.cold_trim != ColdTrim::None;
    let set = |jacket, cold| Active { jacket, cold };
    let sets = [
        // enough by itself, or not
        (too_cold, set(None, true)),
        (excess > 0.0 && !too_cold, set(Some(tighter), false)),
        (can_warm, set(Some(tighter), true)),
        // the warmer shell may have made the other limit the tighter one
        (can_warm, set(Some(looser), true)),
        (excess > 0.0, set(Some(looser), false)),
    ];
    let mut tried = sets.into_iter().filter(|(may, _)| *may).map(|(_, active)| active);
    tried.find_map(|active| {
        let place = first_place(k, given, found, bounds, active);
        from(k, given, bounds, &Together { active, place })
    })
}

/// Where a search starts from the point at its given flows.
fn first_place(
    k: &Constants<f64>,
    given: &Setting<f64>,
    found: &Found,
    bounds: &Bounds,
    active: Active,
) -> Place {
    let [mut ln_p, mut vapour] = found.warm.x;
    let share = (1.0 / (1.0 + over(given, &found.state, bounds).0.max(0.0))).clamp(0.05, 1.0);
    if active.jacket.is_some() {
        vapour *= share;
    }
    let mut cold = 0.0;
    if active.cold {
        cold = match k.sheet.cold_trim {
            ColdTrim::Throttle => 0.7,
            _ => given.bleed_kg_h() / BLEED_MOST_KG_H + 0.01,
        };
        ln_p = ln_p.max(water::saturation::pressure_pa(k.sheet.vapour_temp_min_c).ln());
    }
    let hints = found.state.hints();
    match (active.jacket.is_some(), active.cold) {
        (true, true) => Place::Two(Start { x: [ln_p, vapour, share, cold], jacobian: None, hints }),
        (true, false) => Place::One(Start { x: [ln_p, vapour, share], jacobian: None, hints }),
        _ => Place::One(Start { x: [ln_p, vapour, cold], jacobian: None, hints }),
    }
}

/// Solves from a place and checks every limit; also says where it ended.
pub(crate) fn from(
    k: &Constants<f64>,
    given: &Setting<f64>,
    bounds: &Bounds,
    start: &Together,
) -> Option<(Trimmed, Together)> {
    let active = start.active;
    let (place, trimmed) = match start.place {
        Place::One(place) => {
            let (place, trimmed) = solve(k, given, bounds, active, &place)?;
            (Place::One(place), trimmed)
        }
        Place::Two(place) => {
            let (place, trimmed) = solve(k, given, bounds, active, &place)?;
            (Place::Two(place), trimmed)
        }
    };
    Some((trimmed, Together { active, place }))
}

fn solve<const N: usize>(
    k: &Constants<f64>,
    given: &Setting<f64>,
    bounds: &Bounds,
    active: Active,
    start: &Start<N>,
) -> Option<(Start<N>, Trimmed)> {
    let cold_lever = N - 1;
    let at_of = |x: &[f64; N]| {
        let mut at = *given;
        if active.jacket.is_some() {
            at.set_jacket_flow(k, given.jacket_flow * x[2]);
        }
        if active.cold {
            match k.sheet.cold_trim {
                ColdTrim::Throttle => {
                    at.set_condenser_flow(k, given.condenser_flow * x[cold_lever]);
                }
                _ => at.set_bleed(x[cold_lever] * BLEED_MOST_KG_H),
            }
        }
        at
    };
    let limits = |at: &Setting<f64>, state: &State<f64>, r: &mut [f64; N]| {
        match active.jacket {
            Some(TrimReason::EngineHeat) => r[2] = state.evaporator_heat / bounds.heat_w - 1.0,
            Some(_) => {
                r[2] = state.product(at) / crate::KG_S_PER_T_DAY / bounds.product_t_day - 1.0;
            }
            None => {}
        }
        if active.cold {
            // Scaled so that a kelvin weighs like five per cent of duty.
            r[cold_lever] = (state.vapour_c - k.sheet.vapour_temp_min_c) * 0.05;
        }
    };
    let Ended { start, at, state, evaluations } =
        quick::search(k, start, at_of, limits).or_else(|| {
            start.jacobian?;
            quick::search(k, &Start { jacobian: None, ..*start }, at_of, limits)
        })?;
    if !sound(k, given, bounds, active, &at, &state) {
        return None;
    }
    let mut trims = Vec::with_capacity(2);
    if let Some(why) = active.jacket {
        trims.push(moved(TrimLever::JacketFlow, given.jacket_flow, at.jacket_flow, why));
    }
    if active.cold {
        trims.push(cold_move(k, given, &at, TrimReason::VapourTempMin));
    }
    let warm = Start { x: [start.x[0], start.x[1]], jacobian: None, hints: start.hints };
    let effort = Effort { evaluations, bracketed: false };
    let found = Found { state, warm, effort };
    let heat_limited = active.jacket == Some(TrimReason::EngineHeat);
    Some((start, Trimmed { at, found, trims, heat_limited }))
}

/// Whether the answer is the one asked for: levers within their travel, the limits not solved for kept, a plant at work.
fn sound(
    k: &Constants<f64>,
    given: &Setting<f64>,
    bounds: &Bounds,
    active: Active,
    at: &Setting<f64>,
    state: &State<f64>,
) -> bool {
    let by_pass =
        at.jacket_flow <= given.jacket_flow && at.jacket_flow > JACKET_LEAST * given.jacket_flow;
    let cold = if active.cold {
        state.sea_out_c <= k.sheet.sea_out_max_c
            && match k.sheet.cold_trim {
                ColdTrim::Throttle => {
                    at.condenser_flow <= given.condenser_flow
                        && at.condenser_flow >= throttle_floor(k, at)
                }
                _ => at.bleed_kg_h() >= given.bleed_kg_h() && at.bleed_kg_h() <= BLEED_MOST_KG_H,
            }
    } else {
        !bounds.cold || !cold_acts(k, at, state)
    };
    by_pass && cold && over(at, state, bounds).0 <= KEPT && makes_water(k, at, state)
}
