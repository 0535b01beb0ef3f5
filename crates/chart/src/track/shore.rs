//! Shores made whole: pieces of one coast that were cut at the edges of sheets are joined again, so
//! that land can be told from sea.

use super::data::GeoPoint;
use super::project::{drawable, near, unwound};
use std::collections::HashSet;
use std::sync::Arc;

/// Ends of pieces this near to each other, degrees of latitude, may belong together.
const REACH_DEG: f64 = 0.5;
/// A gap is closed when it is no more than this share of the piece it closes.
const SHARE: f64 = 0.2;
/// Pieces that are tried against each other, the longest first.
const MOST_PIECES: usize = 400;

/// A shore without jumps at any date line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Shore {
    pub(super) points: Vec<GeoPoint>,
    /// Land lies inside: the last point is joined to the first.
    pub(super) closed: bool,
}

impl Shore {
    fn new(mut points: Vec<GeoPoint>, closed: bool) -> Shore {
        points.shrink_to_fit();
        Shore { points, closed }
    }
}

/// The coast around a track, made ready once for any number of maps; its copies share it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Coastline(Arc<[Shore]>);

impl Coastline {
    /// A coast from chains of (latitude, longitude), degrees; a chain that ends where it began is land and is shaded, any
    /// other is drawn as a line. Pieces that meet end to end become one.
    #[must_use]
    pub fn new(chains: &[Vec<(f64, f64)>]) -> Coastline {
        Coastline(whole(chains).into())
    }

    pub(super) fn shores(&self) -> &[Shore] {
        &self.0
    }
}

/// The chains of (latitude, longitude) as shores; pieces that meet end to end become one.
fn whole(chains: &[Vec<(f64, f64)>]) -> Vec<Shore> {
    let mut shores = Vec::with_capacity(chains.len());
    let mut pieces: Vec<Vec<GeoPoint>> = Vec::new();
    // Collections of shores hold some islands twice: shaded twice they would be sea again.
    let mut seen = HashSet::new();
    for chain in chains {
        if !seen.insert(trace(chain)) {
            continue;
        }
        let points = unwound(chain.iter().map(|&(lat, lon)| GeoPoint::new(lat, lon)));
        let (Some(first), Some(last)) = (points.first(), points.last()) else { continue };
        if points.len() < 4 {
            shores.push(Shore::new(points, false));
        } else if apart(first, last) < 1e-9 {
            shores.push(land(points));
        } else {
            pieces.push(points);
        }
    }
    pieces.sort_by_key(|p| std::cmp::Reverse(p.len()));
    let rest = pieces.split_off(pieces.len().min(MOST_PIECES));
    shores.extend(rest.into_iter().map(|points| Shore::new(points, false)));
    shores.extend(joined(pieces));
    shores
}

/// What tells a chain from others: its length and some of its points, bit by bit.
fn trace(chain: &[(f64, f64)]) -> (usize, [u64; 6]) {
    let at = |k: usize| chain.get(k).map_or((0, 0), |p| (p.0.to_bits(), p.1.to_bits()));
    let (a, b, c) = (at(0), at(chain.len() / 3), at(2 * chain.len() / 3));
    (chain.len(), [a.0, a.1, b.0, b.1, c.0, c.1])
}

/// Join the nearest ends first, until no two are near enough.
fn joined(mut pieces: Vec<Vec<GeoPoint>>) -> Vec<Shore> {
    let mut shores = Vec::new();
    while let Some((a, b)) = nearest(&pieces) {
        if a.0 == b.0 {
            shores.push(land(pieces.swap_remove(a.0)));
            continue;
        }
        // Taken out from behind, so that the other keeps its place.
        let (front, back) = if a.0 < b.0 { (a, b) } else { (b, a) };
        let mut second = pieces.swap_remove(back.0);
        let mut first = pieces.swap_remove(front.0);
        // The first is to end, the second to begin, where they meet.
        if front.1 == End::First {
            first.reverse();
        }
        if back.1 == End::Last {
            second.reverse();
        }
        pieces.push(unwound(first.into_iter().chain(second)));
    }
    shores.extend(pieces.into_iter().map(|points| Shore::new(points, false)));
    shores
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    First,
    Last,
}

/// An end of a piece, by the piece's place in the list.
type PieceEnd = (usize, End);

/// The two nearest ends that may be joined, of two pieces or of one that closes on itself.
fn nearest(pieces: &[Vec<GeoPoint>]) -> Option<(PieceEnd, PieceEnd)> {
    let ends: Vec<(usize, End, GeoPoint, f64)> = pieces
        .iter()
        .enumerate()
        .flat_map(|(k, p)| {
            let long = extent_deg(p);
            let first = p.first().map(|e| (k, End::First, *e, long));
            first.into_iter().chain(p.last().map(|e| (k, End::Last, *e, long)))
        })
        .collect();
    let mut best: Option<(f64, PieceEnd, PieceEnd)> = None;
    for (i, a) in ends.iter().enumerate() {
        for b in &ends[i + 1..] {
            if (a.2.lat_deg - b.2.lat_deg).abs() > REACH_DEG {
                continue;
            }
            let gap = apart(&a.2, &b.2);
            let most = (SHARE * a.3.min(b.3)).min(REACH_DEG);
            if gap <= most && best.is_none_or(|(least, _, _)| gap < least) {
                best = Some((gap, (a.0, a.1), (b.0, b.1)));
            }
        }
    }
    best.map(|(_, a, b)| (a, b))
}

/// Distance of two positions near each other, degrees of latitude.
fn apart(a: &GeoPoint, b: &GeoPoint) -> f64 {
    let east = near(a.lon_deg - b.lon_deg, 0.0) * a.lat_deg.to_radians().cos();
    (a.lat_deg - b.lat_deg).hypot(east)
}

/// The longer side of the box round a piece, degrees of latitude.
fn extent_deg(points: &[GeoPoint]) -> f64 {
    let side = |pick: fn(&GeoPoint) -> f64| {
        let ends = points
            .iter()
            .map(pick)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        ends.1 - ends.0
    };
    let cosine = points.first().map_or(1.0, |p| p.lat_deg.to_radians().cos());
    side(|p| p.lat_deg).max(side(|p| p.lon_deg) * cosine)
}

/// A closed shore; one that runs round the globe is closed by way of the pole it runs round.
fn land(mut points: Vec<GeoPoint>) -> Shore {
    if let (Some(&first), Some(&last)) = (points.first(), points.last())
        && (last.lon_deg - first.lon_deg).abs() > 180.0
    {
        let mean = points.iter().map(|p| p.lat_deg).sum::<f64>() / points.len() as f64;
        let pole = if mean < 0.0 { -90.0 } else { 90.0 };
        points.push(GeoPoint::new(pole, last.lon_deg));
        points.push(GeoPoint::new(pole, first.lon_deg));
    }
    debug_assert!(points.iter().all(drawable));
    Shore::new(points, true)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_island_cut_in_three_is_one_again() {
        // Cut at the date line and once more, one piece run the other way.
        let east = vec![(-2.0, 179.99), (-2.0, 178.0), (2.0, 178.0), (2.0, 180.0)];
        let north = vec![(2.0, -180.0), (2.0, -179.5), (2.0, -179.0), (2.0, -178.0)];
        let south = vec![(-2.0, -179.99), (-2.0, -179.0), (-2.0, -178.0), (1.95, -178.0)];
        let shores = whole(&[east, north, south]);
        assert_eq!(
            shores.iter().map(|s| (s.points.len(), s.closed)).collect::<Vec<_>>(),
            [(12, true)]
        );
        let lons = shores[0].points.iter().map(|p| p.lon_deg);
        let (low, high) = lons.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        assert!((high - low - 4.0).abs() < 1e-9, "{low} to {high}");
    }

    #[test]
    fn an_island_told_twice_is_one() {
        let ring = vec![(0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0)];
        assert_eq!(whole(&[ring.clone(), ring]).len(), 1);
    }

    #[test]
    fn shores_far_apart_stay_open() {
        let one: Vec<(f64, f64)> = (0..10).map(|k| (0.0, f64::from(k))).collect();
        let other: Vec<(f64, f64)> = (0..10).map(|k| (1.0, f64::from(k))).collect();
        assert!(whole(&[one, other]).iter().all(|s| !s.closed && s.points.len() == 10));
    }
}
