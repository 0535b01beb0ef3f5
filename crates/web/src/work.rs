//! Long work: on threads of its own, a few at a time, told when the reader has left.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use tokio::sync::Semaphore;
use tokio::time::timeout;

use crate::trouble::Trouble;

/// How long a page waits for its turn before the reader is told that the computer is busy.
const PATIENCE: Duration = Duration::from_secs(10);

/// Runs long work beside the pages.
pub struct Work {
    turns: Arc<Semaphore>,
}

impl Default for Work {
    /// As many at a time as the computer has cores, two at least.
    fn default() -> Work {
        let cores = std::thread::available_parallelism().map_or(2, std::num::NonZero::get);
        Work { turns: Arc::new(Semaphore::new(cores.max(2))) }
    }
}

/// Tells running work that nobody waits for it any more.
#[derive(Debug, Clone, Default)]
pub struct Gone(Arc<AtomicBool>);

impl Gone {
    /// Whether the reader has left: work that only draws a page stops here, work that writes goes on.
    pub fn is_gone(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

struct Leaving(Gone);

impl Drop for Leaving {
    fn drop(&mut self) {
        self.0.0.store(true, Ordering::Relaxed);
    }
}

impl Work {
    /// Runs `job` on a thread where it may take its time.
    ///
    /// # Errors
    /// [`Trouble::Busy`] when no turn came within ten seconds, [`Trouble::Internal`] when the job
    /// panicked.
    pub async fn run<T: Send + 'static>(
        &self,
        job: impl FnOnce(&Gone) -> T + Send + 'static,
    ) -> Result<T, Trouble> {
        let turn = timeout(PATIENCE, self.turns.clone().acquire_owned()).await;
        let Ok(Ok(turn)) = turn else { return Err(Trouble::Busy) };
        let gone = Gone::default();
        let _leaving = Leaving(gone.clone());
        let ended = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            job(&gone)
        });
        ended.await.map_err(|_| crate::guard::panic::failed())
    }
}
