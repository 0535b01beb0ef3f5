//! How sure an answer is: the spread of every result from the spreads of sheet, settings and readings, by exact derivatives.
//!
//! The solution is x(θ) with r(x, θ) = 0, so dx/dθ = −(∂r/∂x)⁻¹ ∂r/∂θ (implicit function theorem); the partial derivatives come
//! from the same equations in dual numbers, one evaluation an input, through the calibration too. A trim that acts adds its limit
//! to r and its lever to x.

use num_dual::Dual64;

use crate::arith::eliminate;
use crate::calibrate::{Constants, calibrate};
use crate::error::{FieldError, Infeasible, SheetError};
use crate::keys::{self, Part};
use crate::model::{Hints, Setting, evaluate, figures};
use crate::plant::Plant;
use crate::point::{Point, PointNumbers, ROOM_TEMP_C};
use crate::sheet::{Sheet, SheetNumbers};
use crate::solution::{RESULT_FIGURES, Solution, TrimLever, TrimReason};
use crate::value::Value;

/// Half the width of a normal band that holds nine in ten, in standard deviations.
pub const NINE_IN_TEN: f64 = 1.644_853_626_951_472_2;

/// How a standard uncertainty is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// In the key's unit.
    Plain(f64),
    /// As a share of the value; for a quantity known within a factor, of its logarithm.
    Share(f64),
}

/// Key of the sheet whose spread is that of the whole table: one factor on the engine's heat.
const HEAT_TABLE: &str = "jacket_heat_table";

/// Standard uncertainties (one standard deviation) of keys of the sheet and of the point.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Uncertainty {
    sheet: Vec<(&'static str, Spread)>,
    point: Vec<(&'static str, Spread)>,
}

/// What instruments and settings leave open when nothing better is known (our estimates for dial thermometers, class 1.6 gauges
/// and flows known from valve marks: standing error, scatter of one reading and scale step together).
const USUAL_POINT: &[(&str, Spread)] = &[
    ("sea_temp_c", Spread::Plain(0.6)),
    ("jacket_in_c", Spread::Plain(0.82)),
    ("jacket_flow_kg_s", Spread::Share(0.10)),
    ("condenser_flow_kg_s", Spread::Share(0.08)),
    ("feed_ratio", Spread::Share(0.08)),
    ("sea_salinity_g_kg", Spread::Plain(0.4)),
    ("ejector_pressure_bar_g", Spread::Plain(0.08)),
    ("back_pressure_bar_g", Spread::Plain(0.08)),
    ("air_leak_kg_h", Spread::Share(0.35)),
    ("scale_m2k_w", Spread::Plain(7.0e-6)),
    ("condenser_fouling_m2k_w", Spread::Plain(1.2e-5)),
    ("room_temp_c", Spread::Plain(5.0)),
    ("demister_factor", Spread::Share(0.35)),
    ("barometer_hpa", Spread::Plain(1.0)),
];

/// What nameplate, sea trial and the closures' shapes leave open (our estimates; the salt's is a factor).
const USUAL_SHEET: &[(&str, Spread)] = &[
    ("rated_product_t_day", Spread::Share(0.02)),
    ("rated_vapour_temp_c", Spread::Plain(0.6)),
    ("rated_product_salt_mg_kg", Spread::Share(0.40)),
    ("rated_gas_capacity_m3_s", Spread::Share(0.25)),
    ("brine_capacity_kg_s", Spread::Share(0.10)),
    ("demister_drop", Spread::Share(0.20)),
    ("static_head_k", Spread::Plain(0.2)),
    ("heat_loss_w_k", Spread::Share(0.50)),
    ("convective_share", Spread::Plain(0.12)),
    ("blanketing_exponent", Spread::Share(0.45)),
    ("co2_release", Spread::Plain(0.2)),
    ("stall_ratio", Spread::Share(0.05)),
    ("jacket_heat_table", Spread::Share(0.05)),
];

impl Uncertainty {
    /// What is usual aboard: instruments, settings, sheet and closures each with our stated estimate.
    ///
    /// A ship that knows better states it over these.
    #[must_use]
    pub fn usual() -> Self {
        Uncertainty { sheet: USUAL_SHEET.to_vec(), point: USUAL_POINT.to_vec() }
    }

    /// The stated spreads of the sheet's keys.
    #[must_use]
    pub fn of_sheet(&self) -> &[(&'static str, Spread)] {
        &self.sheet
    }

    /// The stated spreads of the point's keys.
    #[must_use]
    pub fn of_point(&self) -> &[(&'static str, Spread)] {
        &self.point
    }

    /// States how sure a key of the sheet is; said twice, the later counts.
    ///
    /// # Errors
    /// Unknown key, with the nearest known one.
    pub fn sheet(&mut self, key: &str, spread: Spread) -> Result<(), FieldError> {
        Self::state(&mut self.sheet, Part::Sheet, key, spread)
    }

    /// States how sure a key of the operating point is; said twice, the later counts.
    ///
    /// # Errors
    /// Unknown key, with the nearest known one.
    pub fn point(&mut self, key: &str, spread: Spread) -> Result<(), FieldError> {
        Self::state(&mut self.point, Part::Point, key, spread)
    }

    fn state(
        list: &mut Vec<(&'static str, Spread)>,
        part: Part,
        key: &str,
        spread: Spread,
    ) -> Result<(), FieldError> {
        let known = keys::find(part, key).ok_or_else(|| FieldError::UnknownKey {
            part,
            got: key.to_owned(),
            nearest: keys::nearest(part, key),
        })?;
        list.retain(|(k, _)| *k != known.key);
        list.push((known.key, spread));
        Ok(())
    }
}

/// A solution with how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Banded {
    /// The solution itself.
    pub solution: Solution,
    /// One input a row: its key, its standard uncertainty in the key's unit, and d(result)/d(input) in the order of
    /// [`RESULT_FIGURES`].
    pub inputs: Vec<Influence>,
}

/// What one input does to every result.
#[derive(Debug, Clone, PartialEq)]
pub struct Influence {
    /// Sheet or point.
    pub part: Part,
    /// The key.
    pub key: &'static str,
    /// One standard deviation, in the key's unit.
    pub sigma: f64,
    /// d(result)/d(input), in the order of [`RESULT_FIGURES`].
    pub slopes: Vec<f64>,
}

impl Banded {
    /// One standard deviation of a result, in its unit; `None` for an unknown key.
    #[must_use]
    pub fn sigma(&self, result: &str) -> Option<f64> {
        let i = RESULT_FIGURES.iter().position(|k| *k == result)?;
        Some(
            self.inputs
                .iter()
                .map(|input| (input.sigma * input.slopes[i]).powi(2))
                .sum::<f64>()
                .sqrt(),
        )
    }

    /// The band that holds nine in ten: low and high, in the result's unit; `None` for an unknown key.
    ///
    /// Salt is known within a factor, so its band is one of ratios; the others are plain.
    #[must_use]
    pub fn band(&self, result: &str) -> Option<(f64, f64)> {
        let value = self.solution.get(result).ok()?;
        let half = NINE_IN_TEN * self.sigma(result)?;
        if result == "product_salt_mg_kg" && value > 0.0 {
            let factor = (half / value).exp();
            return Some((value / factor, value * factor));
        }
        Some((value - half, value + half))
    }
}

/// A plant's derivatives made ready for one set of uncertainties, to be asked at many points.
#[derive(Debug, Clone)]
pub struct Banding<'p> {
    plant: &'p Plant,
    point: Vec<(&'static str, Spread)>,
    /// The constants without a derivative.
    plain: Constants<Dual64>,
    sheet: Vec<SheetInput>,
}

/// One doubted key of the sheet, with the constants that carry its derivative.
#[derive(Debug, Clone)]
struct SheetInput {
    key: &'static str,
    sigma: f64,
    constants: Constants<Dual64>,
}

/// Lifts a number, with derivative 1 if it is the one looked for.
fn seed(is_it: bool, value: f64) -> Dual64 {
    Dual64::new(value, if is_it { 1.0 } else { 0.0 })
}

fn lift_sheet(sheet: &Sheet, by: &str) -> SheetNumbers<Dual64> {
    SheetNumbers::lift(sheet, |key, x| seed(key == by, x))
}

impl Plant {
    /// Makes the derivatives for one set of uncertainties ready.
    ///
    /// # Errors
    /// As [`Plant::calibrate`]; it cannot happen for a plant that has been calibrated with the same sheet.
    pub fn banding(&self, uncertainty: &Uncertainty) -> Result<Banding<'_>, SheetError> {
        let mut sheet = Vec::with_capacity(uncertainty.sheet.len());
        for (key, spread) in &uncertainty.sheet {
            let sigma = match self.sheet().get(key) {
                Ok(Value::Number(x)) => sigma_of(*spread, x),
                Ok(Value::Table(_)) => sigma_of(*spread, 1.0),
                // Words, shares and what was left out carry no spread of their own.
                _ => continue,
            };
            let constants = calibrate(&lift_sheet(self.sheet(), key))?;
            sheet.push(SheetInput { key, sigma, constants });
        }
        let plain = calibrate(&lift_sheet(self.sheet(), ""))?;
        Ok(Banding { plant: self, point: uncertainty.point.clone(), plain, sheet })
    }

    /// The answer at a point with how sure it is; for one point. For many, see [`Plant::banding`].
    ///
    /// # Errors
    /// As [`Plant::rate`].
    pub fn band(&self, point: &Point, uncertainty: &Uncertainty) -> Result<Banded, Infeasible> {
        match self.banding(uncertainty) {
            Ok(banding) => banding.at(point),
            // The sheet has been calibrated once: what is left is an answer without a spread.
            Err(_) => Ok(Banded { solution: self.rate(point)?, inputs: Vec::new() }),
        }
    }
}

fn sigma_of(spread: Spread, value: f64) -> f64 {
    match spread {
        Spread::Plain(sigma) => sigma.abs(),
        Spread::Share(share) => (share * value).abs(),
    }
}

/// A limit that acts: the lever it moves and the equation it adds.
#[derive(Clone, Copy)]
struct Held {
    lever: TrimLever,
    why: TrimReason,
}

/// The limits that answer to an input at this solution.
///
/// A lever at its own stop stays where it is. Under sag the earlier levers stay where they were put: only the temperature answers.
fn held(solution: &Solution) -> Vec<Held> {
    let all = solution.trims.iter().map(|trim| Held { lever: trim.lever, why: trim.why });
    let sags = solution.trims.iter().any(|trim| trim.lever == TrimLever::JacketIn);
    all.filter(|h| !matches!(h.why, TrimReason::FlowFloor | TrimReason::BleedMax))
        .filter(|h| !sags || h.lever == TrimLever::JacketIn)
        .collect()
}

/// What is doubted in one evaluation.
#[derive(Clone, Copy, PartialEq)]
enum Doubt {
    Pressure,
    Vapour,
    Key(&'static str),
    /// Already in the constants.
    Constants,
    HeatTable,
}

/// Residuals and results of one evaluation; only the derivative parts are of use.
struct Evaluated {
    residuals: Vec<Dual64>,
    results: Vec<Dual64>,
}

/// Most unknowns: pressure, vapour, and the levers of by-pass and cold trim.
const MOST: usize = 4;

impl Banding<'_> {
    /// The answer at a point with how sure it is.
    ///
    /// # Errors
    /// As [`Plant::rate`].
    pub fn at(&self, point: &Point) -> Result<Banded, Infeasible> {
        let solution = self.plant.rate(point)?;
        let here = Here::new(self, point, &solution);
        let n = 2 + here.held.len();

        let mut by_unknown = vec![
            here.evaluate(&self.plain, Doubt::Pressure),
            here.evaluate(&self.plain, Doubt::Vapour),
        ];
        by_unknown.extend(
            here.held.iter().map(|h| here.evaluate(&self.plain, Doubt::Key(lever_key(h.lever)))),
        );
        let mut jacobian = [[0.0; MOST]; MOST];
        for (j, column) in by_unknown.iter().enumerate() {
            for (i, r) in column.residuals.iter().enumerate() {
                jacobian[i][j] = r.eps;
            }
        }
        let influence = |part, key, sigma, direct: Evaluated| {
            let mut rhs = [0.0; MOST];
            for (i, r) in direct.residuals.iter().enumerate() {
                rhs[i] = -r.eps;
            }
            // Singular only where a limit does not depend on its lever: then nothing answers.
            let answer = eliminate(n, jacobian, rhs).unwrap_or([0.0; MOST]);
            let through = |i: usize| -> f64 {
                by_unknown.iter().zip(answer).map(|(u, a)| u.results[i].eps * a).sum()
            };
            let slopes = direct.results.iter().enumerate().map(|(i, r)| r.eps + through(i));
            Influence { part, key, sigma, slopes: slopes.collect() }
        };

        let mut inputs = Vec::with_capacity(self.sheet.len() + self.point.len());
        for input in &self.sheet {
            let doubt = if input.key == HEAT_TABLE { Doubt::HeatTable } else { Doubt::Constants };
            let direct = here.evaluate(&input.constants, doubt);
            inputs.push(influence(Part::Sheet, input.key, input.sigma, direct));
        }
        for (key, spread) in &self.point {
            // A lever that a limit holds is not an input any more.
            if here.held.iter().any(|h| lever_key(h.lever) == *key) {
                continue;
            }
            if let Ok(Value::Number(x)) = here.point.get(key) {
                let direct = here.evaluate(&self.plain, Doubt::Key(key));
                inputs.push(influence(Part::Point, key, sigma_of(*spread, x), direct));
            }
        }
        Ok(Banded { solution, inputs })
    }
}

/// A solution seen as the point that stands there: levers where the trims put them.
struct Here<'a> {
    plant: &'a Plant,
    point: Point,
    solution: &'a Solution,
    held: Vec<Held>,
}

impl<'a> Here<'a> {
    fn new(banding: &Banding<'a>, point: &Point, solution: &'a Solution) -> Self {
        let mut point = Point {
            jacket_in_c: solution.jacket_in_c,
            jacket_flow_kg_s: solution.inside.jacket_flow_kg_s,
            condenser_flow_kg_s: solution.inside.condenser_flow_kg_s,
            air_bleed_kg_h: solution.inside.air_bleed_kg_h,
            ..point.clone()
        };
        // What is doubted by itself is an input, also where it was left out.
        let doubted = |key: &str| banding.point.iter().any(|(k, _)| *k == key);
        if point.feed_flow_kg_s.is_none() && doubted("feed_ratio") {
            point.feed_ratio.get_or_insert(banding.plant.sheet().rated_feed_ratio);
        }
        if doubted("room_temp_c") {
            point.room_temp_c.get_or_insert(ROOM_TEMP_C);
        }
        Here { plant: banding.plant, point, solution, held: held(solution) }
    }

    /// One evaluation of the equations at the solution, with derivative 1 on what is doubted.
    fn evaluate(&self, k: &Constants<Dual64>, doubt: Doubt) -> Evaluated {
        let lift = |key: &'static str, x: f64| seed(doubt == Doubt::Key(key), x);
        let at = Setting::new(k, &PointNumbers::lift(&self.point, &k.sheet, lift));
        let p = seed(doubt == Doubt::Pressure, self.solution.shell_pressure_pa);
        let d = seed(doubt == Doubt::Vapour, self.solution.vapour_kg_s);
        let hints = Hints {
            vent_c: self.solution.vent_temp_c,
            sea_out_c: self.solution.sea_out_c,
            jacket_out_c: self.solution.jacket_out_c,
        };
        let state = evaluate(k, &at, p, d, &hints);
        let figures = figures(k, &at, &state);
        let mut residuals = state.residuals().to_vec();
        for h in &self.held {
            residuals.push(match h.why {
                TrimReason::EngineHeat => {
                    let load = self.point.engine_load.unwrap_or_default();
                    let table = self.plant.jacket_heat().at(lift("engine_load", load));
                    let factor = seed(doubt == Doubt::HeatTable, 1.0);
                    state.evaporator_heat
                        - (table * factor - k.sheet.jacket_heat_reserve_kw) * 1000.0
                }
                TrimReason::VapourTempMin => state.vapour_c - k.sheet.vapour_temp_min_c,
                TrimReason::SeaOutMax => state.sea_out_c - k.sheet.sea_out_max_c,
                _ => figures.product_t_day - k.sheet.product_max_t_day,
            });
        }
        Evaluated { residuals, results: figures.results() }
    }
}

/// The point's key that a lever moves.
fn lever_key(lever: TrimLever) -> &'static str {
    match lever {
        TrimLever::JacketFlow => "jacket_flow_kg_s",
        TrimLever::CondenserFlow => "condenser_flow_kg_s",
        TrimLever::AirBleed => "air_bleed_kg_h",
        TrimLever::JacketIn => "jacket_in_c",
    }
}
