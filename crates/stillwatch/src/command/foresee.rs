//! A thread beside the pages that keeps the passage plan new and walks the chain, so that nobody who opens a page waits.

use std::sync::Arc;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use desk::Desk;
use desk::passage::Foresight;
use web::Clock;

use crate::fail::Fail;
use crate::machine::MachineClock;
use crate::memory;

/// Between two looks at whether anything has changed: one entry of the record and two small files are read.
const BETWEEN: Duration = Duration::from_secs(2);

/// Between two walks over the whole chain.
const PROVED_FOR: Duration = Duration::from_secs(24 * 3600);

/// The thread; dropping this ends it, after the plan it may be at.
pub struct Foreseeing {
    end: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Foreseeing {
    /// Begins at once.
    pub fn start(desk: Arc<Desk>, clock: MachineClock) -> Result<Foreseeing, Fail> {
        let (end, ended) = mpsc::channel();
        let look = move || {
            let mut foresight = Foresight::default();
            let mut proved = None;
            loop {
                // What cannot be read now is told on the page that needs it; here the next look tries again.
                if foresight.look(&desk, clock.moment()).is_ok_and(|planned| planned) {
                    memory::give_back();
                }
                // The whole chain at the start and once a day: what was altered is told on every page.
                if proved.is_none_or(|at| clock.steady() > at + PROVED_FOR) {
                    let _ = desk.verify();
                    proved = Some(clock.steady());
                }
                if ended.recv_timeout(BETWEEN) != Err(RecvTimeoutError::Timeout) {
                    return;
                }
            }
        };
        let thread = thread::Builder::new().name("foresee".to_owned()).spawn(look);
        let thread = thread.map_err(Fail::machine)?;
        Ok(Foreseeing { end: Some(end), thread: Some(thread) })
    }
}

impl Drop for Foreseeing {
    fn drop(&mut self) {
        drop(self.end.take());
        if let Some(thread) = self.thread.take() {
            // A panic there has been told by the thread itself.
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use desk::passage::Outlook;

    #[test]
    fn ident_it_plans_unasked_and_ends_when_it_is_dropped() {
        let folder = tempfile::tempdir().expect("folder");
        let clock = MachineClock::new(Some("2025-11-16T04:20:00Z".parse().expect("a moment")));
        let desk = desk::demo::open(folder.path(), clock.moment(), 1789).expect("opened");
        let desk = Arc::new(desk);
        drop(Foreseeing::start(desk.clone(), clock).map_err(|e| e.to_string()).expect("started"));
        let outlook = desk.ahead(clock.moment()).expect("read");
        assert!(matches!(outlook, Outlook::Planned(_)), "{outlook:?}");
        assert_eq!(Arc::strong_count(&desk), 1, "the thread has let the desk go");
    }
}
