//! The tables, and how an older record is brought to them on a verified copy.

use std::path::Path;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, MAIN_DB};
use sha2::{Digest, Sha256};

use crate::error::Error;
use crate::file::beside;
use crate::hash::Hash;
use crate::index;

/// "STLW": the mark in the file's header that says it is a record of this program.
pub(crate) const APPLICATION_ID: i64 = 0x5354_4C57;

/// Each step brings the schema to the number after it; none is ever edited once released.
pub(crate) const STEPS: &[&str] = &[FIRST, SECOND];

/// The schema this program writes.
pub(crate) const fn current() -> i64 {
    STEPS.len() as i64
}

/// `entry` is the record; everything else can be rebuilt from it. Times are UTC seconds.
const FIRST: &str = "
CREATE TABLE entry (
    seq       INTEGER PRIMARY KEY,
    kind      INTEGER NOT NULL,
    at        INTEGER NOT NULL,
    corrects  INTEGER REFERENCES entry (seq),
    canonical TEXT    NOT NULL,
    hash      BLOB    NOT NULL
) STRICT;
CREATE INDEX entry_by_kind ON entry (kind, at);
CREATE INDEX entry_by_target ON entry (corrects) WHERE corrects IS NOT NULL;

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed; write a correction'); END;
CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never removed; withdraw it'); END;
CREATE TRIGGER entry_follows_the_last BEFORE INSERT ON entry
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'an entry takes the number after the last'); END;

CREATE TABLE name (
    id    INTEGER PRIMARY KEY,
    name  TEXT    NOT NULL UNIQUE,
    count INTEGER NOT NULL
) STRICT;

-- One row a value. A correction's values stand at the time of the entry they correct (root).
-- struck: 0 stands, 1 corrected, 2 withdrawn.
CREATE TABLE reading (
    name    INTEGER NOT NULL,
    at      INTEGER NOT NULL,
    seq     INTEGER NOT NULL,
    root    INTEGER,
    si      REAL,
    quality INTEGER NOT NULL,
    struck  INTEGER NOT NULL,
    PRIMARY KEY (name, at, seq)
) STRICT, WITHOUT ROWID;

-- Standing numbers by the hour and the day (UTC), for long spans; struck counts the numbers that no longer stand.
CREATE TABLE rollup (
    name   INTEGER NOT NULL,
    width  INTEGER NOT NULL,
    start  INTEGER NOT NULL,
    count  INTEGER NOT NULL,
    struck INTEGER NOT NULL,
    low    REAL    NOT NULL,
    high   REAL    NOT NULL,
    total  REAL    NOT NULL,
    last   REAL    NOT NULL,
    PRIMARY KEY (name, width, start)
) STRICT, WITHOUT ROWID;

CREATE TABLE token (
    token TEXT    NOT NULL PRIMARY KEY,
    seq   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Outside the chain: how a file's columns were mapped last time and the like.
CREATE TABLE kept (
    key  TEXT NOT NULL PRIMARY KEY,
    json TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- For people with a general database tool.
CREATE VIEW log AS SELECT
    seq,
    canonical ->> '$.kind'   AS kind,
    canonical ->> '$.at'     AS at,
    coalesce(canonical ->> '$.logged', canonical ->> '$.at') AS logged,
    canonical ->> '$.zone'   AS zone,
    canonical ->> '$.node'   AS node,
    canonical ->> '$.actor'  AS actor,
    canonical ->> '$.role'   AS role,
    canonical ->> '$.source' AS source,
    canonical -> '$.values'  AS \"values\",
    canonical ->> '$.text'   AS text,
    canonical -> '$.details' AS details,
    corrects,
    canonical ->> '$.reason' AS reason,
    canonical ->> '$.prev'   AS prev,
    lower(hex(hash))         AS hash
FROM entry;
";

/// The same tables hold other rows: sums only where there are many numbers, figures of events and samples as well.
const SECOND: &str = "-- Everything derived is worked out again after the steps.
";

/// The schema number a file's header carries.
pub(crate) fn version(conn: &Connection) -> Result<i64, Error> {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
        .map_err(Error::store("reading the schema number"))
}

/// Name and text of every table, index, trigger and view this program makes.
fn objects(conn: &Connection) -> rusqlite::Result<Vec<(String, String)>> {
    conn.prepare("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")?
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect()
}

/// Refuses a record whose tables or guards differ from the ones this program makes; additions by others are let be.
pub(crate) fn check(conn: &Connection) -> Result<(), Error> {
    let doing = Error::store("comparing the tables");
    let fresh = Connection::open_in_memory().map_err(&doing)?;
    create(&fresh)?;
    let found = objects(conn).map_err(&doing)?;
    for (name, sql) in objects(&fresh).map_err(&doing)? {
        if !found.contains(&(name.clone(), sql)) {
            return Err(Error::Damaged { found: format!("its part {name} is missing or altered") });
        }
    }
    Ok(())
}

/// Makes the tables of a new record.
pub(crate) fn create(conn: &Connection) -> Result<(), Error> {
    run_steps(conn, 0, STEPS)
}

/// Each step with its number in a transaction of its own.
fn run_steps(conn: &Connection, from: i64, steps: &[&str]) -> Result<(), Error> {
    let done = usize::try_from(from).unwrap_or(0);
    for (step, number) in steps.iter().zip(1..).skip(done) {
        let script = format!(
            "BEGIN IMMEDIATE; PRAGMA application_id = {APPLICATION_ID}; {step}
             PRAGMA user_version = {number}; COMMIT;"
        );
        conn.execute_batch(&script).map_err(Error::store("making the tables"))?;
    }
    Ok(())
}

/// One hash over every row of the table of entries, altered ones as they are.
fn entries_hash(conn: &Connection) -> Result<Hash, Error> {
    let doing = Error::store("reading the entries");
    let mut hasher = Sha256::new();
    let sql = "SELECT * FROM entry NOT INDEXED ORDER BY seq";
    let mut statement = conn.prepare(sql).map_err(&doing)?;
    let columns = statement.column_count();
    let mut rows = statement.query([]).map_err(&doing)?;
    while let Some(row) = rows.next().map_err(&doing)? {
        for column in 0..columns {
            match row.get_ref(column).map_err(&doing)? {
                ValueRef::Null => hasher.update(b"-"),
                ValueRef::Integer(number) => hasher.update(number.to_le_bytes()),
                ValueRef::Real(number) => hasher.update(number.to_le_bytes()),
                ValueRef::Text(bytes) | ValueRef::Blob(bytes) => {
                    hasher.update((bytes.len() as u64).to_le_bytes());
                    hasher.update(bytes);
                }
            }
        }
    }
    Ok(Hash(hasher.finalize().into()))
}

/// Brings an older record to the newest of `steps`: on a copy, whose entries must be the same to the letter, which is
/// proved by `prove` and then takes the old file's place; the old file is kept beside it.
pub(crate) fn migrate(
    path: &Path,
    steps: &[&str],
    prove: impl Fn(&Connection) -> Result<(), Error>,
) -> Result<(), Error> {
    let copy_path = beside(path, ".migrating");
    let _ = std::fs::remove_file(&copy_path);
    let (from, entries) = {
        let old = Connection::open(path).map_err(Error::store("opening the older record"))?;
        let from = version(&old)?;
        old.backup(MAIN_DB, &copy_path, None::<fn(rusqlite::backup::Progress)>)
            .map_err(Error::store("copying the older record"))?;
        // Everything in the write-ahead log goes into the file, so that the file alone is the old record.
        old.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
            .map_err(Error::store("closing the older record"))?;
        (from, entries_hash(&old)?)
    };
    let outcome = (|| {
        let copy = Connection::open(&copy_path).map_err(Error::store("opening the copy"))?;
        run_steps(&copy, from, steps)?;
        // What is derived may have other rules now.
        index::rebuild(&copy)?;
        if entries_hash(&copy)? != entries {
            let found = "the entries of the copy are not those of the record".to_owned();
            return Err(Error::Damaged { found });
        }
        prove(&copy)?;
        copy.close().map_err(|(_, source)| Error::Store { doing: "closing the copy", source })
    })();
    if let Err(error) = outcome {
        let _ = std::fs::remove_file(&copy_path);
        return Err(error);
    }
    let synced = std::fs::OpenOptions::new()
        .read(true)
        .write(true)
        .open(&copy_path)
        .and_then(|file| file.sync_all());
    synced.map_err(Error::io("writing out", &copy_path))?;
    let kept = beside(path, &format!(".schema-{from}"));
    std::fs::rename(path, &kept).map_err(Error::io("keeping the older record as", &kept))?;
    for leftover in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(beside(path, leftover));
    }
    std::fs::rename(&copy_path, path)
        .map_err(Error::io("putting the newer record in place at", path))
}

/// A migration cut off between its two renames left the proved copy under its working name: put it in place.
pub(crate) fn finish_interrupted(path: &Path) -> Result<(), Error> {
    let copy_path = beside(path, ".migrating");
    if path.exists() || !copy_path.exists() {
        return Ok(());
    }
    std::fs::rename(&copy_path, path)
        .map_err(Error::io("putting the newer record in place at", path))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ADDED: &str = "CREATE TABLE added (x INTEGER) STRICT;";

    fn old_record(folder: &Path) -> std::path::PathBuf {
        let path = folder.join("record.sqlite");
        let conn = Connection::open(&path).unwrap();
        run_steps(&conn, 0, &STEPS[..1]).unwrap();
        conn.execute("INSERT INTO entry VALUES (1, 1, 0, NULL, 'text', x'00')", []).unwrap();
        path
    }

    fn entries(conn: &Connection) -> i64 {
        conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).unwrap()
    }

    #[test]
    fn ident_older_record_is_brought_forward_on_a_copy_and_the_old_one_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = old_record(folder.path());
        migrate(&path, &[FIRST, ADDED], |copy| {
            assert_eq!(entries(copy), 1);
            Ok(())
        })
        .unwrap();
        let conn = Connection::open(&path).unwrap();
        assert_eq!(version(&conn).unwrap(), 2);
        assert_eq!(entries(&conn), 1);
        let kept = Connection::open(folder.path().join("record.sqlite.schema-1")).unwrap();
        assert_eq!((version(&kept).unwrap(), entries(&kept)), (1, 1));
    }

    #[test]
    fn ident_an_entry_broken_long_ago_is_carried_over_and_named_as_before() {
        let folder = tempfile::tempdir().unwrap();
        let path = old_record(folder.path());
        // Its text is no entry and its hash is none.
        migrate(&path, &[FIRST, ADDED], crate::verify::prove).unwrap();
        assert_eq!(version(&Connection::open(&path).unwrap()).unwrap(), 2);
        let other = tempfile::tempdir().unwrap();
        let path = old_record(other.path());
        let altering = &[FIRST, "INSERT INTO entry VALUES (2, 1, 0, NULL, 'more', x'00');"];
        let refused = migrate(&path, altering, crate::verify::prove);
        assert!(matches!(refused, Err(Error::Damaged { .. })), "{refused:?}");
        assert_eq!(entries(&Connection::open(&path).unwrap()), 1);
    }

    /// Set for the copy of this program that migrates until it is killed.
    const MIGRATOR: &str = "STILLWATCH_TEST_MIGRATOR";
    /// Steps that take a while, each seen by itself in what they leave.
    const LONG: &[&str] = &[
        FIRST,
        "CREATE TABLE second AS SELECT * FROM entry;",
        "CREATE TABLE third AS SELECT a.seq FROM entry AS a, entry AS b WHERE b.seq < 60;",
    ];

    /// Not a check by itself: in the copy that the next test starts it migrates until it is killed.
    #[test]
    fn migrates_until_killed_when_told_to() {
        let Ok(path) = std::env::var(MIGRATOR) else { return };
        let path = Path::new(&path);
        finish_interrupted(path).unwrap();
        let from = version(&Connection::open(path).unwrap()).unwrap();
        if from < 3 {
            migrate(path, LONG, crate::verify::prove).unwrap();
        }
        println!("migrated");
    }

    #[test]
    fn ident_a_migration_killed_at_any_moment_leaves_the_old_record_or_the_new_one() {
        use crate::{Author, Book, Draft};
        let at = |second: i64| jiff::Timestamp::from_second(1_760_000_000 + second).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let old = folder.path().join("old.sqlite");
        // The record as the first version of the schema left it.
        let conn = Connection::open(&old).unwrap();
        run_steps(&conn, 0, &STEPS[..1]).unwrap();
        let new = folder.path().join("new.sqlite");
        let mut book = Book::open_with_ballast(&new, "A1", at(0), 0).unwrap();
        let note = |i: i64| (Draft::note(Author::hand("3e"), "plant as before"), at(i * 60));
        book.append_many((0..1500).map(note)).unwrap();
        drop(book);
        conn.execute("ATTACH ?1 AS new", [new.to_str().unwrap()]).unwrap();
        conn.execute("INSERT INTO entry SELECT * FROM new.entry", []).unwrap();
        conn.close().unwrap();
        let truth = entries_hash(&Connection::open(&old).unwrap()).unwrap();
        let path = folder.path().join("record.sqlite");
        let (mut killed, mut whole) = (0, 0);
        for round in 0..14_u64 {
            for leftover in ["", "-wal", "-shm", ".migrating", ".schema-1"] {
                let _ = std::fs::remove_file(beside(&path, leftover));
            }
            std::fs::copy(&old, &path).unwrap();
            let run = || {
                std::process::Command::new(std::env::current_exe().unwrap())
                    .args(["--exact", "schema::tests::migrates_until_killed_when_told_to"])
                    .env(MIGRATOR, &path)
                    .stdout(std::process::Stdio::null())
                    .stderr(std::process::Stdio::null())
                    .spawn()
                    .unwrap()
            };
            let mut child = run();
            std::thread::sleep(std::time::Duration::from_millis(10 + round * round * 2));
            killed += u64::from(child.try_wait().unwrap().is_none());
            child.kill().unwrap();
            child.wait().unwrap();
            // The next start goes on from whatever is there.
            assert!(run().wait().unwrap().success(), "round {round}");
            let conn = Connection::open(&path).unwrap();
            assert_eq!(version(&conn).unwrap(), 3, "round {round}");
            assert_eq!(entries_hash(&conn).unwrap(), truth, "round {round}");
            crate::verify::prove(&conn).unwrap();
            let count = |table: &str| -> i64 {
                let sql = format!("SELECT count(*) FROM {table}");
                conn.query_row(&sql, [], |row| row.get(0)).unwrap()
            };
            assert_eq!((count("second"), count("third")), (1500, 1500 * 59), "round {round}");
            assert!(!beside(&path, ".migrating").exists());
            whole += 1;
        }
        assert!(killed > 0, "no migration was killed in {whole} rounds");
    }

    /// What the first version kept of a record is worked out anew: the walk finds nothing else than in one written now.
    #[test]
    fn ident_a_record_of_the_first_schema_is_opened_and_its_index_worked_out_again() {
        use crate::{Author, Book, Draft, Value};
        let at = |second: i64| jiff::Timestamp::from_second(1_760_000_000 + second).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let (new, old) = (folder.path().join("new.sqlite"), folder.path().join("old.sqlite"));
        let book = |path: &Path| Book::open_with_ballast(path, "A1", at(0), 0).unwrap();
        let value = |c: f64| vec![Value::number("jacket_in_c", format!("{c}"), "degC", c + 273.15)];
        let mut written = book(&new);
        let reading = |i: i64| {
            let at = at(i * 600);
            (Draft::reading(at, Author::hand("3e"), value(80.0)).token(format!("t{i}")), at)
        };
        written.append_many((0..300).map(reading)).unwrap();
        let hand = || Author::hand("2e");
        let mended = written.correct(7, value(81.0), "misread", hand(), at(180_000)).unwrap();
        written.correct(mended.seq, value(82.0), "again", hand(), at(180_010)).unwrap();
        written.withdraw(9, "wrong ship", hand(), at(180_020)).unwrap();
        written.withdraw(mended.seq, "not so", hand(), at(180_030)).unwrap();
        let conn = Connection::open(&old).unwrap();
        run_steps(&conn, 0, &STEPS[..1]).unwrap();
        conn.execute("ATTACH ?1 AS new", [new.to_str().unwrap()]).unwrap();
        conn.execute_batch(
            "INSERT INTO entry SELECT * FROM new.entry;
             INSERT INTO name VALUES (1, 'jacket_in_c', 17); INSERT INTO rollup VALUES (1, 3600, 0, 1, 0, 1, 1, 1, 1);",
        )
        .unwrap();
        conn.close().unwrap();
        let migrated = book(&old);
        assert_eq!(migrated.head(), written.head());
        let (one, other) = (migrated.reader().unwrap(), written.reader().unwrap());
        assert!(crate::verify(&one, |_, _| ()).unwrap().is_whole());
        assert_eq!(one.rounds(None, None, 999).unwrap(), other.rounds(None, None, 999).unwrap());
        let series =
            |reader: &crate::Reader| reader.series("jacket_in_c", at(0), at(180_000), 1).unwrap();
        assert_eq!(series(&one), series(&other));
        assert!(beside(&old, ".schema-1").exists());
    }

    #[test]
    fn ident_copy_that_fails_its_proof_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = old_record(folder.path());
        let before = std::fs::read(&path).unwrap();
        let refused = migrate(&path, &[FIRST, ADDED], |_| {
            Err(Error::Broken { seq: 1, how: "for the test".to_owned() })
        });
        assert!(matches!(refused, Err(Error::Broken { seq: 1, .. })));
        assert_eq!(std::fs::read(&path).unwrap(), before);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn ident_entries_are_never_changed_removed_or_put_between() {
        let folder = tempfile::tempdir().unwrap();
        let conn = Connection::open(old_record(folder.path())).unwrap();
        for statement in [
            "UPDATE entry SET at = 1",
            "DELETE FROM entry",
            "INSERT INTO entry VALUES (3, 1, 0, NULL, 'text', x'00')",
            "INSERT OR REPLACE INTO entry VALUES (1, 1, 0, NULL, 'other', x'00')",
        ] {
            let refused = conn.execute(statement, []).unwrap_err().to_string();
            assert!(refused.contains("an entry"), "{statement}: {refused}");
        }
        assert_eq!(entries(&conn), 1);
    }
}
