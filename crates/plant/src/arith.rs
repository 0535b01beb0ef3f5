//! Small arithmetic over plain and dual numbers: bounds that keep derivatives, inner roots, a few linear equations.

use num_dual::Dual64;
use water::number::Number;

/// The smaller of the two, with its derivative.
#[inline]
pub(crate) fn at_most<T: Number>(x: T, cap: T) -> T {
    if x.re() > cap.re() { cap } else { x }
}

/// The larger of the two, with its derivative.
#[inline]
pub(crate) fn at_least<T: Number>(x: T, floor: T) -> T {
    if x.re() < floor.re() { floor } else { x }
}

/// A plain function's value and slope at `x`.
#[inline]
pub(crate) fn slope(x: f64, f: impl Fn(Dual64) -> Dual64) -> (f64, f64) {
    let y = f(Dual64::new(x, 1.0));
    (y.re, y.eps)
}

/// Newton's method on plain numbers, held within `[low, high]`; `f` gives value and slope.
///
/// Stops when a step is under `step_tol`; returns the root and the slope there. The caller sees to it that the
/// function is monotone and the root is inside.
#[inline]
pub(crate) fn newton(
    start: f64,
    low: f64,
    high: f64,
    step_tol: f64,
    f: impl Fn(f64) -> (f64, f64),
) -> (f64, f64) {
    let mut x = start.clamp(low, high);
    let mut slope = 1.0;
    for _ in 0..40 {
        let (y, dy) = f(x);
        slope = dy;
        let next = (x - y / dy).clamp(low, high);
        let step = next - x;
        x = next;
        if step.abs() <= step_tol {
            break;
        }
    }
    (x, slope)
}

/// One more Newton step in the caller's arithmetic from a plain root: squares the error that is left and, for a dual number,
/// carries the derivative of the root (implicit function theorem).
#[inline]
pub(crate) fn refine<T: Number>(root: f64, slope: f64, f: impl Fn(T) -> T) -> T {
    let x = T::from(root);
    x - f(x) / slope
}

/// Solves x = `next`(x) in the caller's arithmetic by repeated substitution from `start`, for a `next` that hardly depends on x:
/// each pass leaves a thousandth of the error, so that a few passes settle value and derivative.
///
/// `next` also gives what was worked out on the way; the last of it is returned with the root.
#[inline]
pub(crate) fn settle<T: Number, R>(start: T, next: impl Fn(T) -> (T, R)) -> (T, R) {
    /// A step under which nothing is left but rounding, relative to the thousandth that remains of it.
    const SMALL: f64 = 1.0e-9;
    // The derivative starts from nothing and needs its own passes.
    let least = if T::NDERIV > 0 { 5 } else { 1 };
    let (mut x, mut with) = next(start);
    let mut moved = x.re() - start.re();
    let mut passes = 1;
    while (moved.abs() > SMALL && passes < 30) || passes < least {
        let (on, again) = next(x);
        moved = on.re() - x.re();
        (x, with) = (on, again);
        passes += 1;
    }
    (x, with)
}

/// Solves the first `n` of `N` linear equations by elimination with row exchange; `None` when they are singular.
///
/// Rows are worked on whole: their length is known when this is compiled, and what lies past `n` is not read.
#[inline]
pub(crate) fn eliminate<const N: usize>(
    n: usize,
    mut a: [[f64; N]; N],
    mut b: [f64; N],
) -> Option<[f64; N]> {
    for col in 0..n {
        let mut pivot = col;
        for row in col + 1..n {
            if a[row][col].abs() > a[pivot][col].abs() {
                pivot = row;
            }
        }
        if a[pivot][col].abs() < f64::MIN_POSITIVE || !a[pivot][col].is_finite() {
            return None;
        }
        a.swap(col, pivot);
        b.swap(col, pivot);
        let (above, of_above) = (a[col], b[col]);
        for row in col + 1..n {
            let factor = a[row][col] / above[col];
            for (below, above) in a[row].iter_mut().zip(above) {
                *below -= factor * above;
            }
            b[row] -= factor * of_above;
        }
    }
    for row in (0..n).rev() {
        for j in row + 1..n {
            b[row] -= a[row][j] * b[j];
        }
        b[row] /= a[row][row];
    }
    Some(b)
}
