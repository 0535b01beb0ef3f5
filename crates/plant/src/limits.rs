//! What holds the plant: each limit with where the plant is, where the limit is and the room between; and the flags.

use crate::calibrate::Constants;
use crate::model::{Setting, State};
use crate::solution::{Figures, Flag, Limit, LimitKind};

/// Brine stronger than this scales soon, g/kg (common practice: less than twice the open sea).
pub const BRINE_PRACTICE_G_KG: f64 = 65.0;

/// Brine strength to which the sea-water correlations reach, g/kg (Sharqawy et al. 2010).
const CORRELATION_END_G_KG: f64 = 120.0;

/// Temperature from which the sea-water correlations are stated, °C (Sharqawy et al. 2010).
const CORRELATION_START_C: f64 = 10.0;

/// A limit met to this, relative, acts: what a trim's own search leaves over.
const MET: f64 = 1.0e-8;

/// Part of the stall ratio from which the jet fades.
const FADING: f64 = 0.9;

fn line(kind: LimitKind, unit: &'static str, here: f64, limit: f64, room: f64) -> Limit {
    let slack = MET * limit.abs().min(here.abs()).max(1.0e-3);
    Limit { kind, unit, here, limit, room, acts: room <= slack }
}

fn ceiling(kind: LimitKind, unit: &'static str, here: f64, limit: f64) -> Limit {
    line(kind, unit, here, limit, limit - here)
}

/// The seven limits, in the order they are told.
pub(crate) fn limits(
    k: &Constants<f64>,
    at: &Setting<f64>,
    s: &State<f64>,
    f: &Figures<f64>,
    heat_w: f64,
) -> [Limit; 7] {
    let sheet = &k.sheet;
    let shell = sheet.vapour_temp_min_c;
    [
        ceiling(LimitKind::ProductMax, "t_day", f.product_t_day, sheet.product_max_t_day),
        line(LimitKind::ShellNotUnder, "degC", s.vapour_c, shell, s.vapour_c - shell),
        ceiling(LimitKind::EngineHeat, "kW", s.evaporator_heat / 1000.0, heat_w / 1000.0),
        ceiling(LimitKind::BrineStrength, "g_kg", s.salinity, BRINE_PRACTICE_G_KG),
        ceiling(LimitKind::BrineCapacity, "kg_s", s.brine, f.brine_capacity_kg_s),
        ceiling(LimitKind::SeaOutlet, "degC", s.sea_out_c, sheet.sea_out_max_c),
        ceiling(LimitKind::Feed, "kg_s", s.vapour, at.vapour_cap()),
    ]
}

/// What to be careful about.
pub(crate) fn flags(
    k: &Constants<f64>,
    at: &Setting<f64>,
    s: &State<f64>,
    f: &Figures<f64>,
) -> Vec<Flag> {
    let sheet = &k.sheet;
    let over = |here: f64, limit: f64| here > limit * (1.0 + MET);
    let coldest = at.sea_c.min(s.feed_c);
    let checks = [
        (Flag::BrineOver120, s.salinity > CORRELATION_END_G_KG),
        (Flag::PropertyRange, coldest < CORRELATION_START_C),
        (Flag::LevelRising, f.over_level > 0.0),
        (Flag::DemisterFlooded, f.load_factor_m_s > sheet.flooding_velocity_m_s),
        (Flag::EjectorFading, f.ejector_ratio > FADING * sheet.stall_ratio),
        (Flag::OverMaximum, over(f.product_t_day, sheet.product_max_t_day)),
        (Flag::ShellTooCold, s.vapour_c < sheet.vapour_temp_min_c * (1.0 - MET)),
        (Flag::SeaOutTooHot, over(s.sea_out_c, sheet.sea_out_max_c)),
        (Flag::JacketUnderLimit, at.jacket_in_c < sheet.jacket_low_limit_c),
        (Flag::LeakNotChoked, s.shell_pa > 0.528 * at.atmosphere_pa),
    ];
    checks.into_iter().filter(|(_, raised)| *raised).map(|(flag, _)| flag).collect()
}
