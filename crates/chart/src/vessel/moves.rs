//! What moves on the drawing of the vessel: the same list draws it and brings it up to date.

use super::data::{Flow, Fluid, Gauge, Vessel};
use super::places::{HANDLES, PIPES, PUMPS, WEIR, surface};

/// What of a drawn thing changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Attribute {
    /// Its `transform`.
    Transform,
    /// Its `class`.
    Class,
    /// Its words.
    Text,
}

/// One change: everything drawn with this `data-live` takes this value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Move {
    /// Value of `data-live`.
    pub key: String,
    /// What changes.
    pub attribute: Attribute,
    /// Its new value, unescaped.
    pub value: String,
}

fn change(key: impl Into<String>, attribute: Attribute, value: impl Into<String>) -> Move {
    Move { key: key.into(), attribute, value: value.into() }
}

/// Percent of a handle in words.
pub(super) fn percent(opening: f64) -> String {
    match opening {
        p if !p.is_finite() => "?".to_owned(),
        p if p < 0.5 => "shut".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// Key of a flow in a pipe of a fluid.
pub(super) fn flow_key(key: &str, fluid: Fluid) -> String {
    format!("flow-{key}-{}", fluid.class())
}

pub(super) fn flow_class(fluid: Fluid, flow: Flow) -> String {
    format!("flow {}{}", fluid.class(), flow.class())
}

/// Everything that can move, as it is now.
#[must_use]
pub fn vessel_moves(vessel: &Vessel) -> Vec<Move> {
    use Attribute::{Class, Text, Transform};
    let mut moves = Vec::new();
    for (i, (handle, opening)) in HANDLES.iter().zip(vessel.openings).enumerate() {
        let open = if opening.is_finite() { opening.clamp(0.0, 100.0) } else { 0.0 };
        let along = if handle.upright { 90.0 } else { 0.0 };
        let angle = along + 0.9 * (100.0 - open);
        let (x, y) = handle.at;
        moves.push(change(
            format!("lever-{}", i + 1),
            Transform,
            format!("rotate({angle:.0} {x} {y})"),
        ));
        moves.push(change(format!("open-{}", i + 1), Text, percent(opening)));
    }
    for (i, turns) in vessel.pumps.iter().enumerate() {
        let (class, word) = if *turns { ("wheel turns", "running") } else { ("wheel", "stopped") };
        moves.push(change(format!("wheel-{}", i + 1), Class, class));
        moves.push(change(format!("pump-{}", i + 1), Text, word));
    }
    for gauge in Gauge::ALL {
        moves.push(change(gauge_key(gauge), Text, vessel.gauge(gauge)));
    }
    let mut told: Vec<String> = Vec::new();
    for pipe in &PIPES {
        let key = flow_key(pipe.key, pipe.fluid);
        if !told.contains(&key) {
            moves.push(change(key.clone(), Class, flow_class(pipe.fluid, flow(vessel, pipe.key))));
            told.push(key);
        }
    }
    let (boil, drops) = if vessel.boiling { ("boil", "drops") } else { ("gone", "gone") };
    moves.push(change("boil", Class, boil));
    moves.push(change("drops", Class, drops));
    moves.push(change("level", Transform, format!("translate(0 {:.1})", surface(vessel.level))));
    moves.push(change("tray", Class, if vessel.level > WEIR { "f-sea" } else { "f-fresh" }));
    let glass = vessel.glass_percent.clamp(0.0, 100.0);
    let glass = if glass.is_finite() { glass } else { 0.0 };
    moves.push(change(
        "glass-water",
        Transform,
        format!("translate(0 {:.1})", 516.0 - 1.32 * glass),
    ));
    let tank = if vessel.to_tank.is_finite() { vessel.to_tank.clamp(0.0, 1.0) } else { 0.0 };
    moves.push(change(
        "three-way",
        Transform,
        format!("rotate({:.0} 700 258)", 90.0 - 180.0 * tank),
    ));
    moves
}

/// Key of a gauge's figure.
pub(super) fn gauge_key(gauge: Gauge) -> String {
    format!("{gauge:?}").to_lowercase()
}

fn flow(vessel: &Vessel, key: &str) -> Flow {
    let (to_tank, dump) = if vessel.to_tank > 0.5 {
        (vessel.distillate, Flow::Still)
    } else {
        (Flow::Still, vessel.distillate)
    };
    match key {
        "cooling" => vessel.cooling,
        "feed" => vessel.feed,
        "jacket" => vessel.jacket,
        "by_pass" => vessel.by_pass,
        "distillate" => vessel.distillate,
        "to_tank" => to_tank,
        "dump" => dump,
        "motive" => vessel.motive,
        "air" => vessel.air,
        "brine" => vessel.brine,
        _ => Flow::Still,
    }
}

/// How many pumps and handles there are is told by the drawing itself.
const _: () = assert!(HANDLES.len() == 15 && PUMPS.len() == 3);
