//! Whether one guard asks at least as much as another: plainly so, by what stands in both, whatever the figures aboard are.

use crate::condition::{Condition, Figure, Relation, Term, Times};

impl Condition {
    /// Whether whatever meets this one meets the other as well, as far as that can be told from the two texts alone: figures
    /// are compared where both are numbers, or both the same figure of the ship times the same number.
    ///
    /// ```
    /// # use procedure::Condition;
    /// # fn main() -> Result<(), procedure::ConditionError> {
    /// let usual = Condition::parse("vacuum_percent >= 90 for 5 min")?;
    /// assert!(Condition::parse("vacuum_percent >= 91 for 5 min")?.asks_no_less_than(&usual));
    /// assert!(!Condition::parse("vacuum_percent >= 90")?.asks_no_less_than(&usual));
    /// # Ok(())
    /// # }
    /// ```
    #[must_use]
    pub fn asks_no_less_than(&self, other: &Self) -> bool {
        let enough = |term: &Term| other.terms.iter().any(|wanted| term.asks_no_less_than(wanted));
        self.terms.iter().all(enough)
    }
}

impl Term {
    fn asks_no_less_than(&self, other: &Self) -> bool {
        let lasts = |times: Times| match times {
            Times::Once => 0.0,
            Times::Lasting(min) => min,
        };
        self.name == other.name
            && lasts(self.times) >= lasts(other.times)
            && self.relation.asks_no_less_than(&other.relation)
    }
}

impl Relation {
    fn asks_no_less_than(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Steady(a), Self::Steady(b)) | (Self::Moving(a), Self::Moving(b)) => a <= b,
            (Self::Is(these), Self::Is(those)) => {
                these.iter().all(|word| those.iter().any(|other| other.eq_ignore_ascii_case(word)))
            }
            (Self::NotUnderLast, Self::NotUnderLast) => true,
            _ => match (self.ends(), other.ends()) {
                (Some((low, high)), Some((wanted_low, wanted_high))) => {
                    bounds(low.as_ref(), wanted_low.as_ref(), |a, b| a >= b)
                        && bounds(high.as_ref(), wanted_high.as_ref(), |a, b| a <= b)
                }
                _ => false,
            },
        }
    }

    /// From which figure to which it is met; none at an end that is open, nothing for what is no range.
    fn ends(&self) -> Option<(Option<Figure>, Option<Figure>)> {
        let moved = |figure: &Figure, by: f64| Figure { plus: figure.plus + by, ..figure.clone() };
        Some(match self {
            Self::AtLeast(a) => (Some(a.clone()), None),
            Self::AtMost(a) => (None, Some(a.clone())),
            Self::Between(a, b) => (Some(a.clone()), Some(b.clone())),
            Self::Within(by, a) => (Some(moved(a, -by)), Some(moved(a, *by))),
            Self::Steady(_) | Self::Moving(_) | Self::Is(_) | Self::NotUnderLast => return None,
        })
    }
}

/// Whether an end is as narrow as the one that is wanted; figures of the ship only beside the same figure.
#[allow(clippy::float_cmp)] // the very number of the text is meant
fn bounds(
    own: Option<&Figure>,
    wanted: Option<&Figure>,
    narrow: impl Fn(f64, f64) -> bool,
) -> bool {
    match (own, wanted) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(own), Some(wanted)) => {
            let alike =
                own.name == wanted.name && (own.name.is_none() || own.times == wanted.times);
            alike && narrow(own.plus, wanted.plus)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_guard_is_as_strict_as_another_only_where_the_texts_show_it() {
        let no_less = |one: &str, other: &str| {
            let read = |text: &str| Condition::parse(text).ok();
            read(one).zip(read(other)).map(|(one, other)| one.asks_no_less_than(&other))
        };
        for (stricter, weaker) in [
            ("a >= 90", "a >= 90"),
            ("a >= 91", "a >= 90"),
            ("a <= limit.x", "a <= limit.x + 1"),
            ("a between 41 and 49", "a between 40 and 50"),
            ("a between 41 and 49", "a >= 40"),
            ("a within 1 of set.x", "a within 2 of set.x"),
            ("a <= 3 for 10 min", "a <= 3 for 5 min"),
            ("a <= 3 for 10 min", "a <= 3"),
            ("a >= 90", "a >= 90 or a >= limit.x for 5 min"),
            ("a moving <= 0.5 a min", "a moving <= 1 a min"),
            ("a is dump", "a is dump|shut"),
        ] {
            assert_eq!(no_less(stricter, weaker), Some(true), "{stricter} beside {weaker}");
        }
        for (weaker, usual) in [
            ("a >= 10", "a >= 90"),
            ("a <= 500", "a <= limit.x"),
            ("a <= 2 * limit.x", "a <= limit.x"),
            ("a <= limit.y", "a <= limit.x"),
            ("b >= 90", "a >= 90"),
            ("a >= 40", "a between 40 and 50"),
            ("a >= 90 or a >= 80", "a >= 90"),
            ("a <= 3", "a <= 3 for 5 min"),
            ("a within 3 of set.x", "a within 2 of set.x"),
            ("a steady 6 for 30 min", "a steady 5 for 30 min"),
            ("a is dump|shut", "a is dump"),
            ("a >= 1", "a not under last"),
        ] {
            assert_eq!(no_less(weaker, usual), Some(false), "{weaker} beside {usual}");
        }
    }
}
