//! The usual procedures as they are built in.

use procedure::{Names, Nature, Procedure, Towards, USUAL, read};

/// Readings and figures that guards of the built-in texts may speak of: those of the program's field list.
const READINGS: &[&str] = &[
    "engine_load_percent",
    "engine_jacket_out_c",
    "barometer_hpa",
    "ejector_pressure_bar_g",
    "back_pressure_bar_g",
    "shell_gauge_bar_g",
    "vacuum_percent",
    "vapour_temp_c",
    "jacket_in_c",
    "jacket_out_c",
    "bypass_percent",
    "sea_temp_c",
    "sea_out_c",
    "feed_pressure_bar_g",
    "feed_flow_m3_h",
    "brine_level",
    "distillate_meter_m3",
    "product_salt_mg_kg",
    "distillate_temp_c",
    "expansion_tank_cm",
];
const FIGURES: &[&str] = &[
    "limit.salinity_dump_mg_kg",
    "limit.vacuum_min_percent",
    "limit.vapour_max_c",
    "limit.ejector_min_bar_g",
    "limit.back_max_bar_g",
    "limit.engine_jacket_min_c",
    "limit.engine_jacket_max_c",
    "set.engine_jacket_out_c",
    "expected.feed_pressure_bar_g",
    "expected.feed_flow_m3_h",
    "expected.vapour_temp_c",
];

fn usual() -> Vec<Procedure> {
    let names = Names { readings: READINGS.to_vec(), figures: FIGURES.to_vec() };
    USUAL
        .iter()
        .map(|(key, text)| {
            let procedure =
                read(text, &names).unwrap_or_else(|problems| panic!("{key}: {problems:#?}"));
            assert_eq!(procedure.key, *key);
            procedure
        })
        .collect()
}

#[test]
fn ident_every_usual_text_reads_and_carries_its_key() {
    assert!(!usual().is_empty());
}

#[test]
fn ident_no_guard_stands_before_stopping_or_an_emergency() {
    for procedure in usual().iter().filter(|procedure| procedure.nature != Nature::Work) {
        assert!(procedure.steps.iter().all(|step| !procedure.holds(step)), "{}", procedure.key);
    }
}

#[test]
fn ident_a_start_shows_sea_water_before_heat_and_heat_before_a_tank() {
    let all = usual();
    let start = all.iter().find(|procedure| procedure.key == "start").expect("a start");
    let place = |key: &str| start.place(key).expect("a step");
    assert!(place("overboard") < place("cooling") && place("cooling") < place("crack-heat"));
    assert!(place("vacuum") < place("crack-heat") && place("feed") < place("crack-heat"));
    assert!(place("dump") < place("tank") && place("guards-on") < place("tank"));
    // Every hold point of the trade's list H0 to H8 is there, and each step tells why and a way out.
    let holds = start.steps.iter().filter(|step| start.holds(step)).count();
    assert!(holds >= 9, "{holds} hold points");
    assert!(
        start
            .steps
            .iter()
            .filter(|step| step.towards != Towards::Nothing)
            .all(|s| !s.why.is_empty())
    );
    let (least, most) = start.takes_min();
    assert!(least >= 45.0 && most <= 300.0, "{least} to {most} min");
}
