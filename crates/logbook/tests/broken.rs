//! An entry out of order: the record still opens, is read around it, takes emergencies, and goes on only by name.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::fs;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Error, Kind, Value, Zone, verify};

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_760_000_000 + second).unwrap()
}

fn reading(second: i64, text: &str) -> Draft {
    let value = Value::number("jacket_in_c", text, "degC", text.parse::<f64>().unwrap() + 273.15);
    Draft::reading(at(second), Author::hand("3e"), vec![value])
}

fn book(path: &Path) -> Book {
    Book::open_with_ballast(path, "A1", at(4000), 0).unwrap()
}

/// A clock change and three readings; the file holds all of it.
fn filled(folder: &Path) -> PathBuf {
    let path = folder.join("record.sqlite");
    let mut book = book(&path);
    book.append(Draft::zone_change(at(0), 600, Author::hand("3o"), "master"), at(0)).unwrap();
    for (second, text) in [(60, "81.25"), (120, "82.25"), (180, "83.25")] {
        book.append(reading(second, text), at(second + 5)).unwrap();
    }
    path
}

/// Where in the file the canonical text of an entry stands.
fn text_of(path: &Path, seq: u64) -> std::ops::Range<usize> {
    let reader = logbook::Reader::open(path).unwrap();
    let canonical = reader.canonical(seq).unwrap().unwrap();
    drop(reader);
    let file = fs::read(path).unwrap();
    let places: Vec<usize> = file
        .windows(canonical.len())
        .enumerate()
        .filter_map(|(place, bytes)| (bytes == canonical.as_bytes()).then_some(place))
        .collect();
    assert_eq!(places.len(), 1);
    places[0]..places[0] + canonical.len()
}

fn flip(path: &Path, place: usize, bit: usize) {
    let mut file = fs::read(path).unwrap();
    file[place] ^= 1 << bit;
    fs::write(path, file).unwrap();
}

fn named(path: &Path) -> Option<u64> {
    let reader = logbook::Reader::open(path).unwrap();
    verify(&reader, |_, _| ()).unwrap().broken.and_then(|broken| broken.seq)
}

#[test]
fn ident_after_a_broken_newest_entry_only_emergencies_until_somebody_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path());
    let text = text_of(&path, 4);
    flip(&path, text.end - 60, 2);
    let mut book = book(&path);
    assert_eq!(book.broken().and_then(|broken| broken.seq), Some(4));
    assert!(book.broken().unwrap().to_string().contains("entry 4: text and hash do not fit"));

    let refused = book.append(reading(240, "84.25"), at(4100)).unwrap_err();
    assert!(matches!(refused, Error::AfterBreak { seq: 4, .. }), "{refused:?}");
    assert!(refused.to_string().contains("go on from entry 4 by name"));
    let many = book.append_many([(reading(240, "84.25"), at(245))]).unwrap_err();
    assert!(matches!(many, Error::AfterBreak { seq: 4, .. }));
    let sealed = book.seal_day(at(200), Author::hand("ce"), at(4100));
    assert!(matches!(sealed, Err(Error::AfterBreak { seq: 4, .. })));
    let mended = book.withdraw(2, "wrong ship", Author::hand("ce"), at(4100));
    assert!(matches!(mended, Err(Error::AfterBreak { seq: 4, .. })));
    assert_eq!(book.head().0, 4);

    let stopped = || Draft::emergency_note(Author::hand("3e"), "plant stopped, flooding");
    assert_eq!(book.append(stopped(), at(4110)).unwrap().seq, 5);
    drop(book);
    // The note itself is in order; what it follows is not, and the next start knows.
    let mut book = self::book(&path);
    assert_eq!(book.broken().and_then(|broken| broken.seq), Some(4));
    assert!(book.append(reading(240, "84.25"), at(4120)).is_err());
    assert_eq!(book.append(stopped(), at(4120)).unwrap().seq, 6);
    let note = book.reader().unwrap().entry(5).unwrap().unwrap();
    assert_eq!(note.details["after broken entry"], "4");

    assert!(matches!(
        book.go_on(Author::hand("ce"), "  ", at(4130)),
        Err(Error::Field { field: "reason", .. })
    ));
    let went = book.go_on(Author::hand("ce"), "backup lost, sheet compared", at(4140)).unwrap();
    let entry = book.reader().unwrap().entry(went.seq).unwrap().unwrap();
    assert_eq!(entry.kind, Kind::Override);
    assert_eq!((entry.author.actor.as_str(), entry.details["broken entry"].as_str()), ("ce", "4"));
    assert!(book.broken().is_none());
    assert_eq!(book.append(reading(240, "84.25"), at(4150)).unwrap().seq, 8);
    assert!(book.go_on(Author::hand("ce"), "again", at(4160)).is_err());
    drop(book);
    assert!(self::book(&path).broken().is_none());
    assert_eq!(named(&path), Some(4));
}

#[test]
fn ident_a_flipped_bit_anywhere_in_the_newest_entry_is_told_and_read_around() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path());
    let text = text_of(&path, 4);
    // The 32 bytes of the hash follow the text in the row.
    for (turn, place) in (text.start..text.end + 32).step_by(7).enumerate() {
        let bit = turn % 8;
        flip(&path, place, bit);
        let book = book(&path);
        let broken = book.broken().and_then(|broken| broken.seq);
        assert_eq!(broken, Some(4), "bit {bit} of byte {}", place - text.start);
        let reader = book.reader().unwrap();
        assert!(matches!(reader.entry(4), Err(Error::Broken { seq: 4, .. })));
        let seen: Vec<u64> =
            reader.entries(None, 9).unwrap().iter().map(|entry| entry.seq).collect();
        assert_eq!(seen, [3, 2, 1]);
        assert_eq!(reader.rounds(None, None, 9).unwrap().len(), 2);
        let latest = reader.latest("jacket_in_c", None).unwrap().unwrap();
        assert_eq!(latest.text.as_deref(), Some("82.25"));
        drop((reader, book));
        assert_eq!(named(&path), Some(4));
        flip(&path, place, bit);
    }
    assert_eq!(named(&path), None);
}

#[test]
fn ident_an_old_break_stops_neither_opening_nor_the_clock_nor_writing() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path());
    // The move of the clocks, which is the first entry as well.
    let clock = text_of(&path, 1);
    flip(&path, clock.start + 20, 7);
    let mut book = book(&path);
    assert!(book.broken().is_none());
    let reader = book.reader().unwrap();
    assert_eq!(reader.ship_clock().unwrap().zone(at(99)), Zone::from_hours(10).unwrap());
    assert_eq!(book.append(reading(240, "84.25"), at(4100)).unwrap().seq, 5);
    assert!(matches!(
        book.withdraw(1, "wrong zone", Author::hand("3o"), at(4110)),
        Err(Error::Broken { seq: 1, .. })
    ));
    drop((reader, book));
    assert_eq!(named(&path), Some(1));
}

#[test]
fn ident_the_only_entry_broken_leaves_a_record_that_opens() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    book(&path).append(reading(0, "80.5"), at(5)).unwrap();
    let text = text_of(&path, 1);
    flip(&path, text.start, 0);
    let mut book = book(&path);
    assert_eq!(book.broken().and_then(|broken| broken.seq), Some(1));
    assert!(book.reader().unwrap().rounds(None, None, 9).unwrap().is_empty());
    let went = book.go_on(Author::hand("ce"), "nothing else in it yet", at(4000)).unwrap();
    assert_eq!(went.seq, 2);
    assert_eq!(named(&path), Some(1));
}
