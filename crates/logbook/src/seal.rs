//! The day's seal: one hash over everything before it, and the twelve signs of it that are written in the bound book.

use std::fmt;
use std::str::FromStr;

use jiff::civil::Date;

use crate::crockford;
use crate::hash::{Hash, SEAL_DOMAIN};
use crate::wire::Object;

/// Signs of a code before its check sign: 60 bits.
const SIGNS: usize = 12;

/// What a seal says of the record; its hash covers exactly this.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seal {
    /// The computer that wrote the record.
    pub node: String,
    /// The ship's date it was made for.
    pub day: Date,
    /// The number of the sea day, which the date line neither doubles nor drops.
    pub sea_day: Option<u64>,
    /// First entry it covers.
    pub first: u64,
    /// Last entry it covers.
    pub last: u64,
    /// How many entries that is.
    pub count: u64,
    /// Hash of the last entry.
    pub head: Hash,
    /// Hash of the seal before; zeros for the first.
    pub prev_seal: Hash,
}

impl Seal {
    /// The canonical text that is hashed.
    pub fn canonical(&self) -> String {
        let mut out = String::new();
        let mut object = Object::open(&mut out);
        object.maybe_number("count", Some(self.count));
        object.string("day", &self.day.to_string());
        object.maybe_number("first", Some(self.first));
        object.hash("head", &self.head);
        object.maybe_number("last", Some(self.last));
        object.string("node", &self.node);
        object.hash("prev_seal", &self.prev_seal);
        object.maybe_number("sea_day", self.sea_day);
        object.close();
        out
    }

    /// SHA-256("stillwatch-seal-1\n" ‖ canonical text).
    pub fn hash(&self) -> Hash {
        Hash::with_domain(SEAL_DOMAIN, &self.canonical())
    }

    /// The code to be copied by hand.
    pub fn code(&self) -> SealCode {
        SealCode::of(&self.hash())
    }
}

/// The first 60 bits of a seal, written `XXXX-XXXX-XXXX-C` in Crockford's base 32 with his check sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SealCode(u64);

impl SealCode {
    /// The code of a seal's hash.
    pub fn of(hash: &Hash) -> Self {
        let [a, b, c, d, e, f, g, h, ..] = *hash.bytes();
        Self(u64::from_be_bytes([a, b, c, d, e, f, g, h]) >> 4)
    }
}

impl fmt::Display for SealCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let signs = crockford::encode(self.0, SIGNS);
        for (place, sign) in signs.chars().enumerate() {
            if place > 0 && place % 4 == 0 {
                f.write_str("-")?;
            }
            write!(f, "{sign}")?;
        }
        write!(f, "-{}", crockford::check_sign(self.0))
    }
}

/// Why a written code is not a code: a slip of the pen or the eye, not an alteration.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mistyped {
    /// Not twelve signs and a check sign.
    Length {
        /// Signs given, without hyphens and spaces.
        found: usize,
    },
    /// A sign that no code has.
    Sign {
        /// The sign.
        found: char,
        /// Its place, from 1.
        place: usize,
    },
    /// The check sign does not go with the twelve before it.
    Check {
        /// The check sign given.
        found: char,
        /// The one these twelve signs have.
        expected: char,
    },
}

impl fmt::Display for Mistyped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length { found } => {
                write!(
                    f,
                    "{found} signs; a seal code has 12 and a check sign, such as 7381-FKRX-XVV7-7"
                )
            }
            Self::Sign { found, place } => {
                write!(f, "sign {place}, \"{found}\", is in no seal code")
            }
            Self::Check { found, expected } => write!(
                f,
                "mistyped: the check sign is \"{found}\" but those twelve signs have \"{expected}\"; compare with the book again"
            ),
        }
    }
}

impl std::error::Error for Mistyped {}

impl FromStr for SealCode {
    type Err = Mistyped;

    /// Reads a code as written: either case, hyphens and spaces anywhere, O for 0, I or L for 1.
    fn from_str(text: &str) -> Result<Self, Mistyped> {
        let signs: Vec<char> = text
            .chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '\u{2010}'..='\u{2015}'))
            .collect();
        if signs.len() != SIGNS + 1 {
            return Err(Mistyped::Length { found: signs.len() });
        }
        let mut number = 0;
        for (index, &sign) in signs.iter().take(SIGNS).enumerate() {
            match crockford::value(sign) {
                Some(value) if value < 32 => number = number << 5 | value,
                _ => return Err(Mistyped::Sign { found: sign, place: index + 1 }),
            }
        }
        let found = signs[SIGNS];
        let expected = crockford::check_sign(number);
        if crockford::value(found) == crockford::value(expected) {
            Ok(Self(number))
        } else {
            Err(Mistyped::Check { found, expected })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Worked out outside this program with Python's hashlib over the printed text.
    #[test]
    fn cross_python_hashlib_seal_and_code() {
        let seal = Seal {
            node: "A1".to_owned(),
            day: jiff::civil::date(2026, 11, 25),
            sea_day: None,
            first: 1,
            last: 2,
            count: 2,
            head: "6d3b5b07059eab9b303a1000d5eeae4c5e6b0aecac05f79638e7defa5d8b15f2"
                .parse()
                .unwrap(),
            prev_seal: Hash::NONE,
        };
        assert!(seal.hash().to_string().starts_with("38d017cf1deef676"));
        assert_eq!(seal.code().to_string(), "7381-FKRX-XVV7-7");
        let general: serde_json::Value = serde_json::from_str(&seal.canonical()).unwrap();
        assert_eq!(crate::canonical_json(&general), seal.canonical());
    }

    #[test]
    fn ident_code_is_read_as_a_hand_writes_it() {
        let code: SealCode = "7381-FKRX-XVV7-7".parse().unwrap();
        assert_eq!("738l fkrx xvv7 7".parse::<SealCode>(), Ok(code));
        assert_eq!("7381FKRXXVV77".parse::<SealCode>(), Ok(code));
        assert_eq!("7381".parse::<SealCode>(), Err(Mistyped::Length { found: 4 }));
        assert!(matches!(
            "7381-FKRX-XVV7-8".parse::<SealCode>(),
            Err(Mistyped::Check { found: '8', expected: '7' })
        ));
        assert!(matches!(
            "73*1-FKRX-XVV7-7".parse::<SealCode>(),
            Err(Mistyped::Sign { found: '*', place: 3 })
        ));
    }

    proptest! {
        #[test]
        fn ident_code_returns_itself_and_one_wrong_sign_never_passes(bytes: [u8; 32], place in 0_usize..12, other in 0_u64..32) {
            let code = SealCode::of(&Hash(bytes));
            let text = code.to_string();
            prop_assert_eq!(text.parse::<SealCode>(), Ok(code));
            let mut signs: Vec<char> = text.chars().filter(|&c| c != '-').collect();
            let wrong = crockford::encode(other, 1).chars().next().unwrap();
            if signs[place] != wrong {
                signs[place] = wrong;
                let text: String = signs.iter().collect();
                let is_check = matches!(text.parse::<SealCode>(), Err(Mistyped::Check { .. }));
                prop_assert!(is_check);
            }
        }
    }
}
