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

    /// A size in short: "43 %" of a deposit, "none" of one that cannot be seen, else as [`Cause::told`].
    #[must_use]
    pub fn brief(&self, cause: Cause, value: f64) -> String {
        match self.lost(cause, value) {
            Some(lost) if lost < 0.005 => "none".to_owned(),
            Some(lost) => format!("{:.0} %", 100.0 * lost),
            None => cause.told(value),
        }
    }

    /// A limit in short: as [`Sizes::brief`], of an instrument to either side.
    #[must_use]
    pub fn limit(&self, cause: Cause, limit: f64) -> String {
        match cause {
            Cause::Instrument(_) => cause.told_limit(limit),
            _ => self.brief(cause, limit),
        }
    }

    /// A size with the ends of its band where nothing of it is found: a deposit cannot be less than none, and what lies on the sound
    /// side is no fault. None where there is something to tell.
    #[must_use]
    pub fn none_found(&self, cause: Cause, value: f64) -> Option<&'static str> {
        let none = match self.lost(cause, value) {
            Some(lost) => lost < 0.005,
            None => cause.on_the_sound_side(value),
        };
        none.then_some("none found")
    }

    /// A size with what it is a part of, and its unit behind: "43 % of its heat transfer (3.01·10⁻⁴ m²K/W)".
    #[must_use]
    pub fn told(&self, cause: Cause, value: f64) -> String {
        match self.lost(cause, value) {
            Some(lost) if lost < 0.005 => "none found".to_owned(),
            Some(_) => {
                format!("{} of its heat transfer ({})", self.brief(cause, value), cause.told(value))
            }
            None if cause.on_the_sound_side(value) => {
                format!("none found ({})", counted(cause, value))
            }
            None => counted(cause, value),
        }
    }
}

/// A size that is no deposit; a factor with what it is counted by: "6.6 times what a tight plant draws in".
fn counted(cause: Cause, value: f64) -> String {
    let told = cause.told(value);
    match cause.counted_by() {
        "" => told,
        by => format!("{} {by}", told.trim_start_matches("× ")),
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
        assert_eq!(sizes.brief(Cause::Scale, -1.0e-5), "none");
        assert_eq!(sizes.told(Cause::Scale, -1.0e-5), "none found");
        assert_eq!(
            sizes.told(Cause::EjectorWear, 1.17),
            "none found (1.17 of what it draws as new)"
        );
        assert_eq!(sizes.told(Cause::EjectorWear, 0.6), "0.60 of what it draws as new");
        assert_eq!(sizes.told(Cause::FeedHigh, 1.2), "1.20 of what is set");
        assert_eq!(sizes.told(Cause::AirLeak, 6.63), "6.6 times what a tight plant draws in");
        assert_eq!(sizes.brief(Cause::AirLeak, 4.0), Cause::AirLeak.told(4.0));
    }
}
