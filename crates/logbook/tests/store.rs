//! The store under what goes wrong aboard: killed, cut off, altered, foreign, held by another, corrected.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Error, Reader, Value, verify};

/// Set for the copy of this program that only writes until it is killed.
const WRITER: &str = "STILLWATCH_TEST_WRITER";

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_760_000_000 + second).unwrap()
}

fn reading(second: i64, celsius: f64) -> Draft {
    let value = Value::number("jacket_in_c", format!("{celsius}"), "degC", celsius + 273.15);
    Draft::reading(
        at(second),
        Author::hand("3e"),
        vec![value, Value::word("brine_level", "steady")],
    )
}

fn book(path: &Path) -> Book {
    Book::open_with_ballast(path, "A1", at(0), 0).unwrap()
}

fn filled(folder: &Path, entries: i64) -> PathBuf {
    let path = folder.join("record.sqlite");
    let mut book = book(&path);
    let drafts = (0..entries).map(|i| (reading(i * 60, 80.0 + (i % 10) as f64), at(i * 60 + 5)));
    book.append_many(drafts.collect::<Vec<_>>()).unwrap();
    path
}

/// Not a check by itself: in the copy that `ident_nothing_acknowledged_is_lost…` starts it writes until it is killed.
#[test]
fn writes_until_killed_when_told_to() {
    let Ok(path) = std::env::var(WRITER) else { return };
    let mut book = book(Path::new(&path));
    let first = i64::try_from(book.head().0).unwrap();
    for i in first..1_000_000 {
        if i % 7 == 3 {
            let many: Vec<_> =
                (0..50).map(|k| (reading(i * 600 + k, 85.0), at(i * 600 + k))).collect();
            let last = book.append_many(many).unwrap().pop().unwrap();
            println!("{}", last.seq);
        } else {
            println!("{}", book.append(reading(i * 600, 85.0), at(i * 600 + 5)).unwrap().seq);
        }
    }
}

#[test]
fn ident_nothing_acknowledged_is_lost_when_the_writer_is_killed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let mut acknowledged = 0;
    for round in 0..25_u64 {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writes_until_killed_when_told_to", "--nocapture"])
            .env(WRITER, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let listener = std::thread::spawn(move || {
            lines.map_while(Result::ok).filter_map(|line| line.trim().parse::<u64>().ok()).max()
        });
        std::thread::sleep(Duration::from_millis(60 + (round * 37) % 140));
        child.kill().unwrap();
        child.wait().unwrap();
        acknowledged = acknowledged.max(listener.join().unwrap().unwrap_or(0));
        let book = book(&path);
        let reader = book.reader().unwrap();
        assert!(
            reader.count().unwrap() >= acknowledged,
            "round {round}: {acknowledged} were acknowledged"
        );
        let verdict = verify(&reader, |_, _| ()).unwrap();
        assert!(verdict.is_whole(), "round {round}: {:?}", verdict.broken);
    }
    assert!(acknowledged > 50, "{acknowledged}");
}

#[test]
fn ident_one_flipped_bit_is_never_another_value() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path(), 120);
    let whole = fs::read(&path).unwrap();
    let truth = Reader::open(&path).unwrap().rounds(None, None, 1000).unwrap();
    assert_eq!(truth.len(), 120);
    let copy = folder.path().join("copy.sqlite");
    let mut told = 0;
    for i in 0..200_usize {
        // Places spread over the file by a fixed odd stride (golden ratio), every bit in turn.
        let place = (i * 40_503 * 7) % whole.len();
        let mut altered = whole.clone();
        altered[place] ^= 1 << (i % 8);
        fs::write(&copy, &altered).unwrap();
        let Ok(reader) = Reader::open(&copy) else {
            told += 1;
            continue;
        };
        match verify(&reader, |_, _| ()) {
            Ok(verdict) if verdict.is_whole() => {
                // Free space or a byte that says nothing: the answers are the same.
                assert_eq!(
                    reader.rounds(None, None, 1000).unwrap(),
                    truth,
                    "bit {} of byte {place}",
                    i % 8
                );
            }
            Ok(_) | Err(_) => told += 1,
        }
    }
    assert!(told > 50, "{told}");
}

#[test]
fn ident_what_is_no_record_is_told_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let refuse =
        |path: &Path| Book::open_with_ballast(path, "A1", at(0), 0).map(|_| ()).unwrap_err();
    assert!(matches!(refuse(folder.path()), Error::Directory { .. }));
    fs::write(path("empty"), b"").unwrap();
    assert!(matches!(refuse(&path("empty")), Error::Empty { .. }));
    fs::write(
        path("words"),
        "not a record, but words enough to fill the header of one, and some more of them",
    )
    .unwrap();
    assert!(matches!(refuse(&path("words")), Error::Foreign { .. }));
    rusqlite::Connection::open(path("other")).unwrap().execute_batch("CREATE TABLE x (y)").unwrap();
    assert!(matches!(refuse(&path("other")), Error::Foreign { .. }));
    let record = filled(folder.path(), 50);
    let whole = fs::read(&record).unwrap();
    fs::write(path("cut"), &whole[..whole.len() - 5000]).unwrap();
    assert!(matches!(refuse(&path("cut")), Error::Truncated { .. } | Error::Damaged { .. }));
    rusqlite::Connection::open(&record).unwrap().execute_batch("PRAGMA user_version = 99").unwrap();
    let before = fs::read(&record).unwrap();
    let newer = refuse(&record);
    assert!(matches!(newer, Error::Newer { found: 99, .. }), "{newer:?}");
    assert_eq!(fs::read(&record).unwrap(), before);
    for error in [newer, refuse(&path("empty"))] {
        assert!(error.to_string().len() > 30);
    }
}

#[test]
fn ident_two_writers_the_second_is_told_who_holds_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path(), 5);
    let first = book(&path);
    let second = Book::open_with_ballast(&path, "A1", at(0), 0).map(|_| ()).unwrap_err();
    assert!(matches!(&second, Error::Locked { holder } if !holder.is_empty()), "{second:?}");
    assert_eq!(Reader::open(&path).unwrap().count().unwrap(), 5);
    drop(first);
    assert_eq!(book(&path).head().0, 5);
}

#[test]
fn ident_nothing_is_changed_or_removed_by_any_tool() {
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path(), 5);
    let conn = rusqlite::Connection::open(&path).unwrap();
    assert!(conn.execute("UPDATE entry SET canonical = '{}' WHERE seq = 2", []).is_err());
    assert!(conn.execute("DELETE FROM entry WHERE seq = 5", []).is_err());
    // Somebody who takes the triggers away first is told at once; one who puts them back is found by the walk.
    let sql = "SELECT sql FROM sqlite_schema WHERE name = 'entry_is_never_changed'";
    let trigger: String = conn.query_row(sql, [], |row| row.get(0)).unwrap();
    conn.execute_batch("DROP TRIGGER entry_is_never_changed").unwrap();
    assert!(matches!(Reader::open(&path), Err(Error::Damaged { .. })));
    conn.execute("UPDATE entry SET canonical = replace(canonical, '81', '91') WHERE seq = 2", [])
        .unwrap();
    conn.execute_batch(&trigger).unwrap();
    drop(conn);
    let verdict = verify(&Reader::open(&path).unwrap(), |_, _| ()).unwrap();
    assert_eq!(verdict.broken.and_then(|b| b.seq), Some(2));
}

#[test]
fn ident_a_form_posted_twice_is_one_entry_and_corrections_stand() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let mut book = book(&path);
    let first = book.append(reading(0, 85.0).token("form 1"), at(10)).unwrap();
    let again = book.append(reading(0, 85.0).token("form 1"), at(20)).unwrap();
    assert_eq!((again.seq, again.repeated), (first.seq, true));
    let value = |c: f64| vec![Value::number("jacket_in_c", format!("{c}"), "degC", c + 273.15)];
    assert!(book.correct(first.seq, value(82.0), "", Author::hand("2e"), at(30)).is_err());
    let mended =
        book.correct(first.seq, value(82.0), "misread", Author::hand("2e"), at(30)).unwrap();
    book.correct(mended.seq, value(82.5), "glass wiped", Author::hand("2e"), at(40)).unwrap();
    let reader = book.reader().unwrap();
    let latest = reader.latest("jacket_in_c", None).unwrap().unwrap();
    assert_eq!(latest.text.as_deref(), Some("82.5"));
    assert_eq!(latest.corrected.unwrap().text.as_deref(), Some("82"));
    book.withdraw(first.seq, "wrong ship", Author::hand("ce"), at(50)).unwrap();
    assert!(reader.latest("jacket_in_c", None).unwrap().is_none());
    assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_a_seal_proves_and_a_slip_of_the_pen_is_no_alteration() {
    use logbook::SealCheck;
    let folder = tempfile::tempdir().unwrap();
    let path = filled(folder.path(), 20);
    let mut book = book(&path);
    let day = "2025-10-09".parse().unwrap();
    let (_, seal) = book.seal_day(at(1000), Author::hand("ce"), at(2000)).unwrap();
    assert_eq!(seal.day, day);
    let code = seal.code().to_string();
    let reader = book.reader().unwrap();
    assert!(matches!(reader.compare_seal(day, &code).unwrap(), SealCheck::Matches { .. }));
    let mut slip = code.clone();
    let first = slip.remove(0);
    slip.insert(0, if first == '7' { '8' } else { '7' });
    assert!(matches!(reader.compare_seal(day, &slip).unwrap(), SealCheck::Mistyped(_)));
    assert!(matches!(
        reader.compare_seal("2025-10-10".parse().unwrap(), &code).unwrap(),
        SealCheck::NoSeal
    ));
    assert!(book.seal_day(at(1000), Author::hand("ce"), at(2000)).is_err());
}
