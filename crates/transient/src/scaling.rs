//! Scale on the heater's plates: carbonate, sulphate, and brine that bakes on where a plate runs dry.

use crate::model::Model;
use crate::smooth::step;

/// What the scale grows on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Growing {
    pub(crate) wall_c: f64,
    /// Brine over sea.
    pub(crate) concentration: f64,
    pub(crate) salt_kg: f64,
    pub(crate) feed: f64,
    pub(crate) wet: f64,
    pub(crate) antiscalant: f64,
}

/// Closure (ours): how fast scale grows, (m²K/W)/s. Never negative: nothing here takes scale off.
pub(crate) fn growth(model: &Model, on: &Growing) -> f64 {
    let p = &model.p;
    let hot = step((on.wall_c - 50.0) / 15.0);
    if hot <= 0.0 {
        return 0.0;
    }
    let wall = on.wall_c.min(150.0);
    let limit = (2.5 - 0.04 * (wall - 60.0)).max(1.5);
    let past = (on.concentration / limit - 1.0).max(0.0);
    let unfed = 1.0 - step(on.feed / (0.3 * model.r.feed));
    let carbonate = p.scale_rate
        * on.concentration
        * on.concentration
        * (1.0 - p.antiscalant * on.antiscalant)
        * (1.0 + 100.0 * unfed);
    let sulphate = p.sulphate_rate * past * past / (past + 0.01);
    let area = model.plant.sheet().evaporator_area_m2;
    let baked = (1.0 - on.wet) * on.salt_kg / (p.baking_s * area * p.scale_salt);
    hot * (step(on.salt_kg / 0.05) * ((wall - 60.0) / 10.0).exp() * (carbonate + sulphate) + baked)
}
