//! Times from speeds, from ETAs and from both; phases, loads and what a moment tells.

use jiff::SignedDuration;
use quantity::Fraction;
use route::{Phase, Route, Schedule};

use crate::{at, clear};

/// Along the equator a degree of longitude is 60.1077 nautical miles: π/180 × 6,378,137 m (NIMA TR8350.2) / 1852 m.
const EQUATOR_NMI: f64 = 60.107_742;

fn equator(lines: &[&str]) -> Route {
    let text: Vec<String> =
        lines.iter().enumerate().map(|(i, words)| format!("0 0 N {i} 0 E, {words}")).collect();
    clear(&text.join("\n"))
}

fn schedule(lines: &[&str]) -> Schedule {
    equator(lines).schedule().unwrap()
}

fn speeds(schedule: &Schedule) -> Vec<f64> {
    schedule.legs().iter().map(|leg| leg.speed_kn).collect()
}

#[test]
fn ident_a_speed_holds_until_another_is_given() {
    let schedule = schedule(&["ETD 2026-01-01 00:00Z", "10 kn", "A", "12 kn", "B"]);
    assert_eq!(speeds(&schedule), [10.0, 10.0, 12.0, 12.0]);
    let hours = schedule.arrival().duration_since(schedule.departure()).as_secs_f64() / 3600.0;
    assert!((hours - EQUATOR_NMI * (2.0 / 10.0 + 2.0 / 12.0)).abs() < 1e-5);
}

#[test]
fn ident_a_speed_on_the_first_waypoint_is_that_of_the_route() {
    assert_eq!(speeds(&schedule(&["ETD 2026-01-01 00:00Z, 11.5 kn", "A", "B"])), [11.5, 11.5]);
}

#[test]
fn ident_an_eta_asks_the_same_speed_of_all_legs_without_one() {
    let schedule = schedule(&[
        "ETD 2026-01-01 00:00Z",
        "10 kn",
        "anchor 3 h",
        "A",
        "ETA 2026-01-02 12:00Z",
        "B",
    ]);
    // Thirty-six hours less the first leg and the stay, for three degrees.
    let asked = 3.0 * EQUATOR_NMI / (36.0 - 3.0 - EQUATOR_NMI / 10.0);
    let found = speeds(&schedule);
    assert_eq!(found[0], 10.0);
    for speed in &found[1..4] {
        assert!((speed - asked).abs() < 1e-5, "{found:?}, {asked}");
    }
    // And goes on with it.
    assert_eq!(found[3], found[4]);
    assert_eq!(schedule.calls()[4].arrive, at("2026-01-02T12:00Z"));
}

#[test]
fn ident_stays_follow_each_other_and_the_last_runs_until_the_etd() {
    let schedule = schedule(&[
        "berth 5 h, ETD 2026-01-01 05:00Z, 60 kn",
        "anchor 2 h, berth, ETD 2026-01-01 12:00Z",
        "drift 90 min",
        "anchor",
    ]);
    assert_eq!(schedule.start(), at("2026-01-01T00:00Z"));
    assert_eq!(schedule.departure(), at("2026-01-01T05:00Z"));
    let call = schedule.calls()[1];
    assert_eq!(call.leave, at("2026-01-01T12:00Z"));
    let phase =
        |hours: f64| schedule.at(call.arrive + SignedDuration::from_secs_f64(hours * 3600.0)).phase;
    assert_eq!(
        [phase(0.0), phase(1.9), phase(2.1)],
        [Phase::Anchorage, Phase::Anchorage, Phase::Berth]
    );
    let drift = schedule.calls()[2];
    assert_eq!(drift.leave.duration_since(drift.arrive), SignedDuration::from_mins(90));
    assert_eq!(schedule.at(schedule.end()).phase, Phase::Anchorage);
    assert_eq!(schedule.at(at("2025-01-01T00:00Z")).phase, Phase::Berth);
}

#[test]
fn ident_phases_run_from_mark_to_mark() {
    let schedule = schedule(&[
        "berth 1 h, ETD 2026-01-01 00:00Z, 12 kn",
        "pilotage",
        "full away",
        "A",
        "canal",
        "full away",
        "end of passage",
        "anchor 6 h",
        "B",
        "full away",
        "C",
    ]);
    use Phase::{Manoeuvring, Pilotage, SeaPassage};
    let phases: Vec<Phase> = schedule.legs().iter().map(|leg| leg.phase).collect();
    assert_eq!(
        phases,
        [
            Manoeuvring,
            Pilotage,
            SeaPassage,
            SeaPassage,
            Pilotage,
            SeaPassage,
            Pilotage,
            Manoeuvring,
            Manoeuvring,
            SeaPassage
        ]
    );
    let passages: Vec<_> =
        schedule.sea_passages().iter().map(|one| (one.from_waypoint, one.to_waypoint)).collect();
    assert_eq!(passages, [(2, 4), (5, 6), (9, 10)]);
    let second = schedule.sea_passages()[1];
    assert_eq!(second.full_away, schedule.calls()[5].leave);
    assert_eq!(schedule.sea_passage_at(second.full_away), Some(&second));
    assert_eq!(schedule.sea_passage_at(second.end), None);
    assert_eq!(schedule.sea_passage_at(schedule.start()), None);
}

/// A ship that drifts or anchors on the way ends her sea passage there and begins another.
#[test]
fn ident_a_stay_parts_a_sea_passage() {
    let schedule = schedule(&["ETD 2026-01-01 00:00Z, 12 kn", "drift 6 h", "A"]);
    assert_eq!(schedule.sea_passages().len(), 2);
    assert_eq!(schedule.sea_passages()[0].end, schedule.calls()[1].arrive);
    assert_eq!(schedule.sea_passages()[1].full_away, schedule.calls()[1].leave);
}

#[test]
fn ident_a_load_holds_in_its_phase() {
    let schedule = schedule(&[
        "ETD 2026-01-01 00:00Z, 12 kn",
        "load 25 %, full away",
        "load 80 %",
        "end of passage",
        "A",
    ]);
    let loads: Vec<_> = schedule.legs().iter().map(|leg| leg.load.map(Fraction::percent)).collect();
    assert_eq!(loads, [Some(25.0), Some(80.0), Some(80.0), None]);
}

#[test]
fn ident_a_moment_tells_course_speed_and_distance() {
    let schedule = schedule(&["ETD 2026-01-01 00:00Z, 12 kn, berth 2 h", "A", "anchor 1 h"]);
    let moment = schedule.at(at("2026-01-01T03:00Z"));
    assert_eq!((moment.leg, moment.is_under_way()), (Some(0), true));
    assert!((moment.course.unwrap().degrees() - 90.0).abs() < 1e-9);
    assert!((moment.run.nmi() - 36.0).abs() < 1e-5);
    assert!((moment.position.lon_deg() - 36.0 / EQUATOR_NMI).abs() < 1e-6);
    let lying = schedule.at(at("2025-12-31T23:00Z"));
    assert_eq!((lying.leg, lying.course, lying.is_under_way()), (None, None, false));
    assert_eq!((lying.speed_kn, lying.load), (0.0, Some(Fraction::from_ratio(0.0))));
}
