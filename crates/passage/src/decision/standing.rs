//! Orders that stand: given a while ago, they are kept unless others are better by more than changing them is worth.

use super::actions::{Asked, GO, RETRIM, STAY};
use super::policy::Policy;
use super::problem::{Problem, State};
use super::schedule::{Doing, Schedule};
use super::steps::Steps;
use super::tanks::{TankPlan, split};

/// The orders of an earlier plan, from the beginning of the plan to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    doing: Vec<Doing>,
    margin: f64,
    /// Whether it lasted with them when they were given.
    lasted: bool,
}

/// Most samples of orders that were written.
const MOST_SAMPLES: usize = 40_000;

/// A chance counted over so many passages is sure to two standard errors: one count in twenty is farther off.
const SURE: f64 = 2.0;

impl Standing {
    /// The orders of a policy of which so many samples have gone by. Others take their place where they save more than
    /// `margin`, in the problem's currency and 0 or more.
    #[must_use]
    pub fn of(policy: &Policy, gone: usize, margin: f64) -> Self {
        let doing = policy.doing.get(gone..).unwrap_or_default().to_vec();
        Self { doing, margin: margin.max(0.0), lasted: policy.lasts() }
    }

    /// The same from so many samples later on.
    #[must_use]
    pub fn onward(&self, gone: usize) -> Self {
        let doing = self.doing.get(gone..).unwrap_or_default().to_vec();
        Self { doing, margin: self.margin, lasted: self.lasted }
    }

    /// The orders as text, to be kept: what is done in each run of samples, and how many they are, as in "off 12 start 5 make0 96".
    #[must_use]
    pub fn written(&self) -> String {
        let word = |doing: Doing| match doing {
            Doing::Off => "off".to_owned(),
            Doing::Starting => "start".to_owned(),
            Doing::Making(trim) => format!("make{trim}"),
            Doing::Stopping => "stop".to_owned(),
        };
        let runs = self.doing.chunk_by(|a, b| a == b);
        let runs = runs.filter_map(|run| Some(format!("{} {}", word(*run.first()?), run.len())));
        runs.collect::<Vec<_>>().join(" ")
    }

    /// Orders as they were written, that lasted or did not when they were given; `margin` as in [`Standing::of`]. `None` where
    /// the text holds none.
    #[must_use]
    pub fn read(text: &str, lasted: bool, margin: f64) -> Option<Self> {
        let mut doing = Vec::new();
        let words: Vec<&str> = text.split_whitespace().collect();
        for pair in words.chunks(2) {
            let [word, count] = pair else { return None };
            let what = match *word {
                "off" => Doing::Off,
                "start" => Doing::Starting,
                "stop" => Doing::Stopping,
                _ => Doing::Making(word.strip_prefix("make")?.parse().ok()?),
            };
            let count = count.parse::<usize>().ok().filter(|n| doing.len() + n <= MOST_SAMPLES)?;
            doing.resize(doing.len() + count, what);
        }
        (!doing.is_empty()).then_some(Self { doing, margin: margin.max(0.0), lasted })
    }

    /// The chance of being under the reserve up to which these orders hold it, counted over so many passages: that which is
    /// borne, and where it held when they were given what the count may be off besides. Counted again a quarter of an hour
    /// later it is never quite the same.
    pub(super) fn borne(&self, alpha: f64, count: usize) -> f64 {
        let off = SURE * (alpha * (1.0 - alpha) / count.max(1) as f64).sqrt();
        if self.lasted { alpha + off } else { alpha }
    }
}

/// What became of orders that stood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stands {
    /// They are those of the plan made now.
    AsNow,
    /// They are kept: the plan made now would save so much and no more, in the problem's currency; less than 0 where it
    /// costs more should nothing scatter.
    Kept {
        /// What it would save.
        saves: f64,
        /// More would have changed them.
        margin: f64,
    },
    /// Others take their place.
    Changed(Changed),
}

/// Why orders no longer stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Changed {
    /// The plant does not do what they say.
    NotDone,
    /// From this sample on they may not be carried out.
    NotAllowed {
        /// The sample.
        at: usize,
    },
    /// Others save so much, in the problem's currency, and that is more than the margin.
    Saves {
        /// What they save.
        saves: f64,
        /// Less would have left them standing.
        margin: f64,
    },
    /// A tap would be short of so much more with them, t.
    Short(f64),
    /// The reserve would not hold with them: the greatest chance of being under it.
    Reserve(f64),
}

/// Standing orders that may be kept.
pub(super) struct Held {
    pub schedule: Schedule,
    pub tanks: Option<TankPlan>,
    /// Stock when each sample is reached, t, if nothing scatters.
    pub stock_t: Vec<f64>,
    /// What the new plan would save, and what more of it would have changed them.
    pub saves: f64,
    pub margin: f64,
}

/// Part of what the new plan costs under which its saving is no reason to line up for other orders (ours): many plans cost nearly the
/// same, and one round more tips between them.
const PART: f64 = 0.1;

/// More missing at a tap than this is no rounding, t.
const MISSING_T: f64 = 0.05;

impl Standing {
    /// Held against a new plan: whether it may be kept.
    pub(super) fn weigh(
        &self,
        problem: &Problem,
        steps: &Steps,
        price: f64,
        (new, new_tanks): (&Schedule, Option<&TankPlan>),
    ) -> Result<Held, Changed> {
        let mut doing = self.doing.clone();
        // A passage that ends later goes on as its last orders leave the plant.
        let last = doing.last().copied().unwrap_or(Doing::Off);
        doing.resize(steps.n, if last == Doing::Starting { Doing::Off } else { last });
        may_be(problem, steps, &doing)?;
        let schedule = Schedule { doing, taken_t: new.taken_t.clone() };
        let cost = |schedule: &Schedule| schedule.run(problem, steps, price, true);
        let (now, stood) = (cost(new), cost(&schedule));
        let saves = stood.cost - now.cost;
        let margin = self.margin.max(PART * now.cost);
        if saves > margin {
            return Err(Changed::Saves { saves, margin });
        }
        let tanks = split(problem, steps, &schedule.doing, &stood.taken_t);
        let missing = |tanks: &TankPlan| tanks.short.iter().map(|short| short.tonnes).sum::<f64>();
        let more = tanks.as_ref().map_or(0.0, missing) - new_tanks.map_or(0.0, missing);
        if more > MISSING_T {
            return Err(Changed::Short(more));
        }
        Ok(Held { schedule, tanks, stock_t: stood.stock_t, saves, margin })
    }
}

/// Whether a schedule may be carried out from the plant's state on.
fn may_be(problem: &Problem, steps: &Steps, doing: &[Doing]) -> Result<(), Changed> {
    let trims = steps.trims.len();
    let run = |k: usize, what: Doing| doing[k..].iter().take_while(|d| **d == what).count();
    let mut before = problem.state;
    let mut k = 0;
    while let Some(now) = doing.get(k).copied() {
        let wrong = if k == 0 { Changed::NotDone } else { Changed::NotAllowed { at: k } };
        let not_allowed = Changed::NotAllowed { at: k };
        match (before, now) {
            (State::Off | State::Stopping { left: 0 }, Doing::Off) => {
                before = State::Off;
                k += 1;
            }
            (State::Off | State::Stopping { left: 0 }, Doing::Starting) => {
                if !(steps.may_start[k] && steps.hands_start[k]) {
                    return Err(not_allowed);
                }
                before = State::Starting { left: steps.start };
            }
            (State::Starting { left }, Doing::Starting) if run(k, now) == left => {
                before = State::Starting { left: 0 };
                k += left;
            }
            (State::Starting { left: 0 } | State::Making { .. }, Doing::Making(trim)) => {
                let other = matches!(before, State::Making { trim: was } if was != trim);
                // With which trim the plant makes water when the plan begins is not known so exactly.
                let hands = !other || k == 0 || steps.manned[k];
                if !(steps.allowed[k] && hands && trim < trims) {
                    return Err(not_allowed);
                }
                before = State::Making { trim };
                k += 1;
            }
            (State::Making { .. }, Doing::Stopping) => {
                before = State::Stopping { left: steps.stop };
            }
            (State::Stopping { left }, Doing::Stopping) => {
                let steps_left = left.min(doing.len() - k);
                if run(k, now) < steps_left {
                    return Err(wrong);
                }
                before = State::Stopping { left: 0 };
                k += steps_left;
            }
            _ => return Err(wrong),
        }
    }
    Ok(())
}

/// A ship so near to the stock that is foreseen does as ordered (ours): so many tonnes, so many standard deviations of what is
/// aboard at the beginning, and where she has more, this part of what is foreseen. By less nobody gives other orders.
const NEAR_T: f64 = 0.5;
const NEAR_SD: f64 = 2.0;
const NEAR_PART: f64 = 0.06;

/// Orders that are given where a policy would do otherwise if nothing scattered. A ship that has less than is foreseen is not
/// held back by them, and one that has more is not driven: she does as the policy says.
pub(super) struct Ordered {
    doing: Vec<Doing>,
    apart: Vec<Apart>,
    stock_t: Vec<f64>,
    near_t: f64,
}

/// How an order differs from what the policy would do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Apart {
    /// Not at all.
    No,
    /// It goes on with what was ordered before.
    GoesOn,
    /// It is a start, or a run begun with one while the policy would not make.
    Starts,
    /// It is a stop, or she is off after one while the policy would make.
    Stops,
}

impl Ordered {
    /// Those of a schedule that differ from what the policy would do.
    pub fn new(held: &Held, policy: &Schedule, stock_sd_t: f64) -> Self {
        let near_t = NEAR_T.max(NEAR_SD * stock_sd_t);
        let doing = held.schedule.doing.clone();
        let mut before = Apart::No;
        let apart = doing.iter().zip(&policy.doing).map(|(ordered, own)| {
            before = match (ordered, before) {
                _ if ordered == own => Apart::No,
                (Doing::Starting, _) => Apart::Starts,
                (Doing::Stopping, _) => Apart::Stops,
                (Doing::Making(_), Apart::Starts) | (Doing::Off, Apart::Stops) => before,
                _ => Apart::GoesOn,
            };
            before
        });
        let mut apart: Vec<Apart> = apart.collect();
        // Until they part for the last time the orders are those that are carried out, where the policy agrees with them too.
        let last = apart.iter().rposition(|apart| *apart != Apart::No).unwrap_or(0);
        apart[..last].iter_mut().filter(|a| **a == Apart::No).for_each(|a| *a = Apart::GoesOn);
        Self { apart, doing, stock_t: held.stock_t.clone(), near_t }
    }

    /// What is done at a sample by order; `None` where the policy is asked. Nobody starts but where a start is ordered, nor
    /// stops but where a stop is: a ship that had less and began before the others is not stopped because she has more now.
    pub fn act(&self, k: usize, asked: Asked, stock_t: f64) -> Option<u8> {
        let apart = *self.apart.get(k)?;
        if apart == Apart::No {
            return None;
        }
        let foreseen_t = *self.stock_t.get(k)?;
        let more = stock_t - foreseen_t;
        let driven = more <= self.near_t.max(NEAR_PART * foreseen_t);
        let held_back = more >= -self.near_t;
        let (act, may) = match (asked, *self.doing.get(k)?) {
            (Asked::Off, Doing::Starting | Doing::Making(_)) => {
                (GO, driven && apart == Apart::Starts)
            }
            (Asked::Off, _) => (STAY, held_back),
            (Asked::Ready, Doing::Making(trim)) => (trim as u8, true),
            (Asked::Ready, _) => return None,
            (Asked::Manned(trim), Doing::Making(ordered)) if trim != ordered => {
                (RETRIM + ordered as u8, driven && held_back)
            }
            (_, Doing::Making(_) | Doing::Starting) => (STAY, driven),
            (_, Doing::Off | Doing::Stopping) => (GO, held_back && apart == Apart::Stops),
        };
        may.then_some(act)
    }
}
