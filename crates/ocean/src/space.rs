//! Points in space: what makes the date line and the poles places like any other.

use crate::Position;
use crate::ellipsoid::{A, E2};

/// A point in space, m from the centre of the earth: towards 0°E, towards 90°E, towards the north pole.
pub type Point = [f64; 3];

/// A point as the coast keeps it: whole centimetres, half the room of [`Point`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept([i32; 3]);

impl Kept {
    /// A point on the earth, to 5 mm in each direction.
    pub fn of(point: Point) -> Self {
        #[allow(clippy::cast_possible_truncation)] // at most 640 million
        Self(point.map(|m| (m * 100.0).round() as i32))
    }

    /// Where it is.
    pub fn point(self) -> Point {
        self.0.map(|cm| f64::from(cm) * 0.01)
    }
}

/// On the ellipsoid, from the sines and cosines of latitude and longitude.
pub fn on_ellipsoid(lat: (f64, f64), lon: (f64, f64)) -> Point {
    let normal = A / (1.0 - E2 * lat.0 * lat.0).sqrt();
    [normal * lat.1 * lon.1, normal * lat.1 * lon.0, normal * (1.0 - E2) * lat.0]
}

/// Where a position is in space.
pub fn point(position: Position) -> Point {
    on_ellipsoid(
        position.lat_deg().to_radians().sin_cos(),
        position.lon_deg().to_radians().sin_cos(),
    )
}

/// The position at, or a little under, a point on the ellipsoid (Bowring 1976, good to micrometres there).
pub fn position([x, y, z]: Point) -> Position {
    let b = A * (1.0 - E2).sqrt();
    let p = x.hypot(y);
    let (sin, cos) = (z * A).atan2(p * b).sin_cos();
    let second = E2 / (1.0 - E2);
    let lat = (z + second * b * sin.powi(3)).atan2(p - E2 * A * cos.powi(3));
    Position::wrapped(lat.to_degrees(), y.atan2(x).to_degrees())
}

/// The square of the distance between two points.
pub fn square(a: &Point, b: &Point) -> f64 {
    let d = [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    d[0] * d[0] + d[1] * d[1] + d[2] * d[2]
}

/// The point of a straight piece that is nearest to another point.
pub fn nearest_on(a: &Point, b: &Point, to: &Point) -> Point {
    let d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    let length2 = d[0] * d[0] + d[1] * d[1] + d[2] * d[2];
    if length2 == 0.0 {
        return *a;
    }
    let along = (to[0] - a[0]) * d[0] + (to[1] - a[1]) * d[1] + (to[2] - a[2]) * d[2];
    let t = (along / length2).clamp(0.0, 1.0);
    [a[0] + t * d[0], a[1] + t * d[1], a[2] + t * d[2]]
}
