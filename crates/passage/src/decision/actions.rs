//! What the policy does, kept as breaks along stock: a few for every sample, mode and state.

/// Leave the plant as it is.
pub(super) const STAY: u8 = 0;
/// Begin to start, or take the heat off.
pub(super) const GO: u8 = 1;
/// Change to trim 0; the others follow.
pub(super) const RETRIM: u8 = 2;

/// Which question is asked of the policy.
#[derive(Debug, Clone, Copy)]
pub(super) enum Asked {
    /// Off, with hands for a start.
    Off,
    /// Started: which trim to begin with.
    Ready,
    /// Making at a trim, without hands.
    Unmanned(usize),
    /// Making at a trim, with hands.
    Manned(usize),
}

impl Asked {
    fn slot(self) -> usize {
        match self {
            Asked::Off => 0,
            Asked::Ready => 1,
            Asked::Unmanned(trim) => 2 + 2 * trim,
            Asked::Manned(trim) => 3 + 2 * trim,
        }
    }
}

/// An action that holds for cells below one: the cell in the upper 24 bits, the action below. A grid has 400,000 cells at most.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Break(u32);

impl Break {
    const BEYOND: i32 = 0x00ff_ffff;

    fn new(upto: i32, act: u8) -> Self {
        Self((upto.clamp(0, Self::BEYOND) as u32) << 8 | u32::from(act))
    }

    fn upto(self) -> i32 {
        (self.0 >> 8) as i32
    }

    fn act(self) -> u8 {
        (self.0 & 0xff) as u8
    }
}

/// One list of breaks while it is found, from low stock to high.
#[derive(Debug, Clone, Default)]
pub(super) struct Finding {
    breaks: Vec<Break>,
    act: Option<u8>,
}

impl Finding {
    /// From this cell on the action is `act`.
    #[inline]
    pub fn from(&mut self, cell: i32, act: u8) {
        if self.act == Some(act) {
            return;
        }
        if let Some(before) = self.act {
            self.breaks.push(Break::new(cell, before));
        }
        self.act = Some(act);
    }
}

/// The actions of one mode.
#[derive(Debug, Clone, Default)]
pub(super) struct Actions {
    slots: usize,
    first: Vec<u32>,
    breaks: Vec<Break>,
}

impl Actions {
    pub fn new(steps: usize, trims: usize) -> Self {
        let slots = 2 + 2 * trims;
        // The list at 0 is for every question that never came up: stay.
        let breaks = vec![Break::new(Break::BEYOND, STAY)];
        Self { slots, first: vec![0; steps * slots], breaks }
    }

    /// How much has been kept.
    pub fn count(&self) -> usize {
        self.breaks.len()
    }

    /// Those of the steps from `k` on, which are the first `count` that were kept.
    pub fn onward(&self, k: usize, count: usize) -> Self {
        let from = (k * self.slots).min(self.first.len());
        let mut first = vec![0; self.first.len()];
        first[from..].copy_from_slice(&self.first[from..]);
        Self { slots: self.slots, first, breaks: self.breaks[..count].to_vec() }
    }

    /// Keeps a list, and empties it for the next.
    pub fn keep(&mut self, k: usize, asked: Asked, found: &mut Finding) {
        let Some(last) = found.act.take() else { return };
        if found.breaks.is_empty() && last == STAY {
            return;
        }
        self.first[k * self.slots + asked.slot()] = self.breaks.len() as u32;
        self.breaks.append(&mut found.breaks);
        self.breaks.push(Break::new(Break::BEYOND, last));
    }

    /// The action at a cell.
    #[inline]
    pub fn at(&self, k: usize, asked: Asked, cell: i32) -> u8 {
        let first = self.first[k * self.slots + asked.slot()] as usize;
        // proof: every list ends with a break beyond all cells; the default stands for a cell of that very number.
        self.breaks[first..].iter().find(|b| cell < b.upto()).map_or(STAY, |b| b.act())
    }
}
