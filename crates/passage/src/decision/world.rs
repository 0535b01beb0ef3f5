//! One passage as the world may have it, the policy being followed: a ship that is late, thirsty, or in a warmer sea.

use super::chance::Normal;
use super::follow::{Begun, Following, Hands};
use super::problem::Problem;
use super::schedule::{Doing, Schedule};
use super::solve::Solution;
use super::standing::Ordered;
use super::steps::{Steps, Trim};

/// What is drawn once for a passage, and its draws by day; `None` for a world without scatter.
struct Weather {
    normal: Option<Normal>,
    use_mean: f64,
    speed: f64,
    sea_k: f64,
    use_day: f64,
    /// ln of the output factor, and the factor.
    output: f64,
    output_factor: f64,
}

/// What was done on one passage, and what the world made of it, by place.
pub(super) struct Log {
    pub schedule: Schedule,
    /// What was aboard at the beginning over the middle, t.
    pub more_t: f64,
    /// How far each tank's own content is off, in standard deviations; what they are off together is `more_t`.
    pub apart: Vec<f64>,
    /// Made, t.
    pub made_t: Vec<f64>,
    /// Use that scatters, as a share of that foreseen.
    pub scatter: Vec<f64>,
    /// Use that does not, likewise.
    pub fixed: Vec<f64>,
}

impl Log {
    fn new(problem: &Problem, n: usize) -> Self {
        let nothing = || vec![0.0; n];
        let schedule =
            Schedule { doing: vec![Doing::Off; n], taken_t: vec![0.0; problem.supply.len()] };
        let apart = Vec::new();
        Self {
            schedule,
            more_t: 0.0,
            apart,
            made_t: nothing(),
            scatter: nothing(),
            fixed: nothing(),
        }
    }
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

/// The exponential, by its series where its first six members are exact to 2e-9; a passage asks for it at every step.
#[inline]
fn exp_near_nought(x: f64) -> f64 {
    if x.abs() > 0.1 {
        return x.exp();
    }
    let [two, three, four, five] = [1.0 / 2.0, 1.0 / 3.0, 1.0 / 4.0, 1.0 / 5.0];
    1.0 + x * (1.0 + x * two * (1.0 + x * three * (1.0 + x * four * (1.0 + x * five))))
}

/// One draw of a lognormal factor of mean 1.
fn factor(sd: f64, z: f64) -> f64 {
    (sd * z - 0.5 * sd * sd).exp()
}

impl Weather {
    fn new(problem: &Problem, normal: Option<Normal>) -> Self {
        let noise = &problem.noise;
        let mut weather = Self {
            normal,
            use_mean: 1.0,
            speed: 1.0,
            sea_k: 0.0,
            use_day: 1.0,
            output: 0.0,
            output_factor: 1.0,
        };
        if let Some(normal) = &mut weather.normal {
            weather.use_mean = factor(noise.use_mean, normal.draw());
            weather.speed = factor(noise.speed, normal.draw());
            weather.sea_k = noise.sea_k * normal.draw();
            weather.output = noise.output * normal.draw();
            weather.use_day = factor(noise.use_day, normal.draw());
        }
        weather.output_factor = weather.output.exp();
        weather
    }

    fn next_day(&mut self, problem: &Problem) {
        let noise = &problem.noise;
        let Some(normal) = &mut self.normal else { return };
        let stays = if noise.output_days > 0.0 { (-1.0 / noise.output_days).exp() } else { 0.0 };
        let fresh = noise.output * (1.0 - stays * stays).sqrt();
        self.output = stays * self.output + fresh * normal.draw();
        self.output_factor = self.output.exp();
        self.use_day = factor(noise.use_day, normal.draw());
    }
}

/// What a passage asks for at every step, together in the nearest memory.
struct Stage {
    /// Tonnes used that scatter, and those that do not.
    scatter_t: f64,
    fixed_t: f64,
    ceiling_t: f64,
    reserve_t: f64,
    /// Price of a tonne carried over the step.
    carry: f64,
    /// d ln(output) / d(sea temperature), 1/K.
    slope: f64,
    under_way: bool,
    /// Hands at this hour: now, for a start, for a stop.
    hands: [bool; 3],
}

/// What a step of making at a trim makes and costs.
struct Made {
    make_t: f64,
    /// The same with what goes out of reach.
    made_t: f64,
    price_t: f64,
    fixed: f64,
}

/// What the passages of one simulation share.
pub(super) struct Voyage<'a> {
    pub problem: &'a Problem,
    pub steps: &'a Steps,
    pub solution: &'a Solution,
    pub reserve_price: f64,
    /// Orders that go before the policy.
    ordered: Option<&'a Ordered>,
    stages: Vec<Stage>,
    /// By step and trim.
    makes: Vec<Made>,
}

impl<'a> Voyage<'a> {
    /// Passages under a policy.
    pub fn new(
        problem: &'a Problem,
        steps: &'a Steps,
        solution: &'a Solution,
        reserve_price: f64,
    ) -> Self {
        let stage = |k: usize| Stage {
            scatter_t: steps.scatter_t[k],
            fixed_t: steps.use_t[k] - steps.scatter_t[k],
            ceiling_t: steps.ceiling_t[k],
            reserve_t: steps.reserve_t[k],
            carry: steps.carry[k],
            slope: problem.samples.sea_slope_per_k[k],
            under_way: problem.samples.under_way[k],
            hands: [steps.manned[k], steps.hands_start[k], steps.hands_stop[k]],
        };
        let made = |k: usize, trim: &Trim| Made {
            make_t: trim.make_t[k],
            made_t: trim.made_t[k],
            price_t: trim.price_t[k],
            fixed: trim.fixed[k],
        };
        let trims = |k: usize| steps.trims.iter().map(move |trim| made(k, trim));
        let stages = (0..steps.n).map(stage).collect();
        let makes = (0..steps.n).flat_map(trims).collect();
        Self { problem, steps, solution, reserve_price, ordered: None, stages, makes }
    }

    /// The same under orders that go before the policy.
    pub fn ordered(self, ordered: Option<&'a Ordered>) -> Self {
        Self { ordered, ..self }
    }

    /// Passages under the policy, each with its draws. `stock_t` is given the stock when each sample was reached, and
    /// at the end, a row for each passage.
    ///
    /// They go on together day by day: what the policy does on one day fits in the nearest memory, all of it does not.
    pub fn sail(&self, draws: impl Iterator<Item = Normal>, stock_t: &mut [f32]) -> Vec<Passed> {
        let mut ships: Vec<Ship> = draws.map(|d| Ship::new(self.problem, Some(d))).collect();
        let n = self.steps.n;
        for day in 1..=n.div_ceil(self.steps.per_day) {
            let upto = (day * self.steps.per_day).min(n);
            for (ship, row) in ships.iter_mut().zip(stock_t.chunks_mut(n + 1)) {
                ship.sail(self, upto, row, None);
            }
        }
        let rows = stock_t.chunks_mut(n + 1);
        ships.into_iter().zip(rows).map(|(ship, row)| ship.arrive(self, row)).collect()
    }

    /// The policy with nothing scattering, as a schedule.
    pub fn calm(&self) -> Schedule {
        self.logged(None).schedule
    }

    /// One passage under the policy, written down.
    pub fn logged(&self, draws: Option<Normal>) -> Log {
        let mut log = Log::new(self.problem, self.steps.n);
        if let Some(draws) = &draws {
            log.apart = draws.levels(self.problem.tanks.len());
        }
        let mut ship = Ship::new(self.problem, draws);
        log.more_t = ship.stock - self.problem.stock_t;
        ship.sail(self, self.steps.n, &mut [], Some(&mut log));
        log
    }
}

/// A ship on her passage.
struct Ship {
    weather: Weather,
    plant: Following,
    stock: f64,
    /// Where she is, in samples of the plan.
    place: f64,
    /// The next place whose stock is to be kept.
    reached: usize,
    next_supply: usize,
    until_tomorrow: usize,
    out: Passed,
}

impl Ship {
    fn new(problem: &Problem, draws: Option<Normal>) -> Self {
        let level = draws.as_ref().filter(|_| problem.stock_sd_t > 0.0).map(Normal::level);
        Self {
            weather: Weather::new(problem, draws),
            plant: Following { state: problem.state },
            stock: level.map_or(problem.stock_t, |level| problem.begun_t(level)),
            place: 0.0,
            reached: 0,
            next_supply: 0,
            until_tomorrow: problem.steps_per_day(),
            out: Passed::default(),
        }
    }

    /// Goes on until the place `upto`.
    fn sail(
        &mut self,
        voyage: &Voyage,
        upto: usize,
        stock_t: &mut [f32],
        mut log: Option<&mut Log>,
    ) {
        let Voyage { problem, steps, solution, .. } = *voyage;
        let (n, costs, grid) = (steps.n, &problem.costs, &solution.grid);
        let under = voyage.reserve_price * steps.hours / 24.0;
        let trims = steps.trims.len();
        let per_speed = 1.0 / self.weather.speed;
        let next_at = |next: usize| problem.supply.get(next).map_or(usize::MAX, |s| s.at);
        let mut supply_at = next_at(self.next_supply);
        // What changes at every step stays out of memory.
        let (mut place, mut held, mut out) = (self.place, self.stock, self.out);
        let mut reached = self.reached;
        while place < upto as f64 {
            let k = place as usize;
            let part = place - k as f64;
            if self.until_tomorrow == 0 {
                self.weather.next_day(problem);
                self.until_tomorrow = steps.per_day;
            }
            self.until_tomorrow -= 1;
            if reached == 0 {
                keep(stock_t, 0, held);
                reached = 1;
            }
            let stage = &voyage.stages[k];
            let by_sea = self.weather.sea_k * stage.slope;
            let ln_output = self.weather.output + by_sea;
            if supply_at <= k {
                let mode = solution.outlook.nearest(ln_output);
                (self.stock, self.out) = (held, out);
                self.buy(voyage, (mode, k), log.as_deref_mut());
                (held, out) = (self.stock, self.out);
                supply_at = next_at(self.next_supply);
            }
            let clock = by_the_clock(out.steps, n, steps.per_day);
            let [now, start, stop] = voyage.stages[clock].hands;
            let hands = Hands { now, start, stop, on_time: clock == k };
            let stock = held;
            let act = |asked| {
                if let Some(act) = voyage.ordered.and_then(|ordered| ordered.act(k, asked, stock)) {
                    return act;
                }
                let mode = solution.outlook.nearest(ln_output);
                solution.actions[mode].at(k, asked, grid.cell_at(k, part, stock))
            };
            let (doing, begun) = self.plant.decide(steps, k, hands, act);
            out.cost += match begun {
                Begun::Start => costs.start,
                Begun::Retrim => costs.retrim,
                Begun::Stop { callout: true } => costs.callout,
                Begun::Nothing | Begun::Stop { callout: false } => 0.0,
            };
            if let Some(log) = log.as_deref_mut() {
                log.schedule.doing[k] = doing;
            }
            let weather = &self.weather;
            let mut made = 0.0;
            let mut into_tanks = 0.0;
            if doing != Doing::Off {
                out.cost += steps.run;
            }
            if let Doing::Making(trim) = doing {
                let making = &voyage.makes[k * trims + trim];
                let factor = weather.output_factor * exp_near_nought(by_sea);
                made = making.make_t * factor;
                into_tanks = making.made_t * factor;
                out.cost += making.price_t * made + making.fixed;
            }
            let (advance, slower) =
                if stage.under_way { (weather.speed, per_speed) } else { (1.0, 1.0) };
            let scatter = weather.use_mean * weather.use_day;
            let used = stage.scatter_t * scatter + stage.fixed_t * advance;
            if let Some(log) = log.as_deref_mut() {
                log.made_t[k] += into_tanks;
                log.scatter[k] += scatter;
                log.fixed[k] += advance;
            }
            let mut stock = held + made - used;
            if stock < 0.0 {
                out.cost -= costs.shortfall_t * stock;
                out.short_t -= stock;
                stock = 0.0;
            }
            if stock > stage.ceiling_t {
                let lost = stock - stage.ceiling_t;
                out.cost += costs.spill_t * lost;
                out.lost_t += lost;
                stock = stage.ceiling_t;
            }
            out.cost += under * (stage.reserve_t - stock).max(0.0) + stage.carry * stock;
            out.steps += 1;
            let next = place + advance;
            while reached <= n && reached as f64 <= next {
                let share = (reached as f64 - place) * slower;
                keep(stock_t, reached, held + share * (stock - held));
                reached += 1;
            }
            (place, held) = (next, stock);
        }
        (self.place, self.stock, self.out, self.reached) = (place, held, out, reached);
    }

    /// Takes what the policy takes of the supplies that have come up.
    fn buy(&mut self, voyage: &Voyage, (mode, k): (usize, usize), mut log: Option<&mut Log>) {
        let Voyage { problem, steps, solution, .. } = *voyage;
        let grid = &solution.grid;
        while let Some(supply) = problem.supply.get(self.next_supply).filter(|s| s.at <= k) {
            let rule = &solution.rules[mode][self.next_supply];
            let cell = grid.cell_at(supply.at, 0.0, self.stock);
            let wanted = f64::from(rule.at(self.plant.place(), cell)) * grid.cell;
            let room = steps.ceiling_t[supply.at.saturating_sub(1)] - self.stock;
            let taken = wanted.min(supply.max_t).min(room).max(0.0);
            if taken > 0.0 {
                self.out.cost += supply.fixed + supply.price_t * taken;
                self.stock += taken;
            }
            if let Some(log) = log.as_deref_mut() {
                log.schedule.taken_t[self.next_supply] = taken;
            }
            self.next_supply += 1;
        }
    }

    /// The end of the horizon.
    fn arrive(mut self, voyage: &Voyage, stock_t: &mut [f32]) -> Passed {
        for at in self.reached..=voyage.steps.n {
            keep(stock_t, at, self.stock);
        }
        let end = voyage.problem.end;
        self.out.cost += end.price_t * (end.target_t - self.stock).max(0.0);
        self.out
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
