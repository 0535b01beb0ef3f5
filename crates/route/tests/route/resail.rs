//! A route sailed otherwise from an instant on: the same where nothing changes, and later or sooner by the way left.

use jiff::SignedDuration;
use route::{Route, Sail, Schedule};

use crate::{at, clear};

const WRITTEN: &str = "departure: 2026-01-01 00:00Z\n\
    0 0 N 0 0 E, \"Out\"\n\
    0 0 N 1 0 E, 8 kn, full away\n\
    0 0 N 4 0 E, 12 kn, load 80 %, great circle\n\
    0 0 N 5 0 E, anchor 3 h, ETD 2026-01-03 06:00Z\n\
    0 0 N 8 0 E, ETA 2026-01-04 12:00Z, load 70 %\n\
    0 0 N 9 0 E, \"In\", 6 kn, end of passage, berth 2 d";

fn written() -> (Route, Schedule) {
    let route = clear(WRITTEN);
    let schedule = route.schedule().unwrap();
    (route, schedule)
}

fn apart_ms(a: jiff::Timestamp, b: jiff::Timestamp) -> i128 {
    a.duration_since(b).as_millis().abs()
}

/// Cut anywhere and sailed on as before she is everywhere when she was.
#[test]
fn ident_sailed_on_as_before_nothing_changes() {
    let (route, schedule) = written();
    for hours in [-5, 0, 3, 11, 24, 40, 52, 60, 80, 100, 130, 200] {
        let from = schedule.start() + SignedDuration::from_hours(hours);
        let again = route.resailed(&schedule, from, |_, leg| Sail::as_scheduled(leg), |_| None);
        let again = again.schedule().unwrap();
        assert!(apart_ms(again.arrival(), schedule.arrival()) < 20, "{hours} h");
        assert!(apart_ms(again.end(), schedule.end()) < 20, "{hours} h");
        assert_eq!(again.sea_passages().len(), schedule.sea_passages().len(), "{hours} h");
        for minute in (0..9000_i64).step_by(37) {
            let when = schedule.start() + SignedDuration::from_mins(minute);
            let (a, b) = (again.at(when), schedule.at(when));
            assert!((a.run - b.run).m().abs() < 1.0, "{hours} h, {minute} min");
            assert_eq!((a.phase, a.load), (b.phase, b.load), "{hours} h, {minute} min");
        }
    }
}

/// Two knots more on the sea passage bring her in sooner by the way left over both speeds; what was sailed stays.
#[test]
fn ident_faster_from_now_is_sooner_by_the_way_left() {
    let (route, schedule) = written();
    let from = schedule.start() + SignedDuration::from_hours(20);
    let faster = |leg: usize, scheduled: &route::ScheduledLeg| {
        assert!(leg >= 1, "the first leg is behind her");
        Sail { kn: scheduled.speed_kn + 2.0, load: scheduled.load }
    };
    let sooner = route.resailed(&schedule, from, faster, |_| None).schedule().unwrap();
    let mut hours = 0.0;
    for leg in schedule.legs().iter().skip(1) {
        let behind =
            (schedule.at(from).run - leg.run_before).nmi().clamp(0.0, leg.leg.length().nmi());
        let left = leg.leg.length().nmi() - behind;
        hours += left / leg.speed_kn - left / (leg.speed_kn + 2.0);
    }
    let apart = schedule.arrival().duration_since(sooner.arrival()).as_secs_f64() / 3600.0;
    assert!((apart - hours).abs() < 1.0e-4, "{apart} {hours}");
    let (then, now) = (schedule.at(from), sooner.at(from));
    assert!((then.run - now.run).m().abs() < 1.0);
}

/// A stay takes the length asked for, the ETD that would have ended it notwithstanding; without one it is left out.
#[test]
fn ident_a_stay_takes_the_length_asked_for() {
    let (route, schedule) = written();
    let start = schedule.start();
    for hours in [0, 2, 30] {
        let lies = |i: usize| (i == 3).then(|| SignedDuration::from_hours(hours));
        let changed = route.resailed(&schedule, start, |_, leg| Sail::as_scheduled(leg), lies);
        let changed = changed.schedule().unwrap();
        let call = changed.calls()[3];
        assert_eq!(call.leave.duration_since(call.arrive), SignedDuration::from_hours(hours));
        assert_eq!(apart_ms(call.arrive, schedule.calls()[3].arrive), 0);
        let shift = call.leave.duration_since(schedule.calls()[3].leave);
        let later = changed.arrival().duration_since(schedule.arrival());
        assert!((later - shift).as_millis().abs() < 20, "{hours} h");
    }
    // At anchor now, since 2 Jan 0332: an hour is over already, so she sails at once.
    let now = at("2026-01-02T20:00Z");
    assert!(schedule.at(now).leg.is_none());
    let lies = |i: usize| (i == 3).then(|| SignedDuration::from_hours(1));
    let gone = route.resailed(&schedule, now, |_, leg| Sail::as_scheduled(leg), lies);
    assert_eq!(gone.schedule().unwrap().calls()[3].leave, now);
}
