//! Sizes as an engineer takes them: a deposit by the part of the clean heat transfer that it takes away, its unit second.

use plant::{Plant, Sheet};

use crate::cause::Cause;
use crate::explain::Finding;

/// Clean heat transfer of a plant, against which deposits are told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    /// Of the evaporator and of the condenser at the rated point, W/m²K; nought where the sheet has none.
    clean_w_m2k: [f64; 2],
}

impl Sizes {
    /// Of a plant sheet.
    #[must_use]
    pub fn of(sheet: &Sheet) -> Self {
        let clean = Plant::calibrate(sheet).map(|plant| {
            let calibration = plant.calibration();
            [calibration.evaporator_u_w_m2k, calibration.condenser_u_w_m2k]
        });
        Sizes { clean_w_m2k: clean.unwrap_or_default() }
    }

    /// Part of the clean heat transfer that a deposit of this many m²K/W takes away, 0 to 1: 1 − 1/(1 + U R), of two resistances in
    /// line. None for what is no deposit.
    #[must_use]
    pub fn lost(&self, cause: Cause, value: f64) -> Option<f64> {
        let clean = match cause {
            Cause::Scale => self.clean_w_m2k[0],
            Cause::CondenserFouling => self.clean_w_m2k[1],
            _ => return None,
        };
        let over = clean * value.max(0.0);
        (clean > 0.0).then(|| over / (1.0 + over))
    }

    /// A size in short: "43 %" of a deposit, else as [`Cause::told`].
    #[must_use]
    pub fn brief(&self, cause: Cause, value: f64) -> String {
        self.lost(cause, value)
            .map_or_else(|| cause.told(value), |lost| format!("{:.0} %", 100.0 * lost))
    }

    /// A size with what it is a part of, and its unit behind: "43 % of its heat transfer (3.01·10⁻⁴ m²K/W)".
    #[must_use]
    pub fn told(&self, cause: Cause, value: f64) -> String {
        match self.lost(cause, value) {
            Some(_) => {
                format!("{} of its heat transfer ({})", self.brief(cause, value), cause.told(value))
            }
            None => cause.told(value),
        }
    }
}

impl Finding {
    /// Sizes for the plant that was explained.
    #[must_use]
    pub fn sizes(&self) -> Sizes {
        Sizes::of(&self.problem.observer.sheet)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two resistances in line: 1/U with the deposit is 1/U without it and R.
    #[test]
    fn ident_what_is_left_of_the_heat_transfer_is_that_of_resistances_in_line() {
        let sheet = Sheet::default();
        let (sizes, cause) = (Sizes::of(&sheet), Cause::CondenserFouling);
        let clean = Plant::calibrate(&sheet).unwrap().calibration().condenser_u_w_m2k;
        let with = (clean.recip() + 3.0e-4).recip();
        let lost = sizes.lost(cause, 3.0e-4).unwrap();
        assert!((lost - (1.0 - with / clean)).abs() < 1e-12);
        assert!(sizes.told(cause, 3.0e-4).ends_with(" % of its heat transfer (3.00·10⁻⁴ m²K/W)"));
        // A plant a little better than its sheet has lost nothing.
        assert_eq!(sizes.brief(Cause::Scale, -1.0e-5), "0 %");
        assert_eq!(sizes.brief(Cause::AirLeak, 4.0), Cause::AirLeak.told(4.0));
    }
}
