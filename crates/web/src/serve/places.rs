//! Places for connections: so many in all, fewer for the network, fewer still for one address.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

/// Connections open at a time.
const ALL: usize = 256;
/// Of these, how many the network may hold: the ship's own computer always finds a place.
const NETWORK: usize = 224;
/// How many one address on the network may hold.
const EACH: usize = 64;

/// The places taken.
#[derive(Default, Clone)]
pub(super) struct Places(Arc<Mutex<Taken>>);

#[derive(Default)]
struct Taken {
    here: usize,
    network: usize,
    by_address: HashMap<IpAddr, usize>,
}

/// A place, given back when dropped.
pub(super) struct Place {
    places: Places,
    peer: IpAddr,
}

impl Places {
    /// A place for `peer`, or nothing when those it may have are taken.
    pub(super) fn take(&self, peer: IpAddr) -> Option<Place> {
        let peer = peer.to_canonical();
        let mut taken = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if taken.here + taken.network >= ALL {
            return None;
        }
        if peer.is_loopback() {
            taken.here += 1;
        } else {
            let own = taken.by_address.get(&peer).copied().unwrap_or(0);
            if taken.network >= NETWORK || own >= EACH {
                return None;
            }
            taken.network += 1;
            taken.by_address.insert(peer, own + 1);
        }
        Some(Place { places: self.clone(), peer })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self.places.0.lock().unwrap_or_else(PoisonError::into_inner);
        if self.peer.is_loopback() {
            taken.here -= 1;
            return;
        }
        taken.network -= 1;
        if let Some(own) = taken.by_address.get_mut(&self.peer) {
            *own -= 1;
            if *own == 0 {
                taken.by_address.remove(&self.peer);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_network_address_and_total_limits_hold_and_places_come_back() {
        let places = Places::default();
        let peer = |n: u8| IpAddr::from([10, 0, 0, n]);
        let mut held = Vec::new();
        for n in 1..=5 {
            let got: Vec<_> = std::iter::from_fn(|| places.take(peer(n))).collect();
            assert_eq!(
                got.len(),
                if n < 4 {
                    EACH
                } else if n == 4 {
                    NETWORK - 3 * EACH
                } else {
                    0
                }
            );
            held.extend(got);
        }
        let here = IpAddr::from([127, 0, 0, 1]);
        let own: Vec<_> = std::iter::from_fn(|| places.take(here)).collect();
        assert_eq!(own.len(), ALL - NETWORK);
        drop(held);
        assert!(places.take(peer(5)).is_some());
        drop(own);
        assert_eq!(std::iter::from_fn(|| places.take(here)).collect::<Vec<_>>().len(), ALL);
        let taken = places.0.lock().unwrap();
        assert_eq!((taken.here, taken.network, taken.by_address.len()), (0, 0, 0));
    }
}
