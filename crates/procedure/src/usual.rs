//! The usual procedures, as text files that a ship takes for her own.

/// Key and text of each, in the order in which they are offered: emergencies, then what is done daily, then the rest.
pub const USUAL: &[(&str, &str)] = &[
    ("blackout", include_str!("../data/blackout.toml")),
    ("ejector-trip", include_str!("../data/ejector-trip.toml")),
    ("engine-slow-down", include_str!("../data/engine-slow-down.toml")),
    ("salinity-alarm", include_str!("../data/salinity-alarm.toml")),
    ("flooding", include_str!("../data/flooding.toml")),
    ("oil", include_str!("../data/oil.toml")),
    ("fire", include_str!("../data/fire.toml")),
    ("start", include_str!("../data/start.toml")),
    ("round", include_str!("../data/round.toml")),
    ("change-tank", include_str!("../data/change-tank.toml")),
    ("coast", include_str!("../data/coast.toml")),
    ("stop", include_str!("../data/stop.toml")),
    ("long-stay", include_str!("../data/long-stay.toml")),
    ("dry-dock", include_str!("../data/dry-dock.toml")),
    ("leak-test", include_str!("../data/leak-test.toml")),
    ("acid-clean", include_str!("../data/acid-clean.toml")),
    ("disinfect-tank", include_str!("../data/disinfect-tank.toml")),
    ("take-water", include_str!("../data/take-water.toml")),
];
