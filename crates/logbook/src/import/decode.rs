//! Bytes to text: what kind of file it is, and the refusal of what is none.

use std::fmt;

use super::LARGEST_FILE;

/// A file's text and how it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// The text, without a byte-order mark.
    pub text: String,
    /// How it was encoded, in words, where that is worth saying.
    pub note: Option<&'static str>,
}

/// Why a file is not read at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileRefused {
    /// Nothing in it.
    Empty,
    /// Larger than taken through a page.
    TooLarge {
        /// Its size, bytes.
        bytes: usize,
    },
    /// Not text.
    Binary {
        /// Where the first byte that no text has stands, counted from 0.
        at: usize,
    },
    /// No column of times.
    NoTime {
        /// The headings found.
        headings: Vec<String>,
    },
    /// No column of readings.
    NoReadings {
        /// The headings found.
        headings: Vec<String>,
    },
    /// Dates like 3/4/2026 that could be read both ways.
    DayOrder {
        /// Line of the first such date.
        line: u64,
        /// What was read.
        read: String,
    },
    /// Dates of which one can only be day/month and another only month/day.
    DayOrders {
        /// Line of the first with the day first, and what was read.
        day: (u64, String),
        /// Line of the first with the month first, and what was read.
        month: (u64, String),
    },
    /// A row that is not CSV.
    Broken {
        /// Where.
        line: usize,
        /// What the reader says.
        what: String,
    },
}

impl fmt::Display for FileRefused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("the file is empty: nothing to take"),
            Self::TooLarge { bytes } => write!(
                f,
                "the file has {bytes} bytes, {LARGEST_FILE} are taken at a time: split it, or import it at the ship's computer"
            ),
            Self::Binary { at } => write!(
                f,
                "byte {at} is none of a text: this is not a CSV file (a spreadsheet must be saved as CSV first)"
            ),
            Self::NoTime { headings } => write!(
                f,
                "no column of times: wanted a heading such as time, UTC or date, read {}",
                headings.join(", ")
            ),
            Self::NoReadings { headings } => write!(
                f,
                "no column is a known reading: read {}; name the columns once, the ship remembers it",
                headings.join(", ")
            ),
            Self::DayOrder { line, read } => write!(
                f,
                "line {line}: \"{read}\" can be day/month or month/day and no other date in the file settles it: say which"
            ),
            Self::DayOrders { day, month } => write!(
                f,
                "line {}: \"{}\" is day/month, line {}: \"{}\" month/day, and no one order fits both: write the dates as 2026-11-25, or say which order holds and leave the other rows out",
                day.0, day.1, month.0, month.1
            ),
            Self::Broken { line, what } => write!(f, "line {line}: {what}"),
        }
    }
}

impl std::error::Error for FileRefused {}

/// Text of a file: UTF-8 with or without mark, UTF-16 with its mark, else Latin-1.
///
/// # Errors
/// Empty, too large, or not text.
pub fn decode(bytes: &[u8]) -> Result<Text, FileRefused> {
    if bytes.len() > LARGEST_FILE {
        return Err(FileRefused::TooLarge { bytes: bytes.len() });
    }
    let text = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest),
        [0xFF, 0xFE, rest @ ..] => Ok(utf16(rest, u16::from_le_bytes)),
        [0xFE, 0xFF, rest @ ..] => Ok(utf16(rest, u16::from_be_bytes)),
        all => utf8(all),
    }?;
    if text.text.trim().is_empty() {
        return Err(FileRefused::Empty);
    }
    Ok(text)
}

fn utf8(bytes: &[u8]) -> Result<Text, FileRefused> {
    // Line ends and tabs are the only control characters a text of figures has.
    let odd = |b: &u8| *b < 0x20 && !matches!(*b, b'\n' | b'\r' | b'\t' | 0x0C);
    if let Some(at) = bytes.iter().position(odd) {
        return Err(FileRefused::Binary { at });
    }
    Ok(match std::str::from_utf8(bytes) {
        Ok(text) => Text { text: text.to_owned(), note: None },
        Err(_) => Text {
            text: bytes.iter().map(|b| char::from(*b)).collect(),
            note: Some("not UTF-8: read as Latin-1, look at the degree signs"),
        },
    })
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Text {
    let units: Vec<u16> = bytes.chunks_exact(2).map(|b| unit([b[0], b[1]])).collect();
    Text { text: String::from_utf16_lossy(&units), note: Some("UTF-16") }
}
