//! The coast as lines, for a map.

use crate::shoreline::Chains;
use crate::space::{self, Kept, Point};
use crate::{Distance, Position};

/// A piece of coast.
#[derive(Debug, Clone, PartialEq)]
pub struct Shore {
    /// Along it; one position for an islet.
    pub positions: Vec<Position>,
    /// It comes back to its beginning, which is not given twice: an island, a continent, or the shore of an enclosed sea.
    pub closed: bool,
}

/// Far pieces of a coast that was cut up are this rough: they are there to close the land, not to be seen.
const FAR: Distance = Distance::from_nmi(30.0);

/// The whole of every chain of the first `count` points that comes nearer than this to a position, points that follow
/// another nearer than `apart` left out; and, roughly, the far pieces that such a chain may need to come back to its beginning.
pub fn shores_near(
    chains: &Chains,
    count: usize,
    centre: Position,
    reach: Distance,
    apart: Distance,
) -> impl Iterator<Item = Shore> {
    let middle = space::point(centre);
    let reach2 = reach.m() * reach.m();
    let far = if apart > FAR { apart } else { FAR };
    let each = move || chains.each().take_while(move |(first, _)| *first < count);
    let is_near =
        move |chain: &[Kept]| chain.iter().any(|p| space::square(&p.point(), &middle) <= reach2);
    let is_cut = |chain: &[Kept]| chain.first() != chain.last();
    let needs_far = each().any(|(_, chain)| is_cut(chain) && is_near(chain));
    each().filter_map(move |(_, chain)| match (is_near(chain), is_cut(chain)) {
        (true, _) => Some(shore(chain, apart)),
        (false, true) if needs_far => {
            Some(shore(chain, far)).filter(|shore| shore.positions.len() > 3)
        }
        (false, _) => None,
    })
}

fn shore(chain: &[Kept], apart: Distance) -> Shore {
    let ring = chain.len() > 3 && chain.first() == chain.last();
    let points = if ring { &chain[..chain.len() - 1] } else { chain };
    let mut kept = thinned(points, apart.m());
    match points.last() {
        Some(last) if !ring && kept.last() != Some(&last.point()) => kept.push(last.point()),
        // An island smaller than that is a place, no ring.
        _ if ring && kept.len() < 3 => kept.truncate(1),
        _ => {}
    }
    Shore {
        closed: ring && kept.len() > 2,
        positions: kept.into_iter().map(space::position).collect(),
    }
}

/// The first, and every one that is so far from the last one kept, m.
fn thinned(points: &[Kept], apart_m: f64) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    for point in points.iter().map(|kept| kept.point()) {
        if kept.last().is_none_or(|last| space::square(last, &point) >= apart_m * apart_m) {
            kept.push(point);
        }
    }
    kept
}
