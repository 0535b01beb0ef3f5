//! A calibrated plant and the questions it answers: free, trimmed, as asked.

use crate::calibrate::{Calibration, Constants, calibrate};
use crate::engine::JacketHeat;
use crate::error::{Infeasible, SheetError};
use crate::limits::{flags, limits};
use crate::model::{Setting, figures};
use crate::neighbours::Neighbours;
use crate::point::{HeatShort, Point, PointNumbers};
use crate::sheet::{Sheet, SheetNumbers};
use crate::solution::{Residuals, Solution};
use crate::solve::{Found, NOTHING_MADE, Warm, solve};
use crate::trim::{Bounds, sag, trim};

/// A plant whose sheet has been calibrated: it reproduces its rated point and answers for any other.
#[derive(Debug, Clone)]
pub struct Plant {
    sheet: Sheet,
    pub(crate) constants: Constants<f64>,
    jacket_heat: JacketHeat,
}

/// How far under nought a fitted deposit may lie, m²K/W: a tenth to a fifth of a usual clean resistance.
const DEPOSIT_LEAST_M2K_W: f64 = 6.0e-5;

/// A setting for a point, after its fields have been checked.
pub(crate) fn setting(k: &Constants<f64>, point: &Point) -> Setting<f64> {
    Setting::new(k, &PointNumbers::lift(point, &k.sheet, |_, x| x))
}

impl Plant {
    /// Calibrates a sheet.
    ///
    /// # Errors
    /// The field that cannot be taken, or how the rated point contradicts itself.
    pub fn calibrate(sheet: &Sheet) -> Result<Self, SheetError> {
        sheet.check()?;
        let constants = calibrate(&SheetNumbers::lift(sheet, |_, x| x))?;
        let jacket_heat = JacketHeat::new(&sheet.jacket_heat_table);
        Ok(Plant { sheet: sheet.clone(), constants, jacket_heat })
    }

    /// The sheet it was calibrated from.
    #[must_use]
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// What calibration found.
    #[must_use]
    pub fn calibration(&self) -> Calibration {
        self.constants.figures()
    }

    /// The engine's jacket heat by load.
    #[must_use]
    pub fn jacket_heat(&self) -> &JacketHeat {
        &self.jacket_heat
    }

    /// Heat the plant may take at an engine load, W: the jacket's less the reserve.
    #[must_use]
    pub fn spare_heat_w(&self, load_percent: f64) -> f64 {
        1000.0 * (self.jacket_heat.at_kw(load_percent) - self.sheet.jacket_heat_reserve_kw)
    }

    /// The steady state with every flow as the point gives it: no limit is looked at.
    ///
    /// # Errors
    /// The field that cannot be taken, or which input makes a steady state impossible.
    pub fn free(&self, point: &Point) -> Result<Solution, Infeasible> {
        self.free_from(point, None)
    }

    /// As [`Plant::free`], the search starting from a shell pressure (Pa) and vapour made (kg/s) of the caller's.
    ///
    /// The answer does not depend on the start, only the time it takes.
    ///
    /// # Errors
    /// As [`Plant::free`].
    pub fn free_from(
        &self,
        point: &Point,
        start: Option<(f64, f64)>,
    ) -> Result<Solution, Infeasible> {
        point.check()?;
        self.free_unchecked(point, start)
    }

    /// As [`Plant::free_from`], for a point that was fitted to readings: its deposits may be a little under nought, where the
    /// plant is better than its sheet.
    ///
    /// # Errors
    /// As [`Plant::free`].
    pub fn fitted(&self, point: &Point, start: Option<(f64, f64)>) -> Result<Solution, Infeasible> {
        let clean =
            |deposit: f64| if deposit > -DEPOSIT_LEAST_M2K_W { deposit.max(0.0) } else { deposit };
        Point {
            scale_m2k_w: clean(point.scale_m2k_w),
            condenser_fouling_m2k_w: clean(point.condenser_fouling_m2k_w),
            ..point.clone()
        }
        .check()?;
        self.free_unchecked(point, start)
    }

    fn free_unchecked(
        &self,
        point: &Point,
        start: Option<(f64, f64)>,
    ) -> Result<Solution, Infeasible> {
        let at = setting(&self.constants, point);
        let warm = start.and_then(|(pa, kg_s)| self.start_at(pa, kg_s));
        let found = solve(&self.constants, &at, warm.as_ref())?;
        Ok(self.solution(&at, &found, self.heat_at(point)))
    }

    /// The steady state run to limits, as aboard: output at or under the maker's maximum, the shell kept warm, and no more
    /// heat taken than the engine can spare when the point gives its load.
    ///
    /// # Errors
    /// As [`Plant::free`]; and no heat when no by-pass position meets the limits.
    pub fn trimmed(&self, point: &Point) -> Result<Solution, Infeasible> {
        self.rate(&Point { trimmed: true, ..point.clone() })
    }

    /// What the point asks for: free or trimmed, within the engine's heat if a load is given, short heat met by by-pass or
    /// (as a warning) by sag.
    ///
    /// # Errors
    /// As [`Plant::trimmed`]; and [`Infeasible::EngineCannot`] when the engine spares nothing at that load.
    pub fn rate(&self, point: &Point) -> Result<Solution, Infeasible> {
        point.check()?;
        self.rate_from(point, &mut Neighbours::default())
    }

    /// As [`Plant::rate`], starting from neighbours and leaving itself to the next; the point's fields have been checked.
    pub(crate) fn rate_from(
        &self,
        point: &Point,
        neighbours: &mut Neighbours,
    ) -> Result<Solution, Infeasible> {
        let heat_w = self.heat_at(point);
        if let Some(engine_load) = point.engine_load
            && heat_w <= 0.0
        {
            return Err(Infeasible::EngineCannot {
                engine_load,
                jacket_heat_kw: self.jacket_heat.at_kw(engine_load),
                reserve_kw: self.sheet.jacket_heat_reserve_kw,
            });
        }
        let given = setting(&self.constants, point);
        let sagging = point.heat_short == HeatShort::Sag;
        let bounds = Bounds {
            heat_w: if sagging { f64::INFINITY } else { heat_w },
            product_t_day: if point.trimmed { self.sheet.product_max_t_day } else { f64::INFINITY },
            cold: point.trimmed,
        };
        let trimmed = match neighbours.trim(&self.constants, &given, &bounds)? {
            Some(trimmed) => trimmed,
            None => {
                let found = neighbours.solve(&self.constants, &given)?;
                trim(self, &given, found, &bounds, neighbours)?
            }
        };
        let trimmed = if sagging { sag(self, trimmed, heat_w)? } else { trimmed };
        let mut solution = self.solution(&trimmed.at, &trimmed.found, heat_w);
        solution.trims = trimmed.trims;
        solution.heat_limited = trimmed.heat_limited;
        Ok(solution)
    }

    fn start_at(&self, shell_pressure_pa: f64, vapour_kg_s: f64) -> Option<Warm> {
        let x = [shell_pressure_pa.ln(), vapour_kg_s / self.constants.rated_vapour];
        let usable = x[0].is_finite() && x[1].is_finite() && x[1] > 0.0 && x[0].abs() < 50.0;
        usable.then(|| Warm { x, jacobian: None, hints: self.rated_hints() })
    }

    fn rated_hints(&self) -> crate::model::Hints {
        crate::model::Hints {
            vent_c: self.constants.rated_vent_c,
            sea_out_c: self.constants.rated_sea_out_c,
            jacket_out_c: self.constants.rated_jacket_out_c,
        }
    }

    /// Heat the plant may take at the point's engine load, W; endless when no load is given.
    pub(crate) fn heat_at(&self, point: &Point) -> f64 {
        point.engine_load.map_or(f64::INFINITY, |load| self.spare_heat_w(load))
    }

    /// Makes a solution of what the search found.
    pub(crate) fn solution(&self, at: &Setting<f64>, found: &Found, heat_w: f64) -> Solution {
        let k = &self.constants;
        let state = &found.state;
        let figures = figures(k, at, state);
        let limits = limits(k, at, state, &figures, heat_w);
        let mut solution =
            Solution::of(&figures, residuals(k, &figures, state, at), limits, found.effort);
        solution.flags = flags(k, at, state, &figures);
        solution
    }
}

fn residuals(
    k: &Constants<f64>,
    f: &crate::solution::Figures<f64>,
    s: &crate::model::State<f64>,
    at: &Setting<f64>,
) -> Residuals {
    let product = f.product_t_day * crate::KG_S_PER_T_DAY;
    let mass_in = at.feed + f.condenser_leak_kg_s;
    let salt_in = at.feed * at.salinity;
    // Fresher than this there is no salt to balance, only rounding.
    let salt_scale = salt_in.max(1.0e-9 * at.feed);
    let [evaporator, condenser] = s.residuals();
    // Both against the heat taken in, and that not under what counts as nothing made.
    let heat = s.evaporator_heat.max(NOTHING_MADE * k.rated_evaporator_heat);
    let (e, c) = (evaporator / heat, condenser / heat);
    Residuals {
        mass: (mass_in - s.brine - product - s.vent_loss) / mass_in,
        salt: (salt_in - s.brine * s.salinity) / salt_scale,
        energy: if e.abs() > c.abs() { e } else { c },
    }
}
