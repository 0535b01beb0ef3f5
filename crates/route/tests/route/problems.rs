//! Everything that can be wrong with a route gets a sentence that says where, what was read, what is allowed and what to do.

use route::{Fault, Place, Reading};

use crate::said;

/// A route with these words on its three waypoints.
fn with(first: &str, second: &str, third: &str) -> String {
    format!("0 0 N 0 0 E, {first}\n0 0 N 1 0 E, {second}\n0 0 N 2 0 E, {third}\n")
}

/// Each text, and what its first sentence must hold.
#[test]
fn every_slip_is_told_in_a_sentence() {
    let sail = "ETD 2026-11-09 02:00Z";
    let slips: [(String, &[&str]); 29] = [
        (with("", "12 kn", ""), &["waypoint 1", "departure", "ETD 2026-11-09 02:00Z"]),
        (with(sail, "A", "B"), &["waypoint 2 (A)", "speed", "13.2 kn"]),
        (with(sail, "0 kn", ""), &["waypoint 2", "0 kn", "above 0 up to 60 kn"]),
        (with(sail, "-3 kn", ""), &["waypoint 2", "-3 kn", "above 0"]),
        (with(sail, "61 kn", ""), &["61 kn", "60 kn"]),
        (with(sail, "nan kn", "12 kn"), &["waypoint 2 (nan kn)", "speed missing"]),
        (with(sail, "ETA 2026-11-09 02:30Z", ""), &["asks for 120.2 kn", "60.1 nmi in 0.5 h"]),
        (
            with(sail, "12 kn", "ETA 2026-11-09 03:00Z"),
            &["waypoint 3", "2026-11-09 03:00Z", "after 2026-11-09 07:00Z", "order"],
        ),
        (
            with(sail, "12 kn", "ETA 2026-11-08 03:00Z"),
            &["2026-11-08 03:00Z", "sails on 2026-11-09 02:00Z", "day and month"],
        ),
        (with(sail, "12 kn, anchor -2 h", ""), &["waypoint 2", "stay -0.08 days", "0 to 400 days"]),
        (with(sail, "12 kn, berth 401 d", ""), &["401 days", "400 days"]),
        (with(sail, "12 kn, anchor", ""), &["anchor without a length", "anchor 12 h"]),
        (
            with(sail, "12 kn, berth 3 d, ETD 2026-11-10 02:00Z", ""),
            &["ETD 2026-11-10 02:00Z", "not ready before 2026-11-12 07:00Z"],
        ),
        (with(sail, "12 kn, load 130 %", ""), &["load 130 %", "0 to 110 %"]),
        (with(sail, "12 kn", "12 kn\n0 0 N 2 0 E"), &["waypoint 4", "same place", "anchor 12 h"]),
        (String::new(), &["without any position", "one waypoint a line"]),
        (format!("0 0 N 0 0 E, {sail}"), &["waypoints 1", "2 to 5000", "add the place"]),
        (
            with(sail, "12 kn, 14 kn", ""),
            &["line 2", "speed or ETA \"14 kn\"", "said here already"],
        ),
        (with(sail, "12 knt", ""), &["line 2", "\"12 knt\"", "quotes"]),
        (with(sail, "A, B, 12 kn", ""), &["line 2", "\"B\""]),
        (with(sail, "12 kn, ETA soon", ""), &["ETA \"soon\"", "2026-11-20 06:00Z"]),
        (with(sail, "12 kn, berth 12", ""), &["stay \"12\"", "12 h"]),
        (with(sail, "12 kn, zone +15", ""), &["zone \"+15\"", "-14:00 to +14:00"]),
        (with(sail, "12 kn", "") + &"1,".repeat(3_000), &["line 4", "6000 characters", "4096"]),
        (with(sail, "12 kn", "") + "91 0 N 3 0 E", &["line 4", "latitude 91", "left out"]),
        (
            with(sail, "12 kn", "") + "151.9 -32.9",
            &["line 4", "latitude 151.9", "latitude comes first"],
        ),
        (
            with(sail, "12 kn", "") + "12 34.5 S, A, 9 kn",
            &["line 4: position \"12 34.5 S\": wanted one latitude", "comma"],
        ),
        (with(sail, "12 kn", "") + "nowhere", &["line 4", "position", "12°34.5'S"]),
        (with(sail, "0.000001 kn, anchor 400 d", "0.000000001 kn"), &["beyond the calendar"]),
    ];
    for (text, wanted) in slips {
        let said = said(&text);
        let first = said.first().unwrap_or_else(|| panic!("nothing said of {text}"));
        for part in wanted {
            assert!(first.contains(part), "{part:?} is not in {said:#?} about\n{text}");
        }
    }
}

#[test]
fn what_could_be_read_is_there_though_something_is_wrong() {
    let text = "0 0 N 0 0 E, A\nnowhere at all\n0 0 N 2 0 E, B, 12 kn\n";
    let reading = Reading::of_bytes(text.as_bytes());
    assert!(!reading.is_clear());
    assert_eq!(reading.waypoints_read(), 2);
    let names: Vec<_> = reading.route.unwrap().waypoints.into_iter().map(|one| one.name).collect();
    assert_eq!(names, ["A", "B"]);
    assert_eq!(reading.problems.len(), 1);
    assert_eq!(reading.problems[0].place, Place::Line(2));
}

#[test]
fn several_slips_are_all_told() {
    let text = with("ETD 2026-11-09 02:00Z", "12 kn, anchor -2 h, load 200 %", "berth 500 d");
    assert_eq!(said(&text).len(), 3, "{:#?}", said(&text));
}

#[test]
fn a_position_changed_over_is_suspected() {
    let text = "-5 150, ETD 2026-11-09 02:00Z, 12 kn\n-10 152\n12 -15\n-20 156\n";
    let said = said(text);
    assert!(!said.iter().any(|line| line.contains("changed over")), "{said:#?}");
    let text = "-5 80, ETD 2026-11-09 02:00Z, 12 kn\n-10 82\n84 -15\n-20 86\n";
    let reading = Reading::of_bytes(text.as_bytes());
    let suspects: Vec<_> = reading
        .problems
        .iter()
        .filter(|problem| matches!(problem.fault, Fault::Swapped { .. }))
        .map(|problem| problem.place.clone())
        .collect();
    assert_eq!(suspects, [Place::Waypoint { number: 3, name: String::new() }]);
    assert!(reading.is_clear());
}

#[test]
fn what_nobody_said_is_taken_and_told() {
    let said = said(&with("ETD 2026-11-09 02:00, 12 kn", "ETD 2026-11-10 02:00Z", ""));
    for (line, wanted) in said.iter().zip([
        "line 1: ETD \"2026-11-09 02:00\": without a zone it is taken as UTC",
        "waypoint 1: full away not marked: taken here",
        "waypoint 2: end of passage not marked: taken here",
        "waypoint 2: full away not marked: taken here",
        "waypoint 3: end of passage not marked: taken here",
        "waypoint 2: stay of 18.99 h, not said how: taken as at anchor",
    ]) {
        assert!(line.starts_with(wanted), "{line} / {wanted}");
    }
    assert_eq!(said.len(), 6);
}

#[test]
fn a_problem_gives_its_parts() {
    let text = with("ETD 2026-11-09 02:00Z", "72 kn", "");
    let reading = Reading::of_bytes(text.as_bytes());
    let [problem] = reading.problems.as_slice() else { panic!("one problem") };
    assert_eq!(problem.field(), "speed");
    assert_eq!(problem.read(), "72 kn");
    assert_eq!(problem.allowed(), "allowed are above 0 up to 60 kn");
    assert!(problem.remedy().starts_with("correct the speed"));
    assert!(!problem.is_note());
}
