//! Sessions: only the hash of a token is kept, and each ends by itself.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use sha2::{Digest, Sha256};

use crate::app::hex;

/// A session ends after this long without a request: a watch tablet stays open for its watches.
pub(crate) const IDLE: Duration = Duration::from_secs(12 * 3600);
/// A session ends after this long whatever happens.
pub(crate) const WHOLE: Duration = Duration::from_secs(24 * 3600);
/// Sessions kept; the one idle longest gives way.
const MOST: usize = 64;

/// The sessions open, by the SHA-256 of their token.
#[derive(Default)]
pub(crate) struct Sessions(Mutex<HashMap<String, Open>>);

struct Open {
    since: Duration,
    seen: Duration,
}

impl Sessions {
    /// Opens a session for `token`, which the reader keeps and we do not.
    pub(crate) fn open(&self, token: &str, now: Duration) {
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        open.retain(|_, session| session.is_valid(now));
        if open.len() >= MOST {
            let oldest = open.iter().min_by_key(|(_, session)| session.seen);
            if let Some(oldest) = oldest.map(|(key, _)| key.clone()) {
                open.remove(&oldest);
            }
        }
        open.insert(key(token), Open { since: now, seen: now });
    }

    /// The hash of `token` if its session is open, which counts as a use of it.
    pub(crate) fn find(&self, token: &str, now: Duration) -> Option<String> {
        let key = key(token);
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let session = open.get_mut(&key)?;
        if !session.is_valid(now) {
            open.remove(&key);
            return None;
        }
        session.seen = now;
        Some(key)
    }

    /// Ends the session of `token`.
    pub(crate) fn end(&self, token: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&key(token));
    }
}

impl Open {
    fn is_valid(&self, now: Duration) -> bool {
        now.saturating_sub(self.seen) < IDLE && now.saturating_sub(self.since) < WHOLE
    }
}

fn key(token: &str) -> String {
    hex(&Sha256::digest(token))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_session_ends_idle_or_old_or_ended() {
        let hours = |h: u64| Duration::from_secs(3600 * h);
        let sessions = Sessions::default();
        sessions.open("a", hours(0));
        assert_eq!(sessions.find("a", hours(11)), Some(key("a")));
        assert!(sessions.find("b", hours(11)).is_none());
        assert!(sessions.find("a", hours(22)).is_some(), "used meanwhile");
        assert!(sessions.find("a", hours(24)).is_none(), "a day old");
        sessions.open("a", hours(30));
        assert!(sessions.find("a", hours(42)).is_none(), "idle");
        sessions.open("a", hours(50));
        sessions.end("a");
        assert!(sessions.find("a", hours(50)).is_none());
    }

    #[test]
    fn ident_the_store_is_bounded_and_drops_the_idle_one() {
        let sessions = Sessions::default();
        for n in 0..=MOST as u64 {
            sessions.open(&n.to_string(), Duration::from_secs(n));
        }
        let now = Duration::from_secs(100);
        assert!(sessions.find("0", now).is_none());
        assert!(sessions.find("1", now).is_some());
        assert_eq!(sessions.0.lock().unwrap().len(), MOST);
    }
}
