//! Crockford's base 32 with his check sign: what a person copies from screen to paper and back.
//!
//! Source: D. Crockford, "Base 32", crockford.com/base32.html (alphabet without I, L, O, U; check sign modulo 37).

const SIGNS: &[u8; 37] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U";

/// `number` in base 32, at least `width` signs, without a check sign.
pub(crate) fn encode(number: u64, width: usize) -> String {
    let mut digits = Vec::with_capacity(13);
    let mut rest = number;
    while rest > 0 || digits.len() < width {
        digits.push(SIGNS[(rest & 31) as usize]);
        rest >>= 5;
    }
    digits.iter().rev().map(|&sign| char::from(sign)).collect()
}

/// The check sign of `number`: its remainder by 37.
pub(crate) fn check_sign(number: u64) -> char {
    char::from(SIGNS[(number % 37) as usize])
}

/// The value of a sign as a person may write it: either case, O for 0, I and L for 1. Check-only signs are 32 to 36.
pub(crate) fn value(sign: char) -> Option<u64> {
    let upper = match sign.to_ascii_uppercase() {
        'O' => '0',
        'I' | 'L' => '1',
        other => other,
    };
    SIGNS.iter().position(|&s| char::from(s) == upper).map(|place| place as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Crockford's page: 1234 is written 16J; its check sign is 1234 mod 37 = 13, written D.
    #[test]
    fn ref_crockford_1234() {
        assert_eq!(encode(1234, 1), "16J");
        assert_eq!(check_sign(1234), 'D');
        assert_eq!(encode(1234, 6), "00016J");
    }

    #[test]
    fn ident_signs_read_as_written_and_as_mistaken_for_each_other() {
        for (place, &sign) in SIGNS.iter().enumerate() {
            assert_eq!(value(char::from(sign)), Some(place as u64));
        }
        assert_eq!(value('o'), Some(0));
        assert_eq!(value('i'), Some(1));
        assert_eq!(value('L'), Some(1));
        assert_eq!(value('-'), None);
    }
}
