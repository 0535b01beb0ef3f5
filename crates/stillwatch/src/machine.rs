//! This computer's clock and random bytes: the only place that asks the machine for either.

use std::time::{Duration, Instant};

use jiff::Timestamp;
use web::{Clock, Entropy, NoEntropy};

/// The computer's clock, or one that stands still for pictures and tests.
#[derive(Debug, Clone, Copy)]
pub struct MachineClock {
    stands_at: Option<Timestamp>,
    started: Instant,
}

impl MachineClock {
    /// The computer's clock; with a moment given, one that stands there.
    pub fn new(stands_at: Option<Timestamp>) -> Self {
        Self { stands_at, started: Instant::now() }
    }

    /// The moment now.
    #[expect(clippy::disallowed_methods, reason = "here the machine is asked, and nowhere else")]
    pub fn moment(&self) -> Timestamp {
        self.stands_at.unwrap_or_else(Timestamp::now)
    }
}

impl Clock for MachineClock {
    fn now(&self) -> Timestamp {
        self.moment()
    }

    fn steady(&self) -> Duration {
        self.started.elapsed()
    }
}

/// The computer's random bytes.
#[derive(Debug, Clone, Copy)]
pub struct MachineEntropy;

impl Entropy for MachineEntropy {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoEntropy> {
        getrandom::fill(bytes).map_err(|e| NoEntropy { cause: e.to_string() })
    }
}
