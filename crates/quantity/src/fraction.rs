//! A share of a whole.

use crate::newtype::newtype;

newtype! {
    /// A share of a whole: 1 is all of it.
    Fraction {
        /// As a plain ratio, 0 to 1.
        from_ratio / ratio = 1.0,
        /// In per cent, 0 to 100.
        from_percent / percent = 0.01,
    }
}

newtype!(additive Fraction);
