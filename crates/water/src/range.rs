//! Where a law holds: published ranges, values flagged outside them, and refusal where nothing holds.

use std::fmt;

/// A value with the word whether its source covers the state it was asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flagged<T> {
    /// The value.
    pub value: T,
    /// Whether the source covers the state; if not, the value is an extrapolation, used with that doubt.
    pub in_range: bool,
}

/// The states a source covers, ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Temperature, °C.
    pub temperature_c: (f64, f64),
    /// Salinity, g/kg.
    pub salinity_g_kg: (f64, f64),
}

impl Range {
    pub(crate) const fn new(temperature_c: (f64, f64), salinity_g_kg: (f64, f64)) -> Self {
        Self { temperature_c, salinity_g_kg }
    }

    /// Whether the state lies within.
    #[must_use]
    pub fn holds(&self, t_c: f64, s_g_kg: f64) -> bool {
        within(self.temperature_c, t_c) && within(self.salinity_g_kg, s_g_kg)
    }
}

pub(crate) fn within((lowest, highest): (f64, f64), value: f64) -> bool {
    (lowest..=highest).contains(&value)
}

/// Why a property cannot be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PropertyError {
    /// Beyond the state where any of the sources means something.
    OutOfRange {
        /// What was out of range.
        quantity: &'static str,
        /// Its value.
        value: f64,
        /// Lowest value taken.
        lowest: f64,
        /// Highest value taken.
        highest: f64,
        /// Unit of the three figures.
        unit: &'static str,
        /// The source that sets the range.
        source: &'static str,
    },
    /// Not a finite number.
    NotFinite {
        /// What it was.
        quantity: &'static str,
    },
}

impl fmt::Display for PropertyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { quantity, value, lowest, highest, unit, source } => write!(
                f,
                "{quantity} of {value} {unit} is outside {lowest} to {highest} {unit} ({source}): \
                 check the value and its unit"
            ),
            Self::NotFinite { quantity } => {
                write!(f, "{quantity} is not a finite number: give a figure")
            }
        }
    }
}

impl std::error::Error for PropertyError {}

/// One bound to check: what, in which unit, between which figures, and whose range it is.
pub(crate) struct Bound {
    pub quantity: &'static str,
    pub unit: &'static str,
    pub range: (f64, f64),
    pub source: &'static str,
}

impl Bound {
    pub(crate) fn check(&self, value: f64) -> Result<f64, PropertyError> {
        let Bound { quantity, unit, range: (lowest, highest), source } = *self;
        if !value.is_finite() {
            return Err(PropertyError::NotFinite { quantity });
        }
        // Forgives the rounding of a unit conversion at the ends.
        let slack = 1e-12 * (highest.abs() + 300.0);
        if within((lowest - slack, highest + slack), value) {
            Ok(value.clamp(lowest, highest))
        } else {
            Err(PropertyError::OutOfRange { quantity, value, lowest, highest, unit, source })
        }
    }
}
