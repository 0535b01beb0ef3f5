//! The demonstration: an invented ship with sixty days of readings behind her, made by the model, seeded.

mod marram;
pub mod rounds;
pub mod troubles;
pub mod voyage;
mod write;

pub use marram::marram;
pub use write::open;
