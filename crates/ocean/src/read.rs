//! Reading a position as officers write it: 12°34.5'S 045°10'E, 12 34.5 S 045 10.0 E, 1234.5S 04510E, -12.575 45.1667.

use std::ops::Range;
use std::str::FromStr;

use crate::{Position, PositionError};

/// Longest text looked at; a position to the thousandth of a second has 40 characters.
const LONGEST: usize = 64;

/// What a position is written with.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Token {
    Number {
        value: f64,
        /// Digits before the decimal sign.
        digits: usize,
        /// A decimal sign was written.
        fraction: bool,
        /// A sign was written before it.
        signed: bool,
    },
    North,
    South,
    East,
    West,
    /// A comma, semicolon or slash.
    Between,
}

impl Token {
    const fn is_letter(self) -> bool {
        matches!(self, Self::North | Self::South | Self::East | Self::West)
    }
}

/// The words for the four directions beside their letters: English, German, French, Spanish and Italian.
const WORDS: [(Token, &[&str]); 4] = [
    (Token::North, &["n", "north", "nord", "norte"]),
    (Token::South, &["s", "south", "süd", "sued", "sud", "sur"]),
    (Token::East, &["e", "east", "ost", "est", "este"]),
    (Token::West, &["w", "west", "ouest", "oeste", "ovest"]),
];

/// Degrees, minutes and seconds with N or S, E or W before or behind (in either order); four digits of latitude and five of
/// longitude run together as degrees and minutes; or two signed numbers of degrees, latitude first. Point or comma as decimal
/// sign, any of the usual marks for degrees, minutes and seconds, a hyphen between degrees and minutes.
impl FromStr for Position {
    type Err = PositionError;

    fn from_str(text: &str) -> Result<Self, PositionError> {
        let text = text.trim();
        let length = text.chars().count();
        match length {
            0 => return Err(PositionError::Empty),
            1..=LONGEST => {}
            _ => return Err(PositionError::TooLong { length, allowed: LONGEST }),
        }
        let tokens = tokens(text)?;
        if tokens.iter().any(|token| token.is_letter()) {
            lettered(&tokens, text)
        } else {
            plain(&tokens, text)
        }
    }
}

fn tokens(text: &str) -> Result<Vec<Token>, PositionError> {
    let chars: Vec<char> = text.chars().collect();
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    // Where a point is the decimal sign anywhere, a comma is never one.
    let has_point = (0..chars.len()).any(|i| chars[i] == '.' && digit(i + 1));
    let mut out = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        let minus = matches!(c, '-' | '\u{2212}' | '\u{2013}');
        let after_number = matches!(out.last(), Some(Token::Number { .. })) && i > 0;
        // A hyphen that stands right behind a number joins degrees and minutes; elsewhere it is a sign.
        let joins = minus && after_number && !chars[i - 1].is_whitespace();
        let signed = (minus && !joins) || c == '+';
        if digit(i) || (signed && digit(i + 1)) {
            let start = if signed { i + 1 } else { i };
            let mut end = start;
            while digit(end) {
                end += 1;
            }
            let digits = end - start;
            let sign_at = |i: usize| {
                digit(i + 1)
                    && matches!(chars.get(i), Some('.' | ','))
                    && (chars[i] == '.' || !has_point)
            };
            let fraction = sign_at(end);
            if fraction {
                end += 1;
                while digit(end) {
                    end += 1;
                }
                if sign_at(end) {
                    return Err(PositionError::Comma { read: text.to_owned() });
                }
            }
            // "12,34.5": two numbers, or degrees and minutes.
            if !fraction && chars.get(end) == Some(&',') && digit(end + 1) {
                return Err(PositionError::Comma { read: text.to_owned() });
            }
            let number: String = chars[start..end].iter().collect();
            let value: f64 = number
                .replace(',', ".")
                .parse()
                .map_err(|_| PositionError::Parts { read: text.to_owned() })?;
            let value = if minus { -value } else { value };
            out.push(Token::Number { value, digits, fraction, signed });
            i = end;
            continue;
        }
        if c.is_alphabetic() && !is_mark(c) {
            let rest = &chars[i..];
            let len = rest.iter().take_while(|c| c.is_alphabetic() && !is_mark(**c)).count();
            out.push(direction(text, &chars, i..i + len)?);
            i += len;
            continue;
        }
        match c {
            ',' | ';' | '/' => out.push(Token::Between),
            _ if is_mark(c) || c.is_whitespace() || joins => {}
            _ => return Err(PositionError::Sign { read: text.to_owned(), sign: c }),
        }
        i += 1;
    }
    Ok(out)
}

/// The marks for degrees, minutes and seconds.
const fn is_mark(c: char) -> bool {
    matches!(c, '°' | 'º' | '˚' | '*' | '\'' | '’' | '‘' | '′' | '"' | '”' | '“' | '″' | '´' | '`')
}

/// The direction that a letter or a word says.
fn direction(text: &str, chars: &[char], at: Range<usize>) -> Result<Token, PositionError> {
    let word: String = chars.get(at.clone()).unwrap_or_default().iter().collect();
    let lower = word.to_lowercase();
    if let Some((token, _)) = WORDS.iter().find(|(_, words)| words.contains(&lower.as_str())) {
        return Ok(*token);
    }
    let read = text.to_owned();
    if lower.chars().all(|c| c == 'o') {
        let beside = [at.start.checked_sub(1), Some(at.end)].into_iter().flatten();
        let in_figure = beside.filter_map(|i| chars.get(i)).any(char::is_ascii_digit);
        return Err(PositionError::LetterO { read, in_figure });
    }
    Err(match (word.chars().next(), word.chars().nth(1)) {
        (Some(sign), None) => PositionError::Sign { read, sign },
        _ => PositionError::Word { read, word },
    })
}

/// Two numbers of degrees, latitude first.
fn plain(tokens: &[Token], text: &str) -> Result<Position, PositionError> {
    let read = || text.to_owned();
    match tokens {
        [Token::Number { value: lat, .. }, between @ .., Token::Number { value: lon, .. }]
            if between.is_empty() || between == [Token::Between] =>
        {
            Position::from_degrees(*lat, *lon)
        }
        [Token::Number { fraction: true, .. }] if text.contains(',') => {
            Err(PositionError::Comma { read: read() })
        }
        _ if tokens.iter().filter(|token| matches!(token, Token::Number { .. })).count() > 2 => {
            Err(PositionError::NoLetters { read: read() })
        }
        _ => Err(PositionError::Parts { read: read() }),
    }
}

/// Latitude and longitude each with its letter, all before or all behind their figures.
fn lettered(tokens: &[Token], text: &str) -> Result<Position, PositionError> {
    let parts = || PositionError::Parts { read: text.to_owned() };
    let is_leading = tokens.first().is_some_and(|token| token.is_letter());
    let mut halves = Vec::with_capacity(2);
    let mut figures = Vec::with_capacity(3);
    let mut letter = None;
    for token in tokens {
        match token {
            Token::Number { .. } => figures.push(*token),
            // Between latitude and longitude, or nothing.
            Token::Between if figures.is_empty() || is_leading => {}
            Token::Between => return Err(parts()),
            _ if is_leading => {
                if let Some(before) = letter.replace(*token) {
                    halves.push((before, std::mem::take(&mut figures)));
                }
            }
            _ => halves.push((*token, std::mem::take(&mut figures))),
        }
    }
    match letter {
        Some(last) => halves.push((last, figures)),
        None if !figures.is_empty() => return Err(parts()),
        None => {}
    }
    let [(first, ours), (second, theirs)] = halves.as_slice() else { return Err(parts()) };
    let is_lat = |letter: &Token| matches!(letter, Token::North | Token::South);
    let (lat, lon) = match (is_lat(first), is_lat(second)) {
        (true, false) => ((first, ours), (second, theirs)),
        (false, true) => ((second, theirs), (first, ours)),
        _ => return Err(parts()),
    };
    Position::from_degrees(angle(*lat.0, lat.1, text)?, angle(*lon.0, lon.1, text)?)
}

/// Degrees from up to three figures and a letter.
fn angle(letter: Token, figures: &[Token], text: &str) -> Result<f64, PositionError> {
    let read = || text.to_owned();
    let run_together = if matches!(letter, Token::North | Token::South) { 4 } else { 5 };
    let mut deg = 0.0;
    let mut worth = 1.0;
    let mut is_last = false;
    for figure in figures {
        let Token::Number { value, digits, fraction, signed } = *figure else {
            return Err(PositionError::Parts { read: read() });
        };
        // A sign beside a letter says the same thing twice or the opposite; nothing follows a decimal.
        if signed || is_last || worth > 3600.0 {
            return Err(PositionError::Parts { read: read() });
        }
        is_last = fraction;
        let (whole, value) = if figures.len() == 1 && digits == run_together {
            ((value / 100.0).floor(), value % 100.0)
        } else {
            (0.0, value)
        };
        if digits == run_together && figures.len() == 1 {
            worth = 60.0;
        }
        if worth > 1.0 && value >= 60.0 {
            return Err(PositionError::Sixty { read: read(), value });
        }
        deg += whole + value / worth;
        worth *= 60.0;
    }
    if figures.is_empty() {
        return Err(PositionError::Parts { read: read() });
    }
    Ok(if matches!(letter, Token::South | Token::West) { -deg } else { deg })
}
