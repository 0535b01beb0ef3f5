//! "Is the sheet right?": the ship file as fields with their meaning, what was typed into them, and what a change would do.

mod fields;
mod preview;
mod take;

use quantity::Unit;

pub use fields::{Group, Shape, ShipField, TrustField, groups, trusts};
pub use preview::{Changed, Effect, calibration, changed, doubts, effects, still_marked};
pub use take::{CONFIRMED, Fault, take};

/// The unit of a code of the interchange table; plain number for codes that are only ever written here.
pub(crate) fn unit(code: &str) -> Unit {
    match code {
        // The interchange table spells it with a capital, as the symbol is.
        "m2K_W" => Unit::M2KW,
        code => code.parse().unwrap_or(Unit::One),
    }
}

/// Symbol of a unit code.
#[must_use]
pub fn symbol(code: &str) -> &str {
    match code {
        "" => "",
        "K_diff" => "K",
        "W_K" => "W/K",
        "mmol_kg" => "mmol/kg",
        "m_s" => "m/s",
        code => match code.parse::<Unit>() {
            Ok(unit) => unit.symbol(),
            Err(_) => code,
        },
    }
}
