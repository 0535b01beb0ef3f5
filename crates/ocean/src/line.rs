//! The line off north-east Australia from which distance to nearest land is measured (MARPOL 73/78, "nearest land").

use crate::{Distance, Leg, Position, Track};

/// Its twelve points, degrees and minutes south and east, as the convention gives them.
const POINTS: [((u8, u8), (u8, u8)); 12] = [
    ((11, 0), (142, 8)),
    ((10, 35), (141, 55)),
    ((10, 0), (142, 0)),
    ((9, 10), (143, 52)),
    ((9, 0), (144, 30)),
    ((10, 41), (145, 0)),
    ((13, 0), (145, 0)),
    ((15, 0), (146, 0)),
    ((17, 30), (147, 0)),
    ((21, 0), (152, 55)),
    ((24, 30), (154, 0)),
    ((24, 42), (153, 15)),
];

/// The way back over Australia, which closes the line to an area: degrees and minutes south and east.
const INLAND: [((u8, u8), (u8, u8)); 7] = [
    ((25, 45), (153, 3)),
    ((25, 56), (152, 30)),
    ((23, 0), (148, 0)),
    ((19, 0), (144, 30)),
    ((15, 30), (143, 0)),
    ((12, 0), (142, 36)),
    ((11, 0), (142, 20)),
];

/// Pieces no longer than this, so that straight ones in space stay at the surface.
const PIECE: Distance = Distance::from_nmi(10.0);

/// A line that counts as land, and the waters behind it.
#[derive(Debug)]
pub struct Line {
    along: Vec<Position>,
    around: Vec<Position>,
}

impl Line {
    /// The line off north-east Australia. Between its points it is taken as straight on the chart, a rhumb line: up to
    /// 1.6 nmi seaward of the great circle.
    pub fn off_north_east_australia() -> Self {
        let place = |((lat, lat_min), (lon, lon_min)): ((u8, u8), (u8, u8))| {
            Position::wrapped(
                -(f64::from(lat) + f64::from(lat_min) / 60.0),
                f64::from(lon) + f64::from(lon_min) / 60.0,
            )
        };
        let points = POINTS.map(place);
        let mut along = points[..1].to_vec();
        for (from, to) in points.iter().zip(&points[1..]) {
            let leg = Leg::new(*from, *to, Track::RhumbLine);
            let pieces = (leg.length() / PIECE).ceil().max(1.0);
            let mut piece = 1.0;
            while piece < pieces {
                along.push(leg.point_at(leg.length() * (piece / pieces)));
                piece += 1.0;
            }
            along.push(*to);
        }
        let around = along.iter().copied().chain(INLAND.map(place)).collect();
        Self { along, around }
    }

    /// Positions along it.
    pub fn positions(&self) -> &[Position] {
        &self.along
    }

    /// Whether a position is between the line and Australia, or on the part of Australia behind it.
    pub fn encloses(&self, position: Position) -> bool {
        let (lat, lon) = (position.lat_deg(), position.lon_deg());
        if !(-26.0..=-9.0).contains(&lat) || !(141.0..=155.0).contains(&lon) {
            return false;
        }
        // A ray to the east crosses the outline an odd number of times.
        let next = self.around.iter().cycle().skip(1);
        let crossings = self.around.iter().zip(next).filter(|(a, b)| {
            (a.lat_deg() > lat) != (b.lat_deg() > lat)
                && lon
                    < a.lon_deg()
                        + (b.lon_deg() - a.lon_deg()) * (lat - a.lat_deg())
                            / (b.lat_deg() - a.lat_deg())
        });
        crossings.count() % 2 == 1
    }
}
