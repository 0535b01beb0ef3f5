//! Temperature and temperature difference: 10 °C is 283.15 K, a rise of 10 °C is 10 K.

use crate::newtype::newtype;
use std::ops::{Add, Sub};

const CELSIUS_ZERO_K: f64 = 273.15;

newtype! {
    /// An absolute temperature (ITS-90), held in K.
    ///
    /// Two temperatures cannot be added, and a difference is not a temperature:
    ///
    /// ```compile_fail
    /// use quantity::Temperature;
    /// let nonsense = Temperature::from_celsius(40.0) + Temperature::from_celsius(40.0);
    /// ```
    /// ```compile_fail
    /// use quantity::{Temperature, TemperatureDifference};
    /// let sea: Temperature = TemperatureDifference::from_kelvin(10.0);
    /// ```
    /// ```
    /// use quantity::{Temperature, TemperatureDifference};
    /// let rise = Temperature::from_celsius(41.5) - Temperature::from_celsius(32.0);
    /// assert_eq!(rise, TemperatureDifference::from_kelvin(9.5));
    /// ```
    Temperature {
        /// In K.
        from_kelvin / kelvin = 1.0,
    }
}

impl Temperature {
    /// From °C.
    #[must_use]
    pub const fn from_celsius(value: f64) -> Self {
        Self(value + CELSIUS_ZERO_K)
    }

    /// In °C.
    #[must_use]
    pub const fn celsius(self) -> f64 {
        self.0 - CELSIUS_ZERO_K
    }
}

newtype! {
    /// A difference of two temperatures, K.
    ///
    /// ```compile_fail
    /// use quantity::TemperatureDifference;
    /// let no_such_thing = TemperatureDifference::from_kelvin(10.0).celsius();
    /// ```
    TemperatureDifference {
        /// In K (the same number in °C of difference).
        from_kelvin / kelvin = 1.0,
    }
}

newtype!(additive TemperatureDifference);

impl Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}

impl Add<TemperatureDifference> for Temperature {
    type Output = Self;
    fn add(self, rise: TemperatureDifference) -> Self {
        Self(self.0 + rise.0)
    }
}

impl Sub<TemperatureDifference> for Temperature {
    type Output = Self;
    fn sub(self, drop: TemperatureDifference) -> Self {
        Self(self.0 - drop.0)
    }
}
