//! The evaporator cut open, to be worked: levers along or across their pipes, what flows in them, what the gauges show.

mod data;
mod draw;
mod moves;
mod places;

pub use data::{Flow, Fluid, Gauge, Vessel};
pub use draw::vessel;
pub use moves::{Attribute, Move, vessel_moves};
pub use places::{VESSEL_HANDLES, VESSEL_PUMPS};
