//! What one thing relaxed is worth, and what of it binds.

use rayon::prelude::*;
use serde::Serialize;

use super::outlook::Outlook;
use super::policy::Policy;
use super::problem::Problem;
use super::solve::{Keep, policy_cell, solve};
use super::steps::Steps;
use super::unreached::Gone;

/// One thing that could be otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Relax {
    /// An hour's less notice before the end of sea passage.
    HourLater,
    /// Water may be made five nautical miles nearer to land.
    FiveNmiNearer,
    /// Output at five per cent more engine load; its fuel is told beside it.
    #[serde(rename = "load_plus_5")]
    LoadPlus5,
    /// Hands at night.
    AnyHour,
    /// Ten tonnes more room.
    TenTMoreRoom,
    /// Five per cent more output.
    #[serde(rename = "output_plus_5")]
    OutputPlus5,
    /// Half a tonne a day less used.
    UseHalfATonneLess,
    /// Ten tonnes more aboard now.
    TenTMoreNow,
}

impl Relax {
    /// All of them; the first five can bind.
    pub const ALL: [Self; 8] = [
        Self::HourLater,
        Self::FiveNmiNearer,
        Self::LoadPlus5,
        Self::AnyHour,
        Self::TenTMoreRoom,
        Self::OutputPlus5,
        Self::UseHalfATonneLess,
        Self::TenTMoreNow,
    ];

    fn binds(self) -> bool {
        Self::ALL[..5].contains(&self)
    }

    /// Its key in the interchange.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::HourLater => "hour_later",
            Self::FiveNmiNearer => "five_nmi_nearer",
            Self::LoadPlus5 => "load_plus_5",
            Self::AnyHour => "any_hour",
            Self::TenTMoreRoom => "ten_t_more_room",
            Self::OutputPlus5 => "output_plus_5",
            Self::UseHalfATonneLess => "use_half_a_tonne_less",
            Self::TenTMoreNow => "ten_t_more_now",
        }
    }

    /// The problem with it, where the problem says what that would be.
    #[must_use]
    pub fn of(self, problem: &Problem) -> Option<Problem> {
        let mut other = problem.clone();
        let s = &mut other.samples;
        match self {
            Self::HourLater => s.allowed.clone_from(problem.relaxed.hour_later.as_ref()?),
            Self::FiveNmiNearer => s.allowed.clone_from(problem.relaxed.five_nmi_nearer.as_ref()?),
            Self::LoadPlus5 => s.make_t_day.clone_from(problem.relaxed.load_plus_5.as_ref()?),
            Self::AnyHour => s.manned.fill(true),
            Self::TenTMoreRoom => s.ceiling_t.iter_mut().for_each(|c| *c += 10.0),
            Self::OutputPlus5 => {
                let boost = s.boost_t_day.iter_mut().flatten();
                s.make_t_day.iter_mut().chain(boost).for_each(|m| *m *= 1.05);
            }
            Self::UseHalfATonneLess => {
                for (all, scatter) in s.use_t_day.iter_mut().zip(&mut s.use_scatter_t_day) {
                    let less = scatter.min(0.5);
                    *all -= less;
                    *scatter -= less;
                }
            }
            Self::TenTMoreNow => other.stock_t += 10.0,
        }
        Some(other)
    }
}

/// What a relaxation is worth: expected cost without it less that with it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Worth {
    /// The thing relaxed.
    pub relax: Relax,
    /// What it is worth in the problem's currency.
    pub worth: f64,
}

fn expected(problem: &Problem, price: f64, gone: Option<&Gone>) -> f64 {
    let mut steps = Steps::new(problem);
    if let Some(gone) = gone {
        steps = steps.short_of(gone);
    }
    solve(problem, &steps, Outlook::of(problem), policy_cell(problem), price, Keep::Value).value
}

/// The worth of everything that the problem lets be relaxed, planned anew at the policy's price of the reserve.
#[must_use]
pub fn worth(problem: &Problem, policy: &Policy) -> Vec<Worth> {
    let price = policy.below_reserve_price;
    let base = policy.expected_cost;
    Relax::ALL
        .into_par_iter()
        .filter_map(|relax| {
            let other = relax.of(problem)?;
            let worth = base - expected(&other, price, policy.gone.as_ref());
            // A rule relaxed cannot cost; what is less than nothing is the rounding of cells.
            Some(Worth { relax, worth: if relax.binds() { worth.max(0.0) } else { worth } })
        })
        .collect()
}

/// Least worth that binds: so much, and this share of the expected cost.
const BINDS: (f64, f64) = (25.0, 0.03);
/// A second is named when it is worth this share of the first.
const SECOND: f64 = 0.5;

/// What binds, the most first; two at most.
#[must_use]
pub fn binding(worth: &[Worth], expected_cost: f64) -> Vec<Worth> {
    let mut binds: Vec<Worth> = worth.iter().copied().filter(|w| w.relax.binds()).collect();
    binds.sort_by(|a, b| b.worth.total_cmp(&a.worth));
    let enough = |w: &Worth| w.worth >= BINDS.0 && w.worth >= BINDS.1 * expected_cost;
    let Some(first) = binds.first().copied().filter(enough) else { return Vec::new() };
    let mut named = vec![first];
    named.extend(binds.get(1).copied().filter(|w| enough(w) && w.worth >= SECOND * first.worth));
    named
}
