//! Heat: power, area, what resists it and what carries it.

use crate::newtype::newtype;

newtype! {
    /// Power or heat flow, W.
    Power {
        /// In W.
        from_w / w = 1.0,
        /// In kW.
        from_kw / kw = 1e3,
    }
}

newtype!(additive Power);

newtype! {
    /// Area, m².
    Area {
        /// In m².
        from_m2 / m2 = 1.0,
    }
}

newtype!(additive Area);

newtype! {
    /// Thermal resistance of fouling, m²K/W.
    ///
    /// ```compile_fail
    /// use quantity::{FoulingResistance, HeatTransferCoefficient};
    /// let scale: FoulingResistance = HeatTransferCoefficient::from_w_m2k(1800.0);
    /// ```
    FoulingResistance {
        /// In m²K/W.
        from_m2k_w / m2k_w = 1.0,
    }
}

newtype!(additive FoulingResistance);

newtype! {
    /// Heat-transfer coefficient, W/(m²K).
    HeatTransferCoefficient {
        /// In W/(m²K).
        from_w_m2k / w_m2k = 1.0,
    }
}

impl HeatTransferCoefficient {
    /// The resistance this coefficient stands for.
    #[must_use]
    pub const fn to_resistance(self) -> FoulingResistance {
        FoulingResistance(1.0 / self.0)
    }
}
