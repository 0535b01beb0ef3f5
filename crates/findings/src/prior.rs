//! The unknowns: for each cause what is healthy, what is a fault, how often, and where something should be done.

use crate::cause::Cause;

/// How an unknown is brought to the scale in which it is about normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Transform {
    /// ln(value + shift): a deposit may be a little under nought.
    ShiftedLn(f64),
    /// ln(value).
    Ln,
    /// As it is.
    Plain,
}

impl Transform {
    /// Value to scale.
    #[must_use]
    pub fn to(self, value: f64) -> f64 {
        match self {
            Transform::ShiftedLn(shift) => (value + shift).max(1.0e-300).ln(),
            Transform::Ln => value.max(1.0e-300).ln(),
            Transform::Plain => value,
        }
    }

    /// Scale to value.
    #[must_use]
    pub fn from(self, u: f64) -> f64 {
        match self {
            Transform::ShiftedLn(shift) => u.exp() - shift,
            Transform::Ln => u.exp(),
            Transform::Plain => u,
        }
    }

    /// d(value)/d(scale).
    #[must_use]
    pub fn slope(self, u: f64) -> f64 {
        match self {
            Transform::Plain => 1.0,
            _ => u.exp(),
        }
    }
}

/// The unknowns of the plant itself, in order; closures of the model come last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(usize)]
pub enum Unknown {
    /// Scale, m²K/W.
    Scale,
    /// Condenser deposit, m²K/W.
    Fouling,
    /// Air in-leak over rated.
    Air,
    /// Ejector factor.
    Ejector,
    /// Jacket flow over what was set.
    JacketFlow,
    /// Sea flow over what was set.
    SeaFlow,
    /// Feed over what was set.
    Feed,
    /// Carry-over factor.
    CarryOver,
    /// Condenser leak, kg/h.
    Leak,
    /// Motive pressure less rated, bar.
    Motive,
    /// Back pressure less rated, bar.
    Back,
    /// Blanketing exponent n over the sheet's.
    Blanketing,
    /// Convective share less the sheet's.
    Convective,
    /// Gas capacity over the sheet's.
    GasCapacity,
}

/// How many of them are process unknowns.
pub(crate) const PROCESS_UNKNOWNS: usize = 11;
/// How many there are with the closures.
pub(crate) const PLANT_UNKNOWNS: usize = 14;

/// One line of the table of causes.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The cause.
    pub cause: Cause,
    /// The unknown it shows in.
    pub unknown: Unknown,
    /// The unknown's scale.
    pub transform: Transform,
    /// Healthy: middle, in the unknown's unit, and spread in the scale.
    pub healthy: (f64, f64),
    /// At fault: middle, in the unknown's unit, and spread in the scale.
    pub fault: (f64, f64),
    /// How likely a fault is before anything is read.
    pub odds: f64,
    /// Past this something should be done, in the unknown's unit.
    pub limit: f64,
    /// Whether the fault lies above the limit.
    pub above: bool,
    /// Whether it costs output.
    pub costs_output: bool,
    /// Looked at within the readings and found sound: it is no suspect, and what is healthy of it is known closely.
    pub found_sound: bool,
    /// Why these figures.
    pub reason: &'static str,
}

/// The usual table of causes for a plant of this rated output; a ship edits it.
///
/// All figures are our estimates unless a source is named in the line.
#[must_use]
pub fn usual(rated_product_t_day: f64) -> Vec<Line> {
    // A condenser leak goes with the tubes there are: stated for 24 t/day.
    let size = rated_product_t_day / 24.0;
    let line = |cause, unknown, transform, healthy, fault, odds, limit, reason| Line {
        cause,
        unknown,
        transform,
        healthy,
        fault,
        odds,
        limit,
        above: true,
        costs_output: true,
        found_sound: false,
        reason,
    };
    use Cause as C;
    use Transform::{Ln, Plain, ShiftedLn};
    use Unknown as U;
    vec![
        line(
            C::Scale,
            U::Scale,
            ShiftedLn(3.0e-5),
            (1.5e-5, 0.45),
            (1.3e-4, 0.40),
            0.12,
            8.8e-5,
            "TEMA allowance for sea water up to 50 °C; 11 % of output",
        ),
        line(
            C::CondenserFouling,
            U::Fouling,
            ShiftedLn(5.0e-5),
            (3.0e-5, 0.40),
            (2.6e-4, 0.40),
            0.12,
            1.76e-4,
            "TEMA allowance for sea water over 50 °C; 7 % of output, half of it cannot be seen",
        ),
        line(
            C::AirLeak,
            U::Air,
            Ln,
            (1.0, 0.35),
            (6.0, 0.40),
            0.10,
            4.0,
            "10 % of output at full heat, 30 % at two thirds",
        ),
        Line {
            above: false,
            ..line(
                C::EjectorWear,
                U::Ejector,
                Ln,
                (0.95, 0.07),
                (0.58, 0.17),
                0.05,
                0.70,
                "a little more and the brine outruns the pump; output hardly moves",
            )
        },
        Line {
            above: false,
            ..line(
                C::JacketFlow,
                U::JacketFlow,
                Ln,
                (1.0, 0.10),
                (0.68, 0.20),
                0.08,
                0.80,
                "9 % of output; flows from by-pass marks are known to a tenth",
            )
        },
        Line {
            above: false,
            ..line(
                C::SeaFlow,
                U::SeaFlow,
                Ln,
                (1.0, 0.08),
                (0.68, 0.20),
                0.08,
                0.80,
                "4 % of output, sea water out 1.8 K warmer",
            )
        },
        Line {
            above: false,
            ..line(
                C::FeedLow,
                U::Feed,
                Ln,
                (1.0, 0.08),
                (0.68, 0.18),
                0.05,
                0.80,
                "brine at 55 g/kg and scale to come; no output lost",
            )
        },
        line(
            C::FeedHigh,
            U::Feed,
            Ln,
            (1.0, 0.08),
            (1.4, 0.13),
            0.04,
            1.25,
            "heat into warming feed; carry-over next",
        ),
        Line {
            costs_output: false,
            ..line(
                C::CarryOver,
                U::CarryOver,
                Ln,
                (1.0, 0.35),
                (4.5, 0.50),
                0.06,
                3.0,
                "torn, displaced or salted demister",
            )
        },
        Line {
            costs_output: false,
            ..line(
                C::CondenserLeak,
                U::Leak,
                Ln,
                (0.01 * size, 1.0),
                (0.3 * size, 0.60),
                0.06,
                0.2 * size,
                "7 ppm in the distillate",
            )
        },
        Line {
            above: false,
            ..line(
                C::MotivePressure,
                U::Motive,
                Plain,
                (0.0, 0.15),
                (-0.8, 0.25),
                0.05,
                -0.6,
                "the ejector falls off its knee at 0.9 bar under rated",
            )
        },
        line(
            C::Overboard,
            U::Back,
            Plain,
            (0.0, 0.05),
            (0.45, 0.20),
            0.02,
            0.3,
            "a gauge behind the ejector past 0.6 bar is looked into (common practice); an overboard valve not full open, deep draught",
        ),
    ]
}

/// Standing doubts of the model's closures, in their scales: ln n, f_cb, ln V0 (our estimates).
pub(crate) const CLOSURES: [f64; 3] = [0.45, 0.12, 0.25];

/// Back pressure after the ejector, each reading, bar (our estimate: draught, trim, seaway).
pub(crate) const BACK_PRESSURE_BAR: f64 = 0.08;
/// Sea salinity, each reading, g/kg (spread of the open sea).
pub(crate) const SEA_SALINITY_G_KG: f64 = 0.4;
/// A part that was opened and found sound is known to this part of what is usual among healthy ones (our estimate).
pub(crate) const FOUND_SOUND: f64 = 0.3;
/// An instrument is wrong this often before anything is read (our estimate).
pub(crate) const INSTRUMENT_ODDS: f64 = 0.03;
/// A wrong instrument is off by this many limits, one standard deviation.
pub(crate) const INSTRUMENT_WIDE: f64 = 1.4;

impl Line {
    /// Healthy density in the scale: mean, standard deviation.
    #[must_use]
    pub fn healthy_u(&self) -> (f64, f64) {
        let closely = if self.found_sound { FOUND_SOUND } else { 1.0 };
        let (mean, sd) = self.usual_u();
        (mean, sd * closely)
    }

    /// The same, whether or not it was looked at.
    #[must_use]
    pub fn usual_u(&self) -> (f64, f64) {
        (self.transform.to(self.healthy.0), self.healthy.1)
    }

    /// Fault density in the scale: mean, standard deviation.
    #[must_use]
    pub fn fault_u(&self) -> (f64, f64) {
        (self.transform.to(self.fault.0), self.fault.1)
    }

    /// The limit in the scale.
    #[must_use]
    pub fn limit_u(&self) -> f64 {
        self.transform.to(self.limit)
    }
}
