//! Nearest land: the coast as embedded, and the line off north-east Australia that counts as land.

use std::sync::OnceLock;

use crate::data::DataError;
use crate::line::Line;
use crate::meridian;
use crate::outline::{self, Shore};
use crate::tree::Tree;
use crate::{Distance, Ground, Position, ellipsoid, shoreline, space};

/// What a distance from the coast is worth: within this of a limit it settles nothing.
///
/// The coast is kept to 0.3 nmi and written to 0.1; half a mile and more is the survey's age and datum.
pub const GUARD: Distance = Distance::from_nmi(1.0);

/// How far the distance to nearest land can be trusted, in words to show beside it.
pub const TRUST: &str = "from a 1:1,000,000 coastline, to about 0.5 nmi; within 1 nmi of a limit verify on the chart. \
Land made since the survey is missing. Measured from the coastline: where a state draws straight baselines off its coast, \
nearest land in the law's sense is nearer. Not for navigation.";

/// What nearest land is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Land {
    /// The coast of the mainland or an island.
    Coast,
    /// The line off north-east Australia from which distances are measured there.
    AustralianLine,
    /// The position is between that line and Australia: no distance from land at all.
    InsideAustralianLine,
}

/// Nearest land.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NearestLand {
    /// How far it is, on WGS-84; see [`TRUST`].
    pub distance: Distance,
    /// Where it is.
    pub position: Position,
    /// What it is.
    pub land: Land,
}

impl NearestLand {
    /// The distance less the [`GUARD`]: what can be counted on.
    #[must_use]
    pub fn at_least(&self) -> Distance {
        Distance::from_m((self.distance - GUARD).m().max(0.0))
    }
}

static EMBEDDED: OnceLock<Result<Coast, DataError>> = OnceLock::new();

/// The coasts of the world, ready to be asked.
#[derive(Debug)]
pub struct Coast {
    tree: Tree,
    line: Line,
    /// Points of the tree from here on belong to the line.
    line_from: usize,
}

/// Land by the depths around counts so far from the coast; nearer, their grid is too coarse.
const INLAND: Distance = Distance::from_nmi(3.0);
/// South of this parallel the depths may be those of rock under ice: ETOPO1 without the ice sheets.
const UNDER_ICE_LAT_DEG: f64 = -60.0;

impl Coast {
    /// The coast that is built in, unpacked at the first call (some 40 ms) and kept.
    ///
    /// # Errors
    /// [`DataError`] where the program file is damaged.
    pub fn embedded() -> Result<&'static Self, DataError> {
        let coast = EMBEDDED.get_or_init(|| Self::unpack(crate::embedded::COAST));
        coast.as_ref().map_err(|e| *e)
    }

    /// Unpacks a coast as the build script packs it.
    ///
    /// # Errors
    /// [`DataError`] for bytes that are not such a coast.
    pub fn unpack(packed: &[u8]) -> Result<Self, DataError> {
        let mut chains = shoreline::unpacked(packed)?;
        let line_from = chains.points.len();
        let line = Line::off_north_east_australia();
        chains.add(line.positions().iter().map(|p| space::point(*p)));
        Ok(Self { tree: Tree::new(chains), line, line_from })
    }

    /// Every shore that comes within a distance of a position, whole, for a map; the line off Australia is not among them.
    ///
    /// The distance is taken straight through the earth: 12,742 km reach everything. Points nearer than `apart` to the
    /// one before are left out, so that a map of an ocean is not drawn from every rock; an island smaller than that
    /// becomes one position. Of a coast that is kept in pieces the far ones come along, roughly, so that its land can be shaded.
    pub fn shores_near(
        &self,
        centre: Position,
        reach: Distance,
        apart: Distance,
    ) -> impl Iterator<Item = Shore> {
        outline::shores_near(self.tree.chains(), self.line_from, centre, reach, apart)
    }

    /// The line off north-east Australia that counts as nearest land, for a map.
    #[must_use]
    pub fn australian_line(&self) -> &[Position] {
        self.line.positions()
    }

    /// The distance to the coast itself, the line off Australia apart; as [`Coast::nearest_land`] measures it.
    #[must_use]
    pub fn off_coast(&self, position: Position) -> Distance {
        match self.tree.nearest_before(&space::point(position), self.line_from) {
            Some(found) => ellipsoid::inverse(position, space::position(found.point)).0,
            None => Distance::ZERO,
        }
    }

    /// Whether a position is on land, as far as the coast and the depths around can tell.
    ///
    /// On its meridian the coast is crossed an odd number of times to the north pole, which is sea, and an even number to
    /// the south pole, which is land; both must say so, as a few shores are kept twice or with a gap. Else it is land
    /// where every depth around is land and the coast 3 nmi off or more. Where every depth around is sea it is never land:
    /// lakes and land under the level of the sea are sea to it. South of 60 S such depths may be of rock under ice: there it is
    /// land where the coast encloses it and is 3 nmi off or more. `ground` is [`crate::Sea::ground`] of the position.
    #[must_use]
    pub fn on_land(&self, position: Position, ground: Ground) -> bool {
        let sea = matches!(ground, Ground::Sea(_));
        if sea && position.lat_deg() > UNDER_ICE_LAT_DEG {
            return false;
        }
        let shores = meridian::shores(&self.tree, self.line_from, &space::point(position));
        let encloses = !shores.north.is_multiple_of(2) && shores.south.is_multiple_of(2);
        if sea {
            return encloses && self.off_coast(position) >= INLAND;
        }
        encloses || (ground == Ground::Land && self.off_coast(position) >= INLAND)
    }

    /// Nearest land to a position.
    ///
    /// The nearest point is that by the straight distance through the earth, which orders points as the way over the sea does,
    /// to 1 m at 200 nmi and 0.1 nmi at 1000; the distance is then the geodesic to it. A position on land gets its distance to
    /// the coast as well: [`Coast::on_land`] tells land from sea.
    #[must_use]
    pub fn nearest_land(&self, position: Position) -> NearestLand {
        let inside =
            NearestLand { distance: Distance::ZERO, position, land: Land::InsideAustralianLine };
        if self.line.encloses(position) {
            return inside;
        }
        let Some(found) = self.tree.nearest(&space::point(position)) else { return inside };
        let land = if found.index < self.line_from { Land::Coast } else { Land::AustralianLine };
        let nearest = space::position(found.point);
        NearestLand { distance: ellipsoid::inverse(position, nearest).0, position: nearest, land }
    }
}
