//! The typed layer: refused beyond every source, flagged where one ends, finite everywhere else.

use proptest::prelude::*;
use quantity::{Conductivity, GaugePressure, MassFraction, Pressure, Salinity, Temperature};
use std::collections::BTreeSet;
use water::{PROPERTIES, PropertyError, State};

fn at(t: f64, s: f64, p: f64) -> Result<State, PropertyError> {
    water::state(Temperature::from_celsius(t), Salinity::from_g_kg(s), Pressure::from_pa(p))
}

fn flagged(t: f64, s: f64, p: f64, key: &str) -> bool {
    !at(t, s, p).unwrap().find(key).unwrap().in_range
}

#[test]
fn a_state_beyond_every_source_is_refused_with_numbers() {
    let error = at(46.0, 250.0, 1e4).unwrap_err();
    assert!(matches!(
        error,
        PropertyError::OutOfRange { quantity: "salinity", lowest: 0.0, highest: 200.0, .. }
    ));
    let said = error.to_string();
    assert!(
        said.contains("250") && said.contains("200 g/kg") && said.contains("Sharqawy"),
        "{said}"
    );
    assert!(at(181.0, 35.0, 1e5).is_err());
    assert!(at(46.0, 35.0, 100.0).is_err());
    assert_eq!(at(f64::NAN, 35.0, 1e5), Err(PropertyError::NotFinite { quantity: "temperature" }));
}

#[test]
fn the_ends_of_the_range_survive_unit_conversion() {
    assert!(at(0.0, 0.0, 611.657).is_ok());
    assert!(at(180.0, 200.0, 2e6).is_ok());
    assert!(water::saturation_temperature(Pressure::from_kpa(0.611_657)).is_ok());
    assert!(water::saturation_temperature(Pressure::from_pa(610.0)).is_err());
    assert!(water::saturation_pressure(Temperature::from_celsius(374.0)).is_err());
}

#[test]
fn values_are_used_and_flagged_outside_the_evaporator_range() {
    assert!(!flagged(46.0, 50.0, 1e4, "seawater_density"));
    assert!(flagged(46.0, 121.0, 1e4, "seawater_density"));
    assert!(flagged(5.0, 35.0, 1e5, "seawater_density"));
    assert!(flagged(95.0, 35.0, 1e5, "seawater_conductivity"));
    assert!(flagged(46.0, 5.0, 1e5, "osmotic_pressure"));
    assert!(flagged(46.0, 35.0, 1e5, "dissolved_air"));
    assert!(!flagged(32.0, 35.0, 1e5, "dissolved_air"));
    assert!(flagged(46.0, 35.0, 1e5, "steam_density"), "46 °C at 1 bar is no steam");
    assert!(flagged(60.0, 35.0, 1e4, "water_density"), "60 °C at 0.1 bar is no liquid");
    assert!(at(46.0, 35.0, 1e4).unwrap().find("no_such_key").is_none());
}

#[test]
fn every_property_is_listed_once_with_its_source() {
    let keys: BTreeSet<&str> = PROPERTIES.iter().map(|property| property.key).collect();
    assert_eq!(keys.len(), PROPERTIES.len());
    assert!(PROPERTIES.iter().all(|p| !p.source.is_empty() && !p.name.is_empty()));
}

#[test]
fn ref_salinity_of_standard_sea_water_by_conductivity() {
    // 42.914 mS/cm at 15 °C (IPTS-68) is practical salinity 35 by definition of the scale.
    let read = |mscm, t| {
        water::practical_salinity(
            Conductivity::from_ms_cm(mscm),
            Temperature::from_celsius(t),
            GaugePressure::from_bar(0.0),
        )
    };
    let standard = read(42.914, 15.0 / 1.00024).unwrap();
    assert!((standard.value - 35.0).abs() < 5e-6 && standard.in_range);
    assert!(!read(60.0, 15.0).unwrap().in_range, "above 42 the scale ends");
    assert!(read(0.0, 15.0).is_err());
}

#[test]
fn distillate_is_flagged_where_its_law_ends() {
    let salt = |ppm, t| {
        water::distillate_conductivity(MassFraction::from_mg_kg(ppm), Temperature::from_celsius(t))
    };
    assert!(salt(3.0, 42.0).unwrap().in_range);
    assert!(!salt(3.0, 15.0).unwrap().in_range);
    assert!(!salt(300.0, 25.0).unwrap().in_range);
    assert!(salt(1001.0, 25.0).is_err());
    let pure = Conductivity::from_us_cm(0.01);
    let none = water::distillate_salt(pure, Temperature::from_celsius(25.0)).unwrap();
    assert_eq!(none.value.mg_kg(), 0.0, "less than water itself conducts: no salt");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn ident_every_accepted_state_gives_finite_properties(
        t in 0.0..=180.0f64, s in 0.0..=200.0f64, p in 611.657..=2e6f64,
    ) {
        for entry in at(t, s, p).unwrap().properties() {
            prop_assert!(entry.value.is_finite(), "{} at {t} °C {s} g/kg {p} Pa", entry.key);
        }
    }

    #[test]
    fn ident_any_number_is_answered_or_refused(a in any::<f64>(), b in any::<f64>(), c in any::<f64>()) {
        if let Ok(state) = at(a, b, c) {
            prop_assert!(state.properties().all(|entry| entry.value.is_finite()));
        }
        let t = Temperature::from_celsius(a);
        if let Ok(found) = water::distillate_salt(Conductivity::from_us_cm(b), t) {
            prop_assert!(found.value.mg_kg().is_finite());
        }
        if let Ok(found) = water::distillate_conductivity(MassFraction::from_mg_kg(b), t) {
            prop_assert!(found.value.us_cm().is_finite());
        }
        if let Ok(found) = water::practical_salinity(Conductivity::from_ms_cm(b), t, GaugePressure::from_bar(c)) {
            prop_assert!(found.value.is_finite());
        }
        if let Ok(found) = water::saturation_temperature(Pressure::from_pa(a)) {
            prop_assert!(found.celsius().is_finite());
        }
    }

    #[test]
    fn ident_distillate_reads_back_over_its_whole_range(us_cm in 0.0..=2500.0f64, t in 0.0..=80.0f64) {
        let found = water::distillate_salt(Conductivity::from_us_cm(us_cm), Temperature::from_celsius(t)).unwrap();
        prop_assert!(found.value.mg_kg() >= 0.0 && found.value.mg_kg() < 5000.0);
    }
}
