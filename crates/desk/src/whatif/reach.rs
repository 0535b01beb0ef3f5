//! "What would it take to make this much today?": each lever by itself, solved backwards.

use plant::keys::{self, Part};
use plant::{Banding, Infeasible, Lever, Limit, LimitKind, Point, Reach, Sheet, Solution, Value};
use rayon::prelude::*;

use super::Answer;
use super::asked::{Knob, Latest, knobs};
use super::holds::position;
use crate::balance::needed_kw;
use crate::expected;
use crate::figure::{Beside, figure};
use crate::setup::Setup;

/// What one lever can do.
#[derive(Debug, Clone, PartialEq)]
pub struct Reached {
    /// The lever.
    pub lever: Lever,
    /// What is done, as an engineer says it.
    pub label: &'static str,
    /// Symbol of the unit of the two values.
    pub unit: &'static str,
    /// Where it stands, as text.
    pub now: String,
    /// Where it would have to be, or where it does most, as text; none when there is nothing to move.
    pub then: Option<String>,
    /// Output then, t/day.
    pub makes_t_day: Option<f64>,
    /// Heat taken then, kW.
    pub takes_kw: Option<f64>,
    /// Whether it gets there.
    pub gets_there: bool,
    /// In words: how, or why not.
    pub word: String,
}

/// All levers for one wanted output.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Output wanted, t/day.
    pub wanted_t_day: f64,
    /// What she makes of a clean plant's output, by her last readings; 1 where these say nothing.
    pub share: f64,
    /// What she would make as the conditions stand, t/day.
    pub stands_t_day: Option<f64>,
    /// Why it should not be tried at all, where it is over what the maker allows.
    pub over_maximum: Option<String>,
    /// Each lever.
    pub levers: Vec<Reached>,
}

/// Outputs that are the same to an engineer, as a share.
const SAME: f64 = 0.01;
/// Shares of a clean plant's output that can be believed; beyond, a reading is wrong.
const SHARES: (f64, f64) = (0.2, 1.05);
/// Under this share something is lost to a cause that this page is not asked about.
const SOUND: f64 = 0.98;

/// What she makes of what a clean plant would in the conditions of her last readings.
#[must_use]
pub fn share(setup: &Setup, banding: &Banding<'_>, latest: &Latest) -> Option<f64> {
    let clean = expected::expect(setup, banding, &latest.figures).ok()?.product_t_day.middle;
    let share = latest.made_t_day? / clean;
    (SHARES.0..=SHARES.1).contains(&share).then_some(share)
}

/// Solves for a wanted output over every lever, for a plant that makes `share` of a clean one's output. The engine's
/// set point is not among them.
#[must_use]
pub fn wanted(setup: &Setup, answer: &Answer, wanted_t_day: f64, share: f64) -> Wanted {
    let most = setup.plant.sheet().product_max_t_day;
    let stands_t_day = answer.made.as_ref().ok().map(|made| made.product_t_day.middle * share);
    let over_maximum = (wanted_t_day > most)
        .then(|| format!("The maker’s maximum is {most} t/day: the plant is never run above it, so no lever gets there."));
    let apart = |stands: f64| (wanted_t_day / stands - 1.0).abs();
    let levers = if stands_t_day.is_some_and(|stands| apart(stands) < SAME) {
        Vec::new()
    } else {
        let asked = Backwards { setup, answer, knobs: knobs(&setup.plant), wanted_t_day, share };
        Lever::ALL
            .par_iter()
            .filter(|lever| **lever != Lever::EngineLoad || answer.point.engine_load.is_some())
            .map(|lever| asked.one(*lever, stands_t_day.is_some_and(|x| wanted_t_day < x)))
            .collect()
    };
    Wanted { wanted_t_day, share, stands_t_day, over_maximum, levers }
}

/// What is asked of every lever.
struct Backwards<'a> {
    setup: &'a Setup,
    answer: &'a Answer,
    knobs: Vec<Knob>,
    wanted_t_day: f64,
    share: f64,
}

impl Backwards<'_> {
    /// One lever by itself; `less` is asked when she makes more than is wanted.
    fn one(&self, lever: Lever, less: bool) -> Reached {
        let Backwards { setup, answer, knobs, wanted_t_day, share } = self;
        let knob = knobs.iter().find(|k| k.key.key == lever.key());
        let text = |x: f64| match (lever, knob) {
            (Lever::Scale | Lever::Fouling, _) => format!("{:.1}", x * 1.0e5),
            (_, Some(knob)) => quantity::show_number(x, quantity::Precision::Decimals(knob.digits)),
            (_, None) => format!("{x:.2}"),
        };
        let unit = match (lever, knob) {
            (Lever::Scale | Lever::Fouling, _) => "10⁻⁵ m²K/W",
            (_, Some(knob)) => knob.unit().symbol(),
            (_, None) => "",
        };
        let stands = stands(setup, &answer.point, lever);
        let cleans = matches!(lever, Lever::Scale | Lever::Fouling | Lever::AirLeak);
        let blank = |word: String| Reached {
            lever,
            label: lever.label(),
            unit,
            now: text(stands),
            then: None,
            makes_t_day: None,
            takes_kw: None,
            gets_there: false,
            word,
        };
        let moved = |value: f64, solution: &Solution| {
            let makes_t_day = solution.product_t_day * share;
            Reached {
                then: Some(text(value)),
                makes_t_day: Some(makes_t_day),
                takes_kw: Some(needed_kw(solution, makes_t_day)),
                ..blank(String::new())
            }
        };
        if cleans && stands <= 1.0e-9 {
            let word = if *share < SOUND {
                "taken as clean here: what is lost to it stands on the page Findings"
            } else {
                "nothing there to take away"
            };
            return blank(word.into());
        }
        if less && (cleans || lever == Lever::EngineLoad) {
            return blank("no way to make less: open the by-pass".into());
        }
        let reach = setup.plant.solve_for(&answer.point, wanted_t_day / share, lever);
        if let Ok(Reach::At { value, solution } | Reach::Best { value, solution, .. }) = &reach
            && let Some(why) = against(lever, stands, *value, solution)
        {
            return blank(why);
        }
        match reach {
            Ok(Reach::At { value, solution }) => Reached {
                gets_there: true,
                word: at(setup, lever, value),
                ..moved(value, &solution)
            },
            Ok(Reach::Best { value, solution, held_by }) => Reached {
                word: best(
                    (solution.product_t_day * share, *wanted_t_day),
                    value - stands,
                    held_by,
                ),
                ..moved(value, &solution)
            },
            Err(why) => blank(refused(&why)),
        }
    }
}

/// Why a lever is not to be moved there, whatever it would gain.
fn against(lever: Lever, stands: f64, value: f64, solution: &Solution) -> Option<String> {
    let less = value < stands * (1.0 - 1.0e-6);
    match lever {
        Lever::Feed if less => {
            return Some("not advised: feed is never taken away while the heater is hot".into());
        }
        Lever::EjectorPressure if less => {
            return Some(
                "not advised: the ejector is never starved while the heater is hot".into(),
            );
        }
        _ => {}
    }
    let past = |l: &&Limit| l.limit.is_finite() && l.room < -1.0e-6 * l.limit.abs();
    let limit = solution.limits.iter().find(past)?;
    Some(format!(
        "not advised: it would be past a limit, {}",
        crate::typed::lower_first(limit.kind.label())
    ))
}

fn stands(setup: &Setup, point: &Point, lever: Lever) -> f64 {
    match point.get(lever.key()) {
        Ok(Value::Number(x)) => x,
        _ => setup.plant.sheet().rated_feed_ratio,
    }
}

fn at(setup: &Setup, lever: Lever, value: f64) -> String {
    let positions = &setup.ship.positions;
    let mark = match lever {
        Lever::JacketFlow => position(&positions.bypass, value),
        Lever::CondenserFlow => position(&positions.throttle, value),
        _ => None,
    };
    mark.map_or_else(|| "gets there".to_owned(), |p| format!("gets there, {p:.0} % open"))
}

fn best((makes, wanted): (f64, f64), moved: f64, held_by: Option<LimitKind>) -> String {
    let near = if makes < wanted { "as far as it goes up" } else { "as far as it goes down" };
    match held_by {
        Some(kind) => format!("{near}; held by: {}", crate::typed::lower_first(kind.label())),
        None if moved == 0.0 => "nothing more comes of it: it is not what limits her".to_owned(),
        None => format!("{near}: it is at its end"),
    }
}

fn refused(why: &Infeasible) -> String {
    format!("cannot be worked out: {why}")
}

/// Reads a wanted output of this plant, t/day.
///
/// # Errors
/// Not a figure, or outside what any plant of this kind makes; says what is allowed.
pub fn read_wanted(text: &str, sheet: &Sheet) -> Result<f64, String> {
    let value = figure(text, "product_t_day", quantity::Unit::TDay, &Beside::rated(sheet))?;
    // The range a rated output may have.
    let (low, high) =
        keys::find(Part::Sheet, "rated_product_t_day").map_or((0.1, 500.0), |k| k.hard);
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(format!("Read {value} t/day, allowed {low} to {high}."))
    }
}
