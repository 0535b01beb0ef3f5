//! A position on the earth: WGS-84 latitude and longitude, and how it is written aboard.

use std::fmt;

/// A position: geodetic latitude and longitude on WGS-84.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    lat_deg: f64,
    lon_deg: f64,
}

impl Position {
    /// From degrees: latitude -90 to 90, north positive; longitude -180 to 180, east positive.
    ///
    /// Longitude -180 becomes 180, so that one meridian has one name.
    ///
    /// # Errors
    /// [`PositionError::Latitude`], [`PositionError::Longitude`] outside those ranges or not finite.
    pub fn from_degrees(lat_deg: f64, lon_deg: f64) -> Result<Self, PositionError> {
        if !(-90.0..=90.0).contains(&lat_deg) {
            return Err(PositionError::Latitude { value_deg: lat_deg });
        }
        if !(-180.0..=180.0).contains(&lon_deg) {
            return Err(PositionError::Longitude { value_deg: lon_deg });
        }
        Ok(Self::wrapped(lat_deg, lon_deg))
    }

    /// From degrees that come out of a calculation: longitude is brought into range, latitude held at the poles.
    pub(crate) fn wrapped(lat_deg: f64, lon_deg: f64) -> Self {
        let turned = lon_deg - 360.0 * (lon_deg / 360.0).round();
        let lon_deg = if turned <= -180.0 { turned + 360.0 } else { turned };
        Self { lat_deg: lat_deg.clamp(-90.0, 90.0) + 0.0, lon_deg: lon_deg + 0.0 }
    }

    /// Latitude in degrees, -90 to 90, north positive.
    #[must_use]
    pub const fn lat_deg(self) -> f64 {
        self.lat_deg
    }

    /// Longitude in degrees, above -180 up to 180, east positive.
    #[must_use]
    pub const fn lon_deg(self) -> f64 {
        self.lon_deg
    }

    /// At a pole, where every longitude is the same place.
    pub(crate) fn is_pole(self) -> bool {
        self.lat_deg.abs() == 90.0
    }
}

/// Degrees and minutes, `12°34.5'S 045°10.0'E`; a precision gives the decimals of the minutes (1 where none is given).
impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = f.precision().unwrap_or(1).min(9);
        let lat = minutes(self.lat_deg, decimals, 2, ('N', 'S'));
        let lon = minutes(self.lon_deg, decimals, 3, ('E', 'W'));
        write!(f, "{lat} {lon}")
    }
}

/// One angle in degrees and rounded minutes; minutes that round to 60 go into the degrees.
fn minutes(deg: f64, decimals: usize, digits: usize, letters: (char, char)) -> String {
    let per_minute = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    let rounded = (deg.abs() * 60.0 * per_minute).round();
    let whole = (rounded / (60.0 * per_minute)).floor();
    let minutes = (rounded - whole * 60.0 * per_minute) / per_minute;
    let letter = if deg < 0.0 && rounded > 0.0 { letters.1 } else { letters.0 };
    let width = if decimals == 0 { 2 } else { 3 + decimals };
    format!("{whole:0digits$}°{minutes:0width$.decimals$}'{letter}")
}

/// Why a text or two numbers are no position. Every message says what was read, what is allowed and what to write.
#[derive(Debug, Clone, PartialEq)]
pub enum PositionError {
    /// Latitude beyond a pole, or not a number.
    Latitude {
        /// What was given, degrees.
        value_deg: f64,
    },
    /// Longitude beyond the date line, or not a number.
    Longitude {
        /// What was given, degrees.
        value_deg: f64,
    },
    /// Minutes or seconds of sixty or more.
    Sixty {
        /// What was read.
        read: String,
        /// The minutes or seconds read.
        value: f64,
    },
    /// Nothing was typed.
    Empty,
    /// Far longer than any position.
    TooLong {
        /// Characters given.
        length: usize,
        /// Characters allowed.
        allowed: usize,
    },
    /// A sign that belongs to no position.
    Sign {
        /// What was read.
        read: String,
        /// The sign that was not understood.
        sign: char,
    },
    /// A word that says nothing of a position.
    Word {
        /// What was read.
        read: String,
        /// The word that was not understood.
        word: String,
    },
    /// The letter O, which is a slip for a nought, or east in one language and west in another.
    LetterO {
        /// What was read.
        read: String,
        /// Whether a figure stands right beside it.
        in_figure: bool,
    },
    /// A comma that may be a decimal sign or may stand between latitude and longitude.
    Comma {
        /// What was read.
        read: String,
    },
    /// Degrees and minutes, or a third figure, without N or S and E or W to say whose they are.
    NoLetters {
        /// What was read.
        read: String,
    },
    /// Not one latitude and one longitude.
    Parts {
        /// What was read.
        read: String,
    },
}

/// The ways to write a position that a message shows.
const WRITE: &str = "write 12°34.5'S 045°10.0'E, 12 34.5 S 045 10.0 E or -12.575 45.1667";

impl fmt::Display for PositionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Latitude { value_deg } => {
                write!(
                    f,
                    "latitude {value_deg}°: allowed are 90°S (-90) to 90°N (90); latitude comes first"
                )
            }
            Self::Longitude { value_deg } => {
                write!(f, "longitude {value_deg}°: allowed are 180°W (-180) to 180°E (180)")
            }
            Self::Sixty { read, value } => {
                write!(
                    f,
                    "position \"{read}\": {value} minutes or seconds, allowed are 0 to below 60; {WRITE}"
                )
            }
            Self::Empty => write!(f, "position: nothing was given; {WRITE}"),
            Self::TooLong { length, allowed } => {
                write!(f, "position: {length} characters, allowed are {allowed}; {WRITE}")
            }
            Self::Sign { read, sign } => {
                write!(f, "position \"{read}\": '{sign}' is not understood; {WRITE}")
            }
            Self::Word { read, word } if word == read => {
                write!(f, "position \"{read}\": a name is not looked up; {WRITE}")
            }
            Self::Word { read, word } => {
                write!(f, "position \"{read}\": the word \"{word}\" is not understood; {WRITE}")
            }
            Self::LetterO { read, in_figure: true } => write!(
                f,
                "position \"{read}\": the letter O stands in a figure; write 0 for a nought, and E for Ost (east) or W for ouest, oeste (west)"
            ),
            Self::LetterO { read, in_figure: false } => write!(
                f,
                "position \"{read}\": O can be Ost (east), ouest or oeste (west), or a slip for 0; write E, W or 0"
            ),
            Self::Comma { read } => write!(
                f,
                "position \"{read}\": the comma can be a decimal sign or stand between latitude and longitude; {WRITE}"
            ),
            Self::NoLetters { read } => write!(
                f,
                "position \"{read}\": without N or S and E or W only two numbers of degrees are taken; {WRITE}"
            ),
            Self::Parts { read } => write!(
                f,
                "position \"{read}\": wanted one latitude (N or S) and one longitude (E or W); {WRITE}"
            ),
        }
    }
}

impl std::error::Error for PositionError {}
