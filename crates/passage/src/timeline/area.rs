//! Areas where the ship makes no water, or for the distilled tank only: polygons of positions, across the date line too.

use std::fmt;

use ocean::Position;

/// An area with straight sides in latitude and longitude (rhumb lines nearly), less than half the earth wide.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    name: String,
    /// Corners as (latitude, longitude counted on from the first corner), degrees.
    corners: Vec<(f64, f64)>,
    distilled_only: bool,
}

/// Why corners make no area.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoArea {
    /// Fewer than three corners.
    TooFew {
        /// The area.
        name: String,
        /// Corners given.
        corners: usize,
    },
    /// Two sides cross.
    Crossing {
        /// The area.
        name: String,
        /// The sides that cross, counted from 1.
        sides: (usize, usize),
    },
    /// Its sides run round the earth or over a pole.
    RoundTheEarth {
        /// The area.
        name: String,
    },
}

impl fmt::Display for NoArea {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { name, corners } => {
                write!(f, "area \"{name}\": {corners} corners, at least 3 are needed")
            }
            Self::Crossing { name, sides: (a, b) } => write!(
                f,
                "area \"{name}\": side {a} crosses side {b}; list the corners in order round it, or make two areas of it"
            ),
            Self::RoundTheEarth { name } => write!(
                f,
                "area \"{name}\": its sides run round the earth; an area is less than 180° of longitude wide, cut it in two"
            ),
        }
    }
}

impl std::error::Error for NoArea {}

/// Degrees from one longitude to another, the shorter way, -180 to 180.
fn turn(from_deg: f64, to_deg: f64) -> f64 {
    let d = to_deg - from_deg;
    d - 360.0 * (d / 360.0).round()
}

impl Area {
    /// An area from its corners in order; the last is joined to the first.
    ///
    /// # Errors
    /// [`NoArea`].
    pub fn new(name: &str, corners: &[Position]) -> Result<Self, NoArea> {
        let name = name.to_owned();
        if corners.len() < 3 {
            return Err(NoArea::TooFew { name, corners: corners.len() });
        }
        let mut east = corners[0].lon_deg();
        let mut last = east;
        let mut unrolled = Vec::with_capacity(corners.len());
        for corner in corners {
            east += turn(last, corner.lon_deg());
            last = corner.lon_deg();
            unrolled.push((corner.lat_deg(), east));
        }
        let closing = turn(last, corners[0].lon_deg());
        let (west, far) = unrolled
            .iter()
            .fold((f64::MAX, f64::MIN), |(low, high), (_, lon)| (low.min(*lon), high.max(*lon)));
        if far - west >= 180.0 || (east + closing - unrolled[0].1).abs() > 1e-6 {
            return Err(NoArea::RoundTheEarth { name });
        }
        let n = unrolled.len();
        for a in 0..n {
            for b in a + 1..n {
                // Sides that follow each other meet in their corner.
                let meet = b == a + 1 || (a == 0 && b == n - 1);
                let side = |i: usize| (unrolled[i], unrolled[(i + 1) % n]);
                if !meet && cross(side(a), side(b)) {
                    return Err(NoArea::Crossing { name, sides: (a + 1, b + 1) });
                }
            }
        }
        Ok(Self { name, corners: unrolled, distilled_only: false })
    }

    /// The same area as one where water may be made for the distilled tank only, nearer to land than ordered too.
    #[must_use]
    pub fn for_distilled(self) -> Self {
        Self { distilled_only: true, ..self }
    }

    /// Whether water may be made here for the distilled tank only; else none may be made.
    #[must_use]
    pub fn is_for_distilled(&self) -> bool {
        self.distilled_only
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its corners, (latitude, longitude) in degrees; longitudes run on across the date line.
    #[must_use]
    pub fn corners(&self) -> &[(f64, f64)] {
        &self.corners
    }

    /// Whether a position is inside.
    #[must_use]
    pub fn holds(&self, position: Position) -> bool {
        let first = self.corners[0].1;
        let lat = position.lat_deg();
        // The area is less than half the earth wide, so the position is compared on three turns of the earth at most.
        let near = first + turn(first, position.lon_deg());
        [near - 360.0, near, near + 360.0].into_iter().any(|lon| self.is_inside(lat, lon))
    }

    fn is_inside(&self, lat: f64, lon: f64) -> bool {
        let n = self.corners.len();
        let mut inside = false;
        for i in 0..n {
            let ((lat1, lon1), (lat2, lon2)) = (self.corners[i], self.corners[(i + 1) % n]);
            if (lat1 > lat) != (lat2 > lat)
                && lon < lon1 + (lat - lat1) / (lat2 - lat1) * (lon2 - lon1)
            {
                inside = !inside;
            }
        }
        inside
    }
}

type Point = (f64, f64);

fn cross((a, b): (Point, Point), (c, d): (Point, Point)) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let apart = |x: f64, y: f64| (x > 0.0 && y < 0.0) || (x < 0.0 && y > 0.0);
    apart(side(a, b, c), side(a, b, d)) && apart(side(c, d, a), side(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(lat: f64, lon: f64) -> Position {
        Position::from_degrees(lat, lon).expect("position")
    }

    #[test]
    fn ident_an_area_across_the_date_line_holds_both_sides() {
        let area = Area::new(
            "reef",
            &[at(-10.0, 175.0), at(-10.0, -175.0), at(-20.0, -175.0), at(-20.0, 175.0)],
        )
        .expect("area");
        for (lat, lon, inside) in [
            (-15.0, 180.0, true),
            (-15.0, 176.0, true),
            (-15.0, -176.0, true),
            (-15.0, 0.0, false),
            (-15.0, 174.0, false),
            (-9.0, 180.0, false),
        ] {
            assert_eq!(area.holds(at(lat, lon)), inside, "{lat} {lon}");
        }
    }

    #[test]
    fn ident_a_bow_tie_and_a_belt_are_no_areas() {
        let bow = [at(0.0, 0.0), at(10.0, 10.0), at(10.0, 0.0), at(0.0, 10.0)];
        assert_eq!(
            Area::new("bow", &bow),
            Err(NoArea::Crossing { name: "bow".into(), sides: (1, 3) })
        );
        let belt = [at(0.0, 0.0), at(0.0, 120.0), at(0.0, -120.0)];
        assert!(matches!(Area::new("belt", &belt), Err(NoArea::RoundTheEarth { .. })));
        assert!(matches!(Area::new("line", &belt[..2]), Err(NoArea::TooFew { .. })));
    }
}
