//! How a deposit comes to rest: the asymptotic fouling law, and what a deposit does to a heat transfer coefficient.

/// Fouling resistance after so many days, m²K/W: R∞ (1 − e^(−t/τ)) (D. Q. Kern and R. E. Seaton, British Chemical Engineering 4, 1959).
///
/// `ceiling_m2k_w` not negative, `time_constant_days` over nought; before the first day there is none.
#[must_use]
pub fn asymptotic_m2k_w(ceiling_m2k_w: f64, time_constant_days: f64, days: f64) -> f64 {
    ceiling_m2k_w * -(-days.max(0.0) / time_constant_days).exp_m1()
}

/// Heat transfer coefficient under a deposit, W/m²K: resistances in line add up.
///
/// `clean_w_m2k` over nought, `fouling_m2k_w` not negative.
#[must_use]
pub fn fouled_w_m2k(clean_w_m2k: f64, fouling_m2k_w: f64) -> f64 {
    (clean_w_m2k.recip() + fouling_m2k_w).recip()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the law: R∞ 1.76e-4 m²K/W (the TEMA allowance for sea water over 50 °C), τ 30 days; R at 30 and 90 days, and
    /// coefficients of 2000 and 2500 W/m²K under it.
    #[test]
    fn ident_the_laws_worked_numbers() {
        for (days, r_1e4, from_2000, from_2500) in
            [(30.0, 1.1125, 1636.0, 1956.0), (90.0, 1.6724, 1498.7, 1762.9)]
        {
            let r = asymptotic_m2k_w(1.76e-4, 30.0, days);
            assert!((r * 1.0e4 - r_1e4).abs() < 0.5e-4, "{r:e}");
            assert!((fouled_w_m2k(2000.0, r) - from_2000).abs() < 0.05);
            assert!((fouled_w_m2k(2500.0, r) - from_2500).abs() < 0.05);
        }
        assert_eq!(asymptotic_m2k_w(1.76e-4, 30.0, -5.0), 0.0);
    }
}
