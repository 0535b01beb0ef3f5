//! What a procedure is: its steps, each with its reason, what must be seen, and who may pass it all the same.

use crate::condition::Condition;

/// What kind of list it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Nature {
    /// Work that may wait: its guards hold.
    Work,
    /// Stopping: never held.
    Stop,
    /// An emergency: its steps may be ticked in any order, and none is held but one that leads back to a tank.
    Emergency,
}

/// Where going on from a step leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Towards {
    /// To more heat on the plant.
    Heat,
    /// To a tank, or from a tank to a tap.
    Tank,
    /// To work with chemicals.
    Chemicals,
    /// Nowhere that wants a guard: preparing, reading, shutting.
    Nothing,
}

/// Who may do something; each may do what those before it may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Who {
    /// The watch-keeper.
    Watch,
    /// The engineer in charge of the plant.
    Engineer,
    /// The chief engineer.
    Chief,
}

/// What the model of the plant in motion foretells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Foretold {
    /// A vacuum that heat may come on, from the ejector pump's start.
    Vacuum,
    /// Boiling, from the first heat.
    Boiling,
    /// A salinity in limit, from the first heat.
    Water,
    /// Plates under 50 °C, from the first step of taking the heat off.
    Cold,
}

/// What is foretold of a step, counted from when another was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Foretelling {
    /// What comes.
    pub what: Foretold,
    /// Key of the step from whose tick it is counted.
    pub after: String,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its key in the file, unique in the procedure.
    pub key: String,
    /// What is done.
    pub what: String,
    /// Why, and what the wrong order does.
    pub why: String,
    /// What to do when it does not come as it should; may be empty.
    pub otherwise: String,
    /// What can hurt here; may be empty.
    pub caution: String,
    /// What is seen or felt before going on, ticked by who looked; may be empty.
    pub look: String,
    /// What readings must say before going on.
    pub see: Vec<Condition>,
    /// Where going on leads.
    pub towards: Towards,
    /// How long it usually takes, least and most, min.
    pub takes_min: (f64, f64),
    /// Time that must have passed since the step before, min; 0 where none must.
    pub wait_min: f64,
    /// What the model foretells of it, where it can.
    pub foretold: Option<Foretelling>,
    /// Who does it.
    pub who: Who,
    /// Who may go on although a guard holds.
    pub overridden_by: Who,
    /// The safe way out when it is given up after this step; may be empty.
    pub way_out: String,
    /// Keys of steps that must lie before it, and what the wrong order may have done.
    pub after: Vec<(String, String)>,
    /// What is asked to be written down with it; may be empty.
    pub note: String,
    /// What a second person looks at and signs; may be empty.
    pub second: String,
    /// What it may have done when it took less than it usually does at least; may be empty.
    pub quick: String,
}

impl Step {
    /// How long it takes, least and most, min, its wait included.
    #[must_use]
    pub fn takes(&self) -> (f64, f64) {
        (self.takes_min.0.max(self.wait_min), self.takes_min.1.max(self.wait_min))
    }
}

/// One procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct Procedure {
    /// Its key, by which a run names it.
    pub key: String,
    /// What it is called aboard.
    pub name: String,
    /// What it is for, in a sentence.
    pub about: String,
    /// What kind of list it is.
    pub nature: Nature,
    /// What can hurt, before the first step.
    pub cautions: Vec<String>,
    /// Where its steps come from.
    pub source: String,
    /// Its steps in order; at least one.
    pub steps: Vec<Step>,
}

impl Procedure {
    /// Whether a guard after this step can hold; else it only warns. Of an emergency only the way back to a tank is held:
    /// nothing of the emergency itself waits for that.
    #[must_use]
    pub fn holds(&self, step: &Step) -> bool {
        match self.nature {
            Nature::Work => step.towards != Towards::Nothing,
            Nature::Emergency => step.towards == Towards::Tank,
            Nature::Stop => false,
        }
    }

    /// How long the whole takes, least and most, min: every step in turn, its wait included.
    #[must_use]
    pub fn takes_min(&self) -> (f64, f64) {
        self.steps.iter().fold((0.0, 0.0), |(least, most), step| {
            let (a, b) = step.takes();
            (least + a, most + b)
        })
    }

    /// The place of a step by its key.
    #[must_use]
    pub fn place(&self, key: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.key == key)
    }
}

/// Words of a closed list, as they stand in a file and in the record.
macro_rules! words {
    ($name:ident { $($variant:ident = $word:literal),+ }) => {
        impl $name {
            /// Every word that may stand for one.
            pub const WORDS: &[&'static str] = &[$($word),+];

            /// As it is written.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// From its word.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }
    };
}

words!(Nature { Work = "work", Stop = "stop", Emergency = "emergency" });
words!(Towards { Heat = "heat", Tank = "tank", Chemicals = "chemicals", Nothing = "nothing" });
words!(Who { Watch = "watch", Engineer = "engineer", Chief = "chief" });
words!(Foretold { Vacuum = "vacuum", Boiling = "boiling", Water = "water", Cold = "cold" });
