//! The coast as lines, for a map.

use crate::shoreline::Chains;
use crate::space::{self, Point};
use crate::{Distance, Position};

/// A piece of coast.
#[derive(Debug, Clone, PartialEq)]
pub struct Shore {
    /// Along it; one position for an islet.
    pub positions: Vec<Position>,
    /// It comes back to its beginning, which is not given twice: an island, a continent, or the shore of an enclosed sea.
    pub closed: bool,
}

/// The whole of every chain of the first `count` points that comes nearer than this to a position.
pub fn shores_near(
    chains: &Chains,
    count: usize,
    centre: Position,
    reach: Distance,
) -> impl Iterator<Item = Shore> {
    let middle = space::point(centre);
    let reach2 = reach.m() * reach.m();
    chains
        .each()
        .take_while(move |(first, _)| *first < count)
        .filter(move |(_, chain)| chain.iter().any(|p| space::square(p, &middle) <= reach2))
        .map(|(_, chain)| shore(chain))
}

fn shore(chain: &[Point]) -> Shore {
    let closed = chain.len() > 3 && chain.first() == chain.last();
    let points = if closed { &chain[..chain.len() - 1] } else { chain };
    Shore { positions: points.iter().map(|p| space::position(*p)).collect(), closed }
}
