//! The ship's plant as the planner asks it: output run to limits, by sea and engine load.

use std::collections::HashMap;
use std::sync::{PoisonError, RwLock};

use passage::timeline::{Make, Sea, Still};
use plant::{Plant, Point};

/// Sea temperatures at which the plant is solved lie so far apart, K; between them output runs straight, which is
/// exact but at the kinks where one limit gives way to the next.
const APART_K: f64 = 0.5;
/// Engine loads are told apart to so many percent.
const LOAD_PERCENT: f64 = 0.5;
/// Salinities are told apart to so many g/kg; a whole one moves output by about a thousandth.
const SALINITY_G_KG: f64 = 1.0;

type Key = (i64, i64, i64);

/// A plant that remembers what it was asked.
pub(super) struct Ours<'a> {
    plant: &'a Plant,
    base: Point,
    /// What she makes of what a sound, clean plant would.
    share: f64,
    known: RwLock<HashMap<Key, f64>>,
}

impl<'a> Ours<'a> {
    /// `base` holds everything but sea and load; `share` is what she makes of it now.
    pub(super) fn new(plant: &'a Plant, base: Point, share: f64) -> Self {
        Self { plant, base, share, known: RwLock::default() }
    }

    fn at(&self, key: Key) -> f64 {
        if let Some(t_day) = self.known.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return *t_day;
        }
        let (sea, load, salinity) = key;
        let mut point = self.base.clone();
        point.sea_temp_c = sea as f64 * APART_K;
        point.engine_load = Some(load as f64 * LOAD_PERCENT);
        point.sea_salinity_g_kg = salinity as f64 * SALINITY_G_KG;
        // A plant that cannot run there makes nothing there.
        let t_day = self.plant.trimmed(&point).map_or(0.0, |s| s.product_t_day) * self.share;
        self.known.write().unwrap_or_else(PoisonError::into_inner).insert(key, t_day);
        t_day
    }
}

impl Still for Ours<'_> {
    fn makes(&self, sea: &Sea, load: f64) -> Make {
        let steps = sea.temp_c / APART_K;
        let below = steps.floor();
        let load_key = (load * 100.0 / LOAD_PERCENT).round() as i64;
        let salinity_key = (sea.salinity_g_kg / SALINITY_G_KG).round() as i64;
        let node = |sea: f64| self.at((sea as i64, load_key, salinity_key));
        let (cold, warm) = (node(below), node(below + 1.0));
        let t_day = cold + (warm - cold) * (steps - below);
        let slope = if t_day > 0.0 { (warm - cold) / APART_K / t_day } else { 0.0 };
        Make { t_day, sea_slope_per_k: slope }
    }
}
