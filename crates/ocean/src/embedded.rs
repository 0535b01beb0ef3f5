//! The bytes that data/build.py makes, compiled in; data/SOURCE says from what.

/// Shoreline.
pub const COAST: &[u8] = include_bytes!("../data/coast.bin");
/// Depth.
pub const DEPTH: &[u8] = include_bytes!("../data/depth.bin");
/// Sea-surface temperature by month.
pub const SEA_TEMPERATURE: &[u8] = include_bytes!("../data/sea_temperature.bin");
/// Salinity of the surface.
pub const SALINITY: &[u8] = include_bytes!("../data/salinity.bin");
