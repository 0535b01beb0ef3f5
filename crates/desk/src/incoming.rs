//! Files brought in through a page, held beside the record between the look and the taking.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use logbook::Hash;

use crate::desk::{Desk, DeskError};

/// Folder of held files in the ship's folder.
const FOLDER: &str = "incoming";

/// Files held at a time; the oldest makes room.
const HELD: usize = 4;

impl Desk {
    /// Keeps a file until it is taken or three others came after it. The mark names it: its SHA-256.
    ///
    /// # Errors
    /// [`DeskError::File`] when it cannot be written; nothing half-written stays.
    pub fn hold(&self, bytes: &[u8]) -> Result<String, DeskError> {
        let mark = Hash::of(bytes).to_string();
        let folder = self.folder().join(FOLDER);
        let at = |path: &Path, source| DeskError::File { path: path.to_owned(), source };
        fs::create_dir_all(&folder).map_err(|e| at(&folder, e))?;
        let path = folder.join(&mark);
        if !path.exists() {
            make_room(&folder).map_err(|e| at(&folder, e))?;
            let part = path.with_extension("part");
            let written = fs::File::create(&part)
                .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
                .and_then(|()| fs::rename(&part, &path));
            written.map_err(|e| {
                let _ = fs::remove_file(&part);
                at(&path, e)
            })?;
        }
        Ok(mark)
    }

    /// The held file of this mark; none when it is no longer held, or was altered meanwhile.
    ///
    /// # Errors
    /// [`DeskError::File`] when it is there and cannot be read.
    pub fn held(&self, mark: &str) -> Result<Option<Vec<u8>>, DeskError> {
        let Some(path) = self.held_path(mark) else { return Ok(None) };
        match fs::read(&path) {
            Ok(bytes) => Ok(Some(bytes).filter(|b| Hash::of(b).to_string() == mark)),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(source) => Err(DeskError::File { path, source }),
        }
    }

    /// Lets a held file go.
    pub fn let_go(&self, mark: &str) {
        if let Some(path) = self.held_path(mark) {
            // It is a copy: where it cannot be removed now it makes room later.
            let _ = fs::remove_file(path);
        }
    }

    /// Where a file of this mark would be; none for what is no mark, such as a way out of the folder.
    fn held_path(&self, mark: &str) -> Option<PathBuf> {
        let is_mark = mark.len() == 64 && mark.bytes().all(|b| b.is_ascii_hexdigit());
        is_mark.then(|| self.folder().join(FOLDER).join(mark))
    }
}

fn make_room(folder: &Path) -> std::io::Result<()> {
    let mut held: Vec<_> = fs::read_dir(folder)?
        .filter_map(|entry| {
            let entry = entry.ok()?;
            Some((entry.metadata().and_then(|m| m.modified()).ok()?, entry.path()))
        })
        .collect();
    held.sort();
    let too_many = held.len().saturating_sub(HELD - 1);
    held.into_iter().take(too_many).try_for_each(|(_, path)| fs::remove_file(path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_file_is_held_until_it_is_let_go_and_four_at_most() {
        let folder = tempfile::tempdir().expect("folder");
        let now = "2026-11-16T04:00:00Z".parse().expect("time");
        let desk = Desk::open(folder.path(), now).expect("desk");
        let mark = desk.hold(b"time,jacket_in_c\n").expect("held");
        assert_eq!(desk.held(&mark).expect("read").as_deref(), Some(&b"time,jacket_in_c\n"[..]));
        for way_out in ["../ship.toml", "", &mark[1..]] {
            assert_eq!(desk.held(way_out).expect("no file"), None);
        }
        std::fs::write(folder.path().join(FOLDER).join(&mark), b"altered").expect("written");
        assert_eq!(desk.held(&mark).expect("read"), None);
        desk.let_go(&mark);
        for n in 0..6u8 {
            desk.hold(&[b'a' + n]).expect("held");
        }
        let there = std::fs::read_dir(folder.path().join(FOLDER)).expect("folder").count();
        assert_eq!(there, HELD);
    }
}
