//! From the desk's plain values to the pictures' own: a series to a lane, a row to its strip, a state to its mark.

use chart::{Ids, LimitStrip, StripSize};
use desk::view::{Compared, Gates, Series, Spot, State};
use maud::{Markup, PreEscaped};

use crate::parts::Mark;

/// The mark of a state.
pub(crate) fn mark(state: State) -> Mark {
    match state {
        State::AsExpected => Mark::Fits,
        State::Low => Mark::Low,
        State::High => Mark::High,
        State::PastLimit => Mark::Past,
        State::InDoubt => Mark::Doubt,
        State::NotRead => Mark::Missing,
        State::Read => Mark::Done,
    }
}

/// A quantity over time as a lane; `tall` for the one the page is about.
pub(crate) fn lane(series: &Series, tall: bool) -> chart::Lane {
    chart::Lane {
        name: series.label.clone(),
        unit: series.unit.clone(),
        decimals: series.digits,
        readings: series.spots.iter().map(reading).collect(),
        expected: series.spots.iter().filter_map(expected).collect(),
        envelope: series
            .spots
            .iter()
            .filter_map(|spot| {
                spot.envelope.map(|(low, high)| chart::Envelope { at_s: spot.at_s, low, high })
            })
            .collect(),
        limits: limits(series.gates, |value| desk::typed::digits(value, series.digits)),
        tall,
        ..chart::Lane::default()
    }
}

fn reading(spot: &Spot) -> chart::Reading {
    chart::Reading { at_s: spot.at_s, value: spot.read, was: spot.struck, in_doubt: false }
}

fn expected(spot: &Spot) -> Option<chart::Expected> {
    spot.expected.map(|band| chart::Expected {
        at_s: spot.at_s,
        middle: band.middle,
        band: Some(chart::Band { low: band.low, high: band.high }),
    })
}

fn limits(gates: Gates, text: impl Fn(f64) -> String) -> Vec<chart::Limit> {
    let low =
        gates.low.map(|value| chart::Limit { value, label: format!("at least {}", text(value)) });
    let high =
        gates.high.map(|value| chart::Limit { value, label: format!("at most {}", text(value)) });
    low.into_iter().chain(high).collect()
}

/// A reading between its limits, beside where it should be.
pub(crate) fn strip(ids: &mut Ids, row: &Compared, size: StripSize) -> Markup {
    let strip = LimitStrip {
        name: row.label.clone(),
        unit: row.unit.clone(),
        decimals: row.digits,
        low: row.gates.low,
        high: row.gates.high,
        expected: row.expected.map(|band| chart::Band { low: band.low, high: band.high }),
        read: row.read,
        in_doubt: row.state == State::InDoubt,
        range: Some(row.axis),
    };
    PreEscaped(chart::limit_strip(ids, &strip, size))
}

/// The spans in which the plant was shut down, as far as they lie in the time of a picture.
pub(crate) fn stopped(spans: &[(f64, f64)], of: chart::Span) -> Vec<chart::Spell> {
    let within = spans.iter().map(|&(from_s, to_s)| (from_s.max(of.from_s), to_s.min(of.to_s)));
    within
        .filter(|(from_s, to_s)| to_s > from_s)
        .map(|(from_s, to_s)| chart::Spell {
            span: chart::Span { from_s, to_s },
            label: "shut down".to_owned(),
        })
        .collect()
}
