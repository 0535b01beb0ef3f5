//! What is wrong aboard the demonstration ship: a condenser that fouls slowly and one thermometer that reads wrong.

/// Days before the present at which the condenser was last opened and cleaned.
pub const CONDENSER_CLEANED_DAYS_AGO: f64 = 55.0;
/// Days before the present from which the sea-water outlet thermometer reads high.
pub const THERMOMETER_WRONG_DAYS_AGO: f64 = 14.0;
/// How much it reads high, K.
pub const THERMOMETER_ERROR_K: f64 = 1.6;

/// Fouling of the condenser, m²K/W: approaches a ceiling as sea growth does (Kern and Seaton 1959, asymptotic form), figures invented.
#[must_use]
pub fn condenser_fouling_m2k_w(days_ago: f64) -> f64 {
    const CEILING_M2K_W: f64 = 3.2e-4;
    const TIME_CONSTANT_DAYS: f64 = 38.0;
    let since = CONDENSER_CLEANED_DAYS_AGO - days_ago;
    if since <= 0.0 {
        2.2e-4
    } else {
        2.0e-5 + ::findings::fouling::asymptotic_m2k_w(CEILING_M2K_W, TIME_CONSTANT_DAYS, since)
    }
}

/// Scale on the evaporator, m²K/W: a thin film that grows in proportion to time, figures invented.
#[must_use]
pub fn scale_m2k_w(days_ago: f64) -> f64 {
    1.0e-5 + 2.5e-7 * (super::voyage::DAYS - days_ago)
}

/// Error of the sea-water outlet thermometer, K.
#[must_use]
pub fn sea_out_error_k(days_ago: f64) -> f64 {
    if days_ago < THERMOMETER_WRONG_DAYS_AGO { THERMOMETER_ERROR_K } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_fouling_grows_from_the_cleaning_on_and_never_passes_its_ceiling() {
        let mut before = condenser_fouling_m2k_w(CONDENSER_CLEANED_DAYS_AGO - 0.01);
        for day in 1..550 {
            let now = condenser_fouling_m2k_w(CONDENSER_CLEANED_DAYS_AGO - 0.1 * f64::from(day));
            assert!(now > before && now < 3.5e-4);
            before = now;
        }
    }
}
