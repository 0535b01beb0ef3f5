//! The macro behind the newtypes: an SI number, its constructors and readers by unit, and ordering.

/// Defines a newtype over an SI `f64`.
///
/// Each line `make / get = factor` adds a constructor and a reader in a unit worth `factor` in SI. With
/// `additive`, values can be added, subtracted, scaled and divided into a ratio.
macro_rules! newtype {
    (
        $(#[$meta:meta])*
        $name:ident { $( $(#[$unit_meta:meta])* $make:ident / $get:ident = $factor:expr ),+ $(,)? }
    ) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// From the value in the SI unit.
            #[must_use]
            pub const fn from_si(value: f64) -> Self {
                Self(value)
            }

            /// The value in the SI unit.
            #[must_use]
            pub const fn si(self) -> f64 {
                self.0
            }

            $(
                $(#[$unit_meta])*
                #[must_use]
                pub const fn $make(value: f64) -> Self {
                    Self(value * $factor)
                }

                $(#[$unit_meta])*
                #[must_use]
                pub const fn $get(self) -> f64 {
                    self.0 / $factor
                }
            )+
        }
    };
    (additive $name:ident) => {
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                Self(items.map(|item| item.0).sum())
            }
        }
    };
}

pub(crate) use newtype;
