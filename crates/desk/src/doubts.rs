//! How far the model's inputs can be trusted aboard this ship, as the plant's band takes them.

use plant::{Spread, Uncertainty};

use crate::field::{self, Role};
use crate::instrument;
use crate::ship::Ship;

/// Standard uncertainties of sheet, settings and readings: the plant's usual ones, with what the ship says over them.
#[must_use]
pub fn uncertainty(ship: &Ship) -> Uncertainty {
    let doubts = &ship.doubts;
    let share = |percent: f64| Spread::Share(percent / 100.0);
    let mut out = Uncertainty::usual();
    let sheet = [
        ("rated_product_t_day", share(doubts.rated_product_percent)),
        ("rated_vapour_temp_c", Spread::Plain(doubts.rated_vapour_temp_k)),
        ("rated_jacket_flow_kg_s", share(doubts.rated_flow_percent)),
        ("rated_condenser_flow_kg_s", share(doubts.rated_flow_percent)),
        ("rated_gas_capacity_m3_s", share(doubts.gas_capacity_percent)),
        ("rated_product_salt_mg_kg", share(doubts.carry_over_percent)),
    ];
    let point = [
        ("jacket_flow_kg_s", share(doubts.jacket_flow_percent)),
        ("condenser_flow_kg_s", share(doubts.condenser_flow_percent)),
        ("feed_ratio", share(doubts.feed_percent)),
        ("air_leak_kg_h", share(doubts.air_leak_percent)),
    ];
    // Keys are those of the plant's own table: a test sees to it that none is refused.
    for (key, spread) in sheet {
        let _ = out.sheet(key, spread);
    }
    for (key, spread) in point {
        let _ = out.point(key, spread);
    }
    for reading in field::READINGS {
        if let Role::Condition(key) = reading.role
            && !point.iter().any(|(k, _)| *k == key)
            && let Some(spread) = instrument_spread(ship, reading.key)
        {
            let _ = out.point(key, spread);
        }
    }
    out
}

/// Standing error and error of the reading together, as the instrument states them.
fn instrument_spread(ship: &Ship, reading: &str) -> Option<Spread> {
    let instrument = instrument::of(reading)?;
    let (standing, each) = instrument::errors(ship, reading, 1.0);
    let whole = (standing * standing + each * each).sqrt();
    Some(if instrument.relative { Spread::Share(whole) } else { Spread::Plain(whole) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_every_doubt_reaches_the_plant() {
        let mut ship = Ship::blank();
        let before = uncertainty(&ship);
        ship.doubts.rated_product_percent = 7.5;
        ship.doubts.air_leak_percent = 80.0;
        let after = uncertainty(&ship);
        assert!(after.of_sheet().contains(&("rated_product_t_day", Spread::Share(0.075))));
        assert!(after.of_point().contains(&("air_leak_kg_h", Spread::Share(0.8))));
        assert_eq!(before.of_point().len(), after.of_point().len());
        assert!(after.of_point().iter().any(|(k, _)| *k == "sea_temp_c"));
    }
}
