//! One passage as the world may have it, the policy being followed: a ship that is late, thirsty, or in a warmer sea.

use super::chance::Normal;
use super::follow::{Begun, Following, Hands};
use super::problem::Problem;
use super::schedule::{Doing, Schedule};
use super::solve::Solution;
use super::steps::Steps;

/// What is drawn once for a passage, and its draws by day; `None` for a world without scatter.
struct Weather {
    normal: Option<Normal>,
    use_mean: f64,
    speed: f64,
    sea_k: f64,
    use_day: f64,
    output: f64,
}

/// What comes of one passage.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Passed {
    pub cost: f64,
    pub short_t: f64,
    pub lost_t: f64,
    /// Steps by the clock until the end of the horizon was reached.
    pub steps: usize,
}

/// One draw of a lognormal factor of mean 1.
fn factor(sd: f64, z: f64) -> f64 {
    (sd * z - 0.5 * sd * sd).exp()
}

impl Weather {
    fn new(problem: &Problem, normal: Option<Normal>) -> Self {
        let noise = &problem.noise;
        let mut weather =
            Self { normal, use_mean: 1.0, speed: 1.0, sea_k: 0.0, use_day: 1.0, output: 0.0 };
        if let Some(normal) = &mut weather.normal {
            weather.use_mean = factor(noise.use_mean, normal.draw());
            weather.speed = factor(noise.speed, normal.draw());
            weather.sea_k = noise.sea_k * normal.draw();
            weather.output = noise.output * normal.draw();
            weather.use_day = factor(noise.use_day, normal.draw());
        }
        weather
    }

    fn next_day(&mut self, problem: &Problem) {
        let noise = &problem.noise;
        let Some(normal) = &mut self.normal else { return };
        let stays = if noise.output_days > 0.0 { (-1.0 / noise.output_days).exp() } else { 0.0 };
        let fresh = noise.output * (1.0 - stays * stays).sqrt();
        self.output = stays * self.output + fresh * normal.draw();
        self.use_day = factor(noise.use_day, normal.draw());
    }
}

/// What the passages of one simulation share.
#[derive(Clone, Copy)]
pub(super) struct Voyage<'a> {
    pub problem: &'a Problem,
    pub steps: &'a Steps,
    pub solution: &'a Solution,
    pub reserve_price: f64,
}

impl Voyage<'_> {
    /// One passage under the policy. `stock_t` is given the stock when each sample was reached, and at the end.
    pub fn sail(&self, draws: Option<Normal>, stock_t: &mut [f32]) -> Passed {
        self.run(draws, stock_t, None)
    }

    /// The policy with nothing scattering, as a schedule.
    pub fn calm(&self) -> Schedule {
        let mut schedule = Schedule {
            doing: vec![Doing::Off; self.steps.n],
            taken_t: vec![0.0; self.problem.supply.len()],
        };
        self.run(None, &mut [], Some(&mut schedule));
        schedule
    }

    fn run(
        &self,
        draws: Option<Normal>,
        stock_t: &mut [f32],
        mut log: Option<&mut Schedule>,
    ) -> Passed {
        let Self { problem, steps, solution, .. } = *self;
        let (n, costs, grid) = (steps.n, &problem.costs, &solution.grid);
        let under = self.reserve_price * steps.hours / 24.0;
        let slope = &problem.samples.sea_slope_per_k;
        let mut weather = Weather::new(problem, draws);
        let mut plant = Following { state: problem.state };
        let mut out = Passed::default();
        let (mut stock, mut place, mut next_supply) = (problem.stock_t, 0.0_f64, 0);
        let mut reached = 0;
        let mut until_tomorrow = steps.per_day;
        let mut ln_factor = f64::NAN;
        let mut output = 1.0;
        while place < n as f64 {
            let k = place as usize;
            let part = place - k as f64;
            if until_tomorrow == 0 {
                weather.next_day(problem);
                until_tomorrow = steps.per_day;
            }
            until_tomorrow -= 1;
            if reached == 0 {
                keep(stock_t, 0, stock);
                reached = 1;
            }
            let ln = weather.output + weather.sea_k * slope[k];
            if ln != ln_factor {
                (ln_factor, output) = (ln, ln.exp());
            }
            let mode = solution.outlook.nearest(ln);
            while let Some(supply) = problem.supply.get(next_supply).filter(|s| s.at <= k) {
                let rule = &solution.rules[mode][next_supply];
                let cell = grid.cell_at(supply.at, 0.0, stock);
                let wanted = f64::from(rule.at(plant.place(), cell)) * grid.cell;
                let room = steps.ceiling_t[supply.at.saturating_sub(1)] - stock;
                let taken = wanted.min(supply.max_t).min(room).max(0.0);
                if taken > 0.0 {
                    out.cost += supply.fixed + supply.price_t * taken;
                    stock += taken;
                }
                if let Some(log) = log.as_deref_mut() {
                    log.taken_t[next_supply] = taken;
                }
                next_supply += 1;
            }
            let clock = by_the_clock(out.steps, n, steps.per_day);
            let hands = Hands {
                now: steps.manned[clock],
                start: steps.hands_start[clock],
                stop: steps.hands_stop[clock],
                on_time: clock == k,
            };
            let cell = grid.cell_at(k, part, stock);
            let (doing, begun) = plant.decide((solution, steps), (mode, k, cell), hands);
            out.cost += match begun {
                Begun::Nothing => 0.0,
                Begun::Start => costs.start,
                Begun::Retrim => costs.retrim,
                Begun::Stop { callout } => {
                    if callout {
                        costs.callout
                    } else {
                        0.0
                    }
                }
            };
            if let Some(log) = log.as_deref_mut() {
                log.doing[k] = doing;
            }
            let mut made = 0.0;
            if doing != Doing::Off {
                out.cost += steps.run;
            }
            if let Doing::Making(trim) = doing {
                let trim = &steps.trims[trim];
                made = trim.make_t[k] * output;
                out.cost += trim.price_t[k] * made + trim.fixed[k];
            }
            let advance = if problem.samples.under_way[k] { weather.speed } else { 1.0 };
            let scatter = steps.scatter_t[k];
            let used =
                scatter * weather.use_mean * weather.use_day + (steps.use_t[k] - scatter) * advance;
            let before = stock;
            stock += made - used;
            if stock < 0.0 {
                out.cost -= costs.shortfall_t * stock;
                out.short_t -= stock;
                stock = 0.0;
            }
            if stock > steps.ceiling_t[k] {
                let lost = stock - steps.ceiling_t[k];
                out.cost += costs.spill_t * lost;
                out.lost_t += lost;
                stock = steps.ceiling_t[k];
            }
            out.cost += under * (steps.reserve_t[k] - stock).max(0.0) + steps.carry[k] * stock;
            let next = place + advance;
            while reached <= n && reached as f64 <= next {
                let share = (reached as f64 - place) / advance;
                keep(stock_t, reached, before + share * (stock - before));
                reached += 1;
            }
            place = next;
            out.steps += 1;
        }
        for at in reached..=n {
            keep(stock_t, at, stock);
        }
        out.cost += problem.end.price_t * (problem.end.target_t - stock).max(0.0);
        out
    }
}

fn keep(stock_t: &mut [f32], at: usize, stock: f64) {
    if let Some(place) = stock_t.get_mut(at) {
        *place = stock as f32;
    }
}

/// A late ship's clock goes on past the last sample as on the day before.
fn by_the_clock(step: usize, n: usize, per_day: usize) -> usize {
    if step < n {
        return step;
    }
    let days = (step - n) / per_day + 1;
    step.saturating_sub(days * per_day).min(n - 1)
}
