//! Wrong orders and troubles: what comes of each, beside what an independent program of the same equations measured.

use transient::{Record, Row, read_actions};

use crate::{demonstration, near, run, scenario, troubled};

fn t_day(row: &Row) -> f64 {
    row.product_kg_s * 86.4
}

/// Cases of the trade that settle, after four hours: what is around, the trouble, and vacuum %, t/day, jacket drop K, sea rise K,
/// mg/kg (0: not told).
const CASES: [(&str, &str, &str, f64, [f64; 5]); 10] = [
    ("1, sea at 20", r#"{"sea_temp_c": 20}"#, "rolling", 0.0, [93.3, 29.3, 0.0, 0.0, 0.0]),
    ("1, sea at 30", r#"{"sea_temp_c": 30}"#, "rolling", 0.0, [90.7, 24.9, 0.0, 0.0, 0.0]),
    ("2, by-pass passing", "{}", "by-pass passing", 0.5, [90.9, 20.8, 12.1, 0.0, 0.0]),
    ("3, scale", r#"{"scale_m2k_w": 2.2e-4}"#, "rolling", 0.0, [91.5, 18.1, 7.7, 0.0, 0.0]),
    (
        "4, forced",
        r#"{"sea_temp_c": 20, "jacket_in_c": 90}"#,
        "rolling",
        0.0,
        [0.0, 32.8, 0.0, 0.0, 11.5],
    ),
    ("5, condenser leak", "{}", "condenser leak", 1.0, [0.0, 24.0, 0.0, 0.0, 38.1]),
    ("9, air leak", "{}", "air leak", 6.0, [87.2, 19.4, 0.0, 7.6, 1.4]),
    ("10, cooling flow", "{}", "cooling flow", 0.6, [88.0, 21.4, 0.0, 14.0, 0.0]),
    ("11, fouled condenser", "{}", "condenser fouling", 1.2e-4, [89.4, 22.8, 0.0, 9.0, 0.0]),
    ("18, heater leak", "{}", "heater leak", 0.02, [0.0, 24.0, 0.0, 0.0, 0.0]),
];

#[test]
fn cross_troubles_show_as_the_trade_tells_them() {
    let model = demonstration();
    for (case, at, fault, amount, want) in CASES {
        let (run, _) = troubled(&model, at, fault, amount, 14_400.0);
        let row = run.row();
        let sea_c = run.as_point().sea_temp_c;
        let got = [
            row.vacuum_percent,
            t_day(&row),
            row.jacket_in_c - row.jacket_out_c,
            row.sea_out_c - sea_c,
            row.product_salt_mg_kg,
        ];
        let within = [0.1, 0.35, 0.15, 0.15, 0.04 * want[4]];
        for k in 0..5 {
            if want[k] != 0.0 {
                near(&format!("case {case}, column {k}"), got[k], want[k], within[k]);
            }
        }
        if fault == "heater leak" {
            near("expansion tank", row.expansion_tank_kg, 270.0, 1.5);
        }
        if case.starts_with('4') {
            assert!(row.diverting_valve < 0.01, "over the limit it dumps");
        }
        assert!(run.ledgers().worst() < 1.0e-10, "{case}: {:?}", run.ledgers());
    }
}

#[test]
fn cross_a_weak_pump_floods_the_shell() {
    let model = demonstration();
    let (run, rows) = troubled(&model, "{}", "pump wear", 0.70, 3600.0);
    let row = run.row();
    near("vacuum", row.vacuum_percent, 88.8, 0.4);
    near("made", t_day(&row), 21.9, 0.8);
    near("nozzle, bar g", (row.nozzle_pressure_pa - 101_325.0) * 1.0e-5, 2.80, 0.03);
    assert!(rows.iter().any(|row| row.brine_level > 2.2), "over the weir");
    assert!(row.diverting_valve < 0.01, "dumping");
}

/// Cases after an hour, vacuum % and t/day: back pressure, an overboard valve not full open, air drawn through a pump's seal.
#[test]
fn cross_what_stands_in_the_jets_way() {
    let model = demonstration();
    let one = |action: &str| {
        let text = format!(
            r#"{{"begin": "running", "until": 3600, "actions": [{{"t": 0, "do": {action}}}]}}"#
        );
        run(&model, &text, 600.0).0.row()
    };
    let back = one(r#"{"fault": "back pressure", "amount": 40000}"#);
    near("vacuum, back pressure", back.vacuum_percent, 87.0, 0.5);
    near("made, back pressure", t_day(&back), 19.0, 0.5);
    let valve = one(r#"{"valve": "overboard", "percent": 57}"#);
    near("vacuum, overboard", valve.vacuum_percent, 86.0, 0.5);
    near("made, overboard", t_day(&valve), 17.6, 0.3);
    assert!(valve.brine_level > 2.2 && valve.diverting_valve < 0.01);
    let seal = one(r#"{"fault": "distillate seal", "amount": 25}"#);
    near("vacuum, seal", seal.vacuum_percent, 68.6, 0.3);
    near("salt, seal", seal.product_salt_mg_kg, 0.6, 0.15);
}

#[test]
fn cross_a_false_cell_dumps_and_nothing_else() {
    let model = demonstration();
    let (run, _) = troubled(&model, "{}", "cell reading", 30.0, 3600.0);
    let (sound, _) = troubled(&model, "{}", "cell reading", 1.0, 3600.0);
    assert!(run.row().diverting_valve < 0.01 && sound.row().diverting_valve > 0.99);
    near("made", t_day(&run.row()), t_day(&sound.row()), 1.0e-3);
}

#[test]
fn cross_a_rolling_ship_with_air_in_her_suction_primes() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 1200, "actions": [
        {"t": 0, "do": {"fault": "aeration", "amount": 0.26}}, {"t": 0, "do": {"fault": "rolling", "amount": 1}}]}"#;
    let (run, rows) = run(&model, text, 1.0);
    let late = || rows.iter().filter(|row| row.time_s > 600.0);
    let gauge = |row: &Row| (row.nozzle_pressure_pa - 101_325.0) * 1.0e-5;
    near("nozzle at its least", late().map(gauge).fold(9.0, f64::min), 2.6, 0.1);
    near("nozzle at its most", late().map(gauge).fold(0.0, f64::max), 3.3, 0.1);
    // how far it primes hangs on how deep the jet stalls each roll; that it primes is what is told
    let salt = run.row().product_salt_mg_kg;
    assert!(salt > 15.0 && run.row().diverting_valve < 0.01, "{salt}");
    assert!(run.ledgers().worst() < 1.0e-10);
}

#[test]
fn cross_feed_lost_hot_leaves_scale_that_stays() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 3600, "actions": [{"t": 600, "do": {"valve": "feed", "percent": 0}}]}"#;
    let (run, rows) = run(&model, text, 5.0);
    let dry = rows.iter().find(|row| row.time_s > 600.0 && row.brine_level < 5.0 / 60.0).unwrap();
    near("dry after, s", dry.time_s - 600.0, 70.0, 20.0);
    let at = |time_s: f64| rows.iter().find(|row| row.time_s >= time_s).unwrap();
    near("scale", run.row().scale_m2k_w, 7.0e-5, 1.0e-5);
    assert!(run.row().scale_m2k_w >= at(1200.0).scale_m2k_w, "it stays");
}

#[test]
fn cross_an_ejector_stopped_hot_salts_the_well() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 4200, "actions": [{"t": 3600, "do": {"pump": "ejector", "run": false}}]}"#;
    let (run, rows) = run(&model, text, 1.0);
    let after = |s: f64| rows.iter().find(|row| row.time_s >= 3600.0 + s).unwrap();
    near("kPa after a minute", after(60.0).shell_pressure_pa / 1000.0, 11.0, 0.3);
    near("kPa after ten", after(600.0).shell_pressure_pa / 1000.0, 20.0, 1.0);
    let weir = rows.iter().find(|row| row.brine_level > 2.2).unwrap().time_s - 3600.0;
    near("over the weir after, s", weir, 150.0, 20.0);
    let dump =
        rows.iter().find(|row| row.time_s > 3600.0 && row.diverting_valve < 0.5).unwrap().time_s
            - 3600.0;
    near("dumps after, s", dump, 100.0, 15.0);
    assert!(run.row().product_salt_mg_kg > 25_000.0, "{}", run.row().product_salt_mg_kg);
    assert!(run.ledgers().worst() < 1.0e-10);
}

#[test]
fn cross_a_passing_check_lets_the_sea_in() {
    let model = demonstration();
    let of = |passing: f64| {
        format!(
            r#"{{"begin": "running", "until": 3720, "actions": [{{"t": 0, "do": {{"fault": "check passing", "amount": {passing}}}}},
            {{"t": 3600, "do": {{"pump": "ejector", "run": false}}}}]}}"#
        )
    };
    let level = |passing: f64| {
        let (run, rows) = run(&model, &of(passing), 1.0);
        let dump = rows
            .iter()
            .find(|row| row.time_s > 3600.0 && row.diverting_valve < 0.5)
            .map(|row| row.time_s - 3600.0);
        let at =
            |s: f64| rows.iter().find(|row| row.time_s >= 3600.0 + s).unwrap().brine_level * 60.0;
        (run, (at(20.0) - at(14.0)) / 6.0, dump)
    };
    let (_, sound, _) = level(0.0);
    let (_, passing, dump) = level(1.0);
    near("sea water, kg/s", passing - sound, 3.2, 0.4);
    near("dumps after, s", dump.unwrap(), 30.0, 10.0);
}

#[test]
fn cross_a_stopped_engine_is_cooled_by_its_plant() {
    let model = demonstration();
    let open = r#"{"begin": "running", "until": 7200, "actions": [{"t": 3600, "do": {"set": "engine load", "to": 0}}]}"#;
    let (run_open, rows) = run(&model, open, 60.0);
    let ten = rows.iter().find(|row| row.time_s >= 4200.0).unwrap();
    near("after ten minutes", ten.engine_outlet_c, 71.0, 1.5);
    near("after an hour", run_open.row().engine_outlet_c, 53.0, 2.0);
    let shut = r#"{"begin": "running", "until": 4200, "actions": [{"t": 3600, "do": {"set": "engine load", "to": 0}},
        {"t": 3610, "do": {"valve": "jacket by-pass", "percent": 100}}, {"t": 3630, "do": {"valve": "jacket inlet", "percent": 0}}]}"#;
    let (run_shut, _) = run(&model, shut, 60.0);
    near("heater shut within 50 s", run_shut.row().engine_outlet_c, 83.8, 1.5);
}

#[test]
fn cross_a_breaker_opened_hot_stops_the_boiling() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 3660, "actions": [{"t": 3600, "do": {"valve": "vacuum breaker", "percent": 100}}]}"#;
    let (run, rows) = run(&model, text, 60.0);
    near("before", rows[58].vapour_made_kg_s, 0.279, 0.001);
    near("a minute after", run.row().vapour_made_kg_s, 0.008, 0.004);
    assert!(run.ledgers().worst() < 1.0e-10);
}

#[test]
fn cross_a_cold_start_keeps_to_its_windows() {
    let model = demonstration();
    let text = include_str!("../../../../validation/transient/reference_cold_start.json");
    let record = Record::of(&model, &scenario(&model, text)).unwrap();
    let when = |says: &str| {
        record.events.iter().find(|event| event.says == says).map(|event| event.time_s)
    };
    near(
        "90 % after the pump, min",
        (when("90 % vacuum reached").unwrap() - 120.0) / 60.0,
        10.7,
        0.4,
    );
    // a nozzle worn to three quarters
    let mut worn = scenario(&model, text);
    worn.add(&read_actions(r#"[{"t": 0, "do": {"fault": "nozzle", "amount": 0.75}}]"#).unwrap());
    let worn = Record::of(&model, &worn).unwrap();
    let slow = worn.events.iter().find(|event| event.says == "90 % vacuum reached").unwrap();
    near("with a worn nozzle, min", (slow.time_s - 120.0) / 60.0, 14.5, 0.4);
    let jacket = record.rows.iter().map(|row| row.engine_outlet_c).fold(99.0, f64::min);
    near("jacket outlet at its lowest", jacket, 83.5, 0.1);
    assert!(when("boiling").is_some() && when("diverting valve has gone to the tank").is_some());
    assert!(record.score.points > 90.0, "{:?}", record.score);
    // slammed open: deeper, and the score tells it
    let slammed = text.replace(r#""percent":10,"over":40"#, r#""percent":100,"over":1"#);
    let slam = Record::of(&model, &scenario(&model, &slammed)).unwrap();
    assert!(slam.score.points < record.score.points, "{:?}", slam.score);
}

#[test]
fn ident_the_relay_has_no_way_round_but_by_force() {
    let model = demonstration();
    let of = |word: &str| {
        let text = include_str!("../../../../validation/transient/reference_cold_start.json");
        let mut scenario = scenario(&model, text);
        scenario.actions.retain(|action| action.time_s < 3600.0);
        let tank = format!(
            r#"[{{"t": 1680, "do": {{"set": "diverting valve", "to": "{word}"}}}},
            {{"t": 1680, "do": {{"valve": "tank filling", "percent": 100}}}}]"#
        );
        scenario.add(&read_actions(&tank).unwrap());
        scenario
    };
    let auto = Record::of(&model, &of("auto")).unwrap();
    let worst = auto
        .rows
        .iter()
        .filter(|row| row.diverting_valve > 0.9)
        .map(|row| row.cell_reading_mg_kg)
        .fold(0.0, f64::max);
    assert!(worst > 0.0 && worst < 9.1, "{worst}");
    near("tank water, auto", auto.score.tank_salt_mg_kg, 3.6, 0.4);
    let forced = Record::of(&model, &of("forced")).unwrap();
    assert!(forced.score.tank_salt_mg_kg > 12.0, "{}", forced.score.tank_salt_mg_kg);
    assert!(forced.score.points < auto.score.points);
}

/// Specification, "Must hold": heat before vacuum, 82 °C, no boiling under one atmosphere (0.004 kg/s by diffusion), scale all the
/// while. The specification's 1.2e-5 in 37 minutes is for hands it does not give: here only the order of size is held.
#[test]
fn cross_heat_before_vacuum_bakes_and_does_not_boil() {
    let model = demonstration();
    let text = r#"{"begin": "cold", "until": 2940, "actions": [
        {"t": 0, "do": {"set": "antiscalant", "to": "on"}},
        {"t": 0, "do": {"valve": "vacuum breaker", "percent": 100}},
        {"t": 0, "do": {"valve": "overboard", "percent": 100}},
        {"t": 20, "do": {"valve": "pump suction", "percent": 100}},
        {"t": 40, "do": {"valve": "pump discharge", "percent": 100}},
        {"t": 60, "do": {"pump": "cooling", "run": true}},
        {"t": 120, "do": {"pump": "ejector", "run": true}},
        {"t": 600, "do": {"valve": "feed", "percent": 0}},
        {"t": 660, "do": {"pump": "ejector", "run": false}},
        {"t": 700, "do": {"valve": "jacket outlet", "percent": 100}},
        {"t": 720, "do": {"valve": "jacket inlet", "percent": 100}},
        {"t": 760, "do": {"valve": "jacket by-pass", "percent": 0, "over": 600}}]}"#;
    let (run, rows) = run(&model, text, 60.0);
    let row = run.row();
    near("brine", row.brine_temp_c, 82.0, 0.5);
    near("vapour by diffusion", row.vapour_made_kg_s, 0.0045, 0.001);
    assert!(rows.iter().all(|row| row.vapour_made_kg_s < 0.01), "it never boils");
    assert!((0.6e-5..2.5e-5).contains(&row.scale_m2k_w), "{}", row.scale_m2k_w);
    assert!(run.ledgers().worst() < 1.0e-10);
}

/// Specification, case 16: feed orifice 0.457, antiscalant on: day 1 23.3 t/day and brine at 89 g/kg; day 7 22.1 t/day and scale
/// 5.9e-5 where a healthy plant has 0.7e-5.
#[test]
fn cross_too_little_feed_scales_within_the_week() {
    let model = demonstration();
    let week = |orifice: f64| {
        let text = format!(
            r#"{{"begin": "running", "until": 604800, "actions": [{{"t": 0, "do": {{"set": "antiscalant", "to": "on"}}}},
            {{"t": 0, "do": {{"fault": "feed orifice", "amount": {orifice}}}}}]}}"#
        );
        let (run, rows) = run(&model, &text, 86_400.0);
        (rows[0], run.row())
    };
    let ((first, last), (_, healthy)) = (week(0.457), week(1.0));
    near("made on day 1", t_day(&first), 23.3, 0.15);
    near("brine on day 1", first.brine_salinity_g_kg, 89.0, 1.0);
    near("made on day 7", t_day(&last), 22.1, 0.2);
    near("scale on day 7", last.scale_m2k_w, 5.9e-5, 0.7e-5);
    near("healthy scale", healthy.scale_m2k_w, 0.7e-5, 0.1e-5);
}

/// A drain cock under vacuum lets air in through what brine stands against it; nothing drains, and the vacuum is lost. One that passes a
/// little costs a little.
#[test]
fn ident_an_open_drain_costs_the_vacuum() {
    let model = demonstration();
    let opened = |amount: &str| {
        let text = format!(
            r#"{{"begin": "running", "until": 1800, "actions": [{{"t": 600, "do": {amount}}}]}}"#
        );
        Record::of(&model, &scenario(&model, &text)).unwrap()
    };
    let open = opened(r#"{"valve": "shell drain", "percent": 100}"#);
    let row = open.run.row();
    assert!(row.vacuum_percent < 70.0 && t_day(&row) < 10.0, "{row:?}");
    assert!(open.ledgers.worst() < 1.0e-10, "{:?}", open.ledgers);
    let told = "air is drawn in through the open shell drain";
    assert!(open.events.iter().any(|event| event.says == told), "{:?}", open.events);
    let passes = opened(r#"{"fault": "drain passing", "amount": 0.15}"#).run.row();
    assert!((80.0..89.5).contains(&passes.vacuum_percent), "{passes:?}");
}

/// What is drawn off is told by what flows in the line: nothing where it is shut, more than is made while the well is drawn down.
#[test]
fn ident_what_is_drawn_off_is_not_what_is_made() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 3000, "actions": [
        {"t": 600, "do": {"valve": "distillate discharge", "percent": 0}},
        {"t": 1800, "do": {"valve": "distillate discharge", "percent": 100}}]}"#;
    let rows = Record::of(&model, &scenario(&model, text)).unwrap().rows;
    let at = |time_s: f64| *rows.iter().find(|row| row.time_s == time_s).unwrap();
    near("at rest", at(540.0).drawn_kg_s, at(540.0).product_kg_s, 0.01);
    assert!(at(1500.0).drawn_kg_s == 0.0 && at(1500.0).product_kg_s > 0.2, "{:?}", at(1500.0));
    assert!(at(1860.0).drawn_kg_s > 1.5 * at(1860.0).product_kg_s, "{:?}", at(1860.0));
}

/// The sea water that stands in the tubes once the cooling has stopped gives its heat back as the shell cools: no thermometer in it
/// stands still above everything around it.
#[test]
fn ident_standing_sea_water_follows_the_shell() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 7200, "actions": [
        {"t": 600, "do": {"pump": "cooling", "run": false}},
        {"t": 1200, "do": {"valve": "jacket by-pass", "percent": 100}},
        {"t": 1200, "do": {"valve": "jacket inlet", "percent": 0}}]}"#;
    let record = Record::of(&model, &scenario(&model, text)).unwrap();
    let hottest = record.rows.iter().map(|row| row.sea_out_c).fold(0.0, f64::max);
    let last = record.run.row();
    assert!(hottest > 60.0 && last.sea_out_c < last.brine_temp_c + 2.0, "{hottest} {last:?}");
    assert!(record.ledgers.worst() < 1.0e-10, "{:?}", record.ledgers);
}

/// Air in a heater that was not vented, distillate that nothing draws off: each takes most of the output, and is named when it does.
#[test]
fn ident_what_stands_in_the_way_of_the_heat_is_named() {
    let model = demonstration();
    let told = |text: &str, what: &str| {
        let record = Record::of(&model, &scenario(&model, text)).unwrap();
        let named = record.events.iter().any(|event| event.says.starts_with(what));
        assert!(named, "{what}: {:?}", record.events);
        record.score.marks
    };
    let start = std::fs::read_to_string(format!(
        "{}/../../validation/transient/reference_cold_start.json",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let unvented = start
        .replace(r#""valve":"jacket vent","percent":100"#, r#""valve":"jacket vent","percent":0"#);
    assert_ne!(start, unvented);
    let marks = told(&unvented, "air is left in the heater, it was not vented");
    assert!(marks.iter().any(|mark| mark.what == "air left in the heater" && mark.lost > 0.0));
    let shut = r#"{"begin": "running", "until": 3600, "actions": [{"t": 60, "do": {"pump": "distillate", "run": false}}]}"#;
    let marks = told(shut, "distillate stands up into the condenser");
    assert!(
        marks.iter().any(|mark| mark.what == "distillate up in the condenser" && mark.lost > 0.0)
    );
}

/// Plates that were never wetted have nothing on them to bake, and are told dry; feed let on to them hot is against the order.
#[test]
fn ident_plates_never_wetted_are_dry_and_nothing_bakes() {
    let model = demonstration();
    let start = std::fs::read_to_string(format!(
        "{}/../../validation/transient/reference_cold_start.json",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let unfed = start.replace(r#""valve":"feed","percent":100"#, r#""valve":"feed","percent":0"#);
    assert_ne!(start, unfed);
    let record = Record::of(&model, &scenario(&model, &unfed)).unwrap();
    let says: Vec<&str> = record.events.iter().map(|event| event.says.as_str()).collect();
    assert!(says.contains(&"heater plates dry and hot"), "{says:?}");
    assert!(!says.iter().any(|says| says.contains("bakes")), "{says:?}");
    let dry = record.score.marks.iter().find(|m| m.what == "plates dry and hot with the heat on");
    assert!(dry.is_some_and(|dry| dry.lost >= 5.0), "{dry:?}");
    let lost_hot = r#"{"begin": "running", "until": 1800, "actions": [{"t": 600, "do": {"valve": "feed", "percent": 0}}]}"#;
    let baked = Record::of(&model, &scenario(&model, lost_hot)).unwrap();
    let salt = "heater plates dry and hot: salt bakes on";
    assert!(baked.events.iter().any(|event| event.says == salt), "{:?}", baked.events);
}

/// Heater and by-pass both shut: the engine's own safeties slow it down and trip it, whoever runs it, at the same moment and however time
/// is let on.
#[test]
fn ident_the_engine_saves_itself_in_every_run() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 3600, "actions": [
        {"t": 600, "do": {"valve": "jacket inlet", "percent": 0}}]}"#;
    let record = Record::of(&model, &scenario(&model, text)).unwrap();
    let saved = record.run.noted().saved.clone();
    let kinds: Vec<bool> = saved.iter().map(|saved| saved.tripped).collect();
    assert_eq!(kinds, [false, true], "{saved:?}");
    assert!((saved[0].jacket_c - 95.0).abs() < 0.01 && (saved[1].jacket_c - 103.0).abs() < 0.01);
    // What the metal still holds comes out into water that stands; nothing is added to it.
    assert!(record.run.row().engine_outlet_c < 130.0);
    assert!(record.events.iter().any(|event| event.says.starts_with("the engine trips")));
    let mut live = transient::Live::begin(&model, &scenario(&model, text));
    while live.time_s() < 3600.0 {
        live.advance(live.time_s() + 12.0).unwrap();
    }
    let pieces = &live.run().noted().saved;
    assert_eq!(pieces.len(), 2);
    for (a, b) in saved.iter().zip(pieces) {
        near("when", a.at_s, b.at_s, 1.0);
    }
}

/// Anything around it of its own, and a running plant can be brought to rest there; without, it begins where runs are exchanged.
#[test]
fn ident_a_running_plant_can_begin_at_rest_in_its_own_line_up() {
    let model = demonstration();
    let text = r#"{"begin": "running", "at": {"sea_temp_c": 28}, "until": 900, "actions": []}"#;
    let record = Record::of(&model, &scenario(&model, text).settled()).unwrap();
    assert!(record.events.is_empty(), "{:?}", record.events);
    let (first, last) = (record.rows[0], record.run.row());
    near("vacuum", first.vacuum_percent, last.vacuum_percent, 0.01);
    near("jacket", first.engine_outlet_c, 85.0, 0.05);
    near("scale", first.scale_m2k_w * 1.0e6, 0.0, 0.1);
    let exchanged = scenario(&model, r#"{"begin": "running", "until": 900, "actions": []}"#);
    assert!(exchanged.clone().settled() == exchanged && exchanged.comes_to_rest());
}
