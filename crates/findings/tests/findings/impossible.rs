//! Readings that cannot be: told by name, and never a cause named without a doubt.

use findings::{Cause, Finding, FindingsError, Instrument, ReadingSet, Tables, explain};
use plant::Sheet;

use super::plant_at::{healthy, hours, read};

fn explained(sets: &[ReadingSet]) -> Finding {
    explain(&Sheet::default(), &Tables::usual(24.0), sets).unwrap()
}

#[test]
fn ident_a_stopped_plant_is_no_fault() {
    let mut set = read(&healthy(), hours(0));
    set.put(Instrument::Product, Some(0.0));
    set.put(Instrument::ShellGauge, Some(0.0));
    let none = explain(&Sheet::default(), &Tables::usual(24.0), &[set]).unwrap_err();
    assert!(matches!(none, FindingsError::NoReadings { .. }));
    assert!(none.to_string().contains("not making water"), "{none}");
}

#[test]
fn ident_swapped_readings_are_named_and_left_out() {
    let mut set = read(&healthy(), hours(0));
    let (warm, cold) = (set.get(Instrument::JacketIn), set.get(Instrument::JacketOut));
    set.put(Instrument::JacketIn, cold);
    set.put(Instrument::JacketOut, warm);
    let finding = explained(&[set]);
    assert!(finding.sentence().contains("swapped"), "{}", finding.sentence());
    assert!(finding.causes[0].p_over_limit < 0.5, "{}", finding.sentence());
}

#[test]
fn ident_a_stuck_instrument_is_named() {
    let sets: Vec<ReadingSet> = (0..10)
        .map(|day| {
            let point = plant::Point { sea_temp_c: 24.0 + 0.7 * f64::from(day), ..healthy() };
            let mut set = read(&point, hours(24 * i64::from(day)));
            set.put(Instrument::SeaOut, Some(38.5));
            set
        })
        .collect();
    let finding = explained(&sets);
    assert!(finding.sentence().contains("stuck"), "{}", finding.sentence());
    assert!(finding.causes[0].p_over_limit < 0.5, "{}", finding.sentence());
}

/// Each figure alone can be; together no state of this plant, and no two faults, show them.
#[test]
fn ident_contradictory_readings_are_said_to_be_so() {
    let mut set = read(&healthy(), hours(0));
    set.put(Instrument::VapourTemp, Some(62.0));
    set.put(Instrument::JacketOut, Some(56.0));
    set.put(Instrument::SeaOut, Some(58.0));
    set.put(Instrument::Product, Some(41.0));
    let finding = explained(&[set]);
    let said = finding.sentence();
    assert!(said.contains("contradict"), "{said}");
    assert!(finding.causes.iter().all(|j| j.p_over_limit < 0.5), "{said}");
}

/// One figure alone says little, and the sentence says what was not read.
#[test]
fn ident_too_few_readings_are_said_to_be_so() {
    let mut set = ReadingSet::at(hours(0));
    set.put(Instrument::Product, Some(17.0));
    let finding = explained(&[set]);
    assert!(finding.causes[0].p_over_limit < 0.9, "{}", finding.sentence());
    let said = finding.sentence();
    assert!(said.contains("fewer readings than unknowns"), "{said}");
    assert!(said.contains("Next to read: jacket water in"), "{said}");
    assert!(!said.contains("Nothing is past its limit"), "{said}");
}

/// A round with the counter alone far off: the counter is doubted, the dip that settles it is offered, its limit is to either side.
#[test]
fn ident_a_doubted_meter_is_dipped_after() {
    let mut set = read(&healthy(), hours(0));
    set.put(Instrument::Product, Some(19.0));
    let finding = explained(&[set]);
    let said = finding.sentence();
    let meter = finding.judged(Cause::Instrument(Instrument::Product)).unwrap();
    assert!(meter.p_over_limit > 0.05, "{said}");
    let dip = finding.checks.iter().find(|check| check.instrument == Instrument::ProductDip);
    assert!(dip.is_some_and(|check| finding.worth(check)), "{said}");
    let first = finding.checks.iter().take(3).any(|c| c.instrument == Instrument::ProductDip);
    assert!(first, "{:?}", finding.checks);
    assert_eq!(meter.cause.told_limit(meter.limit), "±10 %");
}

/// Whatever stands on the instruments, within what can be typed: an answer with sound numbers, or a refusal in words.
#[test]
fn ident_any_readings_at_all_are_answered_soundly() {
    let tables = Tables::usual(24.0);
    // A linear congruence (Knuth, MMIX): the same readings everywhere.
    let mut state = 20_251_116_u64;
    let mut even = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for _ in 0..50 {
        let count = 1 + (4.0 * even()) as usize;
        let sets: Vec<ReadingSet> = (0..count)
            .map(|i| {
                let mut set = read(&healthy(), hours(30 * i as i64));
                for line in &tables.instruments {
                    let (low, high) = line.range;
                    match even() {
                        x if x < 0.10 => {
                            set.put(line.instrument, Some(low + (high - low) * even()))
                        }
                        x if x < 0.25 => set.put(line.instrument, None),
                        x if x < 0.35 => {
                            let off = set.get(line.instrument).map(|y| y * (0.7 + 0.6 * even()));
                            set.put(line.instrument, off);
                        }
                        _ => {}
                    }
                }
                set
            })
            .collect();
        match explain(&Sheet::default(), &tables, &sets) {
            Ok(finding) => {
                for j in &finding.causes {
                    assert!((0.0..=1.0 + 1e-9).contains(&j.p_over_limit), "{j:?}");
                    assert!((0.0..=1.0 + 1e-9).contains(&j.p_changed), "{j:?}");
                    assert!(j.low <= j.value && j.value <= j.high, "{j:?}");
                }
                assert!(!finding.sentence().is_empty() && !finding.sentence().contains("NaN"));
            }
            Err(e) => assert!(!e.to_string().is_empty()),
        }
    }
}
