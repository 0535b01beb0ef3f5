//! Numbers as the log writes them: the shortest decimal text that reads back to the same number.

/// The shortest plain decimal (no exponent) that parses back to exactly `value`; `None` if not finite.
///
/// Zero has no sign.
///
/// ```
/// assert_eq!(quantity::decimal(358.15).as_deref(), Some("358.15"));
/// assert_eq!(quantity::decimal(1e-7).as_deref(), Some("0.0000001"));
/// assert_eq!(quantity::decimal(-0.0).as_deref(), Some("0"));
/// assert_eq!(quantity::decimal(f64::NAN), None);
/// ```
#[must_use]
pub fn decimal(value: f64) -> Option<String> {
    // Adding zero turns −0 into 0.
    value.is_finite().then(|| format!("{}", value + 0.0))
}
