//! Many passages under one policy: what they cost, the bands of stock by place, the chance of being under the reserve.

use rayon::prelude::*;
use serde::Serialize;

use super::chance::Normal;
use super::policy::Draws;
use super::world::{Passed, Voyage};

/// Stock that one in ten, one in two and nine in ten passages stay under, when each sample is reached.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Bands {
    /// One in ten is under this, t.
    pub p10: Vec<f64>,
    /// One in two, t.
    pub p50: Vec<f64>,
    /// Nine in ten, t.
    pub p90: Vec<f64>,
    /// Hours until the end of the horizon is reached: one in ten, one in two, nine in ten.
    pub hours: [f64; 3],
}

/// Passages sailed: stock by passage and place.
pub(super) struct Sailed {
    pub passed: Vec<Passed>,
    stock_t: Vec<f32>,
    places: usize,
    hours: f64,
    /// Under this at a place is under the reserve, t.
    reserve_t: Vec<f32>,
    /// How many were, by place.
    under: Vec<u32>,
}

/// Passages that go on together.
const FLEET: usize = 50;
/// Stocks for which room is asked at once: over 32 MiB an allocator fetches it from the system by itself and gives it back
/// whole, where smaller pieces stay with the program. What is not written to is never there.
const ALONE: usize = 9 << 20;
/// Places handled together when passages are turned into places.
const BLOCK: usize = 16;

impl Sailed {
    /// Sails `count` passages, each from its own stream of the seed.
    pub fn new(voyage: &Voyage, count: usize, seed: u64) -> Self {
        let (places, hours) = (voyage.steps.n + 1, voyage.steps.hours);
        let stock_t = Vec::with_capacity(ALONE.max(places * count));
        // What was aboard at the beginning is not counted.
        let reserve_t = voyage.steps.reserve_t.iter().map(|reserve| (reserve - 1.0e-4) as f32);
        let reserve_t = std::iter::once(f32::NEG_INFINITY).chain(reserve_t).collect();
        let under = vec![0; places];
        let mut sailed = Self { passed: Vec::new(), stock_t, places, hours, reserve_t, under };
        sailed.sail_on(voyage, Draws { count, seed });
        sailed
    }

    /// Sails those of so many passages that have not been sailed; answers whether there were any.
    pub fn sail_on(&mut self, voyage: &Voyage, draws: Draws) -> bool {
        let from = self.passed.len();
        if draws.count <= from {
            return false;
        }
        self.stock_t.resize(self.places * draws.count, 0.0);
        let rows = self.stock_t[from * self.places..].par_chunks_mut(self.places * FLEET);
        let fleets: Vec<(Vec<Passed>, Vec<u32>)> = rows
            .enumerate()
            .map(|(fleet, rows)| {
                let first = from + fleet * FLEET;
                let streams = first..first + rows.len() / self.places;
                let passed = voyage.sail(streams.map(|i| Normal::new(draws.seed, i as u64)), rows);
                let mut under = vec![0; self.places];
                for row in rows.chunks(self.places) {
                    for ((count, stock), reserve) in under.iter_mut().zip(row).zip(&self.reserve_t)
                    {
                        *count += u32::from(stock < reserve);
                    }
                }
                (passed, under)
            })
            .collect();
        for (passed, under) in fleets {
            self.passed.extend(passed);
            self.under.iter_mut().zip(under).for_each(|(sum, count)| *sum += count);
        }
        true
    }

    /// Mean cost and its standard error.
    pub fn cost(&self) -> (f64, f64) {
        self.mean(|passed| passed.cost)
    }

    fn mean(&self, of: fn(&Passed) -> f64) -> (f64, f64) {
        let count = self.passed.len() as f64;
        let mean = self.passed.iter().map(of).sum::<f64>() / count;
        let square = self.passed.iter().map(|passed| (of(passed) - mean).powi(2)).sum::<f64>();
        (mean, (square / (count * (count - 1.0).max(1.0))).sqrt())
    }

    /// Mean of what was missing and its standard error, t.
    pub fn short_t(&self) -> (f64, f64) {
        self.mean(|passed| passed.short_t)
    }

    /// For every place something of the stocks there.
    fn by_place<T: Send>(&self, of: impl Fn(usize, &mut [i32]) -> T + Sync) -> Vec<T> {
        let count = self.passed.len();
        let blocks: Vec<Vec<T>> = (0..self.places.div_ceil(BLOCK))
            .into_par_iter()
            .map(|block| {
                let from = block * BLOCK;
                let width = BLOCK.min(self.places - from);
                let mut turned = vec![0; width * count];
                for (i, row) in self.stock_t.chunks(self.places).enumerate() {
                    for (j, stock) in row[from..from + width].iter().enumerate() {
                        turned[j * count + i] = rank_of(*stock);
                    }
                }
                turned.chunks_mut(count).enumerate().map(|(j, s)| of(from + j, s)).collect()
            })
            .collect();
        blocks.into_iter().flatten().collect()
    }

    /// The bands by place.
    pub fn bands(&self) -> Bands {
        let mut bands = Bands { p10: vec![], p50: vec![], p90: vec![], hours: [0.0; 3] };
        for [p10, p50, p90] in self.by_place(|_, stocks| deciles(stocks)) {
            bands.p10.push(p10);
            bands.p50.push(p50);
            bands.p90.push(p90);
        }
        let hours = self.passed.iter().map(|p| rank_of((p.steps as f64 * self.hours) as f32));
        let mut hours: Vec<i32> = hours.collect();
        bands.hours = deciles(&mut hours);
        bands
    }

    /// Share of the passages in which the stock at each place is under what should be there.
    pub fn under(&self) -> Vec<f64> {
        let count = self.passed.len() as f64;
        self.under.iter().map(|under| f64::from(*under) / count).collect()
    }

    /// Whether one of them is under it at a place.
    pub fn is_under(&self, passage: usize, place: usize) -> bool {
        let stock = self.stock_t.get(passage * self.places + place);
        stock.zip(self.reserve_t.get(place)).is_some_and(|(stock, reserve)| stock < reserve)
    }

    /// Stock that one in ten stays under at a place, t.
    pub fn one_in_ten_t(&self, place: usize) -> f64 {
        let stocks = self.stock_t.iter().skip(place).step_by(self.places);
        deciles(&mut stocks.map(|stock| rank_of(*stock)).collect::<Vec<_>>())[0]
    }

    /// Share of all stocks at all places (but the first) between two bands.
    pub fn covered(&self, bands: &Bands) -> f64 {
        let mut inside = 0;
        for row in self.stock_t.chunks(self.places) {
            for (k, stock) in row.iter().enumerate().skip(1) {
                let stock = f64::from(*stock);
                inside += usize::from(bands.p10[k] <= stock && stock <= bands.p90[k]);
            }
        }
        inside as f64 / (self.passed.len() * (self.places - 1)) as f64
    }
}

/// A whole number that orders as the value does: such are sorted faster.
fn rank_of(value: f32) -> i32 {
    let bits = value.to_bits().cast_signed();
    bits ^ ((bits >> 31) & i32::MAX)
}

/// The value of such a number.
fn of_rank(rank: i32) -> f64 {
    f64::from(f32::from_bits((rank ^ ((rank >> 31) & i32::MAX)).cast_unsigned()))
}

/// One in ten, one in two, nine in ten of the values told by their ranks, which are reordered.
fn deciles(values: &mut [i32]) -> [f64; 3] {
    if values.is_empty() {
        return [0.0; 3];
    }
    let rank = |share: f64, count: usize| ((share * count as f64) as usize).min(count - 1);
    let count = values.len();
    let (low, middle, high) = (rank(0.1, count), rank(0.5, count), rank(0.9, count));
    let (_, p50, upper) = values.select_nth_unstable(middle);
    let p50 = *p50;
    let p90 = match high.checked_sub(middle + 1) {
        Some(at) => *upper.select_nth_unstable(at).1,
        None => p50,
    };
    let p10 = if low < middle { *values[..middle].select_nth_unstable(low).1 } else { p50 };
    [p10, p50, p90].map(of_rank)
}
