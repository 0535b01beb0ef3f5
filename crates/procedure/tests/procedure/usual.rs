//! The usual procedures as they are built in.

use jiff::Timestamp;
use procedure::{Names, Nature, Procedure, Reading, Seen, Step, Towards, USUAL, Who, read};

fn moment() -> Timestamp {
    "2026-11-16T04:00:00Z".parse().expect("a moment")
}

/// One reading, whatever is asked for.
struct Hot(Reading);

impl Seen for Hot {
    fn since(&self, _: &str, _: Timestamp) -> Vec<Reading> {
        vec![self.0.clone()]
    }

    fn figure(&self, _: &str) -> Option<f64> {
        None
    }
}

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
    "second_product_salt_mg_kg",
    "distillate_temp_c",
    "expansion_tank_cm",
    "shell_absolute_mbar",
    "cleaning_temp_c",
    "cleaning_ph",
    "sample_ph",
    "residual_mg_l",
];
const FIGURES: &[&str] = &[
    "order.load_min_percent",
    "limit.salinity_dump_mg_kg",
    "limit.vacuum_min_percent",
    "limit.vapour_max_c",
    "limit.ejector_min_bar_g",
    "limit.back_max_bar_g",
    "limit.engine_jacket_min_c",
    "limit.engine_jacket_max_c",
    "set.engine_jacket_out_c",
    "set.feed_pressure_bar_g",
    "expected.feed_flow_m3_h",
    "expected.vapour_temp_c",
    "expected.jacket_out_c",
];

fn usual() -> Vec<Procedure> {
    let names =
        Names { readings: READINGS.to_vec(), figures: FIGURES.to_vec(), ranges: Vec::new() };
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

fn one(key: &str) -> Procedure {
    usual().into_iter().find(|procedure| procedure.key == key).expect(key)
}

/// The step before the other.
fn before(procedure: &Procedure, first: &str, then: &str) {
    let place = |key: &str| procedure.place(key).unwrap_or_else(|| panic!("no step {key}"));
    assert!(place(first) < place(then), "{}: {first} before {then}", procedure.key);
}

/// Everything a step says, in small letters.
fn words(step: &Step) -> String {
    [&step.what, &step.why, &step.otherwise, &step.caution, &step.look]
        .map(|s| s.to_lowercase())
        .join(" ")
}

#[test]
fn ident_every_usual_text_reads_and_carries_its_key() {
    let keys: Vec<String> = usual().into_iter().map(|procedure| procedure.key).collect();
    for key in [
        "start",
        "stop",
        "change-tank",
        "round",
        "coast",
        "blackout",
        "ejector-trip",
        "engine-slow-down",
        "flooding",
        "salinity-alarm",
        "oil",
        "fire",
        "long-stay",
        "dry-dock",
        "leak-test",
        "acid-clean",
        "disinfect-tank",
        "take-water",
    ] {
        assert_eq!(keys.iter().filter(|k| *k == key).count(), 1, "{key}");
    }
}

#[test]
fn ident_every_list_tells_its_cautions_and_every_hold_what_to_do_when_it_does_not_come() {
    for procedure in usual() {
        assert!(!procedure.cautions.is_empty(), "{}", procedure.key);
        for step in procedure.steps.iter().filter(|step| procedure.holds(step)) {
            assert!(!step.way_out.is_empty(), "{} {}: a way out", procedure.key, step.key);
            assert!(
                !step.see.is_empty() || !step.look.is_empty() || step.wait_min > 0.0,
                "{}",
                step.key
            );
        }
    }
}

#[test]
fn ident_heat_comes_off_first_in_every_stop_and_emergency_but_a_flooding() {
    for procedure in usual().iter().filter(|procedure| procedure.nature != Nature::Work) {
        let first = &procedure.steps[0];
        if procedure.key == "flooding" {
            let says = first.what.to_lowercase();
            assert!(says.contains("overboard") && says.contains("suction"), "{says}");
            assert!(procedure.steps[1].key.starts_with("heat"));
        } else {
            assert!(first.key.starts_with("heat"), "{}: {}", procedure.key, first.key);
            assert!(first.what.to_lowercase().contains("heat"), "{}", procedure.key);
        }
        // Nothing there leads anywhere that a guard would stand before, but the way back to a tank, which comes last.
        let (last, others) = procedure.steps.split_last().expect("a step");
        let nowhere = others.iter().all(|step| step.towards == Towards::Nothing);
        assert!(nowhere && matches!(last.towards, Towards::Nothing | Towards::Tank));
    }
}

#[test]
fn ident_the_overboard_is_the_last_valve_shut_in_stopping_and_the_first_opened_in_starting() {
    let stop = one("stop");
    assert_eq!(stop.steps.last().map(|step| step.key.as_str()), Some("overboard"));
    before(&stop, "breaker", "ejector-pump");
    before(&stop, "cool", "ejector-pump");
    before(&stop, "tank-shut", "cool");
    let start = one("start");
    before(&start, "overboard", "ejector-pump");
    before(&start, "overboard", "cooling");
    let coast = one("coast");
    before(&coast, "cool", "shut-down");
    let says = coast.steps[coast.place("shut-down").expect("a step")].what.to_lowercase();
    let (pump, overboard) = (says.find("pump off"), says.find("the overboard last"));
    assert!(pump.is_some() && pump < overboard, "{says}");
}

#[test]
fn ident_nothing_goes_to_a_tap_before_disinfection_and_contact() {
    for (key, dose, proof, then) in [
        ("change-tank", "dose", "stand", "serve"),
        ("disinfect-tank", "dose", "sample", "release"),
        ("take-water", "load", "sample", "release"),
    ] {
        let procedure = one(key);
        before(&procedure, dose, proof);
        before(&procedure, proof, then);
        let last = &procedure.steps[procedure.place(then).expect("a step")];
        assert!(last.towards == Towards::Tank && procedure.holds(last), "{key} {then}");
        let chlorine = |step: &&Step| step.see.iter().any(|see| see.text.contains("residual_mg_l"));
        let proved = &procedure.steps[procedure.place(proof).expect("a step")];
        assert!(chlorine(&proved) && proved.wait_min >= 30.0, "{key} {proof}");
    }
    // The published shock charge: 50 mg/L, four hours.
    let shock = one("disinfect-tank");
    let hold = &shock.steps[shock.place("hold").expect("a step")];
    let dose = &shock.steps[shock.place("dose").expect("a step")];
    assert_eq!(hold.wait_min, 240.0);
    assert!(dose.see.iter().any(|see| see.text == "residual_mg_l between 50 and 100"));
}

#[test]
fn ident_sulphamic_acid_is_never_let_over_sixty_degrees() {
    let acid = one("acid-clean");
    let warm = |step: &&Step| ["warm", "acid", "end-point"].contains(&step.key.as_str());
    for step in acid.steps.iter().filter(warm) {
        let hot = Reading { at: moment(), value: Some(60.5), text: "60.5".into() };
        let guards: Vec<_> =
            step.see.iter().filter(|see| see.text.starts_with("cleaning_temp_c")).collect();
        assert!(!guards.is_empty() && acid.holds(step), "{}", step.key);
        let board = Hot(hot);
        assert!(
            guards.iter().all(|guard| guard.met(&board, None, moment()).is_err()),
            "{}",
            step.key
        );
    }
    before(&acid, "heater-tight", "acid");
    before(&acid, "blanks-in", "acid");
    before(&acid, "acid", "neutralise");
    before(&acid, "neutralise", "rinse");
}

#[test]
fn ident_blanks_are_counted_out_as_they_were_counted_in_before_a_start() {
    let acid = one("acid-clean");
    before(&acid, "blanks-in", "blanks-out");
    before(&acid, "blanks-out", "start");
    for (procedure, key) in
        [(&acid, "blanks-in"), (&acid, "blanks-out"), (&one("dry-dock"), "blanks")]
    {
        let step = &procedure.steps[procedure.place(key).expect("a step")];
        assert!(words(step).contains("count") && procedure.holds(step), "{key}");
    }
    let out = &acid.steps[acid.place("blanks-out").expect("a step")];
    assert!(out.look.contains("As many blanks out as in") && out.overridden_by == Who::Chief);
}

#[test]
fn ident_acid_and_hypochlorite_never_share_a_list() {
    for procedure in usual() {
        let says: String =
            procedure.steps.iter().map(|step| step.what.to_lowercase() + "\n").collect();
        let acid = says.contains("acid") && !procedure.key.eq("start");
        let bleach = ["chlorine", "hypochlorite", "bleach"].iter().any(|word| says.contains(word));
        assert!(!(acid && bleach), "{} handles both", procedure.key);
    }
    // Each of the two warns of the other.
    assert!(one("acid-clean").cautions.iter().any(|caution| caution.contains("chlorine")));
    assert!(
        one("disinfect-tank")
            .cautions
            .iter()
            .any(|caution| caution.to_lowercase().contains("no acid"))
    );
}

#[test]
fn ident_no_guard_stands_before_stopping_or_an_emergency() {
    for procedure in usual().iter().filter(|procedure| procedure.nature != Nature::Work) {
        let held: Vec<&str> = procedure
            .steps
            .iter()
            .filter(|step| procedure.holds(step))
            .map(|step| step.key.as_str())
            .collect();
        // The way back to a tank is the one exception, for what has been let into a tank stays there.
        let back: &[&str] = if procedure.key == "salinity-alarm" { &["back"] } else { &[] };
        assert_eq!(held, back, "{}", procedure.key);
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
