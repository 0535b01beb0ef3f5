//! The record on the command line: taken out, taken back, altered and gone on from.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::path::Path;
use std::process::{Command, Output};

fn log(words: &[&str], paths: &[&Path], rest: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_stillwatch"))
        .arg("log")
        .args(words)
        .args(paths)
        .args(rest)
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

#[test]
fn ident_a_record_is_taken_back_whole_and_a_broken_end_is_gone_on_from_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let csv = "time utc,jacket_in_c,sea_temp_c\n2026-10-01T04:00:00Z,83,27\n2026-10-01T08:00:00Z,84.5,27\n";
    std::fs::write(path("a.csv"), csv).unwrap();
    let taken = log(&["import"], &[&path("ship"), &path("a.csv")], &["--by", "ce"]);
    assert!(taken.status.success(), "{}", said(&taken));
    let out = path("a.jsonl");
    let written =
        log(&["export"], &[&path("ship")], &["--as", "lines", "--out", out.to_str().unwrap()]);
    assert!(written.status.success(), "{}", said(&written));

    let ship = path("ship").join("ship.toml");
    let text = std::fs::read_to_string(&ship).unwrap().replace("unnamed", "Marram");
    std::fs::write(path("ship.toml"), &text).unwrap();
    let back = log(&["restore"], &[&path("other"), &out], &["--by", "ce"]);
    assert!(back.status.success(), "{}", said(&back));
    let proof = |name: &str| log(&["verify"], &[&path(name)], &[]);
    let whole = String::from_utf8(proof("ship").stdout).unwrap();
    assert!(whole.starts_with("3 entries in order, head "), "{whole}");
    let head = whole.trim().rsplit(' ').next().unwrap();
    assert!(said(&back).contains(head) && said(&back).contains("ship.toml taken back"));
    assert_eq!(std::fs::read_to_string(path("other").join("ship.toml")).unwrap(), text);
    // One entry more: by whom it was taken back, and from what.
    assert!(said(&proof("other")).starts_with("4 entries in order"));
    let told = said(&log(&["export"], &[&path("other")], &["--as", "lines"]));
    assert!(told.contains("\"kind\":\"restore\"") && told.contains("\"file\":\"a.jsonl\""));
    let again = log(&["restore"], &[&path("other"), &out], &["--by", "ce"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(said(&again).contains("holds entries 1 to 4 already"), "{}", said(&again));
    let spoiled = std::fs::read_to_string(&out).unwrap().replace("84.5", "85.5");
    std::fs::write(path("b.jsonl"), spoiled).unwrap();
    let refused = log(&["restore"], &[&path("third"), &path("b.jsonl")], &["--by", "ce"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(said(&refused).contains("b.jsonl, line 2: field hash"), "{}", said(&refused));
    // A record that is not taken leaves no ship file behind: mended, the file brings both.
    assert!(!path("third").exists(), "a folder that was made is taken away again");
    let mended = log(&["restore"], &[&path("third"), &out], &["--by", "ce"]);
    assert!(mended.status.success() && path("third").join("ship.toml").exists());
    // Without a ship file the record would stand over a typical ship's sheet: asked first.
    std::fs::remove_file(path("ship.toml")).unwrap();
    let alone = log(&["restore"], &[&path("fourth"), &out], &["--by", "ce"]);
    assert_eq!(alone.status.code(), Some(2));
    assert!(said(&alone).contains("no ship.toml lies beside") && !path("fourth").exists());
    let blank = log(&["restore"], &[&path("fourth"), &out], &["--by", "ce", "--blank-ship"]);
    assert!(blank.status.success() && path("fourth").join("ship.toml").exists());

    let file = path("ship").join("record.sqlite");
    // Closed by its writer, everything is in the file itself.
    drop(logbook::Book::open(&file, "A1", "2026-11-25T06:00:00Z".parse().unwrap()).unwrap());
    let mut bytes = std::fs::read(&file).unwrap();
    let place = bytes.windows(5).position(|seen| seen == b"a.csv").unwrap();
    bytes[place] ^= 1;
    std::fs::write(&file, bytes).unwrap();
    let broken = proof("ship");
    assert_eq!(broken.status.code(), Some(3));
    assert!(said(&broken).contains("first out of order: entry 3"), "{}", said(&broken));
    std::fs::write(path("c.csv"), csv.replace("2026-10-01", "2026-10-02")).unwrap();
    let import = || log(&["import"], &[&path("ship"), &path("c.csv")], &["--by", "ce"]);
    let stopped = import();
    assert_eq!(stopped.status.code(), Some(3));
    assert!(said(&stopped).contains("go on from entry 3 by name"), "{}", said(&stopped));
    let reason = ["--by", "ce", "--reason", "sheet of 1 October compared"];
    let went = log(&["go-on"], &[&path("ship")], &reason);
    assert!(went.status.success() && said(&went).contains("entry 4: "), "{}", said(&went));
    assert!(import().status.success());
    assert!(said(&proof("ship")).contains("first out of order: entry 3"));
}

#[test]
fn ident_what_only_reads_works_while_the_pages_are_open_and_writing_says_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let (ship, csv) = (folder.path().join("ship"), folder.path().join("a.csv"));
    std::fs::write(&csv, "time,jacket_in_c\n20.10.2026 04:00,83\n").unwrap();
    let now = "2026-11-25T06:00:00Z".parse().unwrap();
    let open = desk::Desk::open(&ship, now).unwrap();
    let dry = log(&["import"], &[&ship, &csv], &["--dry-run"]);
    assert!(dry.status.success(), "{}", said(&dry));
    for says in
        ["1 values would be taken", "ship’s time, which was never set", "the day comes first"]
    {
        assert!(said(&dry).contains(says), "{says}: {}", said(&dry));
    }
    let taken = log(&["import"], &[&ship, &csv], &["--by", "ce"]);
    assert_eq!(taken.status.code(), Some(4));
    assert!(said(&taken).contains("end that program first"), "{}", said(&taken));
    assert!(said(&taken).contains("take files in on the page Readings"), "{}", said(&taken));
    for word in ["verify", "export"] {
        let read = log(&[word], &[&ship], &[]);
        assert!(read.status.success(), "{word}: {}", said(&read));
    }
    drop(open);
    assert!(log(&["import"], &[&ship, &csv], &["--by", "ce"]).status.success());
    let nowhere = log(&["import"], &[&folder.path().join("none"), &csv], &["--dry-run"]);
    assert_eq!(nowhere.status.code(), Some(2));
    assert!(!folder.path().join("none").exists(), "a dry run makes no folder");
}

#[test]
fn ident_the_clock_and_the_order_of_dates_can_be_said() {
    let folder = tempfile::tempdir().unwrap();
    let (ship, csv) = (folder.path().join("ship"), folder.path().join("a.csv"));
    std::fs::write(&csv, "time,jacket_in_c\n3/4/2026 04:00,83\n").unwrap();
    drop(desk::Desk::open(&ship, "2026-11-25T06:00:00Z".parse().unwrap()).unwrap());
    let look = |rest: &[&str]| log(&["import", "--dry-run"], &[&ship, &csv], rest);
    let asked = look(&[]);
    assert!(
        asked.status.code() == Some(2) && said(&asked).contains("say which"),
        "{}",
        said(&asked)
    );
    let west = look(&["--dates", "month-first", "--times", "-03:30"]);
    assert!(west.status.success(), "{}", said(&west));
    assert!(said(&west).contains("UTC-03:30, as was said"), "{}", said(&west));
    assert!(said(&west).contains("the month comes first, as you say"), "{}", said(&west));
    let no_clock = look(&["--times", "noon"]);
    assert!(no_clock.status.code() == Some(2) && said(&no_clock).contains("--times ship"));
}
