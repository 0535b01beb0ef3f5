//! One plant made ready to be run: its steady calibration, its sizes, and what follows from both.

use plant::closures::{self, Mesh};
use plant::{Calibration, FeedFrom, Plant};

use crate::parameters::Parameters;

/// Rated gauge pressures stand over this, Pa.
const STANDARD_PA: f64 = 101_325.0;
const PA_PER_BAR: f64 = 1.0e5;

/// Draught at which the rated pump line-up was told, m.
const RATED_DRAUGHT_M: f64 = 2.0;
const HEAD_PA_M: f64 = 1025.0 * 9.806_65;

/// A plant and its sizes, ready to run.
#[derive(Debug, Clone)]
pub struct Model {
    pub(crate) plant: Plant,
    pub(crate) p: Parameters,
    pub(crate) k: Calibration,
    pub(crate) r: Rated,
    pub(crate) mesh: Mesh<f64>,
    /// First row of the engine's table: load, heat in W.
    first_row: (f64, f64),
}

/// Rated figures the equations are written against.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rated {
    pub(crate) jacket_flow: f64,
    pub(crate) jacket_mean_factor: f64,
    pub(crate) condenser_flow: f64,
    pub(crate) sea_mean_factor: f64,
    pub(crate) feed: f64,
    pub(crate) product: f64,
    /// Feed over the root of the pressure across its orifice, kg/s per √Pa.
    pub(crate) feed_orifice: f64,
    /// Loss between pump and nozzle over the nozzle's own.
    pub(crate) pump_loss: f64,
    /// Static head of the overboard line at the rated draught, less the draught's, Pa.
    pub(crate) overboard_pa: f64,
    pub(crate) brine_capacity: f64,
    pub(crate) gas_capacity: f64,
    pub(crate) stall_ratio: f64,
    pub(crate) feed_from_sea: bool,
    /// Loop resistance, 1/(kg/s)².
    pub(crate) loop_resistance: f64,
    pub(crate) heater_branch: f64,
}

impl Model {
    /// Makes a plant ready: the rated line-up gives the sheet's ejector and back pressure.
    #[must_use]
    pub fn new(plant: Plant, parameters: Parameters) -> Self {
        let (sheet, k, p) = (plant.sheet().clone(), plant.calibration(), parameters);
        let rated_suction = STANDARD_PA + HEAD_PA_M * RATED_DRAUGHT_M;
        let feed = sheet.rated_feed_ratio * sheet.rated_product_t_day / 86.4;
        let feed_drop = STANDARD_PA + p.feed_head_pa - k.shell_pressure_pa;
        let r = Rated {
            jacket_flow: sheet.rated_jacket_flow_kg_s,
            jacket_mean_factor: closures::water_film_factor(
                0.5 * (sheet.rated_jacket_in_c + k.jacket_out_c),
            ),
            condenser_flow: sheet.rated_condenser_flow_kg_s,
            sea_mean_factor: closures::water_film_factor(
                0.5 * (sheet.rated_sea_temp_c + k.sea_out_c),
            ),
            feed,
            product: sheet.rated_product_t_day / 86.4,
            feed_orifice: feed / feed_drop.sqrt(),
            pump_loss: (rated_suction + p.ejector_head_pa - k.shell_pressure_pa) / k.drive_pa - 1.0,
            overboard_pa: sheet.rated_back_pressure_bar_g * PA_PER_BAR
                - p.overboard_loss_pa
                - HEAD_PA_M * RATED_DRAUGHT_M,
            brine_capacity: sheet.brine_capacity_kg_s,
            gas_capacity: sheet.rated_gas_capacity_m3_s,
            stall_ratio: sheet.stall_ratio,
            feed_from_sea: sheet.feed_from == FeedFrom::Sea,
            loop_resistance: 0.5 / sheet.rated_jacket_flow_kg_s.powi(2),
            heater_branch: sheet.rated_jacket_flow_kg_s * std::f64::consts::SQRT_2,
        };
        let mesh = Mesh {
            rated: k.carry_over,
            rated_load: k.load_factor_m_s,
            flooding_load: sheet.flooding_velocity_m_s,
            floor: sheet.mist_floor,
        };
        let first_row =
            sheet.jacket_heat_table.first().map_or((25.0, 0.0), |row| (row[0], 1000.0 * row[1]));
        Model { plant, p, k, r, mesh, first_row }
    }

    /// The steady plant it is at rest.
    #[must_use]
    pub fn plant(&self) -> &Plant {
        &self.plant
    }

    /// Its sizes.
    #[must_use]
    pub fn parameters(&self) -> &Parameters {
        &self.p
    }

    /// Heat of a running engine to its jacket, W: the sheet's table, a straight line to nought below its first row.
    pub(crate) fn engine_heat_w(&self, load: f64) -> f64 {
        let (first, heat) = self.first_row;
        if load >= first {
            1000.0 * self.plant.jacket_heat().at_kw(load)
        } else {
            heat * (load / first).max(0.0)
        }
    }
}
