//! A round signed by two at once, withdrawn whole, altered behind the program's back, or written by a clock that went back.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]

use std::path::Path;
use std::sync::Arc;

use desk::Desk;
use desk::entry::TypedRound;
use jiff::{SignedDuration, Timestamp};

fn at() -> Timestamp {
    "2026-11-20T06:00:00Z".parse().expect("time")
}

/// Jacket water in, and nothing else, as typed.
fn round(actor: &str, jacket_in: &str) -> TypedRound {
    let typed = (jacket_in.to_owned(), "degC".to_owned());
    TypedRound {
        actor: actor.to_owned(),
        values: [("jacket_in_c".to_owned(), typed)].into(),
        token: format!("{actor} {jacket_in}"),
        ..TypedRound::default()
    }
}

fn aboard() -> (tempfile::TempDir, Arc<Desk>) {
    let folder = tempfile::tempdir().expect("folder");
    let desk = Desk::open(folder.path(), at()).expect("opened");
    (folder, Arc::new(desk))
}

#[test]
fn ident_of_two_who_sign_the_same_minute_at_once_one_is_refused() {
    let (_folder, desk) = aboard();
    for minute in 0..8 {
        let then = at() + SignedDuration::from_mins(minute);
        let sign = |actor: &'static str, text: &'static str| {
            let desk = Arc::clone(&desk);
            let typed = TypedRound { token: format!("{actor} {minute}"), ..round(actor, text) };
            std::thread::spawn(move || desk.sign_round(&typed, then, then).is_ok())
        };
        let both = [sign("2e", "79.5"), sign("3e", "81.0")];
        let signed = both.into_iter().map(|t| t.join().expect("ran"));
        assert_eq!(signed.filter(|signed| *signed).count(), 1, "minute {minute}");
        assert_eq!(desk.head().expect("head").0, minute.unsigned_abs() + 1);
    }
}

#[test]
fn ident_a_round_written_by_mistake_is_withdrawn_and_stays_readable() {
    let (_folder, desk) = aboard();
    let signed = desk.sign_round(&round("2e", "79.5"), at(), at()).expect("signed");
    assert!(desk.withdraw_round(at(), " ", "2e", at()).is_err(), "a reason is wanted");
    desk.withdraw_round(at(), "wrong hour", "2e", at()).expect("withdrawn");
    assert!(desk.rounds(at(), 5).expect("read").is_empty(), "it counts no more");
    let old = desk.entries(Some(signed.seq + 1), 1).expect("read").pop().expect("entry");
    assert_eq!(old.value("jacket_in_c").and_then(|v| v.text.clone()).as_deref(), Some("79.5"));
    assert!(desk.withdraw_round(at(), "wrong hour", "2e", at()).is_err(), "nothing stands there");
    desk.sign_round(&round("2e", "80.5"), at(), at()).expect("the minute is free again");
}

/// Puts another figure in place of one in the record's file, as somebody with a file editor would.
fn alter(folder: &Path, old: &[u8], new: &[u8]) {
    let file = folder.join("record.sqlite");
    // Closed by its writer alone, everything is in the file itself.
    drop(logbook::Book::open(&file, "A1", at()).expect("opened"));
    let mut bytes = std::fs::read(&file).expect("record");
    let places: Vec<usize> =
        (0..bytes.len() - old.len()).filter(|place| bytes[*place..].starts_with(old)).collect();
    assert!(!places.is_empty());
    for place in places {
        bytes[place..place + new.len()].copy_from_slice(new);
    }
    std::fs::write(&file, bytes).expect("written");
}

#[test]
fn ident_what_was_altered_further_back_is_found_and_told() {
    let (folder, desk) = aboard();
    for (minute, text) in [(0, "79.5"), (1, "80.5"), (2, "81.5")] {
        let then = at() + SignedDuration::from_mins(minute);
        desk.sign_round(&round("2e", text), then, then).expect("signed");
    }
    desk.verify().expect("walked");
    assert!(desk.altered().is_none());
    drop(desk);
    alter(folder.path(), b"79.5", b"78.5");
    let later = at() + SignedDuration::from_mins(5);
    let desk = Desk::open(folder.path(), later).expect("opens: the newest entry is in order");
    assert!(desk.broken().is_none());
    desk.verify().expect("walked");
    assert_eq!(desk.altered().and_then(|broken| broken.seq), Some(1));
}

#[test]
fn ident_a_clock_behind_the_newest_entry_is_told() {
    let (_folder, desk) = aboard();
    assert_eq!(desk.clock_behind_s(at()).expect("read"), None);
    desk.sign_round(&round("2e", "79.5"), at(), at()).expect("signed");
    let behind =
        |minutes| desk.clock_behind_s(at() - SignedDuration::from_mins(minutes)).expect("read");
    assert_eq!((behind(1), behind(3)), (None, Some(180)));
}

#[test]
fn ident_a_tank_that_rises_by_more_than_is_made_is_asked_about() {
    let folder = tempfile::tempdir().expect("folder");
    let now: Timestamp = "2025-11-16T04:20:00Z".parse().expect("time");
    let desk = desk::demo::open(folder.path(), now, 1789).expect("demonstration");
    let tank = desk.setup().ship.tanks[0].clone();
    let stood = desk.now(now).expect("now").tanks[0].sounding_cm;
    let sounded = |cm: f64| {
        let key = format!("{}{}", desk::round::SOUNDING, tank.key);
        let values = [(key, (cm.to_string(), String::new()))].into();
        desk.check_round(
            &TypedRound { actor: "2e".to_owned(), values, ..TypedRound::default() },
            now,
        )
        .expect("checked")
    };
    let doubted = |cm: f64| sounded(cm).lines.iter().any(|line| line.waits());
    assert!(!doubted(stood - 20.0) && !doubted(stood + 5.0));
    assert!(doubted(stood + 60.0), "{} at {stood} cm", tank.name);
}
