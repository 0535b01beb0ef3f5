//! The typed layer: quantities in, quantities out, refused where no source speaks and flagged where one ends.

use crate::range::{Bound, Flagged, PropertyError, within};
use crate::{TRIPLE_POINT_PA, distillate, saturation};
use quantity::{Conductivity, GaugePressure, MassFraction, Pressure, Salinity, Temperature};

const IF97: &str = "IAPWS R7-97(2012)";
const SLZ10: &str = "Sharqawy et al. 2010";

const TEMPERATURE: Bound =
    Bound { quantity: "temperature", unit: "°C", range: (0.0, 180.0), source: SLZ10 };
const SALINITY: Bound =
    Bound { quantity: "salinity", unit: "g/kg", range: (0.0, 200.0), source: SLZ10 };
const PRESSURE: Bound =
    Bound { quantity: "pressure", unit: "Pa abs", range: (TRIPLE_POINT_PA, 2e6), source: IF97 };

/// A state of sea water (or fresh water, at salinity 0) that the sources can speak about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    t_c: f64,
    s_g_kg: f64,
    p_pa: f64,
}

/// Checks a state: 0-180 °C, 0-200 g/kg, 611.657 Pa to 2 MPa.
///
/// # Errors
/// [`PropertyError`] names the quantity, its value, the range and whose range it is.
///
/// ```
/// use quantity::{Pressure, Salinity, Temperature};
/// let brine = water::state(
///     Temperature::from_celsius(46.0),
///     Salinity::from_g_kg(50.0),
///     Pressure::from_kpa(10.1),
/// )?;
/// let density = brine.find("seawater_density").unwrap();
/// assert!(density.in_range && (density.value - 1027.0).abs() < 0.1);
/// # Ok::<(), water::PropertyError>(())
/// ```
pub fn state(
    temperature: Temperature,
    salinity: Salinity,
    pressure: Pressure,
) -> Result<State, PropertyError> {
    Ok(State {
        t_c: TEMPERATURE.check(temperature.celsius())?,
        s_g_kg: SALINITY.check(salinity.g_kg())?,
        p_pa: PRESSURE.check(pressure.pa())?,
    })
}

impl State {
    /// Temperature.
    #[must_use]
    pub const fn temperature(&self) -> Temperature {
        Temperature::from_celsius(self.t_c)
    }

    /// Salinity.
    #[must_use]
    pub const fn salinity(&self) -> Salinity {
        Salinity::from_g_kg(self.s_g_kg)
    }

    /// Absolute pressure.
    #[must_use]
    pub const fn pressure(&self) -> Pressure {
        Pressure::from_pa(self.p_pa)
    }

    pub(crate) const fn t_c(&self) -> f64 {
        self.t_c
    }

    pub(crate) const fn s_g_kg(&self) -> f64 {
        self.s_g_kg
    }

    pub(crate) const fn p_pa(&self) -> f64 {
        self.p_pa
    }
}

/// Saturation pressure of fresh water, 0-373.946 °C.
///
/// # Errors
/// [`PropertyError`] outside that range.
pub fn saturation_pressure(temperature: Temperature) -> Result<Pressure, PropertyError> {
    const BOUND: Bound =
        Bound { quantity: "temperature", unit: "°C", range: (0.0, 373.946), source: IF97 };
    Ok(Pressure::from_pa(saturation::pressure_pa(BOUND.check(temperature.celsius())?)))
}

/// Saturation temperature of fresh water, 611.657 Pa to 22.064 MPa.
///
/// # Errors
/// [`PropertyError`] outside that range.
pub fn saturation_temperature(pressure: Pressure) -> Result<Temperature, PropertyError> {
    const BOUND: Bound = Bound {
        quantity: "pressure",
        unit: "Pa abs",
        range: (TRIPLE_POINT_PA, 22.064e6),
        source: IF97,
    };
    Ok(Temperature::from_celsius(saturation::temperature_c(BOUND.check(pressure.pa())?)))
}

/// Practical salinity from conductivity, temperature and sea pressure (0 at the surface), PSS-78; flagged
/// outside 2-42 and outside −2 to 35 °C.
///
/// # Errors
/// [`PropertyError`] outside 0.1-200 mS/cm, −5 to 60 °C, 0-1000 bar.
pub fn practical_salinity(
    conductivity: Conductivity,
    temperature: Temperature,
    sea_pressure: GaugePressure,
) -> Result<Flagged<f64>, PropertyError> {
    const SOURCE: &str = "PSS-78";
    let bound = |quantity, unit, range| Bound { quantity, unit, range, source: SOURCE };
    let c = bound("conductivity", "mS/cm", (0.1, 200.0)).check(conductivity.ms_cm())?;
    let t = bound("temperature", "°C", (-5.0, 60.0)).check(temperature.celsius())?;
    let p = bound("sea pressure", "bar", (0.0, 1000.0)).check(sea_pressure.bar())?;
    let value = crate::practical_salinity::from_conductivity(c, t, p * 10.0);
    let in_range = crate::practical_salinity::in_range(value) && within((-2.0, 35.0), t);
    Ok(Flagged { value, in_range })
}

const SALT: Bound =
    Bound { quantity: "salt", unit: "mg/kg", range: (0.0, 1000.0), source: distillate::SOURCE };
const DISTILLATE_TEMPERATURE: Bound = Bound {
    quantity: "distillate temperature",
    unit: "°C",
    range: (0.0, 80.0),
    source: distillate::SOURCE,
};
const CONDUCTIVITY: Bound = Bound {
    quantity: "conductivity",
    unit: "µS/cm",
    range: (0.0, 2500.0),
    source: distillate::SOURCE,
};

/// Conductivity of distillate, salt counted as NaCl; flagged outside 0-200 mg/kg and 25-55 °C.
///
/// # Errors
/// [`PropertyError`] outside 0-1000 mg/kg, 0-80 °C.
pub fn distillate_conductivity(
    salt: MassFraction,
    temperature: Temperature,
) -> Result<Flagged<Conductivity>, PropertyError> {
    let ppm = SALT.check(salt.mg_kg())?;
    let t = DISTILLATE_TEMPERATURE.check(temperature.celsius())?;
    let value = Conductivity::from_us_cm(distillate::conductivity_us_cm(ppm, t));
    Ok(Flagged { value, in_range: distillate::in_range(ppm, t) })
}

/// Salt of distillate, as NaCl, from its conductivity as measured at its temperature (not compensated);
/// flagged outside 0-200 mg/kg and 25-55 °C.
///
/// # Errors
/// [`PropertyError`] outside 0-2500 µS/cm, 0-80 °C.
pub fn distillate_salt(
    conductivity: Conductivity,
    temperature: Temperature,
) -> Result<Flagged<MassFraction>, PropertyError> {
    let us_cm = CONDUCTIVITY.check(conductivity.us_cm())?;
    let t = DISTILLATE_TEMPERATURE.check(temperature.celsius())?;
    let ppm = distillate::ppm(us_cm, t);
    Ok(Flagged { value: MassFraction::from_mg_kg(ppm), in_range: distillate::in_range(ppm, t) })
}
