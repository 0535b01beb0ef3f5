//! The plan as lanes on one clock: distance off, sea, output, what is aboard; where no water may be made.

use std::collections::BTreeMap;

use chart::{
    Clock, Joined, PassageStrip, Remark, Span, Spell, StripLane, StripPoint, Threshold,
    ThresholdKind, Wash,
};
use jiff::Timestamp;
use passage::timeline::Sample;

use super::{Against, PassageView, Then};

/// Distances beyond this are drawn as this, nmi.
const FAR_NMI: f64 = 100.0;

/// The passage on one clock; `None` where there is nothing to draw. With what was sounded since departure it begins there.
#[must_use]
pub fn strip(
    view: &PassageView,
    now: Timestamp,
    against: Option<&Against>,
) -> Option<PassageStrip> {
    let samples = &view.timeline.samples;
    let (first, last) = (samples.first()?, samples.last()?);
    let behind = Behind::of(view, against);
    let from = behind.samples.first().map_or(first.at, |then| then.at);
    let span = Span { from_s: from.as_second() as f64, to_s: last.at.as_second() as f64 };
    let clock = Clock::sampled(span, |at_s| {
        let at = Timestamp::from_second(at_s as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        view.timeline.clock.zone(at).seconds()
    });
    let sounded = against.map_or_else(String::new, |against| format!(" {}", against.ahead()));
    Some(PassageStrip {
        title: "The passage on one clock".to_owned(),
        says: format!(
            "Distance off, depth, sea temperature, load, planned output and what is aboard, with the band that holds eight in ten.{sounded}"
        ),
        span,
        now_s: Some(now.as_second() as f64),
        clock,
        forbidden: spells(&behind, samples),
        making: making(view),
        events: events(view),
        lanes: lanes(view, &behind),
    })
}

/// The same from now on as a picture file of its own.
#[must_use]
pub fn strip_file(view: &PassageView, now: Timestamp) -> Option<String> {
    strip(view, now, None).map(|strip| chart::passage_strip_file(&strip))
}

/// The passage from departure up to where the plan begins, as it was planned then, with what was sounded.
struct Behind<'a> {
    samples: &'a [Then],
    sounded_t: &'a [(Timestamp, f64)],
}

impl<'a> Behind<'a> {
    fn of(view: &PassageView, against: Option<&'a Against>) -> Behind<'a> {
        let Some(against) = against else {
            return Behind { samples: &[], sounded_t: &[] };
        };
        let plan = &against.plan;
        let from = view.timeline.samples.first().map_or(view.from, |sample| sample.at);
        let upto = plan.samples.partition_point(|then| then.at < from);
        Behind {
            samples: plan.samples.get(..upto).unwrap_or_default(),
            sounded_t: &against.sounded_t,
        }
    }
}

fn lanes(view: &PassageView, behind: &Behind<'_>) -> Vec<StripLane> {
    let samples = &view.timeline.samples;
    let at_s = |sample: &Sample| sample.at.as_second() as f64;
    let lane = |name: &str,
                unit: &str,
                decimals,
                then: &dyn Fn(&Then) -> Option<f64>,
                value: &dyn Fn(&Sample) -> Option<f64>| {
        let passed = behind.samples.iter().map(|then_at| (then_at.at, then(then_at)));
        let points = passed.chain(samples.iter().map(|sample| (sample.at, value(sample))));
        let points =
            points.map(|(at, value)| StripPoint { at_s: at.as_second() as f64, value, band: None });
        StripLane {
            name: name.to_owned(),
            unit: unit.to_owned(),
            decimals,
            points: points.collect(),
            ..StripLane::default()
        }
    };
    let banded = |k: usize, sample: &Sample| {
        let (low, planned, high) = view.stock_t(k);
        StripPoint::banded(at_s(sample), planned, low, high)
    };
    let mut stock: Vec<StripPoint> = Vec::with_capacity(behind.samples.len() + samples.len());
    if let (Some(_), Some(first)) = (behind.samples.first(), samples.first()) {
        stock.extend(behind.samples.iter().map(|then| {
            let (low, middle, high) = then.stock_t;
            StripPoint::banded(then.at.as_second() as f64, middle, low, high)
        }));
        // The plan of now begins with what was sounded, not where that of the departure had come to.
        stock.push(StripPoint { at_s: at_s(first) - 1.0, value: None, band: None });
    }
    stock.extend(samples.iter().enumerate().map(|(k, s)| banded(k, s)));
    let sounded = behind.sounded_t.iter();
    let sounded = sounded.map(|(at, t)| StripPoint::new(at.as_second() as f64, *t));
    let made = samples.iter().zip(&view.making_t_day);
    let made = made.map(|(sample, t_day)| StripPoint::new(at_s(sample), *t_day));
    let first = |values: &[f64]| values.first().copied().unwrap_or(f64::NAN);
    let (reserve, ceiling) = (first(&view.reserve_t), first(&view.ceiling_t));
    let line = |value: f64, label: String, kind| Threshold { value, label, kind };
    let ordered = view.distance_off_nmi;
    let told = arrival(view, "on arrival");
    let tanks = view.tank_lanes(told.as_ref());
    let mut lanes = vec![
        StripLane {
            cap: Some(FAR_NMI),
            hatched: true,
            thresholds: vec![line(ordered, format!("{ordered:.0} ordered"), ThresholdKind::Order)],
            ..lane("Distance off", "nmi", 0, &|then| Some(then.distance_off_nmi), &|sample| {
                Some(sample.sea.distance_off.nmi())
            })
        },
        StripLane {
            downward: true,
            wash: Wash::Sea,
            ..lane("Depth", "m", 0, &|then| then.depth_m, &|sample| sample.sea.depth_m)
        },
        lane("Sea", "°C", 1, &|then| Some(then.sea_temp_c), &|sample| Some(sample.sea.temp_c)),
        StripLane {
            joined: Joined::Step,
            ..lane("Load", "%", 0, &|then| Some(then.load * 100.0), &|sample| {
                Some(sample.load * 100.0)
            })
        },
        StripLane {
            joined: Joined::Step,
            wash: Wash::Fresh,
            hatched: true,
            points: made.collect(),
            ..lane("Making", "t/day", 1, &|_| None, &|_| None)
        },
        StripLane {
            name: "Aboard".to_owned(),
            unit: "t".to_owned(),
            points: stock,
            came: sounded.collect(),
            came_word: "sounded".to_owned(),
            thresholds: vec![
                line(reserve, format!("reserve {reserve:.0} t"), ThresholdKind::Reserve),
                line(ceiling, format!("full {ceiling:.0} t"), ThresholdKind::Ceiling),
            ],
            tall: true,
            told,
            ..StripLane::default()
        },
    ];
    lanes.extend(tanks);
    lanes
}

/// Stretches in which water is made.
fn making(view: &PassageView) -> Vec<Span> {
    let samples = &view.timeline.samples;
    let mut spans: Vec<Span> = Vec::new();
    for (k, sample) in samples.iter().enumerate() {
        if view.making_t_day.get(k).is_none_or(|t_day| *t_day <= 0.0) {
            continue;
        }
        let from_s = sample.at.as_second() as f64;
        let to_s = samples.get(k + 1).map_or(from_s, |next| next.at.as_second() as f64);
        match spans.last_mut() {
            Some(last) if last.to_s >= from_s => last.to_s = to_s,
            _ => spans.push(Span { from_s, to_s }),
        }
    }
    spans
}

/// The moment of arrival, where it lies in the plan.
fn arrival(view: &PassageView, word: &str) -> Option<Remark> {
    let sample = view.timeline.samples.get(view.arrival)?;
    Some(Remark { at_s: sample.at.as_second() as f64, text: word.to_owned() })
}

/// Starts, heat off and arrival.
fn events(view: &PassageView) -> Vec<Remark> {
    let at = |k: usize| view.timeline.samples.get(k).map(|sample| sample.at.as_second() as f64);
    let event = |k: Option<usize>, text: &str| {
        k.and_then(at).map(|at_s| Remark { at_s, text: text.to_owned() })
    };
    let orders = view.brief.policy.orders.iter();
    orders
        .flat_map(|order| [event(order.start, "start"), event(order.heat_off, "heat off")])
        .flatten()
        .chain(arrival(view, "arrival"))
        .collect()
}

/// A rule in a word or two for the legend.
fn legend(rule: &str) -> &str {
    match rule {
        "phase" => "not on sea passage",
        "settling" => "just after full away",
        "notice" => "just before end of passage",
        "distance" => "too near to land",
        "depth" => "too shallow",
        "load" => "too little load",
        "discharge" => "our own discharge",
        other => other,
    }
}

/// Stretches in which no water may be made, each named by the rule that forbids most of it.
fn spells(behind: &Behind<'_>, samples: &[Sample]) -> Vec<Spell> {
    let passed = behind.samples.iter().map(|then| (then.at, then.rule.as_deref()));
    let ahead = samples.iter().map(|s| (s.at, s.rule.as_ref().map(|rule| rule.word())));
    let all: Vec<(Timestamp, Option<&str>)> = passed.chain(ahead).collect();
    let mut spells: Vec<Spell> = Vec::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for (k, (at, rule)) in all.iter().enumerate() {
        let at_s = at.as_second() as f64;
        let next_s = all.get(k + 1).map_or(at_s, |(next, _)| next.as_second() as f64);
        let Some(rule) = rule else {
            counts.clear();
            continue;
        };
        if counts.is_empty() {
            let label = String::new();
            spells.push(Spell { span: Span { from_s: at_s, to_s: next_s }, label });
        }
        *counts.entry(rule).or_default() += 1;
        let most = counts.iter().max_by_key(|(_, count)| **count).map_or(*rule, |(most, _)| most);
        if let Some(last) = spells.last_mut() {
            last.span.to_s = next_s;
            last.label = legend(most).to_owned();
        }
    }
    spells
}
