//! Soundings reckoned forward on the demonstration ship: by the counter, by its rate, by the model.

use super::*;
use crate::demo;
use crate::now::NowView;
use crate::passage::{Events, aboard, as_changed};
use crate::view::Band;
use route::Reading;

const SOUNDED: &str = "2025-11-14T00:00:00Z";

fn later(hours: i64) -> Timestamp {
    let sounded: Timestamp = SOUNDED.parse().expect("a moment");
    sounded + SignedDuration::from_hours(hours)
}

/// The demonstration ship at sea, every tank sounded at one moment, with so many counter readings: hours after, m³.
fn carried(
    meter: &[(i64, f64)],
    hours: i64,
    change: impl Fn(&mut NowView),
) -> (Carried, Vec<Tank>, Vec<Tank>, Demand) {
    let folder = tempfile::tempdir().expect("folder");
    let at = "2025-11-16T04:20:00Z".parse().expect("a moment");
    let desk = demo::open(folder.path(), at, 1789).expect("opened");
    let ship = desk.setup().ship.clone();
    let text = desk.route_text().expect("read").expect("a route");
    let route = Reading::of_bytes(text.as_bytes()).route.expect("a route");
    let (_, schedule) = as_changed(&route, &Events::default(), &ship).expect("scheduled");
    let demand = aboard::demand(&ship, &Events::default());
    let mut now = desk.now(at).expect("now");
    for tank in &mut now.tanks {
        tank.at = later(0);
    }
    change(&mut now);
    let mut rounds = desk.rounds(at, 1).expect("rounds");
    let newest = rounds.pop().expect("a round");
    let read = |(hours, m3): &(i64, f64)| {
        let mut round = newest.clone();
        round.at = later(*hours);
        round.cells.get_mut(METER).expect("counted").value = Some(*m3);
        round
    };
    let rounds: Vec<Round> = meter.iter().map(read).collect();
    let put = |tank: usize, duty: &str| PutOn {
        at: later(-9),
        tank: ship.tanks[tank].key.clone(),
        duty: duty.to_owned(),
    };
    let put_on = [put(0, "filling"), put(1, "serving")];
    let before = aboard::tanks(&ship, &now);
    let mut tanks = before.clone();
    let since = Since {
        ship: &ship,
        now: &now,
        rounds: &rounds,
        put_on: &put_on,
        demand: &demand,
        schedule: &schedule,
        share: 0.9,
    };
    (since.carry(&mut tanks, later(hours)), before, tanks, demand)
}

fn sum(tanks: &[Tank]) -> f64 {
    tanks.iter().map(|tank| tank.stock_t).sum()
}

/// Six hours after: what the counter ran is in the tank that is filled, a quarter of a day's use is out of the others.
#[test]
fn ident_what_is_aboard_is_carried_by_the_counter_and_the_use() {
    let (carried, before, after, demand) = carried(&[(-2, 4000.0), (6, 4008.0)], 6, |_| ());
    let (made, used) = (6.0 * 0.992, 0.25 * demand.day_at_sea_t());
    assert!((sum(&after) - sum(&before) - made + used).abs() < 1e-6, "{before:?} {after:?}");
    assert!((after[0].stock_t - before[0].stock_t - made).abs() < 1e-6);
    let says = carried.says((0.0, 0.0, 0.0)).expect("told");
    assert!(says.contains("sounded 6 h ago, 6.0 t made since by the meter, "), "{says}");
    assert!(says.contains(" t used as planned"), "{says}");
    // The rod alone: half of 2 % of what is aboard.
    assert!(carried.sd_t > 0.01 * carried.together_t, "{}", carried.sd_t);
}

/// After the counter's last reading its rate goes on; the older the soundings, the wider the band.
#[test]
fn ident_the_rate_goes_on_and_the_band_grows() {
    let read = [(-2, 4000.0), (2, 4004.0)];
    let (six, before, after, demand) = carried(&read, 6, |_| ());
    let change = sum(&after) - sum(&before);
    assert!((change - 6.0 * 0.992 + 0.25 * demand.day_at_sea_t()).abs() < 1e-6, "{change}");
    assert!(
        six.says((0.0, 0.0, 0.0)).is_some_and(|says| says.contains("from its last reading on"))
    );
    let (twelve, ..) = carried_of(&read, 12);
    assert!(twelve.sd_t > six.sd_t, "{} {}", twelve.sd_t, six.sd_t);
}

fn carried_of(meter: &[(i64, f64)], hours: i64) -> (Carried, Vec<Tank>, Vec<Tank>, Demand) {
    carried(meter, hours, |_| ())
}

/// Where no counter was read the model tells, and is named; a plant shut down makes nothing.
#[test]
fn ident_without_a_counter_the_model_tells() {
    let should = Band { low: 18.0, middle: 20.0, high: 22.0 };
    let running = |now: &mut NowView| now.verdict = Verdict::Running { made: 19.0, should };
    let (carried, before, after, demand) = self::carried(&[], 6, running);
    // Nine tenths of 20 t a day, for a quarter of it.
    let change = sum(&after) - sum(&before);
    assert!((change - 4.5 + 0.25 * demand.day_at_sea_t()).abs() < 1e-6, "{change}");
    assert!(carried.says((0.0, 0.0, 0.0)).is_some_and(|says| says.contains("by the model")));
    let shut = |now: &mut NowView| now.verdict = Verdict::ShutDown { since: Some(later(0)) };
    let (_, before, after, demand) = self::carried(&[], 6, shut);
    let change = sum(&after) - sum(&before);
    assert!((change + 0.25 * demand.day_at_sea_t()).abs() < 1e-6, "{change}");
}

/// A tank sounded just now is as it was sounded; the others are reckoned on from their own soundings.
#[test]
fn ident_a_newer_sounding_wins_and_stamps_no_other_tank() {
    let just_now = |now: &mut NowView| now.tanks[1].at = later(6);
    let read = [(-2, 4000.0), (6, 4008.0)];
    let (carried, before, after, demand) = carried(&read, 6, just_now);
    assert_eq!(after[1].stock_t.to_bits(), before[1].stock_t.to_bits());
    assert!((after[0].stock_t - before[0].stock_t - 6.0 * 0.992).abs() < 1e-6);
    // What the serving tank gave is in its sounding; drinking and distilled water are drawn from their own.
    let others = demand.drinking_t_day + demand.technical_sea_t_day;
    let change = sum(&after) - sum(&before) - 6.0 * 0.992;
    assert!((change + 0.25 * others).abs() < 1e-6, "{change}");
    let name = &before[1].name;
    assert!(
        carried
            .says((0.0, 0.0, 0.0))
            .is_some_and(|says| !says.contains(&format!("{name}: sounded")))
    );
}
