//! The one sentence over a plan: whether it lasts, else the first reason; then what binds.

use super::policy::{MISSING_T, Policy};
use super::problem::{Problem, Samples};
use super::simulate::Bands;
use super::worth::{Relax, Worth};

/// What is to be said first of a plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// No sample allows water.
    Nowhere {
        /// The rule that forbids most samples, by its word.
        why: Option<String>,
        /// What is missing on average, t, where it is more than rounding.
        missing_t: Option<f64>,
        /// The place at which the stock is gone if nothing scatters.
        dry: Option<usize>,
    },
    /// Water is missing on average.
    Missing {
        /// How much, t.
        missing_t: f64,
        /// The place at which the stock is gone if nothing scatters.
        dry: Option<usize>,
    },
    /// The reserve does not hold with the chance that is borne.
    UnderReserve {
        /// Where the chance is greatest: a place of the stock, 0 before the first sample.
        at: usize,
        /// What one in ten is under the reserve there, t.
        under_t: f64,
        /// The reserve there, t.
        reserve_t: f64,
        /// The chance of being under it there, 0 to 1.
        chance: f64,
    },
    /// It lasts.
    Lasts,
}

/// What is to be said first. Water that is missing and a reserve that does not hold come before all else.
#[must_use]
pub fn verdict(problem: &Problem, policy: &Policy) -> Verdict {
    let stock = policy.stock_t.iter().skip(1);
    let dry = stock.clone().position(|t| *t <= 0.0).map(|k| k + 1);
    let missing_t = policy.short_t;
    if !problem.samples.allowed.iter().any(|a| *a) {
        let why = commonest(&problem.samples).map(str::to_owned);
        let missing_t = Some(missing_t).filter(|t| *t >= MISSING_T);
        return Verdict::Nowhere { why, missing_t, dry };
    }
    if missing_t >= MISSING_T {
        return Verdict::Missing { missing_t, dry };
    }
    if !policy.holds {
        let at = policy.worst_at;
        let reserve = at.checked_sub(1).and_then(|k| problem.samples.reserve_t.get(k));
        return Verdict::UnderReserve {
            at,
            under_t: policy.under_t,
            reserve_t: reserve.copied().unwrap_or(0.0),
            chance: policy.worst_chance,
        };
    }
    Verdict::Lasts
}

/// The one sentence over the plan as it is interchanged: days from the first sample, the tenth of the passages as P10.
#[must_use]
pub fn sentence(problem: &Problem, policy: &Policy, named: &[Worth]) -> String {
    let day = |k: usize| k as f64 * problem.step_h() / 24.0;
    match verdict(problem, policy) {
        Verdict::Nowhere { why, missing_t, dry } => {
            let why = why.map_or_else(String::new, |why| format!(" ({why})"));
            let end = match (dry, missing_t) {
                (Some(k), Some(t)) => format!(": dry on day {:.1}, {t:.0} t short", day(k)),
                _ => String::new(),
            };
            format!("Nowhere on this passage may water be made{why}{end}.")
        }
        Verdict::Missing { missing_t, dry } => {
            let when = dry.map_or_else(String::new, |k| format!(", dry on day {:.1}", day(k)));
            format!("It does not last: {missing_t:.1} t short on average{when}.")
        }
        Verdict::UnderReserve { at, under_t, reserve_t, chance } => format!(
            "It does not last: P10 is {:.0} t under the reserve of {reserve_t:.0} t on day {:.1}, chance {:.0} %.",
            under_t.ceil(),
            day(at),
            100.0 * chance
        ),
        Verdict::Lasts => binds(problem, named),
    }
}

/// The same for who reads it aboard: plain words, and moments as `when` words them. `named` is what binds, where that
/// was worked out.
#[must_use]
pub fn plainly(
    problem: &Problem,
    policy: &Policy,
    bands: &Bands,
    named: Option<&[Worth]>,
    when: impl Fn(usize) -> String,
) -> String {
    let gone = |dry: Option<usize>| match dry {
        Some(k) => Some(format!("the tanks are empty on {}", when(k))),
        None => {
            let first = bands.p10.iter().position(|t| *t <= 0.0)?;
            Some(format!("one time in ten the tanks are empty on {} already", when(first)))
        }
    };
    match verdict(problem, policy) {
        Verdict::Nowhere { why, missing_t, dry } => {
            let why = why.map_or_else(String::new, |why| format!(" ({})", reason(&why)));
            let end = match (gone(dry), missing_t) {
                (Some(gone), Some(t)) => format!(": {gone}, and {t:.0} t are missing on average"),
                _ => String::new(),
            };
            format!("Nowhere on this passage may water be made{why}{end}.")
        }
        Verdict::Missing { missing_t, dry } => {
            let gone = gone(dry).map_or_else(String::new, |gone| format!("{gone}; "));
            format!("It does not last: {gone}{} are missing on average.", tonnes(missing_t))
        }
        Verdict::UnderReserve { at, under_t, reserve_t, chance } => {
            let low = (reserve_t - under_t).max(0.0);
            // As many decimals as tell the two apart.
            let decimals = usize::from(low.round() == reserve_t.round());
            format!(
                "The reserve is not sure: on {} there is one chance in ten of less than {low:.decimals$} t, where the reserve is {reserve_t:.decimals$} t; {} it is under the reserve.",
                when(at),
                times(chance)
            )
        }
        Verdict::Lasts => match named {
            Some(named) => binds(problem, named),
            None => "The reserve holds everywhere, nine times in ten or more.".into(),
        },
    }
}

/// Tonnes to a tenth where they are few.
fn tonnes(t: f64) -> String {
    if t < 9.95 { format!("{t:.1} t") } else { format!("{t:.0} t") }
}

/// "21 times in a hundred".
fn times(chance: f64) -> String {
    match (100.0 * chance).round() {
        n if n < 1.0 => "less than once in a hundred times".into(),
        n if n > 99.0 => "nearly always".into(),
        n if n > 1.0 => format!("{n:.0} times in a hundred"),
        _ => "once in a hundred times".into(),
    }
}

/// What forbids most samples, in plain words; a word from elsewhere stands as it is.
fn reason(word: &str) -> &str {
    match word {
        "phase" => "she is never on sea passage",
        "land" => "the track runs over land",
        "settling" => "too soon after full away",
        "notice" => "the end of sea passage is too near",
        "distance" => "too near to land",
        "depth" => "too shallow",
        "area" => "inside areas without water",
        "load" => "too little engine load",
        "discharge" => "our own discharge lies ahead of the suction",
        other => other,
    }
}

/// What binds, where it lasts.
fn binds(problem: &Problem, named: &[Worth]) -> String {
    match named {
        [] => "Nothing binds: she makes what she needs inside her orders; carrying water is what decides when to start.".into(),
        [one] => format!("What binds is {}.", clause(problem, one)),
        [one, two, ..] => format!("What binds is {}; then {}.", clause(problem, one), clause(problem, two)),
    }
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

/// What forbids most of the sea passage; ports count only where there is no sea passage.
fn commonest(samples: &Samples) -> Option<&str> {
    let most = |at_sea: bool| {
        let mut counts = std::collections::BTreeMap::new();
        let own = samples.why.iter().zip(&samples.run_ok).filter(|(_, run)| **run == at_sea);
        for (word, _) in own.filter(|(word, _)| !word.is_empty()) {
            *counts.entry(word.as_str()).or_insert(0) += 1;
        }
        counts.into_iter().max_by_key(|(_, count)| *count).map(|(word, _)| word)
    };
    most(true).or_else(|| most(false))
}
