//! What one thing relaxed is worth, and the sentence that says what binds.

use rayon::prelude::*;
use serde::Serialize;

use super::outlook::Outlook;
use super::policy::{MISSING_T, Policy};
use super::problem::Problem;
use super::solve::{policy_cell, solve};
use super::steps::Steps;

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

fn expected(problem: &Problem, price: f64) -> f64 {
    let steps = Steps::new(problem);
    solve(problem, &steps, Outlook::of(problem), policy_cell(problem), price, false).value
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
            let worth = base - expected(&other, price);
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

fn clause(problem: &Problem, w: &Worth) -> String {
    let worth = w.worth.round();
    match w.relax {
        Relax::HourLater => {
            format!("the time before end of sea passage: an hour more is worth {worth}")
        }
        Relax::FiveNmiNearer => {
            format!("the distance order: five nautical miles nearer is worth {worth}")
        }
        Relax::AnyHour => format!("hands: a start at night is worth {worth}"),
        Relax::TenTMoreRoom => format!("room in the tanks: ten tonnes more is worth {worth}"),
        _ => {
            let more = more_by_load(problem);
            let fuel = (24.0 * problem.relaxed.load_plus_5_fuel_h).round();
            format!(
                "heat: 5 % more load makes {more:.1} t/day and is worth {worth}, its fuel {fuel} a day"
            )
        }
    }
}

/// What 5 % more load makes more in 24 hours, where water may be made.
fn more_by_load(problem: &Problem) -> f64 {
    let s = &problem.samples;
    let Some(load) = &problem.relaxed.load_plus_5 else { return 0.0 };
    let more: Vec<f64> =
        (0..s.len()).filter(|k| s.allowed[*k]).map(|k| load[k] - s.make_t_day[k]).collect();
    more.iter().sum::<f64>() / more.len().max(1) as f64
}

/// The one sentence over the plan. Water that is missing and a reserve that does not hold come first.
#[must_use]
pub fn sentence(problem: &Problem, policy: &Policy, named: &[Worth]) -> String {
    let day = |k: usize| k as f64 * problem.step_h() / 24.0;
    let reserve = &problem.samples.reserve_t;
    let dry = policy.stock_t.iter().skip(1).position(|stock| *stock <= 0.0);
    let missing = policy.short_t;
    if !problem.samples.allowed.iter().any(|a| *a) {
        let why = commonest(&problem.samples.why);
        let why = why.map_or_else(String::new, |why| format!(" ({why})"));
        let end = match dry {
            Some(k) if missing >= MISSING_T => {
                format!(": dry on day {:.1}, {missing:.0} t short", day(k + 1))
            }
            _ => String::new(),
        };
        return format!("Nowhere on this passage may water be made{why}{end}.");
    }
    if missing >= MISSING_T {
        let when = dry.map_or_else(String::new, |k| format!(", dry on day {:.1}", day(k + 1)));
        return format!("It does not last: {missing:.1} t short on average{when}.");
    }
    if !policy.holds {
        let at = policy.worst_at;
        return format!(
            "It does not last: P10 is {:.0} t under the reserve of {:.0} t on day {:.1}, chance {:.0} %.",
            policy.under_t.ceil(),
            at.checked_sub(1).map_or(0.0, |k| reserve[k]),
            day(at),
            100.0 * policy.worst_chance
        );
    }
    match named {
        [] => "Nothing binds: she makes what she needs inside her orders; carrying water is what decides when to start.".into(),
        [one] => format!("What binds is {}.", clause(problem, one)),
        [one, two, ..] => format!("What binds is {}; then {}.", clause(problem, one), clause(problem, two)),
    }
}

fn commonest(why: &[String]) -> Option<&str> {
    let mut counts = std::collections::BTreeMap::new();
    for word in why.iter().filter(|w| !w.is_empty()) {
        *counts.entry(word.as_str()).or_insert(0) += 1;
    }
    counts.into_iter().max_by_key(|(_, count)| *count).map(|(word, _)| word)
}
