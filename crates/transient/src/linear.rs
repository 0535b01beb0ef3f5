//! Linear equations of a step: one square matrix split once and used many times, its zeros passed over.

/// A matrix split into two triangles with row exchange.
#[derive(Debug, Clone)]
pub(crate) struct Split<const N: usize> {
    /// Both triangles, column by column, so that a solution runs along memory.
    columns: [[f64; N]; N],
    order: [usize; N],
    /// In each column the first row of the upper triangle that is not nought, and the one past the last of the lower.
    span: [(usize, usize); N],
}

impl<const N: usize> Split<N> {
    /// Splits a matrix; none when it is singular.
    pub(crate) fn new(mut rows: [[f64; N]; N]) -> Option<Self> {
        let mut order: [usize; N] = std::array::from_fn(|i| i);
        for col in 0..N {
            let mut pivot = col;
            for row in col + 1..N {
                if rows[row][col].abs() > rows[pivot][col].abs() {
                    pivot = row;
                }
            }
            if pivot != col {
                rows.swap(pivot, col);
                order.swap(pivot, col);
            }
            let above = rows[col];
            let lead = above[col];
            if lead == 0.0 || !lead.is_finite() {
                return None;
            }
            for row in &mut rows[col + 1..] {
                if row[col] == 0.0 {
                    continue;
                }
                let factor = row[col] / lead;
                row[col] = factor;
                for (x, a) in row[col + 1..].iter_mut().zip(&above[col + 1..]) {
                    *x -= factor * a;
                }
            }
        }
        let columns: [[f64; N]; N] = std::array::from_fn(|j| std::array::from_fn(|i| rows[i][j]));
        let span = std::array::from_fn(|j| {
            let first = columns[j][..j].iter().position(|x| *x != 0.0).unwrap_or(j);
            let last =
                columns[j][j + 1..].iter().rposition(|x| *x != 0.0).map_or(j + 1, |k| j + 2 + k);
            (first, last)
        });
        Some(Split { columns, order, span })
    }

    /// Solves for one right side.
    pub(crate) fn solve(&self, b: &[f64; N]) -> [f64; N] {
        let mut x: [f64; N] = std::array::from_fn(|i| b[self.order[i]]);
        for (j, (column, (_, last))) in self.columns.iter().zip(self.span).enumerate() {
            let known = x[j];
            for (x, a) in x[j + 1..last].iter_mut().zip(&column[j + 1..last]) {
                *x -= a * known;
            }
        }
        for (j, (column, (first, _))) in self.columns.iter().zip(self.span).enumerate().rev() {
            let known = x[j] / column[j];
            x[j] = known;
            for (x, a) in x[first..j].iter_mut().zip(&column[first..j]) {
                *x -= a * known;
            }
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_solution_gives_its_right_side_back() {
        let a = [[0.0, 2.0, 1.0], [1.0, -1.0, 0.0], [3.0, 0.0, 4.0]];
        let b = [3.0, -1.0, 2.0];
        let Some(split) = Split::new(a) else { unreachable!("it is regular") };
        let x = split.solve(&b);
        for (row, b) in a.iter().zip(b) {
            let got: f64 = row.iter().zip(x).map(|(a, x)| a * x).sum();
            assert!((got - b).abs() < 1e-14);
        }
        assert!(Split::new([[1.0, 2.0], [2.0, 4.0]]).is_none());
    }
}
