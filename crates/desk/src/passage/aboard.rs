//! What is aboard and how she makes water now: soundings, the plant's state, the share of a clean plant's output.

use jiff::{SignedDuration, Timestamp};
use passage::decision::{Class, State, Tank, TankState};
use passage::timeline::{Aboard, Demand, Hands, Orders, Prices};

use crate::desk::{Desk, DeskError};
use crate::findings::{ToldOfPlant, counts_from};
use crate::now::{NowView, Verdict};
use crate::ship::{Holds, Ship};

use super::events::Events;

/// Days over which her own output is compared with a clean plant's.
const DAYS: i64 = 5;
/// A plant under or over this share of a clean one is not believed for a plan.
const SHARES: (f64, f64) = (0.5, 1.05);

/// The tanks as last sounded, to be reckoned forward from there; one never sounded counts as empty.
pub(super) fn tanks(ship: &Ship, now: &NowView) -> Vec<Tank> {
    ship.tanks
        .iter()
        .map(|tank| {
            let seen = now.tanks.iter().find(|view| view.key == tank.key);
            let content = seen.and_then(|view| view.content_m3).unwrap_or(0.0);
            let class = match tank.holds {
                Holds::Fresh => Class::Domestic,
                Holds::Drinking => Class::Drinking,
                Holds::Distilled => Class::Technical,
            };
            let state = match seen.map(|view| view.duty.as_str()) {
                Some("serving") => TankState::Serving,
                Some("filling") => TankState::Filling,
                _ => TankState::Ready,
            };
            // A tonne of fresh water is a cubic metre to one part in two hundred.
            Tank {
                name: tank.name.clone(),
                class,
                cap_t: tank.capacity_m3,
                stock_t: content.min(tank.capacity_m3),
                dead_t: tank.unpumpable_m3,
                state,
                undosed_t: None,
            }
        })
        .collect()
}

/// More than it holds by its sounding, m³, is told: a tenth of a cubic metre is the sounding tape.
const OVER_M3: f64 = 0.1;

/// Tanks sounded fuller than they are, each in a sentence: they count as full.
pub(super) fn over_full(ship: &Ship, now: &NowView) -> Vec<String> {
    let seen = |key: &str| now.tanks.iter().find(|view| view.key == key)?.content_m3;
    let over = ship.tanks.iter().filter_map(|tank| {
        let content = seen(&tank.key).filter(|m3| *m3 > tank.capacity_m3 + OVER_M3)?;
        Some(format!(
            "{}: {content:.1} m³ by its last sounding, it holds {:.1} m³: counted as full. Sound it again, or mend its capacity or its table on the page Ship.",
            tank.name, tank.capacity_m3
        ))
    });
    over.collect()
}

/// Soundings older than this are told, h.
const OLD_H: f64 = 12.0;

/// That the tanks were sounded long ago, and about what was used since; none where they are of today.
pub(super) fn stale(now: &NowView, from: Timestamp, used_t_day: f64) -> Option<String> {
    let oldest = now.tanks.iter().min_by_key(|tank| tank.at)?;
    let hours = from.duration_since(oldest.at).as_secs_f64() / 3600.0;
    if hours < OLD_H {
        return None;
    }
    let age = if hours < 48.0 {
        format!("{hours:.0} hours")
    } else {
        format!("{:.0} days", hours / 24.0)
    };
    let used = used_t_day * hours / 24.0;
    Some(format!(
        "{} was last sounded {age} ago. What is aboard is reckoned forward from there: some {used:.0} t were used since, and what was made is put in. Sound the tanks with the readings.",
        oldest.name
    ))
}

/// Which use days of use are counted at, where dated draws lie ahead.
pub(super) fn days_of_use(demand: &Demand, from: Timestamp) -> Option<String> {
    let ahead = demand.draws.iter().filter(|draw| draw.from >= from);
    let (drawn_t, day_t) = (ahead.fold(0.0, |sum, draw| sum + draw.t), demand.day_at_sea_t());
    (drawn_t > 0.0 && day_t > 0.0).then(|| {
        format!(
            "Days of use are counted at {day_t:.1} t a day, the usual use at sea; the {drawn_t:.0} t of dated draws ahead come on top."
        )
    })
}

/// Water aboard that no pump reaches, told once: it is in no other figure; none where there is none.
pub(super) fn out_of_reach(aboard: &Aboard) -> Option<String> {
    let in_use = aboard.tanks.iter().filter(|tank| tank.state != TankState::SetApart);
    let t: f64 = in_use.map(|tank| tank.stock_t.min(tank.dead_t)).sum();
    (t >= LEAST_T).then(|| {
        format!(
            "Every figure is of water to use; besides, {t:.1} t are aboard that no pump reaches."
        )
    })
}

/// Less is the reading of a sounding rod, t.
const LEAST_T: f64 = 0.05;

/// Tanks of which nobody knows the content.
pub(super) fn unsounded(ship: &Ship, now: &NowView) -> Vec<String> {
    let known =
        |key: &str| now.tanks.iter().any(|view| view.key == key && view.content_m3.is_some());
    let unknown = ship.tanks.iter().filter(|tank| !known(&tank.key));
    unknown.map(|tank| tank.name.clone()).collect()
}

pub(super) fn aboard(ship: &Ship, now: &NowView, events: &Events) -> Aboard {
    let making = matches!(
        now.verdict,
        Verdict::Running { .. } | Verdict::Unknown { .. } | Verdict::Across { .. }
    );
    Aboard {
        tanks: tanks(ship, now),
        stock_sd_t: 0.0,
        state: if making { State::Making { trim: 0 } } else { State::Off },
        room_kept_t: ship.orders.slack_tank_t,
        ceilings: events.ceilings.clone(),
        reserve_days: ship.orders.reserve_days,
        start_min: ship.orders.start_min,
        stop_min: ship.orders.stop_min,
    }
}

pub(super) fn orders(ship: &Ship, events: &Events) -> Orders {
    let orders = &ship.orders;
    Orders {
        distance_off: ocean::Distance::from_nmi(orders.distance_off_nmi),
        depth_min_m: orders.depth_min_m,
        load_min: orders.load_min_percent / 100.0,
        settle_h: orders.settle_h,
        notice_h: orders.notice_h,
        areas: events.areas.clone(),
        distilled_tank: ship.tanks.iter().any(|tank| tank.holds == Holds::Distilled),
        discharges: events.discharges.clone(),
    }
}

pub(super) fn hands(ship: &Ship) -> Hands {
    Hands { from_h: ship.orders.hands_from_h, to_h: ship.orders.hands_to_h }
}

pub(super) fn demand(ship: &Ship, events: &Events) -> Demand {
    let demand = &ship.demand;
    let litres = |litres: f64| litres * ship.crew / 1000.0;
    let drinking = demand.drinking_l_person_day.min(demand.litres_person_day);
    Demand {
        drinking_t_day: litres(drinking),
        domestic_t_day: litres(demand.litres_person_day - drinking),
        technical_sea_t_day: demand.technical_sea_t_day,
        technical_port_t_day: demand.technical_port_t_day,
        draws: events.draws.clone(),
    }
}

pub(super) fn prices(ship: &Ship, events: &Events) -> Prices {
    let prices = &ship.prices;
    Prices {
        start: prices.start,
        retrim: prices.retrim,
        callout: prices.callout,
        run_h: prices.run_h,
        make_t: prices.make_t,
        carry_t_day: prices.carry_t_day,
        short_t: prices.short_t,
        spill_t: prices.spill_t,
        end_t: prices.end_t,
        more_load_h: prices.fuel_day_t * prices.fuel_t / 24.0 * MORE_LOAD_PERCENT
            / ship.orders.sea_load_percent.max(MORE_LOAD_PERCENT),
        for_sale: events.for_sale.clone(),
    }
}

/// Engine load more whose worth is told, percent of rated.
const MORE_LOAD_PERCENT: f64 = 5.0;

/// What she makes of what a sound, clean plant would, and what tells it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Share {
    /// The middle of the rounds; 1 where nothing tells.
    pub value: f64,
    /// Its source in a sentence.
    pub says: String,
    /// The newest rounds fell further than rounds scatter.
    pub is_new: bool,
}

/// What she makes of what she should, as the page Now has it round by round: the middle of the rounds of the last days, and of
/// those since she was last cleaned alone.
pub(super) fn share(desk: &Desk, now: Timestamp) -> Result<Share, DeskError> {
    let days_ago = now.checked_sub(SignedDuration::from_hours(24 * DAYS)).unwrap_or(now);
    let told = ToldOfPlant::of(&desk.reader(), now)?;
    let cleaned = told.cleaned.iter().map(|cleaned| cleaned.at).max();
    let cleaned = cleaned.filter(|at| *at > days_ago).map(counts_from);
    // With the rounds before it: the first since a cleaning is counted from the last before.
    let made = desk.trend("product_t_day", days_ago, now)?;
    let shares = made.spots.iter().filter_map(|spot| {
        let share = spot.read? / spot.expected?.middle;
        (share.is_finite() && share > 0.0).then_some((spot.at_s, share))
    });
    let from_s = cleaned.map_or(f64::NEG_INFINITY, |at| at.as_second() as f64);
    let (before, since): (Vec<_>, Vec<_>) = shares.partition(|(at_s, _)| *at_s < from_s);
    let only = |of: Vec<(f64, f64)>| of.into_iter().map(|(_, share)| share).collect::<Vec<f64>>();
    Ok(of_shares(&only(before), &only(since), cleaned.is_some()))
}

/// The share by the rounds since the last cleaning, oldest first, or, where there is none, by what fell in those before it.
fn of_shares(before: &[f64], since: &[f64], cleaned: bool) -> Share {
    let in_order = since;
    let newest = since.last().copied();
    let mut shares = since.to_vec();
    shares.sort_by(f64::total_cmp);
    let since = if cleaned { "since she was cleaned" } else { "of the last five days" };
    let Some((middle, newest)) = shares.get(shares.len() / 2).zip(newest) else {
        return none_since(before, since);
    };
    let value = middle.clamp(SHARES.0, SHARES.1);
    let count = shares.len();
    // Never rounded up.
    let percent = |share: f64| (100.0 * share).floor();
    let fallen = fallen(in_order, *middle);
    let lately = match fallen {
        0 => {
            format!("The newest round alone has {:.0} %: one round scatters more.", percent(newest))
        }
        1 => format!(
            "The newest round has {:.0} %, further off than rounds scatter: something is new, and if it stays less is made than planned.",
            percent(newest)
        ),
        n => {
            let last = &in_order[in_order.len() - n..];
            format!(
                "The last {n} rounds have {:.0} %, further off than rounds scatter: something is new, and if it stays less is made than planned.",
                percent(last.iter().sum::<f64>() / n as f64)
            )
        }
    };
    let by = match count {
        1 => format!("by the one round {since}."),
        count => format!("the middle of {count} rounds {since}. {lately}"),
    };
    let says =
        format!("Planned with {:.0} % of what a sound, clean plant makes, {by}", 100.0 * value);
    Share { value, says, is_new: fallen > 0 }
}

/// No round tells what she makes `since`: a sound, clean plant, less what had newly fallen before the cleaning. That need not have been the
/// deposit.
fn none_since(before: &[f64], since: &str) -> Share {
    let mut sorted = before.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.get(sorted.len() / 2).copied().unwrap_or(1.0);
    let n = fallen(before, middle);
    let Some(last) = before.len().checked_sub(n).map(|from| &before[from..]).filter(|_| n > 0)
    else {
        let says =
            format!("No round {since} tells what she makes: planned as a sound, clean plant.");
        return Share { value: 1.0, says, is_new: false };
    };
    let fell = middle - last.iter().sum::<f64>() / n as f64;
    let value = (1.0 - fell).clamp(SHARES.0, SHARES.1);
    let rounds = if n == 1 { "The last round".to_owned() } else { format!("The last {n} rounds") };
    let says = format!(
        "No round {since} tells what she makes. {rounds} before had fallen by {:.0} %, further off than rounds scatter, and what was new need not have been what was cleaned: planned with {:.0} % of what a sound, clean plant makes until a round is read.",
        100.0 * fell,
        100.0 * value
    );
    Share { value, says, is_new: true }
}

/// A round has fallen when it lies so many deviations of the rounds' scatter under their middle, and by so much of a clean plant's output
/// at least (our estimate).
const FALLEN: (f64, f64) = (4.0, 0.08);

/// How many of the newest rounds, oldest first, lie under the middle by more than the rounds scatter. The scatter is that of the middle half,
/// so that the fallen ones widen it little.
fn fallen(shares: &[f64], middle: f64) -> usize {
    let mut off: Vec<f64> = shares.iter().map(|share| (share - middle).abs()).collect();
    off.sort_by(f64::total_cmp);
    // Of a normal scatter half lie within 0.674 deviations.
    let scatter = off.get(off.len() / 2).map_or(0.0, |half| half / 0.674);
    let least = (FALLEN.0 * scatter).max(FALLEN.1);
    shares.iter().rev().take_while(|share| middle - **share > least).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_what_had_fallen_before_a_cleaning_is_not_forgotten() {
        let usual = [0.84, 0.86, 0.83, 0.85, 0.84, 0.87, 0.82, 0.84];
        let with = |last: &[f64]| [&usual[..], last].concat();
        let sound = of_shares(&usual, &[], true);
        assert!((sound.value - 1.0).abs() < 1e-12 && !sound.is_new, "{sound:?}");
        let fell = of_shares(&with(&[0.63]), &[], true);
        assert!((fell.value - 0.79).abs() < 1e-9 && fell.is_new, "{fell:?}");
        assert!(fell.says.contains("The last round before had fallen by 21 %"), "{}", fell.says);
        // One round since tells what she makes.
        let told = of_shares(&with(&[0.63]), &[0.97], true);
        assert!((told.value - 0.97).abs() < 1e-9 && !told.is_new, "{told:?}");
        assert!(told.says.ends_with("by the one round since she was cleaned."), "{}", told.says);
    }

    #[test]
    fn ident_a_round_fallen_further_than_rounds_scatter_is_no_scatter() {
        let usual = [0.80, 0.82, 0.79, 0.81, 0.80, 0.83, 0.78, 0.80];
        assert_eq!(fallen(&usual, 0.80), 0);
        let with = |last: &[f64]| [&usual[..], last].concat();
        assert_eq!(fallen(&with(&[0.64]), 0.80), 1);
        assert_eq!(fallen(&with(&[0.64, 0.63]), 0.80), 2);
        // A low round that has passed again is nothing new.
        assert_eq!(fallen(&with(&[0.64, 0.80]), 0.80), 0);
        assert_eq!(fallen(&with(&[0.74]), 0.80), 0);
    }
}
