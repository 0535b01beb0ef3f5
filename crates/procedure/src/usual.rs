//! The usual procedures, as text files that a ship takes for her own.

/// Key and text of each, in the order in which they are offered.
pub const USUAL: &[(&str, &str)] = &[("start", include_str!("../data/start.toml"))];
