//! The append-only record on SQLite: entries, canonical form, chain and seal, import, export, verify.

mod canonical;
mod clock;
mod crockford;
mod entry;
mod error;
mod hash;
mod seal;
mod wire;
mod words;
mod zone;

pub use canonical::{canonical_json, decimal};
pub use clock::{ShipClock, ShipDay, ZoneChange, elapsed_hours};
pub use entry::{Author, Draft, Entry, LATE_AFTER_S, Receipt, Value};
pub use error::Error;
pub use hash::Hash;
pub use seal::{Mistyped, Seal, SealCode};
pub use words::{Kind, Quality, Role, Source};
pub use zone::Zone;
