//! JSON lines: every entry to the letter with its hash, written out, and taken back into an empty record.

use std::io::{BufRead, Read};

use jiff::Timestamp;

use crate::book::Book;
use crate::entry::{Author, Draft, Entry};
use crate::error::Error;
use crate::hash::Hash;
use crate::reader::Reader;
use crate::wire;
use crate::words::Kind;
use crate::write::{self, Item};
use crate::zone::whole_second;

/// Longest line taken, bytes: far more than the longest entry that anybody wrote.
const LONGEST_LINE: u64 = 64 << 20;
/// What stands between an entry's canonical text without its last sign and the hash.
const BEFORE_HASH: &str = ",\"hash\":\"";

/// What a file of entries brought back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Restored {
    /// How many entries.
    pub entries: u64,
    /// Hash of the last of them.
    pub head: Hash,
}

impl Reader {
    /// An entry as a line of a file of entries: its canonical text with its hash as the last member, without the line's
    /// end. One that is out of order is given as it is stored.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn line(&self, seq: u64) -> Result<Option<String>, Error> {
        let line = self.row(seq)?.map(|row| {
            let hash = Hash::from_slice(&row.hash).unwrap_or(Hash::NONE);
            let open = row.canonical.strip_suffix('}').unwrap_or(&row.canonical);
            format!("{open}{BEFORE_HASH}{hash}\"}}")
        });
        Ok(line)
    }
}

impl Book {
    /// Takes a whole record back from its lines (as [`Reader::line`] gives them, in order) into this empty one: the same
    /// entries with the same hashes, and after them one that says who did it, from which file, and how many they were; all
    /// or nothing. `name` is what the file is called, there and in errors. A file without entries leaves the record empty.
    ///
    /// # Errors
    /// The record is not empty; a line whose text, hash, number or link is not right, with its number and the field.
    pub fn take_lines(
        &mut self,
        lines: impl BufRead,
        name: &str,
        author: Author,
        now: Timestamp,
    ) -> Result<Restored, Error> {
        let (last, _) = self.head();
        if last > 0 {
            return Err(Error::NotEmpty { last });
        }
        let node = self.node.clone();
        let restored = self.in_transaction(|batch| -> Result<_, Error> {
            let mut lines = Lines { source: lines, name, number: 0, text: Vec::new() };
            while let Some(line) = lines.next()? {
                let entry = read(line).map_err(|found| lines.refused(found))?;
                let (head, hash) = (*batch.head(), entry.hash);
                follows(&entry, head.seq, &head.hash).map_err(|found| lines.refused(found))?;
                if let Some(token) = &entry.token
                    && let Some(before) = write::written_before(batch.conn(), token)?
                {
                    let found = format!("field token: entry {} has the same one", before.seq);
                    return Err(lines.refused(found));
                }
                if batch.write(entry)?.hash != hash {
                    let found = "field hash: it is not that of the canonical text: keys sorted, no spaces, times and numbers as the record writes them";
                    return Err(lines.refused(found.to_owned()));
                }
            }
            let head = *batch.head();
            if head.seq > 0 {
                let draft = Draft::new(Kind::Restore, author)
                    .detail("file", name)
                    .detail("entries", head.seq.to_string())
                    .detail("head", head.hash.to_string());
                let logged = whole_second(now);
                // Whoever takes a record back vouches for the day it is done.
                let clock = batch.step_back(logged);
                let item = Item { draft, corrects: None, logged, clock };
                write::write_item(batch, item, &node)?;
            }
            Ok(Restored { entries: head.seq, head: head.hash })
        })?;
        self.settle();
        Ok(restored)
    }
}

/// The lines of a file, counted.
struct Lines<'a, R> {
    source: R,
    name: &'a str,
    number: u64,
    text: Vec<u8>,
}

impl<R: BufRead> Lines<'_, R> {
    /// The next line that is not blank.
    fn next(&mut self) -> Result<Option<&str>, Error> {
        loop {
            self.text.clear();
            self.number += 1;
            let read = (&mut self.source).take(LONGEST_LINE + 1).read_until(b'\n', &mut self.text);
            let read = read.map_err(|e| self.refused(format!("it cannot be read: {e}")))?;
            if read == 0 {
                return Ok(None);
            }
            if read as u64 > LONGEST_LINE {
                let found = format!("longer than {LONGEST_LINE} bytes, which no entry is");
                return Err(self.refused(found));
            }
            if !self.text.trim_ascii().is_empty() {
                break;
            }
        }
        match std::str::from_utf8(self.text.trim_ascii()) {
            Ok(text) => Ok(Some(text)),
            Err(e) => {
                let found = format!("byte {} is none of a UTF-8 text", e.valid_up_to() + 1);
                Err(self.refused(found))
            }
        }
    }

    fn refused(&self, found: String) -> Error {
        Error::Line {
            file: self.name.to_owned(),
            line: self.number,
            found,
            remedy: "Nothing was taken: write the record out again (log export --as lines), or take another copy"
                .to_owned(),
        }
    }
}

/// The entry of a line whose text fits its hash; else the field that is at fault.
fn read(line: &str) -> Result<Entry, String> {
    let ends = || "field hash: the line must end with it, as ,\"hash\":\"…\"}".to_owned();
    let (open, rest) = line.rsplit_once(BEFORE_HASH).ok_or_else(ends)?;
    let hash = rest.strip_suffix("\"}").ok_or_else(ends)?;
    let hash: Hash = hash.parse().map_err(|e: Error| format!("field hash: {e}"))?;
    let canonical = format!("{open}}}");
    let computed = Hash::of_entry(&canonical);
    if computed != hash {
        return Err(format!("field hash: it is {hash}, but the text comes to {computed}"));
    }
    wire::read_entry(&canonical, hash)
}

/// Whether the entry takes the place after the last one; else the field that is at fault.
fn follows(entry: &Entry, last: u64, head: &Hash) -> Result<(), String> {
    let next = last + 1;
    if entry.seq != next {
        return Err(format!("field seq: {} where entry {next} comes next", entry.seq));
    }
    if entry.prev != *head {
        return Err(format!("field prev: {}, but entry {last} has the hash {head}", entry.prev));
    }
    for (field, named) in [("corrects", entry.corrects), ("regards", entry.regards)] {
        if let Some(named) = named.filter(|&named| named == 0 || named >= entry.seq) {
            return Err(format!("field {field}: {named} is no entry before this one"));
        }
    }
    Ok(())
}
