//! A file being taken in when the program is killed: none of it or all of it is there, and taking it in again is safe.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use desk::Desk;
use desk::correct::Correction;
use desk::import::{Asked, Import};
use jiff::Timestamp;
use logbook::Kind;

/// Set for the copy of this program that takes the file in until it is killed.
const TAKER: &str = "STILLWATCH_TEST_TAKER";
/// Rows of the file; each holds three values.
const ROWS: u64 = 3000;

fn now() -> Timestamp {
    "2026-11-25T06:00:00Z".parse().unwrap()
}

fn file() -> String {
    let mut text = "time utc;Jacket water in (°C);Sea water in (°C);barometer_hpa\n".to_owned();
    for i in 0..ROWS {
        let at = Timestamp::from_second(1_700_000_000 + i.cast_signed() * 3600).unwrap();
        let (jacket, sea) = (80 + i % 7, 24 + i % 9);
        writeln!(text, "{at};{jacket},5;{sea},0;10{:02}", i % 40).unwrap();
    }
    text
}

fn take(folder: &Path) -> Import {
    let asked = Asked { name: "old log.csv".into(), actor: "ce".into(), ..Asked::default() };
    Desk::open(folder, now()).unwrap().import(file().as_bytes(), &asked, now()).unwrap()
}

/// Not a check by itself: in the copy that the next test starts it takes the file in until it is killed.
#[test]
fn takes_the_file_until_killed_when_told_to() {
    let Ok(folder) = std::env::var(TAKER) else { return };
    assert!(take(Path::new(&folder)).plan.problems.is_empty());
}

fn taker(folder: &Path) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "takes_the_file_until_killed_when_told_to"])
        .env(TAKER, folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[test]
fn ident_a_file_is_taken_whole_or_not_at_all_when_the_program_is_killed() {
    let whole = tempfile::tempdir().unwrap();
    let started = Instant::now();
    assert!(taker(whole.path()).wait().unwrap().success());
    // The kills are spread over what the taking lasts here today.
    let lasts = started.elapsed();
    let (mut none, mut all) = (0, 0);
    for round in 1..=9_u32 {
        let folder = tempfile::tempdir().unwrap();
        let mut child = taker(folder.path());
        std::thread::sleep(lasts * round / 8 + Duration::from_millis(u64::from(round % 3)));
        child.kill().unwrap();
        child.wait().unwrap();

        let desk = Desk::open(folder.path(), now()).unwrap();
        assert!(desk.verify().unwrap().is_whole(), "round {round}");
        let reader = desk.record().unwrap();
        let kinds = |kind| {
            reader
                .entries_from(1, usize::MAX >> 1)
                .unwrap()
                .iter()
                .filter(|e| e.kind == kind)
                .count()
        };
        let (files, readings) = (kinds(Kind::Import), kinds(Kind::Reading) as u64);
        let there = match (files, readings) {
            (0, 0) => 0,
            (1, ROWS) => 3 * ROWS,
            found => panic!("round {round}: {found:?} of 1 file and {ROWS} rows"),
        };
        if there == 0 {
            none += 1
        } else {
            all += 1
        }
        drop((reader, desk));

        let again = take(folder.path());
        assert_eq!((again.known as u64, again.new as u64), (there, 3 * ROWS - there));
        let desk = Desk::open(folder.path(), now()).unwrap();
        let names = desk.record().unwrap().names().unwrap();
        assert!(names.values().all(|&count| count == ROWS), "round {round}: {names:?}");
        assert_eq!(names.len(), 3);
        assert!(desk.verify().unwrap().is_whole());
        drop(desk);
        assert_eq!(take(folder.path()).new, 0);
    }
    assert!(none > 0, "no kill came before the end; {all} after it");
}

#[test]
fn ident_a_value_that_stands_twice_in_a_file_or_was_corrected_is_taken_once() {
    let folder = tempfile::tempdir().unwrap();
    let desk = Desk::open(folder.path(), now()).unwrap();
    let asked = Asked { name: "a.csv".into(), actor: "ce".into(), ..Asked::default() };
    let text = "time utc,jacket_in_c,sea_temp_c\n2026-10-01T04:00:00Z,83,27\n\
                2026-10-01T08:00:00Z,84,27\n2026-10-01T04:00:00Z,83,28\n2026-10-01T08:00:00Z,84,27\n";
    let done = desk.import(text.as_bytes(), &asked, now()).unwrap();
    assert_eq!((done.new, done.known, done.plan.read, done.plan.taken), (5, 3, 4, 3));
    let first = desk.record().unwrap().entry(1).unwrap().unwrap();
    assert_eq!(first.values.len(), 2);
    desk.correct(
        Correction {
            seq: 1,
            key: "jacket_in_c",
            text: "82",
            unit: "degC",
            reason: "misread",
            actor: "2e",
            stands: false,
        },
        now(),
    )
    .unwrap();
    // What the file says was there once, whatever stands now.
    assert_eq!(desk.import(text.as_bytes(), &asked, now()).unwrap().new, 0);
}
