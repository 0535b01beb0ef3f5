//! What the plan says to somebody who looks in: days in hand, stock on arrival, the next order.

use jiff::{SignedDuration, Timestamp};
use passage::timeline::STEP_MIN;

use crate::desk::{Desk, DeskError};
use crate::switched::{self, Switch};

use super::kept::{Lately, lately};
use super::view::OrderLine;
use super::{How, PassageView};

/// A plan made so lately is good enough to be quoted; its moment is told.
const FRESH: SignedDuration = SignedDuration::from_hours(6);

/// A plan is made so soon after it begins.
const QUARTER: SignedDuration = SignedDuration::from_mins(STEP_MIN as i64);

/// The plan in one breath.
#[derive(Debug, Clone, PartialEq)]
pub struct Ahead {
    /// Where she goes.
    pub to: String,
    /// Whether it lasts: the reserve holds and nobody is left without.
    pub holds: bool,
    /// The first reason, with its date, where it does not.
    pub why: Option<String>,
    /// Days that the stock on arrival lasts; infinite where nothing is used.
    pub days_in_hand: f64,
    /// On arrival: one in ten below, middle, one in ten above, t.
    pub on_arrival_t: (f64, f64, f64),
    /// What the plant is to do now or was to do since the plan was made.
    pub due: Option<OrderLine>,
    /// The next order that is still to come.
    pub next: Option<OrderLine>,
    /// It lasts with next to nothing to spare.
    pub just: bool,
    /// What is to be looked at in the route first: land, an ETA that hurries, a word taken on an assumption.
    pub asks: Option<String>,
    /// Where the record's clocks and the route's stand apart.
    pub zones: Option<String>,
    /// With what share of a clean plant's output it was planned, and from which rounds, in a sentence or two.
    pub share_says: String,
    /// When it was planned.
    pub planned: Timestamp,
    /// The last start or stop since: the plan reckons with the plant as it was before.
    pub switched: Option<Switch>,
}

impl Ahead {
    /// From a plan, as of now.
    #[must_use]
    pub fn of(view: &PassageView, now: Timestamp) -> Ahead {
        Ahead {
            to: view.to.clone(),
            holds: view.lasts(),
            why: (!view.lasts()).then(|| view.says.clone()),
            days_in_hand: view.days_in_hand(),
            on_arrival_t: view.on_arrival_t(),
            due: due(view, now),
            just: view.just.is_some(),
            asks: view.on_land.iter().chain(&view.doubts).next().cloned(),
            next: view.orders.iter().find(|order| order.at > now).cloned(),
            zones: view.zones.as_ref().map(|apart| apart.replace("on this page", "of orders")),
            share_says: view.share_says.clone(),
            planned: view.from,
            switched: None,
        }
    }
}

/// What is due of the orders: those of the newest moment that has come, in one line.
fn due(view: &PassageView, now: Timestamp) -> Option<OrderLine> {
    let newest = view.orders.iter().rfind(|order| order.at <= now)?;
    let together = view.orders.iter().filter(|order| order.at == newest.at);
    let what: Vec<&str> = together.map(|order| order.what.as_str()).collect();
    Some(OrderLine { what: what.join("; "), ..newest.clone() })
}

/// What there is to say of the water ahead.
#[expect(clippy::large_enum_variant, reason = "there is one at a time, for one page")]
#[derive(Debug, Clone, PartialEq)]
pub enum Outlook {
    /// No route is kept.
    NoRoute,
    /// There is a route; no plan was made for it lately.
    NotPlanned,
    /// It is being planned for the first time.
    UnderWay,
    /// It cannot be planned: why.
    Refused(String),
    /// As planned lately.
    Planned(Ahead),
}

impl Desk {
    /// What the last plan says, where one was made lately: nobody who looks in waits for a new one.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn ahead(&self, now: Timestamp) -> Result<Outlook, DeskError> {
        let Some(asked) = self.asked(now, How::AtOnce)? else { return Ok(Outlook::NoRoute) };
        Ok(match lately(self.plans(), &asked, FRESH) {
            Lately::Nothing => Outlook::NotPlanned,
            Lately::UnderWay => Outlook::UnderWay,
            Lately::Refused(why) => Outlook::Refused(why),
            Lately::Plan(view) => {
                let mut ahead = Ahead::of(&view, now);
                // A plan begins on a quarter of an hour, and is made within it.
                let made = view.from.checked_add(QUARTER).unwrap_or(view.from);
                ahead.switched = switched::between(&self.switches(now)?, made, now);
                Outlook::Planned(ahead)
            }
        })
    }
}
