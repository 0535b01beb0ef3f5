//! Readings that cannot be as they stand: swapped, stuck, impossible, in a wrong unit. Named, and never a cause named surely.

use findings::{Cause, Family, Finding, Instrument, ReadingSet, Tables, explain};
use plant::Sheet;

use super::plant_at::{healthy, hours, read, read_more};

const ORDER: [Instrument; 5] = [
    Instrument::SeaTemp,
    Instrument::SeaOut,
    Instrument::VapourTemp,
    Instrument::JacketOut,
    Instrument::JacketIn,
];

/// A fortnight of two sets a day: the sea warms from 22 to 31 °C, jacket water goes with the engine's load.
fn fortnight() -> Vec<ReadingSet> {
    (0..28_i32)
        .map(|i| {
            let (part, swing) = (f64::from(i) / 27.0, f64::from(i % 5) - 2.0);
            let point = plant::Point {
                sea_temp_c: 22.0 + 9.0 * part,
                jacket_in_c: 84.0 + 1.5 * swing,
                ..healthy()
            };
            let mut set = read(&point, hours(12 * i64::from(i)));
            for instrument in Instrument::ALL {
                // As an eye takes it off the scale.
                let step = match instrument {
                    Instrument::ShellGauge => 0.01,
                    Instrument::Product => 0.1,
                    Instrument::ProductSalt | Instrument::EjectorPressure => 0.05,
                    _ => 0.5,
                };
                let off = f64::from((i * 7 + *instrument as i32 * 3) % 5 - 2) / 2.0;
                let taken = set.get(*instrument).map(|x| ((x / step + 0.6 * off).round()) * step);
                set.put(*instrument, taken);
            }
            set
        })
        .collect()
}

fn swapped(set: &mut ReadingSet, a: Instrument, b: Instrument) {
    let (x, y) = (set.get(a), set.get(b));
    set.put(a, y);
    set.put(b, x);
}

/// What must be said of readings that cannot be.
#[derive(Clone, Copy, PartialEq)]
enum Must {
    /// A statement that names what is wrong.
    Named,
    /// That, or nothing past its limit with more than a half but the very instrument.
    NamedOrDoubted,
}

struct Case {
    told: String,
    sets: Vec<ReadingSet>,
    /// The instrument that is wrong, where it is one.
    wrong: Option<Instrument>,
    must: Must,
}

type Change<'a> = &'a dyn Fn(&mut ReadingSet);

fn one(change: Change<'_>) -> Vec<ReadingSet> {
    let mut set = read(&healthy(), hours(0));
    change(&mut set);
    vec![set]
}

fn all(change: Change<'_>) -> Vec<ReadingSet> {
    let mut sets = fortnight();
    sets.iter_mut().for_each(change);
    sets
}

fn last(change: Change<'_>) -> Vec<ReadingSet> {
    let mut sets = fortnight();
    if let Some(set) = sets.last_mut() {
        change(set);
    }
    sets
}

fn swaps() -> Vec<Case> {
    let mut out = Vec::new();
    for (i, a) in ORDER.into_iter().enumerate() {
        for b in ORDER.into_iter().skip(i + 1) {
            let swap = |set: &mut ReadingSet| swapped(set, a, b);
            for (when, sets) in
                [("one set", one(&swap)), ("in the last", last(&swap)), ("in all", all(&swap))]
            {
                let told = format!("{} for {}, {when}", a.key(), b.key());
                out.push(Case { told, sets, wrong: None, must: Must::Named });
            }
        }
    }
    out
}

fn stuck() -> Vec<Case> {
    use Instrument as I;
    let mut out = Vec::new();
    for instrument in Instrument::ALL.iter().filter(|i| fortnight()[0].get(**i).is_some()) {
        let first = fortnight()[0].get(*instrument);
        let mut case = |when: &str, sets, must| {
            let told = format!("{} stuck {when}", instrument.key());
            out.push(Case { told, sets, wrong: Some(*instrument), must });
        };
        // A pump's pressure stands still; what would hardly have moved cannot be told from one that stands.
        let still = |all: bool| match instrument {
            I::EjectorPressure => Must::NamedOrDoubted,
            I::ShellGauge | I::ProductSalt if !all => Must::NamedOrDoubted,
            _ => Must::Named,
        };
        case("in all", all(&|set| set.put(*instrument, first)), still(true));
        let mut sets = fortnight();
        let stands = sets[12].get(*instrument);
        sets[12..].iter_mut().for_each(|set| set.put(*instrument, stands));
        case("from the middle", sets, still(false));
    }
    out
}

fn impossible() -> Vec<Case> {
    use Instrument as I;
    let mut out = Vec::new();
    for (told, instrument, figure, must) in [
        ("jacket out hotter than in", I::JacketOut, 89.0, Must::Named),
        ("vapour hotter than jacket in", I::VapourTemp, 92.0, Must::Named),
        ("vapour hotter than jacket out", I::VapourTemp, 78.0, Must::Named),
        ("sea out colder than in", I::SeaOut, 29.0, Must::Named),
        ("sea out hotter than vapour", I::SeaOut, 50.0, Must::Named),
        ("vapour colder than the sea", I::VapourTemp, 28.0, Must::Named),
        ("gauge below what the sea allows", I::ShellGauge, -1.01, Must::Named),
        ("absolute gauge below what the sea allows", I::ShellAbsolute, 12.0, Must::Named),
        ("absolute gauge in kPa", I::ShellAbsolute, 10.0, Must::Named),
        ("absolute gauge in mmHg", I::ShellAbsolute, 75.0, Must::NamedOrDoubted),
        ("vacuum without its sign", I::ShellGauge, 0.45, Must::Named),
        ("vapour in °F", I::VapourTemp, 114.8, Must::Named),
        ("sea in in °F", I::SeaTemp, 89.6, Must::Named),
        ("sea out in °F", I::SeaOut, 106.7, Must::Named),
        ("jacket out in °F", I::JacketOut, 167.0, Must::Named),
        ("jacket in in °F", I::JacketIn, 185.0, Must::Named),
        ("ejector pressure in MPa", I::EjectorPressure, 0.38, Must::Named),
        ("ejector pressure in psi", I::EjectorPressure, 55.0, Must::Named),
        ("output in t/h", I::Product, 1.0, Must::Named),
        ("output in l/min", I::Product, 16.7, Must::NamedOrDoubted),
    ] {
        let put = move |set: &mut ReadingSet| set.put(instrument, Some(figure));
        for (when, sets) in [("one set", one(&put)), ("in the last", last(&put))] {
            // One reading of many is weighed as a slip where it is not named.
            let told = format!("{told}, {when}");
            out.push(Case { told, sets, wrong: Some(instrument), must });
        }
    }
    out
}

fn explained(sets: &[ReadingSet]) -> Finding {
    explain(&Sheet::default(), &Tables::usual(24.0), sets).unwrap()
}

/// What is wrong with what is said of a case; nothing where it is right.
fn missed(case: &Case) -> Option<String> {
    let finding = explained(&case.sets);
    let named = !finding.odd.is_empty() || finding.sentence().contains("contradict");
    let lead = finding.causes.iter().find(|j| {
        let itself = case.wrong.is_some_and(|i| j.cause == Cause::Instrument(i));
        j.p_over_limit > 0.5 && !itself
    });
    let wrong = match case.must {
        Must::Named => !named || lead.is_some(),
        Must::NamedOrDoubted => lead.is_some(),
    };
    let leads = finding.causes.first().map(|j| format!("{} {:.2}", j.cause, j.p_over_limit));
    wrong.then(|| format!("{}: {leads:?}: {}", case.told, finding.sentence()))
}

fn none_missed(cases: &[Case]) {
    let missed: Vec<String> = cases.iter().filter_map(missed).collect();
    assert!(missed.is_empty(), "{} of {}: {missed:#?}", missed.len(), cases.len());
}

#[test]
fn ident_swapped_thermometers_are_named_and_blame_nothing() {
    none_missed(&swaps());
}

#[test]
fn ident_stuck_instruments_are_named_and_blame_nothing() {
    none_missed(&stuck());
}

#[test]
fn ident_impossible_figures_and_wrong_units_are_named_and_blame_nothing() {
    none_missed(&impossible());
}

/// What is left of the readings is weighed; the statement says which two, and that they stand the other way round.
#[test]
fn ident_a_statement_names_the_figures_and_what_they_would_be() {
    let said = |change: Change<'_>| explained(&one(change)).sentence();
    let swap = said(&|set| swapped(set, Instrument::SeaTemp, Instrument::VapourTemp));
    assert!(
        swap.contains(
            "Sea water in (46.06 °C) and the vapour temperature (32 °C) stand as if swapped"
        ),
        "{swap}"
    );
    let fahrenheit = said(&|set| set.put(Instrument::VapourTemp, Some(114.8)));
    assert!(fahrenheit.contains("Read in °F it would be 46 °C"), "{fahrenheit}");
    let jacket = said(&|set| set.put(Instrument::JacketOut, Some(89.0)));
    assert!(
        jacket.contains(
            "Jacket water in (85 °C) reads colder than jacket water out (89 °C): swapped"
        ),
        "{jacket}"
    );
    assert!(jacket.contains("both still count"), "{jacket}");
    let far = said(&|set| set.put(Instrument::JacketOut, Some(94.0)));
    assert!(far.contains("both were left out"), "{far}");
    let hour = said(&|set| set.put(Instrument::Product, Some(1.0)));
    assert!(hour.contains("Read in tonnes an hour it would be 24 t/day"), "{hour}");
    let kpa = said(&|set| set.put(Instrument::ShellAbsolute, Some(10.0)));
    assert!(kpa.contains("Read in kPa it would be 100 mbar"), "{kpa}");
    // In the history the sound sets go on.
    let finding = explained(&fortnight());
    assert!(finding.odd.is_empty(), "{:?}", finding.odd);
    assert!(finding.causes[0].p_over_limit < 0.2, "{}", finding.sentence());
}

/// A thermometer that is off by twice its limit stands out of order by little: it is named, and the fit blames it.
#[test]
fn ident_a_thermometer_out_of_order_by_little_is_named_and_blamed() {
    for (instrument, off) in [
        (Instrument::VapourTemp, -7.0),
        (Instrument::SeaOut, 7.5),
        (Instrument::BrineTemp, -6.0),
        (Instrument::ShellGauge, -0.1),
    ] {
        let mut set = read_more(&healthy(), hours(0));
        let shown = set.get(instrument).map(|x| x + off);
        set.put(instrument, shown);
        let finding = explained(&[set]);
        let said = finding.sentence();
        assert!(said.contains("still count"), "{said}");
        assert_eq!(finding.causes[0].cause, Cause::Instrument(instrument), "{said}");
    }
}

/// What contradicts itself is named with what to read again; no cause is told, none costs anything and no day is reckoned.
#[test]
fn ident_of_an_impossible_round_no_cause_is_told_and_nothing_reckoned() {
    let sound = explained(&one(&|_| {}));
    assert!(sound.held().is_none() && sound.loss.is_some(), "{}", sound.sentence());
    let finding = explained(&one(&|set| set.put(Instrument::JacketOut, Some(110.0))));
    let said = finding.sentence();
    assert!(finding.loss.is_none() && finding.growth.is_empty(), "{said}");
    assert!(
        said.contains("Read again: ") && said.contains("Until then no cause is to be relied on."),
        "{said}"
    );
    assert!(finding.held().is_some_and(|what| what.contains("jacket water out")), "{said}");
    for never in ["costs", "probably", "past its limit", "excl"] {
        assert!(!said.contains(never), "{never}: {said}");
    }
}

/// Hundreds of mg/kg in a short round: dump first, doubt the cell, and no one cause named surely, least of all the ejector.
#[test]
fn ident_salt_out_of_all_measure_is_dumped_first_and_not_the_ejectors() {
    for salt in [60.0, 300.0, 2000.0] {
        let mut set = read(&healthy(), hours(0));
        set.put(Instrument::ProductSalt, Some(salt));
        let finding = explained(std::slice::from_ref(&set));
        let said = finding.sentence();
        assert!(said.starts_with(&format!("Salinity is {salt} ppm, over 10: dump it")), "{said}");
        assert!(said.contains("Is the salinometer right?"), "{said}");
        let chance = |cause: Cause| finding.judged(cause).map_or(0.0, |j| j.p_over_limit);
        let ejector = chance(Cause::EjectorWear);
        assert!(
            ejector < chance(Cause::CondenserLeak) && ejector < 0.25,
            "{salt}: {ejector} {said}"
        );
        assert!(finding.causes[0].p_over_limit < 0.8, "{said}");
        assert!(finding.family(Family::Salt) > 0.4, "{said}");
        assert!(said.contains("Next to read: the salinity by a second instrument"), "{said}");
        let best = finding.checks.iter().find(|c| c.instrument == Instrument::SecondSalt).unwrap();
        assert!(best.bits > 0.2, "{:?}", finding.checks);
        set.put(Instrument::SecondSalt, Some(3.0));
        let finding = explained(std::slice::from_ref(&set));
        let first = finding.causes[0].cause;
        assert_eq!(first, Cause::Instrument(Instrument::ProductSalt), "{}", finding.sentence());
        assert!(
            finding.sentence().contains("A second instrument read 3"),
            "{}",
            finding.sentence()
        );
        set.put(Instrument::SecondSalt, Some(salt));
        let finding = explained(&[set]);
        let cell = finding.judged(Cause::Instrument(Instrument::ProductSalt)).unwrap();
        assert!(cell.p_over_limit < 0.05, "{}", finding.sentence());
    }
}
