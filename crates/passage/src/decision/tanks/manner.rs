//! How the rules choose where they leave a choice: as usual, or otherwise where a tap would run dry by it.

use std::cmp::Ordering;

/// A way to choose.
#[derive(Debug, Clone, Copy)]
pub(super) struct Manner {
    /// Another tank serves from so many days' use left in the serving one on: the filled one is shut the earlier.
    pub(super) serve_days: f64,
    /// Of two tanks to be filled the one with less room.
    pub(super) least_room: bool,
}

impl Manner {
    pub(super) const USUAL: Self = Self { serve_days: 1.0, least_room: false };
    /// Tried one after the other while a tap is dry for the choice of tanks.
    pub(super) const OTHERS: [Self; 5] = [
        Self { serve_days: 1.5, least_room: false },
        Self { serve_days: 1.0, least_room: true },
        Self { serve_days: 2.5, least_room: false },
        Self { serve_days: 2.5, least_room: true },
        Self { serve_days: 0.5, least_room: false },
    ];

    /// Orders two tanks by the room in them, the one to be filled last.
    pub(super) fn prefers(self, a: f64, b: f64) -> Ordering {
        if self.least_room { b.total_cmp(&a) } else { a.total_cmp(&b) }
    }
}
