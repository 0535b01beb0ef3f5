//! What the plant does at a point: every figure of the result, what does not balance, what was moved, what holds it.

use std::fmt;

use serde::Serialize;

use crate::error::FieldError;
use crate::keys::{self, Part};

macro_rules! figures {
    (
        result { $($(#[$rdoc:meta])* $result:ident,)* }
        inside { $($(#[$idoc:meta])* $inside:ident,)* }
    ) => {
        /// Every figure of a solution in the arithmetic it was worked out in.
        #[derive(Debug, Clone, Copy)]
        pub(crate) struct Figures<T> {
            $(pub(crate) $result: T,)*
            $(pub(crate) $inside: T,)*
        }

        /// Names of the numeric result figures, in the order of [`keys::RESULT`].
        pub const RESULT_FIGURES: &[&str] = &[$(stringify!($result)),*];

        impl<T: Copy> Figures<T> {
            /// The numeric result figures in the order of [`RESULT_FIGURES`].
            pub(crate) fn results(&self) -> Vec<T> {
                vec![$(self.$result),*]
            }
        }

        /// Figures beside the interchange table: for balances, diagrams and limits.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Inside {
            $($(#[$idoc])* pub $inside: f64,)*
        }

        /// The steady state of the plant at a point.
        ///
        /// Serialises to the result keys of the interchange table.
        #[derive(Debug, Clone, PartialEq, Serialize)]
        pub struct Solution {
            $($(#[$rdoc])* pub $result: f64,)*
            /// What to be careful about.
            pub flags: Vec<Flag>,
            /// What mass, salt and energy fail to balance by.
            pub residuals: Residuals,
            /// What was moved to keep within limits.
            pub trims: Vec<Trim>,
            /// Whether the engine's heat holds the plant.
            pub heat_limited: bool,
            /// Figures beside the interchange table.
            #[serde(skip)]
            pub inside: Inside,
            /// What holds the plant: here, limit, room.
            #[serde(skip)]
            pub limits: [Limit; 7],
            /// How the answer was found.
            #[serde(skip)]
            pub effort: Effort,
        }

        impl Solution {
            pub(crate) fn of(
                figures: &Figures<f64>,
                residuals: Residuals,
                limits: [Limit; 7],
                effort: Effort,
            ) -> Self {
                Solution {
                    $($result: figures.$result,)*
                    flags: Vec::new(),
                    residuals,
                    trims: Vec::new(),
                    heat_limited: false,
                    inside: Inside { $($inside: figures.$inside,)* },
                    limits,
                    effort,
                }
            }

            /// Every numeric result figure with its key, in the order of [`RESULT_FIGURES`].
            pub fn figures(&self) -> impl Iterator<Item = (&'static str, f64)> {
                [$((stringify!($result), self.$result)),*].into_iter()
            }

            /// A numeric result figure by its key.
            ///
            /// # Errors
            /// [`FieldError::UnknownKey`] with the nearest known one.
            pub fn get(&self, key: &str) -> Result<f64, FieldError> {
                match key {
                    $(stringify!($result) => Ok(self.$result),)*
                    _ => Err(FieldError::UnknownKey {
                        part: Part::Result,
                        got: key.to_owned(),
                        nearest: keys::nearest(Part::Result, key),
                    }),
                }
            }
        }
    };
}

figures! {
    result {
        /// Distillate into the tank, leak included, t/day.
        product_t_day,
        /// Vapour made, kg/s.
        vapour_kg_s,
        /// Shell pressure over the brine, Pa absolute.
        shell_pressure_pa,
        /// Vacuum, percent of the day's atmosphere.
        vacuum_percent,
        /// Saturation temperature of the vapour over the brine, °C.
        vapour_temp_c,
        /// Boiling brine, °C.
        brine_temp_c,
        /// Saturation temperature behind the demister, °C.
        condensing_temp_c,
        /// Vapour and gas at the air suction, °C.
        vent_temp_c,
        /// Jacket water back from the evaporator, °C.
        jacket_out_c,
        /// Sea water from the condenser, °C.
        sea_out_c,
        /// Salt in the brine, g/kg.
        brine_salinity_g_kg,
        /// Salt in the distillate, mg/kg.
        product_salt_mg_kg,
        /// Heat from the jacket water, W.
        evaporator_heat_w,
        /// Heat to the sea water, W.
        condenser_heat_w,
        /// Part of the condenser filled with gas, 0 to 1.
        blanketed_fraction,
        /// Vapour drawn off with the gas, kg/s.
        vent_loss_kg_s,
        /// Brine made over what the ejector lifts, less one; 0 when it lifts all.
        over_level,
        /// Overall heat transfer of the evaporator, W/m²K.
        evaporator_u_w_m2k,
        /// Overall heat transfer of the condenser, W/m²K.
        condenser_u_w_m2k,
        /// Jacket water in, as given or sagged, °C.
        jacket_in_c,
    }
    inside {
        /// Jacket water through the evaporator, after any by-pass, kg/s.
        jacket_flow_kg_s,
        /// Sea water through the condenser, after any throttling, kg/s.
        condenser_flow_kg_s,
        /// Air let in on purpose, kg/h.
        air_bleed_kg_h,
        /// Feed, kg/s.
        feed_kg_s,
        /// Feed temperature, °C.
        feed_temp_c,
        /// Brine, kg/s.
        brine_kg_s,
        /// Brine the ejector can lift here, kg/s.
        brine_capacity_kg_s,
        /// Sea water leaking into the distillate, kg/s.
        condenser_leak_kg_s,
        /// Gas to be drawn, mol/s.
        gas_mol_s,
        /// What the ejector draws here, m³/s.
        ejector_capacity_m3_s,
        /// Lift over drive of the jet.
        ejector_ratio,
        /// Pressure lost in the demister, Pa.
        demister_drop_pa,
        /// Load factor of the demister, m/s.
        load_factor_m_s,
        /// Brine carried over, kg per kg of vapour.
        carry_over,
        /// Heat lost to the room, W.
        heat_loss_w,
        /// Enthalpy carried by the feed, W (liquid at 0 °C is zero).
        feed_enthalpy_w,
        /// Enthalpy carried by the brine, W.
        brine_enthalpy_w,
        /// Enthalpy carried by the vapour, W.
        vapour_enthalpy_w,
        /// Enthalpy of the condensate, W.
        condensate_enthalpy_w,
    }
}

/// What does not balance, relative to the feed, the feed's salt and the duties.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Residuals {
    /// Feed and leak in, brine, product and vent out, over the feed.
    pub mass: f64,
    /// Salt in, brine out, over the feed's salt.
    pub salt: f64,
    /// The worse of evaporator and condenser, rate-equation duty less balance duty, over the heat taken in.
    pub energy: f64,
}

/// How the answer was found, for speed work and for doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Evaluations of the equations.
    pub evaluations: u32,
    /// Whether the bracketed search had to take over from the quick one.
    pub bracketed: bool,
}

/// What to be careful about in a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// Brine over 120 g/kg: outside what the sea-water correlations cover.
    BrineOver120,
    /// Sea, feed or brine colder than 10 °C: outside what the sea-water correlations cover.
    PropertyRange,
    /// More brine than the ejector lifts: the level is rising, this is what shows meanwhile.
    LevelRising,
    /// The demister is past flooding.
    DemisterFlooded,
    /// The jet is past the start of its stall.
    EjectorFading,
    /// More than the maker's maximum.
    OverMaximum,
    /// Vapour colder than the shell should be.
    ShellTooCold,
    /// Sea water out hotter than allowed.
    SeaOutTooHot,
    /// The jacket water would fall under the engine's low limit.
    JacketUnderLimit,
    /// Vacuum over a barometer far off: the in-leak is no longer choked.
    LeakNotChoked,
}

impl Flag {
    /// What it means, in a sentence.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Flag::BrineOver120 => {
                "The brine is over 120 g/kg, where the sea-water formulas no longer hold: give more feed."
            }
            Flag::PropertyRange => "Water colder than 10 °C: the sea-water formulas are stretched.",
            Flag::LevelRising => {
                "The ejector does not lift all the brine: the level is rising and salt comes over with the vapour."
            }
            Flag::DemisterFlooded => {
                "The demister is past flooding: brine comes over with the vapour."
            }
            Flag::EjectorFading => {
                "The ejector is near its stall: vacuum will be lost all at once."
            }
            Flag::OverMaximum => "More than the maker's maximum: open the jacket by-pass.",
            Flag::ShellTooCold => {
                "The shell is colder than it should be: cut the sea water to the condenser."
            }
            Flag::SeaOutTooHot => "Sea water leaves the condenser too hot: scale will form there.",
            Flag::JacketUnderLimit => {
                "The jacket water would fall under the engine's low limit: open the by-pass."
            }
            Flag::LeakNotChoked => "The vacuum is so poor that the air leak falls with it.",
        }
    }
}

/// What was moved to keep within a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Trim {
    /// What was moved.
    pub lever: TrimLever,
    /// Value before, in the lever's unit.
    pub from: f64,
    /// Value after, in the lever's unit.
    pub to: f64,
    /// What made it stop there.
    pub why: TrimReason,
}

/// What a trim moves; the serialised word is the key of the operating point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum TrimLever {
    /// Jacket by-pass, kg/s through the evaporator.
    #[serde(rename = "jacket_flow_kg_s")]
    JacketFlow,
    /// Sea-water throttle, kg/s through the condenser.
    #[serde(rename = "condenser_flow_kg_s")]
    CondenserFlow,
    /// Air bleed, kg/h.
    #[serde(rename = "air_bleed_kg_h")]
    AirBleed,
    /// Jacket temperature, °C: not a trim but the sag it warns of.
    #[serde(rename = "jacket_in_c")]
    JacketIn,
}

/// Why a trim stopped where it did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TrimReason {
    /// Maker's maximum output.
    ProductMax,
    /// Heat the engine can spare.
    EngineHeat,
    /// Shell not under.
    VapourTempMin,
    /// Sea water out not over.
    SeaOutMax,
    /// The condenser flow may go no lower.
    FlowFloor,
    /// The bleed goes no further.
    BleedMax,
}

/// One line of what holds the plant.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// Which limit.
    pub kind: LimitKind,
    /// Unit code of the three figures.
    pub unit: &'static str,
    /// Where the plant is.
    pub here: f64,
    /// Where the limit is; infinite when there is none.
    pub limit: f64,
    /// How far to the limit, negative past it.
    pub room: f64,
    /// Whether it acts: at the limit or past it.
    pub acts: bool,
}

/// The limits a plant can meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Maker's maximum output, t/day.
    ProductMax,
    /// Vapour temperature not under, °C.
    ShellNotUnder,
    /// Heat the engine can spare, kW.
    EngineHeat,
    /// Brine strength, g/kg.
    BrineStrength,
    /// Brine the ejector can lift, kg/s.
    BrineCapacity,
    /// Sea water out, °C.
    SeaOutlet,
    /// Feed against vapour made, kg/s: what would bring the brine to 200 g/kg.
    Feed,
}

impl LimitKind {
    /// What it is called in a table.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            LimitKind::ProductMax => "Product, maker's maximum",
            LimitKind::ShellNotUnder => "Shell not under",
            LimitKind::EngineHeat => "Heat the engine can spare",
            LimitKind::BrineStrength => "Brine strength",
            LimitKind::BrineCapacity => "Brine the ejector can lift",
            LimitKind::SeaOutlet => "Sea water out",
            LimitKind::Feed => "Boiled off, against the feed",
        }
    }
}

impl fmt::Display for LimitKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}
