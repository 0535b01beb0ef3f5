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
        /// For so much water that ran in since it was last dosed, t.
        tonnes: f64,
        /// What of that was in it before the plan.
        old: Old,
        /// The sample from which it has stood.
        stands_until: usize,
    },
    /// Filled from the plant from now.
    Fill {
        /// The tank.
        tank: String,
        /// Chosen for its room, as nobody moves a valve until morning.
        for_the_night: bool,
        /// Boiler and engine draw on it meanwhile, no other tank having distilled water for them.
        drawn_on: bool,
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
        /// Tanks, and what is drawn out of each.
        from: Vec<RinsedFrom>,
        /// The tank that serves the taps meanwhile.
        serving: Option<String>,
        /// What waits for a dosed tank to have stood, no other having water to rinse with.
        waits: Option<Waits>,
        /// The sample at which it has ended.
        until: usize,
    },
    /// Water that is wanted is not there.
    Missing {
        /// What for.
        what: Want,
        /// How much in all, t.
        tonnes: f64,
        /// The sample from which it is there again.
        until: usize,
    },
}

/// What ran into a tank since its last dose and before the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Old {
    /// Nothing: what stands there is taken as dosed.
    #[default]
    None,
    /// It is in the tonnes that are dosed.
    Counted,
    /// It was being filled, and nobody knows how much ran in.
    NotCounted,
}

impl Old {
    fn word(self) -> &'static str {
        match self {
            Self::None => {
                "of this plan’s water in it, what stood there before being taken as dosed"
            }
            Self::Counted => "that ran in since its last dose, before this plan too",
            Self::NotCounted => {
                "of this plan’s water in it; what ran in before is not counted, add it"
            }
        }
    }
}

/// A tank that a dated draw is drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct RinsedFrom {
    /// The tank.
    pub tank: String,
    /// How much, t.
    pub tonnes: f64,
    /// The sample in which it is first drawn from.
    pub since: usize,
    /// It is filled from the plant meanwhile, no other having water to rinse with.
    pub while_filled: bool,
}

/// Water to rinse with that waits.
#[derive(Debug, Clone, PartialEq)]
pub struct Waits {
    /// The tank that stands.
    pub tank: String,
    /// How much waits, t.
    pub tonnes: f64,
    /// The sample from which the tank has stood.
    pub until: usize,
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
            Self::ShutAndDose { tank, grams, tonnes, old, stands_until } => format!(
                "{tank}: shut, dose {grams:.0} g of 65 % chlorine powder for the {tonnes:.0} t {}; 30 min contact, then 30 min to test: may serve from {}",
                old.word(),
                moment(*stands_until)
            ),
            Self::Fill { tank, for_the_night, drawn_on } => {
                let night = ["", " from now on, as it has room until there are hands again"];
                let drawn_on_too = [
                    "",
                    "; boiler and engine draw on it meanwhile, no other tank has distilled water",
                ];
                format!(
                    "{tank}: filled from the plant{}{}",
                    night[usize::from(*for_the_night)],
                    drawn_on_too[usize::from(*drawn_on)]
                )
            }
            Self::Serve { tank } => format!("{tank}: serves from now"),
            Self::Pass { from, to, tonnes } => format!("{to}: {tonnes:.1} t passed from {from}"),
            Self::TakeOn { supply, into } => {
                let into = into.iter().map(|(tank, t)| format!("{t:.1} t into {tank}"));
                format!("{supply}: {}", into.collect::<Vec<_>>().join(", "))
            }
            Self::Rinse { from, serving, waits, until } => {
                let tonnes = from.iter().fold(0.0, |sum, out| sum + out.tonnes);
                let begins = from.iter().map(|out| out.since).min();
                let out = from.iter().map(|out| {
                    let later = if Some(out.since) == begins {
                        String::new()
                    } else {
                        format!(" from {} on", moment(out.since))
                    };
                    let filled = if out.while_filled {
                        ", which is filled meanwhile as no other has water to spare"
                    } else {
                        ""
                    };
                    format!("{:.1} t from {}{later}{filled}", out.tonnes, out.tank)
                });
                let mut out = out.collect::<Vec<_>>().join(", ");
                if out.is_empty() {
                    out = "none to begin with".to_owned();
                }
                let out = if from.len() > 1 { format!("{tonnes:.1} t: {out}") } else { out };
                let serving = serving.iter().map(|tank| format!("; {tank} serves the taps"));
                let serving = serving.collect::<String>();
                let waits = waits.iter().map(|waits| {
                    let (tonnes, tank, until) = (waits.tonnes, &waits.tank, moment(waits.until));
                    format!("; {tonnes:.1} t wait for {tank}, which is dosed and stands until {until}: no other has water to spare")
                });
                let waits = waits.collect::<String>();
                format!("Water to rinse with, until {}: {out}{serving}{waits}", moment(*until))
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
