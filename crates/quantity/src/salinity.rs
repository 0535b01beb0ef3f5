//! Salt in water, strong (g/kg) and weak (mg/kg), and the conductivity it is read from.

use crate::newtype::newtype;

newtype! {
    /// Absolute salinity: salt in sea water or brine, held in kg/kg, read in g/kg.
    ///
    /// Not interchangeable with the salt of distillate, a thousand times smaller as a number:
    ///
    /// ```compile_fail
    /// use quantity::{MassFraction, Salinity};
    /// let brine: Salinity = MassFraction::from_mg_kg(3.0);
    /// ```
    /// ```
    /// use quantity::Salinity;
    /// assert!((Salinity::from_practical(35.0).g_kg() - 35.16504).abs() < 1e-12);
    /// ```
    Salinity {
        /// In g/kg.
        from_g_kg / g_kg = 1e-3,
        /// In practical salinity units; standard sea water, TEOS-10 (35 is 35.165 04 g/kg).
        from_practical / practical = (1e-3 * 35.165_04 / 35.0),
    }
}

newtype!(additive Salinity);

newtype! {
    /// A small mass of salt in water, held in kg/kg, read in mg/kg (ppm by mass).
    MassFraction {
        /// In mg/kg, ppm by mass.
        from_mg_kg / mg_kg = 1e-6,
        /// In g/kg.
        from_g_kg / g_kg = 1e-3,
    }
}

newtype!(additive MassFraction);

newtype! {
    /// Electrolytic conductivity, held in S/m.
    Conductivity {
        /// In S/m.
        from_s_m / s_m = 1.0,
        /// In µS/cm, as a salinometer reads.
        from_us_cm / us_cm = 1e-4,
        /// In mS/cm, as sea water is measured.
        from_ms_cm / ms_cm = 0.1,
    }
}

newtype!(additive Conductivity);
