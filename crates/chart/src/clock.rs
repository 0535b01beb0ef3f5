//! Time along the bottom: the ship's own hours and days, through every change of her clocks.

use crate::number::usable;

const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;
const DAY: f64 = 86_400.0;
const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// A stretch of time, seconds on one clock that never jumps (UTC seconds since 1970 when labels
/// are to be computed).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Beginning, s.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
}

impl Span {
    /// Length, s; 0 for a reversed or unusable span.
    #[must_use]
    pub fn length_s(&self) -> f64 {
        let length = self.to_s - self.from_s;
        if usable(length) { length.max(0.0) } else { 0.0 }
    }

    pub(crate) fn holds(&self, at_s: f64) -> bool {
        at_s >= self.from_s && at_s <= self.to_s
    }
}

/// From this moment the ship's clock is `offset_s` ahead of UTC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zone {
    /// UTC seconds since 1970 from which it holds.
    pub from_s: f64,
    /// Ship's time minus UTC, s.
    pub offset_s: i32,
}

/// One mark on the time axis.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeTick {
    /// Where it stands, s.
    pub at_s: f64,
    /// What is written at it.
    pub label: String,
}

/// Where time labels come from.
#[derive(Clone, Debug, PartialEq)]
pub enum Clock {
    /// Computed in ship's time from the list of clock settings, earliest first. The first one
    /// also holds for all time before it.
    Zones(Vec<Zone>),
    /// Written by the caller; those that would touch are left out.
    Given(Vec<TimeTick>),
}

impl Clock {
    /// A ship's clock that was never changed.
    #[must_use]
    pub fn fixed(offset_s: i32) -> Clock {
        Clock::Zones(vec![Zone { from_s: f64::NEG_INFINITY, offset_s }])
    }

    /// The clock settings found by asking `offset_s` (UTC seconds to ship's time minus UTC) every
    /// hour of `span`, each change located to the minute.
    pub fn sampled(span: Span, offset_s: impl Fn(f64) -> i32) -> Clock {
        let mut zones = vec![Zone { from_s: span.from_s, offset_s: offset_s(span.from_s) }];
        let hours = (span.length_s() / HOUR).ceil().min(200_000.0) as u32;
        for k in 1..=hours {
            let (mut before, mut after) =
                (span.from_s + f64::from(k - 1) * HOUR, span.from_s + f64::from(k) * HOUR);
            let (old, new) = (offset_s(before), offset_s(after));
            if old == new {
                continue;
            }
            while after - before > MINUTE / 2.0 {
                let middle = (before + after) / 2.0;
                if offset_s(middle) == old { before = middle } else { after = middle }
            }
            let from_s = (after / MINUTE).round() * MINUTE;
            zones.push(Zone { from_s, offset_s: new });
        }
        Clock::Zones(zones)
    }

    /// Marks for `span`, at most `most` of them, at round hours or days of ship's time.
    #[must_use]
    pub fn ticks(&self, span: Span, most: usize) -> Vec<TimeTick> {
        match self {
            Clock::Given(ticks) => ticks.iter().filter(|t| span.holds(t.at_s)).cloned().collect(),
            Clock::Zones(zones) => computed(zones, span, most),
        }
    }

    /// Day and time of a moment in ship's time, "16 Nov 14:20"; `None` when labels are given.
    #[must_use]
    pub fn moment(&self, at_s: f64) -> Option<String> {
        let Clock::Zones(zones) = self else { return None };
        let local = Local::at(at_s + f64::from(offset(zones, at_s)))?;
        Some(format!("{} {}", local.day_month(), local.time()))
    }
}

fn offset(zones: &[Zone], at_s: f64) -> i32 {
    let in_force = zones.iter().rev().find(|z| z.from_s <= at_s).or_else(|| zones.first());
    in_force.map_or(0, |z| z.offset_s)
}

fn computed(zones: &[Zone], span: Span, most: usize) -> Vec<TimeTick> {
    let length = span.length_s();
    if length <= 0.0 || most == 0 {
        return Vec::new();
    }
    let steps = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0].map(|m| m * MINUTE).into_iter();
    let steps = steps.chain([1.0, 2.0, 3.0, 4.0, 6.0, 12.0].map(|h| h * HOUR));
    let mut steps = steps
        .chain([1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0].map(|d| d * DAY));
    let Some(step) = steps.find(|s| length / s <= most as f64) else { return Vec::new() };

    let mut ticks: Vec<TimeTick> = Vec::new();
    let mut last: Option<Local> = None;
    let starts = std::iter::once(span.from_s)
        .chain(zones.iter().skip(1).map(|z| z.from_s).filter(|s| span.holds(*s)));
    let starts: Vec<f64> = starts.collect();
    for (i, &start) in starts.iter().enumerate() {
        let end = starts.get(i + 1).copied().unwrap_or(span.to_s);
        let shift = f64::from(offset(zones, start));
        let mut k = ((start + shift) / step).ceil();
        while k * step - shift <= end {
            let at_s = k * step - shift;
            k += 1.0;
            // A clock put back repeats an hour; one put on crowds two marks: keep the first.
            if ticks.last().is_some_and(|t| at_s - t.at_s < 0.55 * step) {
                continue;
            }
            let Some(local) = Local::at(at_s + shift) else { continue };
            let new_month = last.as_ref().is_none_or(|l| l.month != local.month);
            let label = match (step >= DAY, local.seconds == 0) {
                (true, _) if !new_month => local.day.to_string(),
                (true, _) | (false, true) => local.day_month(),
                (false, false) => local.time(),
            };
            ticks.push(TimeTick { at_s, label });
            last = Some(local);
        }
    }
    ticks
}

/// A moment on the ship's calendar.
struct Local {
    day: u32,
    month: usize,
    /// Seconds since midnight.
    seconds: u32,
}

impl Local {
    fn at(local_s: f64) -> Option<Local> {
        if !usable(local_s) {
            return None;
        }
        let days = (local_s / DAY).floor();
        let seconds = (local_s - days * DAY).round().clamp(0.0, DAY - 1.0) as u32;
        let (month, day) = month_and_day(days as i64);
        Some(Local { day, month, seconds })
    }

    fn day_month(&self) -> String {
        format!("{} {}", self.day, MONTHS[self.month % 12])
    }

    fn time(&self) -> String {
        format!("{:02}:{:02}", self.seconds / 3600, self.seconds / 60 % 60)
    }
}

/// Month (0 to 11) and day of the Gregorian calendar for a count of days since 1 January 1970.
fn month_and_day(days: i64) -> (usize, u32) {
    // Counted from 1 March 2000, so that the leap day ends a year, a century and an era.
    let era_day = (days - 11_017).rem_euclid(146_097);
    let century = (era_day / 36_524).min(3);
    let century_day = era_day - century * 36_524;
    let fours_day = century_day % 1461;
    let year_day = fours_day - (fours_day / 365).min(3) * 365;
    // Months from March run 31 30 31 30 31, twice and then January and February.
    let month = (5 * year_day + 2) / 153;
    let day = year_day - (153 * month + 2) / 5 + 1;
    (((month + 2) % 12) as usize, day as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// 16 November 2025 00:00 UTC: `date -u -d @1763251200`.
    const NOV_16: f64 = 1_763_251_200.0;

    #[test]
    fn ref_unix_days_fall_on_their_dates() {
        // POSIX seconds since the Epoch for well-known dates, GNU date.
        for (days, month, day) in [
            (0, 0, 1),
            (58, 1, 28),
            (59, 2, 1),
            (11_016, 1, 29),
            (11_017, 2, 1),
            (20_408, 10, 16),
            (-1, 11, 31),
            (47_540, 1, 28),
            (47_541, 2, 1),
        ] {
            assert_eq!(month_and_day(days), (month, day), "day {days}");
        }
    }

    #[test]
    fn hours_are_round_in_ships_time() {
        let clock = Clock::fixed(10 * 3600 + 1800);
        let span = Span { from_s: NOV_16, to_s: NOV_16 + DAY };
        let labels: Vec<String> = clock.ticks(span, 7).into_iter().map(|t| t.label).collect();
        assert_eq!(labels, ["12:00", "16:00", "20:00", "17 Nov", "04:00", "08:00"]);
        assert_eq!(clock.moment(NOV_16).as_deref(), Some("16 Nov 10:30"));
    }

    #[test]
    fn days_name_their_month_once() {
        let span = Span { from_s: NOV_16, to_s: NOV_16 + 60.0 * DAY };
        let labels: Vec<String> =
            Clock::fixed(0).ticks(span, 8).into_iter().map(|t| t.label).collect();
        assert_eq!(labels.iter().filter(|l| l.contains("Dec")).count(), 1);
        assert!(labels.len() >= 4 && labels.len() <= 8);
    }

    #[test]
    fn a_clock_put_back_makes_a_longer_day() {
        let change = NOV_16 + 2.0 * DAY;
        let zone = |s: f64| if s < change { 11 * 3600 } else { 10 * 3600 };
        let span = Span { from_s: NOV_16, to_s: NOV_16 + 5.0 * DAY };
        let clock = Clock::sampled(span, zone);
        let Clock::Zones(zones) = &clock else { panic!("computed") };
        assert_eq!(zones.len(), 2);
        assert!((zones[1].from_s - change).abs() <= MINUTE);
        let at: Vec<f64> = clock.ticks(span, 6).iter().map(|t| t.at_s).collect();
        let lengths: Vec<f64> = at.windows(2).map(|w| (w[1] - w[0]) / HOUR).collect();
        assert_eq!(lengths, [24.0, 25.0, 24.0, 24.0]);
    }

    proptest! {
        #[test]
        fn ticks_rise_inside_the_span(from in -1e9f64..4e9, hours in 0.02f64..100_000.0, most in 1usize..16, change in 0f64..1.0, offset in -43_200i32..50_400) {
            let span = Span { from_s: from, to_s: from + hours * HOUR };
            let zones = vec![Zone { from_s: from - 1.0, offset_s: offset }, Zone { from_s: from + change * hours * HOUR, offset_s: offset - 3600 }];
            let ticks = Clock::Zones(zones).ticks(span, most);
            prop_assert!(ticks.len() <= 2 * most + 2);
            prop_assert!(ticks.iter().all(|t| span.holds(t.at_s)));
            prop_assert!(ticks.windows(2).all(|w| w[0].at_s < w[1].at_s));
        }
    }
}
