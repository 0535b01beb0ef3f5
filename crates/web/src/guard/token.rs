//! The form token: proof that a form was drawn by this process for this visitor.

use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;

use crate::app::hex;

/// The secret of this start of the program.
pub(crate) struct Secret([u8; 32]);

impl Secret {
    pub(crate) fn new(bytes: [u8; 32]) -> Secret {
        Secret(bytes)
    }

    /// The token of a visitor, and of the session he is signed in with.
    pub(crate) fn token(&self, visit: &str, session: &str) -> String {
        hmac_sha256(&self.0, format!("form\n{visit}\n{session}").as_bytes())
            .map_or_else(String::new, |tag| hex(&tag))
    }
}

/// HMAC-SHA-256 (RFC 2104); every key length is taken, so `None` does not occur.
fn hmac_sha256(key: &[u8], text: &[u8]) -> Option<[u8; 32]> {
    let mut mac = Hmac::<Sha256>::new_from_slice(key).ok()?;
    mac.update(text);
    Some(mac.finalize().into_bytes().into())
}

/// Compares in a time that does not tell where the texts differ. An empty text equals nothing.
pub(crate) fn same(a: &[u8], b: &[u8]) -> bool {
    let differ = a.iter().zip(b).fold(0u8, |sum, (x, y)| std::hint::black_box(sum | (x ^ y)));
    !a.is_empty() && a.len() == b.len() && differ == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4231, test cases 1, 2 and 6 (a key longer than a block).
    #[test]
    fn ref_rfc4231_hmac_sha256() {
        let cases: [(&[u8], &[u8], &str); 3] = [
            (
                &[0x0b; 20],
                b"Hi There",
                "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
            ),
            (
                b"Jefe",
                b"what do ya want for nothing?",
                "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
            ),
            (
                &[0xaa; 131],
                b"Test Using Larger Than Block-Size Key - Hash Key First",
                "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
            ),
        ];
        for (key, text, tag) in cases {
            assert_eq!(hmac_sha256(key, text).map(|mac| hex(&mac)).as_deref(), Some(tag));
        }
    }

    #[test]
    fn ident_only_equal_texts_are_the_same() {
        assert!(same(b"ab", b"ab"));
        for (a, b) in [("ab", "aB"), ("ab", "abc"), ("abc", "ab"), ("", ""), ("", "a")] {
            assert!(!same(a.as_bytes(), b.as_bytes()), "{a:?} {b:?}");
        }
    }

    #[test]
    fn ident_token_differs_by_secret_visit_and_session() {
        let secret = Secret::new([1; 32]);
        let token = secret.token("v", "s");
        assert_eq!(token.len(), 64);
        assert_ne!(token, Secret::new([2; 32]).token("v", "s"));
        assert_ne!(token, secret.token("w", "s"));
        assert_ne!(token, secret.token("v", ""));
    }
}
