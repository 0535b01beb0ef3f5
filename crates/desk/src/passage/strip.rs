//! The plan as lanes on one clock: distance off, sea, output, what is aboard; where no water may be made.

use chart::{
    Clock, Joined, PassageStrip, Remark, Span, Spell, StripLane, StripPoint, Threshold,
    ThresholdKind, Wash,
};
use jiff::Timestamp;

use super::PassageView;

/// Distances beyond this are drawn as this, nmi.
const FAR_NMI: f64 = 100.0;

/// The passage on one clock; `None` where there is nothing to draw.
#[must_use]
pub fn strip(view: &PassageView, now: Timestamp) -> Option<PassageStrip> {
    let samples = &view.timeline.samples;
    let (first, last) = (samples.first()?, samples.last()?);
    let span = Span { from_s: first.at.as_second() as f64, to_s: last.at.as_second() as f64 };
    let clock = Clock::sampled(span, |at_s| {
        let at = Timestamp::from_second(at_s as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        view.timeline.clock.zone(at).seconds()
    });
    Some(PassageStrip {
        title: "The passage on one clock".to_owned(),
        says: "Distance off, depth, sea temperature, load, planned output and what is aboard, with the band that holds eight in ten."
            .to_owned(),
        span,
        now_s: Some(now.as_second() as f64),
        clock,
        forbidden: spells(view),
        making: making(view),
        events: events(view),
        lanes: lanes(view),
    })
}

/// The same as a picture file of its own.
#[must_use]
pub fn strip_file(view: &PassageView, now: Timestamp) -> Option<String> {
    strip(view, now).map(|strip| chart::passage_strip_file(&strip))
}

fn lanes(view: &PassageView) -> Vec<StripLane> {
    let samples = &view.timeline.samples;
    let points = |value: &dyn Fn(usize) -> Option<f64>| {
        let point = |k: usize| StripPoint {
            at_s: samples[k].at.as_second() as f64,
            value: value(k),
            band: None,
        };
        (0..samples.len()).map(point).collect::<Vec<_>>()
    };
    let lane = |name: &str, unit: &str, decimals, value: &dyn Fn(usize) -> Option<f64>| StripLane {
        name: name.to_owned(),
        unit: unit.to_owned(),
        decimals,
        points: points(value),
        ..StripLane::default()
    };
    let bands = &view.brief.bands;
    let stock = (0..samples.len()).map(|k| {
        let at = |band: &[f64]| band.get(k).copied().unwrap_or(f64::NAN);
        let at_s = samples[k].at.as_second() as f64;
        StripPoint::banded(at_s, at(&bands.p50), at(&bands.p10), at(&bands.p90))
    });
    let first = |values: &[f64]| values.first().copied().unwrap_or(f64::NAN);
    let (reserve, ceiling) = (first(&view.reserve_t), first(&view.ceiling_t));
    let line = |value: f64, label: String, kind| Threshold { value, label, kind };
    let ordered = view.distance_off_nmi;
    vec![
        StripLane {
            cap: Some(FAR_NMI),
            hatched: true,
            thresholds: vec![line(ordered, format!("{ordered:.0} ordered"), ThresholdKind::Order)],
            ..lane("Distance off", "nmi", 0, &|k| Some(samples[k].sea.distance_off.nmi()))
        },
        StripLane {
            downward: true,
            wash: Wash::Sea,
            ..lane("Depth", "m", 0, &|k| samples[k].sea.depth_m)
        },
        lane("Sea", "°C", 1, &|k| Some(samples[k].sea.temp_c)),
        StripLane {
            joined: Joined::Step,
            ..lane("Load", "%", 0, &|k| Some(samples[k].load * 100.0))
        },
        StripLane {
            joined: Joined::Step,
            wash: Wash::Fresh,
            hatched: true,
            ..lane("Making", "t/day", 1, &|k| view.making_t_day.get(k).copied())
        },
        StripLane {
            name: "Aboard".to_owned(),
            unit: "t".to_owned(),
            points: stock.collect(),
            thresholds: vec![
                line(reserve, format!("reserve {reserve:.0} t"), ThresholdKind::Reserve),
                line(ceiling, format!("full {ceiling:.0} t"), ThresholdKind::Ceiling),
            ],
            tall: true,
            told: arrival(view, "on arrival"),
            ..StripLane::default()
        },
    ]
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

/// Stretches in which no water may be made, each named by its first rule.
fn spells(view: &PassageView) -> Vec<Spell> {
    let samples = &view.timeline.samples;
    let mut spells: Vec<Spell> = Vec::new();
    let mut open = false;
    for (k, sample) in samples.iter().enumerate() {
        let at_s = sample.at.as_second() as f64;
        let next_s = samples.get(k + 1).map_or(at_s, |next| next.at.as_second() as f64);
        match (&sample.rule, open) {
            (Some(rule), false) => {
                let label = rule.word().to_owned();
                spells.push(Spell { span: Span { from_s: at_s, to_s: next_s }, label });
                open = true;
            }
            (Some(_), true) => {
                if let Some(last) = spells.last_mut() {
                    last.span.to_s = next_s;
                }
            }
            (None, _) => open = false,
        }
    }
    spells
}
