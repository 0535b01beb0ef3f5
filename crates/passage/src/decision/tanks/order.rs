//! What is done at the tanks, as a kind with its figures; words are for those who show it.

use std::fmt;

use serde::{Serialize, Serializer};

use super::Want;

/// One thing done at a tank. Moments are samples, water is in tonnes.
#[derive(Debug, Clone, PartialEq)]
pub enum TankOrder {
    /// Shut after filling; its water needs no dose.
    Shut {
        /// The tank.
        tank: String,
    },
    /// Shut after filling and dosed; it stands, is tested, and may serve then.
    ShutAndDose {
        /// The tank.
        tank: String,
        /// Product, g.
        grams: f64,
        /// For so much water filled since it was last shut, t; what stood in it before is not counted.
        tonnes: f64,
        /// The sample from which it has stood.
        stands_until: usize,
    },
    /// Filled from the plant from now.
    Fill {
        /// The tank.
        tank: String,
        /// Chosen for its room, as nobody moves a valve until morning.
        for_the_night: bool,
    },
    /// Serves the taps from now.
    Serve {
        /// The tank.
        tank: String,
    },
    /// Water is passed on.
    Pass {
        /// Out of this tank.
        from: String,
        /// Into this one.
        to: String,
        /// How much, t.
        tonnes: f64,
    },
    /// Water is bought.
    TakeOn {
        /// Its seller.
        supply: String,
        /// Tanks, and tonnes into each.
        into: Vec<(String, f64)>,
    },
    /// A dated draw begins: which tanks the water is drawn from.
    Rinse {
        /// Tanks, and tonnes out of each.
        from: Vec<(String, f64)>,
        /// The tank that serves the taps meanwhile.
        serving: Option<String>,
        /// The sample at which it has ended.
        until: usize,
    },
    /// Water that is wanted is not there.
    Missing {
        /// What for.
        what: Want,
        /// How much in all, t.
        tonnes: f64,
        /// The last sample at which it is missing.
        until: usize,
    },
}

impl TankOrder {
    /// Whether somebody opens or shuts a valve for it.
    #[must_use]
    pub fn moves_a_valve(&self) -> bool {
        !matches!(self, Self::TakeOn { .. } | Self::Missing { .. })
    }

    /// In words; `moment` words the moments in it.
    #[must_use]
    pub fn words(&self, moment: impl Fn(usize) -> String) -> String {
        match self {
            Self::Shut { tank } => format!("{tank}: shut"),
            Self::ShutAndDose { tank, grams, tonnes, stands_until } => format!(
                "{tank}: shut, dose {grams:.0} g of 65 % chlorine powder for the {tonnes:.0} t filled by this plan, what stood in it before being taken as dosed; 30 min contact, then 30 min to test: may serve from {}",
                moment(*stands_until)
            ),
            Self::Fill { tank, for_the_night: false } => format!("{tank}: filled from the plant"),
            Self::Fill { tank, for_the_night: true } => {
                format!(
                    "{tank}: filled from the plant from now on, as it has room until there are hands again"
                )
            }
            Self::Serve { tank } => format!("{tank}: serves from now"),
            Self::Pass { from, to, tonnes } => format!("{to}: {tonnes:.1} t passed from {from}"),
            Self::TakeOn { supply, into } => {
                let into = into.iter().map(|(tank, t)| format!("{t:.1} t into {tank}"));
                format!("{supply}: {}", into.collect::<Vec<_>>().join(", "))
            }
            Self::Rinse { from, serving, until } => {
                let tonnes = from.iter().fold(0.0, |sum, (_, t)| sum + t);
                let out = from.iter().map(|(tank, t)| format!("{t:.1} t from {tank}"));
                let out = out.collect::<Vec<_>>().join(", ");
                let out = if from.len() > 1 { format!("{tonnes:.1} t: {out}") } else { out };
                let serving = serving.iter().map(|tank| format!("; {tank} serves the taps"));
                let serving = serving.collect::<String>();
                format!("Water to rinse with, until {}: {out}{serving}", moment(*until))
            }
            Self::Missing { what, tonnes, until } => {
                format!("{tonnes:.1} t of {} missing up to {}", what.word(), moment(*until))
            }
        }
    }
}

/// With moments as samples, as the interchange has them.
impl fmt::Display for TankOrder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(|k| format!("sample {k}")))
    }
}

impl Serialize for TankOrder {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
