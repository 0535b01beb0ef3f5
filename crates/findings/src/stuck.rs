//! Instruments that show one figure while they should have moved: found, named, left out.

use plant::Sheet;

use crate::contradiction::{capital, figure};
use crate::instrument::{Instrument, Line};
use crate::observe::{Moment, Observer, SetFlows};
use crate::prior::{PLANT_UNKNOWNS, Unknown};
use crate::set::ReadingSet;
use crate::tables::Tables;

/// So many readings of one figure on end may be a stuck instrument.
const STUCK: usize = 8;
/// Others that must have moved meanwhile, where one figure fills the whole record.
const OTHERS: usize = 3;
/// It should have moved by so many deviations of one reading.
const SHOULD_MOVE: f64 = 4.0;
/// What an inlet should have moved by, as its outlet did under the same marks, K.
const OUTLET_MOVED_K: f64 = 3.0;
/// Flows set within this part of each other are the same marks.
const SAME_MARKS: f64 = 0.08;
/// Standard atmosphere, hPa.
const STANDARD_HPA: f64 = 1013.25;

/// Takes out instruments that stick; each with what is to be said of it.
pub(crate) fn stuck(
    sheet: &Sheet,
    tables: &Tables,
    sets: &mut [ReadingSet],
) -> Vec<(Instrument, String)> {
    let found: Vec<(Instrument, Vec<usize>)> =
        Instrument::ALL.iter().filter_map(|i| Some((*i, run(sheet, tables, sets, *i)?))).collect();
    found
        .into_iter()
        .map(|(instrument, places)| {
            let shown = places.first().and_then(|at| sets[*at].get(instrument));
            let whole = sets.iter().filter(|s| s.get(instrument).is_some()).count();
            let count = places.len();
            for at in places {
                sets[at].put(instrument, None);
            }
            let of = if count == whole {
                format!("in all of {count} readings")
            } else {
                format!("in the last {count} of {whole} readings, while it should have moved")
            };
            let says = format!(
                "{} showed {} {of}: stuck or copied; {} left out.",
                capital(instrument.words()),
                figure(shown.unwrap_or_default()),
                if count == whole { "it was" } else { "these were" }
            );
            (instrument, says)
        })
        .collect()
}

/// Places of the last readings that show one figure and should not.
fn run(
    sheet: &Sheet,
    tables: &Tables,
    sets: &[ReadingSet],
    instrument: Instrument,
) -> Option<Vec<usize>> {
    let places: Vec<usize> =
        (0..sets.len()).filter(|at| sets[*at].get(instrument).is_some()).collect();
    let shown = sets[*places.last()?].get(instrument);
    let same = places.iter().rev().take_while(|at| sets[**at].get(instrument) == shown).count();
    if same < STUCK {
        return None;
    }
    let run = places[places.len() - same..].to_vec();
    // A jacket on its set point, a pump on its curve and a line overboard may stand still.
    let still = matches!(
        instrument,
        Instrument::JacketIn | Instrument::EjectorPressure | Instrument::BackPressure
    );
    let sticks = if same == places.len() && !still {
        others_moved(sets, instrument)
    } else {
        let within: Vec<&ReadingSet> = run.iter().map(|at| &sets[*at]).collect();
        should_have_moved(sheet, tables, &within, instrument)
    };
    sticks.then_some(run)
}

fn others_moved(sets: &[ReadingSet], instrument: Instrument) -> bool {
    let others = Instrument::ALL.iter().filter(|i| **i != instrument);
    let moving = others.filter(|i| {
        let mut seen = sets.iter().filter_map(|s| s.get(**i));
        seen.next().is_some_and(|x| seen.any(|y| y != x))
    });
    moving.count() >= OTHERS
}

fn range(figures: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = figures
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    if high > low { high - low } else { 0.0 }
}

/// Whether a sound plant under the same sea, jacket water and marks would have moved the reading.
fn should_have_moved(
    sheet: &Sheet,
    tables: &Tables,
    sets: &[&ReadingSet],
    instrument: Instrument,
) -> bool {
    let of = |i: Instrument| range(sets.iter().filter_map(|s| s.get(i)));
    match instrument {
        Instrument::JacketIn => {
            return same_marks(sheet, sets) && of(Instrument::JacketOut) > OUTLET_MOVED_K;
        }
        Instrument::SeaTemp => {
            return same_marks(sheet, sets)
                && of(Instrument::SeaOut) > OUTLET_MOVED_K
                && of(Instrument::VapourTemp) > OUTLET_MOVED_K - 1.0;
        }
        _ => {}
    }
    let Some(line) = tables.instrument(instrument) else { return false };
    let should: Vec<f64> = foretold(sheet, tables, sets, line);
    let one = sets.last().and_then(|s| s.get(instrument)).unwrap_or_default();
    range(should.into_iter()) > SHOULD_MOVE * line.each_variance(one).sqrt()
}

fn same_marks(sheet: &Sheet, sets: &[&ReadingSet]) -> bool {
    let flows = |s: &&ReadingSet| s.set.unwrap_or_else(|| SetFlows::rated(sheet));
    let within = |of: &dyn Fn(SetFlows) -> f64| {
        let least = sets.iter().map(|s| of(flows(s))).fold(f64::INFINITY, f64::min);
        range(sets.iter().map(|s| of(flows(s)))) <= SAME_MARKS * least
    };
    within(&|f| f.jacket_kg_s) && within(&|f| f.condenser_kg_s)
}

/// What a sound plant would show, in the scale of the instrument; moments in which it cannot run are passed over.
fn foretold(sheet: &Sheet, tables: &Tables, sets: &[&ReadingSet], line: &Line) -> Vec<f64> {
    let observer = Observer::new(sheet, &tables.causes);
    let mut u = [0.0; PLANT_UNKNOWNS];
    for cause in &tables.causes {
        u[cause.unknown as usize] = cause.healthy_u().0;
    }
    u[Unknown::Convective as usize] = 0.0;
    let Ok(plant) = observer.plant(&u) else { return Vec::new() };
    let mut start = None;
    sets.iter()
        .filter_map(|set| {
            let moment = Moment {
                jacket_in_c: set.get(Instrument::JacketIn)?,
                sea_temp_c: set.get(Instrument::SeaTemp)?,
                barometer_hpa: set.barometer_hpa.unwrap_or(STANDARD_HPA),
                set: set.set.unwrap_or_else(|| SetFlows::rated(sheet)),
            };
            let point = observer.point(&u, &moment);
            let solution = plant.fitted(&point, start).ok()?;
            start = Some((solution.shell_pressure_pa, solution.vapour_kg_s));
            let shows = Observer::quantities(&solution, &point)[line.quantity as usize];
            let shows = line.shows(shows, 0.0).0;
            let gauge = line.instrument == Instrument::ShellGauge;
            Some(if gauge { shows - moment.barometer_hpa } else { shows })
        })
        .collect()
}
