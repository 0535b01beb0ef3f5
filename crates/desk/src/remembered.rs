//! Bands worked out once: a trend drawn again, or of another reading, solves only the rounds that are new.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use rayon::prelude::*;

use crate::conditions::Figures;
use crate::setup::Setup;
use crate::view::Band;

/// Band of each reading a sound plant would show; none where nothing can be expected.
pub(crate) type Bands = Option<Arc<BTreeMap<&'static str, Band>>>;

/// Rounds remembered at the most: half a year of one every four hours.
const MOST: usize = 1200;

/// What a round read, bit for bit: the same figures under the same ship file have the same bands.
type Key = Vec<(String, u64)>;

/// Bands by what was read, for one ship file.
#[derive(Debug, Default)]
pub(crate) struct Remembered {
    /// The ship file they were worked out for.
    setup: Option<Arc<Setup>>,
    bands: HashMap<Key, Bands>,
}

impl Remembered {
    /// Bands of every round, in their order; `solve` works one out.
    ///
    /// The lock is held while solving: two who ask for the same trend at once have it solved once.
    pub(crate) fn bands(
        &mut self,
        setup: &Arc<Setup>,
        rounds: &[Figures],
        solve: impl Fn(&Figures) -> Bands + Sync,
    ) -> Vec<Bands> {
        let same = self.setup.as_ref().is_some_and(|known| Arc::ptr_eq(known, setup));
        if !same || self.bands.len() + rounds.len() > MOST {
            self.bands.clear();
            self.setup = Some(Arc::clone(setup));
        }
        let known = &self.bands;
        let found: Vec<(Key, Bands)> = rounds
            .par_iter()
            .map(|read| {
                let key: Key = read.iter().map(|(name, x)| (name.clone(), x.to_bits())).collect();
                let bands = known.get(&key).cloned().unwrap_or_else(|| solve(read));
                (key, bands)
            })
            .collect();
        found
            .into_iter()
            .map(|(key, bands)| self.bands.entry(key).or_insert(bands).clone())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;
    use crate::demo::marram;

    fn read(sea_temp_c: f64) -> Figures {
        Figures::from([("sea_temp_c".to_owned(), sea_temp_c)])
    }

    #[test]
    fn ident_a_round_is_solved_once_until_it_or_the_ship_file_changes() {
        let setup = Arc::new(Setup::from_ship(marram()).expect("demonstration sheet"));
        let solved = AtomicUsize::new(0);
        let solve = |figures: &Figures| {
            solved.fetch_add(1, Ordering::Relaxed);
            let middle = figures["sea_temp_c"];
            Some(Arc::new(BTreeMap::from([(
                "sea_out_c",
                Band { middle, low: middle, high: middle },
            )])))
        };
        let mut kept = Remembered::default();
        let mut ask = |setup: &Arc<Setup>, temps: &[f64]| -> (Vec<f64>, usize) {
            let rounds: Vec<Figures> = temps.iter().copied().map(read).collect();
            let bands = kept.bands(setup, &rounds, solve);
            let middles = bands.into_iter().flatten().map(|b| b["sea_out_c"].middle).collect();
            (middles, solved.swap(0, Ordering::Relaxed))
        };
        assert_eq!(ask(&setup, &[20.0, 21.0, 22.0]), (vec![20.0, 21.0, 22.0], 3));
        // One corrected, one new, in another order.
        assert_eq!(ask(&setup, &[23.0, 21.5, 20.0, 22.0]), (vec![23.0, 21.5, 20.0, 22.0], 2));
        let mended = Arc::new(setup.as_ref().clone());
        assert_eq!(ask(&mended, &[20.0]), (vec![20.0], 1));
    }

    #[test]
    fn ident_a_long_trend_does_not_grow_without_end() {
        let setup = Arc::new(Setup::from_ship(marram()).expect("demonstration sheet"));
        let mut kept = Remembered::default();
        for part in 0..10 {
            let rounds: Vec<Figures> = (0..400).map(|i| read(f64::from(400 * part + i))).collect();
            assert_eq!(kept.bands(&setup, &rounds, |_| None).len(), 400);
            assert!(kept.bands.len() <= MOST);
        }
    }
}
