//! Where everything stands on the drawing of the vessel, in units of its wide form.

use super::data::{Fluid, Gauge};

/// Width and height of the wide drawing.
pub(super) const WIDE: (f64, f64) = (760.0, 660.0);

/// A lever on a pipe.
#[derive(Clone, Copy, Debug)]
pub(super) struct Handle {
    /// Its middle.
    pub(super) at: (f64, f64),
    /// On an upright pipe.
    pub(super) upright: bool,
    /// Where its number and percentage stand, and on which side they hang.
    pub(super) label: (f64, f64, Side),
    /// How far from its middle its number stands on the narrow drawing, px there.
    pub(super) narrow: (f64, f64),
}

/// On which side words hang on their point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Start,
    Middle,
    End,
}

const fn handle(
    at: (f64, f64),
    upright: bool,
    label: (f64, f64, Side),
    narrow: (f64, f64),
) -> Handle {
    Handle { at, upright, label, narrow }
}

/// What the handles turn, in the order of work; their numbers count from 1 in this order.
pub const VESSEL_HANDLES: [&str; 15] = [
    "overboard",
    "pump suction",
    "pump discharge",
    "condenser cooling",
    "vacuum breaker",
    "shell drain",
    "air screw",
    "feed",
    "jacket outlet",
    "jacket vent",
    "jacket inlet",
    "jacket by-pass",
    "balance line",
    "distillate discharge",
    "tank filling",
];

pub(super) const HANDLES: [Handle; VESSEL_HANDLES.len()] = [
    handle((722.0, 604.0), false, (722.0, 642.0, Side::Middle), (0.0, 15.0)),
    handle((110.0, 604.0), false, (110.0, 642.0, Side::Middle), (0.0, 15.0)),
    handle((396.0, 604.0), false, (396.0, 642.0, Side::Middle), (0.0, 15.0)),
    handle((556.0, 164.0), false, (556.0, 140.0, Side::Middle), (0.0, -14.0)),
    handle((428.0, 60.0), true, (448.0, 58.0, Side::Start), (15.0, -3.0)),
    handle((300.0, 574.0), true, (314.0, 578.0, Side::Start), (13.0, 4.0)),
    handle((628.0, 430.0), false, (662.0, 435.0, Side::Start), (0.0, 14.0)),
    handle((206.0, 240.0), true, (192.0, 220.0, Side::End), (-14.0, 0.0)),
    handle((214.0, 440.0), false, (204.0, 424.0, Side::End), (8.0, -13.0)),
    handle((130.0, 414.0), true, (130.0, 388.0, Side::Middle), (-12.0, -8.0)),
    handle((200.0, 500.0), false, (190.0, 538.0, Side::End), (0.0, 15.0)),
    handle((96.0, 470.0), true, (112.0, 475.0, Side::Start), (-15.0, 0.0)),
    handle((506.0, 230.0), true, (520.0, 226.0, Side::Start), (13.0, -9.0)),
    handle((628.0, 258.0), false, (614.0, 304.0, Side::Start), (0.0, 15.0)),
    handle((728.0, 206.0), false, (748.0, 188.0, Side::End), (0.0, 14.0)),
];

/// The pumps, in the order of the drawing.
pub const VESSEL_PUMPS: [&str; 3] = ["ejector", "cooling", "distillate"];

/// A point on the drawing.
type Point = (f64, f64);

/// Middle, radius, and where its word stands.
type PumpAt = (Point, f64, Point);

pub(super) const PUMPS: [PumpAt; VESSEL_PUMPS.len()] = [
    ((246.0, 604.0), 19.0, (246.0, 642.0)),
    ((676.0, 164.0), 17.0, (662.0, 140.0)),
    ((540.0, 258.0), 16.0, (540.0, 294.0)),
];

/// A pipe: its line, what runs in it, and the key of its flow.
pub(super) struct Pipe {
    pub(super) line: &'static str,
    pub(super) fluid: Fluid,
    pub(super) key: &'static str,
}

const fn pipe(line: &'static str, fluid: Fluid, key: &'static str) -> Pipe {
    Pipe { line, fluid, key }
}

/// Pipes outside the shell; one drawn later breaks those it crosses.
pub(super) const PIPES: [Pipe; 18] = [
    pipe("M336 92V40H24", Fluid::Sea, "cooling"),
    pipe("M206 46V400H262", Fluid::Sea, "feed"),
    pipe("M752 164H470", Fluid::Sea, "cooling"),
    pipe("M24 500H262", Fluid::Fresh, "jacket"),
    pipe("M262 440H24", Fluid::Fresh, "jacket"),
    pipe("M96 494V446", Fluid::Fresh, "by_pass"),
    pipe("M130 434V396", Fluid::Fresh, "none"),
    pipe("M506 252V206H478", Fluid::Vapour, "none"),
    pipe("M478 258H700", Fluid::Fresh, "distillate"),
    pipe("M700 264V356", Fluid::Fresh, "dump"),
    pipe("M700 252V206H752", Fluid::Fresh, "to_tank"),
    pipe("M370 545V574H522V590", Fluid::Sea, "brine"),
    pipe("M470 186H596V590", Fluid::Vapour, "air"),
    pipe("M656 430H602", Fluid::Vapour, "none"),
    pipe("M300 545V592", Fluid::Sea, "none"),
    pipe("M24 604H500", Fluid::Sea, "motive"),
    pipe("M686 604H752", Fluid::Sea, "motive"),
    pipe("M428 84V44", Fluid::Vapour, "none"),
];

/// Where a gauge's figure stands on the wide drawing, on which side, and how large.
pub(super) fn gauge_at(gauge: Gauge) -> (f64, f64, Side, &'static str) {
    match gauge {
        Gauge::Vacuum => (370.0, 346.0, Side::Middle, "tl halo"),
        Gauge::Vapour => (370.0, 366.0, Side::Middle, "halo"),
        Gauge::Glass => (512.0, 462.0, Side::Start, "tl"),
        Gauge::SeaIn => (752.0, 122.0, Side::End, ""),
        Gauge::SeaOut => (24.0, 66.0, Side::Start, ""),
        Gauge::JacketIn => (24.0, 542.0, Side::Start, ""),
        Gauge::JacketOut => (24.0, 420.0, Side::Start, ""),
        Gauge::Feed => (188.0, 334.0, Side::End, ""),
        Gauge::Nozzle => (506.0, 654.0, Side::Middle, ""),
        Gauge::Outlet => (622.0, 654.0, Side::Middle, ""),
        Gauge::Cell => (684.0, 236.0, Side::End, "tb halo"),
        Gauge::Made => (540.0, 312.0, Side::Middle, "tb halo"),
    }
}

/// Names on the drawing: where, on which side, what.
pub(super) const NAMES: [(f64, f64, Side, &str); 16] = [
    (370.0, 326.0, Side::Middle, "vacuum"),
    (24.0, 22.0, Side::Start, "to sea"),
    (752.0, 104.0, Side::End, "sea water"),
    (24.0, 524.0, Side::Start, "from engine"),
    (24.0, 402.0, Side::Start, "from heater"),
    (188.0, 316.0, Side::End, "feed"),
    (24.0, 586.0, Side::Start, "sea"),
    (506.0, 638.0, Side::Middle, "nozzle"),
    (622.0, 638.0, Side::Middle, "outlet"),
    (752.0, 580.0, Side::End, "overboard"),
    (752.0, 246.0, Side::End, "to tank"),
    (712.0, 350.0, Side::Start, "dump"),
    (612.0, 526.0, Side::Start, "air"),
    (448.0, 562.0, Side::Middle, "brine"),
    (512.0, 478.0, Side::Start, "of the glass"),
    (612.0, 414.0, Side::Start, "air screw"),
];

/// A name led to its part by a thin line: from the part, to the word, side.
type Lead = (Point, Point, Side, &'static str);

pub(super) const LED: [Lead; 4] = [
    ((300.0, 301.0), (176.0, 366.0), Side::End, "demister"),
    ((420.0, 178.0), (516.0, 92.0), Side::Start, "condenser tubes"),
    ((420.0, 257.0), (520.0, 342.0), Side::Start, "tray"),
    ((300.0, 470.0), (176.0, 566.0), Side::End, "heater tubes"),
];

/// The level at the weir, over which brine runs into the tray.
pub(super) const WEIR: f64 = 2.2;

/// The height of the brine's surface for a level: 1 at the plates' upper end, [`WEIR`] at the tray's lip.
pub(super) fn surface(level: f64) -> f64 {
    let level = if level.is_finite() { level.clamp(0.0, 3.2) } else { 0.0 };
    match level {
        level if level <= 1.0 => 548.0 - 128.0 * level,
        level if level <= WEIR => 420.0 - 138.0 * (level - 1.0),
        level => 254.4 - 20.0 * (level - WEIR),
    }
}
