//! The record's file before anything is done to it: what it is, whether it is whole, whether it may be written.

use std::io::Read;
use std::path::{Path, PathBuf};

use crate::error::Error;
use crate::schema;

/// The 16 bytes every SQLite 3 file begins with (SQLite file format, §1.3).
const MAGIC: &[u8; 16] = b"SQLite format 3\0";
const HEADER_BYTES: usize = 100;

/// What stands at the record's path.
pub(crate) enum Found {
    Nothing,
    Record { version: i64 },
}

/// Looks at the path without changing anything.
pub(crate) fn look(path: &Path) -> Result<Found, Error> {
    let metadata = match std::fs::metadata(path) {
        Ok(metadata) => metadata,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Found::Nothing),
        Err(error) => return Err(Error::io("looking at", path)(error)),
    };
    if metadata.is_dir() {
        return Err(Error::Directory { path: path.to_owned() });
    }
    if metadata.len() == 0 {
        return Err(Error::Empty { path: path.to_owned() });
    }
    let mut header = [0; HEADER_BYTES];
    let mut file = std::fs::File::open(path).map_err(Error::io("opening", path))?;
    let read = read_full(&mut file, &mut header).map_err(Error::io("reading", path))?;
    let foreign = |found: &str| Error::Foreign { path: path.to_owned(), found: found.to_owned() };
    if read < MAGIC.len() || header[..16] != *MAGIC {
        let looks_like_text =
            header[..read].iter().all(|&b| b == 9 || b == 10 || b == 13 || b >= 32);
        return Err(foreign(if looks_like_text {
            "a text file"
        } else {
            "a file of another kind"
        }));
    }
    if read < HEADER_BYTES {
        let (expected_bytes, found_bytes) = (HEADER_BYTES as u64, read as u64);
        return Err(Error::Truncated { path: path.to_owned(), expected_bytes, found_bytes });
    }
    if word(&header, 68) != schema::APPLICATION_ID {
        return Err(foreign("another program's database"));
    }
    let page = match i64::from(header[16]) << 8 | i64::from(header[17]) {
        1 => 65_536,
        bytes => bytes,
    };
    let expected_bytes = (word(&header, 28) * page).unsigned_abs();
    // While a write-ahead log waits, the file itself may rightly be behind.
    let log_waits = std::fs::metadata(beside(path, "-wal")).is_ok_and(|log| log.len() > 0);
    if metadata.len() < expected_bytes && !log_waits {
        return Err(Error::Truncated {
            path: path.to_owned(),
            expected_bytes,
            found_bytes: metadata.len(),
        });
    }
    let version = word(&header, 60);
    if version > schema::current() {
        return Err(Error::Newer { found: version, known: schema::current() });
    }
    Ok(Found::Record { version })
}

/// Refuses a record, or a folder for one, that may not be written.
pub(crate) fn may_write(path: &Path) -> Result<(), Error> {
    let read_only = || Error::ReadOnly { path: path.to_owned() };
    match std::fs::metadata(path) {
        Ok(metadata) if metadata.permissions().readonly() => return Err(read_only()),
        Ok(_) => {
            let opened = std::fs::OpenOptions::new().read(true).write(true).open(path);
            if let Err(error) = opened {
                return Err(match error.kind() {
                    std::io::ErrorKind::PermissionDenied => read_only(),
                    _ => Error::io("opening for writing", path)(error),
                });
            }
        }
        Err(_) => {}
    }
    Ok(())
}

/// A companion file's path: the record's own with something added to its name.
pub(crate) fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

fn word(header: &[u8; HEADER_BYTES], at: usize) -> i64 {
    header[at..at + 4].iter().fold(0, |word, &byte| word << 8 | i64::from(byte))
}

/// Reads until the buffer is full or the file ends; the number of bytes read.
pub(crate) fn read_full(file: &mut impl Read, buffer: &mut [u8]) -> std::io::Result<usize> {
    let mut filled = 0;
    while filled < buffer.len() {
        match file.read(&mut buffer[filled..]) {
            Ok(0) => break,
            Ok(read) => filled += read,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(filled)
}
