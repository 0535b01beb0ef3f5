//! The orders that were given last, kept beside the route: a program that was ended and begun again goes on from them.

use jiff::{SignedDuration, Timestamp};
use logbook::Hash;
use passage::decision::Standing;
use passage::timeline::STEP_MIN;
use serde::{Deserialize, Serialize};

use crate::desk::{Desk, write_whole};

use super::PassageView;
use super::kept::Asked;

/// Name of the file of the orders that stand in the folder.
pub const ORDERS_FILE: &str = "orders.json";

/// What a later plan has to know of one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Given {
    /// When its orders were given.
    pub ordered: Timestamp,
    /// The moment of its first sample.
    pub from: Timestamp,
    /// Its orders.
    pub standing: Standing,
    /// The price of being under the reserve at which it was planned.
    pub price: f64,
    /// The soundings it was made from: the entry that holds each, and cm.
    pub soundings: Vec<(u64, f64)>,
    /// The stock when each sample is reached, t: one passage in ten has less, the middle, one in ten has more.
    pub stock_t: [Vec<f64>; 3],
    /// What is dated or the ship’s figures were changed since.
    pub edited: bool,
}

impl Given {
    /// Those of a plan; others take their place where they save more than `margin`.
    pub fn of(view: &PassageView, margin: f64, edited: bool) -> Self {
        let brief = &view.brief;
        let bands = &brief.bands;
        Self {
            ordered: view.ordered,
            // That of its first sample.
            from: view.from,
            standing: Standing::of(&brief.policy, 0, margin),
            price: brief.together().below_reserve_price,
            soundings: view.soundings.clone(),
            stock_t: [bands.p10.clone(), bands.p50.clone(), bands.p90.clone()],
            edited,
        }
    }

    /// Samples of it that have gone by at a moment.
    pub fn gone(&self, at: Timestamp) -> usize {
        let steps = at.duration_since(self.from).as_secs() / (60 * i64::from(STEP_MIN));
        usize::try_from(steps).unwrap_or(0)
    }
}

/// The file.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    route: String,
    events: String,
    ship: String,
    ordered: String,
    from: String,
    doing: String,
    lasted: bool,
    price: f64,
    soundings: Vec<(u64, f64)>,
    stock_t: [Vec<f64>; 3],
}

fn mark(text: &str) -> String {
    Hash::of(text.as_bytes()).to_string()
}

/// To a hundredth: finer than it is known.
fn short(list: &[f64]) -> Vec<f64> {
    list.iter().map(|t| (t * 100.0).round() / 100.0).collect()
}

impl Desk {
    /// Keeps the orders of a plan. That they cannot be kept spoils no plan: without them the next is made afresh.
    pub(super) fn keep_orders(&self, asked: &Asked, view: &PassageView) {
        let given = Given::of(view, 0.0, false);
        let [low, middle, high] = &given.stock_t;
        let kept = Kept {
            route: mark(&asked.route),
            events: mark(&asked.events),
            ship: mark(&asked.ship),
            ordered: given.ordered.to_string(),
            from: given.from.to_string(),
            doing: given.standing.written(),
            lasted: view.brief.policy.lasts(),
            price: given.price,
            soundings: given.soundings,
            stock_t: [short(low), short(middle), short(high)],
        };
        if let Ok(text) = serde_json::to_string(&kept) {
            drop(write_whole(&self.folder().join(ORDERS_FILE), &text));
        }
    }

    /// The orders that were kept last for a route, where they reach to a moment; none where the file cannot be understood.
    pub(super) fn orders_kept(
        &self,
        (route, events, ship): (&str, &str, &str),
        at: Timestamp,
        margin: f64,
    ) -> Option<Given> {
        let text = self.kept_text(ORDERS_FILE).ok()??;
        let kept: Kept = serde_json::from_str(&text).ok()?;
        let from: Timestamp = kept.from.parse().ok()?;
        let step = SignedDuration::from_mins(i64::from(STEP_MIN));
        let count = i32::try_from(kept.stock_t[0].len()).ok()?;
        let upto = from.checked_add(step.checked_mul(count)?).ok()?;
        if kept.route != mark(route) || !(from..upto).contains(&at) {
            return None;
        }
        Some(Given {
            ordered: kept.ordered.parse().ok()?,
            from,
            standing: Standing::read(&kept.doing, kept.lasted, margin)?,
            price: kept.price,
            soundings: kept.soundings,
            stock_t: kept.stock_t,
            edited: kept.events != mark(events) || kept.ship != mark(ship),
        })
    }
}
