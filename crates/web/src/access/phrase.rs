//! The pass-phrase: what is long enough, and its Argon2id hash (RFC 9106).

use argon2::{Algorithm, Argon2, Params, Version};
use unicode_normalization::UnicodeNormalization;

use crate::guard::token::same;

/// Memory in KiB, passes and lanes: 19 MiB, 2, 1.
const COST: (u32, u32, u32) = (19 * 1024, 2, 1);
const FEWEST: usize = 12;
const MOST: usize = 128;
const FEWEST_WORDS: usize = 4;
/// Different characters a phrase must have, so that "aaaaaaaaaaaa" is none.
const FEWEST_KINDS: usize = 5;

/// Random bytes that make equal phrases hash differently.
pub type Salt = [u8; 16];

/// A pass-phrase, kept as its hash only.
#[derive(Clone)]
pub struct Phrase {
    salt: Salt,
    hash: [u8; 32],
}

impl std::fmt::Debug for Phrase {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Phrase(…)")
    }
}

/// Why a pass-phrase was not taken. The phrase itself is never in the message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PhraseError {
    /// Fewer than twelve characters and fewer than four words.
    Short {
        /// Characters it has.
        characters: usize,
        /// Words of two letters or more it has.
        words: usize,
    },
    /// More than 128 characters.
    Long {
        /// Characters it has.
        characters: usize,
    },
    /// Too few different characters.
    Plain {
        /// Different characters it has.
        kinds: usize,
    },
    /// The hash could not be made.
    Hash {
        /// What the hash function said.
        cause: String,
    },
}

impl std::fmt::Display for PhraseError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PhraseError::Short { characters, words } => write!(
                f,
                "the pass-phrase has {characters} characters and {words} words; it needs {FEWEST} characters or {FEWEST_WORDS} words: four words that do not belong together are easy to remember"
            ),
            PhraseError::Long { characters } => write!(
                f,
                "the pass-phrase has {characters} characters; at most {MOST} are taken: shorten it"
            ),
            PhraseError::Plain { kinds } => write!(
                f,
                "the pass-phrase has only {kinds} different characters; it needs {FEWEST_KINDS}: use words"
            ),
            PhraseError::Hash { cause } => {
                write!(f, "the pass-phrase could not be hashed ({cause}): is memory short?")
            }
        }
    }
}

impl std::error::Error for PhraseError {}

impl Phrase {
    /// Takes a phrase of 12 to 128 characters, or of four words, with five different characters.
    /// It is brought to Unicode form NFC first, so that the keyboard it is typed on does not matter.
    ///
    /// # Errors
    /// [`PhraseError`] with what it has and what it needs.
    pub fn new(text: &str, salt: Salt) -> Result<Phrase, PhraseError> {
        let text: String = text.nfc().collect();
        let characters = text.chars().count();
        let words = text.split_whitespace().filter(|word| word.chars().count() >= 2).count();
        let mut kinds: Vec<char> = text.chars().collect();
        kinds.sort_unstable();
        kinds.dedup();
        if characters > MOST {
            return Err(PhraseError::Long { characters });
        }
        if characters < FEWEST && words < FEWEST_WORDS {
            return Err(PhraseError::Short { characters, words });
        }
        if kinds.len() < FEWEST_KINDS {
            return Err(PhraseError::Plain { kinds: kinds.len() });
        }
        Ok(Phrase { salt, hash: hash(&text, &salt)? })
    }

    /// Whether `typed` is the phrase. Takes about 25 ms and 19 MiB.
    ///
    /// # Errors
    /// [`PhraseError::Long`] before any work, [`PhraseError::Hash`] when memory is short.
    pub fn is(&self, typed: &str) -> Result<bool, PhraseError> {
        let text: String = typed.chars().take(4 * MOST).nfc().collect();
        let characters = text.chars().count();
        if characters > MOST {
            return Err(PhraseError::Long { characters });
        }
        Ok(same(&hash(&text, &self.salt)?, &self.hash))
    }
}

fn hash(text: &str, salt: &Salt) -> Result<[u8; 32], PhraseError> {
    argon2id(text.as_bytes(), salt, COST)
        .map_err(|cause| PhraseError::Hash { cause: cause.to_string() })
}

fn argon2id(
    text: &[u8],
    salt: &[u8],
    (memory_kib, passes, lanes): (u32, u32, u32),
) -> Result<[u8; 32], argon2::Error> {
    let mut out = [0; 32];
    let params = Params::new(memory_kib, passes, lanes, Some(out.len()))?;
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(text, salt, &mut out)?;
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Argon2 reference implementation (P-H-C/phc-winner-argon2, `src/test.c`, version 0x13,
    /// Argon2id, t 2, m 2^16 KiB, p 1, "password", "somesalt").
    #[test]
    fn ref_phc_argon2id_test_vector() {
        let hash = argon2id(b"password", b"somesalt", (65536, 2, 1)).unwrap();
        let expected = "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7";
        assert_eq!(crate::app::hex(&hash), expected);
    }

    #[test]
    fn ident_the_length_rule_at_its_edges() {
        let salt = [7; 16];
        let short = Phrase::new("elevenchars", salt).unwrap_err();
        assert_eq!(short, PhraseError::Short { characters: 11, words: 1 });
        assert!(short.to_string().contains("11 characters"), "{short}");
        assert!(Phrase::new("twelve chars", salt).is_ok());
        assert!(Phrase::new("ox is at sea", salt).is_ok());
        assert!(Phrase::new("we go to se", salt).is_ok(), "four words, eleven characters");
        assert_eq!(
            Phrase::new("a b c d", salt).unwrap_err(),
            PhraseError::Short { characters: 7, words: 0 }
        );
        assert_eq!(
            Phrase::new("aaaaaaaaaaaab", salt).unwrap_err(),
            PhraseError::Plain { kinds: 2 }
        );
        assert!(Phrase::new(&"abcdefgh".repeat(16), salt).is_ok());
        assert_eq!(
            Phrase::new(&"abcdefgh-".repeat(15), salt).unwrap_err(),
            PhraseError::Long { characters: 135 }
        );
    }

    #[test]
    fn ident_one_phrase_opens_in_either_unicode_form() {
        let phrase = Phrase::new("kühles Wasser", [1; 16]).unwrap();
        assert!(phrase.is("kühles Wasser").unwrap());
        assert!(phrase.is("ku\u{308}hles Wasser").unwrap());
        assert!(!phrase.is("kuhles Wasser").unwrap());
        assert!(!phrase.is("").unwrap());
        assert_eq!(
            phrase.is(&"x".repeat(1_000_000)).unwrap_err(),
            PhraseError::Long { characters: 512 }
        );
        assert_eq!(format!("{phrase:?}"), "Phrase(…)");
    }
}
