//! A direction over the ground, degrees true.

use std::fmt;

/// A course: degrees true, 0 up to but not 360, clockwise from north.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course(f64);

impl Course {
    /// From any finite number of degrees clockwise from true north; whole turns are taken off.
    ///
    /// `None` for a number that is not finite.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        degrees.is_finite().then(|| Self::wrapped(degrees))
    }

    /// As [`Course::from_degrees`], for degrees known to be finite.
    pub(crate) fn wrapped(degrees: f64) -> Self {
        // Adding a turn to a tiny negative angle may round to a whole turn.
        let turned = degrees.rem_euclid(360.0);
        Self(if turned < 360.0 { turned } else { 0.0 })
    }

    /// Degrees true, 0 up to but not 360.
    #[must_use]
    pub const fn degrees(self) -> f64 {
        self.0
    }
}

/// Three figures and the degree sign: `045°`, with a precision `045.2°`.
impl fmt::Display for Course {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = f.precision().unwrap_or(0);
        let text = format!("{:.decimals$}", self.0);
        let text = if text.starts_with("360") { format!("{:.decimals$}", 0.0) } else { text };
        let width = if decimals == 0 { 3 } else { 4 + decimals };
        write!(f, "{text:0>width$}°")
    }
}
