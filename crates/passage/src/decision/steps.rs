//! A problem turned into what every step needs: tonnes and prices of one step, and what may begin there.

use super::problem::Problem;
use super::unreached::Gone;

/// One way of making water, by step.
#[derive(Debug, Clone)]
pub(super) struct Trim {
    /// Tonnes gained in the step at the expected output: made, and within reach of a pump.
    pub make_t: Vec<f64>,
    /// Tonnes made.
    pub made_t: Vec<f64>,
    /// What making them costs beside the pumps: by the tonne (scale) …
    pub price_t: Vec<f64>,
    /// … and for the step (boiler heat).
    pub fixed: Vec<f64>,
}

/// What every step needs.
#[derive(Debug, Clone)]
pub(super) struct Steps {
    /// Number of steps.
    pub n: usize,
    /// Hours in a step.
    pub hours: f64,
    /// Steps in a day.
    pub per_day: usize,
    /// Steps of a start.
    pub start: usize,
    /// Steps of a stop.
    pub stop: usize,
    /// Water may go to a tank.
    pub allowed: Vec<bool>,
    /// Hands are there.
    pub manned: Vec<bool>,
    /// Every sample of a start begun here, and the one after it, is allowed.
    pub may_start: Vec<bool>,
    /// Hands are there all through a start begun here.
    pub hands_start: Vec<bool>,
    /// The ejector may run all through a stop begun here.
    pub run_stop: Vec<bool>,
    /// Hands are there all through a stop begun here.
    pub hands_stop: Vec<bool>,
    /// The trims.
    pub trims: Vec<Trim>,
    /// Tonnes used.
    pub use_t: Vec<f64>,
    /// Tonnes of it that scatter.
    pub scatter_t: Vec<f64>,
    /// Most at the end of the step, t.
    pub ceiling_t: Vec<f64>,
    /// Least that should be there at the end of the step, t.
    pub reserve_t: Vec<f64>,
    /// Price of a tonne carried over the step.
    pub carry: Vec<f64>,
    /// Price of the pumps over a step.
    pub run: f64,
    /// What goes out of reach, where some does.
    pub gone: Option<Gone>,
}

/// Whether `flag` holds from each `k` for `len` samples, those after the last being as `beyond` says.
fn throughout(flag: &[bool], len: usize, beyond: bool) -> Vec<bool> {
    let n = flag.len();
    let mut holds_for = 0_usize;
    let mut result = vec![false; n];
    for k in (0..n).rev() {
        holds_for = if flag[k] { holds_for + 1 } else { 0 };
        let reaches_end = k + holds_for == n;
        result[k] = holds_for >= len || (beyond && reaches_end);
    }
    result
}

impl Steps {
    pub fn new(problem: &Problem) -> Self {
        let s = &problem.samples;
        let (n, hours) = (s.len(), problem.step_h());
        let day_share = hours / 24.0;
        let steps_of =
            |minutes: f64| (minutes / problem.step_min - 1.0e-9).ceil().max(1.0) as usize;
        let (start, stop) = (steps_of(problem.start_min), steps_of(problem.stop_min));
        let tonnes = |rate: &[f64]| rate.iter().map(|r| r * day_share).collect::<Vec<f64>>();
        let mut trims: Vec<Trim> = problem
            .levels
            .iter()
            .map(|level| Trim {
                make_t: s.make_t_day.iter().map(|m| m * level * day_share).collect(),
                made_t: s.make_t_day.iter().map(|m| m * level * day_share).collect(),
                price_t: problem.costs.make_t.clone(),
                fixed: vec![0.0; n],
            })
            .collect();
        if let Some(boost) = &s.boost_t_day {
            let offered = |k: usize| boost[k] > s.make_t_day[k];
            let made: Vec<f64> = (0..n)
                .map(|k| if offered(k) { boost[k] } else { s.make_t_day[k] } * day_share)
                .collect();
            trims.push(Trim {
                make_t: made.clone(),
                made_t: made,
                price_t: problem.costs.make_t.clone(),
                fixed: (0..n)
                    .map(|k| if offered(k) { problem.costs.boost_h[k] * hours } else { 0.0 })
                    .collect(),
            });
        }
        Self {
            n,
            hours,
            per_day: problem.steps_per_day(),
            start,
            stop,
            allowed: s.allowed.clone(),
            manned: s.manned.clone(),
            may_start: throughout(&s.allowed, start + 1, false),
            hands_start: throughout(&s.manned, start, false),
            run_stop: throughout(&s.run_ok, stop, true),
            hands_stop: throughout(&s.manned, stop, true),
            trims,
            use_t: tonnes(&s.use_t_day),
            scatter_t: tonnes(&s.use_scatter_t_day),
            ceiling_t: s.ceiling_t.clone(),
            // What the tanks may not hold cannot be held in reserve.
            reserve_t: s.reserve_t.iter().zip(&s.ceiling_t).map(|(r, c)| r.min(*c)).collect(),
            carry: s.carry.iter().map(|c| c * problem.costs.carry_t_day * day_share).collect(),
            run: problem.costs.run_h * hours,
            gone: None,
        }
    }

    /// The same with what goes out of reach taken from what is gained: so large a share of what is made in each step, and so
    /// many tonnes passed on. What is made is paid for all the same.
    pub fn short_of(mut self, gone: &Gone) -> Self {
        for trim in &mut self.trims {
            for (k, share) in gone.made.iter().enumerate() {
                trim.make_t[k] = trim.made_t[k] * (1.0 - share);
                trim.fixed[k] += trim.price_t[k] * trim.made_t[k] * share;
            }
        }
        self.use_t.iter_mut().zip(&gone.passed_t).for_each(|(used, gone)| *used += gone);
        self.gone = Some(gone.clone());
        self
    }
}
