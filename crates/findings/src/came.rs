//! When something came within the record: at once at a reading, or slowly from a day on.

use jiff::{SignedDuration, Timestamp};

use crate::cause::Cause;
use crate::explain::Finding;
use crate::hypothesis::Shape;

/// When a cause came, by the likeliest shapes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Came {
    /// The reading at which it was first seen, or from which it grew.
    pub at: Timestamp,
    /// Whether it came slowly.
    pub slowly: bool,
}

impl Came {
    /// How, as it stands before a day: "at once" or "slowly from".
    #[must_use]
    pub fn how(&self) -> &'static str {
        if self.slowly { "slowly from" } else { "at once" }
    }
}

impl Finding {
    /// When a cause came within the record: the middle of the likelier kind of coming; none where it did not change.
    #[must_use]
    pub fn came(&self, cause: Cause) -> Option<Came> {
        let mut slow: Vec<(f64, f64)> = Vec::new();
        let mut sudden: Vec<(f64, f64)> = Vec::new();
        for part in &self.mixture.parts {
            let blames = part.fit.hypothesis.blames.iter();
            for blame in blames.filter(|b| b.suspect.cause == cause) {
                let at = blame.suspect.at;
                match blame.shape {
                    Shape::Standing => {}
                    Shape::Step(place) => {
                        let moment = self.problem.moments.get(place)?;
                        sudden.push((part.weight, self.problem.days * (moment.fraction - 1.0)));
                    }
                    Shape::Ramp(from) => {
                        slow.push((part.weight, self.problem.days_of(at) * (from - 1.0)));
                    }
                }
            }
        }
        let weight = |list: &[(f64, f64)]| list.iter().map(|(w, _)| w).sum::<f64>();
        let slowly = weight(&slow) > weight(&sudden);
        let mut list = if slowly { slow } else { sudden };
        list.sort_by(|a, b| a.1.total_cmp(&b.1));
        let half = 0.5 * weight(&list);
        let mut sum = 0.0;
        let days = list.iter().find(|(w, _)| {
            sum += w;
            sum >= half
        });
        let ago = SignedDuration::try_from_secs_f64(86_400.0 * days?.1).ok()?;
        Some(Came { at: self.until.checked_add(ago).ok()?, slowly })
    }
}
