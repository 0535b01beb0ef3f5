//! What a passage strip shows, in words with its numbers.

use super::curve::Curve;
use super::data::PassageStrip;
use super::lane::came;
use crate::clock::{Clock, Span};
use crate::geometry::extent;
use crate::number::{number, usable, with_unit};
use crate::text::sentence_case;

/// Events and spells told one by one; more are counted.
const MOST_TOLD: usize = 12;

pub(super) fn words(strip: &PassageStrip, curves: &[Curve<'_>]) -> String {
    let mut parts: Vec<String> = Vec::new();
    if !strip.says.is_empty() {
        parts.push(strip.says.clone());
    }
    let moment = |at_s: f64| strip.clock.moment(at_s);
    if let (Some(from), Some(to)) = (moment(strip.span.from_s), moment(strip.span.to_s)) {
        parts.push(format!("From {from} to {to} ship's time."));
    }
    parts.extend(curves.iter().map(|c| lane_words(c, strip.span, &strip.clock)));
    if strip.lanes.is_empty() {
        parts.push(String::from("No lanes."));
    }
    let during = |span: &Span| match (moment(span.from_s), moment(span.to_s)) {
        (Some(from), Some(to)) => format!(" {from} to {to}"),
        _ => String::new(),
    };
    let inside = |s: &&Span| s.from_s < strip.span.to_s && s.to_s > strip.span.from_s;
    let making: Vec<String> = strip.making.iter().filter(inside).map(during).collect();
    listed(&mut parts, "Water is made", &making);
    let forbidden = strip.forbidden.iter().filter(|s| inside(&&s.span));
    let forbidden: Vec<String> =
        forbidden.map(|s| format!(" {}{}", s.label, during(&s.span))).collect();
    listed(&mut parts, "Water may not be made:", &forbidden);
    let events = strip.events.iter().filter(|e| strip.span.holds(e.at_s));
    let events: Vec<String> =
        events.map(|e| format!(" {} {}", moment(e.at_s).unwrap_or_default(), e.text)).collect();
    listed(&mut parts, "Marked:", &events);
    parts.join(" ")
}

fn listed(parts: &mut Vec<String>, what: &str, list: &[String]) {
    if list.is_empty() {
        return;
    }
    let more = list.len().saturating_sub(MOST_TOLD);
    let list = list.iter().take(MOST_TOLD).cloned().collect::<Vec<_>>().join(",");
    let more = if more > 0 { format!(" and {more} times more") } else { String::new() };
    parts.push(format!("{what}{list}{more}."));
}

fn lane_words(curve: &Curve<'_>, span: Span, clock: &Clock) -> String {
    let lane = curve.lane;
    let name = sentence_case(&lane.name);
    let show = |v: f64| number(v, lane.decimals);
    let Some((low, high)) = extent(curve.corners().map(|c| c.value)) else {
        return format!("{name}: nothing known.");
    };
    let mut words =
        format!("{name}: {} to {}", show(low), with_unit(high, lane.decimals, &lane.unit));
    let least = curve.corners().min_by(|a, b| a.value.total_cmp(&b.value));
    if let Some(when) = least.and_then(|c| clock.moment(c.at_s)) {
        words.push_str(&format!(", least at {when}"));
    }
    if let Some(end) = curve.told() {
        let when = lane.told.as_ref().map_or("at the end", |told| &told.text);
        words.push_str(&format!(", {when} {}", show(end.value)));
        if let Some(band) = end.band {
            let (low, high) = (show(band.low), show(band.high));
            words.push_str(&format!(", eight in ten {low} to {high}"));
        }
    }
    if let Some((at_s, value)) = came(lane, span).last() {
        let when = clock.moment(*at_s).unwrap_or_default();
        words.push_str(&format!("; {} {} at {when}", lane.came_word, show(*value)));
    }
    for threshold in lane.thresholds.iter().filter(|t| usable(t.value)) {
        words.push_str(&format!("; line at {}: {}", show(threshold.value), threshold.label));
    }
    words.push('.');
    words
}
