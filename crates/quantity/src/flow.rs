//! Mass flow and volume flow, which need a density to meet.

use crate::newtype::newtype;

newtype! {
    /// A mass flow, kg/s.
    ///
    /// ```compile_fail
    /// use quantity::{MassFlow, VolumeFlow};
    /// let feed: MassFlow = VolumeFlow::from_m3_h(3.5);
    /// ```
    MassFlow {
        /// In kg/s.
        from_kg_s / kg_s = 1.0,
        /// In kg/h.
        from_kg_h / kg_h = (1.0 / 3600.0),
        /// In t/h.
        from_t_h / t_h = (1000.0 / 3600.0),
        /// In t/day.
        from_t_day / t_day = (1000.0 / 86_400.0),
    }
}

newtype!(additive MassFlow);

impl MassFlow {
    /// The volume flow at a density in kg/m³.
    #[must_use]
    pub const fn to_volume_flow(self, density_kg_m3: f64) -> VolumeFlow {
        VolumeFlow(self.0 / density_kg_m3)
    }
}

newtype! {
    /// A volume flow, m³/s.
    VolumeFlow {
        /// In m³/s.
        from_m3_s / m3_s = 1.0,
        /// In m³/h.
        from_m3_h / m3_h = (1.0 / 3600.0),
        /// In L/day.
        from_l_day / l_day = (1e-3 / 86_400.0),
    }
}

newtype!(additive VolumeFlow);

impl VolumeFlow {
    /// The mass flow at a density in kg/m³.
    #[must_use]
    pub const fn to_mass_flow(self, density_kg_m3: f64) -> MassFlow {
        MassFlow::from_si(self.0 * density_kg_m3)
    }
}
