//! Heat through heater and condenser: three cells on the water side that at rest make the exponential of the whole.

use plant::closures;

use crate::conditions::Conditions;
use crate::model::Model;
use crate::parts::{F_FOULING, V_COOLING};
use crate::smooth::{cell_factor, larger, ramp, step};

/// Least vapour the condensing film is taken at, over rated.
const LEAST_FILM: f64 = 0.001;

/// Heat through three cells, W, and what the wall sees.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Heated {
    pub(crate) cells_w: [f64; 3],
    pub(crate) whole_w: f64,
    /// Where scale grows, °C.
    pub(crate) wall_c: f64,
}

/// The evaporator: heat from three cells of jacket water into the brine.
pub(crate) struct Evaporator<'a> {
    pub(crate) cells_c: [f64; 3],
    pub(crate) inlet_c: f64,
    pub(crate) brine_c: f64,
    pub(crate) flow: f64,
    pub(crate) heat_capacity: f64,
    pub(crate) film_heat_w: f64,
    pub(crate) vapour_pa: f64,
    pub(crate) scale: f64,
    /// Part of the area that is wetted on both sides.
    pub(crate) wet: f64,
    pub(crate) model: &'a Model,
}

impl Evaporator<'_> {
    pub(crate) fn heat(&self) -> Heated {
        let (k, sheet) = (&self.model.k, self.model.plant.sheet());
        let mean_c = 0.5 * (self.inlet_c + self.cells_c[2]);
        let ratio = self.flow / self.model.r.jacket_flow;
        let warm = closures::water_film_factor(mean_c) / self.model.r.jacket_mean_factor;
        let flowing = if ratio > 0.0 { ratio.powf(0.8) * warm } else { 0.0 };
        let film = k.jacket_film_w_m2k * larger(flowing, self.model.p.film_floor);
        let boiling = k.boiling_film_w_m2k
            * closures::boiling_film(
                self.film_heat_w / k.evaporator_heat_w,
                closures::mostinski(self.vapour_pa) / k.mostinski,
                sheet.convective_share,
            );
        let u = closures::overall(film, k.evaporator_wall_m2k_w, self.scale, boiling);
        let area = sheet.evaporator_area_m2 * self.wet;
        let third = u * area / 3.0;
        let each = third * cell_factor(third / (self.flow * self.heat_capacity).max(1.0e-9));
        let cells_w = self.cells_c.map(|c| each * (c - self.brine_c));
        let whole_w = cells_w.iter().sum();
        let mean_cell = (self.cells_c[0] + self.cells_c[1] + self.cells_c[2]) / 3.0;
        // heat per area from the driving temperature, so that a dry plate is as hot as its water
        let flux = if area > 0.0 { whole_w / sheet.evaporator_area_m2 } else { 0.0 };
        let wall_c = mean_cell - flux * (1.0 / film + k.evaporator_wall_m2k_w);
        Heated { cells_w, whole_w, wall_c }
    }
}

/// The condenser: heat from condensing vapour into three cells of sea water.
pub(crate) struct Condenser<'a> {
    pub(crate) cells_c: [f64; 3],
    pub(crate) condensing_c: f64,
    pub(crate) flow: f64,
    pub(crate) heat_capacity: f64,
    pub(crate) vapour: f64,
    /// Part of the area free of air and of water.
    pub(crate) free: f64,
    pub(crate) model: &'a Model,
    pub(crate) at: &'a Conditions,
}

impl Condenser<'_> {
    pub(crate) fn heat(&self) -> [f64; 3] {
        let (k, sheet) = (&self.model.k, self.model.plant.sheet());
        let mean_c = 0.5 * (self.at.around.sea_c + self.cells_c[2]);
        let ratio = self.flow / self.model.r.condenser_flow;
        let warm = closures::water_film_factor(mean_c) / self.model.r.sea_mean_factor;
        let flowing = if ratio > 0.0 { ratio.powf(0.8) * warm } else { 0.0 };
        let film = k.sea_film_w_m2k * larger(flowing, self.model.p.film_floor);
        let condensing = k.condensing_film_w_m2k
            * closures::condensing_film((self.vapour / k.vapour_kg_s).max(LEAST_FILM));
        let u =
            closures::overall(film, k.condenser_wall_m2k_w, self.at.fault(F_FOULING), condensing);
        let third = u * sheet.condenser_area_m2 * self.free / 3.0;
        let each = third * cell_factor(third / (self.flow * self.heat_capacity).max(1.0e-9));
        self.cells_c.map(|c| each * ramp(self.condensing_c - c, 0.1))
    }
}

/// Sea water through the condenser, kg/s.
pub(crate) fn cooling_flow(model: &Model, at: &Conditions, speed: f64) -> f64 {
    let open = at.valve(V_COOLING);
    if open <= 0.0 {
        return 0.0;
    }
    model.r.condenser_flow * at.fault(crate::parts::F_COOLING) * speed
        / (0.7 + 0.3 / (open * open)).sqrt()
}

/// Temperature the vent can be cooled to, °C: the sea's, or the condenser's own water once hardly any flows.
pub(crate) fn sink(model: &Model, at: &Conditions, flow: f64, first_cell_c: f64) -> f64 {
    let flowing = step(flow / (0.2 * model.r.condenser_flow));
    at.around.sea_c + (1.0 - flowing) * (first_cell_c - at.around.sea_c)
}
