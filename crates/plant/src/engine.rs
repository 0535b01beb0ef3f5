//! The engine's jacket heat by load: its table, interpolated without overshoot.

use water::number::Number;

/// Jacket heat by engine load, monotone between rows, held at the ends.
#[derive(Debug, Clone, PartialEq)]
pub struct JacketHeat {
    rows: Vec<[f64; 2]>,
    slopes: Vec<f64>,
}

impl JacketHeat {
    /// Fits the table (rows of [load %, kW], load rising, two rows at least) by piecewise cubics that do not overshoot:
    /// slopes of Fritsch and Butland (1984), ends by the three-point formula of Fritsch and Carlson (1980).
    pub(crate) fn new(rows: &[[f64; 2]]) -> Self {
        let widths: Vec<f64> = rows.windows(2).map(|w| w[1][0] - w[0][0]).collect();
        let rises: Vec<f64> =
            rows.windows(2).zip(&widths).map(|(w, h)| (w[1][1] - w[0][1]) / h).collect();
        let mut slopes = Vec::with_capacity(rows.len());
        if let ([h0, h1, ..], [d0, d1, ..]) = (widths.as_slice(), rises.as_slice()) {
            slopes.push(end_slope(*h0, *h1, *d0, *d1));
            for k in 1..widths.len() {
                slopes.push(inner_slope(widths[k - 1], widths[k], rises[k - 1], rises[k]));
            }
            let n = widths.len();
            slopes.push(end_slope(widths[n - 1], widths[n - 2], rises[n - 1], rises[n - 2]));
        } else {
            let only = rises.first().copied().unwrap_or(0.0);
            slopes.resize(rows.len(), only);
        }
        JacketHeat { rows: rows.to_vec(), slopes }
    }

    /// Jacket heat, kW, at an engine load in percent; held at the first and last row.
    #[must_use]
    pub fn at_kw(&self, load_percent: f64) -> f64 {
        self.at(load_percent)
    }

    /// [`JacketHeat::at_kw`] over plain or dual numbers.
    pub(crate) fn at<T: Number>(&self, load: T) -> T {
        let (Some(first), Some(last)) = (self.rows.first(), self.rows.last()) else {
            return T::from(0.0);
        };
        if load.re() <= first[0] {
            return T::from(first[1]);
        }
        if load.re() >= last[0] {
            return T::from(last[1]);
        }
        let k = self.rows.partition_point(|row| row[0] <= load.re()) - 1;
        let ([x0, y0], [x1, y1]) = (self.rows[k], self.rows[k + 1]);
        let h = x1 - x0;
        let t = (load - x0) / h;
        let left = -t + 1.0;
        let (near, far) = (left * left, t * t);
        (t * 2.0 + 1.0) * near * y0 + t * near * (h * self.slopes[k]) + (-t * 2.0 + 3.0) * far * y1
            - left * far * (h * self.slopes[k + 1])
    }
}

/// Weighted harmonic mean of the rises on both sides; none where they part.
fn inner_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    if d0 * d1 <= 0.0 {
        return 0.0;
    }
    let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w0 + w1) / (w0 / d0 + w1 / d1)
}

/// Three-point slope at an end, kept to the shape of the first interval.
fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 < 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}
