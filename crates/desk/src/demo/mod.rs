//! The demonstration: an invented ship with sixty days of readings behind her, made by the model, seeded.

mod marram;
pub mod rounds;
mod route;
pub mod troubles;
pub mod voyage;
mod write;

pub use marram::marram;
pub use route::{events_text, route_text};
pub use write::open;
