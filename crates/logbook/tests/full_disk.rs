//! The store on a full disk and in a place that may not be written. Where no small disk can be mounted (it takes the
//! administrator) these say so; the database's own limit is checked everywhere beside the code.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Error, Reader, Value, verify};

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_760_000_000 + second).unwrap()
}

fn reading(second: i64) -> Draft {
    let value = Value::number("jacket_in_c", "85.0", "degC", 358.15);
    Draft::reading(at(second), Author::hand("3e"), vec![value])
}

/// A small disk in memory, taken away again when dropped.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn mount(bytes: u64) -> Option<Self> {
        let folder = tempfile::tempdir().ok()?;
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={bytes}"), "tmpfs"])
            .arg(folder.path())
            .output()
            .is_ok_and(|output| output.status.success());
        mounted.then_some(Self(folder))
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.path()).output();
    }
}

#[test]
fn ident_a_full_disk_loses_nothing_and_an_emergency_note_still_fits() {
    let Some(disk) = SmallDisk::mount(8 << 20) else {
        eprintln!("no small disk can be mounted here: the full disk is not checked");
        return;
    };
    let path = disk.path().join("record.sqlite");
    let mut book = Book::open_with_ballast(&path, "A1", at(0), 1 << 20).unwrap();
    assert!(book.has_ballast());
    let reader = book.reader().unwrap();
    let mut second = 0;
    let mut written = 0;
    let mut write = |book: &mut Book, written: &mut u64| {
        second += 60;
        let long = reading(second).reason("x".repeat(20_000));
        let receipt = book.append(long, at(second));
        if receipt.is_ok() {
            *written += 1;
        }
        receipt
    };
    while write(&mut book, &mut written).is_ok() {
        assert!(written < 1000, "the disk never fills up");
    }
    let filler = disk.path().join("filler");
    // What the log leaves over between its pages goes too.
    let _ = fs::write(&filler, vec![1; 1 << 20]);
    let refused = write(&mut book, &mut written).unwrap_err();
    assert!(
        matches!(refused, Error::DiskFull { needed_bytes } if needed_bytes > 20_000),
        "{refused:?}"
    );
    // Short notes may still find room in what the refused write left of the log: until they do not either.
    let short = || Draft::note(Author::hand("3e"), "plant stopped, flooding");
    while book.append(short(), at(60_000)).is_ok() {
        written += 1;
        assert!(written < 2000, "the disk never fills up");
    }
    assert_eq!(reader.count().unwrap(), written);
    assert!(reader.latest("jacket_in_c", None).unwrap().is_some());
    assert!(book.has_ballast());
    let note = Draft::emergency_note(Author::hand("3e"), "plant stopped, flooding");
    assert_eq!(book.append(note, at(1_000_000)).unwrap().seq, written + 1);
    assert!(!book.has_ballast());
    assert!(verify(&reader, |_, _| ()).unwrap().is_whole());
    // Room is made: writing goes on without a restart.
    fs::remove_file(&filler).unwrap();
    let next = reading(1_000_060);
    assert_eq!(book.append(next, at(1_000_060)).unwrap().seq, written + 2);
    drop((book, reader));
    let book = Book::open_with_ballast(&path, "A1", at(1_000_100), 0).unwrap();
    assert_eq!(book.head().0, written + 2);
    assert!(verify(&book.reader().unwrap(), |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_a_whole_history_that_does_not_fit_leaves_nothing_behind() {
    let Some(disk) = SmallDisk::mount(4 << 20) else {
        eprintln!("no small disk can be mounted here: the full disk is not checked");
        return;
    };
    let path = disk.path().join("record.sqlite");
    let mut book = Book::open_with_ballast(&path, "A1", at(0), 0).unwrap();
    book.append(reading(0), at(5)).unwrap();
    let many: Vec<_> = (1..20_000).map(|i| (reading(i * 60), at(i * 60 + 5))).collect();
    let refused = book.append_many(many).unwrap_err();
    assert!(matches!(refused, Error::DiskFull { .. }), "{refused:?}");
    assert_eq!(book.head().0, 1);
    assert_eq!(book.append(reading(60), at(65)).unwrap().seq, 2);
    assert!(verify(&book.reader().unwrap(), |_, _| ()).unwrap().is_whole());
}

#[test]
fn ident_a_write_protected_record_is_read_but_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    Book::open_with_ballast(&path, "A1", at(0), 0).unwrap().append(reading(0), at(5)).unwrap();
    let before = fs::read(&path).unwrap();
    let mark = |mode| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
    mark(0o444);
    let refused = Book::open_with_ballast(&path, "A1", at(10), 0).map(|_| ()).unwrap_err();
    assert!(matches!(refused, Error::ReadOnly { .. }), "{refused:?}");
    assert_eq!(Reader::open(&path).unwrap().count().unwrap(), 1);
    assert_eq!(fs::read(&path).unwrap(), before);
    mark(0o644);
}
