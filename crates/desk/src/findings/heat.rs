//! The heat that went in, held against the water that the counter tells: where they part, the counter is read again first.

use crate::round::{Round, made};

use super::fresh::From;

/// Rounds before a break from which the water of a kelvin is taken.
const BEFORE: usize = 6;
/// So much of the water that the heat is enough for, and so many t/day, is missing before anything is said (ours).
const MISSING: (f64, f64) = (0.15, 1.5);
/// The jacket's kelvin grow by so much more of themselves than the sea's before less jacket water is told: a degree on either side is a tenth.
const APART: f64 = 0.25;
/// A side that falls or rises by less gives no figure, K.
const LEAST_K: f64 = 2.0;
/// By-pass or throttle moved by more changes the water of a kelvin, %.
const MOVED_PERCENT: f64 = 2.0;

/// A side on which heat is read by two thermometers: the jacket water's fall, and the sea water's rise.
#[derive(Clone, Copy)]
enum Side {
    Jacket,
    Sea,
}

impl Side {
    /// Kelvin between its thermometers in a round.
    fn kelvin(self, round: &Round) -> Option<f64> {
        let (warm, cold) = match self {
            Side::Jacket => ("jacket_in_c", "jacket_out_c"),
            Side::Sea => ("sea_out_c", "sea_temp_c"),
        };
        Some(round.value(warm)? - round.value(cold)?)
    }
}

/// Made and the kelvin of one side in a round, t/day and K; none where either was not read.
fn heat(from: &From<'_>, place: usize, side: Side) -> Option<(f64, f64)> {
    let round = &from.rounds[place];
    let most = from.setup.ship.sheet.product_max_t_day;
    let made = made(&from.rounds[..place], &round.figures(), round.at, most, from.switches)?;
    let kelvin = side.kelvin(round)?;
    (kelvin >= LEAST_K).then_some((made.t_day, kelvin))
}

/// What one side's heat is enough for in the newest round.
struct Enough {
    made_t_day: f64,
    t_day: f64,
    kelvin: f64,
    before_k: f64,
}

impl Enough {
    /// By the rounds before a place, marks alike; none where there are none.
    fn of(from: &From<'_>, place: usize, side: Side) -> Option<Self> {
        let last = &from.rounds[from.last];
        let (made_t_day, kelvin) = heat(from, from.last, side)?;
        let before: Vec<(f64, f64)> = (0..place)
            .rev()
            .filter(|place| from.rounds[*place].counts() && set_alike(&from.rounds[*place], last))
            .filter_map(|place| heat(from, place, side))
            .take(BEFORE)
            .collect();
        let (water, kelvins) =
            before.iter().fold((0.0, 0.0), |(water, all), (w, k)| (water + w, all + k));
        let before_k = kelvins / before.len() as f64;
        (kelvins > 0.0).then_some(Self {
            made_t_day,
            t_day: kelvin * water / kelvins,
            kelvin,
            before_k,
        })
    }

    /// Its kelvin as a part of those before.
    fn part(&self) -> f64 {
        self.kelvin / self.before_k
    }

    /// Whether it is enough for more than the counter tells.
    fn tells_more(&self) -> bool {
        self.t_day - self.made_t_day > (MISSING.0 * self.t_day).max(MISSING.1)
    }
}

fn set_alike(a: &Round, b: &Round) -> bool {
    ["bypass_percent", "condenser_throttle_percent"].iter().all(|key| {
        match (a.value(key), b.value(key)) {
            (Some(a), Some(b)) => (a - b).abs() <= MOVED_PERCENT,
            _ => true,
        }
    })
}

/// What the heat says of the newest round, where by the fall of the jacket water more was made than the counter shows: a sentence; none
/// where heat and counter agree, or where by-pass or throttle was moved. A plant that makes less takes less heat (energy balance); where the
/// sea water took less too, the counter is right and it is the jacket water's flow, or its thermometers.
pub(super) fn against_counter(from: &From<'_>, place: usize) -> Option<String> {
    let jacket = Enough::of(from, place, Side::Jacket).filter(Enough::tells_more)?;
    let fell = format!(
        "the jacket water fell by {:.1} K, by {:.1} before",
        jacket.kelvin, jacket.before_k
    );
    let counter = "Read the counter again, and see that no water runs off before it";
    let Some(sea) = Enough::of(from, place, Side::Sea) else {
        return Some(format!(
            "The heat says otherwise: {fell}, and that is enough for about {:.1} t/day. {counter}; or less jacket water runs through the heater.",
            jacket.t_day
        ));
    };
    let rose = format!("the sea water rose by {:.1} K, by {:.1} before", sea.kelvin, sea.before_k);
    Some(if sea.tells_more() {
        format!(
            "The heat says otherwise: {fell}, and {rose}; that is enough for about {:.1} t/day. {counter}.",
            0.5 * (jacket.t_day + sea.t_day)
        )
    } else if jacket.part() - sea.part() > APART {
        format!(
            "More heat on one side alone: {fell}, and yet {rose}, as the counter has it. Less jacket water runs through the heater (by-pass, inlet and outlet valves, strainer), or one of its thermometers reads wrong."
        )
    } else {
        format!(
            "Counter and heat do not quite agree: {fell}, enough for about {:.1} t/day, and {rose}, enough for about {:.1}. Read the counter and these thermometers again.",
            jacket.t_day, sea.t_day
        )
    })
}
