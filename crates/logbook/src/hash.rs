//! SHA-256 as the record uses it: domain-separated, written as 64 lower-case hexadecimal signs.

use std::fmt;
use std::str::FromStr;

use sha2::{Digest, Sha256};

use crate::error::Error;

/// What stands before an entry's canonical text when it is hashed.
pub(crate) const ENTRY_DOMAIN: &[u8] = b"stillwatch-log-1\n";
/// What stands before a seal's canonical text when it is hashed.
pub(crate) const SEAL_DOMAIN: &[u8] = b"stillwatch-seal-1\n";

/// A SHA-256 value (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Hash(pub(crate) [u8; 32]);

impl Hash {
    /// What the first entry and the first seal name as the one before: all zeros.
    pub const NONE: Self = Self([0; 32]);

    /// The plain SHA-256 of some bytes (a file, an attachment).
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The hash of an entry: SHA-256("stillwatch-log-1\n" ‖ canonical text).
    pub fn of_entry(canonical: &str) -> Self {
        Self::with_domain(ENTRY_DOMAIN, canonical)
    }

    pub(crate) fn with_domain(domain: &[u8], canonical: &str) -> Self {
        let mut hasher = Sha256::new();
        hasher.update(domain);
        hasher.update(canonical.as_bytes());
        Self(hasher.finalize().into())
    }

    /// The 32 bytes.
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The first eight signs, as printed on a watch sheet.
    pub fn short(&self) -> String {
        self.to_string().chars().take(8).collect()
    }

    pub(crate) fn from_slice(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }

    /// The 64 hexadecimal signs as ASCII.
    pub(crate) fn hex(&self) -> [u8; 64] {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        let mut out = [0; 64];
        for (pair, byte) in out.chunks_exact_mut(2).zip(self.0) {
            pair[0] = DIGITS[usize::from(byte >> 4)];
            pair[1] = DIGITS[usize::from(byte & 15)];
        }
        out
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&String::from_utf8_lossy(&self.hex()))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Hash({self})")
    }
}

impl FromStr for Hash {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let refuse = || Error::HashText { read: text.chars().take(80).collect() };
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(refuse());
        }
        let value = |sign: u8| match sign {
            b'0'..=b'9' => Ok(sign - b'0'),
            b'a'..=b'f' => Ok(sign - b'a' + 10),
            _ => Err(refuse()),
        };
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = value(pair[0])? << 4 | value(pair[1])?;
        }
        Ok(Self(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 examples, "SHA-256 examples" of NIST's cryptographic toolkit: one block, two blocks; and the empty message.
    #[test]
    fn ref_fips_180_4_sha256() {
        let cases = [
            ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
            (
                "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
                "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
            ),
            ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        ];
        for (message, expected) in cases {
            assert_eq!(Hash::of(message.as_bytes()).to_string(), expected);
        }
    }

    #[test]
    fn ident_hex_returns_itself_and_refuses_other_lengths_and_signs() {
        let hash = Hash::of(b"abc");
        assert_eq!(hash.to_string().parse::<Hash>().unwrap(), hash);
        assert_eq!(hash.short(), "ba7816bf");
        assert!("ba78".parse::<Hash>().is_err());
        assert!("Z".repeat(64).parse::<Hash>().is_err());
    }
}
