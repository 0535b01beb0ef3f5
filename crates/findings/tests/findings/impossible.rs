//! Readings that cannot be: told by name, and never a cause named without a doubt.

use findings::{Finding, FindingsError, Instrument, ReadingSet, Tables, explain};
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
    assert!(finding.sentence().contains("Not read: jacket water in"), "{}", finding.sentence());
}
