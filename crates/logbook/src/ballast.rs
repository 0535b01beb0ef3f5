//! Room kept back on the disk, given up when it is full so that an emergency can still be written down.

use std::io::Write;
use std::path::{Path, PathBuf};

use jiff::Timestamp;

use crate::file::beside;

/// Room kept back, bytes.
pub(crate) const BALLAST_BYTES: u64 = 16 << 20;
/// Seconds between two tries to take it back.
const TRY_EVERY_S: i64 = 60;
const BLOCK_BYTES: usize = 1 << 16;

/// The file that holds the room.
#[derive(Debug)]
pub(crate) struct Ballast {
    path: PathBuf,
    bytes: u64,
    aboard: bool,
    tried: Option<Timestamp>,
}

impl Ballast {
    /// Takes ballast beside the record, if there is room for it; without it the record still works.
    pub(crate) fn take(record: &Path, bytes: u64) -> Self {
        let mut ballast =
            Self { path: beside(record, ".ballast"), bytes, aboard: false, tried: None };
        ballast.refill();
        ballast
    }

    /// Whether the room is kept.
    pub(crate) fn aboard(&self) -> bool {
        self.aboard
    }

    /// Takes the room back after it was given up.
    pub(crate) fn refill(&mut self) {
        if self.bytes == 0 || self.aboard {
            return;
        }
        let whole = std::fs::metadata(&self.path).is_ok_and(|file| file.len() == self.bytes);
        self.aboard = whole || self.fill().is_ok();
        if !self.aboard {
            let _ = std::fs::remove_file(&self.path);
        }
    }

    /// Takes the room back some time after it was given up: a disk that is still full is not tried at every entry.
    pub(crate) fn refill_at(&mut self, now: Timestamp) {
        let tried = |tried: Timestamp| now.duration_since(tried).as_secs().abs() < TRY_EVERY_S;
        if !self.aboard && !self.tried.is_some_and(tried) {
            self.tried = Some(now);
            self.refill();
        }
    }

    /// Written out in full, not as a hole; the blocks differ so that a compressing disk keeps the room too.
    fn fill(&self) -> std::io::Result<()> {
        let mut file = std::fs::File::create(&self.path)?;
        let mut block = vec![0_u8; BLOCK_BYTES];
        let mut word = 0x9E37_79B9_7F4A_7C15_u64;
        let mut left = self.bytes;
        while left > 0 {
            for chunk in block.chunks_exact_mut(8) {
                // A 64-bit xorshift (Marsaglia 2003): incompressible filling, nothing depends on its values.
                word ^= word << 13;
                word ^= word >> 7;
                word ^= word << 17;
                chunk.copy_from_slice(&word.to_le_bytes());
            }
            let part = usize::try_from(left).unwrap_or(usize::MAX).min(BLOCK_BYTES);
            file.write_all(&block[..part])?;
            left -= part as u64;
        }
        file.sync_all()
    }

    /// Gives the room up; whether there was any.
    pub(crate) fn give_up(&mut self) -> bool {
        let had = self.aboard;
        self.aboard = false;
        let _ = std::fs::remove_file(&self.path);
        had
    }
}
