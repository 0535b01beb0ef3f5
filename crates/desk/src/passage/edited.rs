//! What a change of the route, of what is dated on it or of the ship's figures has made of the plan, in a sentence.

use jiff::Timestamp;
use passage::timeline::{STEP_MIN, Sample};

use super::kept::Asked;
use super::{How, PassageView, Plans};

/// The difference from the plan before, where it was made from another route, events or ship of the same passage; none where
/// only the time and the readings are others.
pub(super) fn says(plans: &Plans, asked: &Asked, new: &PassageView) -> Option<String> {
    let table = plans.table();
    let like = |kept: &Asked| kept.how != How::AtDeparture && kept.from <= asked.from;
    let (before, old) = table.kept.iter().rev().find_map(|(kept, found)| {
        Some((kept, found.as_ref().ok()?)).filter(|(kept, _)| like(kept))
    })?;
    let changed = [
        (before.route != asked.route, "the route"),
        (before.events != asked.events, "a speed, a stop or the dated events"),
        (before.ship != asked.ship, "the page Ship"),
    ];
    let changed: Vec<_> = changed.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect();
    if changed.is_empty() || old.to != new.to {
        return None;
    }
    let differ = differences(old, new);
    let what = changed.join(" and ");
    Some(match differ.as_slice() {
        [] => format!("{what}: the stock on arrival, the orders and the cost are those of before."),
        differ => format!("{what}: {}.", differ.join("; ")),
    })
}

/// Whole tonnes, or money, that differ.
fn figure(word: &str, unit: &str, (was, is): (f64, f64)) -> Option<String> {
    let (was, is) = (was.round() + 0.0, is.round() + 0.0);
    (was.to_bits() != is.to_bits()).then(|| {
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        format!("{word} {is:.0}{unit}, was {was:.0}")
    })
}

/// Of what a cost is made so much has to differ to be named, of what differs most.
const NAMED: f64 = 0.1;

/// What of a changed cost is more and what is less, the most first: "(less: carrying it 31; more: starts 40)".
fn made_of(old: &PassageView, new: &PassageView) -> String {
    let was = |part: &str| old.costs.iter().find(|(name, _)| *name == part).map_or(0.0, |p| p.1);
    let mut off: Vec<_> =
        new.costs.iter().map(|(part, cost)| (*part, (cost - was(part)).round())).collect();
    off.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let most = off.first().map_or(0.0, |(_, off)| off.abs());
    off.retain(|(_, off)| off.abs() >= 1.0 && off.abs() >= NAMED * most);
    let (more, less): (Vec<_>, Vec<_>) = off.into_iter().partition(|(_, off)| *off > 0.0);
    let told = |word: &str, parts: Vec<(&str, f64)>| {
        let parts: Vec<_> =
            parts.iter().map(|(part, t)| format!("{part} {:.0}", t.abs())).collect();
        (!parts.is_empty()).then(|| format!("{word}: {}", parts.join(", ")))
    };
    let told: Vec<String> =
        [told("less", less), told("more", more)].into_iter().flatten().collect();
    if told.is_empty() { String::new() } else { format!(" ({})", told.join("; ")) }
}

fn differences(old: &PassageView, new: &PassageView) -> Vec<String> {
    let told = |view: &PassageView, at: Timestamp| {
        view.timeline.clock.local(at).strftime("%-d %b %H:%M").to_string()
    };
    let moment = |word: &str, of: &dyn Fn(&PassageView) -> Option<Timestamp>| {
        let say = |view: &PassageView| of(view).map_or("none".to_owned(), |at| told(view, at));
        (of(old) != of(new)).then(|| format!("{word} {}, was {}", say(new), say(old)))
    };
    let at = |sample: Option<&Sample>| sample.map(|sample| sample.at);
    let lowest = |view: &PassageView| view.lowest().map_or(0.0, |(_, t)| t);
    let cost = |view: &PassageView| view.brief.policy.expected_cost;
    let starts = |view: &PassageView| {
        view.brief.policy.orders.iter().filter(|order| order.start.is_some()).count() as f64
    };
    let made = |view: &PassageView| {
        view.making_t_day.iter().sum::<f64>() * f64::from(STEP_MIN) / (24.0 * 60.0)
    };
    let lasts = match (old.lasts(), new.lasts()) {
        (true, false) => Some("it lasts no longer".to_owned()),
        (false, true) => Some("it lasts now".to_owned()),
        _ => None,
    };
    let lines = [
        lasts,
        moment("arrival", &|view| at(view.timeline.samples.get(view.arrival))),
        figure("on arrival", "t", (old.on_arrival_t().1, new.on_arrival_t().1)),
        moment("heat off", &|view| at(view.heat_off())),
        moment("next start", &|view| at(view.next_start(new.from))),
        figure("lowest, one time in ten under", "t", (lowest(old), lowest(new))),
        // What the cost is made of.
        figure("to be made", "t", (made(old), made(new))),
        figure("starts", "", (starts(old), starts(new))),
        figure("expected cost", &new.currency, (cost(old), cost(new)))
            .map(|says| says + &made_of(old, new)),
    ];
    lines.into_iter().flatten().collect()
}
