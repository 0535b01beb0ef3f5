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
