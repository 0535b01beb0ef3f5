//! A number that carries many derivatives at once: one pass through the equations gives every slope.

use std::fmt;
use std::iter::{Product, Sum};
use std::ops::{
    Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Rem, RemAssign, Sub, SubAssign,
};

use num_dual::{DualNum, DualStruct, Mappable};
use num_traits::{FromPrimitive, Inv, Num, One, Signed, Zero};

/// A value with its derivatives in `N` directions.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lanes<const N: usize> {
    pub(crate) re: f64,
    pub(crate) eps: [f64; N],
}

impl<const N: usize> Lanes<N> {
    /// A constant.
    #[inline]
    pub(crate) fn constant(re: f64) -> Self {
        Lanes { re, eps: [0.0; N] }
    }

    /// A value with derivative 1 in one direction; a constant where the direction is none.
    #[inline]
    pub(crate) fn seeded(re: f64, direction: Option<usize>) -> Self {
        let mut out = Self::constant(re);
        if let Some(lane) = direction.and_then(|d| out.eps.get_mut(d)) {
            *lane = 1.0;
        }
        out
    }

    /// f(x) with f′(x), by the chain rule.
    #[inline(always)]
    fn chain(&self, value: f64, slope: f64) -> Self {
        let mut out = *self;
        out.re = value;
        for lane in &mut out.eps {
            *lane *= slope;
        }
        out
    }

    /// a x + b y in the lanes.
    #[inline(always)]
    fn blend(re: f64, x: &Self, a: f64, y: &Self, b: f64) -> Self {
        let mut out = Lanes { re, eps: [0.0; N] };
        for i in 0..N {
            out.eps[i] = a * x.eps[i] + b * y.eps[i];
        }
        out
    }
}

macro_rules! both_ways {
    ($($op:ident $name:ident |$a:ident, $b:ident| $body:expr;)*) => {$(
        impl<const N: usize> $op for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $name(self, other: Self) -> Self {
                let ($a, $b) = (&self, &other);
                $body
            }
        }
        impl<const N: usize> $op<&Lanes<N>> for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $name(self, other: &Self) -> Self {
                let ($a, $b) = (&self, other);
                $body
            }
        }
    )*};
}

both_ways! {
    Add add |a, b| Self::blend(a.re + b.re, a, 1.0, b, 1.0);
    Sub sub |a, b| Self::blend(a.re - b.re, a, 1.0, b, -1.0);
    Mul mul |a, b| Self::blend(a.re * b.re, a, b.re, b, a.re);
    Div div |a, b| {
        let inverse = b.re.recip();
        let value = a.re * inverse;
        Self::blend(value, a, inverse, b, -value * inverse)
    };
    // Slope of the remainder where it is smooth.
    Rem rem |a, b| Self::blend(a.re % b.re, a, 1.0, b, -(a.re / b.re).trunc());
}

macro_rules! by_plain {
    ($($op:ident $name:ident |$a:ident, $b:ident| $body:expr;)*) => {$(
        impl<const N: usize> $op<f64> for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $name(self, other: f64) -> Self {
                let ($a, $b) = (self, other);
                $body
            }
        }
    )*};
}

by_plain! {
    Add add |a, b| Lanes { re: a.re + b, eps: a.eps };
    Sub sub |a, b| Lanes { re: a.re - b, eps: a.eps };
    Mul mul |a, b| a.chain(a.re * b, b);
    Div div |a, b| a.chain(a.re / b, b.recip());
    Rem rem |a, b| Lanes { re: a.re % b, eps: a.eps };
}

macro_rules! assigned {
    ($($op:ident $name:ident $by:tt;)*) => {$(
        impl<const N: usize> $op for Lanes<N> {
            #[inline(always)]
            fn $name(&mut self, other: Self) {
                *self = *self $by other;
            }
        }
        impl<const N: usize> $op<f64> for Lanes<N> {
            #[inline(always)]
            fn $name(&mut self, other: f64) {
                *self = *self $by other;
            }
        }
    )*};
}

assigned! {
    AddAssign add_assign +;
    SubAssign sub_assign -;
    MulAssign mul_assign *;
    DivAssign div_assign /;
    RemAssign rem_assign %;
}

impl<const N: usize> Neg for Lanes<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.chain(-self.re, -1.0)
    }
}

impl<const N: usize> Sum for Lanes<N> {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::constant(0.0), |a, b| a + b)
    }
}

impl<const N: usize> Product for Lanes<N> {
    fn product<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::constant(1.0), |a, b| a * b)
    }
}

impl<const N: usize> PartialEq for Lanes<N> {
    fn eq(&self, other: &Self) -> bool {
        self.re == other.re
    }
}

impl<const N: usize> PartialOrd for Lanes<N> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.re.partial_cmp(&other.re)
    }
}

impl<const N: usize> PartialEq<f64> for Lanes<N> {
    fn eq(&self, other: &f64) -> bool {
        self.re == *other
    }
}

impl<const N: usize> PartialOrd<f64> for Lanes<N> {
    fn partial_cmp(&self, other: &f64) -> Option<std::cmp::Ordering> {
        self.re.partial_cmp(other)
    }
}

impl<const N: usize> From<f64> for Lanes<N> {
    #[inline(always)]
    fn from(re: f64) -> Self {
        Self::constant(re)
    }
}

impl<const N: usize> Zero for Lanes<N> {
    fn zero() -> Self {
        Self::constant(0.0)
    }

    fn is_zero(&self) -> bool {
        self.re == 0.0
    }
}

impl<const N: usize> One for Lanes<N> {
    fn one() -> Self {
        Self::constant(1.0)
    }
}

impl<const N: usize> Num for Lanes<N> {
    type FromStrRadixErr = <f64 as Num>::FromStrRadixErr;

    fn from_str_radix(text: &str, radix: u32) -> Result<Self, Self::FromStrRadixErr> {
        <f64 as Num>::from_str_radix(text, radix).map(Self::constant)
    }
}

impl<const N: usize> Signed for Lanes<N> {
    fn abs(&self) -> Self {
        self.chain(self.re.abs(), self.re.signum())
    }

    fn abs_sub(&self, other: &Self) -> Self {
        if self.re <= other.re { Self::constant(0.0) } else { *self - *other }
    }

    fn signum(&self) -> Self {
        Self::constant(self.re.signum())
    }

    fn is_positive(&self) -> bool {
        self.re > 0.0
    }

    fn is_negative(&self) -> bool {
        self.re < 0.0
    }
}

impl<const N: usize> Inv for Lanes<N> {
    type Output = Self;
    fn inv(self) -> Self {
        self.recip()
    }
}

impl<const N: usize> FromPrimitive for Lanes<N> {
    fn from_i64(n: i64) -> Option<Self> {
        f64::from_i64(n).map(Self::constant)
    }

    fn from_u64(n: u64) -> Option<Self> {
        f64::from_u64(n).map(Self::constant)
    }

    fn from_f64(n: f64) -> Option<Self> {
        Some(Self::constant(n))
    }
}

impl<const N: usize> fmt::Display for Lanes<N> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} + {:?}ε", self.re, self.eps)
    }
}

impl<const N: usize> DualStruct for Lanes<N> {
    type Real = f64;
    type Inner = f64;

    #[inline(always)]
    fn re(&self) -> f64 {
        self.re
    }

    fn from_inner(inner: &f64) -> Self {
        Self::constant(*inner)
    }
}

impl<const N: usize> Mappable<Self> for Lanes<N> {
    type Output<O> = O;

    fn map_dual<M: Fn(Self) -> O, O>(self, f: M) -> O {
        f(self)
    }
}

macro_rules! chained {
    ($($name:ident |$x:ident| $value:expr, $slope:expr;)*) => {
        $(
            #[inline]
            fn $name(&self) -> Self {
                let $x = self.re;
                self.chain($value, $slope)
            }
        )*
    };
}

impl<const N: usize> DualNum for Lanes<N> {
    type Primitive = f64;
    const NDERIV: usize = 1;
    type InnerDual = f64;

    fn from_re(re: f64) -> Self {
        Self::constant(re)
    }

    fn scale(self, factor: &f64) -> Self {
        self * *factor
    }

    chained! {
        recip |x| x.recip(), -(x * x).recip();
        sqrt |x| x.sqrt(), 0.5 / x.sqrt();
        cbrt |x| x.cbrt(), x.cbrt() / (3.0 * x);
        exp |x| x.exp(), x.exp();
        exp2 |x| x.exp2(), x.exp2() * std::f64::consts::LN_2;
        exp_m1 |x| x.exp_m1(), x.exp();
        ln |x| x.ln(), x.recip();
        log2 |x| x.log2(), (x * std::f64::consts::LN_2).recip();
        log10 |x| x.log10(), (x * std::f64::consts::LN_10).recip();
        ln_1p |x| x.ln_1p(), (1.0 + x).recip();
        sin |x| x.sin(), x.cos();
        cos |x| x.cos(), -x.sin();
        tan |x| x.tan(), 1.0 + x.tan() * x.tan();
        asin |x| x.asin(), (1.0 - x * x).sqrt().recip();
        acos |x| x.acos(), -(1.0 - x * x).sqrt().recip();
        atan |x| x.atan(), (1.0 + x * x).recip();
        sinh |x| x.sinh(), x.cosh();
        cosh |x| x.cosh(), x.sinh();
        tanh |x| x.tanh(), 1.0 - x.tanh() * x.tanh();
        asinh |x| x.asinh(), (1.0 + x * x).sqrt().recip();
        acosh |x| x.acosh(), (x * x - 1.0).sqrt().recip();
        atanh |x| x.atanh(), (1.0 - x * x).recip();
    }

    #[inline]
    fn powi(&self, n: i32) -> Self {
        match n {
            0 => Self::constant(1.0),
            1 => *self,
            _ => {
                let under = self.re.powi(n - 1);
                self.chain(under * self.re, f64::from(n) * under)
            }
        }
    }

    #[inline]
    fn powf(&self, n: f64) -> Self {
        let value = self.re.powf(n);
        let slope = if self.re == 0.0 { self.re.powf(n - 1.0) * n } else { n * value / self.re };
        self.chain(value, slope)
    }

    fn log(&self, base: f64) -> Self {
        self.chain(self.re.log(base), (self.re * base.ln()).recip())
    }

    fn sin_cos(&self) -> (Self, Self) {
        (self.sin(), self.cos())
    }

    fn atan2(&self, other: Self) -> Self {
        let square = self.re * self.re + other.re * other.re;
        Self::blend(self.re.atan2(other.re), self, other.re / square, &other, -self.re / square)
    }

    // The spherical Bessel functions of the trait, by their closed forms; near nought by the first terms of their series.
    fn sph_j0(&self) -> Self {
        if self.re.abs() < 1.0e-8 {
            return Self::constant(1.0) - *self * *self / 6.0;
        }
        self.sin() / *self
    }

    fn sph_j1(&self) -> Self {
        if self.re.abs() < 1.0e-8 {
            return *self / 3.0;
        }
        (self.sin() - *self * self.cos()) / (*self * *self)
    }

    fn sph_j2(&self) -> Self {
        if self.re.abs() < 1.0e-8 {
            return *self * *self / 15.0;
        }
        let square = *self * *self;
        ((self.sin() - *self * self.cos()) * 3.0 - square * self.sin()) / (square * *self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    /// Every lane against a scalar dual number of the library, over a formula with all that the laws use.
    #[test]
    fn ident_lanes_are_the_librarys_duals_side_by_side() {
        fn law<T: DualNum<Primitive = f64> + Copy>(x: T, y: T) -> T {
            let a = (x * y + 2.0).sqrt() / (y - 0.3).exp() - x.powf(0.7) * y.ln();
            let b = (x / 3.0).cbrt() + (x * 0.1).exp_m1() - x.powi(5) * 1.0e-3 + y.recip();
            a * b + x.powd(y) - (x + y).tanh() + (x * 0.2).sin() - y.sph_j1()
        }
        let (x, y) = (1.7, 2.3);
        let lanes = law(Lanes::<3>::seeded(x, Some(0)), Lanes::<3>::seeded(y, Some(2)));
        let by_x = law(Dual64::new(x, 1.0), Dual64::new(y, 0.0));
        let by_y = law(Dual64::new(x, 0.0), Dual64::new(y, 1.0));
        assert!((lanes.re - by_x.re).abs() < 1e-13);
        for (got, wanted) in lanes.eps.iter().zip([by_x.eps, 0.0, by_y.eps]) {
            assert!((got - wanted).abs() < 1e-12 * wanted.abs().max(1.0), "{got} {wanted}");
        }
    }
}
