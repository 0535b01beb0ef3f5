//! The sheet of a track map: which piece of the sea it shows, and where a position falls on it.

use super::data::GeoPoint;
use crate::geometry::Rect;
use crate::number::usable;

/// Beyond this latitude the Mercator chart swells so much that it tells little.
const MERCATOR_TO_DEG: f64 = 68.0;
/// As near to the poles as a Mercator chart may be drawn.
const MERCATOR_END_DEG: f64 = 85.0;
/// Least height of the piece of sea shown, degrees of latitude at the equator.
const LEAST_DEG: f64 = 1.5;
/// Points nearer to each other than this on the sheet, units, are one.
const ON_TOP: f64 = 0.35;
/// Most times a chain is drawn, each a whole turn from the last.
const MOST_TURNS: i64 = 5;

/// How the round sea is laid flat.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Flat {
    Mercator,
    /// Equal steps of latitude and longitude, true to scale along one latitude whose cosine this is.
    Local(f64),
}

/// A piece of the sea laid on a rectangle of the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Projection {
    flat: Flat,
    /// The meridian the piece is centred on, degrees.
    centre_deg: f64,
    /// Places of the frame's left top corner on the flat sea, degrees of the equator.
    left: f64,
    top: f64,
    /// Units of the sheet in a degree of the equator.
    per_deg: f64,
    pub(super) frame: Rect,
}

/// Whether a position can be drawn at all.
pub(super) fn drawable(p: &GeoPoint) -> bool {
    usable(p.lon_deg) && (-90.0..=90.0).contains(&p.lat_deg)
}

/// `lon_deg` moved by whole turns to lie within half a turn of `near_deg`.
pub(super) fn near(lon_deg: f64, near_deg: f64) -> f64 {
    lon_deg - 360.0 * ((lon_deg - near_deg) / 360.0).round()
}

/// Positions as a chain without jumps at any date line: each the short way from the one before.
pub(super) fn unwound(points: impl IntoIterator<Item = GeoPoint>) -> Vec<GeoPoint> {
    let mut chain: Vec<GeoPoint> = Vec::new();
    for p in points.into_iter().filter(drawable) {
        let lon_deg =
            chain.last().map_or_else(|| near(p.lon_deg, 0.0), |last| near(p.lon_deg, last.lon_deg));
        chain.push(GeoPoint { lat_deg: p.lat_deg, lon_deg });
    }
    chain
}

impl Projection {
    /// The piece that holds all of `shown` (unwound positions, at least one), laid on a frame that
    /// begins at `corner`, is `width` wide and between `heights` high.
    pub(super) fn fitting(
        shown: &[GeoPoint],
        corner: (f64, f64),
        width: f64,
        heights: (f64, f64),
    ) -> Projection {
        let ends = |pick: fn(&GeoPoint) -> f64| {
            let all = || shown.iter().map(pick);
            (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
        };
        let (south, north) = ends(|p| p.lat_deg);
        let (west, east) = ends(|p| p.lon_deg);
        // A track that goes round more than once is shown on one turn of the globe.
        let middle = (west + east) / 2.0;
        let (west, east) = (west.max(middle - 180.0), east.min(middle + 180.0));
        let flat = if south < -MERCATOR_TO_DEG || north > MERCATOR_TO_DEG {
            let along = ((south + north) / 2.0).clamp(-MERCATOR_END_DEG, MERCATOR_END_DEG);
            Flat::Local(along.to_radians().cos())
        } else {
            Flat::Mercator
        };
        let (low, high) = (flat.up(south), flat.up(north));
        let (left, right) = (flat.across(west), flat.across(east));
        // Some sea all round, so that no port lies on the frame.
        let margin = 0.09 * (high - low).max(right - left).max(LEAST_DEG);
        let tall = (high - low + 2.0 * margin).max(LEAST_DEG);
        let broad = (right - left + 2.0 * margin).max(LEAST_DEG);
        let height = (width * tall / broad).clamp(heights.0, heights.1);
        // What the frame has room for beyond the track is shown on both sides of it.
        let broad = broad.max(tall * width / height);
        let tall = broad * height / width;
        let (end_low, end_high) = flat.ends();
        let top = (low + high + tall) / 2.0;
        let top = if tall < end_high - end_low { top.clamp(end_low + tall, end_high) } else { top };
        Projection {
            flat,
            centre_deg: middle,
            left: (left + right - broad) / 2.0,
            top,
            per_deg: width / broad,
            frame: Rect::new(corner.0, corner.1, width, height),
        }
    }

    /// Where a position falls, its longitude taken as it stands.
    pub(super) fn place(&self, p: &GeoPoint) -> (f64, f64) {
        let x = self.frame.x + (self.flat.across(p.lon_deg) - self.left) * self.per_deg;
        let y = self.frame.y + (self.top - self.flat.up(p.lat_deg)) * self.per_deg;
        (x, y)
    }

    /// Where a lone position falls, nearest to the middle of the map; `None` outside the frame.
    pub(super) fn spot(&self, p: &GeoPoint) -> Option<(f64, f64)> {
        if !drawable(p) {
            return None;
        }
        let (x, y) = self.place(&GeoPoint { lon_deg: near(p.lon_deg, self.centre_deg), ..*p });
        self.frame.holds(x, y).then_some((x, y))
    }

    /// Whether any of a chain may lie at the frame's latitudes.
    pub(super) fn may_show(&self, chain: &[GeoPoint]) -> bool {
        let (south, north) = (self.lat_at(self.frame.bottom()), self.lat_at(self.frame.y));
        let side = |p: &GeoPoint| match p.lat_deg {
            lat if lat < south => -1,
            lat if lat > north => 1,
            _ => 0,
        };
        // All of it to one side, or not.
        chain
            .first()
            .is_some_and(|first| side(first) == 0 || chain.iter().any(|p| side(p) != side(first)))
    }

    /// The chain at each whole turn at which any of it may lie in the frame.
    pub(super) fn turns(&self, chain: &[GeoPoint]) -> Vec<Vec<(f64, f64)>> {
        let ends = chain.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| {
            (a.min(p.lon_deg), b.max(p.lon_deg))
        });
        let (west, east) = (self.lon_at(self.frame.x), self.lon_at(self.frame.right()));
        if !(usable(ends.0) && usable(ends.1)) {
            return Vec::new();
        }
        let first = ((west - ends.1) / 360.0).ceil() as i64;
        let last = ((east - ends.0) / 360.0).floor() as i64;
        let first = first.max((first + last - MOST_TURNS + 1) / 2);
        (first..=last.min(first + MOST_TURNS - 1))
            .map(|turn| {
                let shift = 360.0 * turn as f64;
                let moved =
                    |p: &GeoPoint| self.place(&GeoPoint { lon_deg: p.lon_deg + shift, ..*p });
                self.apart(chain).map(moved).collect()
            })
            .collect()
    }

    /// A chain without the points that lie on top of the one before on this sheet; its ends stay.
    fn apart<'a>(&self, chain: &'a [GeoPoint]) -> impl Iterator<Item = &'a GeoPoint> {
        let step_deg = ON_TOP / self.per_deg;
        let last = chain.len().saturating_sub(1);
        let mut kept: Option<&GeoPoint> = None;
        chain.iter().enumerate().filter_map(move |(k, p)| {
            let far = kept.is_none_or(|kept| {
                let apart = (p.lat_deg - kept.lat_deg).abs().max((p.lon_deg - kept.lon_deg).abs());
                apart >= step_deg
            });
            (far || k == last).then(|| {
                kept = Some(p);
                p
            })
        })
    }

    /// Longitude at a place, as it stands.
    fn lon_at(&self, x: f64) -> f64 {
        self.flat.across_back(self.left + (x - self.frame.x) / self.per_deg)
    }

    fn lat_at(&self, y: f64) -> f64 {
        self.flat.up_back(self.top - (y - self.frame.y) / self.per_deg)
    }

    /// Round latitudes in the frame with their places, about `apart` units from each other.
    pub(super) fn parallels(&self, apart: f64) -> Vec<(f64, String)> {
        let (south, north) = (self.lat_at(self.frame.bottom()), self.lat_at(self.frame.y));
        let (south, north) = (south.max(-90.0), north.min(90.0));
        let count = self.frame.h / apart;
        rounds(south, north, count)
            .into_iter()
            .map(|lat| (self.place(&GeoPoint::new(lat, 0.0)).1, degrees(lat, ['S', 'N'])))
            .collect()
    }

    /// Round longitudes in the frame with their places, about `apart` units from each other.
    pub(super) fn meridians(&self, apart: f64) -> Vec<(f64, String)> {
        let (west, east) = (self.lon_at(self.frame.x), self.lon_at(self.frame.right()));
        let count = self.frame.w / apart;
        rounds(west, east, count)
            .into_iter()
            .map(|lon| {
                (self.place(&GeoPoint::new(0.0, lon)).0, degrees(near(lon, 0.0), ['W', 'E']))
            })
            .collect()
    }
}

impl Flat {
    /// Place of a latitude, degrees of the equator.
    fn up(self, lat_deg: f64) -> f64 {
        match self {
            Flat::Mercator => {
                let lat = lat_deg.clamp(-MERCATOR_END_DEG, MERCATOR_END_DEG).to_radians();
                lat.sin().atanh().to_degrees()
            }
            Flat::Local(_) => lat_deg,
        }
    }

    fn up_back(self, up: f64) -> f64 {
        match self {
            Flat::Mercator => up.to_radians().sinh().atan().to_degrees(),
            Flat::Local(_) => up,
        }
    }

    fn across(self, lon_deg: f64) -> f64 {
        match self {
            Flat::Mercator => lon_deg,
            Flat::Local(shrink) => lon_deg * shrink,
        }
    }

    fn across_back(self, across: f64) -> f64 {
        match self {
            Flat::Mercator => across,
            Flat::Local(shrink) => across / shrink,
        }
    }

    /// The southern and the northern end of the sea laid flat.
    fn ends(self) -> (f64, f64) {
        match self {
            Flat::Mercator => (self.up(-90.0), self.up(90.0)),
            Flat::Local(_) => (-90.0, 90.0),
        }
    }
}

/// Round degrees between `low` and `high`, about `count` of them.
fn rounds(low: f64, high: f64, count: f64) -> Vec<f64> {
    let minute = 1.0 / 60.0;
    let steps = [5.0 * minute, 10.0 * minute, 20.0 * minute, 30.0 * minute];
    let mut steps = steps.into_iter().chain([1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0]);
    let step = steps.find(|s| (high - low) / s <= count.max(1.0)).unwrap_or(90.0);
    let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
    (first..=last).map(|k| k as f64 * step).collect()
}

/// A round latitude or longitude as it is written at the edge of a chart.
fn degrees(value: f64, [below, above]: [char; 2]) -> String {
    let minutes = (value.abs() * 60.0).round() as i64;
    let (whole, part) = (minutes / 60, minutes % 60);
    let side = match minutes {
        0 => String::new(),
        // Half way round, east and west are the same.
        m if m == 180 * 60 => String::new(),
        _ if value < 0.0 => String::from(below),
        _ => String::from(above),
    };
    if part == 0 { format!("{whole}°{side}") } else { format!("{whole}°{part:02}′{side}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ref_mercator_of_textbook_latitudes() {
        // Meridional parts on the sphere, ln tan(45° + lat/2), as the mathematical tables give the
        // inverse Gudermannian: 30° 0.549306, 45° 0.881374, 60° 1.316958 (Abramowitz and Stegun 4.3.117).
        for (lat, parts) in [(30.0, 0.549_306_f64), (45.0, 0.881_374), (60.0, 1.316_958)] {
            assert!((Flat::Mercator.up(lat).to_radians() - parts).abs() < 1e-6);
            assert!((Flat::Mercator.up_back(parts.to_degrees()) - lat).abs() < 1e-4);
        }
    }

    #[test]
    fn ident_a_mercator_chart_keeps_angles_and_a_local_one_its_middle() {
        for (lat, near_pole) in [(-30.0, false), (50.0, false), (80.0, true)] {
            let shown = [GeoPoint::new(lat - 1.0, 10.0), GeoPoint::new(lat + 1.0, 12.0)];
            let map = Projection::fitting(&shown, (0.0, 0.0), 500.0, (200.0, 600.0));
            let d = 1e-3;
            let o = map.place(&GeoPoint::new(lat, 11.0));
            let north = map.place(&GeoPoint::new(lat + d, 11.0));
            let east = map.place(&GeoPoint::new(lat, 11.0 + d / lat.to_radians().cos()));
            let (up, across) = (o.1 - north.1, east.0 - o.0);
            assert!((up / across - 1.0).abs() < 1e-3, "{lat}: {up} up, {across} across");
            assert_eq!(matches!(map.flat, Flat::Local(_)), near_pole);
        }
    }

    #[test]
    fn a_track_over_the_date_line_lies_in_one_piece() {
        let chain = unwound([170.0, 179.0, -178.0, -170.0].map(|lon| GeoPoint::new(10.0, lon)));
        let lons: Vec<f64> = chain.iter().map(|p| p.lon_deg).collect();
        assert_eq!(lons, [170.0, 179.0, 182.0, 190.0]);
        let map = Projection::fitting(&chain, (0.0, 0.0), 400.0, (200.0, 400.0));
        let places: Vec<f64> = [175.0, -179.0, 185.0]
            .iter()
            .filter_map(|lon| map.spot(&GeoPoint::new(10.0, *lon)))
            .map(|p| p.0)
            .collect();
        assert!(places.len() == 3 && places.windows(2).all(|w| w[0] < w[1]));
        let labels: Vec<String> = map.meridians(60.0).into_iter().map(|m| m.1).collect();
        assert!(labels.contains(&String::from("180°")) && labels.contains(&String::from("175°W")));
    }

    #[test]
    fn edges_are_labelled_as_on_a_chart() {
        assert_eq!(degrees(-12.5, ['S', 'N']), "12°30′S");
        assert_eq!(degrees(0.0, ['S', 'N']), "0°");
        assert_eq!(degrees(-180.0, ['W', 'E']), "180°");
        assert_eq!(degrees(30.0, ['S', 'N']), "30°N");
    }
}
