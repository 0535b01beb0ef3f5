//! One writer at a time: a locked file beside the record, and a note of who holds it.

use std::fs::{File, TryLockError};
use std::path::{Path, PathBuf};

use jiff::Timestamp;

use crate::error::Error;
use crate::file::beside;

/// The right to write, held until dropped. The operating system takes it back if the process dies, so no stale
/// lock ever stands in the way.
#[derive(Debug)]
pub(crate) struct WriterLock {
    _file: File,
    note: PathBuf,
}

impl WriterLock {
    /// Takes the right to write to the record at `path`, or says who has it.
    pub(crate) fn take(path: &Path, now: Timestamp) -> Result<Self, Error> {
        let lock_path = beside(path, ".lock");
        let note = beside(path, ".holder");
        let file = File::options()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(&lock_path)
            .map_err(|error| match error.kind() {
                std::io::ErrorKind::PermissionDenied => Error::ReadOnly { path: path.to_owned() },
                _ => Error::io("making the lock", &lock_path)(error),
            })?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let holder = std::fs::read_to_string(&note).unwrap_or_default();
                let holder = if holder.is_empty() { "another process".to_owned() } else { holder };
                return Err(Error::Locked { holder });
            }
            Err(TryLockError::Error(error)) => return Err(Error::io("locking", &lock_path)(error)),
        }
        // The note lies in its own file, because a locked file cannot be read by others on every system. Without it
        // the lock still holds.
        let _ = std::fs::write(
            &note,
            format!("process {} on {} since {now:.0}", std::process::id(), host()),
        );
        Ok(Self { _file: file, note })
    }
}

impl Drop for WriterLock {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.note);
    }
}

/// The computer's name, as far as it can be had without asking the network.
fn host() -> String {
    std::fs::read_to_string("/proc/sys/kernel/hostname")
        .ok()
        .or_else(|| std::env::var("COMPUTERNAME").ok())
        .or_else(|| std::env::var("HOSTNAME").ok())
        .map(|name| name.trim().to_owned())
        .filter(|name| !name.is_empty())
        .unwrap_or_else(|| "this computer".to_owned())
}
