//! Ship's clock: which zone held when, the days of 23 to 25 hours it makes, and when the computer's clock is in doubt.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::error::Error;
use crate::zone::{DAY_S, Zone, from_second};

/// A step back of more than this is noted on the entry, seconds.
const BACK_NOTED_S: i64 = 2;
/// A step ahead of more than this needs a name, seconds.
const FORWARD_CONFIRMED_S: i64 = DAY_S;
/// How far ahead of the computer's clock an entry's own time may lie, seconds.
pub(crate) const AHEAD_ALLOWED_S: i64 = 120;

/// One move of the ship's clocks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ZoneChange {
    /// From this instant.
    pub from: Timestamp,
    /// The clocks are on this offset.
    pub zone: Zone,
    /// By whose order.
    pub by: String,
    /// The entry that says so.
    pub seq: u64,
}

/// All moves of the ship's clocks, in order of time.
#[derive(Clone, Debug, Default)]
pub struct ShipClock {
    first: Zone,
    changes: Vec<ZoneChange>,
    /// The instant in the first sea day, second.
    day_one: i64,
}

/// One day as the ship lived it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShipDay {
    /// The date her calendar showed when it began; the date line shows one twice or leaves one out.
    pub date: Date,
    /// Its number since the record began, which counts every day once.
    pub sea_day: i64,
    /// Its first instant.
    pub start: Timestamp,
    /// The first instant of the next day.
    pub end: Timestamp,
}

impl ShipDay {
    /// Its true length, hours: 23 to 25 where the clocks were moved.
    pub fn hours(&self) -> f64 {
        elapsed_hours(self.start, self.end)
    }
}

/// True elapsed time between two instants, hours; no clock change enters into it.
pub fn elapsed_hours(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 3600.0
}

/// A stretch on one offset.
struct Stretch {
    /// Its first second; the first stretch has no beginning.
    start: i64,
    /// Seconds to add to UTC for a clock that the date line does not touch.
    shift: i64,
}

impl ShipClock {
    /// A clock on `first` until the changes, in any order; of two changes from the same instant the later entry holds.
    /// Sea day 1 is the day in which `day_one` lies.
    pub fn new(first: Zone, mut changes: Vec<ZoneChange>, day_one: Timestamp) -> Self {
        changes.sort_by_key(|change| (change.from, change.seq));
        changes.dedup_by(|later, earlier| {
            let same = later.from == earlier.from;
            if same {
                std::mem::swap(later, earlier);
            }
            same
        });
        Self { first, changes, day_one: day_one.as_second() }
    }

    /// The moves, in order of time.
    pub fn changes(&self) -> &[ZoneChange] {
        &self.changes
    }

    /// The offset before the first move.
    pub(crate) fn first_zone(&self) -> Zone {
        self.first
    }

    /// The instant in the first sea day.
    pub(crate) fn day_one(&self) -> Timestamp {
        from_second(self.day_one)
    }

    /// The offset at this instant.
    pub fn zone(&self, at: Timestamp) -> Zone {
        match self.changes.partition_point(|change| change.from <= at) {
            0 => self.first,
            after => self.changes[after - 1].zone,
        }
    }

    /// What the ship's clocks showed at this instant.
    pub fn local(&self, at: Timestamp) -> jiff::civil::DateTime {
        self.zone(at).local(at)
    }

    /// The instants at which the ship's clocks showed this, oldest first: none in an hour they were put forward over, two
    /// in an hour lived twice.
    pub fn instants(&self, local: jiff::civil::DateTime) -> Vec<Timestamp> {
        let mut zones: Vec<Zone> = self.changes.iter().map(|change| change.zone).collect();
        zones.push(self.first);
        zones.sort_unstable();
        zones.dedup();
        let mut found: Vec<Timestamp> = zones
            .into_iter()
            .filter_map(|zone| zone.instant(local).ok())
            .filter(|at| self.local(*at) == local)
            .collect();
        found.sort_unstable();
        found
    }

    /// The instant meant by what the ship's clocks showed: of an hour lived twice the later one that is not ahead of `now`.
    pub fn instant(&self, local: jiff::civil::DateTime, now: Timestamp) -> Option<Timestamp> {
        let found = self.instants(local);
        found.iter().rev().find(|at| **at <= now).or(found.first()).copied()
    }

    /// The day in which this instant lies.
    pub fn day(&self, at: Timestamp) -> ShipDay {
        let stretches = self.stretches();
        let first = Self::day_index(&stretches, self.day_one);
        self.day_of_index(&stretches, Self::day_index(&stretches, at.as_second()), first)
    }

    /// The days that touch [`from`, `to`), in order.
    pub fn days(&self, from: Timestamp, to: Timestamp) -> Vec<ShipDay> {
        let stretches = self.stretches();
        let first = Self::day_index(&stretches, self.day_one);
        let mut index = Self::day_index(&stretches, from.as_second());
        let mut days = Vec::new();
        loop {
            let day = self.day_of_index(&stretches, index, first);
            if day.start >= to {
                return days;
            }
            days.push(day);
            index += 1;
        }
    }

    fn day_of_index(&self, stretches: &[Stretch], index: i64, first: i64) -> ShipDay {
        let start = from_second(midnight(stretches, index));
        ShipDay {
            date: self.local(start).date(),
            sea_day: index - first + 1,
            start,
            end: from_second(midnight(stretches, index + 1)),
        }
    }

    /// The offsets with whole days taken out of every step: a clock whose hands the ship's clocks show, but which
    /// knows no date line. Its midnights part the sea days.
    fn stretches(&self) -> Vec<Stretch> {
        let mut shift = self.first.seconds();
        let mut zone = self.first;
        let mut stretches = vec![Stretch { start: i64::MIN, shift }];
        for change in &self.changes {
            let step = change.zone.seconds() - zone.seconds();
            shift += (step + DAY_S / 2 - 1).rem_euclid(DAY_S) - (DAY_S / 2 - 1);
            zone = change.zone;
            stretches.push(Stretch { start: change.from.as_second(), shift });
        }
        stretches
    }

    fn day_index(stretches: &[Stretch], at: i64) -> i64 {
        let stretch = stretches.partition_point(|stretch| stretch.start <= at).saturating_sub(1);
        let mut index = (at + stretches[stretch].shift).div_euclid(DAY_S);
        while midnight(stretches, index) > at {
            index -= 1;
        }
        while midnight(stretches, index + 1) <= at {
            index += 1;
        }
        index
    }
}

/// The last second at which the hands pass the midnight that begins day `index`: clocks put back across midnight
/// lengthen the day before.
fn midnight(stretches: &[Stretch], index: i64) -> i64 {
    let mut end = i64::MAX;
    for stretch in stretches.iter().rev() {
        let passes = index * DAY_S - stretch.shift;
        if passes > stretch.start {
            return passes.min(end);
        }
        end = stretch.start;
    }
    end
}

/// Compares the computer's clock with the newest entry and the program's own date. The answer is the note for the
/// entry, if there is one.
pub(crate) fn check_clock(
    now: Timestamp,
    newest: Option<Timestamp>,
    built: Option<Timestamp>,
) -> Result<Option<String>, Error> {
    if let Some(built) = built.filter(|&built| now < built) {
        return Err(Error::ClockPast {
            earliest: built,
            now,
            because: "this program was built then",
        });
    }
    let Some(newest) = newest else { return Ok(None) };
    let step = now.as_second() - newest.as_second();
    if step > FORWARD_CONFIRMED_S {
        return Err(Error::ClockForward { newest, now, hours: step / 3600 });
    }
    // Across New Year a clock set right by minutes is no roll-over.
    let year = |at: Timestamp| Zone::UTC.local(at).year();
    if year(now) < year(newest) && step < -DAY_S {
        return Err(Error::ClockPast {
            earliest: newest,
            now,
            because: "the newest entry is of a later year",
        });
    }
    Ok(step_back(now, newest))
}

/// The note for an entry written when the clock stood before the newest entry's.
pub(crate) fn step_back(now: Timestamp, newest: Timestamp) -> Option<String> {
    let back = newest.as_second() - now.as_second();
    (back > BACK_NOTED_S).then(|| format!("back {back} s"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    fn clock(first: &str, changes: &[(&str, &str)]) -> ShipClock {
        let changes = changes
            .iter()
            .zip(1..)
            .map(|((from, zone), seq)| ZoneChange {
                from: at(from),
                zone: zone.parse().unwrap(),
                by: "master".to_owned(),
                seq,
            })
            .collect();
        ShipClock::new(first.parse().unwrap(), changes, at("2026-11-20T12:00:00Z"))
    }

    fn seen(days: &[ShipDay]) -> Vec<(String, i64, f64)> {
        days.iter().map(|day| (day.date.to_string(), day.sea_day, day.hours())).collect()
    }

    #[test]
    fn ident_clocks_moved_by_night_make_days_of_23_and_25_hours() {
        // Ahead one hour at 02:00 on the 22nd (+10 → +11), back one hour at 02:00 on the 24th.
        let clock = clock(
            "+10:00",
            &[("2026-11-21T16:00:00Z", "+11:00"), ("2026-11-23T15:00:00Z", "+10:00")],
        );
        let days = clock.days(at("2026-11-20T14:00:00Z"), at("2026-11-25T14:00:00Z"));
        let expected = [
            ("2026-11-21", 2, 24.0),
            ("2026-11-22", 3, 23.0),
            ("2026-11-23", 4, 24.0),
            ("2026-11-24", 5, 25.0),
            ("2026-11-25", 6, 24.0),
        ];
        let expected: Vec<_> = expected.iter().map(|&(d, n, h)| (d.to_owned(), n, h)).collect();
        assert_eq!(seen(&days), expected);
        assert_eq!(clock.local(at("2026-11-21T16:00:00Z")).to_string(), "2026-11-22T03:00:00");
        assert_eq!(clock.zone(at("2026-11-21T15:59:59Z")).to_string(), "+10:00");
    }

    #[test]
    fn ident_twenty_minutes_a_watch_shortens_the_day_by_the_hour() {
        let clock = clock(
            "+10:00",
            &[
                ("2026-11-21T10:00:00Z", "+10:20"),
                ("2026-11-21T13:40:00Z", "+10:40"),
                ("2026-11-21T17:20:00Z", "+11:00"),
            ],
        );
        let days = clock.days(at("2026-11-20T14:00:00Z"), at("2026-11-22T13:00:00Z"));
        let total: f64 = days.iter().map(ShipDay::hours).sum();
        assert_eq!(days.len(), 2);
        assert!((total - 47.0).abs() < 1e-9, "{days:?}");
    }

    #[test]
    fn ident_date_line_doubles_a_date_and_the_sea_day_goes_on() {
        // Eastward over the line at midnight: +12 → −12, the 22nd is lived twice.
        let clock = clock("+12:00", &[("2026-11-22T12:00:00Z", "-12:00")]);
        let days = clock.days(at("2026-11-20T12:00:00Z"), at("2026-11-24T12:00:00Z"));
        let expected = [
            ("2026-11-21", 1, 24.0),
            ("2026-11-22", 2, 24.0),
            ("2026-11-22", 3, 24.0),
            ("2026-11-23", 4, 24.0),
        ];
        assert_eq!(seen(&days), expected.map(|(d, n, h)| (d.to_owned(), n, h)));
    }

    #[test]
    fn ident_date_line_drops_a_date_and_the_sea_day_goes_on() {
        // Westward over the line at midnight: −12 → +12, the 22nd is left out.
        let clock = clock("-12:00", &[("2026-11-22T12:00:00Z", "+12:00")]);
        let days = clock.days(at("2026-11-20T12:00:00Z"), at("2026-11-23T12:00:00Z"));
        let expected = [("2026-11-20", 1, 24.0), ("2026-11-21", 2, 24.0), ("2026-11-23", 3, 24.0)];
        assert_eq!(seen(&days), expected.map(|(d, n, h)| (d.to_owned(), n, h)));
    }

    #[test]
    fn ident_line_crossed_at_noon_keeps_whole_sea_days() {
        let clock = clock("+11:00", &[("2026-11-22T01:00:00Z", "-12:00")]);
        let days = clock.days(at("2026-11-20T13:00:00Z"), at("2026-11-24T12:00:00Z"));
        // +11 → −12 is one hour ahead on the clock face and one date back.
        let hours: Vec<_> = days.iter().map(ShipDay::hours).collect();
        assert_eq!(hours, [24.0, 23.0, 24.0, 24.0]);
        assert_eq!(days.iter().map(|day| day.sea_day).collect::<Vec<_>>(), [2, 3, 4, 5]);
    }

    #[test]
    fn ident_clocks_put_back_across_midnight_lengthen_the_day_before() {
        // 00:30 on the 22nd becomes 23:30 on the 21st.
        let clock = clock("+10:00", &[("2026-11-21T14:30:00Z", "+09:00")]);
        let days = clock.days(at("2026-11-20T14:00:00Z"), at("2026-11-22T15:00:00Z"));
        assert_eq!(
            seen(&days),
            [("2026-11-21".to_owned(), 2, 25.0), ("2026-11-22".to_owned(), 3, 24.0)]
        );
        assert_eq!(clock.day(at("2026-11-21T14:15:00Z")).sea_day, 2);
    }

    #[test]
    fn ident_days_join_without_gap_over_a_year_of_moves() {
        let mut changes = Vec::new();
        let mut zone = 0_i32;
        for step in 0..120_i64 {
            zone = if zone >= 720 { -720 } else { zone + if step % 3 == 0 { 20 } else { 60 } };
            changes.push(ZoneChange {
                from: from_second(1_795_000_000 + step * 250_000),
                zone: Zone::from_minutes(zone.min(720)).unwrap(),
                by: "master".to_owned(),
                seq: step as u64 + 1,
            });
        }
        let clock = ShipClock::new(Zone::UTC, changes, from_second(1_795_000_000));
        let days = clock.days(from_second(1_795_000_000), from_second(1_826_000_000));
        for pair in days.windows(2) {
            assert_eq!(pair[0].end, pair[1].start);
            assert_eq!(pair[0].sea_day + 1, pair[1].sea_day);
            assert!((22.0..=26.0).contains(&pair[0].hours()), "{pair:?}");
            let middle = from_second((pair[0].start.as_second() + pair[0].end.as_second()) / 2);
            assert_eq!(clock.day(middle), pair[0]);
            assert_eq!(clock.day(pair[0].start), pair[0]);
        }
    }

    #[test]
    fn ident_later_entry_for_the_same_instant_holds() {
        let clock = clock(
            "+10:00",
            &[("2026-11-22T12:00:00Z", "+11:00"), ("2026-11-22T12:00:00Z", "+09:00")],
        );
        assert_eq!(clock.zone(at("2026-11-22T12:00:00Z")).to_string(), "+09:00");
        assert_eq!(clock.changes().len(), 1);
    }

    #[test]
    fn ident_clock_steps() {
        let newest = Some(at("2026-11-25T06:15:00Z"));
        let check = |now: &str| check_clock(at(now), newest, Some(at("2026-06-01T00:00:00Z")));
        assert_eq!(check("2026-11-25T06:14:58Z").unwrap(), None);
        assert_eq!(check("2026-11-25T05:15:00Z").unwrap().as_deref(), Some("back 3600 s"));
        assert_eq!(check("2026-11-26T06:15:00Z").unwrap(), None);
        assert!(matches!(
            check("2026-11-26T07:15:01Z"),
            Err(Error::ClockForward { hours: 25, .. })
        ));
        assert!(matches!(check("1999-01-01T00:00:00Z"), Err(Error::ClockPast { .. })));
        // GNSS week roll-over: 1,024 weeks before 2038-11-21 (IS-GPS-200: a ten-bit week number).
        let rolled =
            check_clock(at("2019-04-07T12:00:00Z"), Some(at("2038-11-21T12:00:00Z")), None);
        assert!(matches!(rolled, Err(Error::ClockPast { .. })));
        let new_year =
            check_clock(at("2026-12-31T23:59:50Z"), Some(at("2027-01-01T00:00:10Z")), None);
        assert_eq!(new_year.unwrap().as_deref(), Some("back 20 s"));
    }
}
