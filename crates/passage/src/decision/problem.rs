//! What is decided about: the samples of a passage, the plant, the prices, the tanks.

use serde::Serialize;

/// What the plant is doing when the plan begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Shut down.
    Off,
    /// Being started; so many steps are left before the first water.
    Starting {
        /// Steps left, 0 when the next sample may give water.
        left: usize,
    },
    /// Making water at a trim, counted as in [`Problem::levels`].
    Making {
        /// The trim.
        trim: usize,
    },
    /// Heat is off; so many steps are left before it is shut down.
    Stopping {
        /// Steps left.
        left: usize,
    },
}

/// Everything that holds for one sample each; all of one length.
///
/// A figure "over the step" is a rate that holds from this sample to the next; ceiling and reserve hold at the
/// step's end.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Samples {
    /// Whether water may go to a tank.
    pub allowed: Vec<bool>,
    /// The rule that forbids it, where one does (may be empty altogether).
    pub why: Vec<String>,
    /// Whether there are hands to start, trim and stop.
    pub manned: Vec<bool>,
    /// Whether the ejector may run, which stopping needs.
    pub run_ok: Vec<bool>,
    /// Whether the ship's speed scatters here.
    pub under_way: Vec<bool>,
    /// Share of the price of carrying water that is paid here: 1 at sea, 0 in port.
    pub carry: Vec<f64>,
    /// Output at full trim over the step, t/day.
    pub make_t_day: Vec<f64>,
    /// Output with boiler heat over the step, t/day; `None` where there is none on offer.
    pub boost_t_day: Option<Vec<f64>>,
    /// Use over the step, t/day.
    pub use_t_day: Vec<f64>,
    /// The part of it that scatters from day to day, t/day.
    pub use_scatter_t_day: Vec<f64>,
    /// Use by class, where the tanks are to be told apart.
    pub use_by_class: Option<UseByClass>,
    /// Most that the tanks may hold, t.
    pub ceiling_t: Vec<f64>,
    /// Least that should be aboard, t.
    pub reserve_t: Vec<f64>,
    /// d ln(output) / d(sea temperature), 1/K.
    pub sea_slope_per_k: Vec<f64>,
    /// Where what is made is for the distilled tanks only; nowhere where it is not told.
    pub technical_only: Option<Vec<bool>>,
    /// The ship's clock ahead of UTC, hours, where it is told: for words, the plan does not ask it.
    pub zone_h: Option<Vec<f64>>,
}

impl Samples {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.allowed.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.allowed.is_empty()
    }
}

/// Use over each step by what it is for, t/day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UseByClass {
    /// To drink and to cook with.
    pub drinking: Vec<f64>,
    /// Washing, showers, laundry.
    pub domestic: Vec<f64>,
    /// Boiler and engine, from the distilled tank.
    pub technical: Vec<f64>,
    /// Dated draws such as hold rinsing.
    pub wash_down: Vec<f64>,
}

/// One currency; every price is the ship's to change.
#[derive(Debug, Clone, PartialEq)]
pub struct Costs {
    /// One start: hands, dumped water, a thermal cycle.
    pub start: f64,
    /// A change of trim.
    pub retrim: f64,
    /// Pumps, for an hour of starting, making or stopping.
    pub run_h: f64,
    /// Making one tonne, by sample: scale cleaning and antiscalant.
    pub make_t: Vec<f64>,
    /// An hour of boiler heat, by sample.
    pub boost_h: Vec<f64>,
    /// Carrying a tonne for a day at sea.
    pub carry_t_day: f64,
    /// A stop without hands, or where the ejector may not run.
    pub callout: f64,
    /// A tonne that is missing.
    pub shortfall_t: f64,
    /// A tonne under the reserve for a day; the plan raises it until the reserve holds.
    pub below_reserve_t_day: f64,
    /// A tonne made and lost.
    pub spill_t: f64,
}

/// Water that can be had, or a dated draw that can be cut, at one sample.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// What it is.
    pub name: String,
    /// The sample before whose step it is taken.
    pub at: usize,
    /// Price of a tonne.
    pub price_t: f64,
    /// Paid once if any is taken.
    pub fixed: f64,
    /// Most that can be taken, t.
    pub max_t: f64,
}

/// What water is worth when the plan ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Stock that should be left, t.
    pub target_t: f64,
    /// Price of each tonne under it.
    pub price_t: f64,
}

/// How far the world scatters about the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// Standard deviation of ln(use) from day to day.
    pub use_day: f64,
    /// The same of the ship's mean use, one draw for the passage.
    pub use_mean: f64,
    /// Stationary standard deviation of ln(output).
    pub output: f64,
    /// Days in which a departure of the output fades to 1/e.
    pub output_days: f64,
    /// Standard deviation of the sea temperature's offset, K.
    pub sea_k: f64,
    /// Standard deviation of ln(speed), one draw for the passage.
    pub speed: f64,
    /// Chance of being under the reserve that is borne at any place.
    pub alpha: f64,
}

impl Default for Noise {
    /// Common practice until the ship's own plan-against-actual says otherwise.
    fn default() -> Self {
        Self {
            use_day: 0.15,
            use_mean: 0.05,
            output: 0.04,
            output_days: 10.0,
            sea_k: 0.8,
            speed: 0.02,
            alpha: 0.10,
        }
    }
}

/// What a tank's water is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// Drinking water, passed over from a domestic tank.
    Drinking,
    /// Domestic water.
    Domestic,
    /// Distilled water for boiler and engine.
    Technical,
}

/// What a tank may be used for now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TankState {
    /// Ready to serve.
    #[default]
    Ready,
    /// Serves the taps now.
    Serving,
    /// Is being filled now.
    Filling,
    /// Set apart: drawn down first, never filled.
    SetApart,
}

/// One tank.
#[derive(Debug, Clone, PartialEq)]
pub struct Tank {
    /// Its name aboard.
    pub name: String,
    /// What its water is for.
    pub class: Class,
    /// What it holds when full, t.
    pub cap_t: f64,
    /// What it holds now, by sounding, t.
    pub stock_t: f64,
    /// What the pump cannot draw, t.
    pub dead_t: f64,
    /// What it is used for now.
    pub state: TankState,
    /// What ran into it since it was last dosed and is still in it, t; none where nobody knows.
    pub undosed_t: Option<f64>,
}

/// The same passage with one rule relaxed, to say what that rule is worth.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Relaxed {
    /// Where water might be made with an hour's less notice.
    pub hour_later: Option<Vec<bool>>,
    /// Where it might be made five nautical miles nearer to land.
    pub five_nmi_nearer: Option<Vec<bool>>,
    /// Output with five per cent more engine load, t/day.
    pub load_plus_5: Option<Vec<f64>>,
    /// What that load burns more, an hour.
    pub load_plus_5_fuel_h: f64,
}

/// A passage to be planned. Made by [`Problem::from_json`], which checks it.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// What it is called.
    pub name: String,
    /// Length of a step, minutes.
    pub step_min: f64,
    /// The moment of the first sample as it was written, if it was.
    pub start_utc: Option<String>,
    /// Pumpable stock of all tanks that are not set apart, t.
    pub stock_t: f64,
    /// Standard deviation of what is really aboard about it as the plan begins, t, 0 or more: readings, and what was reckoned
    /// forward from them.
    pub stock_sd_t: f64,
    /// What the plant is doing.
    pub state: State,
    /// The samples.
    pub samples: Samples,
    /// Time from the order to start until the first water, minutes.
    pub start_min: f64,
    /// Time from heat off until it is shut down, minutes.
    pub stop_min: f64,
    /// Trims, as shares of full output. Boiler heat comes after them where any is on offer.
    pub levels: Vec<f64>,
    /// The prices.
    pub costs: Costs,
    /// What can be had on the way, in the order of the samples.
    pub supply: Vec<Supply>,
    /// What water is worth at the end.
    pub end: End,
    /// How the world scatters.
    pub noise: Noise,
    /// The tanks, where they are to be told apart.
    pub tanks: Vec<Tank>,
    /// The same with one rule relaxed.
    pub relaxed: Relaxed,
}

impl Problem {
    /// Hours in a step.
    #[must_use]
    pub fn step_h(&self) -> f64 {
        self.step_min / 60.0
    }

    /// The stock of a passage that begins so many standard deviations above the middle, t: not below nought, nor over what the
    /// tanks may hold.
    pub(super) fn begun_t(&self, level: f64) -> f64 {
        let in_use = self.tanks.iter().filter(|tank| tank.state != TankState::SetApart);
        let hold = in_use.map(|tank| (tank.cap_t - tank.dead_t).max(0.0)).sum::<f64>();
        let hold = if self.tanks.is_empty() { f64::INFINITY } else { hold };
        let may = self.samples.ceiling_t.first().copied().unwrap_or(f64::INFINITY);
        let full = hold.min(may).max(self.stock_t);
        (self.stock_t + level * self.stock_sd_t).min(full).max(0.0)
    }

    /// Steps in 24 hours, at least one.
    #[must_use]
    pub fn steps_per_day(&self) -> usize {
        ((1440.0 / self.step_min).round() as usize).max(1)
    }

    /// Share of full output at a trim; boiler heat comes after the levels and is full output.
    #[must_use]
    pub fn level(&self, trim: usize) -> f64 {
        self.levels.get(trim).copied().unwrap_or(1.0)
    }
}
