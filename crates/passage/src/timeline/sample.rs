//! The samples of a passage, from now until the first days after the next chance to make water beyond arrival.

use std::fmt;

use jiff::{SignedDuration, Timestamp};
use ocean::Distance;
use rayon::prelude::*;
use route::{Clock, Moment, Phase, Schedule};

use super::between::{Between, Crossing, Spot};
use super::demand::{Demand, Use};
use super::rule::{Caution, Instant, Orders, Rule};
use super::sea::{Make, Near, Sea, Still, Waters};

/// Minutes between samples.
pub const STEP_MIN: u32 = 15;

/// The longest time planned, days.
pub const LONGEST_DAYS: f64 = 120.0;

/// In harbours, rivers and canals a track is over land for certain only so far behind the coast.
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
    /// Sea temperatures known better than the data know them: leg, counted from 0, and °C.
    pub sea_temps: &'a [(usize, f64)],
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
    /// What the plant makes there with full heat; where water is for the distilled tank only, no more than is used of it.
    pub make: Make,
    /// Whether water made there is for the distilled tank only.
    pub distilled_only: bool,
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
    /// Where the track passes the distance ordered on sea passage, in time.
    pub crossings: Vec<Crossing>,
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
                "the route ended {}, now it is {}: give the next passage's route, or mend its dates",
                end.strftime("%-d %b %Y %H:%M UTC"),
                now.strftime("%-d %b %Y %H:%M UTC")
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
    let seas: Vec<Sea> = moments
        .par_iter()
        .map(|(at, moment)| {
            let date = jiff::tz::Offset::UTC.to_datetime(*at).date();
            let told = plan.sea_temps.iter().find(|(leg, _)| Some(*leg) == moment.leg);
            let sea = waters.at(moment.position, date);
            told.map_or(sea, |(_, temp_c)| sea.told(*temp_c))
        })
        .collect();
    let sampled: Vec<Sampled> = (0..moments.len())
        .into_par_iter()
        .map(|k| sample(plan, (&moments, &seas, k), waters, still))
        .collect();
    let mut line = Timeline {
        samples: Vec::with_capacity(sampled.len()),
        hour_later: Vec::with_capacity(sampled.len()),
        five_nmi_nearer: Vec::with_capacity(sampled.len()),
        load_plus_5_t_day: Vec::with_capacity(sampled.len()),
        crossings: Vec::new(),
        clock: plan.schedule.clock().clone(),
    };
    for mut next in sampled {
        if let Some(last) = line.samples.last() {
            next.sample.same_land(last);
        }
        line.samples.push(next.sample);
        line.hour_later.push(next.hour_later);
        line.five_nmi_nearer.push(next.five_nmi_nearer);
        line.load_plus_5_t_day.push(next.load_plus_5_t_day);
        line.crossings.extend(next.crossings);
    }
    Ok(line)
}

impl Sample {
    /// A leg that runs on over land is told with the place where it comes to it.
    fn same_land(&mut self, last: &Sample) {
        let over = |sample: &Sample| {
            sample.cautions.iter().find_map(|caution| match caution {
                Caution::OverLand { leg, position } => Some((*leg, *position)),
                _ => None,
            })
        };
        let Some(before) = over(last) else { return };
        for caution in &mut self.cautions {
            if let Caution::OverLand { leg, position } = caution
                && *leg == before.0
            {
                *position = before.1;
            }
        }
    }
}

/// A sample with the same under relaxed rules, and where the distance ordered is passed before the next.
struct Sampled {
    sample: Sample,
    hour_later: bool,
    five_nmi_nearer: bool,
    load_plus_5_t_day: f64,
    crossings: Vec<Crossing>,
}

fn sample(
    plan: &Plan<'_>,
    (moments, seas, k): (&[(Timestamp, Moment)], &[Sea], usize),
    waters: &dyn Waters,
    still: &dyn Still,
) -> Sampled {
    let ((at, moment), sea) = (moments[k], seas[k]);
    let load = match (moment.load, moment.phase) {
        (Some(load), _) => load.ratio(),
        (None, Phase::SeaPassage) => plan.sea_load,
        (None, _) => plan.harbour_load,
    };
    let hours = |from: Timestamp, to: Timestamp| to.duration_since(from).as_secs_f64() / 3600.0;
    let passage = plan.schedule.sea_passage_at(at);
    let spot = |k: usize| {
        let (at, moment) = &moments[k];
        Spot::of(*at, moment, Near { off: seas[k].distance_off, coast: seas[k].coast_off })
    };
    // In harbours and rivers the coast as it is kept is no guide: only the sea passage is looked at.
    let at_sea = moment.phase == Phase::SeaPassage && k + 1 < moments.len();
    let between =
        at_sea.then(|| Between { schedule: plan.schedule, waters, from: spot(k), to: spot(k + 1) });
    let (off, crossings) = between.as_ref().map_or((sea.distance_off, Vec::new()), |between| {
        between.nearest(plan.orders.distance_off)
    });
    let inland = sea.land && (at_sea || sea.coast_off.nmi() >= INLAND_NMI);
    let ashore = (moment.is_under_way() && inland)
        .then_some((at, moment.position))
        .or_else(|| between.as_ref()?.ashore());
    let here = Instant {
        at,
        phase: moment.phase,
        since_full_away_h: passage.map_or(0.0, |p| hours(p.full_away, at)),
        to_end_h: passage.map_or(0.0, |p| hours(at, p.end)),
        load,
        sea: &sea,
        land: ashore.is_some(),
        off,
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
        Some(Rule::Distance { .. }) => {
            let five = Distance::from_nmi(5.0);
            let ordered = plan.orders.distance_off;
            let least = if ordered > five { ordered - five } else { Distance::ZERO };
            let is_under = between.as_ref().map_or(off < least, |between| between.is_under(least));
            // Whether it is ever nearer has been looked at: the other rules are asked without this one.
            !is_under && without(&|orders| orders.distance_off = Distance::ZERO)
        }
        Some(_) => false,
    };
    let under_way = moment.is_under_way();
    let used = plan.demand.at(at, f64::from(STEP_MIN) / 60.0, moment.phase);
    let distilled_only = rule.is_none() && plan.orders.distilled_only(moment.position).is_some();
    let most = if distilled_only { used.technical } else { f64::INFINITY };
    let made = |load: f64| match under_way {
        true => still.makes(&sea, load).no_more_than(most),
        false => Make { t_day: 0.0, sea_slope_per_k: 0.0 },
    };
    let (make, more) = (made(load), made(load + 0.05).t_day);
    let mut cautions = if rule.is_none() { plan.orders.cautions(&sea) } else { Vec::new() };
    if distilled_only {
        cautions.push(Caution::DistilledOnly);
    }
    // Canals, rivers and harbours are land to a coast of this scale, and no water is made there.
    if let Some((at, position)) = ashore
        && let Moment { leg: Some(leg), phase: Phase::SeaPassage, .. } = plan.schedule.at(at)
    {
        cautions.push(Caution::OverLand { leg, position });
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
        distilled_only,
        used,
    };
    Sampled {
        sample,
        hour_later: later,
        five_nmi_nearer: nearer,
        load_plus_5_t_day: more,
        crossings,
    }
}
