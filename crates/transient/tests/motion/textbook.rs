//! Bodies out of textbooks: two lumps of heat, a draining well, a choked inlet, a pressure-rise test, a mixing tank.

use water::{CELSIUS_ZERO_K, GAS_CONSTANT, M_AIR_KG_MOL};

use crate::{demonstration, near, run};

/// Metal and water of an engine whose pump has stopped: their difference decays with k (1/C₁ + 1/C₂), their heat stays.
#[test]
fn ident_two_lumps_come_to_one_temperature() {
    let model = demonstration();
    let text = r#"{"begin": "cold", "until": 400, "actions": [
        {"t": 0, "do": {"set": "engine load", "to": 0}}, {"t": 0, "do": {"pump": "jacket", "run": false}}]}"#;
    let scenario = crate::scenario(&model, text);
    let mut run = scenario.start_to(&model, 1.0e-7);
    let (metal, water) = (transient::place("T_em").unwrap(), transient::place("T_ew").unwrap());
    let p = model.parameters();
    let heat = |y: &transient::State| p.engine_metal_j_k * y[metal] + p.engine_water_j_k * y[water];
    run.advance(100.0).unwrap();
    let first = *run.state();
    run.advance(400.0).unwrap();
    let last = *run.state();
    let rate = p.engine_film_w_k * (1.0 / p.engine_metal_j_k + 1.0 / p.engine_water_j_k);
    let want = (first[metal] - first[water]) * (-rate * 300.0).exp();
    near("difference", last[metal] - last[water], want, 1.0e-3 * want);
    near("heat", heat(&last) / heat(&first), 1.0, 1.0e-9);
}

/// A well drained in proportion to what it holds: an exponential with τ = 25 kg over the pump's flow.
#[test]
fn ident_a_draining_well_is_an_exponential() {
    let model = demonstration();
    let text = r#"{"begin": "cold", "until": 120, "actions": [
        {"t": 0, "do": {"set": "salinometer", "to": "on"}}, {"t": 0, "do": {"pump": "distillate", "run": true}}]}"#;
    let (_, rows) = run(&model, text, 30.0);
    let p = model.parameters();
    let rate = p.distillate_pump_kg_s * 0.75 / p.well_suction_kg;
    near("well", rows[2].well_kg / rows[0].well_kg, (-rate * 60.0).exp(), 0.005);
}

/// Flow of air through a nozzle over its choked flow: the isentropic formula (R. C. Binder, Fluid Mechanics; any gas-dynamics
/// text), to which the ellipse of ISO 6358 is an approximation.
fn isentropic(ratio: f64) -> f64 {
    const GAMMA: f64 = 1.4;
    let psi = |r: f64| (r.powf(2.0 / GAMMA) - r.powf((GAMMA + 1.0) / GAMMA)).sqrt();
    let critical = (2.0 / (GAMMA + 1.0)).powf(GAMMA / (GAMMA - 1.0));
    if ratio <= critical { 1.0 } else { psi(ratio) / psi(critical) }
}

/// Air into a cold shell under vacuum through a cracked breaker: at first choked and constant, then as the nozzle formula has it.
#[test]
fn ref_air_through_a_breaker_is_choked_then_fades() {
    let model = demonstration();
    let text = r#"{"begin": "cold", "at": {"air_leak_kg_h": 0}, "until": 2600, "actions": [
        {"t": 0, "do": {"valve": "feed", "percent": 0, "over": 0}},
        {"t": 0, "do": {"valve": "overboard", "percent": 100}}, {"t": 0, "do": {"valve": "pump suction", "percent": 100}},
        {"t": 0, "do": {"valve": "pump discharge", "percent": 100}}, {"t": 0, "do": {"pump": "cooling", "run": true}},
        {"t": 20, "do": {"pump": "ejector", "run": true}},
        {"t": 1200, "do": {"pump": "ejector", "run": false}}, {"t": 1200, "do": {"valve": "overboard", "percent": 0}},
        {"t": 1300, "do": {"valve": "vacuum breaker", "percent": 5}}]}"#;
    let (_, rows) = run(&model, text, 10.0);
    let open = 0.05 * model.parameters().breaker_kg_s / M_AIR_KG_MOL;
    let mut compared = 0;
    for pair in rows.windows(2).filter(|pair| pair[0].time_s > 1310.0) {
        let ratio = 0.5 * (pair[0].shell_pressure_pa + pair[1].shell_pressure_pa) / 101_325.0;
        if ratio > 0.93 {
            break;
        }
        let flow = (pair[1].gas_mol - pair[0].gas_mol) / 10.0 / open;
        // the ellipse stays within 3 % of the nozzle formula
        near(&format!("flow at {ratio:.3} of the atmosphere"), flow, isentropic(ratio), 0.03);
        if ratio < 0.52 {
            near("choked flow", flow, 1.0, 2.0e-3);
        }
        compared += 1;
    }
    assert!(compared > 50, "{compared}");
    // the bore of a full breaker, by the choked-flow formula with a coefficient of 1: a usual 20 mm cock
    let (gamma, r, t) = (1.4_f64, GAS_CONSTANT / M_AIR_KG_MOL, 313.15);
    let per_area = 101_325.0
        * (gamma / (r * t)).sqrt()
        * (2.0 / (gamma + 1.0)).powf((gamma + 1.0) / (2.0 * (gamma - 1.0)));
    let bore_mm =
        1000.0 * (4.0 * model.parameters().breaker_kg_s / per_area / std::f64::consts::PI).sqrt();
    assert!((15.0..25.0).contains(&bore_mm), "{bore_mm}");
}

/// A shut-in shell rises by its leak: the exact form of 40 CFR 1065.644, and the rule 0.07 V ΔP of the trade.
#[test]
fn ref_a_pressure_rise_tells_the_leak() {
    let model = demonstration();
    let leak_kg_h = 5.0;
    let text = format!(
        r#"{{"begin": "cold", "at": {{"air_leak_kg_h": {leak_kg_h}, "room_temp_c": 32}}, "until": 2700, "actions": [
        {{"t": 0, "do": {{"valve": "feed", "percent": 0, "over": 0}}}},
        {{"t": 0, "do": {{"valve": "overboard", "percent": 100}}}}, {{"t": 0, "do": {{"valve": "pump suction", "percent": 100}}}},
        {{"t": 0, "do": {{"valve": "pump discharge", "percent": 100}}}}, {{"t": 0, "do": {{"pump": "cooling", "run": true}}}},
        {{"t": 20, "do": {{"pump": "ejector", "run": true}}}},
        {{"t": 1500, "do": {{"pump": "ejector", "run": false}}}}, {{"t": 1500, "do": {{"valve": "overboard", "percent": 0}}}}]}}"#
    );
    let (run, rows) = run(&model, &text, 300.0);
    let at = |time_s: f64| rows.iter().find(|row| row.time_s == time_s).unwrap();
    let (a, b) = (at(1800.0), at(2700.0));
    let p = model.parameters();
    let space = p.steam_side_m3 + p.condenser_side_m3 + p.vent_pocket_m3
        - (b.well_kg + 60.0 * b.brine_level) / 1000.0;
    let kelvin = b.brine_temp_c + CELSIUS_ZERO_K;
    let mol_s = space / GAS_CONSTANT * (b.shell_pressure_pa - a.shell_pressure_pa) / kelvin / 900.0;
    near("exact form", 3600.0 * M_AIR_KG_MOL * mol_s, leak_kg_h, 0.03 * leak_kg_h);
    let mbar_min = (b.shell_pressure_pa - a.shell_pressure_pa) / 100.0 / 15.0;
    near("rule of the trade", 0.07 * space * mbar_min, leak_kg_h, 0.08 * leak_kg_h);
    assert!(run.ledgers().worst() < 1.0e-10);
}

/// Salt that begins to leak into a well of constant volume and flow: 1 − exp(−t/τ).
#[test]
fn ident_salt_mixes_into_the_well_as_into_a_stirred_tank() {
    let model = demonstration();
    let text = r#"{"begin": "running", "until": 11200, "actions": [
        {"t": 10800, "do": {"fault": "condenser leak", "amount": 2}}]}"#;
    let scenario = crate::scenario(&model, text);
    let mut run = scenario.start_to(&model, 1.0e-7);
    run.advance(10_800.0).unwrap();
    let before = run.row();
    let p = model.parameters();
    let flow = p.distillate_pump_kg_s * before.well_kg / p.well_suction_kg;
    let lag_s = before.well_kg / flow;
    run.advance(11_200.0).unwrap();
    let last = run.row();
    near(
        "salt at the end",
        last.product_salt_mg_kg - before.product_salt_mg_kg,
        2.0 / 3600.0 * 35_165.0 / last.product_kg_s,
        0.05,
    );
    let mut run = scenario.start_to(&model, 1.0e-7);
    for part in [0.5, 1.0, 2.0] {
        run.advance(10_800.0 + part * lag_s).unwrap();
        let risen = (run.row().product_salt_mg_kg - before.product_salt_mg_kg)
            / (last.product_salt_mg_kg - before.product_salt_mg_kg);
        near("risen", risen, 1.0 - (-part).exp(), 0.005);
    }
}
