//! The mixture against a long Markov chain (emcee 3.1.6) over the same prior and readings: probabilities, spreads, ties.

use std::collections::BTreeMap;

use findings::prior::{self, Unknown};
use findings::{Cause, Finding, Instrument, ReadingSet, Tables, explain};
use plant::Sheet;

use super::plant_at::hours;

const CASES: &str = include_str!("../../../../validation/findings/cases.csv");
const POSTERIOR: &str = include_str!("../../../../validation/findings/posterior.csv");

/// Unknowns in the order of the chain's state.
const ORDER: [Unknown; 11] = [
    Unknown::Scale,
    Unknown::Fouling,
    Unknown::Air,
    Unknown::Ejector,
    Unknown::JacketFlow,
    Unknown::SeaFlow,
    Unknown::Feed,
    Unknown::CarryOver,
    Unknown::Leak,
    Unknown::Motive,
    Unknown::Back,
];

fn cases() -> BTreeMap<String, Finding> {
    let mut sets: BTreeMap<String, ReadingSet> = BTreeMap::new();
    for row in csv::Reader::from_reader(CASES.as_bytes()).records() {
        let row = row.unwrap();
        let set = sets.entry(row[0].to_owned()).or_insert_with(|| ReadingSet::at(hours(0)));
        let instrument = Instrument::ALL.iter().find(|i| i.key() == &row[1]).unwrap();
        set.put(*instrument, Some(row[2].parse().unwrap()));
    }
    let tables = Tables::usual(24.0);
    let explained =
        |set: &ReadingSet| explain(&Sheet::default(), &tables, std::slice::from_ref(set)).unwrap();
    sets.into_iter().map(|(name, set)| (name, explained(&set))).collect()
}

/// Probabilities within 0.08, ends of the intervals and means within a quarter of their width and of a standard deviation, spreads within
/// 0.35, the strongest tie of each unknown within 0.15.
///
/// Where salt is high, a brine level that rises past the ejector's capacity may be why, or not: a kink that normal densities about their
/// own tops follow roughly. There the ejector's wear, the feed and the motive pressure are held to wider bounds.
#[test]
fn cross_mixture_against_emcee_3_1_6() {
    let findings = cases();
    let lines = prior::usual(24.0);
    let (mut rows, mut missed) = (0, Vec::new());
    for row in csv::Reader::from_reader(POSTERIOR.as_bytes()).records() {
        let row = row.unwrap();
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let finding = &findings[&row[0]];
        let line = lines.iter().find(|l| l.cause.key() == row[1]).unwrap();
        let judged = finding.judged(line.cause).unwrap();
        let rated = match line.cause {
            Cause::MotivePressure => 4.0,
            Cause::Overboard => 0.4,
            _ => 0.0,
        };
        let scale = |value: f64| line.transform.to(value - rated);
        let (low, high) = (number(6), number(7));
        let width = high - low;
        let place = format!("{} {}", &row[0], &row[1]);
        rows += 1;
        let kink = &row[0] == "salt"
            && matches!(line.unknown, Unknown::Ejector | Unknown::Feed | Unknown::Motive);
        let (end, spread) = if kink { (0.45, 0.6) } else { (0.25, 0.35) };
        let mut check = |what: &str, got: f64, wanted: f64, within: f64| {
            if (got - wanted).abs() > within {
                missed.push(format!("{place}, {what}: {got:.3} against {wanted:.3}"));
            }
        };
        check("probability", judged.p_over_limit, number(2), 0.08 + 2.0 * number(3));
        check("low end", scale(judged.low), low, end * width);
        check("high end", scale(judged.high), high, end * width);
        let (mean, sd) = finding.spread(line.unknown);
        check("mean", mean, number(4), 0.25 * number(5));
        check("spread", sd, number(5), spread * number(5));
        let with = ORDER[row[8].parse::<usize>().unwrap()];
        check("tie", finding.tie(line.unknown, with), number(9), 0.15);
    }
    assert!(missed.is_empty(), "{missed:#?}");
    assert!(rows == 72, "{rows} rows");
}
