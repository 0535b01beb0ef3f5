//! What a hand does and what goes wrong: one action at one time.

/// One thing done at one time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Action {
    /// When, s from the beginning.
    pub time_s: f64,
    /// What.
    pub what: Do,
}

/// What is done. Places are those of the lists in [`crate::parts`]; [`crate::Scenario`] reads them by name and checks them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Do {
    /// A valve is turned to an opening, 0 to 100 %.
    Valve {
        /// Place in [`crate::VALVES`].
        place: usize,
        /// Opening, %.
        percent: f64,
        /// Travel, s; by hand when none.
        over_s: Option<f64>,
    },
    /// A pump is started or stopped.
    Pump {
        /// Place in [`crate::PUMPS`].
        place: usize,
        /// Started or stopped.
        run: bool,
    },
    /// A figure is set, or the world around changes.
    Set {
        /// Place in [`crate::SETS`].
        place: usize,
        /// Its new value, in the unit of the list.
        value: f64,
        /// Time it takes, s.
        over_s: f64,
    },
    /// A switch is turned to one of its words.
    Switch {
        /// Place in [`crate::SWITCHES`].
        place: usize,
        /// Place of the word.
        word: usize,
    },
    /// Something goes wrong, or is put right.
    Fault {
        /// Place in [`crate::FAULTS`].
        place: usize,
        /// How much, in the unit of the list.
        amount: f64,
        /// Time it takes, s.
        over_s: f64,
    },
    /// A sample of the distillate is tried with the hand meter.
    Sample,
    /// It is said what is the matter.
    Answer {
        /// Place among [`crate::causes`].
        cause: usize,
    },
}

impl Do {
    /// What is done, in words.
    #[must_use]
    pub fn says(&self) -> String {
        use crate::parts::{FAULTS, PUMPS, SETS, SWITCHES, VALVES};
        match *self {
            Do::Valve { place, percent, .. } => format!("{} to {percent} %", VALVES[place].name),
            Do::Pump { place, run } => {
                format!("{} pump {}", PUMPS[place], if run { "started" } else { "stopped" })
            }
            Do::Set { place, value, .. } => {
                format!("{} to {value} {}", SETS[place].name, SETS[place].unit)
                    .trim_end()
                    .to_owned()
            }
            Do::Switch { place, word } => {
                let (name, words) = SWITCHES[place];
                format!("{name} to {}", words[word])
            }
            Do::Fault { place, amount, .. } => {
                format!("trouble: {} {amount} {}", FAULTS[place].name, FAULTS[place].unit)
                    .trim_end()
                    .to_owned()
            }
            Do::Sample => "sample by hand meter".to_owned(),
            Do::Answer { cause } => {
                format!("said to be the matter: {}", crate::matter::cause(cause).aboard)
            }
        }
    }
}
