//! Conductivity of distillate from its salt, as NaCl, and the salt from the conductivity.
//!
//! Source: Debye-Hückel-Onsager limiting law Λ = Λ0 − (A + B Λ0) √c for a 1:1 electrolyte (Robinson and
//! Stokes, "Electrolyte Solutions", 2nd ed. 1959, ch. 7), with their limiting ion conductivities (appendix
//! 6.2, from memory), water's own conductivity added. Range 0-200 mg/kg, 25-55 °C; the law is 0.1 % low at
//! 0.001 mol/l (handbook Λ 123.74 at 25 °C), growing with √c. Dissolved carbon dioxide is not in it: water
//! in contact with air reads about 1 µS/cm more.

use crate::number::Number;
use crate::{CELSIUS_ZERO_K, dielectric, liquid, pure_conductivity, viscosity};

/// Molar mass of sodium chloride, kg/mol.
const NACL_KG_MOL: f64 = 0.058_442_8;

/// Reference temperature of salinometers, °C.
pub const REFERENCE_C: f64 = 25.0;

/// The source, in short.
pub const SOURCE: &str = "Debye-Hückel-Onsager limiting law";

/// Whether the law is used within 0-200 mg/kg and 25-55 °C, where its figures come from.
#[must_use]
pub fn in_range(ppm: f64, t_c: f64) -> bool {
    (0.0..=200.0).contains(&ppm) && (25.0..=55.0).contains(&t_c)
}

/// Atmospheric pressure, Pa: conductivity cells stand in the distillate line.
const PRESSURE_PA: f64 = 101_325.0;

/// What the law needs at one temperature.
struct Law<T> {
    /// mol/l for each mg/kg of NaCl.
    molar_per_ppm: T,
    /// Limiting molar conductivity Λ0, S cm²/mol.
    limit: T,
    /// A + B Λ0.
    slope: T,
    /// Conductivity of the water itself, µS/cm.
    water_us_cm: T,
}

impl<T: Number> Law<T> {
    fn at(t_c: T) -> Self {
        let density = liquid::density_kg_m3(t_c, T::from(PRESSURE_PA));
        let poise = viscosity::dynamic_pa_s(t_c, density) * 10.0;
        let eps_t = dielectric::constant(t_c, density) * (t_c + CELSIUS_ZERO_K);
        let root = eps_t.sqrt();
        let limit = limiting_conductivity(t_c);
        let a = (poise * root).recip() * 82.501;
        let b = (eps_t * root).recip() * 8.2053e5;
        Self {
            molar_per_ppm: density * (1e-9 / NACL_KG_MOL),
            limit,
            slope: a + b * limit,
            water_us_cm: pure_conductivity::us_cm(t_c, density),
        }
    }

    fn us_cm(&self, ppm: T) -> T {
        if ppm.re() <= 0.0 {
            return self.water_us_cm;
        }
        let molar = ppm * self.molar_per_ppm;
        molar * (self.limit - self.slope * molar.sqrt()) * 1e3 + self.water_us_cm
    }

    fn ppm(&self, us_cm: T) -> T {
        let salt = (us_cm - self.water_us_cm) * 1e-3;
        if salt.re() <= 0.0 {
            return T::from(0.0);
        }
        // Newton on √c, from the limiting conductivity: the correction is a few per cent, so six steps are
        // more than rounding asks for.
        let mut root = (salt / self.limit).sqrt();
        for _ in 0..6 {
            let excess = root * root * (self.limit - self.slope * root) - salt;
            root -= excess / (root * (self.limit * 2.0 - self.slope * root * 3.0));
        }
        root * root / self.molar_per_ppm
    }
}

/// Λ0 of NaCl, S cm²/mol: the cubic through the handbook's Na⁺ and Cl⁻ at 25, 35, 45 and 55 °C
/// (126.45, 153.75, 182.65, 213.28).
fn limiting_conductivity<T: Number>(t_c: T) -> T {
    let u = (t_c - 25.0) * 0.1;
    let (u1, u2) = (u - 1.0, u - 2.0);
    u * (u1 * (u2 * (0.13 / 6.0) + 0.80) + 27.30) + 126.45
}

/// Conductivity, µS/cm, at `t_c` °C of distillate with `ppm` mg/kg of NaCl.
pub fn conductivity_us_cm<T: Number>(ppm: T, t_c: T) -> T {
    Law::at(t_c).us_cm(ppm)
}

/// Salt, mg/kg as NaCl, of distillate with conductivity `us_cm` µS/cm measured at `t_c` °C, uncompensated.
/// Zero where the water alone conducts as much.
pub fn ppm<T: Number>(us_cm: T, t_c: T) -> T {
    Law::at(t_c).ppm(us_cm)
}

/// The conductivity at 25 °C, µS/cm, of distillate that shows `us_cm` at `t_c` °C.
pub fn compensated_us_cm<T: Number>(us_cm: T, t_c: T) -> T {
    conductivity_us_cm(ppm(us_cm, t_c), T::from(REFERENCE_C))
}

/// The conductivity at `t_c` °C, µS/cm, of distillate that a compensating salinometer shows as
/// `us_cm_25` at 25 °C.
pub fn uncompensated_us_cm<T: Number>(us_cm_25: T, t_c: T) -> T {
    conductivity_us_cm(ppm(us_cm_25, T::from(REFERENCE_C)), t_c)
}

/// How fast the conductivity rises with temperature, per cent of the 25 °C value a K, between 25 °C and
/// `t_c` (not 25 itself), for `ppm` mg/kg of NaCl.
pub fn compensation_percent_per_k<T: Number>(ppm: T, t_c: T) -> T {
    let reference = conductivity_us_cm(ppm, T::from(REFERENCE_C));
    (conductivity_us_cm(ppm, t_c) / reference - 1.0) / (t_c - REFERENCE_C) * 100.0
}
