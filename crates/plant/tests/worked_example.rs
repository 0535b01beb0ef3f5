//! The worked example: a published set of figures from an independent Python implementation over CoolProp 8.0.0 IF97.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use plant::{HeatShort, Plant, Point, Sheet, Solution};

fn demonstration() -> Plant {
    Plant::calibrate(&Sheet::default()).unwrap()
}

/// Agreement to the five digits the table is printed with.
fn five_digits(name: &str, got: f64, printed: f64) {
    let unit = 10_f64.powi(printed.abs().log10().floor() as i32 - 4);
    assert!((got - printed).abs() <= 0.5001 * unit, "{name}: got {got}, printed {printed}");
}

/// The rows of the table, in its order.
fn rows(s: &Solution) -> [(&'static str, f64); 21] {
    [
        ("product", s.product_t_day),
        ("vapour", s.vapour_kg_s * 86.4),
        ("pressure", s.shell_pressure_pa),
        ("vapour temperature", s.vapour_temp_c),
        ("brine temperature", s.brine_temp_c),
        ("condensing", s.condensing_temp_c),
        ("vent", s.vent_temp_c),
        ("jacket out", s.jacket_out_c),
        ("sea out", s.sea_out_c),
        ("brine salinity", s.brine_salinity_g_kg),
        ("product salt", s.product_salt_mg_kg),
        ("blanketed", s.blanketed_fraction),
        ("evaporator heat", s.evaporator_heat_w),
        ("condenser heat", s.condenser_heat_w),
        ("vent loss", s.vent_loss_kg_s),
        ("gas", s.inside.gas_mol_s),
        ("capacity", s.inside.ejector_capacity_m3_s),
        ("demister drop", s.inside.demister_drop_pa),
        ("load factor", s.inside.load_factor_m_s),
        ("evaporator U", s.evaporator_u_w_m2k),
        ("condenser U", s.condenser_u_w_m2k),
    ]
}

fn agree(s: &Solution, printed: [f64; 21]) {
    for ((name, got), printed) in rows(s).into_iter().zip(printed) {
        five_digits(name, got, printed);
    }
    assert!(s.residuals.mass.abs() < 1e-9);
    assert!(s.residuals.salt.abs() < 1e-9);
    assert!(s.residuals.energy.abs() < 1e-9);
}

#[test]
fn ref_rated_point() {
    let printed = [
        24.000, 24.102, 10106.0, 46.000, 47.032, 45.801, 42.859, 74.869, 41.492, 49.315, 3.0000,
        0.045454, 688530.0, 665120.0, 0.0011775, 0.010787, 0.020000, 101.96, 0.041575, 1757.8,
        2513.1,
    ];
    agree(&demonstration().free(&Point::default()).unwrap(), printed);
}

#[test]
fn ref_cold_sea() {
    let point = Point { sea_temp_c: 15.0, ..Point::default() };
    let printed = [
        31.301, 31.363, 5761.8, 35.414, 36.483, 34.470, 30.200, 71.590, 27.544, 56.118, 14.250,
        0.048082, 911050.0, 877780.0, 0.00072262, 0.010952, 0.023551, 293.09, 0.070161, 1831.6,
        2234.8,
    ];
    agree(&demonstration().free(&point).unwrap(), printed);
}

#[test]
fn ref_low_heat() {
    let point = Point {
        jacket_in_c: 70.0,
        jacket_flow_kg_s: 9.72,
        scale_m2k_w: 1.0e-4,
        ..Point::default()
    };
    let printed = [
        9.8172, 9.8666, 7325.1, 39.817, 40.717, 39.757, 34.417, 62.789, 35.906, 39.845, 0.69574,
        0.47388, 293350.0, 273660.0, 0.00057177, 0.010787, 0.014893, 23.146, 0.019850, 958.36,
        2742.5,
    ];
    agree(&demonstration().free(&point).unwrap(), printed);
}

#[test]
fn ref_many_faults() {
    let point = Point {
        sea_temp_c: 34.0,
        condenser_flow_kg_s: 12.0,
        air_leak_kg_h: 5.0,
        condenser_fouling_m2k_w: 1.0e-4,
        feed_ratio: Some(2.0),
        ejector_pressure_bar_g: 3.2,
        condenser_leak_kg_h: 2.0,
        ..Point::default()
    };
    let printed = [
        18.585, 18.634, 14380.0, 53.014, 54.181, 52.951, 41.585, 77.148, 44.612, 57.478, 92.302,
        0.35973, 533710.0, 510040.0, 0.0011160, 0.048627, 0.020184, 43.896, 0.027245, 1665.7,
        1812.4,
    ];
    agree(&demonstration().free(&point).unwrap(), printed);
}

#[test]
fn ref_calibration() {
    let c = demonstration().calibration();
    five_digits("p0", c.shell_pressure_pa, 10106.0);
    five_digits("h_j0", c.jacket_film_w_m2k, 4394.6);
    five_digits("h_b0", c.boiling_film_w_m2k, 3662.2);
    five_digits("h_c0", c.sea_film_w_m2k, 4832.8);
    five_digits("h_k0", c.condensing_film_w_m2k, 6613.3);
    five_digits("K0", c.load_factor_m_s, 0.041575);
    five_digits("E0", c.carry_over, 6.0834e-05);
}

#[test]
fn ref_engine_sag() {
    let point = Point { engine_load: Some(40.0), heat_short: HeatShort::Sag, ..Point::default() };
    let s = demonstration().rate(&point).unwrap();
    five_digits("heat held", s.evaporator_heat_w, 544460.0);
    five_digits("jacket in", s.jacket_in_c, 77.232);
    five_digits("product", s.product_t_day, 18.874);
    assert!(s.heat_limited);
}
