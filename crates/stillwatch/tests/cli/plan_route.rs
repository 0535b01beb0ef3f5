//! `stillwatch plan ROUTE`: the page's plan on the command line, and what is refused with its place.

use super::{run, text};

const ROUTE: &str = "departure: 2026-11-16T02:00Z\n12 00.0 S 045 10.0 E, \"Roads\"\n10 00.0 S 050 00.0 E, 12 kn, full away\n08 00.0 S 060 00.0 E, \"There\", 12 kn\n";

fn plan(route: &str, more: &[&str]) -> std::process::Output {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("there.txt");
    std::fs::write(&file, route).unwrap();
    drop(desk::Desk::open(folder.path(), "2026-11-15T00:00:00Z".parse().unwrap()).unwrap());
    let (file, ship) = (file.to_str().unwrap(), folder.path().to_str().unwrap());
    let words = ["plan", file, "--ship", ship, "--clock", "2026-11-16T00:00:00Z"];
    run(&[&words[..], more].concat(), b"")
}

#[test]
fn ident_a_route_is_planned_readably_as_json_and_as_a_picture() {
    let output = plan(ROUTE, &[]);
    let told = text(&output.stdout);
    assert!(output.status.success(), "{told}{}", text(&output.stderr));
    for says in ["There:", "ship's time", "The way, once a day", "Not for navigation"] {
        assert!(told.contains(says), "{says}: {told}");
    }
    let answer: serde_json::Value =
        serde_json::from_slice(&plan(ROUTE, &["--json"]).stdout).unwrap();
    assert!(told.starts_with(answer["says"].as_str().unwrap()), "{told}");
    assert!(!told.contains("P10") && answer["binding"].is_string(), "{told}");
    assert!(answer["samples"].as_array().unwrap().len() > 200);
    let band = &answer["on_arrival_t"];
    assert!(band["p10"].as_f64() <= band["p90"].as_f64(), "{band}");
    let picture = text(&plan(ROUTE, &["--svg"]).stdout);
    assert!(picture.starts_with("<?xml") && picture.contains("Distance off"), "{picture}");
}

#[test]
fn ident_a_wrong_route_names_file_line_and_field() {
    let wrong = ROUTE.replace("12 kn, full away", "12 knoots, full away");
    let output = plan(&wrong, &[]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    let told = text(&output.stderr);
    for says in ["there.txt", "line 3", "knoots"] {
        assert!(told.contains(says), "{says}: {told}");
    }
    let nowhere = run(&["plan", "no-such-route.txt", "--ship", "."], b"");
    assert!(text(&nowhere.stderr).contains("no-such-route.txt"));
    assert_eq!(nowhere.status.code(), Some(2));
    // Nobody writes a route exchange file by hand: an empty one is exported again.
    let folder = tempfile::tempdir().unwrap();
    drop(desk::Desk::open(folder.path(), "2026-11-15T00:00:00Z".parse().unwrap()).unwrap());
    for name in ["empty.rtz", "EMPTY.RTZP"] {
        let file = folder.path().join(name);
        std::fs::write(&file, "\n").unwrap();
        let (file, ship) = (file.to_str().unwrap(), folder.path().to_str().unwrap());
        let output = run(&["plan", file, "--ship", ship], b"");
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{told}");
        for says in [name, "the file is empty", "export the route again as RTZ"] {
            assert!(told.contains(says), "{says}: {told}");
        }
    }
}

/// Bad input of every kind: exit code 2, the file named, each fault with what was read, what is allowed and what to do.
#[test]
fn ident_bad_input_is_told_by_place_value_range_and_remedy() {
    let at = "departure: 2026-11-16T02:00Z\n20 S 160 E, A\n";
    let rtz = |root: &str, inside: &str| {
        format!(
            "<?xml version=\"1.0\"?>{root}<routeInfo routeName=\"x\"/><waypoints>{inside}</waypoints></route>"
        )
    };
    let ours = "<route version=\"1.0\" xmlns=\"http://www.cirm.org/RTZ/1/0\">";
    let waypoint = |id: u8, lat: f64| {
        format!("<waypoint id=\"{id}\"><position lat=\"{lat}\" lon=\"160\"/></waypoint>")
    };
    let cases: Vec<(String, &[&str])> = vec![
        (
            format!(
                "{at}15 S 160 E, ETA 2026-11-20 00:00Z\n10 S 160 E, ETA 2026-11-18 00:00Z\n5 S 160 E, ETA 2026-11-17 00:00Z\n"
            ),
            &[
                "waypoint 3: ETA 2026-11-18",
                "waypoint 4: ETA 2026-11-17",
                "must be after 2026-11-20",
                "put the waypoints in the order",
            ],
        ),
        (
            format!("{at}20 S 160 E, 12 kn\n10 S 160 E\n"),
            &["waypoint 2: position", "same place", "leave one of them out"],
        ),
        (
            format!("{at}10 S 160 E, ETA 2026-11-15 00:00Z\n"),
            &["ETA 2026-11-15", "she sails on 2026-11-16", "correct the ETA"],
        ),
        (
            format!("{at}10 S 160 O, 12 kn\n"),
            &["line 3: position \"10 S 160 O\"", "Ost (east)", "slip for 0"],
        ),
        (
            format!("{at}91 S 160 E, 12 kn\nParis\n5 S 160 E, 99 kn\n"),
            &[
                "line 3: position latitude -91",
                "line 4: position \"Paris\"",
                "line 5: speed 99 kn",
                "2 waypoints could be read",
            ],
        ),
        (
            rtz("<!DOCTYPE route [<!ENTITY a \"aaaa\">]><route>", ""),
            &["without a DTD", "export the route again"],
        ),
        (
            rtz("<route xmlns=\"http://www.example.org/x\">", ""),
            &["http://www.example.org/x", "/RTZ/1/0", "export the route as RTZ"],
        ),
        (
            rtz(ours, &[waypoint(1, -20.0), waypoint(2, -95.0), waypoint(2, -10.0)].concat()),
            &["id \"2\": position latitude -95", "id given to two waypoints", "allowed are 90°S"],
        ),
        (String::new(), &["file without any position", "write one waypoint a line"]),
        ("\u{0}".repeat(5 << 20), &["file of 5 MB", "allowed are up to 4 MB"]),
    ];
    for (route, wanted) in cases {
        let output = plan(&route, &[]);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{told}");
        for part in wanted.iter().chain(&["there.txt"]) {
            assert!(told.contains(part), "{part}: {told}");
        }
        let lines: Vec<&str> = told.lines().collect();
        for (i, line) in lines.iter().enumerate() {
            assert!(!lines[i + 1..].contains(line), "told twice: {told}");
        }
    }
}

/// Dated events that are wrong are told as such, every one of them, and not as faults of the route.
#[test]
fn ident_wrong_events_are_all_told_by_their_own_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("there.txt");
    std::fs::write(&file, ROUTE).unwrap();
    drop(desk::Desk::open(folder.path(), "2026-11-15T00:00:00Z".parse().unwrap()).unwrap());
    let events = "[[area]]\nname = \"bow\"\ncorners = [\"0 N 50 E\", \"10 N 60 E\", \"10 N 50 E\", \"0 N 60 E\"]\n[[draw]]\nname = \"x\"\nfrom = \"soon\"\nhours = -1\nt = 9000\n[[drew]]\n";
    std::fs::write(folder.path().join(desk::passage::EVENTS_FILE), events).unwrap();
    let words = ["plan", file.to_str().unwrap(), "--ship", folder.path().to_str().unwrap()];
    let output = run(&words, b"");
    let told = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    for part in [
        "events.toml: area \"bow\": side 1 crosses side 3",
        "events.toml: draw \"x\": from \"soon\" is no time",
        "hours -1, allowed 0.1 to 240 h",
        "t 9000, allowed 0 to 5000 t",
        "line 9: unknown word `drew`",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
    assert!(!told.contains("there.txt"), "{told}");
}

/// Who asks for a plan in a folder without a record is told; nothing is written there.
#[test]
fn ident_a_folder_without_a_record_stays_without_one() {
    let folder = tempfile::tempdir().unwrap();
    let (file, record) = (folder.path().join("there.txt"), folder.path().join(desk::RECORD_FILE));
    std::fs::write(&file, ROUTE).unwrap();
    drop(desk::Desk::open(folder.path(), "2026-11-15T00:00:00Z".parse().unwrap()).unwrap());
    std::fs::remove_file(&record).unwrap();
    let before = std::fs::read_dir(folder.path()).unwrap().count();
    let words = ["plan", file.to_str().unwrap(), "--ship", folder.path().to_str().unwrap()];
    let output = run(&words, b"");
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stdout));
    assert!(text(&output.stderr).contains(desk::RECORD_FILE), "{}", text(&output.stderr));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), before);
}
