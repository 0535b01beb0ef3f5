//! What can go wrong with the record: each case with its numbers, what is allowed and what to do.

use std::fmt;
use std::path::PathBuf;

use jiff::Timestamp;

/// Why the record could not be opened, read or written.
#[derive(Debug)]
#[non_exhaustive]
pub enum Error {
    /// No file there.
    NotFound {
        /// The path asked for.
        path: PathBuf,
    },
    /// A folder stands where the record's file should.
    Directory {
        /// The path asked for.
        path: PathBuf,
    },
    /// A file of no bytes: an interrupted copy, not a record.
    Empty {
        /// The path asked for.
        path: PathBuf,
    },
    /// A file that is not a record of this program.
    Foreign {
        /// The path asked for.
        path: PathBuf,
        /// What it looks like instead.
        found: String,
    },
    /// The file is shorter than it says of itself.
    Truncated {
        /// The path asked for.
        path: PathBuf,
        /// Bytes it should have.
        expected_bytes: u64,
        /// Bytes it has.
        found_bytes: u64,
    },
    /// Written by a later version of this program.
    Newer {
        /// The file's schema number.
        found: i64,
        /// The highest this program knows.
        known: i64,
    },
    /// The database finds its own pages out of order.
    Damaged {
        /// What the check said, first lines.
        found: String,
    },
    /// The file or its folder may not be written.
    ReadOnly {
        /// The path asked for.
        path: PathBuf,
    },
    /// Another process writes to this record.
    Locked {
        /// Who holds it: process, computer, since when.
        holder: String,
    },
    /// No room on the disk (or the quota is used up).
    DiskFull {
        /// About how much the write needs, bytes.
        needed_bytes: u64,
    },
    /// The operating system refused a file operation.
    Io {
        /// What was being done.
        doing: &'static str,
        /// The path it was done to.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The database refused, for a reason not named above.
    Store {
        /// What was being done.
        doing: &'static str,
        /// What it said.
        source: rusqlite::Error,
    },
    /// An offset of the ship's clocks that cannot be.
    Zone {
        /// What was read.
        read: String,
    },
    /// A time that cannot be read or does not exist.
    Time {
        /// What was read.
        read: String,
    },
    /// A hash that is not 64 lower-case hexadecimal signs.
    HashText {
        /// What was read.
        read: String,
    },
    /// A field of the draft breaks a limit.
    Field {
        /// The field.
        field: &'static str,
        /// What it held.
        read: String,
        /// What is allowed.
        allowed: String,
    },
    /// Said to be so at a time that has not come yet.
    Future {
        /// The time given.
        at: Timestamp,
        /// The computer's clock.
        now: Timestamp,
        /// How far ahead, seconds.
        ahead_s: i64,
    },
    /// The computer's clock jumped ahead: writing waits until somebody confirms it by name.
    ClockForward {
        /// When the newest entry was written.
        newest: Timestamp,
        /// The computer's clock.
        now: Timestamp,
        /// The step, hours.
        hours: i64,
    },
    /// The computer's clock shows a date that cannot be: before the newest entry's year, or before the program was built.
    ClockPast {
        /// The earliest date that can be.
        earliest: Timestamp,
        /// The computer's clock.
        now: Timestamp,
        /// Where the earliest date comes from.
        because: &'static str,
    },
    /// No entry of that number.
    NoEntry {
        /// The number asked for.
        seq: u64,
        /// The last number there is.
        last: u64,
    },
    /// An entry of this kind is not corrected or withdrawn.
    NotCorrectable {
        /// The entry's number.
        seq: u64,
        /// Its kind.
        kind: &'static str,
        /// What to do instead.
        instead: &'static str,
    },
    /// The entry is already withdrawn.
    Withdrawn {
        /// The entry's number.
        seq: u64,
        /// The entry that withdrew it.
        by: u64,
    },
    /// A correction without its reason.
    NoReason {
        /// The entry it was meant for.
        seq: u64,
    },
    /// Nothing was written since the last seal.
    NothingToSeal {
        /// The last entry that is sealed, or the seal itself.
        last: u64,
    },
    /// A stored entry cannot be read: the record was altered or the disk is failing.
    Broken {
        /// The entry's number.
        seq: u64,
        /// What is wrong with it.
        how: String,
    },
    /// The newest entry is out of order: writing waits until somebody goes on from it by name.
    AfterBreak {
        /// The entry's number.
        seq: u64,
        /// What is wrong with it.
        how: String,
    },
    /// Entries are taken back into an empty record alone.
    NotEmpty {
        /// The last entry there is.
        last: u64,
    },
    /// A file given for import cannot be taken at all.
    File {
        /// Its name.
        file: String,
        /// What is wrong with it.
        found: String,
        /// What to do.
        remedy: String,
    },
    /// A line of a file of entries cannot be taken.
    Line {
        /// Its name.
        file: String,
        /// The line, from 1.
        line: u64,
        /// What is wrong with it.
        found: String,
        /// What to do.
        remedy: String,
    },
}

/// An instant as it is told: nobody asks for the millionths.
fn to_the_second(at: &Timestamp) -> Timestamp {
    Timestamp::from_second(at.as_second()).unwrap_or(*at)
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFound { path } => {
                write!(
                    f,
                    "{}: no such file. Give the record's path, or let a new record be begun there.",
                    path.display()
                )
            }
            Self::Directory { path } => {
                write!(
                    f,
                    "{}: a folder, not a record. Give the path of the record's file inside it.",
                    path.display()
                )
            }
            Self::Empty { path } => write!(
                f,
                "{}: 0 bytes, which no record has; a copy was probably interrupted. Take the file from the backup; only if it never held anything, delete it and begin a new record.",
                path.display()
            ),
            Self::Foreign { path, found } => {
                write!(
                    f,
                    "{}: not a record of this program but {found}. Nothing was changed. Check the path.",
                    path.display()
                )
            }
            Self::Truncated { path, expected_bytes, found_bytes } => write!(
                f,
                "{}: {found_bytes} bytes of {expected_bytes}; the file is cut off. Nothing was changed. Take the file from the backup.",
                path.display()
            ),
            Self::Newer { found, known } => write!(
                f,
                "the record has schema {found}, this program knows up to {known}. Nothing was changed. Use the newer program that wrote it."
            ),
            Self::Damaged { found } => write!(
                f,
                "the record's file is damaged ({found}). Nothing was changed. Keep the file, take the last good copy from the backup and compare."
            ),
            Self::ReadOnly { path } => write!(
                f,
                "{}: may be read but not written. Clear the file’s or folder’s read-only mark; `stillwatch log verify` and `log export` read it as it is.",
                path.display()
            ),
            Self::Locked { holder } => {
                write!(
                    f,
                    "the record is being written by {holder}: end that program first, or write on its own pages"
                )
            }
            Self::DiskFull { needed_bytes } => write!(
                f,
                "the disk is full: about {needed_bytes} bytes are needed and nothing was written. Make room and repeat; reading goes on, and emergency notes are still taken."
            ),
            Self::Io { doing, path, source } => write!(f, "{doing} {}: {source}", path.display()),
            Self::Store { doing, source } => write!(f, "{doing}: {source}"),
            Self::Zone { read } => {
                write!(
                    f,
                    "zone \"{read}\": write hours and minutes from UTC, -14:00 to +14:00, such as +10:00"
                )
            }
            Self::Time { read } => {
                write!(f, "time \"{read}\" cannot be read: write it such as 2026-11-25T06:15:00Z")
            }
            Self::HashText { read } => {
                write!(f, "hash \"{read}\": a hash has 64 signs of 0-9 and a-f; copy it whole")
            }
            Self::Field { field, read, allowed } => write!(f, "{field} \"{read}\": {allowed}"),
            Self::Future { at, now, ahead_s } => write!(
                f,
                "time {} is {ahead_s} s ahead of the computer's clock ({}); up to 120 s is allowed. Check the date, the zone and the clock.",
                to_the_second(at),
                to_the_second(now)
            ),
            Self::ClockForward { newest, now, hours } => write!(
                f,
                "the computer's clock shows {}, {hours} h after the newest entry ({}); more than 24 h needs a name. Compare with the bridge; confirm the clock by name, or set it right. Emergency notes are taken meanwhile.",
                to_the_second(now),
                to_the_second(newest)
            ),
            Self::ClockPast { earliest, now, because } => write!(
                f,
                "the computer's clock shows {}, which is before {} ({because}). Set the clock right, or confirm it by name. Emergency notes are taken meanwhile.",
                to_the_second(now),
                to_the_second(earliest)
            ),
            Self::NoEntry { seq, last } => {
                write!(f, "entry {seq}: the record has entries 1 to {last}")
            }
            Self::NotCorrectable { seq, kind, instead } => {
                write!(f, "entry {seq} is a {kind}, which is not corrected; {instead}")
            }
            Self::Withdrawn { seq, by } => write!(
                f,
                "entry {seq} was withdrawn by entry {by}. Withdraw entry {by} to bring it back, or write a new entry."
            ),
            Self::NoReason { seq } => {
                write!(f, "correcting entry {seq}: a reason is needed, in a few words")
            }
            Self::NothingToSeal { last } => {
                write!(
                    f,
                    "nothing to seal: the seal covers everything up to entry {last}, the last there is"
                )
            }
            Self::Broken { seq, how } => write!(
                f,
                "entry {seq} cannot be read ({how}). Verify the record and compare with the backup."
            ),
            Self::AfterBreak { seq, how } => write!(
                f,
                "entry {seq} at the end of the record is out of order ({how}); nothing was written. Compare the record with the backup; put a whole copy in its place, or go on from entry {seq} by name and with a reason (log go-on). Emergency notes are taken meanwhile."
            ),
            Self::NotEmpty { last } => write!(
                f,
                "the record holds entries 1 to {last} already and nothing was taken; entries are taken back into an empty record. Name a new folder."
            ),
            Self::File { file, found, remedy } => write!(f, "{file}: {found}. {remedy}"),
            Self::Line { file, line, found, remedy } => {
                write!(f, "{file}, line {line}: {found}. {remedy}")
            }
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { source, .. } => Some(source),
            Self::Store { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// The bytes a write may need beyond its own text: a few pages of each table and index it touches.
const WRITE_OVERHEAD_BYTES: u64 = 16 * 4096;

impl Error {
    /// Turns what the database said into what it means; `bytes` is the size of the text being written.
    pub(crate) fn from_store(doing: &'static str, source: rusqlite::Error, bytes: u64) -> Self {
        use rusqlite::ffi::ErrorCode;
        match source.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => {
                Self::DiskFull { needed_bytes: bytes + WRITE_OVERHEAD_BYTES }
            }
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                Self::Damaged { found: source.to_string() }
            }
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
                Self::Locked { holder: "another program that gave no name".to_owned() }
            }
            _ => Self::Store { doing, source },
        }
    }

    /// The same for reading and for statements that write nothing of size.
    pub(crate) fn store(doing: &'static str) -> impl Fn(rusqlite::Error) -> Self {
        move |source| Self::from_store(doing, source, 0)
    }

    pub(crate) fn io(
        doing: &'static str,
        path: &std::path::Path,
    ) -> impl Fn(std::io::Error) -> Self {
        move |source| match source.kind() {
            std::io::ErrorKind::StorageFull => {
                Self::DiskFull { needed_bytes: WRITE_OVERHEAD_BYTES }
            }
            std::io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly { path: path.to_owned() },
            _ => Self::Io { doing, path: path.to_owned(), source },
        }
    }
}
