//! The record open for writing: one writer, what it knows of the chain's end, and how the file is opened or begun.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use rusqlite::Connection;

use crate::ballast::{BALLAST_BYTES, Ballast};
use crate::clock::ShipClock;
use crate::connect;
use crate::error::Error;
use crate::file::{self, Found, beside};
use crate::hash::Hash;
use crate::head::Head;
use crate::lock::WriterLock;
use crate::reader::Reader;
use crate::schema;
use crate::verify::{self, Broken};

/// Files larger than this are not read through at every start: only header, tables and the newest entry are checked.
const QUICK_CHECK_BYTES: u64 = 200 << 20;

/// The record, open for writing. There is one of these for a file at a time; it may be moved between threads and
/// shared behind a lock.
#[derive(Debug)]
pub struct Book {
    pub(crate) conn: Connection,
    pub(crate) path: PathBuf,
    pub(crate) node: String,
    pub(crate) head: Head,
    /// The newest entry, where it is out of order.
    pub(crate) broken: Option<Broken>,
    pub(crate) clock: ShipClock,
    pub(crate) names: HashMap<String, i64>,
    pub(crate) built: Option<Timestamp>,
    pub(crate) ballast: Ballast,
    fully_checked: bool,
    _lock: WriterLock,
}

impl Book {
    /// Opens the record at `path`, or begins one where nothing is. `node` names this computer in the entries, `now`
    /// is the computer's clock.
    ///
    /// # Errors
    /// A folder, an empty, foreign, truncated, damaged, newer or read-only file; another process writing; no room. A
    /// newest entry out of order is no error here: [`Book::broken`] tells of it.
    pub fn open(path: &Path, node: &str, now: Timestamp) -> Result<Self, Error> {
        Self::open_with_ballast(path, node, now, BALLAST_BYTES)
    }

    /// The same with another amount of room kept back for emergencies, bytes (16 MiB is usual, 0 keeps none).
    ///
    /// # Errors
    /// As [`Book::open`].
    pub fn open_with_ballast(
        path: &Path,
        node: &str,
        now: Timestamp,
        ballast_bytes: u64,
    ) -> Result<Self, Error> {
        // Looked at before the lock's file is put beside something that is no record.
        file::look(path)?;
        file::may_write(path)?;
        let lock = WriterLock::take(path, now)?;
        schema::finish_interrupted(path)?;
        match file::look(path)? {
            Found::Nothing => begin(path)?,
            Found::Record { version } if version < schema::current() => {
                schema::migrate(path, schema::STEPS, verify::prove)?;
            }
            Found::Record { .. } => {}
        }
        let conn = connect::writing(path)?;
        let fully_checked = check(&conn, path)?;
        let (head, broken) = Head::read(&conn)?;
        let reader = Reader::open(path)?;
        let (clock, names) = (reader.ship_clock()?, reader.name_ids()?);
        Ok(Self {
            conn,
            path: path.to_owned(),
            node: node.to_owned(),
            head,
            broken,
            clock,
            names,
            built: None,
            ballast: Ballast::take(path, ballast_bytes),
            fully_checked,
            _lock: lock,
        })
    }

    /// The same book that holds every clock before `built` (when this program was made) to be wrong.
    #[must_use]
    pub fn built(mut self, built: Timestamp) -> Self {
        self.built = Some(built);
        self
    }

    /// A connection of its own for reading, which sees everything written so far and whatever follows.
    ///
    /// # Errors
    /// The file cannot be opened again.
    pub fn reader(&self) -> Result<Reader, Error> {
        Reader::open(&self.path)
    }

    /// The record's file.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Number and hash of the newest entry; 0 and zeros when there is none.
    pub fn head(&self) -> (u64, Hash) {
        (self.head.seq, self.head.hash)
    }

    /// Whether the whole file was checked when it was opened; above 200 MiB only its header, its tables and its
    /// newest entry are.
    pub fn fully_checked(&self) -> bool {
        self.fully_checked
    }

    /// Whether room is kept back for emergency entries.
    pub fn has_ballast(&self) -> bool {
        self.ballast.aboard()
    }
}

/// Makes an empty record beside the path and puts it in place whole.
fn begin(path: &Path) -> Result<(), Error> {
    let log = beside(path, "-wal");
    if std::fs::metadata(&log).is_ok_and(|file| file.len() > 0) {
        let found = format!("the record is gone, but {} holds entries of it", log.display());
        return Err(Error::Damaged { found });
    }
    let part = beside(path, ".new");
    for leftover in [part.clone(), beside(&part, "-journal")] {
        match std::fs::remove_file(&leftover) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(Error::io("clearing away", &leftover)(error));
            }
            _ => {}
        }
    }
    let doing = Error::store("beginning a new record");
    let conn = Connection::open(&part).map_err(&doing)?;
    schema::create(&conn)?;
    conn.close().map_err(|(_, source)| doing(source))?;
    let file = std::fs::OpenOptions::new().read(true).write(true).open(&part);
    file.and_then(|file| file.sync_all()).map_err(Error::io("writing out", &part))?;
    // A log left behind by a record that is gone belongs to no new one.
    for leftover in [beside(path, "-wal"), beside(path, "-shm")] {
        let _ = std::fs::remove_file(leftover);
    }
    std::fs::rename(&part, path).map_err(Error::io("putting the new record in place at", path))
}

/// Whether the file was read through; an error if anything is out of order.
fn check(conn: &Connection, path: &Path) -> Result<bool, Error> {
    schema::check(conn)?;
    let small = std::fs::metadata(path).is_ok_and(|file| file.len() <= QUICK_CHECK_BYTES);
    if small {
        let said: String = conn
            .query_row("PRAGMA quick_check(1)", [], |row| row.get(0))
            .map_err(Error::store("checking the record"))?;
        if said != "ok" {
            return Err(Error::Damaged { found: said });
        }
    }
    Ok(small)
}
