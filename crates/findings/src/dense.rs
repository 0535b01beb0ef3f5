//! Small dense algebra: symmetric positive matrices of a few dozen unknowns, by rows.

/// A lower triangular factor L of a symmetric positive definite matrix L Lᵀ.
#[derive(Debug, Clone)]
pub(crate) struct Factor {
    n: usize,
    l: Vec<f64>,
}

impl Factor {
    /// Factors an n × n matrix given by rows (Cholesky); only its lower part is read. `None` when it is not positive definite.
    pub(crate) fn of(n: usize, mut a: Vec<f64>) -> Option<Self> {
        for j in 0..n {
            let (above, rest) = a.split_at_mut(j * n);
            let row_j = &mut rest[..n];
            for k in 0..j {
                let row_k = &above[k * n..k * n + n];
                let sum: f64 = (0..k).map(|i| row_j[i] * row_k[i]).sum();
                row_j[k] = (row_j[k] - sum) / row_k[k];
            }
            let sum: f64 = row_j[..j].iter().map(|x| x * x).sum();
            let pivot = row_j[j] - sum;
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            row_j[j] = pivot.sqrt();
        }
        Some(Factor { n, l: a })
    }

    /// L⁻¹ b.
    pub(crate) fn forward(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = b.to_vec();
        for i in 0..n {
            let row = &self.l[i * n..i * n + i];
            let sum: f64 = row.iter().zip(&x).map(|(l, x)| l * x).sum();
            x[i] = (x[i] - sum) / self.l[i * n + i];
        }
        x
    }

    /// L⁻¹ A in place, for a matrix of `columns` columns by rows.
    pub(crate) fn forward_rows(&self, a: &mut [f64], columns: usize) {
        for i in 0..self.n {
            let (above, rest) = a.split_at_mut(i * columns);
            let row = &mut rest[..columns];
            for (k, other) in above.chunks_exact(columns).enumerate() {
                let factor = self.l[i * self.n + k];
                if factor != 0.0 {
                    for (x, y) in row.iter_mut().zip(other) {
                        *x -= factor * y;
                    }
                }
            }
            let inverse = self.l[i * self.n + i].recip();
            for x in row {
                *x *= inverse;
            }
        }
    }

    /// (L Lᵀ)⁻¹ b.
    pub(crate) fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = self.forward(b);
        for i in (0..n).rev() {
            x[i] /= self.l[i * n + i];
            let xi = x[i];
            for (x, l) in x[..i].iter_mut().zip(&self.l[i * n..i * n + i]) {
                *x -= l * xi;
            }
        }
        x
    }

    /// ln det of the matrix.
    pub(crate) fn ln_det(&self) -> f64 {
        2.0 * (0..self.n).map(|i| self.l[i * self.n + i].ln()).sum::<f64>()
    }
}

/// Σ aᵢ bᵢ.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// A x for a square matrix by rows.
pub(crate) fn times(a: &[f64], x: &[f64]) -> Vec<f64> {
    a.chunks_exact(x.len()).map(|row| dot(row, x)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_factor_solves_and_knows_the_determinant() {
        // 4 2 0 / 2 5 1 / 0 1 3: determinant 44.
        let a = vec![4.0, 2.0, 0.0, 2.0, 5.0, 1.0, 0.0, 1.0, 3.0];
        let factor = Factor::of(3, a.clone()).unwrap();
        assert!((factor.ln_det() - 44.0_f64.ln()).abs() < 1e-12);
        let x = factor.solve(&[1.0, -2.0, 3.0]);
        for (got, wanted) in times(&a, &x).iter().zip([1.0, -2.0, 3.0]) {
            assert!((got - wanted).abs() < 1e-12);
        }
        let z = factor.forward(&[1.0, -2.0, 3.0]);
        assert!((dot(&z, &z) - dot(&[1.0, -2.0, 3.0], &x)).abs() < 1e-12);
        let mut rows = vec![1.0, 0.5, -2.0, 0.0, 3.0, 1.0];
        factor.forward_rows(&mut rows, 2);
        for (i, z) in z.iter().enumerate() {
            assert!((rows[2 * i] - z).abs() < 1e-12);
        }
        assert!(Factor::of(2, vec![1.0, 2.0, 2.0, 1.0]).is_none());
    }
}
