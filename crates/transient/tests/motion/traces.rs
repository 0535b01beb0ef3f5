//! Three runs beside the traces of an independent program.

use transient::Row;

use crate::{demonstration, scenario};

/// Agreement asked for, relative.
const WITHIN: f64 = 0.01;

/// Under this part of a column's greatest figure a difference is measured against that part.
const LITTLE: f64 = 0.01;

fn held(name: &str, kind: &str) -> String {
    let path = format!("{}/../../validation/transient/{name}.{kind}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

fn beside(name: &str) {
    let model = demonstration();
    let scenario = scenario(&model, &held(name, "json"));
    let text = held(name, "csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let columns: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(columns, Row::COLUMNS, "the columns of a trace");
    let wanted: Vec<Vec<f64>> = reader
        .records()
        .map(|row| row.unwrap().iter().map(|x| x.parse().unwrap()).collect())
        .collect();
    let greatest: Vec<f64> = (0..columns.len())
        .map(|j| wanted.iter().map(|row| row[j].abs()).fold(0.0, f64::max))
        .collect();
    let mut run = scenario.start(&model);
    let mut next = 0;
    let mut apart = Vec::new();
    run.advance_telling(scenario.until_s, &mut |passed| {
        while next < wanted.len() && wanted[next][0] <= passed.to_s() {
            let want = &wanted[next];
            let got = passed.row(want[0]);
            let dry = want[12] < 0.002;
            for (j, (got, want_j)) in got.values().zip(want).enumerate() {
                // a shell all but empty holds no salt to speak of
                if dry && columns[j] == "brine_salinity_g_kg" {
                    continue;
                }
                // a vacuum near nought is told by the pressure beside it
                let little =
                    if columns[j] == "vacuum_percent" { 10.0 } else { LITTLE * greatest[j] };
                let off = (got - want_j).abs() / want_j.abs().max(little).max(1.0e-30);
                if off > WITHIN {
                    apart.push(format!("{} s {}: got {got}, want {want_j}", want[0], columns[j]));
                }
            }
            next += 1;
        }
    })
    .unwrap();
    assert_eq!(next, wanted.len(), "every row is compared");
    assert!(apart.is_empty(), "{name}: {}", apart.join("\n"));
    assert!(run.ledgers().worst() < 1.0e-10, "{:?}", run.ledgers());
}

#[test]
fn cross_cold_start_in_the_tropics() {
    beside("reference_cold_start");
}

#[test]
fn cross_cold_sea_and_a_faster_hand() {
    beside("cold_sea_start_faster_hand");
}

#[test]
fn cross_stop_and_shut_down() {
    beside("running_stop_and_shut");
}

#[test]
fn ref_the_worked_cold_start() {
    // time, p, T_b, D, T_ew, T_h3, m_j, Q_e, level, S_b (0: not to be compared), S_d
    const TABLE: [[f64; 11]; 8] = [
        [300.0, 66031.0, 33.19, 0.0001, 85.00, 39.25, 0.00, 0.0, 0.002, 39.30, 1971.0],
        [600.0, 16654.0, 33.41, 0.0000, 85.00, 39.25, 0.00, 0.0, 0.000, 0.0, 1971.0],
        [900.0, 8082.0, 33.88, 0.0016, 85.00, 38.82, 0.00, 11.5, 0.572, 35.22, 1940.0],
        [1380.0, 8068.0, 42.23, 0.0126, 83.54, 47.26, 1.58, 87.4, 0.923, 35.34, 1578.0],
        [1740.0, 8478.0, 43.54, 0.1969, 83.78, 70.31, 9.03, 499.1, 0.765, 42.66, 245.0],
        [2400.0, 9549.0, 45.90, 0.2552, 85.02, 73.92, 13.57, 633.9, 0.685, 47.54, 23.32],
        [3600.0, 10023.0, 46.87, 0.2755, 85.00, 74.93, 16.10, 680.5, 0.664, 49.07, 3.345],
        [7200.0, 10023.0, 46.87, 0.2756, 85.00, 74.92, 16.10, 680.3, 0.664, 49.07, 2.926],
    ];
    let model = demonstration();
    let scenario = scenario(&model, &held("reference_cold_start", "json"));
    let mut run = scenario.start(&model);
    for want in TABLE {
        run.advance(want[0]).unwrap();
        let r = run.row();
        let got = [
            r.shell_pressure_pa,
            r.brine_temp_c,
            r.vapour_made_kg_s,
            r.engine_outlet_c,
            r.jacket_out_c,
            r.jacket_flow_kg_s,
            r.evaporator_heat_w / 1000.0,
            r.brine_level,
            r.brine_salinity_g_kg,
            r.product_salt_mg_kg,
        ];
        // half of the last digit printed
        let digits = [0.5, 0.005, 0.00005, 0.005, 0.005, 0.005, 0.05, 0.0005, 0.005, 0.5];
        for (k, (got, want_k)) in got.into_iter().zip(&want[1..]).enumerate() {
            if *want_k == 0.0 && k == 8 {
                continue;
            }
            let within = 0.01 * want_k.abs() + digits[k];
            assert!(
                (got - want_k).abs() <= within,
                "{} s, column {k}: got {got}, want {want_k}",
                want[0]
            );
        }
    }
}

#[test]
fn ident_the_same_list_gives_the_same_bits_also_from_a_mark() {
    let model = demonstration();
    let scenario = scenario(&model, &held("reference_cold_start", "json"));
    let mut one = scenario.start(&model);
    let mut other = scenario.start(&model);
    one.advance(1500.0).unwrap();
    let mark = one.clone();
    one.advance(3000.0).unwrap();
    other.advance(1500.0).unwrap();
    other.advance(3000.0).unwrap();
    assert_eq!(one.state().map(f64::to_bits), other.state().map(f64::to_bits));
    // a mark does not know what was done after it
    let mut again = mark;
    again.advance(3000.0).unwrap();
    assert_eq!(one.state().map(f64::to_bits), again.state().map(f64::to_bits));
    // telling what passes changes nothing
    let mut told = scenario.start(&model);
    told.advance_telling(1500.0, &mut |passed| {
        let _ = passed.row(passed.to_s());
    })
    .unwrap();
    told.advance(3000.0).unwrap();
    assert_eq!(one.state().map(f64::to_bits), told.state().map(f64::to_bits));
}

#[test]
fn ident_a_finer_tolerance_changes_little() {
    let model = demonstration();
    let scenario = scenario(&model, &held("reference_cold_start", "json"));
    let mut usual = scenario.start(&model);
    let mut fine = scenario.start_to(&model, 1.0e-8);
    let mut worst = [0.0_f64; 3];
    for minute in 1..=120 {
        let at = 60.0 * f64::from(minute);
        usual.advance(at).unwrap();
        fine.advance(at).unwrap();
        let (a, b) = (usual.row(), fine.row());
        let moved = [
            (a.brine_temp_c - b.brine_temp_c).abs(),
            (a.shell_pressure_pa / b.shell_pressure_pa - 1.0).abs(),
            (a.engine_outlet_c - b.engine_outlet_c).abs(),
        ];
        for (worst, moved) in worst.iter_mut().zip(moved) {
            *worst = worst.max(moved);
        }
    }
    assert!(worst[0] < 4.0e-3 && worst[1] < 3.0e-4 && worst[2] < 8.0e-3, "{worst:?}");
}
