//! The demister: its pressure drop, its load, and the brine that comes over with the vapour.

use water::number::Number;

use crate::arith::{at_least, at_most};

/// Vapour velocity through the demister, m/s.
#[inline]
pub fn velocity<T: Number>(vapour_kg_s: T, vapour_density: T, area_m2: T) -> T {
    vapour_kg_s / (vapour_density * area_m2)
}

/// Pressure lost, Pa, in velocity heads.
#[inline]
pub fn drop_pa<T: Number>(heads: T, vapour_density: T, velocity: T) -> T {
    heads * vapour_density * velocity * velocity * 0.5
}

/// Load factor, m/s (Souders and Brown 1934).
#[inline]
pub fn load_factor<T: Number>(velocity: T, vapour_density: T, brine_density: T) -> T {
    velocity * (vapour_density / (brine_density - vapour_density)).sqrt()
}

/// Constants of the carry-over law.
#[derive(Clone, Copy)]
pub struct Mesh<T> {
    /// Carry-over at the rated point, kg brine per kg vapour.
    pub rated: T,
    /// Load factor at the rated point, m/s.
    pub rated_load: T,
    /// Load factor at which the mesh floods, m/s.
    pub flooding_load: T,
    /// Part of the rated carry-over no mesh stops.
    pub floor: T,
}

/// Closure (ours): brine carried over, kg per kg of vapour, for a sound mesh and a level in its place.
///
/// Rises with the cube of the load, steeply past flooding; a part of it no mesh stops.
#[inline]
pub fn carry_over<T: Number>(mesh: &Mesh<T>, load: T) -> T {
    let ratio = load / mesh.rated_load;
    let flood = |k: T| (k / mesh.flooding_load).powi(8) + 1.0;
    let rising = ratio.powi(3) * flood(load) / flood(mesh.rated_load);
    mesh.rated * (mesh.floor + (-mesh.floor + 1.0) * rising)
}

/// Closure (ours): how a rising level multiplies the carry-over, exp(6 min(o, 1)).
#[inline]
pub fn level_factor<T: Number>(over_level: T) -> T {
    (at_most(over_level, T::from(1.0)) * 6.0).exp()
}

/// Brine made over what the ejector lifts, less one; 0 while it lifts all, 1 if it lifts none.
#[inline]
pub(crate) fn over_level<T: Number>(brine_kg_s: T, capacity_kg_s: T) -> T {
    if capacity_kg_s.re() <= 0.0 {
        return T::from(1.0);
    }
    at_least(brine_kg_s / capacity_kg_s - 1.0, T::from(0.0))
}
