//! The line sailed between two positions: rhumb line or great circle, on WGS-84.

use std::fmt;

use crate::ellipsoid::{self, QUARTER_MERIDIAN_M};
use crate::{Course, Distance, Position};

/// Which line is sailed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Track {
    /// One course all the way: straight on a Mercator chart.
    RhumbLine,
    /// The shortest way: the geodesic of the ellipsoid.
    GreatCircle,
}

impl Track {
    /// Where one comes that leaves on a course and sails a distance.
    ///
    /// # Errors
    /// [`NoDestination`] for a distance that is not finite, and on a rhumb line that would go beyond a pole, where it ends.
    pub fn destination(
        self,
        from: Position,
        course: Course,
        way: Distance,
    ) -> Result<Position, NoDestination> {
        if !way.m().is_finite() {
            return Err(NoDestination::NotFinite);
        }
        match self {
            Self::RhumbLine => rhumb_direct(from, course, way),
            Self::GreatCircle => Ok(ellipsoid::direct(from, course, way).0),
        }
    }
}

/// Why a course and a distance lead nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoDestination {
    /// The distance is not a number.
    NotFinite,
    /// A rhumb line would go beyond a pole.
    PastPole {
        /// What was asked for.
        way: Distance,
        /// Where the pole is reached.
        pole: Distance,
    },
}

impl fmt::Display for NoDestination {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => {
                write!(f, "distance: not a number; give nautical miles, such as 120.5")
            }
            Self::PastPole { way, pole } => write!(
                f,
                "distance {:.1} nmi: this rhumb line ends at a pole after {:.1} nmi; take a shorter one or a great circle",
                way.nmi(),
                pole.nmi()
            ),
        }
    }
}

impl std::error::Error for NoDestination {}

/// A leg from one position to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    from: Position,
    to: Position,
    track: Track,
    length: Distance,
    start: Course,
    end: Course,
}

impl Leg {
    /// The leg between two positions, the shorter way round.
    ///
    /// Longitude means nothing at a pole, so a rhumb line from or to one is the meridian of its other end. Between
    /// longitudes exactly 180° apart a rhumb line goes east.
    #[must_use]
    pub fn new(from: Position, to: Position, track: Track) -> Self {
        let (length, start, end) = match track {
            Track::RhumbLine => {
                let (length, course) = rhumb_inverse(from, to);
                (length, course, course)
            }
            Track::GreatCircle => ellipsoid::inverse(from, to),
        };
        Self { from, to, track, length, start, end }
    }

    /// Where it begins.
    #[must_use]
    pub const fn from(&self) -> Position {
        self.from
    }

    /// Where it ends.
    #[must_use]
    pub const fn to(&self) -> Position {
        self.to
    }

    /// Which line it is.
    #[must_use]
    pub const fn track(&self) -> Track {
        self.track
    }

    /// Its length.
    #[must_use]
    pub const fn length(&self) -> Distance {
        self.length
    }

    /// The course it leaves on; `None` where both ends are the same place.
    #[must_use]
    pub fn course_from(&self) -> Option<Course> {
        (self.length > Distance::ZERO).then_some(self.start)
    }

    /// The course it arrives on; `None` where both ends are the same place.
    #[must_use]
    pub fn course_to(&self) -> Option<Course> {
        (self.length > Distance::ZERO).then_some(self.end)
    }

    /// The position a distance from its beginning; before it the beginning, after its length the end.
    #[must_use]
    pub fn point_at(&self, way: Distance) -> Position {
        if way < self.length && way > Distance::ZERO {
            // A rhumb line within its own length passes no pole; should rounding say so, the end is that pole.
            self.track.destination(self.from, self.start, way).unwrap_or(self.to)
        } else if way >= self.length {
            self.to
        } else {
            self.from
        }
    }

    /// The course a distance from its beginning, held within the leg; `None` where both ends are the same place.
    #[must_use]
    pub fn course_at(&self, way: Distance) -> Option<Course> {
        let start = self.course_from()?;
        Some(match self.track {
            Track::RhumbLine => start,
            Track::GreatCircle if way >= self.length => self.end,
            Track::GreatCircle if way > Distance::ZERO => {
                ellipsoid::direct(self.from, start, way).1
            }
            Track::GreatCircle => start,
        })
    }
}

/// Metres along the meridian per radian of isometric latitude between two latitudes: a mean radius of the parallels.
fn mean_parallel_m(lat1: f64, lat2: f64) -> f64 {
    let isometric = ellipsoid::isometric(lat1, lat2);
    if isometric == 0.0 {
        ellipsoid::parallel_m(lat1)
    } else {
        ellipsoid::meridian_m(lat1, lat2) / isometric
    }
}

fn rhumb_inverse(from: Position, to: Position) -> (Distance, Course) {
    let (lat1, lat2) = (from.lat_deg().to_radians(), to.lat_deg().to_radians());
    if from.is_pole() || to.is_pole() {
        let north = ellipsoid::meridian_m(lat1, lat2);
        let course = if north < 0.0 { 180.0 } else { 0.0 };
        return (Distance::from_m(north.abs()), Course::wrapped(course));
    }
    let east = Position::wrapped(0.0, to.lon_deg() - from.lon_deg()).lon_deg().to_radians();
    let north = ellipsoid::isometric(lat1, lat2);
    let length = north.hypot(east) * mean_parallel_m(lat1, lat2);
    (Distance::from_m(length), Course::wrapped(east.atan2(north).to_degrees()))
}

fn rhumb_direct(from: Position, course: Course, way: Distance) -> Result<Position, NoDestination> {
    let lat1 = from.lat_deg().to_radians();
    let (sin, cos) = course.degrees().to_radians().sin_cos();
    let north = way.m() * cos;
    let room = QUARTER_MERIDIAN_M - ellipsoid::meridian_m(0.0, lat1) * north.signum();
    // A micrometre, so that the way to a pole as it was worked out also reaches it.
    if north.abs() > room + 1.0e-6 {
        return Err(NoDestination::PastPole {
            way,
            pole: Distance::from_m(room.max(0.0) / cos.abs()),
        });
    }
    let lat2 = ellipsoid::latitude_at_m(lat1, north);
    let lat2_deg = lat2.to_degrees();
    if lat2_deg.abs() >= 90.0 || from.is_pole() {
        return Ok(Position::wrapped(lat2_deg, from.lon_deg()));
    }
    let east = way.m() * sin / mean_parallel_m(lat1, lat2);
    Ok(Position::wrapped(lat2_deg, from.lon_deg() + east.to_degrees()))
}
