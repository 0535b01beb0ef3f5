//! The whole answer to a problem, as it is interchanged.

use std::borrow::Cow;
use std::collections::BTreeMap;

use serde::Serialize;

use super::below;
use super::ladder::{Climb, Ladder};
use super::plan::{Plan, plan_at};
use super::policy::{Climbed, Draws, Policy, Rung};
use super::problem::Problem;
use super::repair::{Mended, mended};
use super::simulate::Bands;
use super::standing::{Changed, Ordered, Standing, Stands};
use super::steps::Steps;
use super::tanks::{TankBands, TankOrder, TankPlan};
use super::told::sentence;
use super::unreached::steps_within_reach;
use super::world::Voyage;
use super::worth::{Worth, binding, worth};

/// Plan, policy, bands, worth and tanks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// As if nothing scattered.
    pub plan: Plan,
    /// As the world turns out.
    pub policy: Policy,
    /// Stock by place.
    pub bands: Bands,
    /// What one thing relaxed is worth.
    pub worth: BTreeMap<&'static str, f64>,
    /// The sentence over the plan.
    pub binding: String,
    /// What binds, the most first.
    pub binds: Vec<Worth>,
    /// Sample and what is done at the tanks.
    pub tanks: Vec<(usize, TankOrder)>,
    /// The tanks through the passage.
    #[serde(skip)]
    pub tank_plan: Option<TankPlan>,
    /// The policy mended for a class of water that would have been short, to which `tanks` belongs.
    pub mended: Option<Policy>,
    /// Rounds in which it was mended.
    pub repair_rounds: usize,
    /// What a reader should know of the problem itself.
    pub notes: Vec<String>,
}

/// What has to be known at once: the plan to go by, its bands and the tanks. The rest takes several plans more.
#[derive(Debug, Clone, PartialEq)]
pub struct Brief {
    /// The plan to go by, as the world turns out: mended where a class of water would have been short, and planned at one
    /// more rung than the ladder has where the reserve holds only there.
    pub policy: Policy,
    /// Stock by place.
    pub bands: Bands,
    /// Sample and what is done at the tanks.
    pub tanks: Vec<(usize, TankOrder)>,
    /// The tanks through the passage.
    pub tank_plan: Option<TankPlan>,
    /// What each of them holds on eight passages in ten.
    pub tank_bands: Option<TankBands>,
    /// The plan for the tanks taken together, where it had to be mended or orders that stood are kept.
    pub together: Option<Policy>,
    /// Rounds in which it was mended.
    pub repair_rounds: usize,
    /// What became of the orders that stood, where there were some.
    pub stands: Option<Stands>,
    /// What a reader should know of the problem itself.
    pub notes: Vec<String>,
}

impl Brief {
    /// The plan for the tanks taken together: what one thing relaxed is worth is reckoned from it.
    #[must_use]
    pub fn together(&self) -> &Policy {
        self.together.as_ref().unwrap_or(&self.policy)
    }
}

/// Answers a problem as far as has to be known at once.
#[must_use]
pub fn brief(problem: &Problem, draws: Draws) -> Brief {
    brief_after(problem, draws, &Before::default())
}

/// What is known of much the same passage, planned a while ago.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Before {
    /// The price of being under the reserve at which it was planned: the plan is looked for there first.
    pub price: Option<f64>,
    /// The orders that stand.
    pub standing: Option<Standing>,
}

/// The same after another plan: sooner, and with its orders where they stand.
#[must_use]
pub fn brief_after(problem: &Problem, draws: Draws, before: &Before) -> Brief {
    let steps = steps_within_reach(problem, draws);
    let climb = before.price.map_or(Climb::Afresh, Climb::From);
    let rung = Ladder::new(problem, &steps, draws, climb).three_and_one();
    let found = mended(problem, &steps, rung);
    let mut notes = all_notes(problem, &steps, &found);
    if let Some(chance) = found.rung.cheaper_chance {
        notes.push(format!(
            "Here the reserve is put before the cost: the plan that pays best would be under it about {:.0} times in a hundred.",
            100.0 * chance
        ));
    }
    let stood = before.standing.as_ref().map(|s| stood(problem, &steps, draws, (&found, s)));
    let (stands, kept) = stood.map_or((None, None), |(stands, kept)| (Some(stands), kept));
    let (kept, kept_tanks) = kept.map_or((None, None), |(rung, tanks)| (Some(rung), Some(tanks)));
    let other = kept.or_else(|| found.judged(problem, &steps, draws));
    let (mut rung, together) = match other {
        // Of the plan for the tanks together nothing is asked that hangs on more passages.
        Some(other) => (other, Some(found.rung.told())),
        None => (found.rung.shown(), None),
    };
    let kept = matches!(stands, Some(Stands::AsNow | Stands::Kept { .. }));
    let standing = before.standing.as_ref().filter(|_| kept && !rung.policy.holds);
    if let Some(standing) = standing {
        rung.policy.holds =
            rung.policy.worst_chance <= standing.borne(problem.noise.alpha, draws.count);
        notes.extend(rung.policy.holds.then(|| {
            format!(
                "With the orders that stand she is under the reserve {:.1} times in a hundred, counted over {} passages: {:.0} as when they were given, within what so many can tell.",
                100.0 * rung.policy.worst_chance,
                draws.count,
                100.0 * problem.noise.alpha
            )
        }));
    }
    let tank_plan = kept_tanks.unwrap_or(found.tanks);
    Brief {
        policy: rung.policy,
        bands: rung.bands,
        tank_bands: rung.tank_bands,
        tanks: tank_plan.as_ref().map(|t| t.orders.clone()).unwrap_or_default(),
        tank_plan,
        together,
        repair_rounds: found.rounds,
        stands,
        notes,
    }
}

/// What becomes of orders that stood; where they are kept and are not those of the new plan, with all their passages, and
/// split over the tanks.
fn stood(
    problem: &Problem,
    steps: &Steps,
    draws: Draws,
    (found, standing): (&Mended<'_>, &Standing),
) -> (Stands, Option<(Rung, Option<TankPlan>)>) {
    let price = found.rung.price;
    let solution = found.mended.as_deref().unwrap_or(&found.rung.solution);
    let new = Voyage::new(problem, steps, solution, price).calm();
    let held = match standing.weigh(problem, steps, price, (&new, found.tanks.as_ref())) {
        Ok(held) if held.schedule.doing == new.doing => return (Stands::AsNow, None),
        Ok(held) => held,
        Err(changed) => return (Stands::Changed(changed), None),
    };
    let ordered = Some(Ordered::new(&held, &new, problem.stock_sd_t));
    let kept = Climbed::under(
        problem,
        steps,
        Cow::Borrowed(solution),
        price,
        (draws, draws.count),
        (held.schedule, ordered),
    );
    let kept = found.named(kept);
    let borne = standing.borne(problem.noise.alpha, draws.count);
    if kept.policy.worst_chance > borne || kept.policy.leaves_short() {
        let own = found.judged(problem, steps, draws);
        let own_holds = own.map_or_else(|| found.rung.lasts_so_far(), |own| own.policy.lasts());
        if own_holds {
            return (Stands::Changed(Changed::Reserve(kept.policy.worst_chance)), None);
        }
    }
    (Stands::Kept { saves: held.saves, margin: held.margin }, Some((kept, held.tanks)))
}

fn all_notes(problem: &Problem, steps: &Steps, found: &Mended<'_>) -> Vec<String> {
    let mut notes = notes(problem, steps);
    notes.extend(below::reserve(problem, &found.rung.calm.stock_t));
    notes.extend(below::perhaps(problem, steps, &found.rung.calm.stock_t));
    notes.extend(found.tanks.iter().filter_map(|t| t.note.clone()));
    notes
}

/// Answers a problem; the deterministic plan on cells of `cell` tonnes.
#[must_use]
pub fn answer(problem: &Problem, cell: f64, draws: Draws) -> Answer {
    let steps = steps_within_reach(problem, draws);
    let (plan, found) = rayon::join(
        || plan_at(problem, &steps, cell, problem.costs.below_reserve_t_day),
        || {
            let rung = Ladder::new(problem, &steps, draws, Climb::Afresh).three();
            mended(problem, &steps, rung)
        },
    );
    let notes = all_notes(problem, &steps, &found);
    let judged = found.judged(problem, &steps, draws);
    let Rung { policy, bands, .. } = found.rung.shown();
    let relaxed = worth(problem, &policy);
    let binds = binding(&relaxed, policy.expected_cost);
    Answer {
        binding: sentence(problem, &policy, &binds),
        worth: relaxed.iter().map(|w| (w.relax.key(), w.worth)).collect(),
        binds,
        notes,
        bands,
        tanks: found.tanks.as_ref().map(|t| t.orders.clone()).unwrap_or_default(),
        tank_plan: found.tanks,
        mended: judged.map(|mended| mended.policy),
        repair_rounds: found.rounds,
        plan,
        policy,
    }
}

/// What the problem's own figures leave to be said.
pub(super) fn notes(problem: &Problem, steps: &Steps) -> Vec<String> {
    let s = &problem.samples;
    let mut notes = Vec::new();
    if let Some(ceiling) = s.ceiling_t.first().filter(|c| problem.stock_t > **c) {
        notes.push(format!(
            "{:.1} t aboard is more than the {ceiling:.1} t that may be: the rest is lost at once. Look at the tanks, and at the orders on what may be aboard.",
            problem.stock_t
        ));
    }
    notes.extend(below::dead_stock(problem));
    let lowered = s.reserve_t.iter().zip(&s.ceiling_t).filter(|(r, c)| r > c).count();
    if lowered > 0 {
        notes.push(format!(
            "In {lowered} samples the tanks may not hold the reserve: it is lowered to what they may."
        ));
    }
    let short = too_short(steps);
    if short > 0 {
        notes.push(format!(
            "{} too short to start in: the start alone takes {:.0} min.",
            match short {
                1 => "One stretch where water may be made is".to_owned(),
                more => format!("{more} stretches where water may be made are"),
            },
            problem.step_min * steps.start as f64
        ));
    }
    if s.use_t_day.iter().all(|u| *u <= 0.0) {
        notes.push("Nothing is used on this passage: look at the people aboard and at the use a day. Days in hand cannot be told so.".into());
    }
    // Where no rule allows any it is not the plant that fails.
    if s.allowed.iter().any(|allowed| *allowed) && s.make_t_day.iter().all(|m| *m <= 0.0) {
        notes.push("The plant makes nothing anywhere on this passage: check the output.".into());
    }
    notes
}

/// Stretches of allowed samples in which no start can be made.
fn too_short(steps: &Steps) -> usize {
    steps.allowed.chunk_by(|a, b| a == b).filter(|run| run[0] && run.len() <= steps.start).count()
}
