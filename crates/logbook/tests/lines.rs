//! A record written out as lines and taken back: the same to the last sign, or refused with line and field.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::path::Path;

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Error, Hash, Kind, Quality, Reader, Restored, Value, verify};

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_760_000_000 + second).unwrap()
}

fn book(path: &Path) -> Book {
    Book::open_with_ballast(path, "A1", at(0), 0).unwrap()
}

/// A record with one of everything that has rules of its own.
fn filled(folder: &Path) -> Book {
    let mut book = book(&folder.join("record.sqlite"));
    let hand = || Author::hand("3e");
    book.append(Draft::zone_change(at(0), 600, hand(), "master"), at(0)).unwrap();
    let value = |c: f64| Value::number("jacket_in_c", format!("{c}"), "degC", c + 273.15);
    let words = Value::word("brine_level", "\"steady\" – 1\u{2044}2\n");
    let odd = value(0.1).with_quality(Quality::Doubtful, "glass");
    for i in 1..40 {
        let values = vec![value(80.0 + i as f64 / 7.0), words.clone()];
        book.append(Draft::reading(at(i * 60), hand(), values).token(format!("t{i}")), at(i * 61))
            .unwrap();
    }
    book.append(Draft::reading(at(3000), hand(), vec![odd]), at(3001)).unwrap();
    let mended = book.correct(5, vec![value(82.0)], "misread", hand(), at(3010)).unwrap();
    book.withdraw(mended.seq, "it was right", hand(), at(3020)).unwrap();
    book.append(Draft::note(hand(), "back").at(at(100)), at(2000)).unwrap();
    book.seal_day(at(3000), Author::hand("ce"), at(3030)).unwrap();
    book
}

fn lines(reader: &Reader) -> Vec<String> {
    (1..=reader.count().unwrap()).map(|seq| reader.line(seq).unwrap().unwrap()).collect()
}

/// Taken back a week after its newest entry: nobody is asked whether the clock is right.
fn take(book: &mut Book, lines: &[u8], name: &str) -> Result<Restored, Error> {
    book.take_lines(lines, name, Author::hand("ce"), at(604_800))
}

#[test]
fn ident_a_record_taken_back_from_its_lines_is_the_same_to_the_last_sign() {
    let folder = tempfile::tempdir().unwrap();
    let whole = filled(folder.path());
    let (reader, head) = (whole.reader().unwrap(), whole.head());
    let out = lines(&reader);
    let mut other = book(&folder.path().join("other.sqlite"));
    let restored = take(&mut other, format!("{}\n", out.join("\n")).as_bytes(), "a.jsonl").unwrap();
    assert_eq!((restored.entries, restored.head), head);
    let back = other.reader().unwrap();
    let (told, same) = (lines(&back).pop().unwrap(), &lines(&back)[..out.len()]);
    assert_eq!(same, out);
    // One entry more says who took it back, from what.
    let told_of = back.entry(head.0 + 1).unwrap().unwrap();
    assert_eq!((told_of.kind, told_of.author.actor.as_str()), (Kind::Restore, "ce"), "{told}");
    let says = |key: &str| told_of.details.get(key).map(String::as_str);
    let (entries, hash) = (head.0.to_string(), head.1.to_string());
    assert_eq!(says("file"), Some("a.jsonl"));
    assert_eq!((says("entries"), says("head")), (Some(&*entries), Some(&*hash)));
    assert!(verify(&back, |_, _| ()).unwrap().is_whole());
    assert_eq!(back.rounds(None, None, 99).unwrap(), reader.rounds(None, None, 99).unwrap());
    assert_eq!(back.seals(9).unwrap(), reader.seals(9).unwrap());
    assert_eq!(back.ship_clock().unwrap().changes(), reader.ship_clock().unwrap().changes());
    // Writing goes on, marks of old forms are known, and a second file is refused.
    let again = Draft::reading(at(60), Author::hand("3e"), Vec::new()).token("t1");
    assert!(other.append(again, at(604_840)).unwrap().repeated);
    other.append(Draft::note(Author::hand("3e"), "on"), at(604_850)).unwrap();
    let refused = take(&mut other, out.join("\n").as_bytes(), "a.jsonl").unwrap_err();
    assert!(matches!(refused, Error::NotEmpty { last } if last == head.0 + 2), "{refused:?}");
    drop((back, other));
    assert_eq!(book(&folder.path().join("other.sqlite")).head().0, head.0 + 2);
}

/// The line with its hash made anew, as somebody would who alters it knowingly.
fn rehashed(line: &str, change: impl Fn(&str) -> String) -> String {
    let (open, _) = line.rsplit_once(",\"hash\":\"").unwrap();
    let changed = change(&format!("{open}}}"));
    let hash = Hash::of_entry(&changed);
    format!("{},\"hash\":\"{hash}\"}}", changed.strip_suffix('}').unwrap())
}

#[test]
fn ident_a_line_that_is_not_right_is_named_with_its_field_and_nothing_is_taken() {
    let folder = tempfile::tempdir().unwrap();
    let out = lines(&filled(folder.path()).reader().unwrap());
    let mut other = book(&folder.path().join("other.sqlite"));
    let mut refused = |change: &dyn Fn(&mut Vec<String>), line: u64, says: &str| {
        let mut changed = out.clone();
        change(&mut changed);
        let error = take(&mut other, changed.join("\n").as_bytes(), "a.jsonl").unwrap_err();
        let told = error.to_string();
        assert!(matches!(error, Error::Line { line: found, .. } if found == line), "{told}");
        assert!(told.contains(says) && told.starts_with("a.jsonl, line "), "{says}: {told}");
        assert_eq!(other.head().0, 0);
        assert_eq!(other.reader().unwrap().count().unwrap(), 0);
    };
    let altered = |old: &'static str, new: &'static str| {
        move |lines: &mut Vec<String>| lines[9] = lines[9].replace(old, new)
    };
    refused(&altered("steady", "steaming"), 10, "field hash: it is");
    refused(&altered(",\"hash\":\"", ",\"hush\":\""), 10, "field hash: the line must end");
    refused(&|lines| drop(lines.remove(9)), 10, "field seq: 11 where entry 10");
    refused(&|lines| lines.swap(3, 4), 4, "field seq: 5 where entry 4");
    refused(&|lines| lines[4].truncate(80), 5, "field hash");
    refused(&|lines| lines[6] = "no entry".to_owned(), 7, "field hash");
    let knowingly = |old: &'static str, new: &'static str| {
        move |lines: &mut Vec<String>| {
            lines[9] = rehashed(&lines[9], |text| text.replacen(old, new, 1));
        }
    };
    // What is altered with its hash made anew breaks the link of the next.
    refused(&knowingly("steady", "steaming"), 11, "field prev: ");
    refused(&knowingly("\"kind\":\"reading\"", "\"kind\":\"rumour\""), 10, "kind \"rumour\"");
    refused(&knowingly("\"actor\":", "\"actress\":"), 10, "actress");
    refused(&knowingly("\"seq\":10", "\"seq\":10,\"regards\":10"), 10, "field regards: 10");
    refused(&knowingly("{\"actor\"", "{ \"actor\""), 10, "field hash: it is not that of the");
    refused(&knowingly("\"token\":\"t9\"", "\"token\":\"t3\""), 10, "field token: entry 4");
}

#[test]
fn ident_an_entry_out_of_order_is_written_out_as_it_is_and_not_taken_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    drop(filled(folder.path()));
    let mut bytes = std::fs::read(&path).unwrap();
    let place = bytes.windows(12).position(|seen| seen == b"it was right").unwrap();
    bytes[place] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let reader = Reader::open(&path).unwrap();
    let out = lines(&reader);
    assert_eq!(out.len() as u64, reader.count().unwrap());
    let mut other = book(&folder.path().join("other.sqlite"));
    let refused = take(&mut other, out.join("\n").as_bytes(), "a.jsonl").unwrap_err();
    let kind = |line: u64| reader.entry(line).map(|e| e.map(|e| e.kind));
    let Error::Line { line, .. } = refused else { unreachable!("{refused:?}") };
    assert!(matches!(kind(line), Err(Error::Broken { .. })));
    assert_eq!(kind(line - 1).unwrap(), Some(Kind::Correction));
    assert!(take(&mut other, b"\xff\n", "b.jsonl").is_err());
    // An empty file is an empty record.
    assert_eq!(take(&mut other, b"\n", "c.jsonl").unwrap().entries, 0);
    assert_eq!(other.head().0, 0);
}
