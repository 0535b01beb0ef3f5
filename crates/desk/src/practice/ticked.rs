//! A step ticked in practice held against the handles: what the usual lists say is done, and is not.

use transient::Stands;

use crate::typed::digits;

/// What a step of the usual lists leaves behind.
enum Left {
    /// A valve open by at least so much, %.
    Open(&'static str, f64),
    /// A valve shut.
    Shut(&'static str),
    /// A pump runs, or stands.
    Pump(&'static str, bool),
    /// A switch is on, or off.
    Switch(&'static str, &'static str),
}

use Left::{Open, Pump, Shut, Switch};

/// A valve open by less is shut, and by so much is full open, %.
const SHUT_PERCENT: f64 = 2.0;
const FULL_PERCENT: f64 = 90.0;
/// Any opening that lets water through, %.
const SOME_PERCENT: f64 = 5.0;

/// The step by its list and key; a ship's own steps are not known here.
fn left(list: &str, step: &str) -> &'static [Left] {
    match (list, step) {
        ("start", "line-up") => &[
            Shut("vacuum breaker"),
            Shut("shell drain"),
            Shut("tank filling"),
            Shut("feed"),
            Open("jacket by-pass", FULL_PERCENT),
            Shut("jacket inlet"),
            Shut("jacket outlet"),
        ],
        ("start", "overboard") => &[
            Open("overboard", FULL_PERCENT),
            Open("pump suction", FULL_PERCENT),
            Open("pump discharge", FULL_PERCENT),
        ],
        ("start", "cooling") => &[Pump("cooling", true), Open("condenser cooling", SOME_PERCENT)],
        ("start", "ejector-pump") => &[Pump("ejector", true)],
        ("start", "feed") => &[Open("feed", SOME_PERCENT)],
        ("start", "guards-on") => &[Switch("antiscalant", "on"), Switch("salinometer", "on")],
        ("start", "crack-heat") => {
            &[Open("jacket outlet", FULL_PERCENT), Open("jacket inlet", SOME_PERCENT)]
        }
        ("start", "by-pass") => &[Open("jacket inlet", FULL_PERCENT)],
        ("start", "distillate-pump") => &[Pump("distillate", true)],
        ("start", "tank") => {
            &[Open("tank filling", SOME_PERCENT), Switch("diverting valve", "auto")]
        }
        ("stop", "heat-off") => &[Shut("jacket inlet"), Shut("jacket outlet")],
        ("stop", "tank-shut") => &[Pump("distillate", false), Shut("tank filling")],
        ("stop", "cool") => &[],
        ("stop", "feed-shut") => &[Switch("antiscalant", "off"), Shut("feed")],
        ("stop", "breaker") => &[Open("vacuum breaker", FULL_PERCENT)],
        ("stop", "ejector-pump") => &[Pump("ejector", false)],
        ("stop", "sea-valves") => {
            &[Pump("cooling", false), Shut("pump suction"), Shut("pump discharge")]
        }
        ("stop", "overboard") => &[Shut("overboard"), Open("vacuum breaker", FULL_PERCENT)],
        ("blackout" | "ejector-trip" | "engine-slow-down", "heat-off") => {
            &[Shut("jacket inlet"), Open("jacket by-pass", FULL_PERCENT)]
        }
        ("blackout" | "ejector-trip" | "engine-slow-down", "tank-shut") => &[Shut("tank filling")],
        ("blackout", "sea-shut") => &[Shut("overboard"), Shut("pump suction")],
        ("blackout", "breaker") => &[Open("vacuum breaker", FULL_PERCENT)],
        ("ejector-trip", "overboard") => &[Shut("overboard")],
        _ => &[],
    }
}

/// What the handles show otherwise than a ticked step says, each in a few words; none where they show it.
pub(super) fn not_so(list: &str, step: &str, stands: &Stands) -> Vec<String> {
    let told = |left: &Left| match *left {
        Open(valve, least) => {
            let to = stands.valve(valve)?.to_percent;
            (to < least).then(|| format!("{valve} at {} %", digits(to, 0)))
        }
        Shut(valve) => {
            let to = stands.valve(valve)?.to_percent;
            (to > SHUT_PERCENT).then(|| format!("{valve} at {} %", digits(to, 0)))
        }
        Pump(pump, runs) => (stands.pump(pump)? != runs)
            .then(|| format!("{pump} pump {}", if runs { "stopped" } else { "running" })),
        Switch(switch, word) => {
            let at = stands.switch(switch)?;
            (at != word).then(|| format!("{switch} at {at}"))
        }
    };
    left(list, step).iter().filter_map(told).collect()
}
