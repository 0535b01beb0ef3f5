//! What can be handled, switched, set and spoilt: names, ranges, how long a hand takes.

/// One thing of a kind: its name aboard, its range, and what it is when nobody has touched it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Name in actions.
    pub name: &'static str,
    /// Unit of the value.
    pub unit: &'static str,
    /// Least value.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// Value when nothing was said.
    pub usual: f64,
    /// Full travel by hand, s; 0 for what changes at once.
    pub travel_s: f64,
}

const fn part(name: &'static str, unit: &'static str, range: (f64, f64), usual: f64) -> Part {
    Part { name, unit, low: range.0, high: range.1, usual, travel_s: 0.0 }
}

/// A valve, from 0 shut to 100 % open; `usual` is where the cold plant has it.
const fn valve(name: &'static str, travel_s: f64, usual: f64) -> Part {
    Part { name, unit: "%", low: 0.0, high: 100.0, usual, travel_s }
}

macro_rules! places {
    ($($name:ident),*) => { places!(@ 0usize; $($name),*); };
    (@ $n:expr; $name:ident $(, $rest:ident)*) => {
        pub(crate) const $name: usize = $n;
        places!(@ $n + 1usize; $($rest),*);
    };
    (@ $n:expr;) => {};
}

/// Every valve, with the travel a hand needs (common practice: a jacket valve 20 s, a sea valve 15, smaller ones less).
pub const VALVES: [Part; 15] = [
    valve("jacket inlet", 20.0, 0.0),
    valve("jacket outlet", 20.0, 0.0),
    valve("jacket by-pass", 20.0, 100.0),
    valve("jacket vent", 5.0, 0.0),
    valve("overboard", 15.0, 0.0),
    valve("pump suction", 15.0, 0.0),
    valve("pump discharge", 15.0, 0.0),
    valve("condenser cooling", 15.0, 100.0),
    valve("feed", 10.0, 100.0),
    valve("vacuum breaker", 5.0, 0.0),
    valve("shell drain", 5.0, 0.0),
    valve("distillate discharge", 5.0, 75.0),
    valve("balance line", 3.0, 100.0),
    valve("tank filling", 10.0, 0.0),
    valve("air screw", 3.0, 0.0),
];
places!(
    V_IN,
    V_OUT,
    V_BYPASS,
    V_VENT,
    V_OVERBOARD,
    V_SUCTION,
    V_DISCHARGE,
    V_COOLING,
    V_FEED,
    V_BREAKER,
    V_DRAIN,
    V_DISTILLATE,
    V_BALANCE,
    V_TANK,
    V_SCREW
);

/// Where the running plant has its valves, %, in the order of [`VALVES`].
pub(crate) const RUNNING: [f64; 15] =
    [100.0, 100.0, 0.0, 0.0, 100.0, 100.0, 100.0, 100.0, 100.0, 0.0, 0.0, 100.0, 100.0, 100.0, 0.0];

/// Every pump.
pub const PUMPS: [&str; 4] = ["ejector", "cooling", "distillate", "jacket"];
places!(P_EJECTOR, P_COOLING, P_DISTILLATE, P_JACKET);

/// What is set to a figure.
pub const SETS: [Part; 8] = [
    part("salinity limit", "mg/kg", (0.5, 100.0), 10.0),
    part("thermostat hand", "", (0.0, 1.0), 0.5),
    part("engine load", "%", (0.0, 110.0), 85.0),
    part("sea temperature", "degC", (-2.0, 40.0), 32.0),
    part("sea salinity", "g/kg", (0.1, 45.0), 35.165),
    part("room temperature", "degC", (-20.0, 70.0), 40.0),
    part("barometer", "Pa", (85_000.0, 110_000.0), 101_325.0),
    part("draught", "m", (0.0, 25.0), 2.0),
];
places!(S_LIMIT, S_HAND, S_LOAD, S_SEA, S_SALT, S_ROOM, S_BAROMETER, S_DRAUGHT);

/// What is set to a word, with the words it knows.
pub const SWITCHES: [(&str, &[&str]); 5] = [
    ("salinometer", &["off", "on"]),
    ("antiscalant", &["off", "on"]),
    ("power", &["off", "on"]),
    ("diverting valve", &["dump", "auto", "forced"]),
    ("thermostat", &["auto", "hand"]),
];
places!(W_SALINOMETER, W_ANTISCALANT, W_POWER, W_DIVERTER, W_THERMOSTAT);

/// What can be wrong with the plant. `usual` is the sound plant's.
pub const FAULTS: [Part; 21] = [
    part("condenser leak", "kg/h", (0.0, 500.0), 0.0),
    part("air leak", "kg/h", (0.0, 300.0), 1.0),
    part("distillate seal", "kg/h", (0.0, 100.0), 0.0),
    part("heater leak", "", (0.0, 10.0), 0.0),
    part("nozzle", "", (0.05, 1.5), 1.0),
    part("pump wear", "", (0.0, 1.5), 1.0),
    part("feed orifice", "", (0.0, 3.0), 1.0),
    part("cell reading", "", (0.0, 1000.0), 1.0),
    part("demister", "", (0.0, 10_000.0), 1.0),
    part("cooling flow", "", (0.0, 1.5), 1.0),
    part("condenser fouling", "m2K/W", (0.0, 0.05), 0.0),
    part("back pressure", "Pa", (-50_000.0, 500_000.0), 0.0),
    part("strainer", "", (0.0, 100.0), 0.0),
    part("aeration", "", (0.0, 1.0), 0.0),
    part("by-pass passing", "", (0.0, 1.0), 0.0),
    part("drain passing", "", (0.0, 1.0), 0.0),
    part("breaker passing", "", (0.0, 1.0), 0.0),
    part("check passing", "", (0.0, 1.0), 0.0),
    part("rolling", "", (0.0, 3.0), 0.0),
    part("thermostat hunting", "", (0.1, 50.0), 1.0),
    part("diverting valve stuck", "", (0.0, 1.0), 0.0),
];
places!(
    F_CONDENSER,
    F_AIR,
    F_SEAL,
    F_HEATER,
    F_NOZZLE,
    F_WEAR,
    F_ORIFICE,
    F_CELL,
    F_DEMISTER,
    F_COOLING,
    F_FOULING,
    F_BACK,
    F_STRAINER,
    F_AERATION,
    F_BYPASS,
    F_DRAIN,
    F_BREAKER,
    F_CHECK,
    F_ROLLING,
    F_HUNTING,
    F_STUCK
);

/// Every figure that can move by itself while a hand turns or a trouble grows: valves (as openings 0 to 1), sets, faults.
pub(crate) const MOVING: usize = VALVES.len() + SETS.len() + FAULTS.len();
pub(crate) const FIRST_SET: usize = VALVES.len();
pub(crate) const FIRST_FAULT: usize = FIRST_SET + SETS.len();

/// The place of a name, or the nearest known one.
pub(crate) fn find<'a>(
    names: impl Iterator<Item = &'a str> + Clone,
    name: &str,
) -> Result<usize, Option<String>> {
    if let Some(at) = names.clone().position(|known| known == name) {
        return Ok(at);
    }
    let wanted = name.to_lowercase();
    let near = names
        .map(|known| (strsim::jaro_winkler(known, &wanted), known))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(score, _)| *score > 0.7)
        .map(|(_, known)| known.to_owned());
    Err(near)
}
