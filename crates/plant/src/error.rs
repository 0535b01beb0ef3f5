//! Why a value, a sheet or an operating point is not taken, with the numbers.

use std::fmt;

use crate::keys::{self, Key, Kind, Part};

/// One value that cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub enum FieldError {
    /// No such key; the nearest known one, if any is near.
    UnknownKey {
        /// The list it was looked for in.
        part: Part,
        /// What was written.
        got: String,
        /// What may have been meant.
        nearest: Option<&'static str>,
    },
    /// Outside the range in which the model means anything.
    OutOfRange {
        /// The key.
        key: &'static Key,
        /// What was given, in the key's unit.
        value: f64,
    },
    /// Not a number, or endless.
    NotFinite {
        /// The key.
        key: &'static Key,
    },
    /// A word, list or table where something else is wanted.
    WrongShape {
        /// The key.
        key: &'static Key,
        /// What was given.
        got: &'static str,
    },
    /// A word the key does not know.
    UnknownWord {
        /// The key.
        key: &'static Key,
        /// What was given.
        got: String,
    },
    /// Shares that do not sum to one, or a film without resistance.
    Shares {
        /// The key.
        key: &'static Key,
        /// What was given: film, wall, film.
        got: [f64; 3],
        /// Their sum.
        sum: f64,
    },
    /// Too few or too many rows.
    TableRows {
        /// The key.
        key: &'static Key,
        /// How many there are.
        rows: usize,
    },
    /// A load that does not rise from row to row or lies outside 0 to 200 %.
    TableLoad {
        /// The key.
        key: &'static Key,
        /// Row counted from 1.
        row: usize,
        /// Its load, percent.
        load: f64,
    },
    /// More feed than the condenser flow it is taken from.
    FeedOverCondenser {
        /// Feed, kg/s.
        feed_kg_s: f64,
        /// Condenser flow, kg/s.
        condenser_kg_s: f64,
    },
    /// Feed ratio and feed flow both given, and they differ.
    FeedTwice {
        /// Feed ratio given.
        ratio: f64,
        /// Feed flow given, kg/s.
        flow_kg_s: f64,
    },
}

impl FieldError {
    /// The key the refusal is about.
    #[must_use]
    pub fn key(&self) -> &str {
        match self {
            FieldError::UnknownKey { got, .. } => got,
            FieldError::OutOfRange { key, .. }
            | FieldError::NotFinite { key }
            | FieldError::WrongShape { key, .. }
            | FieldError::UnknownWord { key, .. }
            | FieldError::Shares { key, .. }
            | FieldError::TableRows { key, .. }
            | FieldError::TableLoad { key, .. } => key.key,
            FieldError::FeedTwice { .. } => "feed_ratio",
            FieldError::FeedOverCondenser { .. } => "condenser_flow_kg_s",
        }
    }
}

fn unit(key: &Key) -> String {
    if key.unit.is_empty() {
        return String::new();
    }
    let symbol = key.unit.parse::<quantity::Unit>().map_or(key.unit, quantity::Unit::symbol);
    format!(" {symbol}")
}

/// A figure as it was given; a row of three hundred noughts tells nobody anything.
fn short(value: f64) -> String {
    if value.abs() < 1.0e9 { value.to_string() } else { format!("{value:e}") }
}

impl fmt::Display for FieldError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FieldError::UnknownKey { part, got, nearest } => {
                write!(f, "{got}: no such key in the {}", part.word())?;
                match nearest {
                    Some(near) => write!(f, "; did you mean {near}?"),
                    None => write!(
                        f,
                        "; known are {} and {} more",
                        keys::of(*part)[0].key,
                        keys::of(*part).len() - 1
                    ),
                }
            }
            FieldError::OutOfRange { key, value } => write!(
                f,
                "{} = {}{u}: outside {} to {}{u}: {}; read it off again ({})",
                key.key,
                short(*value),
                key.hard.0,
                key.hard.1,
                key.why,
                key.place,
                u = unit(key)
            ),
            FieldError::NotFinite { key } => {
                write!(
                    f,
                    "{}: not a finite number; give {} to {}{}",
                    key.key,
                    key.hard.0,
                    key.hard.1,
                    unit(key)
                )
            }
            FieldError::WrongShape { key, got } => {
                write!(f, "{}: {got} given, wanted {}", key.key, wanted(key))
            }
            FieldError::UnknownWord { key, got } => {
                write!(f, "{} = \"{got}\": not known, wanted {}", key.key, wanted(key))
            }
            FieldError::Shares { key, got, sum } => write!(
                f,
                "{} = {got:?}: the three shares sum to {sum} and must sum to 1, films at least 0.01 each: {}; mend the shares",
                key.key, key.why
            ),
            FieldError::TableRows { key, rows } => write!(
                f,
                "{}: {rows} rows, wanted 2 to 100: heat is interpolated between loads; {}",
                key.key, key.place
            ),
            FieldError::TableLoad { key, row, load } => write!(
                f,
                "{} row {row}: load {load} %, wanted 0 to 200 % and above the row before: {}; put the rows in order of load",
                key.key, key.why
            ),
            FieldError::FeedOverCondenser { feed_kg_s, condenser_kg_s } => write!(
                f,
                "condenser_flow_kg_s = {condenser_kg_s}: less than the feed of {feed_kg_s:.4} kg/s that is taken from its outlet; \
                 open the condenser's sea water, cut the feed, or say feed_from = \"sea\" in the plant sheet"
            ),
            FieldError::FeedTwice { ratio, flow_kg_s } => write!(
                f,
                "feed_ratio = {ratio} and feed_flow_kg_s = {flow_kg_s}: only one can set the feed; leave one out"
            ),
        }
    }
}

impl std::error::Error for FieldError {}

fn wanted(key: &Key) -> String {
    match key.kind {
        Kind::Number => format!("a number, {} to {}{}", key.hard.0, key.hard.1, unit(key)),
        Kind::Optional => {
            format!("a number, {} to {}{}, or nothing", key.hard.0, key.hard.1, unit(key))
        }
        Kind::Shares => "three shares that sum to 1: [film, wall, film]".to_owned(),
        Kind::Table => "rows of [load %, kW]".to_owned(),
        Kind::Word(words) => format!("one of {}", words.join(", ")),
        Kind::Flag => "true or false".to_owned(),
        Kind::Record => "nothing: it is an answer".to_owned(),
    }
}

/// Why a plant sheet cannot be calibrated.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetError {
    /// One field is not right by itself.
    Field(FieldError),
    /// The condenser outlet would be as warm as the vapour it is to condense.
    SeaOutTooWarm {
        /// Sea water out at the rated point, °C.
        sea_out_c: f64,
        /// Condensing temperature at the rated point, °C.
        condensing_c: f64,
    },
    /// The jacket water would leave colder than the brine it heats.
    JacketOutTooCold {
        /// Jacket water out at the rated point, °C.
        jacket_out_c: f64,
        /// Brine at the rated point, °C.
        brine_c: f64,
    },
    /// The ejector would be stalled at its own rated point.
    EjectorStalled {
        /// Lift over drive at the rated point.
        ratio: f64,
        /// Ratio at which it stalls.
        stall_ratio: f64,
    },
    /// The air leak and dissolved gas are more than the ejector can draw at the rated point.
    GasOverCapacity {
        /// Gas to be drawn, mol/s.
        gas_mol_s: f64,
        /// Ejector capacity, m³/s.
        capacity_m3_s: f64,
        /// Sea temperature below which no vent temperature can lie, °C.
        sea_temp_c: f64,
    },
    /// The rated feed is not enough for the rated output.
    FeedTooSmall {
        /// Feed at the rated point, kg/s.
        feed_kg_s: f64,
        /// Vapour made at the rated point, kg/s.
        vapour_kg_s: f64,
    },
    /// No heat is left to be passed in the evaporator or condenser.
    NoDuty {
        /// Evaporator duty at the rated point, W.
        evaporator_w: f64,
        /// Condenser duty at the rated point, W.
        condenser_w: f64,
    },
}

impl From<FieldError> for SheetError {
    fn from(e: FieldError) -> Self {
        SheetError::Field(e)
    }
}

impl SheetError {
    /// The word for this refusal in interchange.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        "sheet_refused"
    }
}

impl fmt::Display for SheetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SheetError::Field(e) => e.fmt(f),
            SheetError::SeaOutTooWarm { sea_out_c, condensing_c } => write!(
                f,
                "rated point: the condenser outlet would be {sea_out_c:.2} °C, warmer than the vapour it condenses \
                 ({condensing_c:.2} °C): check rated_condenser_flow_kg_s, rated_sea_temp_c and rated_vapour_temp_c"
            ),
            SheetError::JacketOutTooCold { jacket_out_c, brine_c } => write!(
                f,
                "rated point: the jacket water would leave at {jacket_out_c:.2} °C, colder than the brine it heats \
                 ({brine_c:.2} °C): check rated_jacket_flow_kg_s, rated_jacket_in_c and rated_product_t_day"
            ),
            SheetError::EjectorStalled { ratio, stall_ratio } => write!(
                f,
                "rated point: the ejector would be stalled, lift over drive {ratio:.3} at or above {stall_ratio:.3}: \
                 check rated_ejector_pressure_bar_g and rated_back_pressure_bar_g"
            ),
            SheetError::GasOverCapacity { gas_mol_s, capacity_m3_s, sea_temp_c } => write!(
                f,
                "rated point: {gas_mol_s:.5} mol/s of gas is more than the ejector's {capacity_m3_s:.5} m³/s can draw \
                 above the sea's {sea_temp_c:.1} °C: check rated_gas_capacity_m3_s, rated_air_leak_kg_h and rated_vapour_temp_c"
            ),
            SheetError::FeedTooSmall { feed_kg_s, vapour_kg_s } => write!(
                f,
                "rated point: feed {feed_kg_s:.4} kg/s against {vapour_kg_s:.4} kg/s boiled off would leave brine above 200 g/kg: \
                 check rated_feed_ratio"
            ),
            SheetError::NoDuty { evaporator_w, condenser_w } => write!(
                f,
                "rated point: evaporator {evaporator_w:.0} W and condenser {condenser_w:.0} W must both be above zero: \
                 check the rated temperatures"
            ),
        }
    }
}

impl std::error::Error for SheetError {}

/// Why no steady operation exists at a point, with the numbers.
#[derive(Debug, Clone, PartialEq)]
pub enum Infeasible {
    /// The point itself is not right.
    Refused(FieldError),
    /// The heating water is too cold, or too little, to boil anything off.
    NoHeat {
        /// Jacket water in, °C.
        jacket_in_c: f64,
        /// Sea water in, °C.
        sea_temp_c: f64,
        /// Jacket flow, kg/s.
        jacket_flow_kg_s: f64,
        /// What could be boiled off, kg/s.
        vapour_kg_s: f64,
    },
    /// The engine has no heat to spare above its reserve.
    EngineCannot {
        /// Engine load, percent.
        engine_load: f64,
        /// Jacket heat at that load, kW.
        jacket_heat_kw: f64,
        /// Heat kept for the engine, kW.
        reserve_kw: f64,
    },
    /// The jet has stalled: its drive does not lift to the back pressure.
    Stalled {
        /// Ejector pressure, bar gauge.
        ejector_pressure_bar_g: f64,
        /// Back pressure, bar gauge.
        back_pressure_bar_g: f64,
        /// Lift over drive.
        ratio: f64,
        /// Ratio at which it stalls.
        stall_ratio: f64,
    },
    /// More gas comes in than the jet and the condenser can be rid of at any pressure the heat can reach.
    GasLoad {
        /// Gas to be drawn, mol/s.
        gas_mol_s: f64,
        /// What the ejector draws there, m³/s.
        capacity_m3_s: f64,
        /// Condenser flow, kg/s.
        condenser_flow_kg_s: f64,
    },
    /// A pressure is found, but the condenser is full of gas and next to nothing is made.
    NoVacuum {
        /// Shell pressure, Pa.
        shell_pressure_pa: f64,
        /// Part of the condenser filled with gas.
        blanketed_fraction: f64,
        /// What is boiled off, kg/s.
        vapour_kg_s: f64,
    },
    /// All the feed would be boiled off: brine at 200 g/kg and more.
    FeedBelowDistillate {
        /// Feed, kg/s.
        feed_kg_s: f64,
        /// What the heat would boil off at least, kg/s.
        vapour_kg_s: f64,
    },
}

impl From<FieldError> for Infeasible {
    fn from(e: FieldError) -> Self {
        Infeasible::Refused(e)
    }
}

impl Infeasible {
    /// The word for this reason in interchange.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Infeasible::Refused(_) => "refused",
            Infeasible::NoHeat { .. } | Infeasible::EngineCannot { .. } => "no_heat",
            Infeasible::Stalled { .. } => "stalled",
            Infeasible::GasLoad { .. } => "gas_load",
            Infeasible::NoVacuum { .. } => "no_vacuum",
            Infeasible::FeedBelowDistillate { .. } => "feed_below_distillate",
        }
    }

    /// The numbers behind the reason, by name with the unit in it.
    #[must_use]
    pub fn numbers(&self) -> Vec<(&'static str, f64)> {
        match *self {
            Infeasible::Refused(FieldError::OutOfRange { key, value }) => {
                vec![("value", value), ("min", key.hard.0), ("max", key.hard.1)]
            }
            Infeasible::Refused(_) => Vec::new(),
            Infeasible::NoHeat { jacket_in_c, sea_temp_c, jacket_flow_kg_s, vapour_kg_s } => vec![
                ("jacket_in_c", jacket_in_c),
                ("sea_temp_c", sea_temp_c),
                ("jacket_flow_kg_s", jacket_flow_kg_s),
                ("vapour_kg_s", vapour_kg_s),
            ],
            Infeasible::EngineCannot { engine_load, jacket_heat_kw, reserve_kw } => vec![
                ("engine_load", engine_load),
                ("jacket_heat_kw", jacket_heat_kw),
                ("jacket_heat_reserve_kw", reserve_kw),
            ],
            Infeasible::Stalled {
                ejector_pressure_bar_g,
                back_pressure_bar_g,
                ratio,
                stall_ratio,
            } => vec![
                ("ejector_pressure_bar_g", ejector_pressure_bar_g),
                ("back_pressure_bar_g", back_pressure_bar_g),
                ("ratio", ratio),
                ("stall_ratio", stall_ratio),
            ],
            Infeasible::GasLoad { gas_mol_s, capacity_m3_s, condenser_flow_kg_s } => vec![
                ("gas_mol_s", gas_mol_s),
                ("capacity_m3_s", capacity_m3_s),
                ("condenser_flow_kg_s", condenser_flow_kg_s),
            ],
            Infeasible::NoVacuum { shell_pressure_pa, blanketed_fraction, vapour_kg_s } => vec![
                ("shell_pressure_pa", shell_pressure_pa),
                ("blanketed_fraction", blanketed_fraction),
                ("vapour_kg_s", vapour_kg_s),
            ],
            Infeasible::FeedBelowDistillate { feed_kg_s, vapour_kg_s } => {
                vec![("feed_kg_s", feed_kg_s), ("vapour_kg_s", vapour_kg_s)]
            }
        }
    }
}

/// Molar mass of air, 28.96 g/mol, as kg/h in one mol/s.
const AIR_KG_H_PER_MOL_S: f64 = 28.96e-3 * 3600.0;

fn t_day(kg_s: f64) -> f64 {
    kg_s * 86.4
}

impl fmt::Display for Infeasible {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Infeasible::Refused(e) => e.fmt(f),
            Infeasible::NoHeat { jacket_in_c, sea_temp_c, jacket_flow_kg_s, vapour_kg_s } => {
                write!(
                    f,
                    "no heat: jacket water at {jacket_in_c:.1} °C, {jacket_flow_kg_s:.3} kg/s against sea at {sea_temp_c:.1} °C boils off \
                 no more than {:.1} t/day: open the jacket water to the evaporator, or wait for the engine to warm up",
                    t_day(*vapour_kg_s)
                )
            }
            Infeasible::EngineCannot { engine_load, jacket_heat_kw, reserve_kw } => write!(
                f,
                "no heat: at {engine_load:.0} % load the jacket gives {jacket_heat_kw:.0} kW and {reserve_kw:.0} kW are kept for the engine: \
                 wait for more load, or heat from elsewhere"
            ),
            Infeasible::Stalled {
                ejector_pressure_bar_g,
                back_pressure_bar_g,
                ratio,
                stall_ratio,
            } => write!(
                f,
                "no vacuum, ejector stalled: {ejector_pressure_bar_g:.2} bar g drives against {back_pressure_bar_g:.2} bar g, lift over \
                 drive {ratio:.3} against {stall_ratio:.3} at most: raise the pump's pressure (strainer, valves), open overboard full"
            ),
            Infeasible::GasLoad { gas_mol_s, capacity_m3_s, condenser_flow_kg_s } => write!(
                f,
                "no vacuum, too much gas: as much as {:.1} kg/h of air for an ejector that draws {:.0} m³/h there, condenser flow \
                 {condenser_flow_kg_s:.2} kg/s: find the air leak, see to the nozzle, open the condenser's sea water",
                gas_mol_s * AIR_KG_H_PER_MOL_S,
                capacity_m3_s * 3600.0
            ),
            Infeasible::NoVacuum { shell_pressure_pa, blanketed_fraction, vapour_kg_s } => write!(
                f,
                "no vacuum: {:.0} % of the condenser is full of gas at {:.1} kPa abs and only {:.1} t/day is made: \
                 find the air leak, see to the ejector",
                100.0 * blanketed_fraction,
                shell_pressure_pa / 1000.0,
                t_day(*vapour_kg_s)
            ),
            Infeasible::FeedBelowDistillate { feed_kg_s, vapour_kg_s } => write!(
                f,
                "feed below distillate: {:.1} t/day of feed against {:.1} t/day boiled off would leave brine above \
                 200 g/kg: give more feed (orifice, feed valve) before any heat",
                t_day(*feed_kg_s),
                t_day(*vapour_kg_s)
            ),
        }
    }
}

impl std::error::Error for Infeasible {}
