//! The components' laws one by one, for a plant that is not at rest: the very functions the steady solution is made of.

pub use crate::air::{from_feed, leak_factor};
pub use crate::condenser::condensing_film;
pub use crate::demister::{Mesh, carry_over, drop_pa, level_factor, load_factor, velocity};
pub use crate::ejector::{jet, lift_ratio, motive_vapour_pa, stall, volume_factor};
pub use crate::evaporator::{
    boiling_film, jacket_heat_capacity, mostinski, overall, water_film_factor,
};
pub use crate::point::ROOM_TEMP_C;
