//! The samples of a passage, from now until the first days after the next chance to make water beyond arrival.

use std::fmt;

use jiff::{SignedDuration, Timestamp};
use rayon::prelude::*;
use route::{Clock, Moment, Phase, Schedule};

use super::demand::{Demand, Use};
use super::rule::{Caution, Instant, Orders, Rule};
use super::sea::{Make, Sea, Still, Waters};

/// Minutes between samples.
pub const STEP_MIN: u32 = 15;

/// The longest time planned, days.
pub const LONGEST_DAYS: f64 = 120.0;

/// A track is over land for certain so far behind the coast; nearer, the grid of depths may only be coarse.
const INLAND_NMI: f64 = 3.0;

/// Hours of the ship's day with hands to start, trim and stop; from 0 to 24 where watches are kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hands {
    /// From this hour of ship's time, 0 to 24.
    pub from_h: f64,
    /// Up to this hour; before `from_h` where the hours run over midnight.
    pub to_h: f64,
}

impl Hands {
    /// Whether there are hands at an instant, by the ship's clock of that moment.
    #[must_use]
    pub fn at(&self, clock: &Clock, at: Timestamp) -> bool {
        let local = clock.local(at);
        let hour = f64::from(local.hour())
            + f64::from(local.minute()) / 60.0
            + f64::from(local.second()) / 3600.0;
        if self.from_h <= self.to_h {
            (self.from_h..self.to_h).contains(&hour)
        } else {
            hour >= self.from_h || hour < self.to_h
        }
    }
}

/// What a timeline is made from.
#[derive(Debug, Clone, Copy)]
pub struct Plan<'a> {
    /// The route in time.
    pub schedule: &'a Schedule,
    /// The standing orders.
    pub orders: &'a Orders,
    /// Hours with hands.
    pub hands: Hands,
    /// What is used.
    pub demand: &'a Demand,
    /// Engine load, share of rated, on sea passage where the route does not say.
    pub sea_load: f64,
    /// Engine load, share of rated, elsewhere under way where the route does not say.
    pub harbour_load: f64,
    /// How long the plan runs on after the end of the schedule, days: port and the first days of the next leg.
    pub beyond_days: f64,
}

/// One sample, which holds until the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// When.
    pub at: Timestamp,
    /// Where she is and what she does.
    pub moment: Moment,
    /// Share of rated engine load.
    pub load: f64,
    /// The sea there.
    pub sea: Sea,
    /// The rule that forbids making water, if one does.
    pub rule: Option<Rule>,
    /// What is worth knowing there.
    pub cautions: Vec<Caution>,
    /// Whether there are hands.
    pub manned: bool,
    /// What the plant makes there with full heat.
    pub make: Make,
    /// What is used.
    pub used: Use,
}

/// The samples, with the same under relaxed rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline {
    /// Every [`STEP_MIN`] minutes.
    pub samples: Vec<Sample>,
    /// Where an hour's less notice would allow it.
    pub hour_later: Vec<bool>,
    /// Where five miles nearer to land would allow it.
    pub five_nmi_nearer: Vec<bool>,
    /// Output with five per cent more load, t/day.
    pub load_plus_5_t_day: Vec<f64>,
    /// The ship's clock along the way.
    pub clock: Clock,
}

/// Why there is no timeline.
#[derive(Debug, Clone, PartialEq)]
pub enum TimelineError {
    /// The route ended before now.
    Over {
        /// When it ended.
        end: Timestamp,
        /// Now.
        now: Timestamp,
    },
    /// It runs on for too long.
    TooLong {
        /// Days from now to its end.
        days: f64,
    },
}

impl fmt::Display for TimelineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Over { end, now } => write!(
                f,
                "the route ended {end}, now it is {now}: give the next passage's route, or mend its dates"
            ),
            Self::TooLong { days } => write!(
                f,
                "the route runs {days:.0} days on, planned are at most {LONGEST_DAYS:.0}: look at its last dates and stays, or give it in two parts"
            ),
        }
    }
}

impl std::error::Error for TimelineError {}

/// Samples a passage from `now`, or from its beginning where that lies ahead.
///
/// # Errors
/// [`TimelineError`].
pub fn timeline(
    plan: &Plan<'_>,
    now: Timestamp,
    waters: &(dyn Waters + Sync),
    still: &(dyn Still + Sync),
) -> Result<Timeline, TimelineError> {
    let end = plan.schedule.end();
    if end <= now {
        return Err(TimelineError::Over { end, now });
    }
    let from = now.max(plan.schedule.start());
    let beyond = SignedDuration::from_secs_f64(plan.beyond_days.clamp(0.0, 30.0) * 86_400.0);
    let to = end.checked_add(beyond).unwrap_or(end);
    let days = to.duration_since(from).as_secs_f64() / 86_400.0;
    if days > LONGEST_DAYS {
        return Err(TimelineError::TooLong { days });
    }
    let moments: Vec<(Timestamp, Moment)> = plan.schedule.samples(from, to, STEP_MIN).collect();
    let sampled: Vec<(Sample, bool, bool, f64)> = moments
        .into_par_iter()
        .map(|(at, moment)| sample(plan, at, moment, waters, still))
        .collect();
    let mut line = Timeline {
        samples: Vec::with_capacity(sampled.len()),
        hour_later: Vec::with_capacity(sampled.len()),
        five_nmi_nearer: Vec::with_capacity(sampled.len()),
        load_plus_5_t_day: Vec::with_capacity(sampled.len()),
        clock: plan.schedule.clock().clone(),
    };
    for (sample, later, nearer, more) in sampled {
        line.samples.push(sample);
        line.hour_later.push(later);
        line.five_nmi_nearer.push(nearer);
        line.load_plus_5_t_day.push(more);
    }
    Ok(line)
}

fn sample(
    plan: &Plan<'_>,
    at: Timestamp,
    moment: Moment,
    waters: &dyn Waters,
    still: &dyn Still,
) -> (Sample, bool, bool, f64) {
    let date = jiff::tz::Offset::UTC.to_datetime(at).date();
    let sea = waters.at(moment.position, date);
    let load = match (moment.load, moment.phase) {
        (Some(load), _) => load.ratio(),
        (None, Phase::SeaPassage) => plan.sea_load,
        (None, _) => plan.harbour_load,
    };
    let hours = |from: Timestamp, to: Timestamp| to.duration_since(from).as_secs_f64() / 3600.0;
    let passage = plan.schedule.sea_passage_at(at);
    let here = Instant {
        at,
        phase: moment.phase,
        since_full_away_h: passage.map_or(0.0, |p| hours(p.full_away, at)),
        to_end_h: passage.map_or(0.0, |p| hours(at, p.end)),
        load,
        sea: &sea,
        position: moment.position,
    };
    let rule = plan.orders.forbids(&here);
    // A rule is relaxed only where it is the one that forbids: the others are asked again without it.
    let without = |change: &dyn Fn(&mut Orders)| {
        let mut orders = plan.orders.clone();
        change(&mut orders);
        orders.forbids(&here).is_none()
    };
    let later = match rule {
        None => true,
        Some(Rule::Notice) => without(&|orders| orders.notice_h = (orders.notice_h - 1.0).max(0.0)),
        Some(_) => false,
    };
    let nearer = match rule {
        None => true,
        Some(Rule::Distance { .. }) => without(&|orders| {
            let five = ocean::Distance::from_nmi(5.0);
            orders.distance_off = if orders.distance_off > five {
                orders.distance_off - five
            } else {
                ocean::Distance::ZERO
            };
        }),
        Some(_) => false,
    };
    let under_way = moment.is_under_way();
    let make =
        if under_way { still.makes(&sea, load) } else { Make { t_day: 0.0, sea_slope_per_k: 0.0 } };
    let more = if under_way { still.makes(&sea, load + 0.05).t_day } else { 0.0 };
    let mut cautions = if rule.is_none() { plan.orders.cautions(&sea) } else { Vec::new() };
    if under_way && sea.land && sea.distance_off.nmi() >= INLAND_NMI {
        cautions.push(Caution::OverLand);
    }
    let sample = Sample {
        at,
        moment,
        load,
        sea,
        cautions,
        rule,
        manned: plan.hands.at(plan.schedule.clock(), at),
        make,
        used: plan.demand.at(at, f64::from(STEP_MIN) / 60.0, moment.phase),
    };
    (sample, later, nearer, more)
}
