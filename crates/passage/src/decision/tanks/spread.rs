//! How far what each tank holds scatters: some passages split over the tanks, each as it came.

use rayon::prelude::*;

use super::super::problem::Problem;
use super::super::steps::Steps;
use super::super::world::Log;
use super::split_as;

/// What each tank holds on one passage in ten or fewer, and on nine in ten or fewer.
#[derive(Debug, Clone, PartialEq)]
pub struct TankBands {
    /// Samples from one figure to the next; the first is that of the plan's first sample.
    pub every: usize,
    /// By tank: one in ten is under this, t.
    pub p10_t: Vec<Vec<f64>>,
    /// By tank: one in two, t.
    pub p50_t: Vec<Vec<f64>>,
    /// By tank: nine in ten, t.
    pub p90_t: Vec<Vec<f64>>,
}

/// Passages split over the tanks: a decile among so many lies within 6 of a hundred places (binomial spread, √(0.1 · 0.9 / 60)
/// · 1.6), a tonne or two; more of them would be waited for.
pub(in super::super) const SPREAD_OVER: usize = 60;

/// An hour of quarters.
const EVERY: usize = 4;

/// The bands over passages that were sailed; `None` where the problem tells no tanks or no classes.
pub(in super::super) fn spread(
    problem: &Problem,
    steps: &Steps,
    logs: &[Log],
) -> Option<TankBands> {
    let levels = |log: &Log| {
        let done = (&*log.schedule.doing, &*log.schedule.taken_t);
        let plan = split_as(problem, steps, done, Some(log))?;
        let hourly = |tank: &Vec<f64>| tank.iter().copied().step_by(EVERY).collect::<Vec<f64>>();
        Some(plan.levels_t.iter().map(hourly).collect::<Vec<_>>())
    };
    let sailed: Option<Vec<Vec<Vec<f64>>>> = logs.par_iter().map(levels).collect();
    let sailed = sailed.filter(|sailed| !sailed.is_empty())?;
    let mut bands =
        TankBands { every: EVERY, p10_t: Vec::new(), p50_t: Vec::new(), p90_t: Vec::new() };
    let mut held = vec![0.0; sailed.len()];
    for tank in 0..problem.tanks.len() {
        let [mut low, mut middle, mut high] = [const { Vec::new() }; 3];
        for k in 0..steps.n / EVERY + 1 {
            for (held, passage) in held.iter_mut().zip(&sailed) {
                *held = passage[tank][k];
            }
            held.sort_by(f64::total_cmp);
            let at = |share: f64| held[((share * held.len() as f64) as usize).min(held.len() - 1)];
            low.push(at(0.1));
            middle.push(at(0.5));
            high.push(at(0.9));
        }
        bands.p10_t.push(low);
        bands.p50_t.push(middle);
        bands.p90_t.push(high);
    }
    Some(bands)
}
