//! Shares of the lost output: what each cause costs beside the others, and what curing it alone would bring back.

use crate::cause::Cause;
use crate::fit::Fit;
use crate::instrument::Instrument;
use crate::observe::Observer;
use crate::prior::{PLANT_UNKNOWNS, Unknown};
use crate::problem::Problem;
use crate::search::Mixture;

/// Unknowns that cost output; feed counts as low or high by its side.
const COSTLY: [Unknown; 9] = [
    Unknown::Scale,
    Unknown::Fouling,
    Unknown::Air,
    Unknown::Ejector,
    Unknown::JacketFlow,
    Unknown::SeaFlow,
    Unknown::Feed,
    Unknown::Motive,
    Unknown::Back,
];

/// A cause under this part of the clean output, alone and beside the others, does not share by Shapley's value.
const SLIGHT: f64 = 0.004;

/// Hypotheses with less weight do not count here.
const MAIN: f64 = 0.10;
/// Hypotheses that count here at most.
const MAINS: usize = 3;
/// A loss under this part of what a clean plant would make is not shared out.
const WORTH_SHARING: f64 = 0.01;

/// What a cause costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// The cause.
    pub cause: Cause,
    /// Its part of the loss by Shapley's value, t/day; all together are the loss.
    pub loss_t_day: f64,
    /// What doing only this brings back, t/day.
    pub cure_t_day: f64,
}

/// What the plant loses, and to what.
#[derive(Debug, Clone, PartialEq)]
pub struct Loss {
    /// What a clean and sound plant would make as the last readings stand, t/day.
    pub clean_t_day: f64,
    /// What it makes, as fitted, t/day.
    pub made_t_day: f64,
    /// What a clean and sound plant would make with jacket and sea water in as read and the flows as set, t/day: no instrument's error is
    /// allowed for, and no closure moved. None where one of them was not read.
    pub expected_t_day: Option<f64>,
    /// By cause.
    pub costs: Vec<Cost>,
}

impl Loss {
    /// What is lost, t/day.
    #[must_use]
    pub fn lost_t_day(&self) -> f64 {
        self.clean_t_day - self.made_t_day
    }

    /// A cause's share of the loss; none where next to nothing is lost.
    #[must_use]
    pub fn share(&self, cause: Cause) -> Option<f64> {
        let lost = self.lost_t_day();
        if lost < WORTH_SHARING * self.clean_t_day {
            return None;
        }
        self.of(cause).map(|c| c.loss_t_day / lost)
    }

    /// What a cause costs; none for one that costs no output.
    #[must_use]
    pub fn of(&self, cause: Cause) -> Option<&Cost> {
        self.costs.iter().find(|c| c.cause == cause)
    }
}

/// Shares the loss out at each main hypothesis' mean, and weighs them.
pub(crate) fn loss(problem: &Problem, mixture: &Mixture) -> Option<Loss> {
    let mains: Vec<_> = mixture
        .parts
        .iter()
        .enumerate()
        .filter(|(i, p)| *i == 0 || (*i < MAINS && p.weight >= MAIN))
        .map(|(_, p)| p)
        .collect();
    let mut all: Option<Loss> = None;
    let mut sum = 0.0;
    for part in &mains {
        let Some(one) = at(problem, &part.fit) else { continue };
        sum += part.weight;
        let whole = all.get_or_insert_with(|| Loss {
            clean_t_day: 0.0,
            made_t_day: 0.0,
            expected_t_day: expected(problem),
            costs: Vec::new(),
        });
        whole.clean_t_day += part.weight * one.clean_t_day;
        whole.made_t_day += part.weight * one.made_t_day;
        for cost in one.costs {
            match whole.costs.iter_mut().find(|c| c.cause == cost.cause) {
                Some(there) => {
                    there.loss_t_day += part.weight * cost.loss_t_day;
                    there.cure_t_day += part.weight * cost.cure_t_day;
                }
                None => whole.costs.push(Cost {
                    cause: cost.cause,
                    loss_t_day: part.weight * cost.loss_t_day,
                    cure_t_day: part.weight * cost.cure_t_day,
                }),
            }
        }
    }
    let mut all = all?;
    all.clean_t_day /= sum;
    all.made_t_day /= sum;
    for cost in &mut all.costs {
        cost.loss_t_day /= sum;
        cost.cure_t_day /= sum;
    }
    Some(all)
}

/// An unknown where the sheet has it, in its scale.
fn clean(observer: &Observer, unknown: Unknown) -> f64 {
    let value = match unknown {
        Unknown::Scale | Unknown::Fouling | Unknown::Motive | Unknown::Back => 0.0,
        _ => 1.0,
    };
    observer.scale_of(unknown).to(value)
}

/// A clean and sound plant under the last readings as they stand.
fn expected(problem: &Problem) -> Option<f64> {
    let observer = &problem.observer;
    let (set, moment) = problem.last.as_ref()?;
    set.get(Instrument::JacketIn).and(set.get(Instrument::SeaTemp))?;
    let mut u = [0.0; PLANT_UNKNOWNS];
    for line in &problem.tables.causes {
        u[line.unknown as usize] = line.healthy_u().0;
    }
    for unknown in COSTLY {
        u[unknown as usize] = clean(observer, unknown);
    }
    let plant = observer.plant(&u).ok()?;
    Some(plant.fitted(&observer.point(&u, moment), None).ok()?.product_t_day)
}

fn at(problem: &Problem, fit: &Fit) -> Option<Loss> {
    let last = problem.moments.len().checked_sub(1)?;
    let observer = &problem.observer;
    let u = problem.plant_at(&fit.hypothesis, &fit.mean, last);
    let moment = problem.moment_at(&fit.hypothesis, &fit.mean, last);
    let plant = observer.plant(&u).ok()?;
    let sound: [f64; COSTLY.len()] = std::array::from_fn(|i| clean(observer, COSTLY[i]));
    let mut start = None;
    // What is made with this subset as fitted and the rest sound; what cannot run makes nothing.
    let mut made = |subset: usize| {
        let mut state: [f64; PLANT_UNKNOWNS] = u;
        for (i, unknown) in COSTLY.into_iter().enumerate() {
            if subset >> i & 1 == 0 {
                state[unknown as usize] = sound[i];
            }
        }
        let solution = plant.fitted(&observer.point(&state, &moment), start).ok();
        start = solution.as_ref().map(|s| (s.shell_pressure_pa, s.vapour_kg_s)).or(start);
        solution.map_or(0.0, |s| s.product_t_day)
    };
    const ALL: usize = (1 << COSTLY.len()) - 1;
    let (none, all) = (made(0), made(ALL));
    let cures: Vec<f64> = (0..COSTLY.len()).map(|i| made(ALL ^ 1 << i) - all).collect();
    let alone: Vec<f64> = (0..COSTLY.len()).map(|i| none - made(1 << i)).collect();
    // Those that matter neither alone nor beside the others take their part one after the other; the rest share by Shapley.
    let slight = |i: &usize| alone[*i].abs().max(cures[*i].abs()) < SLIGHT * none;
    let (slight, heavy): (Vec<usize>, Vec<usize>) = (0..COSTLY.len()).partition(slight);
    let mut losses = [0.0; COSTLY.len()];
    let mut held = 0_usize;
    let mut before = none;
    for i in slight {
        held |= 1 << i;
        let after = made(held);
        losses[i] = before - after;
        before = after;
    }
    let subset = |code: usize| {
        let bits = heavy.iter().enumerate().filter(|(j, _)| code >> j & 1 == 1);
        held | bits.map(|(_, i)| 1_usize << i).sum::<usize>()
    };
    let output: Vec<f64> = (0..1_usize << heavy.len()).map(|code| made(subset(code))).collect();
    let players = heavy.len() as u32;
    let factorial = |n: u32| (1..=n).map(f64::from).product::<f64>();
    for (j, i) in heavy.iter().enumerate() {
        let bit = 1_usize << j;
        losses[*i] = (0..output.len())
            .filter(|code| code & bit == 0)
            .map(|code| {
                let others = code.count_ones();
                let weight =
                    factorial(others) * factorial(players - 1 - others) / factorial(players);
                weight * (output[code] - output[code | bit])
            })
            .sum();
    }
    let costs = COSTLY
        .into_iter()
        .enumerate()
        .map(|(i, unknown)| {
            let cause = match unknown {
                Unknown::Feed if u[unknown as usize] > sound[i] => Cause::FeedHigh,
                Unknown::Feed => Cause::FeedLow,
                Unknown::Scale => Cause::Scale,
                Unknown::Fouling => Cause::CondenserFouling,
                Unknown::Air => Cause::AirLeak,
                Unknown::Ejector => Cause::EjectorWear,
                Unknown::JacketFlow => Cause::JacketFlow,
                Unknown::SeaFlow => Cause::SeaFlow,
                Unknown::Back => Cause::Overboard,
                _ => Cause::MotivePressure,
            };
            Cost { cause, loss_t_day: losses[i], cure_t_day: cures[i] }
        })
        .collect();
    Some(Loss { clean_t_day: none, made_t_day: all, expected_t_day: None, costs })
}
