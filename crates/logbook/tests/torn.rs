//! A power cut tears what was not yet on the disk: the record opens with what was acknowledged before, or says what is
//! broken.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::fs;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use logbook::{Author, Book, Draft, Entry, Error, Reader, Value, verify};

/// SQLite's page here, and what stands before one in the log (SQLite file format, §4).
const PAGE_BYTES: usize = 4096;
const FRAME_BYTES: usize = PAGE_BYTES + 24;

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_760_000_000 + second).unwrap()
}

fn reading(i: i64) -> Draft {
    let value = Value::number("jacket_in_c", format!("{}", 80 + i % 9), "degC", 353.15);
    Draft::reading(at(i * 60), Author::hand("3e"), vec![value]).reason("x".repeat(300))
}

fn book(path: &Path) -> Result<Book, Error> {
    Book::open_with_ballast(path, "A1", at(0), 0)
}

/// A record of which `entries` lie in the file and as many again only in the log, as a running program leaves them.
struct Torn {
    _folder: tempfile::TempDir,
    path: PathBuf,
    file: Vec<u8>,
    log: Vec<u8>,
    truth: Vec<Entry>,
    /// Bytes of the log when each entry of it was acknowledged.
    acknowledged: Vec<usize>,
}

fn running(entries: i64) -> Torn {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let drafts = (0..entries).map(|i| (reading(i), at(i * 60 + 5)));
    book(&path).unwrap().append_many(drafts).unwrap();
    let mut book = book(&path).unwrap();
    let beside = |suffix: &str| PathBuf::from(format!("{}{suffix}", path.display()));
    let mut acknowledged = Vec::new();
    for i in entries..2 * entries {
        book.append(reading(i), at(i * 60 + 5)).unwrap();
        acknowledged.push(usize::try_from(fs::metadata(beside("-wal")).unwrap().len()).unwrap());
    }
    let (file, log) = (fs::read(&path).unwrap(), fs::read(beside("-wal")).unwrap());
    let truth = book.reader().unwrap().entries_from(1, 1000).unwrap();
    drop(book);
    let path = folder.path().join("copy.sqlite");
    Torn { _folder: folder, path, file, log, truth, acknowledged }
}

impl Torn {
    /// Puts this file and log in place of the copy.
    fn lay(&self, file: &[u8], log: &[u8]) {
        for suffix in ["-shm", "-wal", ""] {
            let _ = fs::remove_file(format!("{}{suffix}", self.path.display()));
        }
        fs::write(&self.path, file).unwrap();
        fs::write(format!("{}-wal", self.path.display()), log).unwrap();
    }

    /// Opens the copy: every entry it holds is one that was written, and it can be written to; the number of entries.
    fn opens_with_a_prefix(&self, what: &str) -> usize {
        let opened = book(&self.path);
        assert!(opened.is_ok(), "{what}: {opened:?}");
        let mut book = opened.unwrap();
        let reader = book.reader().unwrap();
        let found = reader.entries_from(1, 1000).unwrap();
        assert_eq!(found, self.truth[..found.len()], "{what}");
        assert!(verify(&reader, |_, _| ()).unwrap().is_whole(), "{what}");
        let next = book.append(reading(500), at(30_005)).unwrap();
        assert_eq!(next.seq, found.len() as u64 + 1, "{what}");
        found.len()
    }
}

#[test]
fn ident_a_log_cut_off_or_half_written_leaves_what_was_acknowledged_before() {
    let torn = running(20);
    let whole = torn.log.len();
    assert!(torn.acknowledged.is_sorted() && torn.acknowledged.last() == Some(&whole));
    // Cuts at every quarter of a frame from the end, and the same stretch zeroed as a disk leaves unwritten blocks.
    for back in (0..14 * FRAME_BYTES).step_by(FRAME_BYTES / 4) {
        let kept = whole - back;
        let acknowledged = torn.acknowledged.iter().filter(|&&bytes| bytes <= kept).count();
        torn.lay(&torn.file, &torn.log[..kept]);
        let found = torn.opens_with_a_prefix(&format!("{back} bytes cut off"));
        assert!(found >= 20 + acknowledged, "{found} entries with {back} bytes cut off");
        let mut zeroed = torn.log.clone();
        zeroed[kept..].fill(0);
        torn.lay(&torn.file, &zeroed);
        let found = torn.opens_with_a_prefix(&format!("{back} bytes zeroed"));
        assert!(found >= 20 + acknowledged, "{found} entries with {back} bytes zeroed");
    }
    // A log torn in the middle of an early frame: what was acknowledged after it is lost with it, nothing is invented.
    for place in (FRAME_BYTES..whole).step_by(FRAME_BYTES * 3 + 700) {
        let mut holed = torn.log.clone();
        let end = (place + 512).min(whole);
        holed[place..end].fill(0xA5);
        torn.lay(&torn.file, &holed);
        torn.opens_with_a_prefix(&format!("sector at {place} overwritten"));
    }
}

#[test]
fn ident_a_file_whose_last_pages_are_gone_says_so_or_names_the_entry() {
    let torn = running(60);
    let pages = torn.file.len() / PAGE_BYTES;
    let mut told = 0;
    for lost in 1..pages {
        for cut in [true, false] {
            let mut file = torn.file.clone();
            let kept = (pages - lost) * PAGE_BYTES;
            if cut {
                file.truncate(kept)
            } else {
                file[kept..].fill(0)
            }
            torn.lay(&file, &[]);
            let what = format!("{lost} pages of {pages}, cut: {cut}");
            let error = match book(&torn.path) {
                Ok(book) => {
                    let reader = Reader::open(book.path()).unwrap();
                    let verdict = verify(&reader, |_, _| ()).unwrap();
                    let entries = reader.entries_from(1, 1000).unwrap();
                    assert!(entries.iter().all(|entry| torn.truth.contains(entry)), "{what}");
                    assert!(!verdict.is_whole(), "{what}");
                    verdict.broken.unwrap().to_string()
                }
                Err(error) => {
                    let clear = matches!(
                        error,
                        Error::Truncated { .. } | Error::Damaged { .. } | Error::Foreign { .. }
                    );
                    assert!(clear, "{what}: {error:?}");
                    error.to_string()
                }
            };
            assert!(error.len() > 10, "{what}: {error}");
            told += 1;
        }
    }
    assert!(told >= 10, "{told}");
}
