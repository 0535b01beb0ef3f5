//! A distance over the sea: metres inside, nautical miles as spoken.

use std::ops::{Add, Div, Mul, Sub};

/// Metres in a nautical mile: exact (First International Extraordinary Hydrographic Conference, Monaco 1929).
const M_PER_NMI: f64 = 1852.0;

/// A distance over the sea.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Distance(f64);

impl Distance {
    /// No distance at all.
    pub const ZERO: Self = Self(0.0);

    /// From metres.
    #[must_use]
    pub const fn from_m(m: f64) -> Self {
        Self(m)
    }

    /// From international nautical miles of 1852 m.
    #[must_use]
    pub const fn from_nmi(nmi: f64) -> Self {
        Self(nmi * M_PER_NMI)
    }

    /// In metres.
    #[must_use]
    pub const fn m(self) -> f64 {
        self.0
    }

    /// In international nautical miles of 1852 m.
    #[must_use]
    pub const fn nmi(self) -> f64 {
        self.0 / M_PER_NMI
    }
}

impl Add for Distance {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Distance {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<f64> for Distance {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div for Distance {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

impl std::iter::Sum for Distance {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        Self(items.map(|item| item.0).sum())
    }
}
