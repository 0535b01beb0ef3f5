//! Numbers as the pictures print them: real minus signs, no minus zero, ticks at 1, 2 or 5.

/// The largest magnitude a picture will draw; anything beyond is treated as no reading.
pub(crate) const LARGEST: f64 = 1e12;

/// Whether a value can be drawn at all.
pub(crate) fn usable(value: f64) -> bool {
    value.is_finite() && value.abs() < LARGEST
}

/// `value` when it can be drawn.
pub(crate) fn some_usable(value: Option<f64>) -> Option<f64> {
    value.filter(|v| usable(*v))
}

/// A number with `decimals` places and a real minus sign; "no reading" when it is not a number.
#[must_use]
pub fn number(value: f64, decimals: u8) -> String {
    if !value.is_finite() {
        return String::from("no reading");
    }
    let text = format!("{value:.*}", usize::from(decimals.min(9)));
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| c == '0' || c == '.') => String::from(digits),
        Some(digits) => format!("\u{2212}{digits}"),
        None => text,
    }
}

/// A value with its unit after a no-break space.
pub(crate) fn with_unit(value: f64, decimals: u8, unit: &str) -> String {
    let figure = number(value, decimals);
    if unit.is_empty() || !value.is_finite() { figure } else { format!("{figure}\u{a0}{unit}") }
}

/// Evenly spaced axis values with steps of 1, 2 or 5 times a power of ten.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// The values, rising, all within the range asked for.
    pub values: Vec<f64>,
    /// The distance between them.
    pub step: f64,
    /// The decimals their labels need.
    pub decimals: u8,
}

/// Axis values between `low` and `high`, at most `most` of them.
///
/// An empty, reversed or non-finite range gives no ticks.
#[must_use]
pub fn nice_ticks(low: f64, high: f64, most: usize) -> Ticks {
    let none = Ticks { values: Vec::new(), step: 1.0, decimals: 0 };
    let span = high - low;
    if !(usable(low) && usable(high) && span > 0.0) || most == 0 {
        return none;
    }
    let raw = span / most as f64;
    let power = 10f64.powf(raw.log10().floor());
    let fitting = [1.0, 2.0, 5.0, 10.0, 20.0].into_iter().map(|m| m * power).find_map(|step| {
        // A hair of slack keeps a range end that is itself a tick.
        let first = (low / step - 1e-9).ceil();
        let last = (high / step + 1e-9).floor();
        let count = last - first + 1.0;
        (count <= most as f64).then_some((step, first, last))
    });
    let Some((step, first, last)) = fitting else { return none };
    if !(step > 0.0 && first.abs() < 1e15 && last.abs() < 1e15) {
        return none;
    }
    let decimals = (-(step.log10() + 1e-9).floor()).clamp(0.0, 9.0) as u8;
    let values = (first as i64..=last as i64).map(|k| (k as f64 * step).clamp(low, high)).collect();
    Ticks { values, step, decimals }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn minus_is_a_minus_and_zero_has_none() {
        assert_eq!(number(-3.25, 1), "\u{2212}3.2");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(number(f64::NAN, 1), "no reading");
    }

    #[test]
    fn steps_are_one_two_five() {
        assert_eq!(nice_ticks(0.0, 25.0, 6).values, [0.0, 5.0, 10.0, 15.0, 20.0, 25.0]);
        assert_eq!(nice_ticks(88.3, 92.9, 5).values, [89.0, 90.0, 91.0, 92.0]);
        let fine = nice_ticks(0.11, 0.19, 5);
        assert_eq!((fine.values.len(), fine.decimals), (4, 2));
        assert!(nice_ticks(3.0, 3.0, 5).values.is_empty());
        assert!(nice_ticks(f64::NAN, 3.0, 5).values.is_empty());
    }

    proptest! {
        #[test]
        fn ticks_stay_in_range_and_in_number(low in -1e9f64..1e9, span in 1e-6f64..1e9, most in 1usize..12) {
            let ticks = nice_ticks(low, low + span, most);
            prop_assert!(ticks.values.len() <= most);
            prop_assert!(ticks.values.iter().all(|v| *v >= low && *v <= low + span));
            prop_assert!(ticks.values.windows(2).all(|w| w[1] > w[0]));
        }

        #[test]
        fn any_number_is_printed(bits in any::<u64>(), decimals in 0u8..20) {
            let text = number(f64::from_bits(bits), decimals);
            prop_assert!(!text.is_empty() && !text.contains('-'));
        }
    }
}
