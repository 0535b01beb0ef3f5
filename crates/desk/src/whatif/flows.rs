//! Where the heat and the water go: every stream of a solution, heat counted from sea temperature, so that it sums to nothing left over.

use plant::{FeedFrom, Plant, Point, Solution};
use water::{liquid, seawater};

/// Heat streams, kW, counted from sea temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatBalance {
    /// From the jacket water through the heater.
    pub jacket_kw: f64,
    /// What the engine could spare besides, to its own cooler; none when no load was given.
    pub engine_cooler_kw: Option<f64>,
    /// Back with the feed, warmed in the condenser.
    pub feed_return_kw: f64,
    /// To the sea with the condenser's water, what the feed takes back left out.
    pub sea_kw: f64,
    /// Away with the distillate.
    pub distillate_kw: f64,
    /// Overboard with the brine, the small heat of mixing salt and water included.
    pub brine_kw: f64,
    /// Up the vent with the gas, as vapour.
    pub vent_kw: f64,
    /// Through the casing to the engine room.
    pub casing_kw: f64,
}

impl HeatBalance {
    /// What enters the plant less what leaves it, kW: nought but for rounding.
    #[must_use]
    pub fn left_over_kw(&self) -> f64 {
        self.jacket_kw
            - self.sea_kw
            - self.distillate_kw
            - self.brine_kw
            - self.vent_kw
            - self.casing_kw
    }

    /// The streams as the flow diagram draws them.
    #[must_use]
    pub fn drawn(&self) -> chart::HeatFlows {
        chart::HeatFlows {
            jacket_kw: self.jacket_kw,
            engine_cooler_kw: self.engine_cooler_kw.unwrap_or(0.0),
            feed_return_kw: self.feed_return_kw,
            sea_kw: self.sea_kw,
            distillate_kw: self.distillate_kw,
            brine_kw: self.brine_kw,
            vent_kw: self.vent_kw + self.casing_kw,
        }
    }
}

/// Water and salt streams.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterBalance {
    /// Feed, t/h.
    pub feed_t_h: f64,
    /// Distillate, what leaks into it left out, t/h.
    pub distillate_t_h: f64,
    /// Brine, t/h.
    pub brine_t_h: f64,
    /// Vapour lost up the vent, t/h.
    pub vent_t_h: f64,
    /// Salt in the brine, g/kg.
    pub brine_g_kg: f64,
}

impl WaterBalance {
    /// Feed less what leaves, t/h: nought but for rounding.
    #[must_use]
    pub fn left_over_t_h(&self) -> f64 {
        self.feed_t_h - self.distillate_t_h - self.brine_t_h - self.vent_t_h
    }

    /// The streams as the flow diagram draws them: what the vent takes goes overboard with the brine, through the same ejector.
    #[must_use]
    pub fn drawn(&self) -> chart::WaterFlows {
        chart::WaterFlows {
            feed_t_h: self.feed_t_h,
            distillate_t_h: self.distillate_t_h,
            brine_t_h: self.brine_t_h + self.vent_t_h,
            brine_g_kg: Some(self.brine_g_kg),
        }
    }
}

/// Heat streams of a solution.
///
/// Each stream is counted from what it would carry at sea temperature: feed as sea water, distillate as pure water, brine as the
/// feed less the pure water taken out of it, so that nothing is lost between them.
#[must_use]
pub fn heat(plant: &Plant, point: &Point, solution: &Solution) -> HeatBalance {
    let inside = &solution.inside;
    let sea_c = point.sea_temp_c;
    let salt = point.sea_salinity_g_kg;
    // Enthalpies of the solution count saturated liquid, as the model does.
    let pure_sea = liquid::saturated_enthalpy_j_kg(sea_c);
    let sea_sea = pure_sea + seawater::enthalpy_difference_j_kg(sea_c, salt);
    let vapour = solution.vapour_kg_s;
    let vent = solution.vent_loss_kg_s;
    let condensed = vapour - vent;
    let kw = 1.0e-3;
    let feed_return = inside.feed_enthalpy_w - inside.feed_kg_s * sea_sea;
    let brine = inside.brine_enthalpy_w - (inside.feed_kg_s * sea_sea - vapour * pure_sea);
    let distillate = inside.condensate_enthalpy_w - condensed * pure_sea;
    let vapour_heat = inside.vapour_enthalpy_w - vapour * pure_sea;
    // What the vapour brings to the condenser and neither its water nor the distillate takes away goes up the vent.
    let vent_heat = vapour_heat - solution.condenser_heat_w - distillate;
    let to_sea = match plant.sheet().feed_from {
        FeedFrom::Condenser => solution.condenser_heat_w - feed_return,
        FeedFrom::Sea => solution.condenser_heat_w,
    };
    let spare = point.engine_load.map(|load| {
        (1000.0 * plant.jacket_heat().at_kw(load) - solution.evaporator_heat_w).max(0.0) * kw
    });
    HeatBalance {
        jacket_kw: solution.evaporator_heat_w * kw,
        engine_cooler_kw: spare,
        feed_return_kw: feed_return * kw,
        sea_kw: to_sea * kw,
        distillate_kw: distillate * kw,
        brine_kw: brine * kw,
        vent_kw: vent_heat * kw,
        casing_kw: inside.heat_loss_w * kw,
    }
}

/// Water streams of a solution.
#[must_use]
pub fn water(solution: &Solution) -> WaterBalance {
    let inside = &solution.inside;
    let t_h = 3.6;
    WaterBalance {
        feed_t_h: inside.feed_kg_s * t_h,
        distillate_t_h: (solution.vapour_kg_s - solution.vent_loss_kg_s) * t_h,
        brine_t_h: inside.brine_kg_s * t_h,
        vent_t_h: solution.vent_loss_kg_s * t_h,
        brine_g_kg: solution.brine_salinity_g_kg,
    }
}
