//! The seas as the data built into the program know them.

use std::collections::HashSet;

use chart::Coastline;
use jiff::civil::Date;
use ocean::{Coast, Distance, Ground, Land, Leg, Position, Season, Track};
use passage::timeline::{Assumed, Near, Sea, Waters};

use crate::desk::DeskError;

/// Where nobody measured: open ocean at the middle of the year's mean, the standard sea.
const UNKNOWN_TEMP_C: f64 = 15.0;
/// Salinity where nobody measured, g/kg: the standard sea.
const UNKNOWN_SALINITY_G_KG: f64 = 35.0;

/// The finest a map shows, as a share of the distance it reaches: the width of a pen stroke.
const FINEST: f64 = 1.0 / 800.0;
/// An islet takes so many of those, across.
const ISLET: f64 = 4.6;

/// Coast, depth, temperature and salinity, unpacked at the first use.
#[derive(Debug, Clone, Copy)]
pub struct Seas {
    coast: &'static Coast,
    sea: &'static ocean::Sea,
}

impl Seas {
    /// The data built in.
    ///
    /// # Errors
    /// [`DeskError::Asked`] where the program file is damaged.
    pub fn built_in() -> Result<Seas, DeskError> {
        let damaged = |e: ocean::DataError| DeskError::Asked(e.to_string());
        Ok(Seas {
            coast: Coast::embedded().map_err(damaged)?,
            sea: ocean::Sea::embedded().map_err(damaged)?,
        })
    }
}

impl Seas {
    /// Shores that come near to any of these positions.
    #[must_use]
    pub fn shores(&self, track: &[Position]) -> Coastline {
        let Some(middle) = track.get(track.len() / 2).copied() else { return Coastline::default() };
        let off = |p: &Position| Leg::new(middle, *p, Track::GreatCircle).length();
        let farthest = track
            .iter()
            .step_by(16)
            .map(off)
            .fold(Distance::ZERO, |a, b| if b > a { b } else { a });
        let reach = farthest * 1.1 + Distance::from_nmi(200.0);
        let mut islets = HashSet::new();
        let spot = |p: &Position| {
            let cell = reach.nmi() * FINEST * ISLET / 60.0;
            ((p.lat_deg() / cell).floor() as i64, (p.lon_deg() / cell).floor() as i64)
        };
        let shores = self.coast.shores_near(middle, reach, reach * FINEST);
        // Of islets on one spot of the map one is enough.
        let seen = shores.filter(|shore| match shore.positions.as_slice() {
            [] => false,
            [first] | [first, _] => islets.insert(spot(first)),
            _ => true,
        });
        let chains = seen.map(|shore| {
            let mut chain: Vec<(f64, f64)> =
                shore.positions.iter().map(|p| (p.lat_deg(), p.lon_deg())).collect();
            if let (true, Some(first)) = (shore.closed, chain.first().copied()) {
                chain.push(first);
            }
            chain
        });
        Coastline::new(&chains.collect::<Vec<_>>())
    }
}

impl Seas {
    /// How far the land is, and whether the position is on it.
    fn near_on(&self, position: Position, ground: Ground) -> (Near, bool) {
        let nearest = self.coast.nearest_land(position);
        let coast = match nearest.land {
            Land::Coast => nearest.distance,
            Land::AustralianLine | Land::InsideAustralianLine => self.coast.off_coast(position),
        };
        let land = self.coast.on_land(position, ground);
        (Near { off: if land { Distance::ZERO } else { nearest.distance }, coast }, land)
    }
}

/// A node of the grid with less beside the sea is beach, or stands for nothing: on shelves one in thirty has 1 m written in it.
const BEACH_M: f64 = 2.0;
/// A node of the grid lies so near or nearer, nmi: six minutes north and six east. So far off a coast it is no beach.
const NODE_NMI: f64 = 9.0;

/// The least of the nodes around, six miles off or nearer; where that is a beach, what lies between them.
fn deep_m(ground: Ground) -> Option<f64> {
    let depth = ground.depth()?;
    Some(if depth.least_m < BEACH_M { depth.depth_m } else { depth.least_m })
}

/// Whether a node around is passed over so.
fn passed_over(ground: Ground) -> bool {
    ground.depth().is_some_and(|depth| depth.least_m < BEACH_M)
}

impl Waters for Seas {
    fn near(&self, position: Position) -> Near {
        self.near_on(position, self.sea.ground(position)).0
    }

    fn at(&self, position: Position, date: Date) -> Sea {
        let season = Season::date(date.month().unsigned_abs(), date.day().unsigned_abs()).ok();
        let ground = self.sea.ground(position);
        let temp = season.and_then(|s| self.sea.surface_temperature(position, s).ok());
        let salinity = self.sea.surface_salinity(position);
        let (near, land) = self.near_on(position, ground);
        Sea {
            distance_off: near.off,
            coast_off: near.coast,
            depth_m: deep_m(ground),
            temp_c: temp.map_or(UNKNOWN_TEMP_C, |t| t.value.celsius()),
            salinity_g_kg: salinity.map_or(UNKNOWN_SALINITY_G_KG, |s| s.value.g_kg()),
            assumed: Assumed {
                temp: temp.is_none(),
                salinity: salinity.is_err(),
                depth: near.coast > Distance::from_nmi(NODE_NMI) && passed_over(ground),
            },
            land,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Out of reach of any beach a node of next to no depth is passed over and told; what is taken is deeper than it. Close to
    /// the coast such nodes are the beach, and nobody is told of each.
    #[test]
    fn ident_a_node_of_next_to_no_depth_is_told_where_it_is_no_beach() {
        let seas = Seas::built_in().expect("the data");
        let day = jiff::civil::date(2026, 11, 16);
        let (mut told, mut beaches) = (0, 0);
        // The shelves between Borneo, Java and Sumatra.
        for step in 0..4000_i32 {
            let (lat, lon) = (f64::from(step / 100), f64::from(step % 100));
            let position = Position::from_degrees(-6.0 + 0.2 * lat, 104.0 + 0.12 * lon);
            let position = position.expect("a position");
            let sea = seas.at(position, day);
            let least = seas.sea.ground(position).depth().map(|depth| depth.least_m);
            let shoal = !sea.land && least.is_some_and(|m| m < BEACH_M);
            let beach = sea.coast_off <= Distance::from_nmi(NODE_NMI);
            assert_eq!(sea.assumed.depth, shoal && !beach, "{position}");
            if sea.assumed.depth {
                assert!(sea.depth_m >= least, "{position}: {:?} {least:?}", sea.depth_m);
                told += 1;
            }
            beaches += u32::from(shoal && beach);
        }
        assert!(told > 0 && beaches > told, "{told} {beaches}");
    }
}
