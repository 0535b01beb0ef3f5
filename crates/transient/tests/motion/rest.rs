//! At rest it is the steady plant: settled runs beside the steady solution under their flows.

use crate::{demonstration, run};

/// Line-ups: what is around, what is done at the beginning, agreement asked for.
const LINE_UPS: [(&str, &str, f64); 23] = [
    ("{}", "", 1.0e-3),
    (r#"{"sea_temp_c": 15}"#, "", 1.0e-3),
    (r#"{"sea_temp_c": 25}"#, "", 1.0e-3),
    (r#"{"sea_temp_c": 30}"#, "", 1.0e-3),
    (r#"{"sea_temp_c": 34}"#, "", 1.0e-3),
    (r#"{"sea_temp_c": 20, "jacket_in_c": 78}"#, "", 1.0e-3),
    (r#"{"jacket_in_c": 78}"#, "", 1.0e-3),
    (r#"{"jacket_in_c": 88}"#, "", 1.0e-3),
    (r#"{"sea_salinity_g_kg": 20}"#, "", 1.0e-3),
    (r#"{"sea_salinity_g_kg": 41}"#, "", 1.0e-3),
    (r#"{"barometer_hpa": 985}"#, "", 1.0e-3),
    (r#"{"room_temp_c": 15}"#, "", 1.0e-3),
    (r#"{"engine_load": 60}"#, "", 1.0e-3),
    ("{}", r#"{"valve": "jacket by-pass", "percent": 60}"#, 1.0e-3),
    ("{}", r#"{"valve": "jacket inlet", "percent": 60}"#, 1.0e-3),
    (r#"{"sea_temp_c": 10}"#, r#"{"valve": "condenser cooling", "percent": 30}"#, 1.0e-3),
    ("{}", r#"{"fault": "cooling flow", "amount": 0.6}"#, 1.0e-3),
    ("{}", r#"{"fault": "condenser fouling", "amount": 1.2e-4}"#, 1.0e-3),
    ("{}", r#"{"fault": "air leak", "amount": 4}"#, 1.0e-3),
    ("{}", r#"{"fault": "condenser leak", "amount": 1}"#, 1.0e-3),
    ("{}", r#"{"fault": "by-pass passing", "amount": 0.5}"#, 1.0e-3),
    // The two named exceptions: salt carried over is taken out of the brine here, and a rising level carries more of it.
    ("{}", r#"{"fault": "pump wear", "amount": 0.755}"#, 3.0e-3),
    ("{}", r#"{"valve": "overboard", "percent": 64}"#, 3.0e-3),
];

#[test]
fn ident_rest_is_the_steady_solution() {
    let model = demonstration();
    let mut told = String::new();
    for (at, done, within) in LINE_UPS {
        let actions =
            if done.is_empty() { String::new() } else { format!(r#"{{"t": 0, "do": {done}}}"#) };
        let text = format!(
            r#"{{"begin": "running", "at": {at}, "until": 28800, "actions": [{{"t": 0, "do": {{"set": "antiscalant", "to": "on"}}}}{}{actions}]}}"#,
            if done.is_empty() { "" } else { ", " }
        );
        let (run, _) = run(&model, &text, 3600.0);
        let row = run.row();
        let rest =
            model.plant().free(&run.as_point()).unwrap_or_else(|e| panic!("{at} {done}: {e}"));
        let pairs = [
            ("pressure", row.shell_pressure_pa, rest.shell_pressure_pa),
            ("brine", row.brine_temp_c, rest.brine_temp_c),
            ("vapour", row.vapour_made_kg_s, rest.vapour_kg_s),
            ("product", row.product_kg_s * 86.4, rest.product_t_day),
            ("jacket out", row.jacket_out_c, rest.jacket_out_c),
            ("heat", row.evaporator_heat_w, rest.evaporator_heat_w),
            ("sea out", row.sea_out_c, rest.sea_out_c),
            ("brine salt", row.brine_salinity_g_kg, rest.brine_salinity_g_kg),
            ("product salt", row.product_salt_mg_kg, rest.product_salt_mg_kg),
            ("level", row.brine_level, rest.inside.brine_kg_s / rest.inside.brine_capacity_kg_s),
        ];
        for (what, got, want) in pairs {
            let off = (got / want - 1.0).abs();
            if off > within {
                told += &format!("{at} {done}: {what} got {got}, at rest {want} ({off:.1e})\n");
            }
        }
        assert!(run.ledgers().worst() < 1.0e-10, "{at} {done}: {:?}", run.ledgers());
    }
    assert!(told.is_empty(), "{told}");
}
