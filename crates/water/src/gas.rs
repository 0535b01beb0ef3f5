//! Gas dissolved in sea water: air (Weiss 1970) and carbon dioxide (Weiss 1974).
//!
//! Sources: R. F. Weiss, "The solubility of nitrogen, oxygen and argon in water and seawater", Deep-Sea
//! Research 17 (1970) 721-735, constants for ml(STP)/kg; R. F. Weiss, "Carbon dioxide in water and
//! seawater", Marine Chemistry 2 (1974) 203-215, constants for mol/(kg atm). Range −1 to 40 °C, 0 to 40
//! practical salinity. The salinity given here is absolute, g/kg, and is turned into practical salinity.

use crate::number::{Number, polynomial};
use crate::{ABSOLUTE_OVER_PRACTICAL, CELSIUS_ZERO_K};

/// Weiss's constants of one gas: ln C = A1 + A2/θ + A3 ln θ + A4 θ + S (B1 + B2 θ + B3 θ²), θ = T/100 K.
struct Solubility {
    a: [f64; 4],
    b: [f64; 3],
    /// Molar volume at 0 °C and 1 atm, l/mol: turns ml(STP) into mmol.
    molar_volume_l: f64,
}

const OXYGEN: Solubility = Solubility {
    a: [-177.7888, 255.5907, 146.4813, -22.2040],
    b: [-0.037362, 0.016504, -0.0020564],
    molar_volume_l: 22.391,
};
const NITROGEN: Solubility = Solubility {
    a: [-177.0212, 254.6078, 146.3611, -22.0933],
    b: [-0.054052, 0.027266, -0.0038430],
    molar_volume_l: 22.404,
};
const ARGON: Solubility = Solubility {
    a: [-178.1725, 251.8139, 145.2337, -22.2046],
    b: [-0.038729, 0.017171, -0.0021281],
    molar_volume_l: 22.393,
};

impl Solubility {
    /// mol/kg of sea water in balance with moist air at 1 atm.
    #[inline]
    fn mol_kg<T: Number>(&self, theta: T, ln_theta: T, practical: T) -> T {
        let [a1, a2, a3, a4] = self.a;
        let ln_ml_kg = theta.recip() * a2
            + ln_theta * a3
            + theta * a4
            + practical * polynomial(theta, &self.b)
            + a1;
        ln_ml_kg.exp() * (1e-3 / self.molar_volume_l)
    }

    #[inline]
    fn at<T: Number>(&self, t_c: T, s_g_kg: T) -> T {
        let theta = (t_c + CELSIUS_ZERO_K) * 0.01;
        self.mol_kg(theta, theta.ln(), s_g_kg * (1.0 / ABSOLUTE_OVER_PRACTICAL))
    }
}

/// Oxygen dissolved at 1 atm of moist air, mol/kg, at `t_c` °C and `s_g_kg` g/kg.
#[inline]
pub fn dissolved_oxygen_mol_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    OXYGEN.at(t_c, s_g_kg)
}

/// Nitrogen dissolved at 1 atm of moist air, mol/kg, at `t_c` °C and `s_g_kg` g/kg.
#[inline]
pub fn dissolved_nitrogen_mol_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    NITROGEN.at(t_c, s_g_kg)
}

/// Argon dissolved at 1 atm of moist air, mol/kg, at `t_c` °C and `s_g_kg` g/kg.
#[inline]
pub fn dissolved_argon_mol_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    ARGON.at(t_c, s_g_kg)
}

/// Air (oxygen, nitrogen and argon) dissolved at 1 atm, mol/kg, at `t_c` °C and `s_g_kg` g/kg.
#[inline]
pub fn dissolved_air_mol_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    let theta = (t_c + CELSIUS_ZERO_K) * 0.01;
    let ln_theta = theta.ln();
    let practical = s_g_kg * (1.0 / ABSOLUTE_OVER_PRACTICAL);
    OXYGEN.mol_kg(theta, ln_theta, practical)
        + NITROGEN.mol_kg(theta, ln_theta, practical)
        + ARGON.mol_kg(theta, ln_theta, practical)
}

/// Solubility of carbon dioxide K0, mol/(kg atm), at `t_c` °C and `s_g_kg` g/kg.
#[inline]
pub fn co2_solubility_mol_kg_atm<T: Number>(t_c: T, s_g_kg: T) -> T {
    let theta = (t_c + CELSIUS_ZERO_K) * 0.01;
    let practical = s_g_kg * (1.0 / ABSOLUTE_OVER_PRACTICAL);
    let ln_k0 = theta.recip() * 93.4517
        + theta.ln() * 23.3585
        + practical * polynomial(theta, &[0.023517, -0.023656, 0.0047036])
        - 60.2409;
    ln_k0.exp()
}
