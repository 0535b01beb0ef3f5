//! The ship's clock as planned along the way: the zone at any instant, days of 23 to 25 hours, dates doubled or dropped.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;

/// Seconds in a day of 24 hours.
const DAY_S: i64 = 86_400;

/// The ship's clocks from now on, all changes at their instants.
#[derive(Debug, Clone, PartialEq)]
pub struct Clock {
    first: Offset,
    /// In order of time, one at an instant.
    changes: Vec<(Timestamp, Offset)>,
    /// From this second a clock is so many seconds ahead of UTC that shows the same hands but knows no date line: its
    /// midnights part the days. The first stretch has no beginning.
    stretches: Vec<(i64, i64)>,
}

/// One day as the ship lives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// The date her calendar shows when it begins; crossing the date line she has one date twice or leaves one out.
    pub date: Date,
    /// Its first instant.
    pub start: Timestamp,
    /// The first instant of the next day.
    pub end: Timestamp,
}

impl Day {
    /// Its true length, hours: 23 to 25 where the clocks are moved by an hour.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.end.duration_since(self.start).as_secs_f64() / 3600.0
    }
}

impl Clock {
    /// On `first` until the changes, which may come in any order; of two at the same instant the later in the list holds.
    #[must_use]
    pub fn new(first: Offset, changes: impl IntoIterator<Item = (Timestamp, Offset)>) -> Self {
        let mut changes: Vec<_> = changes.into_iter().collect();
        changes.sort_by_key(|(from, _)| *from);
        changes.dedup_by(|later, kept| {
            let is_same = later.0 == kept.0;
            if is_same {
                kept.1 = later.1;
            }
            is_same
        });
        let mut ahead = i64::from(first.seconds());
        let mut shown = ahead;
        let mut stretches = vec![(i64::MIN, ahead)];
        for (from, zone) in &changes {
            let zone = i64::from(zone.seconds());
            // Of a step only what moves the hands: whole days are the calendar's.
            ahead += (zone - shown + DAY_S / 2 - 1).rem_euclid(DAY_S) - (DAY_S / 2 - 1);
            shown = zone;
            stretches.push((from.as_second(), ahead));
        }
        Self { first, changes, stretches }
    }

    /// The changes, in order of time.
    #[must_use]
    pub fn changes(&self) -> &[(Timestamp, Offset)] {
        &self.changes
    }

    /// The offset from UTC at this instant.
    #[must_use]
    pub fn zone(&self, at: Timestamp) -> Offset {
        match self.changes.partition_point(|(from, _)| *from <= at) {
            0 => self.first,
            after => self.changes[after - 1].1,
        }
    }

    /// What the ship's clocks and calendar show at this instant.
    #[must_use]
    pub fn local(&self, at: Timestamp) -> DateTime {
        self.zone(at).to_datetime(at)
    }

    /// The day in which this instant lies.
    #[must_use]
    pub fn day(&self, at: Timestamp) -> Day {
        self.day_numbered(self.number(at.as_second()))
    }

    /// The days that touch the time from one instant up to another, in order.
    pub fn days(&self, from: Timestamp, to: Timestamp) -> impl Iterator<Item = Day> + '_ {
        let first = self.number(from.as_second());
        (first..).map(|number| self.day_numbered(number)).take_while(move |day| day.start < to)
    }

    fn day_numbered(&self, number: i64) -> Day {
        let start = instant(self.midnight(number));
        Day { date: self.local(start).date(), start, end: instant(self.midnight(number + 1)) }
    }

    /// Days are numbered by the clock that knows no date line.
    fn number(&self, second: i64) -> i64 {
        let stretch = self.stretches.partition_point(|(from, _)| *from <= second);
        let ahead = self.stretches.get(stretch.wrapping_sub(1)).map_or(0, |(_, ahead)| *ahead);
        let mut number = (second + ahead).div_euclid(DAY_S);
        while self.midnight(number) > second {
            number -= 1;
        }
        while self.midnight(number + 1) <= second {
            number += 1;
        }
        number
    }

    /// The second at which a day begins: the last at which the hands pass its midnight, since clocks put back across
    /// midnight lengthen the day before.
    fn midnight(&self, number: i64) -> i64 {
        let mut end = i64::MAX;
        for (from, ahead) in self.stretches.iter().rev() {
            let passes = number * DAY_S - ahead;
            if passes > *from {
                return passes.min(end);
            }
            end = *from;
        }
        end
    }
}

/// The instant of a second; beyond the calendar its nearest end.
fn instant(second: i64) -> Timestamp {
    let end = if second < 0 { Timestamp::MIN } else { Timestamp::MAX };
    Timestamp::from_second(second).unwrap_or(end)
}
