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
    let slips: [(String, &[&str]); 31] = [
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
        (with(sail, "12 kn, 14 kn", ""), &["line 2", "speed \"14 kn\"", "said here already"]),
        (with(sail, "12 knt", ""), &["line 2", "\"12 knt\"", "quotes"]),
        (with(sail, "A, B, 12 kn", ""), &["line 2", "\"B\""]),
        (
            with(sail, "12 kn, grate circle", ""),
            &["line 2", "great circle", "as a name put it in quotes: \"grate circle\""],
        ),
        (with(sail, "12 kn, Achorage", ""), &["line 2", "“anchorage” was meant"]),
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

/// Of a file every fault is told, each with its line, and over a waypoint that is missing only what holds of each by itself.
#[test]
fn all_faults_of_a_file_are_told_with_their_lines() {
    let text = "departure: 2025-11-16 00:00Z\n20 S 160 E, A\nnonsense\n91 S 160 E, X, 12 kn\n15 S 160 E, B, 120 kn\n10 S 160 E, C, anchor -2 h, load 200 %\n5 S 160 E, ETA soon\n";
    let said = said(text);
    for (line, part) in [
        (3, "nonsense"),
        (4, "latitude -91"),
        (5, "speed 120 kn"),
        (6, "load 200 %"),
        (6, "stay -0.08 days"),
        (7, "ETA \"soon\""),
    ] {
        let told = |one: &&String| one.starts_with(&format!("line {line}:")) && one.contains(part);
        assert_eq!(said.iter().filter(told).count(), 1, "line {line} {part}: {said:#?}");
    }
    assert_eq!(said.len(), 6, "{said:#?}");
    let table = "name,lat,lon,speed\nA,-20,160,12\nB,-95,160,12\nC,-10,160,12\nD,-10,161,99\n";
    let said = crate::said(table);
    assert!(
        said[0].starts_with("line 3: position latitude -95")
            && said[1].starts_with("line 5: speed 99 kn"),
        "{said:#?}"
    );
    // Every ETA that is out of order, and every place that is written twice.
    let text = "departure: 2025-11-16 00:00Z\n20 S 160 E\n15 S 160 E, ETA 2025-11-20 00:00Z\n10 S 160 E, ETA 2025-11-18 00:00Z\n5 S 160 E, ETA 2025-11-17 00:00Z\n5 S 160 E, ETA 2025-11-15 00:00Z\n";
    let said = crate::said(text);
    let about = |part: &str| said.iter().filter(|one| one.contains(part)).count();
    assert_eq!(
        (about("must be after 2025-11-20 00:00Z"), about("she sails on"), about("same place")),
        (2, 1, 1),
        "{said:#?}"
    );
}

/// In place of a waypoint that could not be read stands a line that cannot be read either: a hole is never sailed over.
#[test]
fn what_was_read_is_written_with_its_holes() {
    let text = "departure: 2025-11-16 00:00Z\nnowhere\n20 S 160 E, A\n91 S 160 E\n10 S 160 E, B, 12 kn\n10 S 161 O\n";
    let reading = Reading::of_bytes(text.as_bytes());
    let lines = reading.to_lines();
    let found: Vec<&str> = lines.lines().map(|line| line.split(':').next().unwrap()).collect();
    assert_eq!(
        found,
        [
            "line 2",
            "-20 160, \"A\", ETD 2025-11-16 00",
            "line 4",
            "-10 160, \"B\", 12 kn",
            "line 6"
        ],
        "{lines}"
    );
    let again = Reading::of_bytes(lines.as_bytes());
    assert_eq!(
        (again.waypoints_read(), again.lacks_a_waypoint(), again.is_clear()),
        (2, true, false)
    );
    assert_eq!(again.problems.len(), 3, "{:#?}", again.problems);
    let whole = Reading::of_bytes(with("ETD 2026-11-09 02:00Z", "12 kn", "").as_bytes());
    assert_eq!(whole.to_lines(), whole.route.unwrap().to_lines());
}

/// The most that is written for a leg stays with the route, however it is written.
#[test]
fn a_speed_over_the_most_of_a_leg_is_told_of_a_typed_route_too() {
    let text = with("ETD 2026-11-09 02:00Z", "12 kn, at most 10 kn", "12 kn, max 12.5 kn");
    let said = said(&text);
    let over: Vec<&String> = said.iter().filter(|one| one.contains("most written")).collect();
    assert_eq!(over.len(), 1, "{said:#?}");
    assert!(
        over[0].starts_with("waypoint 2: speed 12 kn") && over[0].contains("10 kn"),
        "{over:?}"
    );
    assert!(
        crate::said(&with("ETD 2026-11-09 02:00Z", "at most 70 kn", ""))[0].contains("up to 60 kn")
    );
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
