//! What every handler holds: the desk, the ship's heading line, the clock, random bytes, the lock and the workers.

use std::sync::Arc;
use std::time::Duration;

use desk::Desk;
use jiff::Timestamp;
use tokio::sync::Semaphore;

use crate::access::Lock;
use crate::guard::once::Once;
use crate::guard::token::Secret;
use crate::serve::Listen;
use crate::work::Work;

/// The heading line over every page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heading {
    /// Name of the ship.
    pub ship: String,
    /// What she is doing, such as "At sea, day 8".
    pub doing: String,
    /// The voyage, such as "Newcastle to Yokohama"; empty where none is kept.
    pub voyage: String,
    /// Ship's time in words, such as "Sun 16 Nov 14:20".
    pub ships_time: String,
    /// The same moment by UTC, such as "04:20".
    pub utc: String,
    /// The watch, such as "12 to 16".
    pub watch: String,
    /// What every page must say first: the record's newest entry is out of order.
    pub fault: Option<String>,
    /// What the last walk over the chain found altered.
    pub altered: Option<String>,
    /// The computer's clock lies so many seconds behind the newest entry.
    pub clock_behind_s: Option<i64>,
    /// How many of the maker's figures on the plant sheet are still a typical plant's.
    pub unconfirmed: usize,
}

/// Gives the heading line. Asked for on every page, so it answers from memory.
pub trait Shell: Send + Sync {
    /// The heading line as it stands at `now`.
    fn heading(&self, now: Timestamp) -> Heading;
}

/// The computer's clock, given by the binary.
pub trait Clock: Send + Sync {
    /// The moment by the wall clock, which may be set back.
    fn now(&self) -> Timestamp;
    /// Time since any fixed start, which never runs back: sessions and waiting times are counted by it.
    fn steady(&self) -> Duration;
}

/// The machine gave no random bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoEntropy {
    /// What the machine said.
    pub cause: String,
}

impl std::fmt::Display for NoEntropy {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the computer gave no random bytes ({}); pages cannot be kept safe", self.cause)
    }
}

impl std::error::Error for NoEntropy {}

/// A source of random bytes fit for secrets, given by the binary.
pub trait Entropy: Send + Sync {
    /// Fills `bytes`.
    ///
    /// # Errors
    /// [`NoEntropy`] when the machine has none to give.
    fn fill(&self, bytes: &mut [u8]) -> Result<(), NoEntropy>;
}

/// Files taken at a time, so that a few of them cannot fill the memory.
const UPLOADS: usize = 2;

/// What every handler holds; cloning shares it.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    desk: Arc<Desk>,
    shell: Arc<dyn Shell>,
    clock: Arc<dyn Clock>,
    entropy: Arc<dyn Entropy>,
    names: Vec<String>,
    secret: Secret,
    lock: Option<Lock>,
    once: Once,
    work: Work,
    uploads: Semaphore,
}

impl App {
    /// Draws this process's form secret and takes over the lock and the host names of `listen`.
    ///
    /// # Errors
    /// [`NoEntropy`] when the secret cannot be drawn.
    pub fn new(
        desk: Arc<Desk>,
        clock: Arc<dyn Clock>,
        entropy: Arc<dyn Entropy>,
        listen: &Listen,
    ) -> Result<App, NoEntropy> {
        App::with_shell(desk.clone(), desk, clock, entropy, listen)
    }

    /// As [`App::new`], with a heading line that does not come from the desk.
    ///
    /// # Errors
    /// [`NoEntropy`] when the secret cannot be drawn.
    pub fn with_shell(
        desk: Arc<Desk>,
        shell: Arc<dyn Shell>,
        clock: Arc<dyn Clock>,
        entropy: Arc<dyn Entropy>,
        listen: &Listen,
    ) -> Result<App, NoEntropy> {
        let mut secret = [0; 32];
        entropy.fill(&mut secret)?;
        Ok(App(Arc::new(Inner {
            desk,
            shell,
            clock,
            entropy,
            names: listen.names().to_vec(),
            secret: Secret::new(secret),
            lock: listen.phrase().map(|phrase| Lock::new(phrase.clone())),
            once: Once::default(),
            work: Work::default(),
            uploads: Semaphore::new(UPLOADS),
        })))
    }

    /// The ship's folder, open.
    pub fn desk(&self) -> &Arc<Desk> {
        &self.0.desk
    }

    /// The heading line as it stands now.
    pub fn heading(&self) -> Heading {
        self.0.shell.heading(self.0.clock.now())
    }

    /// The computer's clock.
    pub fn clock(&self) -> &dyn Clock {
        &*self.0.clock
    }

    /// Where long work is sent, so that it never holds up other readers.
    pub fn work(&self) -> &Work {
        &self.0.work
    }

    pub(crate) fn names(&self) -> &[String] {
        &self.0.names
    }

    pub(crate) fn secret(&self) -> &Secret {
        &self.0.secret
    }

    pub(crate) fn lock(&self) -> Option<&Lock> {
        self.0.lock.as_ref()
    }

    /// Turns for files being sent.
    pub(crate) fn uploads(&self) -> &Semaphore {
        &self.0.uploads
    }

    pub(crate) fn once(&self) -> &Once {
        &self.0.once
    }

    /// Random bytes as lower-case hexadecimal, `N` bytes long before writing.
    pub(crate) fn draw<const N: usize>(&self) -> Result<String, NoEntropy> {
        let mut bytes = [0; N];
        self.0.entropy.fill(&mut bytes)?;
        Ok(hex(&bytes))
    }
}

/// Lower-case hexadecimal.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        for half in [byte >> 4, byte & 15] {
            text.push(char::from_digit(half.into(), 16).unwrap_or('0'));
        }
        text
    })
}
