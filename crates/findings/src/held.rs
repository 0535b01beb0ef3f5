//! Readings that cannot stand: what has to be read again before any cause can be relied on, and nothing reckoned from them meanwhile.

use crate::explain::Finding;
use crate::sentence::PROBABLY;

/// Named at most.
const NAMED: usize = 3;

impl Finding {
    /// What has to be read again before any cause here can be relied on: "jacket water in and sea water in"; none where they can be. No
    /// costs and no dates are reckoned meanwhile.
    #[must_use]
    pub fn held(&self) -> Option<String> {
        let named: Vec<&str> = self.again.iter().take(NAMED).map(|i| i.words()).collect();
        if let Some((last, before)) = named.split_last() {
            let before = before.join(", ");
            return Some(if before.is_empty() {
                (*last).to_owned()
            } else {
                format!("{before} and {last}")
            });
        }
        (self.mixture.unexplained >= PROBABLY).then(|| "the whole round".to_owned())
    }

    /// The same as a sentence; empty where causes can be relied on.
    pub(crate) fn until_read_again(&self) -> String {
        self.held().map_or_else(String::new, |what| {
            format!("Read again: {what}. Until then no cause is to be relied on.")
        })
    }
}
