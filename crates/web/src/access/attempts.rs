//! Waiting times after a wrong pass-phrase: 1, 2, 4 … 60 s, counted for each address by itself.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

const LONGEST: Duration = Duration::from_secs(60);
/// After this long without a try an address starts afresh.
const FORGET: Duration = Duration::from_secs(3600);
/// Addresses remembered; the one quiet longest gives way.
const MOST: usize = 4096;

/// Wrong tries by address.
#[derive(Default)]
pub(crate) struct Attempts(Mutex<HashMap<IpAddr, Tries>>);

struct Tries {
    wrong: u32,
    last: Duration,
}

impl Attempts {
    /// Counts a try as wrong until [`Attempts::succeed`] says otherwise, so that tries sent all at once
    /// wait for each other.
    ///
    /// # Errors
    /// How long this address has to wait before its next try, which is not counted.
    pub(crate) fn begin(&self, from: IpAddr, now: Duration) -> Result<(), Duration> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let key = network(from);
        if let Some(tries) = known.get_mut(&key)
            && now.saturating_sub(tries.last) < FORGET
        {
            let free = tries.last + delay(tries.wrong);
            if now < free {
                return Err(free - now);
            }
            tries.wrong = tries.wrong.saturating_add(1);
            tries.last = now;
            return Ok(());
        }
        if known.len() >= MOST {
            known.retain(|_, tries| now.saturating_sub(tries.last) < FORGET);
        }
        if known.len() >= MOST {
            let quiet = known.iter().min_by_key(|(_, tries)| tries.last).map(|(key, _)| *key);
            quiet.and_then(|key| known.remove(&key));
        }
        known.insert(key, Tries { wrong: 1, last: now });
        Ok(())
    }

    /// Forgets the tries of an address that knew the phrase.
    pub(crate) fn succeed(&self, from: IpAddr) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&network(from));
    }
}

/// The time to wait after the n-th wrong try.
fn delay(wrong: u32) -> Duration {
    let seconds = 1u64.checked_shl(wrong.saturating_sub(1)).unwrap_or(u64::MAX);
    Duration::from_secs(seconds).min(LONGEST)
}

/// An IPv6 host owns a /64 of addresses: they count as one.
fn network(from: IpAddr) -> IpAddr {
    match from.to_canonical() {
        IpAddr::V6(v6) => {
            let [a, b, c, d, ..] = v6.segments();
            IpAddr::from([a, b, c, d, 0, 0, 0, 0])
        }
        v4 => v4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const S: Duration = Duration::from_secs(1);

    #[test]
    fn ident_each_wrong_try_doubles_the_wait_up_to_a_minute() {
        let attempts = Attempts::default();
        let from: IpAddr = "192.168.1.9".parse().unwrap();
        let mut now = Duration::ZERO;
        for wait in [1, 2, 4, 8, 16, 32, 60, 60] {
            assert_eq!(attempts.begin(from, now), Ok(()));
            assert_eq!(attempts.begin(from, now), Err(S * wait), "at once");
            assert_eq!(attempts.begin(from, now + S * wait - S / 2), Err(S / 2), "too early");
            now += S * wait;
        }
        attempts.succeed(from);
        assert_eq!(attempts.begin(from, now), Ok(()));
        assert_eq!(attempts.begin(from, now), Err(S), "afresh");
        assert_eq!(delay(40), LONGEST);
        assert_eq!(delay(u32::MAX), LONGEST);
    }

    #[test]
    fn ident_addresses_wait_apart_and_a_v6_network_waits_together() {
        let attempts = Attempts::default();
        let ip = |text: &str| text.parse::<IpAddr>().unwrap();
        let now = Duration::ZERO;
        assert!(attempts.begin(ip("10.0.0.1"), now).is_ok());
        assert!(attempts.begin(ip("10.0.0.2"), now).is_ok());
        assert!(attempts.begin(ip("::ffff:10.0.0.1"), now).is_err());
        assert!(attempts.begin(ip("fd00:1::1"), now).is_ok());
        assert!(attempts.begin(ip("fd00:1::2"), now).is_err());
        assert!(attempts.begin(ip("fd00:1:0:1::2"), now).is_ok());
    }

    #[test]
    fn ident_memory_is_bounded() {
        let attempts = Attempts::default();
        for n in 0..(MOST as u32 + 10) {
            let from = IpAddr::from(n.to_be_bytes());
            assert!(attempts.begin(from, S * n / 100).is_ok());
        }
        assert_eq!(attempts.0.lock().unwrap().len(), MOST);
    }
}
