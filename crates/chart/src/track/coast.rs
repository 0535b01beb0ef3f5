//! The coast on the sheet: rings of land, open shores, small islands as points, all of it thinned
//! to what the drawing can show.

use super::clip::{line_inside, ring_inside};
use super::project::Projection;
use super::shore::Shore;
use crate::canvas::Canvas;
use crate::thin::{Line, simplify};

/// Points the coast may have on the whole sheet, for each unit of its width; a point takes about seven bytes.
const POINTS_A_UNIT: f64 = 3.2;
/// Land smaller than this, units, is a point.
const ISLAND: f64 = 1.6;
/// Points that may stand for small islands, for each unit of the width.
const ISLANDS_A_UNIT: f64 = 0.6;

/// The coast cut to the frame.
#[derive(Default)]
pub(super) struct Coast {
    land: Vec<Line>,
    shores: Vec<Line>,
    islands: Vec<(f64, f64)>,
}

impl Coast {
    /// Cut and thin shores.
    pub(super) fn on(map: &Projection, shores: &[Shore]) -> Coast {
        let mut coast = Coast::default();
        for shore in shores {
            if let [lone] = shore.points.as_slice() {
                coast.islands.extend(map.spot(lone));
                continue;
            }
            if !map.may_show(&shore.points) {
                continue;
            }
            for line in map.turns(&shore.points) {
                if shore.closed {
                    coast.add_land(&ring_inside(&line, map.frame));
                } else {
                    coast.shores.extend(line_inside(&line, map.frame));
                }
            }
        }
        coast.thin(map.frame.w);
        coast
    }

    fn add_land(&mut self, ring: &Line) {
        let Some(&first) = ring.first() else { return };
        if spread(ring) < ISLAND {
            self.islands.push(first);
        } else {
            // The ring ends where it began, so that thinning keeps its ends together.
            self.land.push(ring.iter().copied().chain([first]).collect());
        }
    }

    /// Leave out what a pen could not draw, and more until the whole is small enough.
    fn thin(&mut self, width: f64) {
        let most = |a_unit: f64| (a_unit * width) as usize;
        let mut slack = 0.4;
        loop {
            self.land = self.land.iter().map(|l| simplify(l, slack)).collect();
            self.shores = self.shores.iter().map(|l| simplify(l, slack)).collect();
            self.land.retain(|l| l.len() > 3);
            let count: usize = self.land.iter().chain(&self.shores).map(Vec::len).sum();
            if count <= most(POINTS_A_UNIT) || slack > width {
                break;
            }
            // Twice as far off, something like half as many remain.
            let over = count as f64 / most(POINTS_A_UNIT).max(1) as f64;
            slack *= over.clamp(1.2, 2.0);
            // Many small islands cost more points than they show.
            let least = 2.0 * slack;
            self.land.retain(|l| spread(l) > least);
            self.shores.retain(|l| spread(l) > least);
        }
        let small = |l: &&Line| spread(l) < ISLAND;
        self.islands.extend(self.shores.iter().filter(small).map(|l| l[0]));
        self.shores.retain(|l| !small(&l));
        // Of islands on one spot, one is enough.
        let cell = |p: &(f64, f64)| ((p.0 / ISLAND) as i64, (p.1 / ISLAND) as i64);
        self.islands.sort_by_key(cell);
        self.islands.dedup_by_key(|p| cell(p));
        let every = self.islands.len().div_ceil(most(ISLANDS_A_UNIT).max(1)).max(1);
        self.islands = self.islands.iter().copied().step_by(every).collect();
    }

    pub(super) fn draw(&self, sheet: &mut Canvas) {
        let mut land = sheet.pen();
        for ring in &self.land {
            land.go(ring[0].0, ring[0].1);
            ring[1..ring.len() - 1].iter().for_each(|p| land.to(p.0, p.1));
            land.close();
        }
        sheet.path(&land, "land");
        let mut islands = sheet.pen();
        self.islands.iter().for_each(|p| islands.point(p.0, p.1));
        sheet.path(&islands, "isles");
        let mut shores = sheet.pen();
        for line in &self.shores {
            shores.go(line[0].0, line[0].1);
            line[1..].iter().for_each(|p| shores.to(p.0, p.1));
        }
        sheet.path(&shores, "edge");
    }
}

/// The longer side of the box round a line.
fn spread(line: &Line) -> f64 {
    let side = |pick: fn(&(f64, f64)) -> f64| {
        let ends = line
            .iter()
            .map(pick)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        ends.1 - ends.0
    };
    side(|p| p.0).max(side(|p| p.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::track::clip::in_ring;
    use crate::track::data::GeoPoint;
    use crate::track::shore::Coastline;

    fn around(lat: f64, lon: f64) -> Projection {
        let shown = [GeoPoint::new(lat - 5.0, lon - 5.0), GeoPoint::new(lat + 5.0, lon + 5.0)];
        Projection::fitting(&shown, (0.0, 0.0), 400.0, (200.0, 400.0))
    }

    fn is_land(map: &Projection, coast: &Coast, lat: f64, lon: f64) -> bool {
        let (x, y) = map.spot(&GeoPoint::new(lat, lon)).unwrap_or_default();
        coast.land.iter().filter(|ring| in_ring(ring, x, y)).count() % 2 == 1
    }

    #[test]
    fn land_over_the_date_line_is_whole() {
        let island = [(-2.0, 178.0), (2.0, 178.0), (2.0, -178.0), (-2.0, -178.0), (-2.0, 178.0)];
        for centre in [179.0, -179.0] {
            let map = around(0.0, centre);
            let coast = Coast::on(&map, Coastline::new(&[island.to_vec()]).shores());
            assert!(is_land(&map, &coast, 0.0, 179.5) && is_land(&map, &coast, 0.0, -179.5));
            assert!(!is_land(&map, &coast, 0.0, 177.5) && !is_land(&map, &coast, 3.0, 180.0));
        }
    }

    #[test]
    fn land_round_a_pole_reaches_it() {
        let shore: Vec<(f64, f64)> =
            (0..=36).map(|k| (-70.0 + f64::from(k % 2), -180.0 + 10.0 * f64::from(k))).collect();
        let mut ring = shore;
        ring[36].0 = ring[0].0;
        let map = around(-72.0, 100.0);
        let coast = Coast::on(&map, Coastline::new(&[ring]).shores());
        assert!(is_land(&map, &coast, -75.0, 100.0) && !is_land(&map, &coast, -68.0, 100.0));
    }

    #[test]
    fn a_very_fine_coast_is_thinned() {
        // A shore of 200,000 points across the map, in five bays, rough everywhere.
        let rough = |k: f64| 0.1 * (k * 12.9898).sin() + 2.0 * (k * 1.6e-4).sin();
        let shore: Vec<(f64, f64)> =
            (0..200_000).map(f64::from).map(|k| (k * 5e-5, 10.0 + rough(k))).collect();
        let coast = Coast::on(&around(5.0, 10.0), Coastline::new(&[shore]).shores());
        let count: usize = coast.shores.iter().map(Vec::len).sum();
        assert!(count <= 1280 && !coast.shores.is_empty(), "{count}");
    }
}
