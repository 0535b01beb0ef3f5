//! What every reading should be under the conditions of its own round, with the band that holds nine in ten.

use std::collections::BTreeMap;

use plant::{Banded, Banding, Flag, Infeasible, NINE_IN_TEN};

use crate::conditions::{Conditions, Figures, NoPoint, conditions};
use crate::field::{self, Reading, Role};
use crate::instrument;
use crate::setup::Setup;
use crate::typed::{digits, unit_of};
use crate::view::{Band, Compared, Gates, State};

/// Standard atmosphere a vacuum dial is printed for, hPa.
pub(crate) const DIAL_HPA: f64 = 1013.25;

/// Why nothing can be expected.
#[derive(Debug, Clone, PartialEq)]
pub enum NoExpectation {
    /// Readings are missing or a condition is not taken.
    Point(NoPoint),
    /// The plant cannot run under these conditions.
    Infeasible(Infeasible),
}

impl std::fmt::Display for NoExpectation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoExpectation::Point(e) => e.fmt(f),
            NoExpectation::Infeasible(e) => write!(f, "A sound plant would not run like this: {e}"),
        }
    }
}

impl std::error::Error for NoExpectation {}

/// What a sound, clean plant would show.
#[derive(Debug, Clone, PartialEq)]
pub struct Expectation {
    /// The conditions it is for.
    pub conditions: Conditions,
    /// The plant's answer with its spreads.
    pub banded: Banded,
    /// Band by reading name, in the reading's unit, the instrument's own error included.
    pub readings: BTreeMap<&'static str, Band>,
    /// Output, t/day, without a meter's error.
    pub product_t_day: Band,
    /// Heat from the engine, kW.
    pub heat_kw: Band,
}

/// Works out what a round's readings should be.
///
/// # Errors
/// What is missing, or why no plant could run like this.
pub fn expect(
    setup: &Setup,
    banding: &Banding<'_>,
    read: &Figures,
) -> Result<Expectation, NoExpectation> {
    let conditions = conditions(&setup.ship, &setup.plant, read).map_err(NoExpectation::Point)?;
    let banded = banding.at(&conditions.point).map_err(NoExpectation::Infeasible)?;
    let barometer = conditions.point.barometer_hpa;
    let mut readings = BTreeMap::new();
    for reading in field::READINGS {
        if let Role::Answer(key) = reading.role
            && let Some(band) = band_of(setup, reading, key, &banded, barometer)
        {
            readings.insert(reading.key, band);
        }
    }
    let plain = |key: &str, scale: f64| {
        let (low, high) = banded.band(key).unwrap_or((f64::NAN, f64::NAN));
        let middle = banded.solution.get(key).unwrap_or(f64::NAN);
        Band { middle: middle * scale, low: low * scale, high: high * scale }
    };
    let product_t_day = plain("product_t_day", 1.0);
    let heat_kw = plain("evaporator_heat_w", 1.0e-3);
    Ok(Expectation { conditions, product_t_day, heat_kw, banded, readings })
}

/// Model's spread and instrument's errors together, in the reading's unit.
fn band_of(
    setup: &Setup,
    reading: &'static Reading,
    key: &str,
    banded: &Banded,
    barometer_hpa: f64,
) -> Option<Band> {
    let value = banded.solution.get(key).ok()?;
    let sigma = banded.sigma(key)?;
    let (middle, sigma) = match reading.key {
        // A dial shows how far the shell is under the day's atmosphere, on a scale printed for the standard one.
        "shell_gauge_bar_g" => {
            ((barometer_hpa - value / 100.0) / DIAL_HPA * 100.0, sigma / DIAL_HPA)
        }
        _ => (value, sigma),
    };
    let (standing, each) = instrument::errors(&setup.ship, reading.key, middle);
    let whole = (sigma * sigma + standing * standing + each * each).sqrt();
    let half = NINE_IN_TEN * whole;
    if reading.key == "product_salt_mg_kg" && middle > 0.0 {
        // Salt is known within a factor.
        let factor = (half / middle).min(3.0).exp();
        return Some(Band { middle, low: middle / factor, high: middle * factor });
    }
    Some(Band { middle, low: middle - half, high: middle + half })
}

/// The ship's limits on a reading, in its unit. The vacuum's is for a corrected reading: on the dial it moves with the
/// barometer of the day, hPa.
#[must_use]
pub fn gates(setup: &Setup, key: &str, barometer_hpa: Option<f64>) -> Gates {
    let (limits, sheet) = (&setup.ship.limits, &setup.ship.sheet);
    let low = |x| Gates { low: Some(x), high: None };
    let high = |x| Gates { low: None, high: Some(x) };
    match key {
        "product_salt_mg_kg" => high(limits.salinity_dump_mg_kg),
        "shell_gauge_bar_g" => {
            low(limits.vacuum_min_percent * barometer_hpa.unwrap_or(DIAL_HPA) / DIAL_HPA)
        }
        "vapour_temp_c" => {
            Gates { low: Some(sheet.vapour_temp_min_c), high: Some(limits.vapour_max_c) }
        }
        "sea_out_c" => high(sheet.sea_out_max_c),
        "ejector_pressure_bar_g" => low(limits.ejector_min_bar_g),
        "back_pressure_bar_g" => high(limits.back_max_bar_g),
        "brine_salinity_g_kg" => high(limits.brine_max_g_kg),
        "engine_jacket_out_c" => {
            Gates { low: Some(limits.engine_jacket_min_c), high: Some(limits.engine_jacket_max_c) }
        }
        "product_t_day" => high(sheet.product_max_t_day),
        _ => Gates::default(),
    }
}

/// What must be said of an expectation: where a sound plant run like this would go past a limit, and where a table the
/// expectation stands on ends. Common practice.
#[must_use]
pub fn beyond(setup: &Setup, e: &Expectation) -> Vec<String> {
    let most = setup.ship.sheet.product_max_t_day;
    let mut beyond = Vec::new();
    if e.product_t_day.middle > most {
        beyond.push(format!(
            "Left like this it could give more than the maker’s most of {} t/day: when it makes that, open the by-pass and note its position, or what is made looks short.",
            digits(most, 1)
        ));
    }
    let flags = e.banded.solution.flags.iter().filter(|flag| **flag != Flag::OverMaximum);
    beyond.extend(
        flags.map(|flag| format!("Left like this: {}", crate::typed::lower_first(flag.sentence()))),
    );
    let load = e.conditions.known.iter().find(|known| known.key == "engine_load");
    beyond.extend(load.and_then(|load| beyond_table(setup, load.value)));
    beyond
}

/// More than this share over what the engine can spare is told: load, flow and table are not known better (our estimate).
const OVER_SPARE: f64 = 1.1;

/// That more heat is taken than the engine can spare at its load, with what would be made without: as measured, or by what a
/// sound plant run like this would take. None where load or heat is not known.
#[must_use]
pub fn over_spare(setup: &Setup, e: &Expectation, taken_kw: Option<f64>) -> Option<String> {
    // Where the by-pass is read the engine's limit does not move the point, so the load stands beside it.
    let load = e.conditions.known.iter().find(|known| known.key == "engine_load")?.value;
    let spare_kw = setup.plant.spare_heat_w(load) / 1000.0;
    let takes_kw = taken_kw.unwrap_or(e.heat_kw.middle);
    if takes_kw <= OVER_SPARE * spare_kw {
        return None;
    }
    let point = plant::Point { engine_load: Some(load), ..e.conditions.point.clone() };
    let held = setup.plant.trimmed(&point);
    let held = held.map_or_else(
        |_| "with what is left nothing boils".to_owned(),
        |held| format!("held to that it makes {} t/day", digits(held.product_t_day, 1)),
    );
    let takes = if taken_kw.is_some() {
        "are taken"
    } else {
        "would be taken by a sound plant run like this"
    };
    Some(format!(
        "More heat than the engine can spare: {takes_kw:.0} kW {takes}, and at {} % load it can spare {spare_kw:.0}; {held}. Open the by-pass before its jacket water falls, and never move its set point.",
        digits(load, 0)
    ))
}

/// That the engine's load lies outside its table of jacket heat.
#[must_use]
pub fn beyond_table(setup: &Setup, load_percent: f64) -> Option<String> {
    let table = &setup.ship.sheet.jacket_heat_table;
    let (first, last) = (table.first()?[0], table.last()?[0]);
    (!(first..=last).contains(&load_percent)).then(|| {
        let end = if load_percent < first { first } else { last };
        format!(
            "The table of jacket heat on the page Ship runs from {first} to {last} % load: at {} % the heat of {end} % is reckoned with, {}.",
            digits(load_percent, 0),
            if load_percent < first { "and there is less, at standstill none" } else { "and there is a little more" }
        )
    })
}

/// What it means when a reading is past its limit. Common practice.
fn meaning(key: &str, low: bool) -> &'static str {
    match (key, low) {
        ("product_salt_mg_kg", _) => {
            "Salinity out of limit: let it dump, check level, output and a second salinometer. Never force the valve."
        }
        ("shell_gauge_bar_g", _) => {
            "Vacuum lost: nozzle pressure, air, condenser cooling, in that order. Correct for the barometer first."
        }
        ("vapour_temp_c", true) => {
            "The shell is too cold: cut the condenser's sea water, or salt comes over."
        }
        ("vapour_temp_c", false) => {
            "The shell is too hot: scale hurries. Look at vacuum and cooling, or take less heat."
        }
        ("sea_out_c", _) => "Too little sea water through the condenser: strainer, throttle, pump.",
        ("ejector_pressure_bar_g", _) => {
            "Under the knee the jet draws neither air nor brine: strainer, pump, aerated chest."
        }
        ("back_pressure_bar_g", _) => {
            "The jet works against too much: overboard valve not full open, or deep draught."
        }
        ("brine_salinity_g_kg", _) => {
            "Too little feed for the output: orifice and strainer, before scale is laid down."
        }
        ("engine_jacket_out_c", true) => {
            "The engine gets too cold: open the by-pass. Never move the engine's set point to make water."
        }
        ("engine_jacket_out_c", false) => {
            "The engine gets too warm: see to the engine first, shut the heat if in doubt."
        }
        ("product_t_day", _) => {
            "Over the maker's maximum: open the by-pass, the demister is overrun next."
        }
        _ => "Past the limit set on the page Ship.",
    }
}

/// One reading beside its expectation and limits.
#[must_use]
pub fn compare(
    setup: &Setup,
    reading: &'static Reading,
    read: Option<f64>,
    expected: Option<Band>,
    barometer_hpa: Option<f64>,
) -> Compared {
    let gates = gates(setup, reading.key, barometer_hpa);
    let state = match (read, expected) {
        (None, _) => State::NotRead,
        (Some(x), _) if gates.passed_by(x) => State::PastLimit,
        (Some(x), Some(band)) if x < band.low => State::Low,
        (Some(x), Some(band)) if x > band.high => State::High,
        (Some(_), Some(_)) => State::AsExpected,
        (Some(_), None) => State::Read,
    };
    let meaning = (state == State::PastLimit).then(|| {
        meaning(reading.key, gates.low.is_some_and(|l| read.is_some_and(|x| x < l))).to_owned()
    });
    Compared {
        key: reading.key.into(),
        label: reading.label.into(),
        place: reading.place.into(),
        unit: unit_of(reading).symbol().into(),
        digits: reading.digits,
        read,
        expected,
        axis: axis(read, expected, gates, reading),
        gates,
        state,
        meaning,
        set_right: None,
    }
}

/// Ends of the strip: everything on it with a margin; the usual range where there is nothing.
fn axis(read: Option<f64>, expected: Option<Band>, gates: Gates, reading: &Reading) -> (f64, f64) {
    let mut marks: Vec<f64> = [read, gates.low, gates.high].into_iter().flatten().collect();
    marks.extend(expected.into_iter().flat_map(|b| [b.low, b.high]));
    marks.retain(|x| x.is_finite());
    let (low, high) =
        marks.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(*x), h.max(*x)));
    if low >= high {
        return reading.usual;
    }
    let margin = 0.18 * (high - low);
    let floor = if reading.hard.0 >= 0.0 && low >= 0.0 { 0.0 } else { f64::NEG_INFINITY };
    ((low - margin).max(floor), high + margin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    #[test]
    fn ident_more_heat_than_the_engine_can_spare_is_told_with_what_is_left() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let banding = setup.plant.banding(&setup.uncertainty).expect("bands");
        let at = |load: f64| {
            let figures = [
                ("sea_temp_c", 30.0),
                ("jacket_in_c", 84.0),
                ("engine_load_percent", load),
                ("bypass_percent", 0.0),
                ("condenser_throttle_percent", 100.0),
            ];
            let figures = figures.map(|(key, x)| (key.to_owned(), x)).into();
            expect(&setup, &banding, &figures).expect("an expectation")
        };
        let (low, high) = (at(25.0), at(80.0));
        let spare_kw = setup.plant.spare_heat_w(25.0) / 1000.0;
        assert!(low.heat_kw.middle > 1.1 * spare_kw, "{} of {spare_kw}", low.heat_kw.middle);
        let told = over_spare(&setup, &low, None).expect("told");
        let point = plant::Point { engine_load: Some(25.0), ..low.conditions.point.clone() };
        let held = setup.plant.trimmed(&point).expect("held").product_t_day;
        assert!(
            told.contains(&format!("{spare_kw:.0}; held to that it makes {}", digits(held, 1))),
            "{told}"
        );
        // Measured heat counts before reckoned heat; at sea load nothing is to be told.
        assert_eq!(over_spare(&setup, &low, Some(spare_kw)), None);
        assert!(over_spare(&setup, &low, Some(1.2 * spare_kw)).is_some());
        assert_eq!(over_spare(&setup, &high, None), None);
    }

    #[test]
    fn ident_the_vacuum_limit_moves_with_the_barometer() {
        let setup = Setup::from_ship(marram()).expect("demonstration sheet");
        let low = |hpa| gates(&setup, "shell_gauge_bar_g", hpa).low.expect("limit");
        assert!((low(None) - 85.0).abs() < 1e-9);
        // 85 % of 980 hPa is 833 hPa under the atmosphere: 82.2 % on a dial printed for 1013.25 hPa.
        assert!((low(Some(980.0)) - 82.211).abs() < 1e-3);
    }
}
