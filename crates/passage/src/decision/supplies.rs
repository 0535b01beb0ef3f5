//! Water that can be had on the way: how much of it at each stock, by the least over a sliding window.

use std::collections::VecDeque;

use super::mode::Place;
use super::problem::Supply;

/// One supply in whole cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct Offer {
    /// Which of the problem's supplies it is.
    pub index: usize,
    pub at: usize,
    /// Price of a cell.
    pub price: f64,
    pub fixed: f64,
    /// Most cells.
    pub most: i32,
}

/// The supplies in cells of this size, in the order of their samples.
pub(super) fn offers(supply: &[Supply], cell: f64) -> Vec<Offer> {
    let mut offers: Vec<Offer> = supply
        .iter()
        .enumerate()
        .map(|(index, s)| Offer {
            index,
            at: s.at,
            price: s.price_t * cell,
            fixed: s.fixed,
            most: (s.max_t / cell + 1.0e-9).floor() as i32,
        })
        .collect();
    offers.sort_by_key(|o| o.at);
    offers
}

/// Cells taken at one supply, by the plant's state and the stock.
#[derive(Debug, Clone)]
pub(super) struct Rule {
    /// Which of the problem's supplies it is.
    pub index: usize,
    lo: i32,
    off: Vec<Option<usize>>,
    ready: Vec<Option<usize>>,
    making: Vec<Option<usize>>,
    taken: Vec<Vec<i32>>,
}

impl Rule {
    pub fn new(index: usize, lo: i32) -> Self {
        Self { index, lo, off: vec![], ready: vec![], making: vec![], taken: vec![] }
    }

    /// Keeps what is taken at a place and the `sharers − 1` after it.
    pub fn keep(&mut self, place: Place, sharers: usize, taken: Vec<i32>) {
        let (list, at) = match place {
            Place::Off(left) => (&mut self.off, left),
            Place::Ready(left) => (&mut self.ready, left),
            Place::Making(trim) => (&mut self.making, trim),
        };
        if list.len() < at + sharers {
            list.resize(at + sharers, None);
        }
        list[at..at + sharers].fill(Some(self.taken.len()));
        self.taken.push(taken);
    }

    /// Cells to take.
    pub fn at(&self, place: Place, cell: i32) -> i32 {
        let row = match place {
            Place::Off(left) => self.off.get(left),
            Place::Ready(left) => self.ready.get(left),
            Place::Making(trim) => self.making.get(trim),
        };
        let Some(row) = row.copied().flatten().map(|i| &self.taken[i]) else { return 0 };
        let cell = (cell - self.lo).clamp(0, row.len() as i32 - 1);
        row[cell as usize]
    }
}

/// The row with the best amount taken at each cell; answers the amounts in cells.
pub(super) fn buy(
    row: &mut [f64],
    nothing: &[f64],
    offer: &Offer,
    cell_t: f64,
    scratch: &mut Vec<f64>,
) -> Vec<i32> {
    let count = row.len();
    let mut taken = vec![0; count];
    // Values at the stock after, with the price from cell 0 to there.
    scratch.clear();
    scratch.extend(
        row.iter().zip(nothing).enumerate().map(|(t, (w, g))| w + g + offer.price * t as f64),
    );
    // A cell's worth of water is not worth a decision that only rounding makes.
    let tie = 1.0e-9 * (1.0 + cell_t);
    let mut best: VecDeque<usize> = VecDeque::new();
    for j in (0..count).rev() {
        while best.front().is_some_and(|t| *t > j.saturating_add(offer.most.max(0) as usize)) {
            best.pop_front();
        }
        if let Some(t) = best.front() {
            let value = scratch[*t] - offer.price * j as f64 + offer.fixed;
            if value < row[j] + nothing[j] - tie {
                row[j] = value - nothing[j];
                taken[j] = (*t - j) as i32;
            }
        }
        while best.back().is_some_and(|t| scratch[*t] >= scratch[j]) {
            best.pop_back();
        }
        best.push_back(j);
    }
    taken
}
