//! WGS-84: the geodesics of `geographiclib-rs`, meridian arcs, isometric latitude and points in space.
//!
//! Differences between two latitudes are taken by addition theorems, never by subtracting two large values, so that
//! they stay good to the last digits for neighbours as for points half a world apart.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

use crate::{Course, Distance, Position};

/// Equatorial radius, m (NIMA TR8350.2).
pub const A: f64 = 6_378_137.0;
/// Flattening (NIMA TR8350.2).
const F: f64 = 1.0 / 298.257_223_563;
/// First eccentricity squared.
pub const E2: f64 = F * (2.0 - F);
/// Third flattening.
const N: f64 = F / (2.0 - F);

/// Radius of the sphere whose quarter meridian is the ellipsoid's, m (Helmert 1880).
const RECTIFYING: f64 = A / (1.0 + N) * (1.0 + N * N / 4.0 + N * N * N * N / 64.0);

/// Rectifying latitude from geodetic latitude: sin 2kφ for k from 1 (Helmert 1880), to the fourth order in n; the rest is
/// below 1e-13.
const MU: [f64; 4] = [
    -3.0 / 2.0 * N + 9.0 / 16.0 * N * N * N,
    15.0 / 16.0 * N * N - 15.0 / 32.0 * N * N * N * N,
    -35.0 / 48.0 * N * N * N,
    315.0 / 512.0 * N * N * N * N,
];

/// Shortest way between two positions: its length and its courses at both ends.
pub fn inverse(from: Position, to: Position) -> (Distance, Course, Course) {
    let (m, start, end, _): (f64, f64, f64, f64) =
        Geodesic::wgs84().inverse(from.lat_deg(), from.lon_deg(), to.lat_deg(), to.lon_deg());
    (Distance::from_m(m), Course::wrapped(start), Course::wrapped(end))
}

/// Where a great circle that leaves on a course has come after a distance, and its course there.
pub fn direct(from: Position, course: Course, way: Distance) -> (Position, Course) {
    let (lat, lon, end): (f64, f64, f64) =
        Geodesic::wgs84().direct(from.lat_deg(), from.lon_deg(), course.degrees(), way.m());
    (Position::wrapped(lat, lon), Course::wrapped(end))
}

/// Length of the meridian from one latitude to another, m, northward positive.
pub fn meridian_m(lat1: f64, lat2: f64) -> f64 {
    let mut sum = lat2 - lat1;
    let mut k = 1.0;
    for coefficient in MU {
        sum += coefficient * 2.0 * (k * (lat1 + lat2)).cos() * (k * (lat2 - lat1)).sin();
        k += 1.0;
    }
    RECTIFYING * sum
}

/// Length of the meridian from the equator to a pole, m.
pub const QUARTER_MERIDIAN_M: f64 = RECTIFYING * std::f64::consts::FRAC_PI_2;

/// The latitude this far along the meridian from another, radians; held at the poles.
pub fn latitude_at_m(lat1: f64, northward_m: f64) -> f64 {
    let target = meridian_m(0.0, lat1) + northward_m;
    let mut lat = target / RECTIFYING;
    // Newton from the rectifying latitude, which is within 0.003: the error is squared each time.
    for _ in 0..3 {
        let w2 = 1.0 - E2 * lat.sin().powi(2);
        let radius = A * (1.0 - E2) / (w2 * w2.sqrt());
        lat += (target - meridian_m(0.0, lat)) / radius;
    }
    lat.clamp(-std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2)
}

/// Difference of isometric latitude (meridional parts, in radians) between two latitudes.
pub fn isometric(lat1: f64, lat2: f64) -> f64 {
    let half = 0.5 * (lat2 - lat1);
    let middle = 0.5 * (lat1 + lat2);
    let e = E2.sqrt();
    let sines = 2.0 * middle.cos() * half.sin();
    let sphere = 2.0 * (half.sin() / middle.cos()).atanh();
    sphere - e * (e * sines / (1.0 - E2 * lat1.sin() * lat2.sin())).atanh()
}

/// Radius of a parallel, m.
pub fn parallel_m(lat: f64) -> f64 {
    A * lat.cos() / (1.0 - E2 * lat.sin().powi(2)).sqrt()
}
