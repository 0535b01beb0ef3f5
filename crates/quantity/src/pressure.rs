//! Absolute pressure, gauge pressure and vacuum: the last two mean nothing without the barometer.

use crate::newtype::newtype;

/// Pressure of a conventional millimetre of mercury, Pa (ISO 80000-4: 13 595.1 kg/m³ × 9.806 65 m/s²).
pub(crate) const MMHG_PA: f64 = 133.322_387_415;

/// Pound-force a square inch, Pa (NIST SP 811, appendix B: 0.453 592 37 kg × 9.806 65 m/s² over (0.0254 m)²).
pub(crate) const PSI_PA: f64 = 0.453_592_37 * 9.806_65 / (0.0254 * 0.0254);

/// Standard atmosphere, Pa.
const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

newtype! {
    /// An absolute pressure, Pa.
    ///
    /// A gauge reading is not an absolute pressure:
    ///
    /// ```compile_fail
    /// use quantity::{GaugePressure, Pressure};
    /// let motive: Pressure = GaugePressure::from_bar(4.0);
    /// ```
    /// ```compile_fail
    /// use quantity::{Pressure, Vacuum};
    /// let shell: Pressure = Vacuum::from_percent(92.0, Pressure::STANDARD_ATMOSPHERE);
    /// ```
    /// ```
    /// use quantity::{GaugePressure, Pressure};
    /// let motive = GaugePressure::from_bar(4.0).to_absolute(Pressure::from_hpa(1000.0));
    /// assert_eq!(motive.bar(), 5.0);
    /// ```
    Pressure {
        /// In Pa.
        from_pa / pa = 1.0,
        /// In hPa, as a barometer reads.
        from_hpa / hpa = 100.0,
        /// In mbar absolute.
        from_mbar / mbar = 100.0,
        /// In kPa absolute.
        from_kpa / kpa = 1e3,
        /// In bar absolute.
        from_bar / bar = 1e5,
    }
}

impl Pressure {
    /// 1013.25 hPa.
    pub const STANDARD_ATMOSPHERE: Self = Self(STANDARD_ATMOSPHERE_PA);

    /// What a gauge reads when the day's atmosphere is `atmosphere`; negative below it.
    #[must_use]
    pub const fn to_gauge(self, atmosphere: Pressure) -> GaugePressure {
        GaugePressure(self.0 - atmosphere.0)
    }

    /// How far this lies below the day's atmosphere.
    #[must_use]
    pub const fn to_vacuum(self, atmosphere: Pressure) -> Vacuum {
        Vacuum(atmosphere.0 - self.0)
    }
}

newtype! {
    /// A pressure above the day's atmosphere, Pa (negative: below it).
    GaugePressure {
        /// In Pa gauge.
        from_pa / pa = 1.0,
        /// In bar gauge.
        from_bar / bar = 1e5,
        /// In kPa gauge.
        from_kpa / kpa = 1e3,
    }
}

impl GaugePressure {
    /// The absolute pressure under the barometer reading `atmosphere`.
    #[must_use]
    pub const fn to_absolute(self, atmosphere: Pressure) -> Pressure {
        Pressure(self.0 + atmosphere.0)
    }
}

newtype! {
    /// A pressure below the day's atmosphere, Pa.
    ///
    /// ```
    /// use quantity::{Pressure, Vacuum};
    /// // 26 inHg of vacuum under a standard atmosphere leave 13.28 kPa.
    /// let shell = Vacuum::from_inhg(26.0).to_absolute(Pressure::STANDARD_ATMOSPHERE);
    /// assert!((shell.kpa() - 13.279).abs() < 5e-4);
    /// ```
    Vacuum {
        /// In Pa below the atmosphere.
        from_pa / pa = 1.0,
        /// In cm of mercury.
        from_cmhg / cmhg = 10.0 * MMHG_PA,
        /// In mm of mercury.
        from_mmhg / mmhg = MMHG_PA,
        /// In inches of mercury.
        from_inhg / inhg = 25.4 * MMHG_PA,
    }
}

impl Vacuum {
    /// From per cent of the day's atmosphere: 0 % is the atmosphere, 100 % nothing at all.
    #[must_use]
    pub const fn from_percent(percent: f64, atmosphere: Pressure) -> Self {
        Self(atmosphere.0 * percent / 100.0)
    }

    /// In per cent of the day's atmosphere.
    #[must_use]
    pub const fn percent(self, atmosphere: Pressure) -> f64 {
        self.0 / atmosphere.0 * 100.0
    }

    /// The absolute pressure under the barometer reading `atmosphere`.
    #[must_use]
    pub const fn to_absolute(self, atmosphere: Pressure) -> Pressure {
        Pressure(atmosphere.0 - self.0)
    }
}
