//! The embedded bytes: unpacked, their checksum compared, refused when they are not what was built.

use std::fmt;

use miniz_oxide::inflate::decompress_to_vec_zlib_with_limit;

/// Embedded data that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DataError {
    /// Which data.
    pub data: &'static str,
    /// What is wrong with them.
    pub why: Damage,
}

/// What is wrong with embedded data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Damage {
    /// They do not unpack, or not to their checksum.
    Packed,
    /// They unpack to another length, bytes.
    Length {
        /// Bytes wanted.
        wanted: usize,
        /// Bytes found.
        found: usize,
    },
    /// They unpack to something that cannot be.
    Content,
}

impl fmt::Display for DataError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "built-in {}: ", self.data)?;
        match self.why {
            Damage::Packed => write!(f, "does not unpack to its checksum")?,
            Damage::Length { wanted, found } => write!(f, "{found} bytes, wanted {wanted}")?,
            Damage::Content => write!(f, "holds what cannot be")?,
        }
        write!(f, "; the program file is damaged: install it again")
    }
}

impl std::error::Error for DataError {}

/// Unpacks zlib bytes of at most `limit` bytes; the Adler-32 at their end must agree.
pub fn unpack(data: &'static str, packed: &[u8], limit: usize) -> Result<Vec<u8>, DataError> {
    decompress_to_vec_zlib_with_limit(packed, limit)
        .map_err(|_| DataError { data, why: Damage::Packed })
}

/// As [`unpack`], for data that have one length.
pub fn unpack_exactly(
    data: &'static str,
    packed: &[u8],
    wanted: usize,
) -> Result<Vec<u8>, DataError> {
    let raw = unpack(data, packed, wanted)?;
    if raw.len() == wanted {
        Ok(raw)
    } else {
        Err(DataError { data, why: Damage::Length { wanted, found: raw.len() } })
    }
}
