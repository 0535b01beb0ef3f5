//! The free solution with its slopes by many inputs at once, for fits that ask at thousands of points.
//!
//! As for the band: dx/dθ = −(∂r/∂x)⁻¹ ∂r/∂θ, but with every partial derivative from one pass through the equations.

use crate::calibrate::{Constants, calibrate};
use crate::error::{FieldError, Infeasible, SheetError};
use crate::keys::{self, Part};
use crate::lanes::Lanes;
use crate::model::{Hints, Setting, evaluate, figures};
use crate::plant::Plant;
use crate::point::{Point, PointNumbers};
use crate::sheet::SheetNumbers;
use crate::solution::Solution;

/// Inputs that can be asked for together.
pub const MOST_INPUTS: usize = 18;
/// Of these, keys of the sheet.
pub const MOST_SHEET_INPUTS: usize = 4;

const LANES: usize = MOST_INPUTS + 2;
const PRESSURE: usize = MOST_INPUTS;
const VAPOUR: usize = MOST_INPUTS + 1;

/// A plant's slopes made ready for one list of inputs, to be asked at many points.
#[derive(Debug, Clone)]
pub struct Tangents<'p> {
    plant: &'p Plant,
    sheet_keys: usize,
    point: Vec<&'static str>,
    constants: Constants<Lanes<LANES>>,
}

/// A free solution with its slopes.
#[derive(Debug, Clone, PartialEq)]
pub struct Tangent {
    /// The solution.
    pub solution: Solution,
    slopes: Vec<[f64; LANES]>,
}

impl Tangent {
    /// d(result)/d(input): place of the result in [`crate::RESULT_FIGURES`], place of the input in the list it was made ready for, keys
    /// of the sheet first. None outside either.
    #[must_use]
    pub fn slope(&self, result: usize, input: usize) -> Option<f64> {
        self.slopes.get(result)?.get(input).copied()
    }
}

fn known(part: Part, key: &str) -> Result<&'static str, SheetError> {
    let unknown =
        || FieldError::UnknownKey { part, got: key.to_owned(), nearest: keys::nearest(part, key) };
    Ok(keys::find(part, key).ok_or_else(unknown)?.key)
}

impl Plant {
    /// Makes slopes by these keys of sheet and point ready; of each list what is past [`MOST_SHEET_INPUTS`] and [`MOST_INPUTS`]
    /// in all is left out.
    ///
    /// # Errors
    /// An unknown key with the nearest known one; and as [`Plant::calibrate`], which cannot happen for a plant calibrated with the
    /// same sheet.
    pub fn tangents(&self, sheet: &[&str], point: &[&str]) -> Result<Tangents<'_>, SheetError> {
        let sheet: Vec<&'static str> = sheet
            .iter()
            .take(MOST_SHEET_INPUTS)
            .map(|key| known(Part::Sheet, key))
            .collect::<Result<_, _>>()?;
        let point: Vec<&'static str> = point
            .iter()
            .take(MOST_INPUTS - sheet.len())
            .map(|key| known(Part::Point, key))
            .collect::<Result<_, _>>()?;
        // Few lanes through the calibration, then among the many.
        let lift = |key: &'static str, x: f64| {
            Lanes::<MOST_SHEET_INPUTS>::seeded(x, sheet.iter().position(|k| *k == key))
        };
        let few = calibrate(&SheetNumbers::lift(self.sheet(), lift))?;
        let constants = few.map(|x| {
            let mut wide = Lanes::constant(x.re);
            wide.eps[..MOST_SHEET_INPUTS].copy_from_slice(&x.eps);
            wide
        });
        Ok(Tangents { plant: self, sheet_keys: sheet.len(), point, constants })
    }
}

impl Tangents<'_> {
    /// The free solution at a point fitted to readings, as [`Plant::fitted`], with its slopes.
    ///
    /// # Errors
    /// As [`Plant::fitted`].
    pub fn at(&self, point: &Point, start: Option<(f64, f64)>) -> Result<Tangent, Infeasible> {
        let solution = self.plant.fitted(point, start)?;
        let k = &self.constants;
        let lift = |key: &'static str, x: f64| {
            let place = self.point.iter().position(|k| *k == key);
            Lanes::seeded(x, place.map(|p| p + self.sheet_keys))
        };
        let at = Setting::new(k, &PointNumbers::lift(point, &k.sheet, lift));
        let p = Lanes::seeded(solution.shell_pressure_pa, Some(PRESSURE));
        let d = Lanes::seeded(solution.vapour_kg_s, Some(VAPOUR));
        let hints = Hints {
            vent_c: solution.vent_temp_c,
            sea_out_c: solution.sea_out_c,
            jacket_out_c: solution.jacket_out_c,
        };
        let state = evaluate(k, &at, p, d, &hints);
        let figures = figures(k, &at, &state).results();
        let [e, c] = state.residuals();
        let det = e.eps[PRESSURE] * c.eps[VAPOUR] - e.eps[VAPOUR] * c.eps[PRESSURE];
        let slopes = figures
            .iter()
            .map(|figure| {
                let mut row = figure.eps;
                for (input, slope) in row.iter_mut().enumerate().take(MOST_INPUTS) {
                    let (re, rc) = (e.eps[input], c.eps[input]);
                    let by_p = (e.eps[VAPOUR] * rc - c.eps[VAPOUR] * re) / det;
                    let by_d = (c.eps[PRESSURE] * re - e.eps[PRESSURE] * rc) / det;
                    *slope += figure.eps[PRESSURE] * by_p + figure.eps[VAPOUR] * by_d;
                }
                row
            })
            .collect();
        Ok(Tangent { solution, slopes })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::band::{Spread, Uncertainty};
    use crate::sheet::Sheet;

    /// The same slopes as the band's, which come one input at a time from the library's own dual numbers.
    #[test]
    fn ident_slopes_are_the_bands_slopes() {
        let plant = Plant::calibrate(&Sheet::default()).unwrap();
        let sheet = ["blanketing_exponent", "convective_share", "rated_gas_capacity_m3_s"];
        let point = [
            "jacket_in_c",
            "sea_temp_c",
            "scale_m2k_w",
            "ejector_pressure_bar_g",
            "air_leak_kg_h",
            "feed_flow_kg_s",
        ];
        let mut doubts = Uncertainty::default();
        for key in sheet {
            doubts.sheet(key, Spread::Plain(1.0)).unwrap();
        }
        for key in point {
            doubts.point(key, Spread::Plain(1.0)).unwrap();
        }
        let (banding, tangents) =
            (plant.banding(&doubts).unwrap(), plant.tangents(&sheet, &point).unwrap());
        let rated = Point { feed_flow_kg_s: Some(0.97), ..Point::default() };
        for here in [
            Point { sea_temp_c: 24.0, ..rated.clone() },
            Point { ejector_pressure_bar_g: 3.0, air_leak_kg_h: 4.0, ..rated.clone() },
            Point { scale_m2k_w: 2.0e-4, jacket_in_c: 75.0, ..rated },
        ] {
            let (banded, tangent) = (banding.at(&here).unwrap(), tangents.at(&here, None).unwrap());
            for (i, input) in banded.inputs.iter().enumerate() {
                for (j, wanted) in input.slopes.iter().enumerate() {
                    let got = tangent.slope(j, i).unwrap();
                    assert!(
                        (got - wanted).abs() <= 1e-8 * wanted.abs().max(1e-6),
                        "{} by {}: {got} against {wanted}",
                        crate::RESULT_FIGURES[j],
                        input.key
                    );
                }
            }
        }
    }

    #[test]
    fn ident_an_unknown_key_is_refused_with_the_nearest() {
        let plant = Plant::calibrate(&Sheet::default()).unwrap();
        let refused = plant.tangents(&[], &["jaket_in_c"]).unwrap_err().to_string();
        assert!(refused.contains("jacket_in_c"), "{refused}");
    }
}
