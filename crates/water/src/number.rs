//! The number type every law is written over: plain `f64`, or a dual number that carries exact derivatives.

pub use num_dual::DualNum;

/// `f64` or a dual number over `f64`: one formula gives both the value and its exact derivative.
///
/// Implemented for everything that qualifies; nothing implements it by hand.
pub trait Number: DualNum<Primitive = f64> + Copy {}

impl<T: DualNum<Primitive = f64> + Copy> Number for T {}

/// Σ c\[k\] x^k by Horner's rule.
#[inline(always)]
pub(crate) fn polynomial<T: Number, const N: usize>(x: T, c: &[f64; N]) -> T {
    let mut sum = T::from(c[N - 1]);
    for k in (0..N - 1).rev() {
        sum = sum * x + c[k];
    }
    sum
}

/// The terms n·f(I, J) of a table of (I, J, n): the coefficients of one derivative of Σ n x^I y^J.
///
/// The power in front (x⁻¹ for the x-derivative and so on) is left to the caller.
pub(crate) const fn derivative_table<const N: usize>(
    terms: &[(i32, i32, f64); N],
    by_x: u32,
    by_y: u32,
) -> [f64; N] {
    let mut table = [0.0; N];
    let mut k = 0;
    while k < N {
        let (i, j, n) = terms[k];
        table[k] = n * falling(i, by_x) * falling(j, by_y);
        k += 1;
    }
    table
}

/// i (i − 1) … with `count` factors.
const fn falling(i: i32, count: u32) -> f64 {
    let mut product = 1;
    let mut k = 0;
    while k < count as i32 {
        product *= i - k;
        k += 1;
    }
    product as f64
}
