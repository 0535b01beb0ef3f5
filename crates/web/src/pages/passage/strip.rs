//! The passage on one clock: distance off, sea, output, what is aboard; hatched where no water may be made.

use chart::{Band, Clock, Expected, Ids, Lane, Lanes, Limit, Span, Spell};
use desk::passage::PassageView;
use jiff::Timestamp;
use maud::{Markup, html};

use crate::parts::{self, Cell, Row, Table};

use super::answer::when;

/// Distances beyond this are drawn as this, nmi.
const FAR_NMI: f64 = 100.0;
/// Samples between rows of the table: six hours.
const ROW_EVERY: usize = 24;

pub(super) fn entry(view: &PassageView, now: Timestamp) -> Markup {
    let samples = &view.timeline.samples;
    let (Some(first), Some(last)) = (samples.first(), samples.last()) else { return html! {} };
    let span = Span { from_s: first.at.as_second() as f64, to_s: last.at.as_second() as f64 };
    let clock = Clock::sampled(span, |at_s| {
        let at = Timestamp::from_second(at_s as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        view.timeline.clock.zone(at).seconds()
    });
    let bands = &view.brief.bands;
    let stock = (0..samples.len()).map(|k| {
        let at = |band: &[f64]| band.get(k).copied().unwrap_or(f64::NAN);
        Expected {
            at_s: samples[k].at.as_second() as f64,
            middle: at(&bands.p50),
            band: Some(Band { low: at(&bands.p10), high: at(&bands.p90) }),
        }
    });
    let reserve = view.reserve_t.first().copied().unwrap_or(f64::NAN);
    let lanes = Lanes {
        title: "The passage on one clock".to_owned(),
        says: "Distance off, sea temperature, planned output and what is aboard, with the band that holds eight in ten."
            .to_owned(),
        span,
        now_s: Some(now.as_second() as f64),
        clock,
        stopped: spells(view),
        lanes: vec![
            lane(view, "Distance off", "nmi", 0, &|k| samples[k].sea.distance_off.nmi().min(FAR_NMI)),
            lane(view, "Sea", "°C", 1, &|k| samples[k].sea.temp_c),
            Lane { range: Some((0.0, 30.0)), ..lane(view, "Making", "t/day", 1, &|k| view.making_t_day[k]) },
            Lane {
                name: "Aboard".into(),
                unit: "t".into(),
                decimals: 0,
                expected: stock.collect(),
                limits: vec![Limit { value: reserve, label: format!("reserve {reserve:.0}") }],
                tall: true,
                ..Lane::default()
            },
        ],
    };
    let picture = chart::lanes(&mut Ids::new("passage"), &lanes);
    let note = html! {
        p { "Hatched: no water may be made there, by the rule named in the table." }
        p { "Distance, depth and sea are from data on a grid: " b { "not for navigation." } }
    };
    parts::entry(
        "The passage on one clock",
        note,
        html! { (parts::picture(&picture, "")) (parts::details("As a table", table(view))) },
    )
}

fn lane(
    view: &PassageView,
    name: &str,
    unit: &str,
    decimals: u8,
    value: &dyn Fn(usize) -> f64,
) -> Lane {
    let samples = &view.timeline.samples;
    let expected = (0..samples.len()).map(|k| Expected {
        at_s: samples[k].at.as_second() as f64,
        middle: value(k),
        band: None,
    });
    Lane {
        name: name.to_owned(),
        unit: unit.to_owned(),
        decimals,
        expected: expected.collect(),
        ..Lane::default()
    }
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

fn table(view: &PassageView) -> Markup {
    let samples = &view.timeline.samples;
    let bands = &view.brief.bands;
    let table = Table::new("Every six hours", "Ship’s time")
        .words("Position")
        .numbers("Off", "nmi")
        .numbers("Depth", "m")
        .numbers("Sea", "°C")
        .numbers("Load", "%")
        .numbers("Making", "t/day")
        .numbers("Aboard", "t")
        .words("1 in 10 below, above")
        .words("Water may be made");
    let rows = (0..samples.len()).step_by(ROW_EVERY).map(|k| {
        let sample = &samples[k];
        let at = |band: &[f64]| band.get(k).copied().unwrap_or(f64::NAN);
        let cells: [Cell; 9] = [
            sample.moment.position.to_string().into(),
            format!("{:.0}", sample.sea.distance_off.nmi()).into(),
            sample.sea.depth_m.map_or("–".to_owned(), |d| format!("{d:.0}")).into(),
            format!("{:.1}", sample.sea.temp_c).into(),
            format!("{:.0}", sample.load * 100.0).into(),
            format!("{:.1}", view.making_t_day.get(k).copied().unwrap_or(0.0)).into(),
            format!("{:.0}", at(&bands.p50)).into(),
            format!("{:.0} to {:.0}", at(&bands.p10), at(&bands.p90)).into(),
            match &sample.rule {
                None => "yes".to_owned(),
                Some(rule) => format!("no: {rule}"),
            }
            .into(),
        ];
        Row::new(html! { (when(sample.at, view.timeline.clock.zone(sample.at))) }, cells)
    });
    html! { (table.rows(rows)) }
}
